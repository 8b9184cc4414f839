from __future__ import annotations

from math import atan, inf, radians, tan
from typing import Any

import pytest
from msgspec.structs import replace

from geometry.contact.findings import PairName, WidthBound, WidthCurve, WidthSample, WidthWindow
from geometry.contact.width import width_curve
from geometry.plan.amount import Amount
from geometry.plan.perch import perch_fit
from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig
from geometry.stance.masses import rig_masses
from geometry.stance.rail_pocket import rail_pocket
from geometry.stance.rules import WidthRule, contact_rules, measured_width, perch_rule, width_rules
from geometry.stance.stability import stability
from tests.geometry.plan.builds import built
from tests.geometry.rig.rigs import small_rig
from tests.geometry.stance.stances import weighed_rig

PAIR = PairName(
    "tire_bar", PartRef("tire", "rear", "left", "left rear tire"), PartRef("bar", "rub", "left", "rub rail")
)


def ruled(**rules: Any) -> Rig:
    return weighed_rig(rules=rules)


def one(rig: Rig) -> WidthRule:
    (rule,) = width_rules(rig, rig.axles[0])
    return rule


def test_a_rig_without_rules_bounds_nothing() -> None:
    rig = weighed_rig()
    assert width_rules(rig, rig.axles[0]) == ()


@pytest.mark.parametrize(
    ("measure", "beyond"),
    [("outer", 76.0 + 317.5), ("tread", 76.0 + 317.5 - 2 * 0.06 * 469.9), ("rim", 76.0 + 228.6 + 25.4)],
)
def test_a_width_limit_bounds_from_above_as_it_is_measured(measure: Any, beyond: float) -> None:
    limit = {"id": "trail", "name": "Trail class 2", "measure": measure, "most": 2000.0}
    rule = one(ruled(widths=[limit]))
    assert (rule.kind, rule.label, rule.key, rule.low) == ("trail limit", "Trail class 2", "trail limit/trail", None)
    assert rule.high is not None
    assert rule.high.value == pytest.approx(2000.0 - beyond)
    assert rule.at(1600.0).value.value == pytest.approx(1600.0 + beyond)
    assert measured_width(weighed_rig().axles[0], measure, 1600.0) == pytest.approx(1600.0 + beyond)
    assert [rule.at(rule.high.value + by).satisfied for by in (-0.001, 0.0, 0.001)] == [True, True, False]


def test_a_least_factor_bounds_from_below_empty_and_loaded() -> None:
    rig = ruled(least_factor=1.05)
    rules = width_rules(rig, rig.axles[0])
    assert [rule.key for rule in rules] == ["stability factor/empty", "stability factor/loaded"]
    for rule, state in zip(rules, rig_masses(rig).states, strict=True):
        assert rule.low is not None
        assert rule.low.value == pytest.approx(2.0 * 1.05 * state.z.value - 76.0)
        at_low = replace(rig, axles=(replace(rig.axles[0], width=rule.low.value), rig.axles[1]))
        assert stability(at_low, state).axles[0].factor.value == pytest.approx(1.05)
        assert rule.at(1600.0).value.value == pytest.approx(stability(rig, state).axles[0].factor.value)
        assert [rule.at(rule.low.value + by).satisfied for by in (-0.001, 0.001)] == [False, True]


def test_a_least_tip_angle_is_the_factor_of_its_tangent() -> None:
    rig, other = ruled(least_tip_deg=46.0), ruled(least_factor=tan(radians(46.0)))
    for angle, factor in zip(width_rules(rig, rig.axles[0]), width_rules(other, other.axles[0]), strict=True):
        assert angle.low == pytest.approx(factor.low)
        assert angle.unit == "rad"
        assert angle.at(1650.0).value.value == pytest.approx(atan(factor.at(1650.0).value.value))
        assert angle.limit.value == pytest.approx(radians(46.0))


def test_stability_without_a_height_is_unknown_at_every_width() -> None:
    rig = small_rig(rules={"least_factor": 1.05})
    for rule in width_rules(rig, rig.axles[0]):
        assert rule.low == Amount(None, ("masses/parts",))
        assert rule.at(3000.0).satisfied is None
        assert rule.at(3000.0).value == Amount(None, ("masses/parts",))


def test_a_rail_pocket_bounds_from_above_and_names_its_tube() -> None:
    rig = ruled(most_pocket=60.0)
    rule = one(rig)
    assert rule.high is not None
    at_high = rail_pocket(rig, replace(rig.axles[0], width=rule.high.value))
    assert at_high.gap.value == pytest.approx(60.0)
    assert rule.label == f"rail pocket at {at_high.governing.rail.part.label}"
    assert rule.at(1600.0).value.value == pytest.approx(rail_pocket(rig, rig.axles[0]).gap.value)


def test_a_rail_pocket_without_a_rail_is_unknown() -> None:
    rule = one(small_rig(nodes=[], bars=[], panels=[], rules={"most_pocket": 60.0}))
    assert (rule.high, rule.label, rule.at(1600.0).satisfied) == (Amount(None, ("bars",)), "rail pocket", None)


def test_rules_hold_while_the_width_is_dragged() -> None:
    rig = ruled(widths=[{"id": "t", "measure": "rim", "most": 2000.0}], least_factor=1.0, most_pocket=50.0)
    axle = rig.axles[0]
    assert width_rules(rig, replace(axle, width=1722.0)) == width_rules(rig, axle)


def test_perch_room_bounds_by_what_the_plan_tells() -> None:
    axle = built()
    least = perch_fit(axle).least_width
    assert least is not None
    rule = perch_rule(axle, Amount(least))
    assert [rule.at(least + by).satisfied for by in (-1.0, 0.0, 1.0)] == [False, True, True]
    assert perch_rule(axle, Amount(inf)).at(9000.0).satisfied is False
    assert perch_rule(axle, Amount(None, ("axles/front/build/left/end_addition",))).at(1800.0).satisfied is None


def test_the_pairs_that_bound_a_window_are_its_rules() -> None:
    curve = made_curve(WidthWindow(WidthBound(1550.0, 1549.0, PAIR), WidthBound(1700.0, 1700.0, None)))
    (rule,) = contact_rules(curve, 1600.0)
    assert (rule.kind, rule.label) == ("contact", "left rear tire to rub rail")
    assert (rule.low, rule.high) == (Amount(1550.0), None)
    assert [rule.at(width).satisfied for width in (1549.0, 1550.0, 1600.0)] == [False, True, True]


def test_the_nearest_window_counts_where_a_width_is_in_none() -> None:
    windows = tuple(
        WidthWindow(WidthBound(low, low, PAIR), WidthBound(low + 50.0, low + 51.0, PAIR)) for low in (1500.0, 1700.0)
    )
    low, high = contact_rules(made_curve(*windows), 1680.0)
    assert (low.low, high.high) == (Amount(1700.0), Amount(1750.0))
    assert low.at(1680.0).satisfied is False


def test_where_no_width_clears_no_width_satisfies() -> None:
    (rule,) = contact_rules(made_curve(), 1600.0)
    assert rule.label == "left rear tire to rub rail"
    assert rule.at(1600.0).satisfied is False
    assert contact_rules(replace_complete(made_curve()), 1600.0) == ()


def test_contact_bounds_are_those_of_the_search() -> None:
    rig = small_rig()
    curve = width_curve(rig, rig.axles[0], 1500.0, 1900.0)
    assert curve is not None
    bounds = {bound.width for window in curve.windows for bound in (window.low, window.high) if bound.reason}
    for rule in contact_rules(curve, 1600.0):
        assert {(rule.low or rule.high).value} <= bounds | {inf}


def made_curve(*windows: WidthWindow) -> WidthCurve:
    sample = WidthSample(1600.0, -5.0, -4.8, -24.0, -23.8, PAIR, PAIR)
    return WidthCurve("rear", (sample,), windows, complete=True)


def replace_complete(curve: WidthCurve) -> WidthCurve:
    return WidthCurve(curve.axle, curve.samples, curve.windows, complete=False)
