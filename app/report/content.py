"""The clearance report in words and rows: no painting here, and every number straight from the study."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import degrees, isfinite
from typing import Final

from app.study import AxleAnswer, Study
from app.units import LengthUnit, format_angle, format_clearance, format_length, format_wanted
from app.widths import miss_words, nearest_miss
from app.wording import bump_left_words, clearance_words, pair_words, pose_words, verdict_words
from geometry.contact.findings import Approach, Verdict, WidthBound, WidthCurve
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle
from geometry.rig.layout import bar_paths, panel_facets
from geometry.rig.leaf import BOLTS
from geometry.rig.rig import WantedClearance
from geometry.rig.wheel import tire_dimensions, wheel_offset
from geometry.tolerances import FAR, OVERLAP_SHARE

NEAREST: Final = 20
"""Clear pairs that are listed behind those that are not clear: what a builder may still want to look at."""

UNKNOWN: Final = "not established"

CLOSEST_COLUMNS: Final = ("Verdict", "Pair", "Clearance", "Wanted", "Bump left at contact", "Pose of closest approach")

CAUTIONS: Final = (
    (
        "Steering, brakes, axles and welds carry lives. This report compares shapes on a computer; it says nothing of "
        "strength, welds, handling or brakes."
    ),
    "Measure the finished rig and cycle it through its whole travel, by hand and without springs, before it moves.",
    "Rules for altered vehicles differ from place to place; work that the law gives to licensed people is theirs.",
    "A number that could not be established is shown as not established, and is no reason to go ahead.",
)

MOTION: Final = (
    "Each axle moves as a rigid body on its rods through every left and right travel between full droop and full "
    "stuff, steered wheels through every angle between their locks. Travel is measured at the stop stations."
)
SOLIDS: Final = (
    "Tires are solids of revolution at their free radius with rounded shoulders, bars round tubes along their bends, "
    "panels sheets of their thickness. The ends of each rod, given with the inputs, take no part."
)
LEFT_OUT: Final = (
    "Not in it: flex of tire, frame, joints and bushings, tire growth, wear, and every part that the rig file does not "
    "hold, such as springs, axle shafts, brake lines and people."
)

WANTED_NAMES: Final = {
    "tire_bar": "tire to bar",
    "tire_panel": "tire to panel",
    "tire_link": "tire to own link",
    "tire_shock": "tire to own shock",
    "axle_bar": "axle to bar",
    "axle_panel": "axle to panel",
    "link_bar": "link to bar",
    "link_panel": "link to panel",
    "shock_bar": "shock to bar",
    "shock_panel": "shock to panel",
    "shaft_bar": "driveshaft to bar",
    "shaft_panel": "driveshaft to panel",
    "tire_tie_rod": "tire to own tie rod",
    "link_own": "link to own link and axle",
    "shock_own": "shock to own link and axle",
    "shaft_own": "driveshaft to own link and shock",
    "tie_rod_own": "tie rod to own link, shock, driveshaft and axle",
}


MOST_POSES: Final = 3
MOST_PAIRS: Final = 3
"""Poses of an axle that are drawn, and pairs that are named with each: the table has them all."""

ALIKE_TRAVEL: Final = 25.4
ALIKE_STEER_DEG: Final = 5.0
"""Poses less apart than this [mm, degrees] make the same drawing, at the scale that paper has."""


@dataclass(frozen=True, slots=True)
class TellingPose:
    """A pose in which pairs of an axle do not clear, the worst of them first; it is the worst one's."""

    axle: str
    approaches: tuple[Approach, ...]

    @property
    def pose(self) -> TravelPose:
        """Where the worst of them is worst."""
        return self.approaches[0].pose


@dataclass(frozen=True, slots=True)
class ClosestRow:
    """One line of the table of closest approaches."""

    approach: Approach
    cells: tuple[str, ...]


def listed(study: Study) -> tuple[Approach, ...]:
    """What the table lists: everything that is not clear, then the nearest clear pairs, worst margin first."""
    not_clear = [a for a in study.approaches if a.verdict is not Verdict.CLEAR]
    clear = [a for a in study.approaches if a.verdict is Verdict.CLEAR and not a.beyond]
    return (*not_clear, *clear[:NEAREST])


def closest_rows(study: Study, unit: LengthUnit) -> tuple[ClosestRow, ...]:
    """The table of closest approaches."""
    return tuple(
        ClosestRow(
            found,
            (
                verdict_words(found.verdict),
                pair_words(found),
                proved_words(found, unit),
                format_wanted(found.wanted, unit),
                bump_left_words(found, study.rig.axle(found.axle), unit),
                pose_words(found.pose, study.rig.axle(found.axle), unit),
            ),
        )
        for found in listed(study)
    )


def proved_words(found: Approach, unit: LengthUnit) -> str:
    """The proved clearance, rounded down; the whole interval when it is not settled."""
    return format_clearance(found.low, unit) if found.settled else clearance_words(found, unit)


def coverage_words(study: Study, unit: LengthUnit) -> str:
    """How many pairs were looked at and what the table leaves out."""
    shown, total = len(listed(study)), len(study.approaches)
    beyond = sum(a.beyond for a in study.approaches)
    words = f"{total} pairs were checked and {shown} are listed, the worst margin first."
    if beyond:
        words += f" {beyond} pairs are proved farther apart than {format_clearance(FAR, unit)} in every pose."
    if left := total - shown - beyond:
        words += f" The other {left} are clear and farther apart than those listed."
    return words


def axle_rows(study: Study, curves: tuple[WidthCurve, ...], unit: LengthUnit) -> tuple[tuple[str, ...], ...]:
    """Per axle: name, width, track, outer width, closest approach, widths that clear."""
    return tuple(
        (
            axle_name(study.rig.axle(answer.axle)),
            format_length(answer.width, unit),
            format_length(answer.track, unit),
            format_length(answer.outer_width, unit),
            _closest_words(answer, unit),
            window_words(_curve_of(curves, answer.axle), unit),
        )
        for answer in study.axles
    )


def _closest_words(answer: AxleAnswer, unit: LengthUnit) -> str:
    if answer.problem:
        return UNKNOWN
    nearest = min(answer.approaches, key=lambda a: a.low, default=None)
    if nearest is None or nearest.beyond:
        return f"nothing within {format_clearance(FAR, unit)}"
    return f"{proved_words(nearest, unit)}, {pair_words(nearest)}"


def _curve_of(curves: tuple[WidthCurve, ...], axle_id: str) -> WidthCurve | None:
    return next((curve for curve in curves if curve.axle == axle_id), None)


def window_words(curve: WidthCurve | None, unit: LengthUnit) -> str:
    """The widths at which every pair of an axle clears; bounds are rounded inward so that both still clear."""
    if curve is None or not curve.complete or not curve.samples:
        return UNKNOWN
    if not curve.windows:
        low, high = curve.samples[0].width, curve.samples[-1].width
        return f"none from {format_length(low, unit)} to {format_length(high, unit)}"
    return "; ".join(
        f"{format_clearance(window.low.width, unit, up=True)} to {format_clearance(window.high.width, unit)}"
        for window in curve.windows
    )


def bound_sentences(curve: WidthCurve, unit: LengthUnit) -> Iterator[str]:
    """What bounds each width window, a sentence for each edge; without a window where the rig comes nearest to one."""
    missed = nearest_miss(curve) if curve.complete else None
    if missed is not None:
        words = miss_words(missed, unit)
        yield f"{words[:1].upper()}{words[1:]}."
    for window in curve.windows:
        yield f"Narrowest {format_clearance(window.low.width, unit, up=True)}: {_reason(window.low, 'narrower')}."
        yield f"Widest {format_clearance(window.high.width, unit)}: {_reason(window.high, 'wider')}."


def _reason(bound: WidthBound, way: str) -> str:
    if bound.reason is None:
        return f"nothing {way} was looked at"
    return f"any {way}, and {pair_words(bound.reason)} comes closer than wanted"


def telling_poses(study: Study, drawn: Mapping[str, TravelPose]) -> tuple[TellingPose, ...]:
    """Poses that do not clear and deserve a drawing of their own, worst first: unlike each other and those drawn.

    Parameters
    ----------
    drawn : mapping of axle id to pose
        What is drawn already.

    """
    groups: dict[str, list[list[Approach]]] = {}
    for found in study.approaches:
        if found.verdict is Verdict.CLEAR or found.beyond:
            continue
        own = groups.setdefault(found.axle, [])
        near = next((group for group in own if _alike(group[0].pose, found.pose)), None)
        if near is not None:
            near.append(found)
        elif len(own) < MOST_POSES:
            own.append([found])
    telling = (TellingPose(axle, tuple(group)) for axle, own in groups.items() for group in own)
    new = [each for each in telling if each.axle not in drawn or not _alike(each.pose, drawn[each.axle])]
    return tuple(sorted(new, key=lambda each: each.approaches[0].margin))


def _alike(one: TravelPose, other: TravelPose) -> bool:
    travel = max(abs(one.left - other.left), abs(one.right - other.right))
    return travel < ALIKE_TRAVEL and abs(degrees(one.steer - other.steer)) < ALIKE_STEER_DEG


def telling_words(telling: TellingPose, study: Study, unit: LengthUnit) -> str:
    """A pose and what does not clear there."""
    axle = study.rig.axle(telling.axle)
    pairs = [f"{pair_words(found)} {proved_words(found, unit)}" for found in telling.approaches[:MOST_PAIRS]]
    more = len(telling.approaches) - len(pairs)
    rest = f"; and {more} more" if more else ""
    return f"{axle_name(axle).capitalize()}, {pose_words(telling.pose, axle, unit)}: {'; '.join(pairs)}{rest}."


def axle_name(axle: Axle) -> str:
    """The axle as people call it."""
    return axle.name or f"{axle.id} axle"


def input_rows(study: Study, unit: LengthUnit) -> tuple[tuple[str, ...], ...]:
    """Inputs of every axle: first what it is, then a cell for each axle."""
    columns = [dict(_axle_inputs(study, axle, unit)) for axle in study.rig.axles]
    names = dict.fromkeys(name for column in columns for name in column)
    return tuple((name, *(column.get(name, "none") for column in columns)) for name in names)


def _axle_inputs(study: Study, axle: Axle, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    def length(mm: float) -> str:
        return format_length(mm, unit)

    tire = tire_dimensions(axle.tire)
    yield "tire", axle.tire.size
    yield "tire: free and loaded radius", f"{length(tire.radius)}; {length(tire.loaded_radius)}"
    yield "tire: section width, shoulder radius", f"{length(tire.section_width)}; {length(tire.shoulder_radius)}"
    yield "wheel: rim width, offset", f"{length(axle.wheel.rim_width)}; {length(wheel_offset(axle.wheel))}"
    answer = next(each for each in study.axles if each.axle == axle.id)
    yield "wheel-mount width", length(answer.width)
    yield "track, outer width", f"{length(answer.track)}; {length(answer.outer_width)}"
    yield "axle centre: station, height", f"{length(axle.station)}; {length(axle.height)}"
    yield "stop stations, from the centre plane", length(axle.stop_station)
    yield "travel at the stops: bump, droop", f"{length(axle.bump)}; {length(axle.droop)}"
    yield from _steering_inputs(axle, unit)
    housing = axle.housing
    yield "housing tube OD, centre section radius", f"{length(housing.tube_od)}; {length(housing.centre_radius)}"
    for number, rod in enumerate(axle.rods, start=1):
        name = rod.name or rod.id
        yield f"rod {number}: OD; left out at each end", f"{name}: {length(rod.od)}; {length(rod.joint_room)}"
        yield f"rod {number}: end at the chassis, x; y; z", "; ".join(map(length, rod.chassis))
        yield f"rod {number}: end at the axle, x; y; z", "; ".join(map(length, rod.axle))
    springs = axle.leaf_springs
    if springs is not None:
        for bolt, words in BOLTS.items():
            yield f"leaf spring, left: {words}, x; y; z", "; ".join(map(length, getattr(springs, bolt)))
        yield "leaf spring, left: middle of its seat, x; y; z", "; ".join(map(length, springs.seat))
        yield "leaf spring: clamped length, sag", f"{length(springs.clamp)}; {length(springs.sag)}"
        yield "leaf spring: width, thickness of the pack", f"{length(springs.width)}; {length(springs.thickness)}"
        rooms = f"{length(springs.eye_room)}; {length(springs.shackle_room)}"
        yield "leaf spring: left out at each eye, at the shackle's pivot", rooms


def _steering_inputs(axle: Axle, unit: LengthUnit) -> Iterator[tuple[str, str]]:
    steering = axle.steering
    if steering is None:
        return
    locks = f"{format_angle(steering.lock_left_deg)} left; {format_angle(steering.lock_right_deg)} right"
    yield "steering lock", locks
    angles = f"{format_angle(steering.inclination_deg)}; {format_angle(steering.caster_deg)}"
    yield "kingpin inclination, caster", angles
    inboard = format_length(-steering.kingpin[1], unit)
    yield "kingpin, inboard of the mounting face", inboard


def wanted_words(wanted: WantedClearance, unit: LengthUnit) -> str:
    """The wanted clearance of every kind of pair."""
    return "; ".join(f"{words} {format_wanted(getattr(wanted, kind), unit)}" for kind, words in WANTED_NAMES.items())


def chassis_words(study: Study) -> str:
    """What the chassis is made of, mirror images counted."""
    bars = sum(1 for _ in bar_paths(study.rig))
    fitted = sum(1 for _ in panel_facets(study.rig))
    off = sum(1 + panel.mirrored for panel in study.rig.panels if not panel.fitted)
    words = f"Chassis: {bars} bars and {fitted} fitted panels"
    return words + (f"; {off} panels are off and took no part." if off else ".")


def method_sentences(study: Study, unit: LengthUnit) -> tuple[str, ...]:
    """How the numbers came about and how far they hold."""
    proof = (
        "A closest approach is not sampled but proved over all of these poses: none comes closer than the clearance "
        f"printed, and a pose was found within {study.tolerance:g} mm of it "
        f"(overlaps: within {OVERLAP_SHARE:.0%} of their depth)."
    )
    rounding = (
        f"Clearances are rounded down, {_rounding(unit)}. Negative = overlap. "
        "Bump left is what remains to full stuff where contact starts."
    )
    return (MOTION, proof, _exactness(study), rounding, SOLIDS, LEFT_OUT)


def _exactness(study: Study) -> str:
    errors = [a.pose_error for a in study.axles if isfinite(a.pose_error)]
    closures = [a.closure for a in study.axles if isfinite(a.closure)]
    if len(errors) < len(study.axles) or len(closures) < len(study.axles):
        return "For an axle that cannot follow its travel nothing was established."
    return (
        f"The rods close to {max(closures):.1e} mm; the pose of an axle is held to {max(errors):.1e} mm at the tires, "
        "already taken off every clearance."
    )


def _rounding(unit: LengthUnit) -> str:
    return {
        LengthUnit.FRACTION: "to a sixteenth of an inch",
        LengthUnit.INCH: "to a hundredth of an inch",
        LengthUnit.MM: "to a tenth of a millimetre",
    }[unit]
