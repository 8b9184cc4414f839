"""The check as planned and, where an axle was measured, as built: which measured number brings parts to touch.

An axle that was not measured, or found as planned, is not searched twice.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace as altered
from math import isfinite, radians

from msgspec.structs import replace

from app import study
from app.study import BuiltCheck, Cancelled, Cause, Progress, Study, bare
from geometry.contact.findings import Approach, PairName, Verdict
from geometry.errors import LinkageError, RigError
from geometry.plan.as_built import Measured, as_built_axle, as_built_rig
from geometry.rig.axle import Axle
from geometry.rig.check import check_rig
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from geometry.tolerances import CLEARANCE


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
    if all(axle.as_built is None for axle in rig.axles):
        return found
    built, before = as_built_rig(rig), previous.as_built if previous is not None else None
    if in_short is not None:
        return altered(found, as_built=before if before is not None and _holds(before, built) else None)
    try:
        check_rig(built)
    except RigError as refused:
        return altered(found, as_built=BuiltCheck(None, f"What was measured fits no rig: {refused.problem}."))
    answers = []
    for axle, planned, known in zip(built.axles, rig.axles, found.axles, strict=True):
        if bare(axle) != bare(planned):
            known = study.check(  # noqa: PLW2901  (the answer as planned stands for that as built where they are one)
                built,
                only=axle.id,
                tolerance=tolerance,
                previous=before.study if before is not None else None,
                trusted=True,
                cancelled=cancelled,
            ).axles[0]
        answers.append(known)
    as_built = Study(revision, built, tolerance, tuple(answers))
    return altered(found, as_built=BuiltCheck(as_built, causes=tuple(_causes(rig, as_built))))


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
        planned = _clearance(rig, axle, worst)
        found = [
            Cause(axle.id, name, by, planned - _clearance(rig, alone, worst)) for name, by, alone in _each_alone(axle)
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
    built, record = as_built_axle(axle), axle.as_built
    if record is None:
        return
    if built.width != axle.width:
        name: Measured = "width" if record.width is not None else "halves"
        yield name, built.width - axle.width, replace(axle, width=built.width)
    offset, angle_deg = built.housing.pinion_offset, built.housing.pinion_angle_deg
    if (by := offset - axle.housing.pinion_offset) != 0.0:
        yield "pinion_offset", by, replace(axle, housing=replace(axle.housing, pinion_offset=offset))
    if (by := radians(angle_deg - axle.housing.pinion_angle_deg)) != 0.0:
        yield "pinion_angle", by, replace(axle, housing=replace(axle.housing, pinion_angle_deg=angle_deg))
    if axle.steering is not None and built.steering is not None and built.steering != axle.steering:
        by = radians(built.steering.caster_deg - axle.steering.caster_deg)
        yield "caster", by, replace(axle, steering=built.steering)
    planned = tire_dimensions(axle.tire)
    of_tire: tuple[tuple[Measured, str, float | None, float], ...] = (
        ("tire_diameter", "diameter", record.tire_diameter, 2.0 * planned.radius),
        ("section_width", "section_width", record.section_width, planned.section_width),
        ("loaded_radius", "loaded_radius", record.loaded_radius, planned.loaded_radius),
    )
    for name, field, measured, size in of_tire:
        if measured is not None and measured != size:
            yield name, measured - size, replace(axle, tire=replace(axle.tire, **{field: measured}))
