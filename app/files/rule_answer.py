"""Rules that bound the width, as other programs read them."""

from __future__ import annotations

from math import degrees, isfinite
from typing import Literal

from msgspec import Struct

from geometry.plan.amount import missing_of
from geometry.stance.rules import WidthRule


class RuleAnswer(Struct, frozen=True, kw_only=True):
    """A rule beside clearance that bounds the width.

    Attributes
    ----------
    value, limit : float or null
        What it looks at, at the width that was checked, and what it asks for, in `unit`.
    low_mm, high_mm : float or null
        Widths between which it is satisfied [mm]; null = no bound on that side, or unknown.
    possible : bool
        False = no width satisfies it.
    satisfied : bool or null
        null = unknown.
    missing : list
        Places of the values for want of which it is unknown.

    """

    key: str
    label: str
    value: float | None
    limit: float | None
    unit: Literal["mm", "deg", "-"]
    low_mm: float | None
    high_mm: float | None
    possible: bool
    satisfied: bool | None
    missing: tuple[str, ...]


def rule_answer(rule: WidthRule, width: float) -> RuleAnswer:
    """A rule at a wheel-mount width [mm]."""
    reading, low, high = rule.at(width), rule.low, rule.high
    value, limit = (_in_unit(amount.value, rule.unit) for amount in (reading.value, rule.limit))
    bounds = [bound for bound in (low, high) if bound is not None]
    return RuleAnswer(
        key=rule.key,
        label=rule.label,
        value=value,
        limit=limit,
        unit="deg" if rule.unit == "rad" else rule.unit,
        low_mm=None if low is None or low.value is None else _finite(low.value),
        high_mm=None if high is None or high.value is None else _finite(high.value),
        possible=all(bound.value is None or isfinite(bound.value) for bound in bounds),
        satisfied=reading.satisfied,
        missing=missing_of(bounds),
    )


def _in_unit(value: float | None, unit: str) -> float | None:
    if value is None:
        return None
    return _finite(degrees(value) if unit == "rad" else value)


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None
