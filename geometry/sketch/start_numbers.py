"""The few numbers that a rig is started from, and which of them work together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import product
from math import ceil, floor
from typing import Any, Final

from geometry.errors import RigError
from geometry.rig.limits import LEAST_BACKSPACING, LEAST_RIM_WIDTH
from geometry.rig.wheel import INCH, LOADED_SHARE, Tire, TireDimensions, Wheel, read_size, tire_dimensions
from geometry.tolerances import COINCIDENT

STEP: Final = INCH / 4.0
"""To which our own places are rounded [mm]: a quarter inch reads well on any tape."""

LIMIT_STEP: Final = INCH / 2.0
"""To which a value that works is rounded, towards what works [mm]: told in inches or mm, it can be typed as told."""

TIRE_DIAMETERS: Final = (20.0, 60.0)
"""Tires for which the proportions hold [in]."""

TIRE_SECTIONS: Final = (4.0, 24.0)
"""Section widths of such tires, generously [in]: for judging the other numbers while the tire's size is wrong."""

LEAST_ROOM: Final = 710.0
"""Least room between the tires' inner faces [mm]: two rails and a centre section."""

LEAST_CABIN: Final = 500.0
"""Least length of the tub [mm]: the links of both axles start in it, a hand apart."""

STEEPEST_LINK: Final = 0.33
"""Largest bump, droop, or height of the belly over the hubs, over the length of the lower links [-]."""

STEEPEST_ROLL: Final = 0.95
"""Largest bump and droop together over the stop station [-]: beyond it the axle would lean by over 28 degrees."""

LEAST_WAY: Final = INCH
"""Least bump, and least droop [mm]: an axle that does not travel needs no check."""

WIDEST: Final = 3000.0
LONGEST: Final = 6000.0
"""Largest width of an axle, and largest wheelbase [mm]: more stands on no road."""


class Locating(StrEnum):
    """What locates an axle."""

    TRIANGULATED = "triangulated four-link"
    PARALLEL = "parallel four-link with lateral bar"
    THREE_LINK = "three-link with lateral bar"
    WISHBONE = "wishbone"


@dataclass(frozen=True, slots=True, kw_only=True)
class StartNumbers:
    """What a builder knows at the start.

    Attributes
    ----------
    wheelbase, rim_width, offset, front_width, rear_width : float
        As everywhere [mm]; the widths are wheel-mount widths.
    belly : float
        Ground to the underside of the tub at ride height [mm].
    bump, droop : float
        Travel of both axles [mm].
    steered : bool
        Whether the front wheels steer.

    """

    name: str = "New rig"
    wheelbase: float = 2667.0
    tire_size: str = "37x12.50R17"
    rim_width: float = 228.6
    offset: float = 0.0
    front_width: float = 1778.0
    rear_width: float = 1778.0
    belly: float = 508.0
    bump: float = 127.0
    droop: float = 152.4
    front: Locating = Locating.THREE_LINK
    rear: Locating = Locating.TRIANGULATED
    steered: bool = True


def check_numbers(numbers: StartNumbers) -> None:
    """Refuse numbers of which no sound rig can be made; raises as `start_rig`."""
    for problem in problems(numbers):
        raise problem


def problems(numbers: StartNumbers) -> tuple[RigError, ...]:
    """All that is wrong with some numbers, at most one problem for each; where one is wrong, others are not blamed.

    A number is judged with those before it that are right. For one that is wrong, all that might stand there in its
    place is allowed for: what is said then is wrong whatever becomes of that one.
    """
    found: list[RigError] = []
    try:
        cases = [(numbers, _tire(numbers.tire_size))]
    except RigError as refused:
        found.append(refused)
        cases = [(numbers, tire) for tire in _ANY_TIRE]
    for index, (field, *_) in enumerate(_ranges(*cases[0])):
        value = getattr(numbers, field)
        ranges = [tuple(_ranges(*case))[index] for case in cases]
        low, high = min(each[2] for each in ranges), max(each[3] for each in ranges)
        if low - COINCIDENT <= value <= high + COINCIDENT:  # what is told as the nearest must pass
            continue
        _, words, _, _, reason = ranges[0]
        limit = _next_above(low) if value < low else _next_below(high)
        if len(cases) == 1:
            way = "the nearest that works is"
        else:
            way = "it takes at least" if value < low else "it takes at most"
        found.append(RigError(field, f"{words} of {value:.10g} mm {reason[value > high]}; {way} {limit:.10g} mm"))
        ends: tuple[dict[str, Any], ...] = ({field: low}, {field: high})
        cases = [(replace(case, **end), tire) for case, tire in cases for end in ends]
    return tuple(found)


def _tire(size: str) -> TireDimensions:
    """The tire of a size text; RigError when there is none, or none for which the proportions hold."""
    if read_size(size) is None:
        raise RigError("tire_size", f"cannot read the tire size “{size}”; write it like 37x12.50R17 or LT315/75R16")
    try:
        tire = tire_dimensions(Tire(size=size))
    except RigError as refused:
        raise RigError("tire_size", refused.problem) from None
    if not TIRE_DIAMETERS[0] * INCH <= 2.0 * tire.radius <= TIRE_DIAMETERS[1] * INCH:
        low, high = TIRE_DIAMETERS
        problem = f"a tire of {2.0 * tire.radius:.0f} mm is out of reach here, diameters from {low * INCH:.10g} mm to "
        raise RigError("tire_size", f"{problem}{high * INCH:.10g} mm work")
    return tire


Range = tuple[str, str, float, float, tuple[str, str]]


def _ranges(numbers: StartNumbers, tire: TireDimensions) -> Iterator[Range]:
    """Field, its words, the range that works [mm], and what is wrong below and above it; each trusts those before."""
    rim = numbers.rim_width
    section, radius = tire.section_width, tire.radius
    yield (
        *("rim_width", "a rim width", max(LEAST_RIM_WIDTH, 0.5 * section), 1.1 * section),
        ("is too narrow for this tire", "is too wide for this tire"),
    )
    least_offset = max(LEAST_BACKSPACING - Wheel(rim_width=rim).flange - 0.5 * rim, -200.0)
    yield (
        *("offset", "an offset", least_offset, 0.5 * rim),
        ("leaves no room for the hub in the wheel", "puts the mounting face outside of the rim"),
    )
    least_width = LEAST_ROOM + section + 2.0 * numbers.offset
    for field, words in (("front_width", "a front width"), ("rear_width", "a rear width")):
        yield (
            *(field, words, least_width, WIDEST),
            ("is too narrow, the tires leave no room for a frame", "is wider than any road"),
        )
    yield (
        *("wheelbase", "a wheelbase", 3.15 * radius + LEAST_CABIN + STEP, LONGEST),
        ("is too short, the tires leave no room for a cabin", "is longer than any rig of this kind"),
    )
    link, reach = link_length(radius), STEEPEST_LINK * link_length(radius)
    yield (
        *("belly", "a belly height", max(0.35 * radius, 150.0), tire.loaded_radius + reach),
        ("is too low, the tub would drag", "is too high, the links would stand too steep"),
    )
    narrow = min(room_beside(numbers, tire, width) for width in (numbers.front_width, numbers.rear_width))
    stop = stop_station(narrow)
    most = min(STEEPEST_LINK * link, STEEPEST_ROLL * stop - 2.0 * LEAST_WAY)
    too_much = "is more than links and stops of this layout allow"
    yield ("bump", "a bump", LEAST_WAY, most, ("is no travel", too_much))
    most = min(STEEPEST_LINK * link, STEEPEST_ROLL * stop - numbers.bump)
    yield ("droop", "a droop", LEAST_WAY, most, ("is no travel", too_much))


_ANY_TIRE: Final = tuple(
    TireDimensions(
        radius=0.5 * diameter * INCH,
        section_width=section * INCH,
        rim_diameter=0.0,
        loaded_radius=0.5 * LOADED_SHARE * diameter * INCH,
        shoulder_radius=0.0,
    )
    for diameter, section in product(TIRE_DIAMETERS, TIRE_SECTIONS)
)
"""The smallest and the largest tires; the ranges use neither rim nor shoulder."""


def _next_above(value: float) -> float:
    return ceil((value - COINCIDENT) / LIMIT_STEP) * LIMIT_STEP


def _next_below(value: float) -> float:
    return floor((value + COINCIDENT) / LIMIT_STEP) * LIMIT_STEP


def link_length(radius: float) -> float:
    """Fore-and-aft length of the lower links [mm]."""
    return rounded(1.55 * radius)


def room_beside(numbers: StartNumbers, tire: TireDimensions, width: float) -> float:
    """Centre plane to the tires' inner faces at a width [mm]."""
    return 0.5 * (width - tire.section_width) - numbers.offset


def stop_station(room: float) -> float:
    """Stop station in that much room beside the centre plane [mm]."""
    return rounded(0.68 * room)


def rounded(value: float) -> float:
    """A length of our own choice, to the quarter inch [mm]."""
    return round(value / STEP) * STEP
