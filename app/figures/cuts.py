"""Cuts: marks and tube lengths on both sides, and the proof that they add up to the width."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from app.figures.figure import Figure, Group, Kind, refusal_of
from geometry.plan.amount import Amount, given
from geometry.plan.cuts import CutPlan, CutSide, MarkName, Part, cut_plan, sum_of
from geometry.plan.half import SIDES, SUM, build_of
from geometry.plan.soundness import refusals
from geometry.rig.axle import Axle
from geometry.rig.build import BuildSide, Datum, Rounding
from geometry.rig.rig import Rig

SHOP: Final = "Common practice, no source."

DATUMS: Final[dict[Datum, str]] = {
    "pinion": "the pinion's centreline",
    "centre-face": "the face of the centre section",
    "tube-end": "the tube's outer end",
}
"""Where the tape's zero lies."""

CUTS: Final[dict[Datum, str]] = {
    "pinion": "Pinion to tube end",
    "centre-face": "Centre-section face to tube end",
    "tube-end": "Tube, end to end",
}
"""What is rounded, and cut to."""

MARKS: Final[dict[MarkName, tuple[str, str]]] = {
    "pinion": ("Mark: pinion", "the pinion's centreline"),
    "tube_inner_end": ("Mark: tube's inner end", "the inner end of the tube"),
    "centre_face": ("Mark: centre-section face", "the face of the centre section that the tube goes into"),
    "end_face": ("Mark: face of the end", "the face of the knuckle or bearing end that the tube meets"),
    "tube_end": ("Mark: tube's outer end", "the outer end of the tube"),
    "wheel_mount": ("Mark: wheel mount", "the wheel mounting face, before the welds pull it in"),
}

PARTS: Final[dict[Part, tuple[str, str]]] = {
    "end_addition": ("End addition", "What the assembled end adds, from its face to the wheel mounting face."),
    "insertion_end": ("Tube inside the end", "How deep the tube goes into the end, taken off: else it counts twice."),
    "shrink": ("Weld shrink", "By how much the welds will make this side shorter, taken off."),
    "cut": ("Cut, rounded", "The length that the saw goes by."),
    "insertion_centre": ("Tube inside the centre section", "How deep the tube goes into it, taken off."),
    "centre_half": ("Half of the centre section", "The pinion's centreline to the face that the tube goes into."),
}


def cuts(_rig: Rig, axle: Axle) -> Group:
    """Marks and lengths; none where anything refuses the plan, for then nothing may be cut."""
    refused = tuple(refusal_of(each) for each in refusals(axle))
    build = build_of(axle)
    remark = f"From {DATUMS[build.datum]}, on the tacked axle, {rounding_words(build.rounding)}."
    figures = () if refused else tuple(_figures(axle, cut_plan(axle)))
    return Group("cuts", "Cuts", SIDES, figures, remark, refused)


def proof(_rig: Rig, axle: Axle) -> Group:
    """The rounded parts from one wheel mount to the other, and what they add up to."""
    refused = tuple(refusal_of(each) for each in refusals(axle))
    remark = "All parts of both sides add up to the width that the rounded cuts give."
    figures = () if refused else tuple(_proof(axle, cut_plan(axle)))
    return Group("proof", "Proof of the sum", SIDES, figures, remark, refused)


def rounding_words(rounding: Rounding) -> str:
    """How lengths are rounded."""
    return "not rounded" if rounding == "none" else f"rounded to {rounding}"


def _kind(plan: CutPlan) -> Kind:
    """A tape in mm is read in mm, whatever the screen shows."""
    return "mark in mm" if plan.rounding == "0.5 mm" else "mark"


def _figures(axle: Axle, plan: CutPlan) -> Iterator[Figure]:
    for cut_side in (plan.left, plan.right):
        yield from _side(plan, cut_side)
    build, place = build_of(axle), f"axles/{axle.id}/build"
    steered = axle.steering is not None
    yield Figure(
        "between_ends",
        "Between the knuckles" if steered else "Housing, end to end",
        plan.between_ends,
        "length",
        f"Width less both end additions: {'knuckle to knuckle' if steered else 'end face to end face'} when welded.",
    )
    yield Figure(
        "width", "Width asked for", Amount(plan.width), "length", "Wheel mounting face to wheel mounting face."
    )
    yield Figure(
        "width_given", "Width that the cuts give", plan.width_given, "mark",
        f"What the rounded cuts add up to when the axle is welded. {SHOP}",
    )  # fmt: skip
    yield Figure(
        "rounding_error", "Rounding error", plan.rounding_error, "fine",
        f"Width that the cuts give, less the width asked for. {SHOP}",
    )  # fmt: skip
    for side in SIDES:
        parts: BuildSide = getattr(build, side)
        shrink = given(parts.shrink, f"{place}/{side}/shrink")
        words = "What the welds that are still to come take off this side; the plan adds it to the tube."
        yield Figure("shrink", "Weld shrink", shrink, "fine", words, side)
    kerf = given(build.kerf, f"{place}/kerf")
    yield Figure("kerf", "Saw cut", kerf, "fine", f"What one saw cut takes. {SHOP}")
    yield Figure(
        "stock_needed", "Tube needed", plan.stock_needed, "length",
        f"Both pieces from one length, with one saw cut behind each. {SHOP}",
    )  # fmt: skip


def _side(plan: CutPlan, side: CutSide) -> Iterator[Figure]:
    column, datum = side.side, DATUMS[plan.datum]
    words = CUTS[plan.datum]
    yield Figure(
        "cut", f"{words}, to cut", side.cut.rounded, _kind(plan),
        f"The mark that the saw goes by, from {datum}, {rounding_words(plan.rounding)}. {SHOP}", column,
    )  # fmt: skip
    if plan.rounding != "none":
        yield Figure(
            "cut_exact", f"{words}, exact", side.cut.exact, "mark", f"The same before rounding, from {datum}.", column
        )
    yield Figure(
        "tube_cut", "Tube length to cut", side.tube_cut, "mark",
        "Length of the piece that goes with the rounded mark: bare tube, what goes inside both ends, and shrinkage.",
        column,
    )  # fmt: skip
    if plan.rounding != "none":
        yield Figure("tube", "Tube length, exact", side.tube, "mark", "The same before rounding.", column)
    for mark in side.marks:
        label, what = MARKS[mark.name]
        if mark.exact.value is None or abs(mark.exact.value) > SUM:
            sense = "inboard" if plan.datum == "tube-end" else "outboard"
            yield Figure(
                f"mark/{mark.name}", label, mark.rounded, _kind(plan),
                f"From {datum} to {what}, {sense} positive, {rounding_words(plan.rounding)}.", column,
            )  # fmt: skip
    yield Figure(
        "half", "Pinion to wheel mount", side.half, "mark",
        "Pinion's centreline to the wheel mounting face of the finished axle: half the width, less the pinion offset "
        "on the side that the pinion is moved to, more on the other.", column,
    )  # fmt: skip
    yield Figure(
        "showing", "Bare tube", side.showing, "clearance",
        "Tube that shows between the centre section and the end of the finished axle.", column,
    )  # fmt: skip


def _proof(axle: Axle, plan: CutPlan) -> Iterator[Figure]:
    for side in SIDES:
        for term in plan.proof_rounded:
            if term.side == side:
                label, words = PARTS[term.part]
                kind = _kind(plan) if term.part == "cut" else "mark"
                yield Figure(f"term/{term.part}", label, term.value, kind, words, side)
    yield Figure(
        "width_given", "They add up to", sum_of(plan.proof_rounded), "mark", "All terms of both sides together."
    )
    exact = sum_of(plan.proof)
    off = exact - Amount(axle.width)
    wrong = off.value is not None and abs(off.value) > SUM
    yield Figure(
        "width", "Before rounding", exact, "mark", "The same sum with the cuts unrounded: it must be the width.",
        warning="these parts do not add up to the width; do not cut" if wrong else "",
    )  # fmt: skip
    yield Figure("rounding_error", "Rounding error", plan.rounding_error, "fine", "The one less the width asked for.")
