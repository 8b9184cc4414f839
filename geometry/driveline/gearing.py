"""From the engine's revolutions to the ground: overall and crawl ratio, road speed, and what another tire does.

Road speed = revolutions × 2π × rolling radius / overall ratio. The rolling radius is smaller than the free one; revs
per mile in makers' tables give it (rolling circumference = mile / revolutions per mile).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import tau

from geometry.rig.driveline import Gears
from geometry.rig.wheel import Tire, tire_dimensions

_MINUTE = 60.0
"""[s]"""


@dataclass(frozen=True, slots=True)
class GearRow:
    """One gear in one range.

    Attributes
    ----------
    gear, range : int
        Counted from 1 as listed; range 0 = there is no transfer case.
    crawl_box : bool
        The crawl box is in its low ratio.
    ratio : float
        Overall, engine to tire [-].
    speeds : tuple of float
        Road speed at each of the revolutions listed [mm/s].

    """

    gear: int
    range: int
    crawl_box: bool
    ratio: float
    speeds: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TireEffect:
    """What another tire does.

    Attributes
    ----------
    size : str
    rolling_radius : float
        [mm]
    speed_share : float
        Road speed at the same revolutions over that on the rig's tire [-]; the pull at the ground is its inverse.
    equal_axle : float or None
        Axle ratio that brings the speed back [-]; None = the axle ratio is not known.
    axle_height : float
        By how much it raises the axle, as far as loaded radii of both are known or assumed [mm].

    """

    size: str
    rolling_radius: float
    speed_share: float
    equal_axle: float | None
    axle_height: float


@dataclass(frozen=True, slots=True)
class GearTable:
    """All gears on one tire.

    Attributes
    ----------
    rolling_radius : float
        [mm]
    measured : bool
        It was measured; else it is the free radius times the share.
    crawl_ratio : float or None
        The lowest gear there is [-]; None = something is missing.
    rows : tuple of GearRow
        Slowest range last; empty while something is missing.
    tires : tuple of TireEffect
    missing : tuple of str
        Places of what nobody gave.

    """

    rolling_radius: float
    measured: bool
    crawl_ratio: float | None
    rows: tuple[GearRow, ...]
    tires: tuple[TireEffect, ...]
    missing: tuple[str, ...]


def road_speed(rpm: float, ratio: float, rolling_radius: float) -> float:
    """Speed over ground at revolutions of the engine [1/min], an overall ratio and a rolling radius [mm]: [mm/s]."""
    return rpm / _MINUTE * tau * rolling_radius / ratio


def rolling_radius(tire: Tire, share: float) -> float:
    """Free radius times a share [mm]."""
    return tire_dimensions(tire).radius * share


def gear_table(gears: Gears, tire: Tire) -> GearTable:
    """The gears of a rig on its tire, and the other tires."""
    measured = gears.rolling_radius is not None
    radius = gears.rolling_radius or rolling_radius(tire, gears.rolling_share)
    absent = {"transmission": not gears.transmission, "axle": gears.axle is None}
    missing = tuple(f"gears/{name}" for name, gone in absent.items() if gone)
    rows = _rows(gears, radius)
    return GearTable(
        rolling_radius=radius,
        measured=measured,
        crawl_ratio=max((row.ratio for row in rows), default=None),
        rows=rows,
        tires=tuple(_effect(gears, tire, radius, size) for size in gears.tires),
        missing=missing,
    )


def _rows(gears: Gears, radius: float) -> tuple[GearRow, ...]:
    if gears.axle is None:
        return ()
    boxes = ((False, 1.0),) if gears.crawl_box is None else ((False, 1.0), (True, gears.crawl_box))
    ranges = tuple(enumerate(gears.transfer, 1)) or ((0, 1.0),)
    rows = []
    for (low, box), (at, transfer), (gear, first) in product(boxes, ranges, enumerate(gears.transmission, 1)):
        ratio = first * transfer * box * gears.axle * gears.hub
        rows.append(GearRow(gear, at, low, ratio, tuple(road_speed(rpm, ratio, radius) for rpm in gears.rpm)))
    return tuple(rows)


def _effect(gears: Gears, tire: Tire, radius: float, size: str) -> TireEffect:
    """Both tires roll with the same share of their free radius, measured or not."""
    now, other = tire_dimensions(tire), tire_dimensions(Tire(size=size))
    share = other.radius / now.radius
    return TireEffect(
        size=size,
        rolling_radius=radius * share,
        speed_share=share,
        equal_axle=None if gears.axle is None else gears.axle * share,
        axle_height=other.loaded_radius - now.loaded_radius,
    )
