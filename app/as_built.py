"""The check as planned and, where an axle was measured, as built: which measured number brings parts to touch.

An axle that was not measured, or found as planned, is not searched twice.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace as altered
from math import isfinite, radians
from typing import TYPE_CHECKING

from msgspec.structs import replace

from app import study
from app.study import BuiltCheck, Cancelled, Cause, Progress, Study, bare
from app.width_rules import KnownRules
from geometry.contact.findings import Approach, PairName, Verdict
from geometry.errors import LinkageError, PlanError, RigError
from geometry.plan.as_built import (
    ANGLES,
    FIELDS,
    AsBuiltReport,
    Measured,
    as_built_axle,
    as_built_report,
    as_built_rig,
    contradictions,
    is_measured,
    planned,
)
from geometry.rig.axle import Axle
from geometry.rig.build import AsBuilt
from geometry.rig.check import check_rig
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE

if TYPE_CHECKING:
    from geometry.stance.rules import WidthRule


def check(
    rig: Rig,
    *,
    revision: int = 0,
    tolerance: float = CLEARANCE,
    previous: Study | None = None,
    in_short: Collection[PairName] | None = None,
    trusted: bool = False,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Study:
    """Whole-travel check of every axle as planned, and as built where any was measured; see `app.study.check`.

    An answer in short has of the check as built what was known before, if that still holds.

    Raises
    ------
    RigError, StudyCancelledError
        As `app.study.check`; what was measured raises nothing, its problem is in the answer.

    """
    found = study.check(
        rig,
        revision=revision,
        tolerance=tolerance,
        previous=previous,
        in_short=in_short,
        trusted=trusted,
        progress=progress,
        cancelled=cancelled,
    )
    measured = [axle for axle in rig.axles if is_measured(axle.as_built)]
    if not measured:
        return found
    reports, plan_problem = _reports(measured)
    found_built = _built_check(
        rig, found, previous.as_built if previous is not None else None, in_short is not None, cancelled
    )
    if found_built is None:
        return found
    return altered(found, as_built=altered(found_built, reports=reports, plan_problem=plan_problem))


def _built_check(
    rig: Rig, found: Study, before: BuiltCheck | None, in_short: bool, cancelled: Cancelled | None
) -> BuiltCheck | None:
    """The search as built; in short, only what was known before and still holds."""
    if against := [f"{axle.id} axle: {each}." for axle in rig.axles for each in contradictions(axle)]:
        return BuiltCheck(None, f"What was measured contradicts itself, {' '.join(against)}")
    built = as_built_rig(rig)
    if in_short:
        return before if before is not None and _holds(before, built) else None
    try:
        check_rig(built)
    except RigError as refused:
        return BuiltCheck(None, f"What was measured fits no rig: {refused.problem}.")
    answers = []
    for axle, drawn, known in zip(built.axles, rig.axles, found.axles, strict=True):
        if bare(axle) != bare(drawn):
            known = study.check(  # noqa: PLW2901  (the answer as planned stands for that as built where they are one)
                built,
                only=axle.id,
                tolerance=found.tolerance,
                previous=before.study if before is not None else None,
                trusted=True,
                cancelled=cancelled,
            ).axles[0]
        answers.append(known)
    as_built = Study(found.revision, built, found.tolerance, tuple(answers))
    return BuiltCheck(as_built, causes=tuple(_causes(rig, as_built)), broken=tuple(_broken(rig, built)))


def _reports(axles: Sequence[Axle]) -> tuple[tuple[AsBuiltReport, ...], str]:
    """What was measured beside the plan, and why some of it cannot be."""
    reports, problems = [], []
    for axle in axles:
        try:
            report = as_built_report(axle)
        except PlanError as refused:
            problems.append(f"The plan of the {axle.id} axle cannot be built: {refused.problem}.")
        else:
            reports.extend([report] if report is not None else [])
    return tuple(reports), " ".join(problems)


def _broken(rig: Rig, built: Rig) -> Iterator[WidthRule]:
    """The rules that the measured axles break at their widths as built."""
    rules = KnownRules()
    for axle, drawn in zip(built.axles, rig.axles, strict=True):
        if is_measured(drawn.as_built):
            yield from (rule for rule in rules.of(built, axle.id) if rule.at(axle.width).satisfied is False)


def _holds(before: BuiltCheck, built: Rig) -> bool:
    """Whether a check as built is one of this rig."""
    if before.study is None:
        return False
    rig = before.study.rig
    chassis = all(getattr(rig, name) == getattr(built, name) for name in ("nodes", "bars", "panels", "wanted"))
    return chassis and [bare(axle) for axle in rig.axles] == [bare(axle) for axle in built.axles]


def _causes(rig: Rig, built: Study) -> list[Cause]:
    """What brings the worst pair of the check as built closer than planned, the most important first."""
    worst = built.worst
    if worst is None or worst.verdict is Verdict.UNKNOWN:
        return []
    axle = rig.axle(worst.axle)
    try:
        as_planned = _clearance(rig, axle, worst)
        found = [
            Cause(axle.id, name, by, as_planned - _clearance(rig, alone, worst))
            for name, by, alone in _each_alone(axle)
        ]
    except LinkageError:
        return []
    told = [cause for cause in found if isfinite(cause.closer) and cause.closer > CLEARANCE]
    return sorted(told, key=lambda cause: -cause.closer)


def _clearance(rig: Rig, axle: Axle, found: Approach) -> float:
    from geometry.contact.at_pose import clearance_at

    return clearance_at(rig, axle, PairName(found.kind, found.moving, found.fixed), found.pose)


def _each_alone(axle: Axle) -> Iterator[tuple[Measured, float, Axle]]:
    """The axle with one measured number put in at a time, and measured less planned [mm], of angles [rad]."""
    record = axle.as_built
    if record is None:
        return
    nothing = AsBuilt(date=record.date, stage=record.stage)
    for name in _telling(record):
        field = FIELDS[name]
        alone = as_built_axle(replace(axle, as_built=replace(nothing, **{field: getattr(record, field)})))
        if bare(alone) != bare(axle):
            yield name, _by(axle, alone, name), alone


def _telling(record: AsBuilt) -> Iterator[Measured]:
    """What was measured, without what only says again what both halves or one say."""
    halves = record.half_left is not None and record.half_right is not None
    again = {
        "width": halves,
        "pinion_offset": halves,
        "mark_left": record.half_left is not None,
        "mark_right": record.half_right is not None,
    }
    yield from (name for name, field in FIELDS.items() if getattr(record, field) is not None and not again.get(name))


def _by(axle: Axle, alone: Axle, name: Measured) -> float:
    """By how much one measured number makes an axle other than planned."""
    if name in {"half_left", "half_right", "mark_left", "mark_right", "width"}:
        return alone.width - axle.width
    if name == "pinion_offset":
        return alone.housing.pinion_offset - axle.housing.pinion_offset
    finished, record = planned(axle, "welded")[name].value or 0.0, axle.as_built
    measured = float(getattr(record, FIELDS[name]))
    return (radians(measured) if name in ANGLES else measured) - finished
