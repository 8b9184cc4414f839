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
    yield _length(axle, "width", Amount(axle.width), record.width)
    for side in ("left", "right"):
        cut = plan.left if side == "left" else plan.right
        yield _length(axle, f"half_{side}", cut.half, getattr(record, f"half_{side}"))  # type: ignore[arg-type]
        yield _length(axle, f"mark_{side}", cut.cut.rounded, getattr(record, f"mark_{side}"))  # type: ignore[arg-type]
    if None not in (record.width, record.half_left, record.half_right):
        together = (record.half_left or 0.0) + (record.half_right or 0.0)
        yield _length(axle, "halves", given(record.width, ""), together)
    yield _offset(axle, record)
    caster = None if axle.steering is None else axle.steering.caster_deg
    if caster is not None or record.caster_deg is not None:
        yield _angle(axle, "caster", given(caster, f"axles/{axle.id}/steering/caster_deg"), record.caster_deg)
    yield _angle(axle, "pinion_angle", Amount(axle.housing.pinion_angle_deg), record.pinion_angle_deg)
    for name, planned in (
        ("tire_diameter", 2.0 * tire.radius),
        ("section_width", tire.section_width),
        ("loaded_radius", tire.loaded_radius),
    ):
        yield _difference(name, Amount(planned), getattr(record, name), None)  # type: ignore[arg-type]


def _length(axle: Axle, name: Measured, planned: Amount, measured: float | None) -> Difference:
    return _difference(name, planned, measured, _allowed(axle, planned.value))


def _allowed(axle: Axle, size: float | None) -> float | None:
    """Tolerance of a length of some size [mm]; None = neither an own one nor a class, or none for this size."""
    build = build_of(axle)
    if build.tolerance is not None:
        return build.tolerance
    return length_tolerance(size, build.tolerance_class) if build.tolerance_class and size is not None else None


def _offset(axle: Axle, record: AsBuilt) -> Difference:
    """The pinion offset; it is the smaller half that is welded to a length, so that its size gives the tolerance."""
    offset = axle.housing.pinion_offset
    size = axle.width / 2.0 - abs(offset)
    return _difference("pinion_offset", Amount(offset), record.pinion_offset, _allowed(axle, size))


def _angle(axle: Axle, name: Measured, planned_deg: Amount, measured_deg: float | None) -> Difference:
    build = build_of(axle)
    allowed_deg = build.tolerance_deg
    if allowed_deg is None and build.tolerance_class is not None:
        allowed_deg = ANGLES_DEG[build.tolerance_class]
    return _difference(
        name,
        planned_deg.turned_into(radians),
        None if measured_deg is None else radians(measured_deg),
        None if allowed_deg is None else radians(allowed_deg),
    )


def _difference(name: Measured, planned: Amount, measured: float | None, tolerance: float | None) -> Difference:
    by = given(measured, f"as_built/{name}") - planned
    within = None if by.value is None or tolerance is None else abs(by.value) <= tolerance + SUM
    return Difference(name, planned, measured, by, tolerance, within)
