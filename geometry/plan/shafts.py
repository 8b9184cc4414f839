"""Axle shaft lengths from the plan, with the builder's numbers of spline, flange and end play; and stock lengths.

length = half + flange − (gear face − engagement) − end play, from the pinion's centreline on each side. So the two
shafts together differ from the width by what hubs and differential make it, whatever the width and the pinion offset.
"""

from __future__ import annotations

from dataclasses import dataclass

from geometry.errors import PlanError
from geometry.plan.amount import Amount, given
from geometry.plan.half import SUM, Half, PlanSide, at_least, at_most, build_of, halves_of
from geometry.rig.axle import Axle
from geometry.rig.build import Shaft


@dataclass(frozen=True, slots=True)
class StockShaft:
    """What a stock length would give [mm].

    Attributes
    ----------
    longer_by : Amount
        Than the length of the plan; negative = shorter.
    engagement : Amount
        How far its splines would go in at the planned width.
    engages : bool or None
        Whether those are splines that the shaft has and the gear has room for; None = unknown.
    half, width : Amount
        Pinion centreline to wheel mounting face at the planned engagement, and the axle's width with the other side
        as it is.

    """

    length: float
    longer_by: Amount
    engagement: Amount
    engages: bool | None
    half: Amount
    width: Amount


@dataclass(frozen=True, slots=True)
class ShaftSide:
    """One axle shaft: its length [mm] and what the stock lengths would give, the nearest first."""

    side: PlanSide
    length: Amount
    stock: tuple[StockShaft, ...]


@dataclass(frozen=True, slots=True)
class ShaftPlan:
    """Both axle shafts."""

    axle: str
    left: ShaftSide
    right: ShaftSide


def shaft_plan(axle: Axle) -> ShaftPlan:
    """The axle shafts of an axle at its own width.

    Raises
    ------
    PlanError
        When the parts do not fit into the width, when a shaft would be shorter than its splines, when it goes in
        deeper than its splines are long, or past the pinion's centreline.

    """
    left, right = (_side(axle, half) for half in halves_of(axle))
    return ShaftPlan(axle=axle.id, left=left, right=right)


def _side(axle: Axle, half: Half) -> ShaftSide:
    shaft: Shaft = getattr(build_of(axle), half.side).shaft
    place = f"{half.place}/shaft"
    engagement = given(shaft.engagement, f"{place}/engagement")
    beyond = _beyond(shaft, place)
    _check_engagement(shaft, place, half.side)
    length = half.half + beyond + engagement
    _check_length(axle, shaft, place, half, length)
    stock = [_stock(axle, shaft, half, beyond, each) for each in shaft.stock]
    stock.sort(key=lambda each: abs(each.longer_by.value or 0.0))
    return ShaftSide(half.side, length, tuple(stock))


def _beyond(shaft: Shaft, place: str) -> Amount:
    """What a shaft is longer than half and engagement together [mm]."""
    flange, gear_face, end_play = (
        given(getattr(shaft, name), f"{place}/{name}") for name in ("flange", "gear_face", "end_play")
    )
    return flange - gear_face - end_play


def _stock(axle: Axle, shaft: Shaft, half: Half, beyond: Amount, length: float) -> StockShaft:
    planned = given(shaft.engagement, f"{half.place}/shaft/engagement")
    engagement = Amount(length) - half.half - beyond
    reached = Amount(length) - beyond - planned
    return StockShaft(
        length=length,
        longer_by=engagement - planned,
        engagement=engagement,
        engages=_engages(shaft, engagement.value),
        half=reached,
        width=reached + Amount(axle.width) - half.half,
    )


def _engages(shaft: Shaft, engagement: float | None) -> bool | None:
    if engagement is None or shaft.spline_length is None or shaft.gear_face is None:
        return None
    return SUM < engagement <= min(shaft.spline_length, shaft.gear_face) + SUM


def _check_engagement(shaft: Shaft, place: str, side: PlanSide) -> None:
    if shaft.engagement is None:
        return
    limits = (
        (shaft.spline_length, "its splines are long"),
        (shaft.gear_face, "there is from the end of the side gear's splines to the pinion's centreline"),
    )
    for limit, words in limits:
        if limit is not None and shaft.engagement > limit + SUM:
            by = shaft.engagement - limit
            raise PlanError(
                f"{place}/engagement",
                f"the {side} shaft goes {shaft.engagement:.1f} mm into the side gear, {by:.1f} mm more than the "
                f"{limit:.1f} mm that {words}; make it at most {at_most(limit):.1f} mm",
                by=by,
                nearest=((f"{place}/engagement", at_most(limit)),),
            )


def _check_length(axle: Axle, shaft: Shaft, place: str, half: Half, length: Amount) -> None:
    splines = shaft.spline_length or 0.0
    if length.value is None or length.value > splines + SUM:
        return
    by = splines - length.value
    width = at_least(axle.width + 2.0 * by + 0.1)
    raise PlanError(
        f"{place}/spline_length",
        f"the {half.side} shaft would be {length.value:.1f} mm long, with splines of {splines:.1f} mm on it, "
        f"{by:.1f} mm too short; make the width at least {width:.1f} mm or move the pinion to the other side",
        by=by,
        nearest=((f"axles/{axle.id}/width", width),),
    )
