"""Rules in words: what is broken never looks satisfied, what is unknown says why, and widths weigh nothing again."""

from __future__ import annotations

from dataclasses import replace as changed
from math import inf

import pytest
from msgspec.structs import replace

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.study import with_width
from app.units import LengthUnit, format_length
from app.width_rules import (
    CLEARANCE,
    KnownRules,
    RuleState,
    broken_words,
    clearance_state,
    common_spans,
    common_words,
    rule_state,
    rules_of,
    same_rules,
)
from geometry.plan.amount import Amount
from geometry.rig.build import BuildSide
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from geometry.stance import masses
from geometry.stance.masses import RigMasses, rig_masses
from geometry.stance.rules import WidthRule, perch_rule
from tests.app.panels.answers import curve_of

LONG = read_rig(next(path for path in demo_rigs() if "long" in path.stem))
UNIT = LengthUnit.FRACTION


def rules(rig: Rig = LONG) -> dict[str, WidthRule]:
    return {rule.key: rule for rule in rules_of(rig, rig.axle("rear"))}


def bound(rule: WidthRule) -> tuple[float, float]:
    """A rule's bound [mm], and the sign of the way in which it allows more."""
    low, high = rule.low, rule.high
    amount, sign = (low, 1.0) if low is not None else (high, -1.0)
    assert amount is not None
    assert amount.value is not None
    return amount.value, sign


@pytest.mark.parametrize("unit", list(LengthUnit))
@pytest.mark.parametrize("key", [key for key in rules() if key != "perch room"])
def test_a_rule_turns_at_its_bound_and_its_numbers_never_contradict_it(key: str, unit: LengthUnit) -> None:
    rule = rules()[key]
    edge, sign = bound(rule)
    inside, outside = (rule_state(rule, edge + sign * by, LONG, unit) for by in (1e-7, -0.02))
    assert (inside.satisfied, outside.satisfied) == (True, False)
    allowed, broken = ("≥", "<") if sign > 0.0 else ("≤", ">")
    assert inside.limit.startswith(allowed)
    assert outside.limit == inside.limit.replace(allowed, broken)
    assert outside.value != inside.limit.removeprefix(f"{allowed} ")
    assert "needed" in outside.note
    assert "spare" in inside.note


def test_an_unknown_rule_names_what_is_missing_and_is_never_satisfied() -> None:
    rig = replace(LONG, masses=None)
    states = [rule_state(rule, 1828.8, rig, UNIT) for rule in rules(rig).values() if rule.kind == "stability"]
    assert len(states) == 2
    for state in states:
        assert state.satisfied is None
        assert state.spans is None
        assert state.value == "?"
        assert "missing: list of what the rig carries and weighs" in state.words
    assert common_spans(states, 1500.0, 2000.0) is None
    assert common_words(states, None, (1500.0, 2000.0), UNIT, every=True).startswith(
        "Whether all rules hold is unknown"
    )


def test_perch_room_needs_what_the_ends_add() -> None:
    rear = LONG.axle("rear")
    assert rear.build is not None
    blind = replace(rear, build=replace(rear.build, left=BuildSide()))
    state = rule_state(rules_of(LONG, blind)[-1], 1828.8, LONG, UNIT)
    assert state.key == "perch room"
    assert state.satisfied is None
    assert "left end addition" in state.note


def test_a_rule_that_no_width_satisfies_leaves_none() -> None:
    state = rule_state(perch_rule(LONG.axle("rear"), Amount(inf)), 1828.8, LONG, UNIT)
    assert state.satisfied is False
    assert state.spans == ()
    assert state.note == "no width satisfies it"
    assert common_spans([state], 1500.0, 2000.0) == ()


def test_widths_that_satisfy_all_rules_are_those_that_satisfy_each() -> None:
    states = [rule_state(rule, 1828.8, LONG, UNIT) for rule in rules().values()]
    (span,) = common_spans(states, 1500.0, 2100.0) or ()
    assert span == pytest.approx((1738.645, 1917.7), abs=0.01)
    for width in (span[0] - 0.01, span[0], sum(span) / 2.0, span[1], span[1] + 0.01):
        within = span[0] <= width <= span[1]
        assert all(rule.at(width).satisfied for rule in rules().values()) is within
    words = common_words(states, (span,), (1500.0, 2100.0), UNIT, every=False)
    assert words == "All rules that are on hold from 68 1/2 in to 75 1/2 in"


def test_clearance_holds_only_where_a_window_proves_it() -> None:
    curve = curve_of(LONG)

    def at(width_in: float, complete: bool = True) -> RuleState:
        return clearance_state(changed(curve, complete=complete), width_in * INCH, LONG.wanted, UNIT)

    assert [at(width).satisfied for width in (60.0, 69.4, 70.0, 90.0)] == [False, False, True, None]
    assert (at(60.0).limit, at(70.0).limit) == ("< 3/4 in", "≥ 3/4 in")
    assert at(60.0, complete=False).satisfied is None
    assert at(60.0, complete=False).spans is None
    assert clearance_state(None, 1700.0, LONG.wanted, UNIT).satisfied is None
    assert at(70.0).key == CLEARANCE


def test_a_drag_weighs_the_rig_once(monkeypatch: pytest.MonkeyPatch) -> None:
    weighed: list[Rig] = []

    def weigh(rig: Rig) -> RigMasses:
        weighed.append(rig)
        return rig_masses(rig)

    monkeypatch.setattr(masses, "rig_masses", weigh)
    known = KnownRules()
    first = known.of(LONG, "rear")
    for width in (1700.0, 1800.0, 1900.0):
        rig = with_width(with_width(LONG, "rear", width), "front", width - 10.0)
        assert known.of(rig, "rear") is first
        assert known.of(rig, "front") == rules_of(rig, rig.axle("front"))
    assert len(weighed) == 1
    thicker = replace(LONG, bars=(replace(LONG.bars[0], wall=LONG.bars[0].wall * 1.5), *LONG.bars[1:]))
    assert known.of(thicker, "rear") != first
    assert len(weighed) == 2
    assert not same_rules(LONG, thicker)


def test_broken_rules_are_told_in_a_few_words() -> None:
    broken = [rule for rule in rules().values() if rule.at(2100.0).satisfied is False]
    assert broken_words(broken) == "quarry gate and 2 more"
    assert broken_words(()) == ""


def test_a_value_is_rounded_as_everywhere_unless_a_broken_rule_would_look_satisfied() -> None:
    rule = next(each for each in rules_of(LONG, LONG.axle("rear")) if each.kind == "trail limit")
    assert rule.high is not None
    assert rule.high.value is not None
    outer = rule.at(1828.8 + 0.6).value.value
    assert rule_state(rule, 1828.8 + 0.6, LONG, UNIT).value == format_length(outer, UNIT)
    broken = rule_state(rule, rule.high.value + 0.1, LONG, UNIT)
    assert broken.satisfied is False
    assert broken.value != broken.limit.removeprefix("> ")
