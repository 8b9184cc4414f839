"""Findings in words, the same on screen, on paper and on the command line."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from math import degrees, isfinite
from typing import TYPE_CHECKING, Final, Literal

from app.study import BuiltCheck, Study
from app.units import LengthUnit, format_angle, format_clearance, format_length, format_wanted, in_unit
from geometry.contact.findings import Approach, Band, PairName, Verdict
from geometry.motion.travel import TravelPose
from geometry.plan.as_built import Difference, Measured, is_measured
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig
from geometry.stroke.ends import reach_of, travel_ends
from geometry.stroke.spans import Limit

if TYPE_CHECKING:
    from geometry.stance.rules import WidthRule

Way = Literal["straight", "crossed"]
WAYS: Final[tuple[Way, Way]] = ("straight", "crossed")
"""Ways up on which the first contact is told."""

SAME_TRAVEL: Final = 0.5
"""Travel within which a pose is called by the name of a stop [mm]: less than a mark on any stop."""

CUT: Final = 1.0
"""Travel that shocks, stops and straps take without a word [mm]: what the rubber in their eyes gives."""

BEHIND_END: Final = 1e-3
"""So far behind the end of the travel it is asked what ends it [mm]: more than rounding, less than a step of it."""

SAME_STEER_DEG: Final = 0.25
"""Steering within which it is called straight or full lock [degrees]."""

NOTHING: Final = "–"
"""Stands where a number does not apply."""

MOST_CAUSES: Final = 2
"""Causes that the sentence about the welded axle names: more do not help."""

MEASURED_WORDS: Final[Mapping[Measured, str]] = {
    "width": "width",
    "half_left": "left half",
    "half_right": "right half",
    "halves": "halves together",
    "pinion_offset": "pinion offset",
    "mark_left": "left mark",
    "mark_right": "right mark",
    "caster": "caster",
    "pinion_angle": "pinion angle",
    "tire_diameter": "tire diameter",
    "section_width": "section width",
    "loaded_radius": "loaded radius",
}
"""What was measured on an axle, inside a sentence."""

CAUTION: Final = (
    "Caution: this compares shapes as drawn, without flex, tire growth or wear, and without what is not in the rig "
    "file. Measure and cycle the finished rig before it moves."
)


def verdict_words(verdict: Verdict) -> str:
    """A verdict in one or two words."""
    return {
        Verdict.CONTACT: "touches",
        Verdict.UNKNOWN: "not established",
        Verdict.TIGHT: "tight",
        Verdict.CLEAR: "clear",
    }[verdict]


def verdict_sentence(study: Study, unit: LengthUnit, *, off: Container[str] = ()) -> str:
    """The answer for the whole rig: what is worst, where, by how much, what ends the travel, as built, and what else.

    Parameters
    ----------
    off : container of str
        Keys of the rules that are switched off: what is measured breaks none of them.

    """
    built = _built_in_brief(study, unit, off)
    planned = planned_sentence(study, unit) if built else _answer_sentence(study, unit)
    return " ".join(words for words in (planned, cut_sentences(study, unit), built, rests_words(study.rig)) if words)


def planned_sentence(study: Study, unit: LengthUnit) -> str:
    """The answer as planned, told apart from the one as built."""
    answer = _answer_sentence(study, unit)
    return f"As planned, {answer[:1].lower()}{answer[1:]}"


def built_sentence(study: Study, unit: LengthUnit, *, off: Container[str] = ()) -> str:
    """The answer with what was measured in place of what was planned, what causes it, and what else is wrong with it.

    Empty = nothing was measured, or it was not asked for.
    """
    found = study.as_built
    if found is None:
        return ""
    if found.study is None:
        answer = f"Not established: {in_unit(found.problem, unit)}"
    else:
        answer = _answer_sentence(found.study, unit)
    causes = [
        f"The measured {MEASURED_WORDS[cause.name]}, {difference_words(cause.name, cause.by, unit)}, "
        f"{'bring' if cause.name == 'halves' else 'brings'} it {format_length(cause.closer, unit, step=1 / 32)} closer."
        for cause in found.causes[:MOST_CAUSES]
    ]
    told = [f"{_built_words(study.rig)}, {answer[:1].lower()}{answer[1:]}", *causes, _outside_sentence(found, unit)]
    return " ".join(words for words in (*told, _built_rules(found, off), *_open_words(found, unit)) if words)


def _built_in_brief(study: Study, unit: LengthUnit, off: Container[str]) -> str:
    """The same beside the answer as planned: what is worst, and its first cause."""
    found = study.as_built
    if found is None:
        waits = study.in_short and any(is_measured(axle.as_built) for axle in study.rig.axles)
        return "As built, checked when the drag rests." if waits else ""
    worst, outside = found.worst, _outside_words(found, unit)
    if found.verdict is Verdict.CONTACT and worst is not None:
        answer = f"{_meeting(worst, unit)}."
    elif found.verdict is Verdict.TIGHT and found.study is not None and worst is not None:
        answer = _worst_sentence(worst, found.study, unit)
    elif found.verdict is Verdict.CLEAR:
        answer = f"clear everywhere but out of tolerance: {outside}." if outside else "clear everywhere."
    else:
        return built_sentence(study, unit, off=off)
    cause = "".join(
        f"Cause: {MEASURED_WORDS[cause.name]} {difference_words(cause.name, cause.by, unit)}."
        for cause in found.causes[:1]
    )
    out = f"Out of tolerance: {outside}." if outside and found.verdict is not Verdict.CLEAR else ""
    told = (f"{_built_words(study.rig)}, {answer[:1].lower()}{answer[1:]}", cause, out, _built_rules(found, off))
    return " ".join(words for words in (*told, *_doubt_words(found, unit)) if words)


def _built_words(rig: Rig) -> str:
    """Whose record is meant: “As built (rear axle welded 2026-05-31)”."""
    measured = ((axle.id, axle.as_built) for axle in rig.axles if axle.as_built and is_measured(axle.as_built))
    return f"As built ({', '.join(f'{name} axle {record.stage} {record.date}' for name, record in measured)})"


def _outside_words(found: BuiltCheck, unit: LengthUnit) -> str:
    """The worst of the measured numbers that are out of tolerance, and how many more; empty = none is."""
    if not found.outside:
        return ""
    axle, worst = max(found.outside, key=lambda each: abs(each[1].off or 0.0) / max(each[1].tolerance or 0.0, 1e-9))
    of_axle = f" of the {axle} axle" if len(found.reports) > 1 else ""
    more = f" and {len(found.outside) - 1} more" if len(found.outside) > 1 else ""
    return (
        f"{MEASURED_WORDS[worst.name]}{of_axle}, {difference_words(worst.name, worst.off or 0.0, unit)},{more}".strip(
            ","
        )
    )


def _outside_sentence(found: BuiltCheck, unit: LengthUnit) -> str:
    if not (words := _outside_words(found, unit)):
        return ""
    measured = sum(len(report.measured) for report in found.reports)
    return f"Out of tolerance: {len(found.outside)} of {measured} measured numbers, {words}."


def _built_rules(found: BuiltCheck, off: Container[str]) -> str:
    """The rules that the measured axles break, in a short sentence; empty = none."""
    words = broken_words([rule for rule in found.broken if rule.key not in off])
    return f"As built it breaks {words}." if words else ""


def _open_words(found: BuiltCheck, unit: LengthUnit) -> Iterator[str]:
    """What of the measured numbers is doubtful, or could not be judged, and why."""
    yield from _doubt_words(found, unit)
    for report in found.reports:
        if report.lacks_shrink:
            yield (
                f"The weld shrink of the {report.axle} axle is unknown: nothing is taken off for it, and what it "
                "shortens is not judged."
            )
        if lacking := [MEASURED_WORDS[each.name] for each in report.measured if each.tells_nothing]:
            yield f"Its plan is unknown, so it tells nothing: {', '.join(lacking)}."
    if found.plan_problem:
        yield in_unit(found.plan_problem, unit)


def _doubt_words(found: BuiltCheck, unit: LengthUnit) -> Iterator[str]:
    """A question about each measured length that is far from its plan."""
    yield from (doubt_words(each, unit) for report in found.reports for each in report.differences if each.is_doubted)


def doubt_words(found: Difference, unit: LengthUnit) -> str:
    """A question about a measured length that is far from its plan."""
    measured, size = (format_length(mm or 0.0, unit, step=1 / 32) for mm in (found.measured, found.finished.value))
    words = MEASURED_WORDS[found.name]
    return f"{words[:1].upper()}{words[1:]} {measured} is far from the plan of {size}: is it in the right unit?"


def difference_words(name: Measured, by: float, unit: LengthUnit) -> str:
    """Measured less planned [mm], of angles [rad], in words: “1/2 in over the plan”."""
    if by == 0.0:
        return "as planned"
    size = abs(by)
    angle = name in {"caster", "pinion_angle"}
    words = format_angle(degrees(size)) if angle else format_length(size, unit, step=1 / 32)
    return f"{words} {'over' if by > 0.0 else 'under'} the plan"


def rests_words(rig: Rig) -> str:
    """On how many values that nobody confirmed an answer about a rig rests; empty = on none."""
    count = len(rig.unconfirmed)
    return f"Rests on {count} unconfirmed {'value' if count == 1 else 'values'}." if count else ""


def _answer_sentence(study: Study, unit: LengthUnit) -> str:
    verdict = study.verdict
    if verdict is Verdict.CLEAR:
        return _clear_sentence(study, unit)
    worst = [found for found in study.short if found.verdict is verdict]
    problems = [answer.problem for answer in study.axles if answer.problem]
    if not worst:
        return f"Not established: {' '.join(problems)}"
    others = len(worst) - 1
    first = _first_contact(worst, study, unit) if verdict is Verdict.CONTACT else ""
    more = {
        Verdict.CONTACT: f" {_count(others)} touch{'es' if others == 1 else ''} as well." if others else "",
        Verdict.TIGHT: f" {_count(others)} {'is' if others == 1 else 'are'} tight as well." if others else "",
        Verdict.UNKNOWN: f" {_count(others)} {'is' if others == 1 else 'are'} open as well." if others else "",
    }[verdict]
    return " ".join([_worst_sentence(worst[0], study, unit) + first + more, *problems])


def _count(pairs: int) -> str:
    return "1 other pair" if pairs == 1 else f"{pairs} other pairs"


def _worst_sentence(found: Approach, study: Study, unit: LengthUnit) -> str:
    moving, fixed = part_words(found.moving), part_words(found.fixed)
    if found.verdict is Verdict.TIGHT:
        wanted, low = format_wanted(found.wanted, unit), format_clearance(found.low, unit)
        return f"Tight: {moving} comes within {low} of {fixed}, and {wanted} is wanted."
    if found.verdict is Verdict.UNKNOWN:
        return f"Not established: {moving} to {fixed} could not be settled, {clearance_words(found, unit)}."
    pose = pose_words(found.pose, study.rig.axle(found.axle), unit)
    with_pose = {"crossed": "", "left": "with ", "both": "with "}.get(pose.partition(" ")[0], "at ")
    return f"{_meeting(found, unit)}, worst {with_pose}{pose}."


def _meeting(found: Approach, unit: LengthUnit) -> str:
    """What meets what, and by how much, without a full stop."""
    moving, fixed = part_words(found.moving), part_words(found.fixed)
    by = f"{',' if ',' in fixed else ''} by{' less than' if found.high >= 0.0 else ''}"
    touches = "Touches" if found.high < 0.0 else "Touches, or misses by a hair"
    return f"{touches}: {moving} meets {fixed}{by} {format_clearance(-found.low, unit, up=True)}"


def _first_contact(touching: Sequence[Approach], study: Study, unit: LengthUnit) -> str:
    """Bump left where the first of these pairs meets, on each way up; empty = none meets on the way up."""
    words: list[str] = []
    for way in WAYS:
        starts = ((getattr(found, f"start_{way}"), study.rig.axle(found.axle)) for found in touching)
        left = [bump_left(start, axle, way) for start, axle in starts if start is not None]
        if left:
            first = Band(max(band.low for band in left), max(band.high for band in left))
            words.append(f"{_band_words(first, unit)}{'' if words else ' of bump left'} {way}")
    return f" First contact with {', '.join(words)}." if words else ""


def _clear_sentence(study: Study, unit: LengthUnit) -> str:
    nearest = min(study.approaches, key=lambda found: found.low, default=None)
    if nearest is None:
        return "Nothing to check: no bar, panel or link in the rig file that the axles could meet."
    if nearest.beyond:
        return f"Clear everywhere: nothing comes within {format_clearance(nearest.low, unit)}."
    return f"Clear everywhere: closest is {pair_words(nearest)}, at {format_clearance(nearest.low, unit)}."


def clearance_words(found: Approach, unit: LengthUnit) -> str:
    """The interval of a closest approach, rounded outwards."""
    if not isfinite(found.low):
        return "not established"
    low = format_clearance(found.low, unit)
    if found.beyond:
        return f"over {low}"
    return _range(low, format_clearance(found.high, unit, up=True))


def part_words(part: PartRef) -> str:
    """A part's label on one line, without characters that a screen cannot show."""
    return "".join(sign if sign.isprintable() else " " for sign in " ".join(part.label.split()))


def pair_words(pair: Approach | PairName) -> str:
    """The two parts of a pair: “left rear tire to lower rail, left”."""
    return f"{part_words(pair.moving)} to {part_words(pair.fixed)}"


def pose_words(pose: TravelPose, axle: Axle, unit: LengthUnit) -> str:
    """A pose as it is said in the shop: “full stuff”, “crossed up, left wheel high”, “left +3 in, right -2 in”."""
    words = _travel_words(pose, axle, unit)
    steer = _steer_words(degrees(pose.steer), axle)
    return f"{words}, {steer}" if steer else words


def _travel_words(pose: TravelPose, axle: Axle, unit: LengthUnit) -> str:
    """The name of a pose; of an end that shocks, stops or straps have moved, with the travel that is left there."""
    ends = travel_ends(axle)
    for name, (left, right) in (
        ("ride height", (0.0, 0.0)),
        ("full stuff", (ends.bump, ends.bump)),
        ("full droop", (-ends.droop, -ends.droop)),
        ("crossed up, left wheel high", ends.left_up),
        ("crossed up, right wheel high", ends.right_up),
    ):
        if abs(pose.left - left) <= SAME_TRAVEL and abs(pose.right - right) <= SAME_TRAVEL:
            wanted = {"full stuff": axle.bump, "full droop": -axle.droop}.get(name, left)
            return name if abs(wanted - left) <= SAME_TRAVEL else f"{name} at {_signed(left, unit)}"
    if abs(pose.left - pose.right) <= SAME_TRAVEL:
        return f"both {_signed(pose.left, unit)}"
    return f"left {_side_words(pose.left, axle, unit)}, right {_side_words(pose.right, axle, unit)}"


def _side_words(travel: float, axle: Axle, unit: LengthUnit) -> str:
    if abs(travel - axle.bump) <= SAME_TRAVEL:
        return "full stuff"
    return "full droop" if abs(travel + axle.droop) <= SAME_TRAVEL else _signed(travel, unit)


def _signed(travel: float, unit: LengthUnit) -> str:
    text = format_length(travel, unit)
    return text if travel <= 0.0 or text == format_length(0.0, unit) else f"+{text}"


def _steer_words(steer_deg: float, axle: Axle) -> str:
    if axle.steering is None or abs(steer_deg) <= SAME_STEER_DEG:
        return ""
    side, lock = ("left", axle.steering.lock_left_deg) if steer_deg > 0.0 else ("right", axle.steering.lock_right_deg)
    if abs(abs(steer_deg) - lock) <= SAME_STEER_DEG:
        return f"full {side} lock"
    return f"{format_angle(abs(steer_deg))} {side}"


def lock_words(axle: Axle) -> str:
    """Steering lock to both sides; a dash = not steered."""
    if axle.steering is None:
        return NOTHING
    left, right = format_angle(axle.steering.lock_left_deg), format_angle(axle.steering.lock_right_deg)
    return left if left == right else f"{left} left, {right} right"


def bump_left(start: Band, axle: Axle, way: Way = "straight") -> Band:
    """What remains of the bump travel where contact starts [mm]: the travel that cannot be used."""
    ends = travel_ends(axle)
    bump = ends.bump if way == "straight" else ends.crossed_bump
    low, high = (min(max(bump - travel, 0.0), bump) for travel in (start.high, start.low))
    return Band(low, high)


def cut_sentences(study: Study, unit: LengthUnit) -> str:
    """Where shocks, stops and straps end the travel of each axle before what is wanted; empty = nowhere.

    Nothing in the short answers of a drag, whose axles are new each time: where their travel ends takes long to find.
    """
    return "" if study.in_short else " ".join(words for axle in study.rig.axles if (words := _cut_words(axle, unit)))


def _cut_words(axle: Axle, unit: LengthUnit) -> str:
    """Both wheels together, or else crossed: “Front droop ends at 0 in of 6 1/2 in: front strap is taut.”."""
    ends, name = travel_ends(axle), f"{axle.id[:1].upper()}{axle.id[1:]}"
    told = [
        f"{way} ends at {left_of_words(left, wanted, unit)}{_ended_by(axle, sign * (left + BEHIND_END))}"
        for way, left, wanted, sign in (("bump", ends.bump, axle.bump, 1.0), ("droop", ends.droop, axle.droop, -1.0))
        if wanted - left > CUT
    ]
    corner = (axle.bump - BEHIND_END, BEHIND_END - axle.droop)
    for side, (left, right), (on_left, on_right) in (
        ("left", ends.left_up, corner),
        ("right", ends.right_up, corner[::-1]),
    ):
        if not told and max(abs(on_left - left), abs(on_right - right)) > CUT:
            pose = f"left {_signed(left, unit)}, right {_signed(right, unit)}"
            told.append(f"travel crossed up, {side} wheel high, ends at {pose}{_ended_by(axle, on_left, on_right)}")
    return f"{name} {'; '.join(told)}." if told else ""


def _ended_by(axle: Axle, left: float, right: float | None = None) -> str:
    """The first limit that takes a pose away, behind a colon; one travel = both wheels together."""
    reach = reach_of(axle)
    limits = () if reach is None else reach.ended_by(left, left if right is None else right)
    return f": {limit_words(limits[0])}" if limits else ""


def left_of_words(left: float, wanted: float, unit: LengthUnit) -> str:
    """The travel that is left beside what is wanted, or only that where no more than CUT is taken."""
    whole = format_length(wanted, unit)
    return f"{format_length(left, unit)} of {whole}" if wanted - left > CUT else whole


def limit_words(limit: Limit) -> str:
    """What ends the travel, as “left rear bump stop is solid”."""
    part = limit.span.part
    short = "collapsed" if part.kind == "shock" else "solid"
    long = "at its full length" if part.kind == "shock" else "taut"
    return f"{part.label} is {short if limit.end == 'short' else long}"


def bump_left_words(found: Approach, axle: Axle, unit: LengthUnit) -> str:
    """What remains of the bump travel where contact starts, straight and crossed; a dash = no contact on these ways."""
    return ", ".join(f"{travel} {way}" for travel, way in _start_words(found, axle, unit)) or NOTHING


def _start_words(found: Approach, axle: Axle, unit: LengthUnit) -> list[tuple[str, str]]:
    """Bump left where contact starts, and the way up on which it does."""
    words: list[tuple[str, str]] = []
    for way, start in zip(WAYS, (found.start_straight, found.start_crossed), strict=True):
        if start is not None:
            words.append((_band_words(bump_left(start, axle, way), unit), way))
    return words


def _band_words(band: Band, unit: LengthUnit) -> str:
    return _range(format_length(band.low, unit), format_length(band.high, unit))


def _range(low: str, high: str) -> str:
    """Two lengths as a range, its unit written once; one when they look the same."""
    return low if low == high else f"{low.rpartition(' ')[0]} to {high}"


def short_name(rule: WidthRule) -> str:
    """What bounds the width, in the fewest words."""
    if rule.kind == "trail limit":
        return rule.label.partition(",")[0]
    return rule.kind if rule.kind == "rail pocket" else rule.label


def broken_words(rules: Sequence[WidthRule]) -> str:
    """Some rules in a few words: the first, and how many more; empty = none."""
    more = f" and {len(rules) - 1} more" if len(rules) > 1 else ""
    return f"{short_name(rules[0])}{more}" if rules else ""
