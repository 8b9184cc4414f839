"""The sliding mock-up axle: how far its sliders stay in the sleeve, and where their marks are, for each width to try.

overlap = sleeve + slider − half, on each side from the pinion's centreline. A width is too large when a slider has
less than the overlap that is asked for, and too small when the sliders meet in the middle or a wheel mount meets the
sleeve. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from geometry.errors import PlanError
from geometry.plan.amount import Amount, given, missing_of
from geometry.plan.half import SIDES, SUM, PlanSide, at_least, at_most, build_of, sign_of
from geometry.rig.axle import Axle


@dataclass(frozen=True, slots=True)
class SliderMarks:
    """One slider at a width [mm].

    Attributes
    ----------
    overlap : Amount
        Slider inside the sleeve; the mark at the sleeve's mouth is as far from the slider's inner end.
    from_mount : Amount
        The same mark from the wheel mounting face.

    """

    side: PlanSide
    overlap: Amount
    from_mount: Amount


@dataclass(frozen=True, slots=True)
class MockUpRow:
    """The mock-up at one width [mm]; `fits` is None where that is unknown."""

    width: float
    left: SliderMarks
    right: SliderMarks
    fits: bool | None


@dataclass(frozen=True, slots=True)
class MockUpPlan:
    """The mock-up at several widths [mm], and between which widths it can be set."""

    axle: str
    least_width: Amount
    most_width: Amount
    rows: tuple[MockUpRow, ...]


def mock_up(axle: Axle, widths: Iterable[float]) -> MockUpPlan:
    """Overlap and marks of the axle's mock-up for each of some widths [mm].

    Raises
    ------
    PlanError
        When the mock-up can be set to no width at all.

    """
    least, most = _span(axle)
    if least.value is not None and most.value is not None and least.value > most.value + SUM:
        raise _useless(axle, least.value, most.value)
    rows = tuple(_row(axle, width, least, most) for width in widths)
    return MockUpPlan(axle=axle.id, least_width=least, most_width=most, rows=rows)


def _lengths(axle: Axle, side: PlanSide) -> tuple[Amount, Amount]:
    """Sleeve and slider of a side [mm]."""
    parts, place = build_of(axle).mockup, f"axles/{axle.id}/build/mockup"
    sleeve, slider = (f"{name}_{side}" for name in ("sleeve", "slider"))
    return given(getattr(parts, sleeve), f"{place}/{sleeve}"), given(getattr(parts, slider), f"{place}/{slider}")


def _span(axle: Axle) -> tuple[Amount, Amount]:
    """Least and most width [mm]."""
    lengths = [_lengths(axle, side) for side in SIDES]
    overlap = given(build_of(axle).mockup.least_overlap, f"axles/{axle.id}/build/mockup/least_overlap")
    missing = missing_of((*lengths[0], *lengths[1], overlap))
    if missing:
        return Amount(None, missing), Amount(None, missing)
    most, least = [], [sum(slider.value or 0.0 for _, slider in lengths)]
    for side, (sleeve, slider) in zip(SIDES, lengths, strict=True):
        shift = sign_of(side) * axle.housing.pinion_offset
        mouth, reach = sleeve.value or 0.0, (sleeve + slider - overlap).value or 0.0
        least.append(2.0 * (mouth + shift))
        most.append(2.0 * (reach + shift))
    return Amount(max(least)), Amount(min(most))


def _row(axle: Axle, width: float, least: Amount, most: Amount) -> MockUpRow:
    left, right = (_marks(axle, side, width) for side in SIDES)
    fits = None
    if least.value is not None and most.value is not None:
        fits = least.value - SUM <= width <= most.value + SUM
    return MockUpRow(width=width, left=left, right=right, fits=fits)


def _marks(axle: Axle, side: PlanSide, width: float) -> SliderMarks:
    sleeve, slider = _lengths(axle, side)
    half = Amount(width / 2.0 - sign_of(side) * axle.housing.pinion_offset)
    return SliderMarks(side=side, overlap=sleeve + slider - half, from_mount=half - sleeve)


def _useless(axle: Axle, least: float, most: float) -> PlanError:
    place = f"axles/{axle.id}/build/mockup"
    overlap = build_of(axle).mockup.least_overlap or 0.0
    by = least - most
    nearest: tuple[tuple[str, float], ...] = ()
    remedy = "the two sides do not go together, measure sleeve and sliders again"
    if overlap >= by / 2.0:
        nearest = ((f"{place}/least_overlap", at_most(overlap - by / 2.0)),)
        remedy = f"ask for an overlap of at most {nearest[0][1]:.1f} mm"
    return PlanError(
        f"{place}/least_overlap",
        f"the mock-up fits no width: its parts need {at_least(least):.1f} mm at least, and an overlap of {overlap:g} "
        f"mm allows {at_most(most):.1f} mm at most; {remedy}",
        by=by,
        nearest=nearest,
    )
