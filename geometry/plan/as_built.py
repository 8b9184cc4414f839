"""The welded axle beside its plan, within a tolerance, and a rig with the measured numbers put in.

Tolerances: ISO 13920, tables 1 (lengths) and 2 (angles), or the builder's own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import radians
from typing import Final, Literal

from msgspec.structs import replace

from geometry.plan.amount import Amount, given
from geometry.plan.half import SUM, build_of
from geometry.plan.measured import Stage, measured_lengths, planned_lengths
from geometry.rig.axle import Axle
from geometry.rig.build import AsBuilt, WeldClass
from geometry.rig.rig import Rig
from geometry.rig.unconfirmed import carried
from geometry.rig.wheel import tire_dimensions

Measured = Literal[
    "width", "half_left", "half_right", "halves", "pinion_offset", "mark_left", "mark_right", "caster",
    "pinion_angle", "tire_diameter", "section_width", "loaded_radius",
]  # fmt: skip

FIELDS: Final[dict[Measured, str]] = {
    "width": "width",
    "half_left": "half_left",
    "half_right": "half_right",
    "pinion_offset": "pinion_offset",
    "mark_left": "mark_left",
    "mark_right": "mark_right",
    "caster": "caster_deg",
    "pinion_angle": "pinion_angle_deg",
    "tire_diameter": "tire_diameter",
    "section_width": "section_width",
    "loaded_radius": "loaded_radius",
}
"""Fields of the record by what was measured."""

ANGLES: Final[frozenset[Measured]] = frozenset({"caster", "pinion_angle"})
TIRES: Final[frozenset[Measured]] = frozenset({"tire_diameter", "section_width", "loaded_radius"})

SIZES: Final = (2.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0, 8000.0)
LENGTHS: Final[dict[WeldClass, tuple[float, ...]]] = {
    "A": (1.0, 1.0, 1.0, 2.0, 3.0, 4.0, 5.0),
    "B": (1.0, 2.0, 2.0, 3.0, 4.0, 6.0, 8.0),
    "C": (1.0, 3.0, 4.0, 6.0, 8.0, 11.0, 14.0),
    "D": (1.0, 4.0, 7.0, 9.0, 12.0, 16.0, 21.0),
}
"""Bounds of nominal sizes, over one and up to the next, and what is allowed either way [mm]; ISO 13920, table 1."""

ANGLES_DEG: Final[dict[WeldClass, float]] = {"A": 20.0 / 60.0, "B": 45.0 / 60.0, "C": 1.0, "D": 1.5}
"""What is allowed either way of angles whose shorter leg is at most 400 mm, as those of knuckles and pinions are
[degrees]; ISO 13920, table 2."""


DOUBTED: Final = 0.25
"""Share of the plan by which a measured length is so far off that its unit is asked for [-]: less than an inch taken
for a centimetre or the other way round, more than any weld. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One measured number beside the plan, lengths [mm] and angles [rad].

    Attributes
    ----------
    planned, finished : Amount
        What it must be at the stage at which it was measured, and on the finished axle: a tacked one still has the
        weld shrink to come.
    measured, tolerance : float or None
        None = not measured, and no tolerance for it: tires are no weldment.
    by : Amount
        Measured less planned.
    within : bool or None
        None = cannot be judged.

    """

    name: Measured
    planned: Amount
    finished: Amount
    measured: float | None
    by: Amount
    tolerance: float | None
    within: bool | None

    @property
    def off(self) -> float | None:
        """By how much it misses the plan; for want of the weld shrink, how much less than finished it is at least."""
        if self.by.value is None and self.within is False and self.measured is not None:
            return self.measured - (self.finished.value or 0.0)
        return self.by.value

    @property
    def is_doubted(self) -> bool:
        """Whether a measured length is so far off its plan that it may be in another unit."""
        if self.name in {"caster", "pinion_angle", "pinion_offset", "halves"} or self.measured is None:
            return False
        size = self.finished.value
        return size is not None and abs(self.measured - size) > DOUBTED * size

    @property
    def tells_nothing(self) -> bool:
        """Whether it was measured with no plan to compare it with, finished or not."""
        return self.measured is not None and self.finished.value is None and self.planned.value is None


@dataclass(frozen=True, slots=True)
class AsBuiltReport:
    """Everything that was measured on an axle, beside its plan."""

    axle: str
    date: str
    differences: tuple[Difference, ...]

    @property
    def measured(self) -> tuple[Difference, ...]:
        """What was measured."""
        return tuple(each for each in self.differences if each.measured is not None)

    @property
    def outside(self) -> tuple[Difference, ...]:
        """What is out of its tolerance, by the largest multiple of it first."""
        out = (each for each in self.differences if each.within is False)
        return tuple(sorted(out, key=lambda each: -abs(each.off or 0.0) / max(each.tolerance or 0.0, SUM)))

    @property
    def lacks_shrink(self) -> bool:
        """Whether a measured number cannot be judged for want of the weld shrink that is still to come."""
        return any(each.planned.value is None and each.finished.value is not None for each in self.measured)

    @property
    def within(self) -> bool | None:
        """Whether all that was measured is within tolerance; None = some of it cannot be judged, and none is out."""
        judged = {each.within for each in self.differences if each.measured is not None}
        if False in judged:
            return False
        return None if None in judged or not judged else True


def length_tolerance(size: float, weld_class: WeldClass) -> float | None:
    """What ISO 13920 allows either way of a length [mm]; None outside of the sizes that it names here."""
    for low, high, allowed in zip(SIZES, SIZES[1:], LENGTHS[weld_class], strict=False):
        if low < size <= high or size == low == SIZES[0]:
            return allowed
    return None


def is_measured(record: AsBuilt | None) -> bool:
    """Whether a record holds any measured number."""
    return record is not None and any(getattr(record, field) is not None for field in FIELDS.values())


def planned(axle: Axle, stage: Stage) -> dict[Measured, Amount]:
    """What each number that can be measured must be at a stage, lengths [mm] and angles [rad].

    A tacked axle stands beyond the finished one by the weld shrink that is still to come: halves by that of their
    side, the width by both, the pinion offset by half their difference. Marks are those of the cut plan, which has
    them before welding; on a welded axle they have come in. Unknown shrink leaves these unknown.

    Raises
    ------
    PlanError
        When the plan cannot be built.

    """
    tire = tire_dimensions(axle.tire)
    caster = None if axle.steering is None else axle.steering.caster_deg
    angles: dict[Measured, Amount] = {
        "caster": given(caster, f"axles/{axle.id}/steering").turned_into(radians),
        "pinion_angle": Amount(radians(axle.housing.pinion_angle_deg)),
    }
    tires: dict[Measured, Amount] = {
        "tire_diameter": Amount(2.0 * tire.radius),
        "section_width": Amount(tire.section_width),
        "loaded_radius": Amount(tire.loaded_radius),
    }
    lengths: dict[Measured, Amount] = dict(planned_lengths(axle, stage).items())
    return lengths | angles | tires


def contradictions(axle: Axle) -> tuple[str, ...]:
    """Measured numbers that cannot all be true, a sentence each, written as in RigError; empty = none."""
    return () if axle.as_built is None else measured_lengths(axle, axle.as_built).contradictions


def as_built_report(axle: Axle) -> AsBuiltReport | None:
    """What was measured on the axle beside its plan; None where nothing was.

    Raises
    ------
    PlanError
        When the plan cannot be built.

    """
    if axle.as_built is None:
        return None
    return AsBuiltReport(axle.id, axle.as_built.date, tuple(_differences(axle, axle.as_built)))


def as_built_axle(axle: Axle) -> Axle:
    """The finished axle with what was measured in place of what was planned (see geometry.plan.measured)."""
    record = axle.as_built
    if record is None:
        return axle
    housing, steering, tire = axle.housing, axle.steering, axle.tire
    lengths = measured_lengths(axle, record)
    housing = replace(housing, pinion_offset=lengths.pinion_offset)
    if record.pinion_angle_deg is not None:
        housing = replace(housing, pinion_angle_deg=record.pinion_angle_deg)
    if steering is not None and record.caster_deg is not None:
        steering = replace(steering, caster_deg=record.caster_deg)
    measured = {
        "diameter": record.tire_diameter,
        "section_width": record.section_width,
        "loaded_radius": record.loaded_radius,
    }
    tire = replace(tire, **{name: value for name, value in measured.items() if value is not None})
    return replace(axle, width=lengths.width, housing=housing, steering=steering, tire=tire)


def as_built_rig(rig: Rig) -> Rig:
    """The rig with every axle as it was measured. Whether it can be used is for `check_rig` to say."""
    return carried(rig, replace(rig, axles=tuple(as_built_axle(axle) for axle in rig.axles)))


def _differences(axle: Axle, record: AsBuilt) -> Iterator[Difference]:
    now, finished = planned(axle, record.stage), planned(axle, "welded")
    for name, field in FIELDS.items():
        measured: float | None = getattr(record, field)
        if name in ANGLES:
            if name == "caster" and axle.steering is None and measured is None:
                continue
            measured = None if measured is None else radians(measured)
        allowed = _allowed(axle, name, finished[name].value)
        yield _difference(axle, name, (now[name], finished[name]), measured, allowed)
    if record.width is not None and record.half_left is not None and record.half_right is not None:
        together, width = record.half_left + record.half_right, Amount(record.width)
        yield _difference(axle, "halves", (width, width), together, _length_allowed(axle, record.width))


def _allowed(axle: Axle, name: Measured, size: float | None) -> float | None:
    """The tolerance of what is planned to be of some size."""
    if name in TIRES:
        return None
    if name in ANGLES:
        return _angle_allowed(axle)
    if name == "pinion_offset":
        # the offset has no size of its own: the half that it makes shorter is what is welded to a length
        size = axle.width / 2.0 - abs(axle.housing.pinion_offset)
    return _length_allowed(axle, size)


def _length_allowed(axle: Axle, size: float | None) -> float | None:
    """Tolerance of a length of some size [mm]; None = neither an own one nor a class, or none for this size."""
    build = build_of(axle)
    if build.tolerance is not None:
        return build.tolerance
    return length_tolerance(size, build.tolerance_class) if build.tolerance_class and size is not None else None


def _angle_allowed(axle: Axle) -> float | None:
    build = build_of(axle)
    allowed_deg = build.tolerance_deg
    if allowed_deg is None and build.tolerance_class is not None:
        allowed_deg = ANGLES_DEG[build.tolerance_class]
    return None if allowed_deg is None else radians(allowed_deg)


def _difference(
    axle: Axle, name: Measured, plans: tuple[Amount, Amount], measured: float | None, tolerance: float | None
) -> Difference:
    """A measured number beside its plan at the stage and that of the finished axle."""
    now, finished = plans
    by = given(measured, f"axles/{axle.id}/as_built/{FIELDS.get(name, name)}") - now
    within = None
    if tolerance is not None and by.value is not None:
        within = abs(by.value) <= tolerance + SUM
    elif tolerance is not None and measured is not None and finished.value is not None:
        # welds only pull: what is already shorter than the finished axle may be is out, whatever they are to take
        within = False if measured < finished.value - tolerance - SUM else None
    return Difference(name, now, finished, measured, by, tolerance, within)
