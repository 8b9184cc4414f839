"""Rules that bound the width of an axle, each with its widths, its value at any width, and whether that satisfies it.

Width limits, stability and rail pocket are straight lines over the width, so that their bounds are closed forms. Perch
room and contact are bounded elsewhere, by geometry.plan and by the whole-travel search, and stand beside them in the
same form.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import atan, inf, radians, tan
from typing import Final, Literal

from geometry.contact.findings import PairName, WidthCurve
from geometry.plan.amount import Amount, worked_out
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.rig.rules import Measure, Rules, WidthLimit
from geometry.rig.wheel import tire_dimensions, wheel_offset
from geometry.stance.masses import RigMasses, rig_masses
from geometry.stance.rail_pocket import Rail, outermost_rails

AT_BOUND: Final = 1e-6
"""Within what a width at a bound counts as satisfying it [mm]: rounding of a typed width, far below any tape."""

RuleKind = Literal["trail limit", "stability", "rail pocket", "perch room", "contact"]
Unit = Literal["mm", "rad", "-"]


@dataclass(frozen=True, slots=True)
class Line:
    """What a rule looks at, over the wheel-mount width: base + slope · width; of an angle, its tangent."""

    base: Amount
    slope: float

    def at(self, width: float) -> Amount:
        """Its value at a width [mm]."""
        return self.base.turned_into(lambda base: base + self.slope * width)

    def width_of(self, value: float) -> Amount:
        """The width [mm] at which it has a value."""
        return self.base.turned_into(lambda base: (value - base) / self.slope)


@dataclass(frozen=True, slots=True)
class Reading:
    """A rule at one width: its value, in the rule's unit, and whether it is satisfied; None = unknown."""

    value: Amount
    satisfied: bool | None


@dataclass(frozen=True, slots=True)
class WidthRule:
    """One reason that bounds the width of an axle.

    Attributes
    ----------
    key : str
        Tells it from the axle's other rules, as in ``trail limit/club``.
    label : str
        What bounds it, in words.
    low, high : Amount or None
        Widths between which it is satisfied [mm]. None = it has no bound on that side; infinite = no width satisfies
        it; without a value = unknown, for want of what is missing.
    limit : Amount
        What is asked for, in `unit`.
    unit : str
        ``mm``, ``rad``, or ``-`` for a factor.
    line : Line or None
        Its value over the width; None = the value is told elsewhere.

    """

    key: str
    label: str
    kind: RuleKind
    axle: str
    low: Amount | None
    high: Amount | None
    limit: Amount
    unit: Unit
    line: Line | None = None

    def at(self, width: float) -> Reading:
        """The rule at a wheel-mount width [mm]."""
        value = Amount(None, (f"axles/{self.axle}/width",)) if self.line is None else self.line.at(width)
        if self.unit == "rad":
            value = value.turned_into(atan)
        above = True if self.low is None else _holds(self.low, lambda low: width >= low - AT_BOUND)
        below = True if self.high is None else _holds(self.high, lambda high: width <= high + AT_BOUND)
        if above is False or below is False:
            return Reading(value, satisfied=False)
        return Reading(value, satisfied=None if above is None or below is None else True)


def width_rules(rig: Rig, axle: Axle, masses: RigMasses | None = None) -> tuple[WidthRule, ...]:
    """The rig's own rules for an axle; its width is not part of them, so that they hold while it is dragged.

    Parameters
    ----------
    masses : RigMasses, optional
        What the rig weighs, if that is known already.

    """
    rules = rig.rules or Rules()
    found = [limit_rule(axle, limit) for limit in rules.widths]
    if rules.least_factor is not None or rules.least_tip_deg is not None:
        found.extend(_stability_rules(axle, rules, masses or rig_masses(rig)))
    if rules.most_pocket is not None:
        found.append(_pocket_rule(axle, outermost_rails(rig, axle), rules.most_pocket))
    return tuple(found)


def measured_width(axle: Axle, measure: Measure, width: float) -> float:
    """What a wheel-mount width [mm] comes to as a rule measures it [mm]."""
    return width + _beyond_mounts(axle, measure)


def limit_rule(axle: Axle, limit: WidthLimit) -> WidthRule:
    """A largest width: wheel-mount width ≤ limit − what tires or rims stand out over the mounts."""
    line = Line(Amount(_beyond_mounts(axle, limit.measure)), 1.0)
    return WidthRule(
        key=f"trail limit/{limit.id}",
        label=limit.name or limit.id,
        kind="trail limit",
        axle=axle.id,
        low=None,
        high=line.width_of(limit.most),
        limit=Amount(limit.most),
        unit="mm",
        line=line,
    )


def perch_rule(axle: Axle, least: Amount) -> WidthRule:
    """Room for the perches: geometry.plan tells the least width at which they have it [mm]; infinite = at none."""
    return WidthRule(
        key="perch room",
        label="perch room",
        kind="perch room",
        axle=axle.id,
        low=least,
        high=None,
        limit=least,
        unit="mm",
        line=Line(Amount(0.0), 1.0),
    )


def contact_rules(curve: WidthCurve, width: float) -> tuple[WidthRule, ...]:
    """Pairs that bound the window which a width is in, or the nearest one to it.

    Where the curve is complete and has no window, no width satisfies the pair that is tightest. An end of the range
    that was looked at is the bound of no pair, and nothing is said of widths beyond it. The value is told by the curve.
    """
    if not curve.windows:
        if not curve.complete or not curve.samples:
            return ()
        tightest = min(curve.samples, key=lambda sample: abs(sample.width - width)).tightest
        return (_contact(curve.axle, tightest, low=Amount(inf)),) if tightest is not None else ()
    window = min(curve.windows, key=lambda each: max(each.low.width - width, width - each.high.width, 0.0))
    found = []
    if window.low.reason is not None:
        found.append(_contact(curve.axle, window.low.reason, low=Amount(window.low.width)))
    if window.high.reason is not None:
        found.append(_contact(curve.axle, window.high.reason, high=Amount(window.high.width)))
    return tuple(found)


def _contact(axle: str, pair: PairName, *, low: Amount | None = None, high: Amount | None = None) -> WidthRule:
    side = "low" if low is not None else "high"
    return WidthRule(
        key=f"contact/{side}/{pair.moving.id}/{pair.moving.side}/{pair.fixed.id}/{pair.fixed.side}",
        label=f"{pair.moving.label} to {pair.fixed.label}",
        kind="contact",
        axle=axle,
        low=low,
        high=high,
        limit=low or high or Amount(None),
        unit="mm",
    )


def _stability_rules(axle: Axle, rules: Rules, masses: RigMasses) -> Iterator[WidthRule]:
    """Least factor and least tip angle, empty and loaded: track ≥ 2 · factor · height of the centre of gravity."""
    limits: list[tuple[str, float, float, Unit]] = []
    if rules.least_factor is not None:
        limits.append(("stability factor", rules.least_factor, rules.least_factor, "-"))
    if rules.least_tip_deg is not None:
        tip = radians(rules.least_tip_deg)
        limits.append(("tip angle", tan(tip), tip, "rad"))
    for state in masses.states:
        for name, factor, limit, unit in limits:
            line = _factor_line(axle, state.z)
            yield WidthRule(
                key=f"{name}/{state.state}",
                label=f"{name}, {state.state}",
                kind="stability",
                axle=axle.id,
                low=line.width_of(factor),
                high=None,
                limit=Amount(limit),
                unit=unit,
                line=line,
            )


def _factor_line(axle: Axle, height: Amount) -> Line:
    """Static stability factor over the width: (width − 2 · offset) / 2h."""
    if height.value is None:
        return Line(height, 1.0)
    if height.value <= 0.0:
        return Line(Amount(None, ("masses/parts",)), 1.0)
    return Line(Amount(-wheel_offset(axle.wheel) / height.value), 1.0 / (2.0 * height.value))


def _pocket_rule(axle: Axle, rails: tuple[Rail, Rail], most: float) -> WidthRule:
    """Largest pocket, on the side where it is larger: inner face of the tire − reach of the rail."""
    inset = tire_dimensions(axle.tire).section_width / 2.0 + wheel_offset(axle.wheel)
    reach = worked_out(min, *(rail.reach for rail in rails))
    line = Line(reach.turned_into(lambda value: -inset - value), 0.5)
    bounding = min(rails, key=lambda rail: inf if rail.reach.value is None else rail.reach.value)
    return WidthRule(
        key="rail pocket",
        label="rail pocket" if bounding.part is None else f"rail pocket at {bounding.part.label}",
        kind="rail pocket",
        axle=axle.id,
        low=None,
        high=line.width_of(most),
        limit=Amount(most),
        unit="mm",
        line=line,
    )


def _beyond_mounts(axle: Axle, measure: Measure) -> float:
    """What a width as it is measured has over the wheel-mount width [mm].

    Rims: the rim's width lies between its lips, whose thickness comes on either side.
    """
    tire, wheel = tire_dimensions(axle.tire), axle.wheel
    across = {
        "outer": tire.section_width,
        "tread": tire.section_width - 2.0 * tire.shoulder_radius,
        "rim": wheel.rim_width + 2.0 * wheel.flange,
    }
    return across[measure] - 2.0 * wheel_offset(wheel)


def _holds(bound: Amount, test: Callable[[float], bool]) -> bool | None:
    return None if bound.value is None else test(bound.value)
