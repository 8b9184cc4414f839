"""Width and pinion offset of an axle as it was measured, what nobody measured as planned, and what contradicts itself.

width = left half + right half;  pinion offset = (right half − left half) / 2;  a mark tells the half it ends in.
A tacked axle stands wider than the finished one by the weld shrink that is still to come, per side. Common practice,
no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.plan.amount import Amount
from geometry.plan.cuts import CutPlan, cut_plan
from geometry.plan.half import SIDES, SUM, PlanSide, build_of, half_of
from geometry.rig.axle import Axle
from geometry.rig.build import AsBuilt

MeasuredLength = Literal["width", "half_left", "half_right", "pinion_offset", "mark_left", "mark_right"]
Stage = Literal["tacked", "welded"]

TWICE: Final = 3.2
"""By how much two ways to measure the same length may differ [mm]: 1/8 in, a tape that is read to a sixteenth at both
ends. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """The finished axle as its measured lengths have it.

    Attributes
    ----------
    width, pinion_offset : float
        [mm], the latter left positive.
    contradictions : tuple of str
        Measured numbers that cannot all be true, a sentence each, written as in RigError; empty = none.

    """

    width: float
    pinion_offset: float
    contradictions: tuple[str, ...]


def planned_lengths(axle: Axle, stage: Stage) -> dict[MeasuredLength, Amount]:
    """What each length must be at a stage [mm]: halves and width of a tacked axle are longer by the shrink to come.

    Raises
    ------
    PlanError
        When the plan cannot be built.

    """
    plan = cut_plan(axle)
    left, right = (_to_come(axle, side, stage) for side in SIDES)
    return {
        "width": Amount(axle.width) + left + right,
        "half_left": plan.left.half + left,
        "half_right": plan.right.half + right,
        "pinion_offset": Amount(axle.housing.pinion_offset) + (right - left).turned_into(lambda by: by / 2.0),
        "mark_left": _mark(axle, plan, "left", stage),
        "mark_right": _mark(axle, plan, "right", stage),
    }


def measured_lengths(axle: Axle, record: AsBuilt) -> Lengths:
    """Width and pinion offset of the finished axle from what was measured of it, at whichever stage.

    A half that was not measured follows from its mark, from width or offset and the other half, or is as planned. A
    weld shrink that nobody gave takes nothing off.
    """
    pull = [_to_come(axle, side, record.stage).value or 0.0 for side in SIDES]
    plan = [(half_of(axle, side).half.value or 0.0) + by for side, by in zip(SIDES, pull, strict=True)]
    marks = [_from_mark(axle, record, side) for side in SIDES]
    left, right = (
        half if half is not None else mark
        for half, mark in zip((record.half_left, record.half_right), marks, strict=True)
    )
    contradictions = tuple(_contradictions(record, marks))
    if left is None and right is None:
        width = record.width if record.width is not None else sum(plan)
        offset = record.pinion_offset if record.pinion_offset is not None else (plan[1] - plan[0]) / 2.0
    else:
        left = left if left is not None else _other(record, right or 0.0, plan[0], sign=-1.0)
        right = right if right is not None else _other(record, left, plan[1], sign=1.0)
        width = record.width if record.width is not None else left + right
        offset = record.pinion_offset if record.pinion_offset is not None else (right - left) / 2.0
    width, offset = width - sum(pull), offset - (pull[1] - pull[0]) / 2.0
    return Lengths(
        _unless(width, axle.width), _unless(offset, axle.housing.pinion_offset), contradictions=contradictions
    )


def _unless(value: float, planned: float) -> float:
    """The planned value where only rounding of a sum tells them apart."""
    return planned if abs(value - planned) <= SUM else value


def _to_come(axle: Axle, side: PlanSide, stage: Stage) -> Amount:
    """How much a side is still to shrink [mm]."""
    return half_of(axle, side).shrink if stage == "tacked" else Amount(0.0)


def _mark(axle: Axle, plan: CutPlan, side: PlanSide, stage: Stage) -> Amount:
    """Where a rounded mark stands [mm]: the plan has it before the welds pull; a tube's own length stays."""
    cut: Amount = getattr(plan, side).cut.rounded
    return cut if stage == "tacked" or plan.datum == "tube-end" else cut - half_of(axle, side).shrink


def _from_mark(axle: Axle, record: AsBuilt, side: PlanSide) -> float | None:
    """The half that a measured mark makes at its stage [mm]; None = not measured, or what is between is unknown."""
    mark: float | None = getattr(record, f"mark_{side}")
    if mark is None:
        return None
    build = build_of(axle)
    if record.stage == "welded" and build.datum != "tube-end":
        sides = {name: replace(getattr(build, name), shrink=0.0) for name in SIDES}
        axle = replace(axle, build=replace(build, **sides))
    try:
        cut = getattr(cut_plan(replace(axle, build=replace(build_of(axle), rounding="none"))), side).cut.exact.value
    except PlanError:
        return None
    half = half_of(axle, side).half + _to_come(axle, side, record.stage)
    return None if cut is None or half.value is None else half.value + mark - cut


def _other(record: AsBuilt, half: float, planned: float, *, sign: float) -> float:
    """The half that was not measured [mm], beside one that was; `sign` is +1 for the right half."""
    if record.width is not None:
        return record.width - half
    return planned if record.pinion_offset is None else half + sign * 2.0 * record.pinion_offset


def _contradictions(record: AsBuilt, marks: list[float | None]) -> Iterator[str]:
    """What cannot all be true of the measured numbers, all of them at their stage."""
    halves = {"left": record.half_left, "right": record.half_right}
    for (side, half), mark in zip(halves.items(), marks, strict=True):
        if half is not None and mark is not None:
            yield from _off(f"the {side} mark makes a {side} half of", mark, half)
    left, right = (half if half is not None else mark for half, mark in zip(halves.values(), marks, strict=True))
    width, offset = record.width, record.pinion_offset
    if left is not None and right is not None:
        if width is not None:
            yield from _off(f"halves of {left:.1f} mm and {right:.1f} mm make a width of", left + right, width)
        if offset is not None:
            words = f"halves of {left:.1f} mm and {right:.1f} mm make a pinion offset of"
            yield from _off(words, (right - left) / 2.0, offset)
    elif width is not None and offset is not None and (half := left if left is not None else right) is not None:
        side, sign = ("left", -1.0) if left is not None else ("right", 1.0)
        words = f"width {width:.1f} mm and pinion offset {offset:.1f} mm make a {side} half of"
        yield from _off(words, width / 2.0 + sign * offset, half)


def _off(words: str, made: float, measured: float) -> Iterator[str]:
    if (by := abs(made - measured)) > TWICE:
        yield f"{words} {made:.1f} mm, and {measured:.1f} mm was measured, {by:.1f} mm off; measure again"
