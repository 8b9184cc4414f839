"""What bounds the width of an axle: its rules at a width, in words, and the widths that satisfy all of them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import degrees, floor, inf, isfinite, isinf
from typing import TYPE_CHECKING, Final, Literal

from msgspec.structs import replace

from app.study import Study
from app.units import LengthUnit, format_clearance, format_length, format_wanted
from app.widths import sample_at
from app.wording import broken_words, pair_words, verdict_sentence
from geometry.contact.findings import WidthCurve
from geometry.plan.amount import Amount
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig, WantedClearance

if TYPE_CHECKING:
    from geometry.stance.masses import RigMasses
    from geometry.stance.rules import Reading, RuleKind, WidthRule

CLEARANCE: Final = "clearance"
"""Key of the bounds that the whole-travel search finds, which are switched on and off together."""

ROOMY: Final = 10_000.0
"""A width at which the parts of any axle fit [mm]: the least width for the perches is no matter of the width."""

AT_EDGE: Final = 1e-6
"""Within what a width at an edge counts as allowed [mm]: rounding of a typed width, far below any tape."""

Span = tuple[float, float]
"""Widths from, to [mm]."""


@dataclass(frozen=True, slots=True)
class RuleState:
    """A rule at a width, ready to be shown.

    Attributes
    ----------
    key : str
        Names the rule among those of its axle; all bounds by clearance have one.
    value, limit : str
        What it looks at there, and what it asks for; an unknown value is a question mark.
    satisfied : bool or None
        None = unknown.
    spans : tuple of Span or None
        Widths that satisfy it; None = unknown, empty = no width does.
    note : str
        What is missing, or how much room is left.

    """

    key: str
    kind: RuleKind
    name: str
    value: str
    limit: str
    satisfied: bool | None
    spans: tuple[Span, ...] | None
    note: str

    @property
    def words(self) -> str:
        """Everything about it in one line."""
        told = {True: "satisfied", False: "broken", None: "unknown"}[self.satisfied]
        numbers = " ".join(part for part in (self.value, self.limit) if part)
        return ", ".join(part for part in (self.name, numbers, told, self.note) if part)


class KnownRules:
    """The rules of a rig, worked out anew only where more of it has changed than widths: weighing takes a while."""

    def __init__(self) -> None:
        self._rig: Rig | None = None
        self._masses: RigMasses | None = None
        self._rules: dict[str, tuple[WidthRule, ...]] = {}

    def of(self, rig: Rig, axle_id: str) -> tuple[WidthRule, ...]:
        """The rules of an axle beside clearance; KeyError when there is no axle of that id."""
        self._renew(rig)
        if axle_id not in self._rules:
            masses = self.masses(rig) if rig.rules is not None else None
            self._rules[axle_id] = rules_of(rig, rig.axle(axle_id), masses)
        return self._rules[axle_id]

    def broken(self, rig: Rig) -> dict[str, tuple[WidthRule, ...]]:
        """The rules beside clearance that each axle breaks at its own width, by its id."""
        return {
            axle.id: tuple(rule for rule in self.of(rig, axle.id) if rule.at(axle.width).satisfied is False)
            for axle in rig.axles
        }

    def masses(self, rig: Rig) -> RigMasses:
        """What the rig weighs."""
        self._renew(rig)
        if self._masses is None:
            from geometry.stance.masses import rig_masses

            self._masses = rig_masses(rig)
        return self._masses

    def _renew(self, rig: Rig) -> None:
        if self._rig is None or not same_rules(self._rig, rig):
            self._masses, self._rules = None, {}
        self._rig = rig


def rules_of(rig: Rig, axle: Axle, masses: RigMasses | None = None) -> tuple[WidthRule, ...]:
    """The rules of an axle beside clearance: those of the rig, and room for its perches if it has any."""
    has_perches = axle.build is not None and axle.build.perches
    if rig.rules is None and not has_perches:
        return ()  # and nothing is loaded for it
    from geometry.stance.rules import perch_rule, width_rules

    rules = width_rules(rig, axle, masses)
    if not has_perches:
        return rules
    return (*rules, perch_rule(axle, _least_for_perches(axle)))


def _least_for_perches(axle: Axle) -> Amount:
    """Least width at which the perches have room [mm]; unknown where no plan can be made of what was entered."""
    from geometry.errors import PlanError
    from geometry.plan.perch import perch_fit

    try:
        fit = perch_fit(replace(axle, width=ROOMY))
    except PlanError as refused:
        return Amount(None, (refused.place,))
    if fit.missing:
        return Amount(None, fit.missing)
    return Amount(inf if fit.least_width is None else fit.least_width)


def same_rules(one: Rig, other: Rig) -> bool:
    """Whether two rigs differ in nothing that a rule depends on."""

    def leveled(rig: Rig) -> tuple[Axle, ...]:
        return tuple(replace(axle, width=1.0, trial_widths=()) for axle in rig.axles)

    parts = ((one.nodes, other.nodes), (one.bars, other.bars), (one.masses, other.masses), (one.rules, other.rules))
    return one is other or (all(a is b or a == b for a, b in parts) and leveled(one) == leveled(other))


def rule_state(rule: WidthRule, width: float, rig: Rig, unit: LengthUnit) -> RuleState:
    """One rule at a wheel-mount width [mm]."""
    reading = rule.at(width)
    missing = [bound.missing for bound in (rule.low, rule.high) if bound is not None and bound.value is None]
    note = f"missing: {missing_words(rig, rule.axle, missing[0])}" if missing else _room_words(rule, width, unit)
    return RuleState(
        key=rule.key,
        kind=rule.kind,
        name=rule.label,
        value=_reading_words(rule, reading, unit),
        limit=_limit_words(rule, unit, reading.satisfied),
        satisfied=reading.satisfied,
        spans=None if missing else _spans(rule),
        note=note,
    )


def clearance_state(curve: WidthCurve | None, width: float, wanted: WantedClearance, unit: LengthUnit) -> RuleState:
    """Clearance at a width [mm] as the curve has it: satisfied only where every pair is proved to clear."""
    sample = None if curve is None else sample_at(curve, width)
    tightest = None if sample is None else sample.tightest
    value = limit = ""
    if sample is not None and tightest is not None:
        asked = float(getattr(wanted, tightest.kind))
        sign = "≥" if sample.margin_low >= 0.0 else "<"
        value, limit = format_clearance(sample.margin_low + asked, unit), f"{sign} {format_wanted(asked, unit)}"
    known = curve is not None and curve.complete
    spans = tuple((window.low.width, window.high.width) for window in curve.windows) if curve is not None else ()
    satisfied, note = None, "" if known else "the widths that clear are being looked for"
    if any(low - AT_EDGE <= width <= high + AT_EDGE for low, high in spans):
        satisfied = True
    elif known and sample is not None:
        satisfied = False
    elif known:
        note = "nothing is established at this width"
    pair = f", {pair_words(tightest)}" if tightest is not None else ""
    return RuleState(
        CLEARANCE, "contact", f"clearance{pair}", value or "?", limit, satisfied, spans if known else None, note
    )


def common_spans(states: Iterable[RuleState], low: float, high: float) -> tuple[Span, ...] | None:
    """Widths between `low` and `high` [mm] that satisfy all of some rules; None where that of one is unknown."""
    spans: list[Span] = [(low, high)]
    for state in states:
        if state.spans is None:
            return None
        both = ((max(one[0], other[0]), min(one[1], other[1])) for one in spans for other in state.spans)
        spans = [span for span in both if span[0] <= span[1]]
    return tuple(spans)


def common_words(
    states: Sequence[RuleState], spans: Sequence[Span] | None, span: Span, unit: LengthUnit, *, every: bool
) -> str:
    """The widths that satisfy all of some rules as a sentence, both ends rounded inward; `every` = none is left out."""
    which = "All rules hold" if every else "All rules that are on hold"
    if spans is None:
        unknown = [state.name for state in states if state.spans is None]
        more = f" and {len(unknown) - 1} more" if len(unknown) > 1 else ""
        return f"Whether all rules hold is unknown: {unknown[0]}{more}"
    if not spans:
        return f"No width looked at satisfies all rules{'' if every else ' that are on'}"
    return f"{which} {' and '.join(_span_words(each, span, unit) for each in spans)}"


def _span_words(span: Span, looked_at: Span, unit: LengthUnit) -> str:
    low, high = format_clearance(span[0], unit, up=True), format_clearance(span[1], unit)
    if span[1] >= looked_at[1]:
        return f"from {low} on"
    return f"up to {high}" if span[0] <= looked_at[0] else f"from {low} to {high}"


def curve_states(rig: Rig, curve: WidthCurve, rules: KnownRules, unit: LengthUnit) -> tuple[RuleState, ...]:
    """Clearance and all rules of the axle of a curve at its own width."""
    width = rig.axle(curve.axle).width
    clear = clearance_state(curve, width, rig.wanted, unit)
    return (clear, *(rule_state(rule, width, rig, unit) for rule in rules.of(rig, curve.axle)))


def broken_sentence(rig: Rig, broken: Mapping[str, Sequence[WidthRule]]) -> str:
    """The rules that axles break, by the axle's id, a short sentence for each axle; empty = none."""
    from app.figures.places import axle_words

    told = ((axle, broken_words(rules)) for axle, rules in broken.items())
    return " ".join(f"The {axle_words(rig, axle)} breaks {words}." for axle, words in told if words)


def headline(study: Study, rules: KnownRules, unit: LengthUnit) -> str:
    """The answer for the whole rig with the rules beside clearance that it breaks."""
    return f"{verdict_sentence(study, unit)} {broken_sentence(study.rig, rules.broken(study.rig))}".rstrip()


def missing_words(rig: Rig, axle_id: str, places: Collection[str]) -> str:
    """What nobody gave, by its places in the rig, in words."""
    from app.figures.places import place_words

    words = list(dict.fromkeys(place_words(rig, place, axle_id) for place in places))
    return f"{', '.join(words[:3])}{f' and {len(words) - 3} more' if len(words) > 3 else ''}"


def _spans(rule: WidthRule) -> tuple[Span, ...]:
    low = -inf if rule.low is None or rule.low.value is None else rule.low.value
    high = inf if rule.high is None or rule.high.value is None else rule.high.value
    return ((low, high),) if low <= high and low < inf else ()


def _room_words(rule: WidthRule, width: float, unit: LengthUnit) -> str:
    for bound, sign, side in ((rule.low, 1.0, "from"), (rule.high, -1.0, "up to")):
        if bound is None or bound.value is None:
            continue
        if isinf(bound.value):
            return "no width satisfies it"
        room = sign * (width - bound.value)
        edge = format_clearance(bound.value, unit, up=sign > 0.0)
        away = format_clearance(max(room, 0.0), unit) if room >= -AT_EDGE else format_clearance(-room, unit, up=True)
        way = "spare" if room >= -AT_EDGE else ("more is needed" if sign > 0.0 else "less is needed")
        return f"holds {side} {edge}, {away} {way}"
    return ""


def _reading_words(rule: WidthRule, reading: Reading, unit: LengthUnit) -> str:
    """What a rule looks at: a length as everywhere, unless a broken rule would look satisfied by it."""
    value, limit = reading.value.value, rule.limit.value
    if rule.unit == "mm" and value is not None:
        words = format_length(value, unit)
        at_limit = limit is not None and isfinite(limit) and words == format_length(limit, unit)
        if not (at_limit and reading.satisfied is False):
            return words
    return _value_words(reading.value, rule.unit, unit, up=rule.high is not None)


Of = Literal["mm", "rad", "-"]


def _value_words(value: Amount, of: Of, unit: LengthUnit, *, up: bool) -> str:
    if value.value is None:
        return "?"
    return _number(value.value, of, unit, up=up)


def _number(value: float, of: Of, unit: LengthUnit, *, up: bool) -> str:
    """A value rounded to the side on which it satisfies less, so that a broken rule never looks satisfied."""
    if of == "mm":
        return format_clearance(value, unit, up=up)
    step, number = (1000.0, value) if of == "-" else (10.0, degrees(value))
    rounded = -floor(-number * step - _NOISE) / step if up else floor(number * step + _NOISE) / step
    return f"{rounded:.3f}" if of == "-" else f"{rounded:.1f}°"


_NOISE: Final = 1e-6
"""Share of the last digit that is binary noise of a value at its limit [-]."""


def _limit_words(rule: WidthRule, unit: LengthUnit, satisfied: bool | None) -> str:
    """What is asked for, behind the sign that tells how the value is to it."""
    if rule.limit.value is None or isinf(rule.limit.value):
        return ""
    sign = ("≥", "≤", "<", ">")[(rule.high is not None) + 2 * (satisfied is False)]
    if rule.unit == "mm":
        return f"{sign} {format_length(rule.limit.value, unit)}"
    return f"{sign} {rule.limit.value:g}" if rule.unit == "-" else f"{sign} {degrees(rule.limit.value):.4g}°"
