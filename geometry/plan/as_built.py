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
from geometry.plan.cuts import cut_plan
from geometry.plan.half import SUM, build_of
from geometry.rig.axle import Axle
from geometry.rig.build import AsBuilt, WeldClass
from geometry.rig.rig import Rig
from geometry.rig.unconfirmed import carried
from geometry.rig.wheel import tire_dimensions

Measured = Literal[
    "width", "half_left", "half_right", "halves", "pinion_offset", "mark_left", "mark_right", "caster",
    "pinion_angle", "tire_diameter", "section_width", "loaded_radius",
]  # fmt: skip

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


@dataclass(frozen=True, slots=True)
class Difference:
    """One measured number beside the plan, lengths [mm] and angles [rad].

    Attributes
    ----------
    planned : Amount
    measured, tolerance : float or None
        None = not measured, and no tolerance for it: tires are no weldment.
    by : Amount
        Measured less planned.
    within : bool or None
        None = cannot be judged.

    """

    name: Measured
    planned: Amount
    measured: float | None
    by: Amount
    tolerance: float | None
    within: bool | None


@dataclass(frozen=True, slots=True)
class AsBuiltReport:
    """Everything that was measured on an axle, beside its plan."""

    axle: str
    date: str
    differences: tuple[Difference, ...]

    @property
    def outside(self) -> tuple[Difference, ...]:
        """What is out of its tolerance."""
        return tuple(each for each in self.differences if each.within is False)

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
    """The axle with what was measured in place of what was planned.

    A width that was not measured follows from both halves, and so does the pinion offset: (right − left) / 2.
    """
    record = axle.as_built
    if record is None:
        return axle
    housing, steering, tire = axle.housing, axle.steering, axle.tire
    width, offset = _width_and_offset(record)
    if offset is not None:
        housing = replace(housing, pinion_offset=offset)
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
    return replace(axle, width=axle.width if width is None else width, housing=housing, steering=steering, tire=tire)


def as_built_rig(rig: Rig) -> Rig:
    """The rig with every axle as it was measured. Whether it can be used is for `check_rig` to say."""
    return carried(rig, replace(rig, axles=tuple(as_built_axle(axle) for axle in rig.axles)))


def _width_and_offset(record: AsBuilt) -> tuple[float | None, float | None]:
    """What was measured of both, or what the halves make them [mm]."""
    width, offset = record.width, record.pinion_offset
    if record.half_left is not None and record.half_right is not None:
        width = record.half_left + record.half_right if width is None else width
        offset = (record.half_right - record.half_left) / 2.0 if offset is None else offset
    return width, offset


def _differences(axle: Axle, record: AsBuilt) -> Iterator[Difference]:
    plan, tire = cut_plan(axle), tire_dimensions(axle.tire)
    sides = {"left": plan.left, "right": plan.right}
    lengths: dict[Measured, tuple[Amount, float | None]] = {
        "width": (Amount(axle.width), axle.width),
        "half_left": (sides["left"].half, sides["left"].half.value),
        "half_right": (sides["right"].half, sides["right"].half.value),
        # the offset has no size of its own: the half that it makes shorter is what is welded to a length
        "pinion_offset": (Amount(axle.housing.pinion_offset), axle.width / 2.0 - abs(axle.housing.pinion_offset)),
        "mark_left": (sides["left"].cut.rounded, sides["left"].cut.rounded.value),
        "mark_right": (sides["right"].cut.rounded, sides["right"].cut.rounded.value),
    }
    for name, (planned, size) in lengths.items():
        yield _difference(axle, name, planned, getattr(record, name), _length_allowed(axle, size))
    if record.width is not None and record.half_left is not None and record.half_right is not None:
        together = record.half_left + record.half_right
        yield _difference(axle, "halves", Amount(record.width), together, _length_allowed(axle, record.width))
    caster = None if axle.steering is None else axle.steering.caster_deg
    if caster is not None or record.caster_deg is not None:
        yield _angle(axle, "caster", given(caster, f"axles/{axle.id}/steering"), record.caster_deg)
    yield _angle(axle, "pinion_angle", Amount(axle.housing.pinion_angle_deg), record.pinion_angle_deg)
    tires: dict[Measured, float] = {
        "tire_diameter": 2.0 * tire.radius,
        "section_width": tire.section_width,
        "loaded_radius": tire.loaded_radius,
    }
    for name, size in tires.items():
        yield _difference(axle, name, Amount(size), getattr(record, name), None)


def _length_allowed(axle: Axle, size: float | None) -> float | None:
    """Tolerance of a length of some size [mm]; None = neither an own one nor a class, or none for this size."""
    build = build_of(axle)
    if build.tolerance is not None:
        return build.tolerance
    return length_tolerance(size, build.tolerance_class) if build.tolerance_class and size is not None else None


def _angle(axle: Axle, name: Measured, planned_deg: Amount, measured_deg: float | None) -> Difference:
    build = build_of(axle)
    allowed_deg = build.tolerance_deg
    if allowed_deg is None and build.tolerance_class is not None:
        allowed_deg = ANGLES_DEG[build.tolerance_class]
    measured, allowed = (None if each is None else radians(each) for each in (measured_deg, allowed_deg))
    return _difference(axle, name, planned_deg.turned_into(radians), measured, allowed)


def _difference(
    axle: Axle, name: Measured, planned: Amount, measured: float | None, tolerance: float | None
) -> Difference:
    field = f"{name}_deg" if name in {"caster", "pinion_angle"} else name
    by = given(measured, f"axles/{axle.id}/as_built/{field}") - planned
    within = None if by.value is None or tolerance is None else abs(by.value) <= tolerance + SUM
    return Difference(name, planned, measured, by, tolerance, within)
