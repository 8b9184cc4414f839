"""Linkages to test with: one of each layout as drawn, and random ones that follow their travel."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from geometry.errors import LinkageError
from geometry.motion.binding import check_travel
from geometry.motion.linkage import Linkage

CENTRE = (0.0, 0.0, 470.0)

# chassis and axle joint of each rod, rig's frame [mm]
TRIANGULATED = (
    ((915.0, 380.0, 455.0), (0.0, 510.0, 395.0)),
    ((915.0, -380.0, 455.0), (0.0, -510.0, 395.0)),
    ((760.0, 405.0, 660.0), (0.0, 100.0, 700.0)),
    ((760.0, -405.0, 660.0), (0.0, -100.0, 700.0)),
)
THREE_LINKS_AND_BAR = (
    ((900.0, 400.0, 500.0), (0.0, 450.0, 420.0)),
    ((900.0, -400.0, 500.0), (0.0, -450.0, 420.0)),
    ((800.0, 150.0, 700.0), (20.0, 120.0, 640.0)),
    ((60.0, -450.0, 620.0), (60.0, 450.0, 560.0)),
)
WISHBONE = (
    ((900.0, 400.0, 500.0), (0.0, 450.0, 420.0)),
    ((900.0, -400.0, 500.0), (0.0, -450.0, 420.0)),
    ((700.0, 350.0, 700.0), (0.0, 0.0, 680.0)),
    ((700.0, -350.0, 700.0), (0.0, 0.0, 680.0)),
)
PARALLEL_AND_BAR = (
    ((1000.0, 420.0, 480.0), (0.0, 450.0, 420.0)),
    ((1000.0, -420.0, 480.0), (0.0, -450.0, 420.0)),
    ((800.0, 400.0, 700.0), (0.0, 400.0, 640.0)),
    ((800.0, -400.0, 700.0), (0.0, -400.0, 640.0)),
    ((60.0, -450.0, 560.0), (60.0, 450.0, 540.0)),
)
FOUR_RODS = {"triangulated": TRIANGULATED, "three links and a bar": THREE_LINKS_AND_BAR, "wishbone": WISHBONE}
LAYOUTS = FOUR_RODS | {"parallel and a bar": PARALLEL_AND_BAR}

Rods = tuple[tuple[tuple[float, float, float], tuple[float, float, float]], ...]


def linkage(rods: Rods, bump: float = 150.0, droop: float = 150.0, stop_station: float = 500.0) -> Linkage:
    """An axle with its centre at CENTRE."""
    return Linkage(
        axle="rear",
        centre=CENTRE,
        chassis_points=tuple(chassis for chassis, _ in rods),
        axle_points=tuple((x, y, z - CENTRE[2]) for _, (x, y, z) in rods),
        stop_station=stop_station,
        bump=bump,
        droop=droop,
    )


def random_linkages(rods: Rods, seed: int, count: int) -> Iterator[Linkage]:
    """Linkages whose joints lie up to 60 mm from those given in each direction, and that follow their travel."""
    rng = np.random.default_rng(seed)
    shared = rods[2][1] == rods[3][1]
    while count:
        moved = np.array(rods) + rng.uniform(-60.0, 60.0, (len(rods), 2, 3))
        if shared:
            moved[3, 1] = moved[2, 1]
        places = [tuple(tuple(float(value) for value in place) for place in rod) for rod in moved]
        bump, droop, station = rng.uniform((100.0, 100.0, 350.0), (200.0, 200.0, 700.0))
        made = linkage(tuple(places), float(bump), float(droop), float(station))
        try:
            check_travel(made)
        except LinkageError:
            continue
        count -= 1
        yield made


def random_travels(made: Linkage, seed: int, count: int) -> np.ndarray:
    """Left and right travels within the linkage's own, shape (2, count) [mm]."""
    return np.random.default_rng(seed).uniform(-made.droop, made.bump, (2, count))
