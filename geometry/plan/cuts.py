"""The cut plan: marks and tube lengths on both sides for a width, what their rounding does to it, and the proof.

The datum decides what the builder lays the tape along, and with it which length is rounded: from the pinion's
centreline to the tube's outer end, from the face of the centre section to it, or from one end of the tube to the
other. Marks stand on the tacked axle, before the welds pull it together. Rounding and saw kerf are common practice,
no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import floor, inf
from typing import Final, Literal

from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.plan.amount import Amount, given, missing_of, total
from geometry.plan.half import SUM, Half, PlanSide, build_of, halves_of
from geometry.rig.axle import Axle
from geometry.rig.build import Build, Datum, Rounding
from geometry.rig.wheel import INCH

STEPS: Final[dict[Rounding, float]] = {"none": 0.0, "1/16 in": INCH / 16.0, "1/32 in": INCH / 32.0, "0.5 mm": 0.5}
"""Steps of rounding [mm]; 0 = none."""

TIE: Final = 1e-6
"""Share of a step by which a value may miss the middle between two marks and still be rounded up [-]: the rounding of
a computer, so that equal tubes get equal marks."""

_DIGITS: Final = 9
"""Decimals to which a width that works is told [mm]: within SUM of it."""

MarkName = Literal["pinion", "tube_inner_end", "centre_face", "end_face", "tube_end", "wheel_mount"]
Part = Literal["end_addition", "insertion_end", "insertion_centre", "centre_half", "shrink", "cut"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A place along one side, from the datum outboard, or from the tube's outer end inboard [mm].

    Attributes
    ----------
    exact, rounded : Amount
        As the plan has it, and on the nearest step of the tape.

    """

    name: MarkName
    exact: Amount
    rounded: Amount


@dataclass(frozen=True, slots=True)
class Term:
    """One summand of the proof [mm]; what is taken off has a minus sign."""

    side: PlanSide
    part: Part
    value: Amount


@dataclass(frozen=True, slots=True)
class CutSide:
    """One side of the cut plan [mm].

    Attributes
    ----------
    half : Amount
        Pinion centreline to the wheel mounting face of the finished axle; always known.
    showing : Amount
        Bare tube of the finished axle.
    tube : Amount
        Length of the tube, exact.
    cut : Mark
        The length that the saw goes by: from the datum to the tube's outer end, or the tube's whole length.
    tube_cut : Amount
        Length of the tube that goes with the rounded cut.
    marks : tuple of Mark
        Every other place of this side, inner ones first.

    """

    side: PlanSide
    half: Amount
    showing: Amount
    tube: Amount
    cut: Mark
    tube_cut: Amount
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class CutPlan:
    """All of an axle's cuts at a width [mm].

    Attributes
    ----------
    proof, proof_rounded : tuple of Term
        What adds up to `width` and to `width_given`.
    width_given, rounding_error : Amount
        The width that the rounded cuts really give, and that less the width that was asked for.
    between_ends : Amount
        Between the faces of the two ends that the tubes meet, on the finished axle: between the knuckles of a steered
        axle; the housing from end to end.
    stock_needed : Amount
        Tube that both pieces take from one length with one saw cut behind each.
    missing : tuple of str
        Places of all values that some number of the plan lacks.

    """

    axle: str
    width: float
    pinion_offset: float
    datum: Datum
    rounding: Rounding
    left: CutSide
    right: CutSide
    proof: tuple[Term, ...]
    proof_rounded: tuple[Term, ...]
    width_given: Amount
    rounding_error: Amount
    between_ends: Amount
    stock_needed: Amount
    missing: tuple[str, ...]


def cut_plan(axle: Axle, width: float | None = None) -> CutPlan:
    """The cut plan of an axle at its own width or at another one [mm].

    Raises
    ------
    PlanError
        When its parts do not fit into the width, or when rounding makes more of an error than the builder allows.

    """
    plan = _planned(axle if width is None else replace(axle, width=width))
    _check_rounding(axle, plan)
    return plan


def rounded(value: float, step: float) -> float:
    """The nearest multiple of a step, a tie upward; step 0 = the value itself."""
    return value if step == 0.0 else floor(value / step + 0.5 + TIE) * step


def sum_of(terms: tuple[Term, ...]) -> Amount:
    """What the terms of a proof add up to [mm]."""
    return total(term.value for term in terms)


def _planned(axle: Axle) -> CutPlan:
    halves, build = halves_of(axle), build_of(axle)
    left, right = _side(halves[0], build), _side(halves[1], build)
    exact = _proof(halves, (left.cut.exact, right.cut.exact), build.datum)
    as_cut = _proof(halves, (left.cut.rounded, right.cut.rounded), build.datum)
    width_given = sum_of(as_cut)
    kerf = given(build.kerf, f"axles/{axle.id}/build/kerf")
    stock = total((left.tube_cut, right.tube_cut, kerf, kerf))
    return CutPlan(
        axle=axle.id,
        width=axle.width,
        pinion_offset=axle.housing.pinion_offset,
        datum=build.datum,
        rounding=build.rounding,
        left=left,
        right=right,
        proof=exact,
        proof_rounded=as_cut,
        width_given=width_given,
        rounding_error=width_given - Amount(axle.width),
        between_ends=Amount(axle.width) - halves[0].end_addition - halves[1].end_addition,
        stock_needed=stock,
        missing=missing_of((halves[0].tube, halves[1].tube, kerf)),
    )


def _side(half: Half, build: Build) -> CutSide:
    step = STEPS[build.rounding]
    places = _PLACES[build.datum](half)
    marks: dict[MarkName, Mark] = {
        name: Mark(name, place, place.turned_into(lambda value: rounded(value, step))) for name, place in places.items()
    }
    cut = marks.pop("tube_inner_end" if build.datum == "tube-end" else "tube_end")
    return CutSide(
        side=half.side,
        half=half.half,
        showing=half.showing,
        tube=half.tube,
        cut=cut,
        tube_cut=half.tube + cut.rounded - cut.exact,
        marks=tuple(marks.values()),
    )


def _from_pinion(half: Half) -> dict[MarkName, Amount]:
    wheel_mount = half.half + half.shrink
    end_face = wheel_mount - half.end_addition
    return {
        "pinion": Amount(0.0),
        "tube_inner_end": half.centre_half - half.insertion_centre,
        "centre_face": half.centre_half,
        "end_face": end_face,
        "tube_end": end_face + half.insertion_end,
        "wheel_mount": wheel_mount,
    }


def _from_centre_face(half: Half) -> dict[MarkName, Amount]:
    end_face = half.showing + half.shrink
    return {
        "pinion": -half.centre_half,
        "tube_inner_end": -half.insertion_centre,
        "centre_face": Amount(0.0),
        "end_face": end_face,
        "tube_end": end_face + half.insertion_end,
        "wheel_mount": half.half - half.centre_half + half.shrink,
    }


def _from_tube_end(half: Half) -> dict[MarkName, Amount]:
    return {
        "pinion": half.half - half.end_addition + half.insertion_end + half.shrink,
        "tube_inner_end": half.tube,
        "centre_face": half.showing + half.insertion_end + half.shrink,
        "end_face": half.insertion_end,
        "tube_end": Amount(0.0),
        "wheel_mount": half.insertion_end - half.end_addition,
    }


_PLACES: Final[dict[Datum, Callable[[Half], dict[MarkName, Amount]]]] = {
    "pinion": _from_pinion,
    "centre-face": _from_centre_face,
    "tube-end": _from_tube_end,
}
"""Places on the tacked axle from each datum [mm]."""


def _proof(halves: tuple[Half, Half], cuts: tuple[Amount, Amount], datum: Datum) -> tuple[Term, ...]:
    """What makes up the finished width from left to right: each side's end, cut and, past the datum, the middle."""
    left, right = (_terms(half, cut, datum) for half, cut in zip(halves, cuts, strict=True))
    return (*left, *reversed(right))


def _terms(half: Half, cut: Amount, datum: Datum) -> tuple[Term, ...]:
    """The terms of one side, outer ones first; they add up to its half."""
    terms = [
        Term(half.side, "end_addition", half.end_addition),
        Term(half.side, "insertion_end", -half.insertion_end),
        Term(half.side, "shrink", -half.shrink),
        Term(half.side, "cut", cut),
    ]
    if datum == "tube-end":
        terms.append(Term(half.side, "insertion_centre", -half.insertion_centre))
    if datum != "pinion":
        terms.append(Term(half.side, "centre_half", half.centre_half))
    return tuple(terms)


def _check_rounding(axle: Axle, plan: CutPlan) -> None:
    limit, error = build_of(axle).rounding_limit, plan.rounding_error.value
    if limit is None or error is None or abs(error) <= limit + SUM:
        return
    assert plan.width_given.value is not None  # noqa: S101  (its error is known)
    step = STEPS[plan.rounding]
    # At the width that the cuts give both are rounded to the same marks, so that nothing is lost there. Equal halves
    # lose nothing at every second step only.
    widths = [round(plan.width_given.value + steps * step, _DIGITS) for steps in range(-2, 3)]
    works = [width for width in widths if _error_at(axle, width) <= limit + SUM]
    works = sorted(works, key=lambda width: abs(width - plan.width))[:2]
    raise PlanError(
        f"axles/{axle.id}/build/rounding",
        f"cuts rounded to {plan.rounding} give a width of {plan.width_given.value:.10g} mm, {abs(error):.3f} mm off "
        f"the {plan.width:.10g} mm that is asked for, and {limit:g} mm is allowed; choose a width of "
        f"{' or '.join(f'{width:.10g} mm' for width in works)}, or a finer rounding",
        by=abs(error) - limit,
        nearest=tuple((f"axles/{axle.id}/width", width) for width in works),
    )


def _error_at(axle: Axle, width: float) -> float:
    """Rounding error at another width [mm]; infinite where the parts do not fit."""
    try:
        error = _planned(replace(axle, width=width)).rounding_error.value
    except PlanError:
        return inf
    assert error is not None  # noqa: S101  (it is known at the plan's own width, with the same parts)
    return abs(error)
