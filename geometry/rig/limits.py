"""Sizes that no part of a rig has: below them a number in inches has slipped into a file of millimetres."""

from __future__ import annotations

from math import radians, tan
from typing import Final

from geometry.errors import RigError
from geometry.rig.axle import Axle
from geometry.rig.wheel import INCH, tire_dimensions
from geometry.tolerances import COINCIDENT

LEAST_TUBE: Final = 6.0
"""Smallest outside diameter of a tube, rod or housing [mm]: brake line is as thick. Common practice, no source."""

LEAST_WALL: Final = 0.4
"""Thinnest wall of a tube [mm]: nobody welds thinner. Common practice, no source."""

LEAST_RIM_WIDTH: Final = 75.0
"""Narrowest rim [mm]: three inches is a motorcycle's. Common practice, no source."""

LEAST_BACKSPACING: Final = 25.0
"""Smallest backspacing [mm]: the hub needs more depth. Common practice, no source."""

LEAST_TIRE: Final = 250.0
"""Smallest diameter of a tire [mm]: ten inches is a barrow's. Common practice, no source."""

LEAST_SECTION: Final = 50.0
"""Narrowest section of a tire [mm]: two inches is a bicycle's. Common practice, no source."""

LEAST_RIM: Final = 100.0
"""Smallest diameter of a rim [mm]: four inches is a barrow's. Common practice, no source."""

LEAST_STATION: Final = 50.0
"""Smallest distance of a stop from the centre plane [mm]: the centre section is there. Common practice, no source."""

LEAST_TRAVEL: Final = 25.0
"""Smallest bump and droop together, if there is any [mm]: tires alone give an inch. Common practice, no source."""

FARTHEST_HEIGHT: Final = 150.0
"""Largest difference of axle height and loaded radius [mm]: six inches of air or of soft ground under a tire at ride
height are drawn by nobody. Common practice, no source."""


def check_least(value: float | None, least: float, place: str, name: str, thing: str) -> None:
    """Refuse a length [mm] that is given and smaller than any `thing` has it.

    Raises
    ------
    RigError
        With the millimetres that the same number of inches would be.

    """
    if value is not None and value < least:
        raise RigError(
            place, f"{name} of {value:g} mm is no {thing}, the least is {least:g} mm", in_file=_inches_are(value)
        )


def check_axle_sizes(axle: Axle, place: str) -> None:
    """Refuse sizes of an axle and of what it carries that cannot be meant in millimetres.

    Raises
    ------
    RigError
        As `check_least`.

    """
    tire, wheel = axle.tire, axle.wheel
    for value, least, where, name, thing in (
        (tire.diameter, LEAST_TIRE, "tire.diameter", "diameter", "tire"),
        (tire.section_width, LEAST_SECTION, "tire.section_width", "section width", "tire"),
        (tire.rim_diameter, LEAST_RIM, "tire.rim_diameter", "rim diameter", "wheel"),
        (wheel.rim_width, LEAST_RIM_WIDTH, "wheel.rim_width", "rim width", "wheel"),
        (wheel.backspacing, LEAST_BACKSPACING, "wheel.backspacing", "backspacing", "wheel"),
        (axle.housing.tube_od, LEAST_TUBE, "housing.tube_od", "tube od", "tube"),
        (axle.stop_station, LEAST_STATION, "stop_station", "stop station", "place for a stop"),
        *((rod.od, LEAST_TUBE, f"rods[{index}].od", "od", "rod") for index, rod in enumerate(axle.rods)),
    ):
        check_least(value, least, f"{place}.{where}", name, thing)
    _check_travel(axle, place)
    _check_height(axle, place)
    _check_kingpin(axle, place)


def _check_travel(axle: Axle, place: str) -> None:
    if 0.0 < axle.bump + axle.droop < LEAST_TRAVEL:
        raise RigError(
            f"{place}.bump",
            f"bump of {axle.bump:g} mm and droop of {axle.droop:g} mm are no travel, together they must be at least "
            f"{LEAST_TRAVEL:g} mm, or both 0 mm",
            in_file=_inches_are(axle.bump or axle.droop),
        )


def _check_height(axle: Axle, place: str) -> None:
    loaded = tire_dimensions(axle.tire, f"{place}.tire").loaded_radius
    if abs(axle.height - loaded) <= FARTHEST_HEIGHT:
        return
    slip = abs(axle.height * INCH - loaded) <= FARTHEST_HEIGHT
    raise RigError(
        f"{place}.height",
        f"the height of {axle.height:g} mm and the tire's loaded radius of {loaded:.1f} mm differ by more than "
        f"{FARTHEST_HEIGHT:g} mm; heights count from the ground under the tires, put all of them right or the tire",
        in_file=_inches_are(axle.height) if slip else "lengths in the file are in mm",
    )


def _check_kingpin(axle: Axle, place: str) -> None:
    if axle.steering is None:
        return
    _, left, up = axle.steering.kingpin
    # The axis leans inboard towards its top, so that it passes hub height by this much farther out.
    outboard = left + up * tan(radians(axle.steering.inclination_deg))
    if outboard > COINCIDENT:
        raise RigError(
            f"{place}.steering.kingpin",
            f"the left kingpin passes hub height {outboard:.1f} mm outboard of the wheel mounting face, and no knuckle "
            "does; its second number counts from the face to the left, so make it negative",
        )


def _inches_are(value: float) -> str:
    return f"lengths in the file are in mm, {value:g} in is {value * INCH:.10g}"
