"""The answers for other programs: JSON with a schema of its own, in full precision.

Lengths are in mm, angles in degrees, and every key says so. What is not known is null.
A key is only ever added under the same version number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import degrees, isfinite
from typing import Annotated, Literal, cast

import msgspec
from msgspec import Meta, Struct

from app.files.rule_answer import RuleAnswer, rule_answer
from app.files.schema import schema_of
from app.study import AxleAnswer, BuiltCheck, Cause, Study
from app.units import LengthUnit
from app.width_rules import KnownRules, common_spans, curve_states, headline
from app.wording import Way, built_sentence, bump_left
from geometry.contact.findings import Approach, Band, PairKind, PairName, WidthBound, WidthCurve
from geometry.motion.travel import TravelPose
from geometry.plan.as_built import ANGLES, Difference
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef, Side, SolidKind
from geometry.rig.rig import Rig
from geometry.stroke.ends import travel_ends

VerdictName = Annotated[Literal["contact", "unknown", "tight", "clear"], Meta(description="unknown = not established.")]
Point = Annotated[tuple[float, float, float], Meta(description="x forward, y left, z up [mm].")]


class PartAnswer(Struct, frozen=True, kw_only=True):
    """One part.

    Attributes
    ----------
    id : str
        As in the rig file; for what an axle moves, the axle's or the rod's.
    side : str
        Empty = on the centre plane, or across it.
    label : str
        Words for people.

    """

    kind: SolidKind
    id: str
    side: Side
    label: str


class PoseAnswer(Struct, frozen=True, kw_only=True):
    """One pose of an axle.

    Attributes
    ----------
    left_mm, right_mm : float
        Travel at the stop stations, bump positive, ride height zero [mm].
    steer_deg : float
        Turn of both wheels about their kingpins, left turn positive [degrees].

    """

    left_mm: float
    right_mm: float
    steer_deg: float


class BandAnswer(Struct, frozen=True, kw_only=True):
    """A travel known to lie between two numbers [mm]."""

    low_mm: float
    high_mm: float


class PairAnswer(Struct, frozen=True, kw_only=True):
    """Closest approach of one pair over the whole travel.

    Attributes
    ----------
    wanted_mm : float
        Clearance asked for [mm].
    low_mm : float or null
        No pose comes below this; negative = overlap [mm].
    high_mm : float or null
        A pose has at most this [mm]; null for a pair that is beyond.
    beyond : bool
        Proved farther than low_mm and not looked into further.
    settled : bool
        False = the search ended before low_mm and high_mm were close enough to each other.
    pose : PoseAnswer or null
        Where high_mm was found; null for a pair that is beyond.
    on_moving_mm, on_fixed_mm : point or null
        The two closest points in that pose [mm]; null for a pair that is beyond.
    contact_start_straight, contact_start_crossed : BandAnswer or null
        Own wheel's travel upward from ride height at which contact starts, with both wheels rising together, or with
        the other one drooping [mm]; null = no contact on that way up.
    bump_left_straight, bump_left_crossed : BandAnswer or null
        Full bump less the above: the bump travel that contact takes away [mm].

    """

    kind: PairKind
    moving: PartAnswer
    fixed: PartAnswer
    verdict: VerdictName
    wanted_mm: float
    low_mm: float | None
    high_mm: float | None
    beyond: bool
    settled: bool
    pose: PoseAnswer | None
    on_moving_mm: Point | None
    on_fixed_mm: Point | None
    contact_start_straight: BandAnswer | None
    contact_start_crossed: BandAnswer | None
    bump_left_straight: BandAnswer | None
    bump_left_crossed: BandAnswer | None


class AxleResult(Struct, frozen=True, kw_only=True):
    """What was established for one axle.

    Attributes
    ----------
    id : str
        As in the rig file.
    problem : str or null
        Why the axle cannot follow its travel; then there are no pairs and the verdict is unknown.
    width_mm, track_mm, outer_width_mm : float
        Wheel-mount width, tire centre to tire centre, outside to outside of the tires [mm].
    bump_mm, droop_mm : float
        Travel wanted, at the stop stations [mm].
    bump_reached_mm, droop_reached_mm : float
        How far both wheels together get of it, as shocks, stops and straps end it [mm].
    closure_mm : float or null
        Largest residual of a rod's length over the travel [mm].
    pose_error_mm : float or null
        Bound on the error of a pose at the tires, already taken off every low_mm [mm].
    pairs : list
        Worst margin first.
    rules : list
        What else bounds the width.

    """

    id: str
    name: str
    verdict: VerdictName
    problem: str | None
    width_mm: float
    track_mm: float
    outer_width_mm: float
    bump_mm: float
    droop_mm: float
    bump_reached_mm: float
    droop_reached_mm: float
    closure_mm: float | None
    pose_error_mm: float | None
    pairs: tuple[PairAnswer, ...]
    rules: tuple[RuleAnswer, ...]


class CauseAnswer(Struct, frozen=True, kw_only=True):
    """A measured number that brings the worst pair closer than the plan does.

    Attributes
    ----------
    axle : str
        Its id.
    name : str
        Of the number, as in the record of the rig file, without its unit; halves = both halves together.
    by_mm, by_deg : float or null
        Measured less planned, a length [mm] or an angle [degrees].
    closer_mm : float
        By how much it alone brings the pair closer in its worst pose [mm].

    """

    axle: str
    name: str
    by_mm: float | None
    by_deg: float | None
    closer_mm: float


class MeasuredAnswer(Struct, frozen=True, kw_only=True):
    """One measured number beside its plan.

    Attributes
    ----------
    axle : str
        Its id.
    name : str
        As in the record of the rig file, without its unit; halves = both halves together, beside the measured width.
    unit : str
        Of all its numbers.
    planned : float or null
        At the stage at which it was measured, a tacked axle being wider by the weld shrink to come; null = unknown.
    finished : float or null
        The same on the finished axle.
    off : float or null
        Measured less planned; null = unknown.
    tolerance : float or null
        Allowed either way; null = none.
    within : bool or null
        Whether it is in tolerance; null = not judged.

    """

    axle: str
    name: str
    unit: Literal["mm", "deg"]
    measured: float
    planned: float | None
    finished: float | None
    off: float | None
    tolerance: float | None
    within: bool | None


class BuiltAnswer(Struct, frozen=True, kw_only=True):
    """The check with what was measured on the axles in place of what was planned.

    Attributes
    ----------
    sentence : str
        This verdict in words, with what causes it.
    problem : str or null
        Why nothing could be checked; then there are no axles.
    causes : list
        The most important first; empty = clear, or no closer than planned.
    measured : list
        Everything that was measured, beside its plan.
    out_of_tolerance : int
        How many of these are out of tolerance [-].
    rules_broken : list
        Rules that the measured axles break, by their labels.

    """

    verdict: VerdictName
    sentence: str
    problem: str | None
    causes: tuple[CauseAnswer, ...]
    axles: tuple[AxleResult, ...]
    measured: tuple[MeasuredAnswer, ...]
    out_of_tolerance: int
    rules_broken: tuple[str, ...]


class PairNameAnswer(Struct, frozen=True, kw_only=True):
    """Names a pair."""

    kind: PairKind
    moving: PartAnswer
    fixed: PartAnswer


class SampleAnswer(Struct, frozen=True, kw_only=True):
    """Everything at one width.

    Attributes
    ----------
    low_mm, high_mm : float or null
        The closest approach of all pairs together lies between these [mm].
    margin_low_mm, margin_high_mm : float or null
        The same for clearance less wanted clearance; from zero up every pair is clear [mm].
    nearest, tightest : PairNameAnswer or null
        Pair with the closest approach, and with the least margin; null = none is near.

    """

    width_mm: float
    low_mm: float | None
    high_mm: float | None
    margin_low_mm: float | None
    margin_high_mm: float | None
    nearest: PairNameAnswer | None
    tightest: PairNameAnswer | None


class BoundAnswer(Struct, frozen=True, kw_only=True):
    """One edge of a width window.

    Attributes
    ----------
    width_mm : float
        Last width that is proved clear [mm].
    beyond_mm : float
        Nearest width outside at which a pair is not clear [mm]; equal to width_mm at the end of the range.
    reason : PairNameAnswer or null
        The pair that is not clear there; null = the end of the range that was looked at.

    """

    width_mm: float
    beyond_mm: float
    reason: PairNameAnswer | None


class WindowAnswer(Struct, frozen=True, kw_only=True):
    """Widths between two edges, all of them proved clear."""

    low: BoundAnswer
    high: BoundAnswer


class CurveAnswer(Struct, frozen=True, kw_only=True):
    """Closest approach against the width of one axle, the others as drawn.

    Attributes
    ----------
    axle : str
        Its id.
    complete : bool
        False = the search ended early; the windows then are not all there is to know.
    windows : list
        By rising width; empty = no width in the range is clear.
    rules : list
        What else bounds the width, at the axle's own one.
    all_hold_mm : list or null
        Widths from, to between which every pair clears and every rule holds [mm]; null = unknown.

    """

    axle: str
    complete: bool
    samples: tuple[SampleAnswer, ...]
    windows: tuple[WindowAnswer, ...]
    rules: tuple[RuleAnswer, ...]
    all_hold_mm: tuple[tuple[float, float], ...] | None


class Answer(Struct, frozen=True, kw_only=True):
    """All that was established for one rig. Lengths are in mm, angles in degrees.

    Attributes
    ----------
    verdict : str
        As planned.
    sentence : str
        The verdict in words, as planned and as built, with the rules that are broken.
    as_built : BuiltAnswer or null
        null = nothing was measured, or another width was asked for.
    unconfirmed : int
        Values of the rig that nobody has confirmed, so that the answer rests on defaults [-].
    tolerance_mm : float
        Width that was asked for of each interval from low_mm to high_mm [mm].
    curves : list
        Closest approach against width, for the axles for which it was asked.

    """

    format: Literal["wheelroom-answer"] = "wheelroom-answer"
    version: Literal[1] = 1
    rig: str
    verdict: VerdictName
    sentence: str
    unconfirmed: int
    tolerance_mm: float
    axles: tuple[AxleResult, ...]
    curves: tuple[CurveAnswer, ...]
    as_built: BuiltAnswer | None = None


class WidthsAnswer(Struct, frozen=True, kw_only=True):
    """Closest approach against width, one curve for each axle that was asked for. Lengths are in mm."""

    format: Literal["wheelroom-widths"] = "wheelroom-widths"
    version: Literal[1] = 1
    rig: str
    curves: tuple[CurveAnswer, ...]


def answer_to_json(study: Study, curves: Sequence[WidthCurve] = (), unit: LengthUnit = LengthUnit.FRACTION) -> bytes:
    """The answers as JSON, UTF-8; `unit` is that of the sentence only."""
    rules = KnownRules()
    answer = Answer(
        rig=study.rig.name,
        verdict=study.verdict.value,
        sentence=headline(study, rules, unit),
        unconfirmed=len(study.rig.unconfirmed),
        tolerance_mm=study.tolerance,
        axles=tuple(_axle(found, study, rules) for found in study.axles),
        curves=tuple(_curve(study.rig, curve, rules) for curve in curves),
        as_built=None if study.as_built is None else _built(study, study.as_built, unit),
    )
    return _text(answer)


def widths_to_json(rig: Rig, curves: Sequence[WidthCurve]) -> bytes:
    """Width curves of a rig without the rest, as JSON, UTF-8."""
    rules = KnownRules()
    return _text(WidthsAnswer(rig=rig.name, curves=tuple(_curve(rig, curve, rules) for curve in curves)))


def answer_schema_bytes() -> bytes:
    """The JSON Schema (draft 2020-12) of the answers, the text of ``assets/answer.schema.json``."""
    return schema_of(Answer, "Wheelroom answer")


def widths_schema_bytes() -> bytes:
    """The JSON Schema (draft 2020-12) of width curves without the rest."""
    return schema_of(WidthsAnswer, "Wheelroom widths")


def _text(answer: Answer | WidthsAnswer) -> bytes:
    return msgspec.json.format(msgspec.json.encode(answer), indent=2) + b"\n"


def known(number: float) -> float | None:
    """A number that is one, else None."""
    return number if isfinite(number) else None


def _built(study: Study, found: BuiltCheck, unit: LengthUnit) -> BuiltAnswer:
    built = found.study
    return BuiltAnswer(
        verdict=found.verdict.value,
        sentence=built_sentence(study, unit),
        problem=found.problem or None,
        causes=tuple(_cause(cause) for cause in found.causes),
        axles=() if built is None else tuple(_axle(answer, built, KnownRules()) for answer in built.axles),
        measured=tuple(_measured(report.axle, each) for report in found.reports for each in report.measured),
        out_of_tolerance=len(found.outside),
        rules_broken=tuple(rule.label for rule in found.broken),
    )


def _measured(axle: str, found: Difference) -> MeasuredAnswer:
    angle = found.name in ANGLES
    numbers = (found.measured, found.planned.value, found.finished.value, found.by.value, found.tolerance)
    measured, planned, finished, off, tolerance = (
        degrees(number) if angle and number is not None else number for number in numbers
    )
    return MeasuredAnswer(
        axle=axle,
        name=found.name,
        unit="deg" if angle else "mm",
        measured=measured or 0.0,
        planned=planned,
        finished=finished,
        off=off,
        tolerance=tolerance,
        within=found.within,
    )


def _cause(cause: Cause) -> CauseAnswer:
    angle = cause.name in ANGLES
    return CauseAnswer(
        axle=cause.axle,
        name=cause.name,
        by_mm=None if angle else cause.by,
        by_deg=degrees(cause.by) if angle else None,
        closer_mm=cause.closer,
    )


def _axle(found: AxleAnswer, study: Study, rules: KnownRules) -> AxleResult:
    axle = study.rig.axle(found.axle)
    ends = travel_ends(axle)
    return AxleResult(
        id=found.axle,
        name=axle.name,
        verdict=replace(study, axles=(found,)).verdict.value,
        problem=found.problem or None,
        width_mm=found.width,
        track_mm=found.track,
        outer_width_mm=found.outer_width,
        bump_mm=axle.bump,
        droop_mm=axle.droop,
        bump_reached_mm=ends.bump,
        droop_reached_mm=ends.droop,
        closure_mm=known(found.closure),
        pose_error_mm=known(found.pose_error),
        pairs=tuple(_pair(pair, axle) for pair in found.approaches),
        rules=tuple(rule_answer(rule, found.width) for rule in rules.of(study.rig, axle.id)),
    )


def _pair(found: Approach, axle: Axle) -> PairAnswer:
    return PairAnswer(
        kind=found.kind,
        moving=_part(found.moving),
        fixed=_part(found.fixed),
        verdict=found.verdict.value,
        wanted_mm=found.wanted,
        low_mm=known(found.low),
        high_mm=known(found.high),
        beyond=found.beyond,
        settled=found.settled,
        pose=None if found.beyond else _pose(found.pose),
        on_moving_mm=found.on_moving,
        on_fixed_mm=found.on_fixed,
        contact_start_straight=_band(found.start_straight),
        contact_start_crossed=_band(found.start_crossed),
        bump_left_straight=_left(found.start_straight, axle, "straight"),
        bump_left_crossed=_left(found.start_crossed, axle, "crossed"),
    )


def _pose(pose: TravelPose) -> PoseAnswer:
    return PoseAnswer(left_mm=pose.left, right_mm=pose.right, steer_deg=degrees(pose.steer))


def _part(part: PartRef) -> PartAnswer:
    kind = cast("SolidKind", part.kind)  # points touch nothing, so no answer is about one
    return PartAnswer(kind=kind, id=part.id, side=part.side, label=part.label)


def _band(band: Band | None) -> BandAnswer | None:
    return None if band is None else BandAnswer(low_mm=band.low, high_mm=band.high)


def _left(start: Band | None, axle: Axle, way: Way) -> BandAnswer | None:
    return None if start is None else _band(bump_left(start, axle, way))


def _curve(rig: Rig, curve: WidthCurve, rules: KnownRules) -> CurveAnswer:
    samples = tuple(
        SampleAnswer(
            width_mm=sample.width,
            low_mm=known(sample.low),
            high_mm=known(sample.high),
            margin_low_mm=known(sample.margin_low),
            margin_high_mm=known(sample.margin_high),
            nearest=_pair_name(sample.nearest),
            tightest=_pair_name(sample.tightest),
        )
        for sample in curve.samples
    )
    windows = tuple(WindowAnswer(low=_bound(window.low), high=_bound(window.high)) for window in curve.windows)
    spans = None
    if curve.samples:
        states = curve_states(rig, curve, rules, LengthUnit.MM)
        spans = common_spans(states, curve.samples[0].width, curve.samples[-1].width)
    return CurveAnswer(
        axle=curve.axle,
        complete=curve.complete,
        samples=samples,
        windows=windows,
        rules=tuple(rule_answer(rule, rig.axle(curve.axle).width) for rule in rules.of(rig, curve.axle)),
        all_hold_mm=spans,
    )


def _bound(bound: WidthBound) -> BoundAnswer:
    return BoundAnswer(width_mm=bound.width, beyond_mm=bound.beyond, reason=_pair_name(bound.reason))


def _pair_name(pair: PairName | None) -> PairNameAnswer | None:
    if pair is None:
        return None
    return PairNameAnswer(kind=pair.kind, moving=_part(pair.moving), fixed=_part(pair.fixed))
