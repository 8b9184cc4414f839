"""Each half of an axle from the pinion's centreline to the wheel mounting face, and whether its parts fit into it.

half = width / 2 − pinion offset on the side to which the pinion is moved, width / 2 + offset on the other;
half = centre-section half + tube showing + end addition;  tube = tube showing + insertion depths + weld shrinkage.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor, isfinite
from typing import Final, Literal

from geometry.errors import PlanError
from geometry.plan.amount import Amount, given
from geometry.rig.axle import Axle
from geometry.rig.build import Build, BuildSide
from geometry.rig.wheel import INCH

PlanSide = Literal["left", "right"]
SIDES: Final[tuple[PlanSide, PlanSide]] = ("left", "right")

SUM: Final = 1e-9
"""Within what a sum of parts equals the width before any rounding [mm]: double precision leaves about 1e-12."""

LEAST_SHOWING: Final = 1.0
"""Least tube between the centre section and the end [mm]: below it there is nothing to weld round. Common practice,
no source."""

_TOLD: Final = 10.0
"""Values that work are told to a tenth of a millimetre, rounded to the side on which they do work [1/mm]."""

_INCH_DIGITS: Final = 3
"""Decimals in which they are told in inches, and typed again."""


@dataclass(frozen=True, slots=True)
class Half:
    """One half of an axle in numbers that may be unknown [mm]; what each one is says geometry.rig.build.

    Attributes
    ----------
    half : Amount
        Pinion centreline to the wheel mounting face of the finished axle; always known.
    place : str
        Place of its values in the rig, as in ``axles/rear/build/left``.

    """

    side: PlanSide
    place: str
    half: Amount
    end_addition: Amount
    centre_half: Amount
    insertion_centre: Amount
    insertion_end: Amount
    shrink: Amount

    @property
    def showing(self) -> Amount:
        """Bare tube between the face of the centre section and that of the end, on the finished axle [mm]."""
        return self.half - self.centre_half - self.end_addition

    @property
    def tube(self) -> Amount:
        """Length of the tube as it is cut [mm]."""
        return self.showing + self.insertion_centre + self.insertion_end + self.shrink


def build_of(axle: Axle) -> Build:
    """What is known of how the axle is built; nothing, if the rig says nothing."""
    return axle.build or Build()


def sign_of(side: PlanSide) -> float:
    """The sign of y on a side: +1 on the left, −1 on the right."""
    return 1.0 if side == "left" else -1.0


def half_of(axle: Axle, side: PlanSide) -> Half:
    """One half of the axle.

    Left half = width / 2 − pinion offset, right half = width / 2 + pinion offset (offset left positive), so that both
    add up to the width and differ by twice the offset.
    """
    place = f"axles/{axle.id}/build/{side}"
    parts: BuildSide = getattr(build_of(axle), side)
    return Half(
        side=side,
        place=place,
        half=Amount(axle.width / 2.0 - sign_of(side) * axle.housing.pinion_offset),
        end_addition=given(parts.end_addition, f"{place}/end_addition"),
        centre_half=given(parts.centre_half, f"{place}/centre_half"),
        insertion_centre=given(parts.insertion_centre, f"{place}/insertion_centre"),
        insertion_end=given(parts.insertion_end, f"{place}/insertion_end"),
        shrink=given(parts.shrink, f"{place}/shrink"),
    )


def halves_of(axle: Axle) -> tuple[Half, Half]:
    """Left and right half, sound ones.

    Raises
    ------
    PlanError
        When the width is none, when the parts are longer than a half, so that no tube would show, or when a tube
        would go in past the pinion's centreline or out past the wheel mounting face.

    """
    if not isfinite(axle.width) or axle.width <= 0.0:
        raise PlanError(f"axles/{axle.id}/width", f"a width of {axle.width:g} mm is none; give one above 0 mm", by=0.0)
    left, right = half_of(axle, "left"), half_of(axle, "right")
    for each in (left, right):
        _check_insertion(each)
    needs = [_need(each) for each in (left, right)]
    for each, need in zip((left, right), needs, strict=True):
        assert each.half.value is not None  # noqa: S101  (the width is always known)
        if each.half.value < need - SUM:
            raise _too_short(axle, each, need, needs)
    return left, right


def at_least(value: float) -> float:
    """A value told to a tenth of a millimetre, not below it, even when it is told to a thousandth of an inch."""
    return -at_most(-value)


def at_most(value: float) -> float:
    """A value told to a tenth of a millimetre, not above it, even when it is told to a thousandth of an inch."""
    tenths = floor(value * _TOLD + SUM)
    while round(tenths / _TOLD / INCH, _INCH_DIGITS) * INCH > value + SUM:
        tenths -= 1
    return tenths / _TOLD


def _need(half: Half) -> float:
    """What a half takes at least [mm]: its parts, as far as they are known, and a tube that shows."""
    return LEAST_SHOWING + sum(part.value or 0.0 for part in (half.centre_half, half.end_addition))


def _check_insertion(half: Half) -> None:
    for name, depth, room, into in (
        ("insertion_centre", half.insertion_centre, half.centre_half, "a centre section, whose pinion's centreline is"),
        ("insertion_end", half.insertion_end, half.end_addition, "an end, whose wheel mounting face is"),
    ):
        if depth.value is None or room.value is None or depth.value <= room.value + SUM:
            continue
        place, by = f"{half.place}/{name}", depth.value - room.value
        raise PlanError(
            place,
            f"the {half.side} tube goes {depth.value:.1f} mm into {into} {room.value:.1f} mm from its face, "
            f"{by:.1f} mm too deep; make it at most {at_most(room.value):.1f} mm",
            by=by,
            nearest=((place, at_most(room.value)),),
        )


def _too_short(axle: Axle, half: Half, need: float, needs: list[float]) -> PlanError:
    """Why a half is too short for its parts, and which widths and pinion offsets would do."""
    assert half.half.value is not None  # noqa: S101  (the width is always known)
    offset, by = axle.housing.pinion_offset, need - half.half.value
    width = at_least(2.0 * max(needs[0] + offset, needs[1] - offset))
    low, high = at_least(needs[1] - axle.width / 2.0), at_most(axle.width / 2.0 - needs[0])
    nearest = [(f"axles/{axle.id}/width", width)]
    remedy = f"make the width at least {width:.1f} mm"
    if low <= high:
        nearest.append((f"axles/{axle.id}/housing/pinion_offset", min(max(offset, low), high)))
        remedy += f", or set the pinion offset between {low:.1f} mm and {high:.1f} mm"
    return PlanError(
        f"{half.place}/end_addition",
        f"centre section and end of the {half.side} side, with {LEAST_SHOWING:g} mm of tube between them, take "
        f"{need:.1f} mm, {by:.1f} mm more than the {half.half.value:.1f} mm from the pinion's centreline to the wheel "
        f"mounting face; {remedy}",
        by=by,
        nearest=tuple(nearest),
    )
