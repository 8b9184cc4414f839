from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.plan.shafts import ShaftPlan, shaft_plan
from geometry.rig.build import BuildSide
from geometry.rig.wheel import INCH
from tests.geometry.plan.builds import built, shaft, side

FINE = 1e-9


def with_shaft(stock: tuple[float, ...] = (), **inches: float | None) -> BuildSide:
    return replace(side(), shaft=replace(shaft(**inches), stock=tuple(length * INCH for length in stock)))


def planned(width_in: float = 72.0, offset_in: float = 0.0, **shafts: Any) -> ShaftPlan:
    given = {"left": with_shaft(), "right": with_shaft()} | shafts
    return shaft_plan(built(width_in, offset_in, **given))


def test_a_shaft_reaches_from_its_splines_to_its_flange() -> None:
    plan = planned(72.0, 4.0)
    assert plan.left.length.value / INCH == pytest.approx(32.0 - 3.0 + 1.5 - 0.03125, abs=FINE)
    assert plan.right.length.value / INCH == pytest.approx(40.0 - 3.0 + 1.5 - 0.03125, abs=FINE)


def test_a_joint_in_the_knuckle_makes_the_inner_shaft_shorter() -> None:
    plan = planned(left=with_shaft(flange=-5.0))
    assert (plan.right.length.value - plan.left.length.value) / INCH == pytest.approx(5.0, abs=FINE)


def test_without_an_end_play_the_length_is_unknown() -> None:
    plan = planned(left=with_shaft(end_play=None))
    assert plan.left.length.missing == ("axles/front/build/left/shaft/end_play",)
    assert plan.right.length.value is not None


def test_stock_lengths_say_what_they_would_give_instead_the_nearest_first() -> None:
    exact = 36.0 - 3.0 + 1.5 - 0.03125
    plan = planned(left=with_shaft(stock=(exact - 2.0, exact + 0.5, exact + 4.0)))
    near, short, long = plan.left.stock
    assert near.longer_by.value / INCH == pytest.approx(0.5, abs=FINE)
    assert near.engagement.value / INCH == pytest.approx(2.0, abs=FINE)
    assert near.half.value / INCH == pytest.approx(36.5, abs=FINE)
    assert near.width.value / INCH == pytest.approx(72.5, abs=FINE)
    assert (near.engages, short.engages, long.engages) == (True, False, False)


def test_whether_a_stock_shaft_engages_is_unknown_without_its_splines() -> None:
    plan = planned(left=with_shaft(stock=(34.0,), spline_length=None))
    assert plan.left.stock[0].engages is None


def test_a_stock_shaft_that_would_pass_the_pinion_does_not_engage() -> None:
    plan = planned(left=with_shaft(stock=(36.9,), spline_length=6.0))
    assert plan.left.stock[0].engagement.value / INCH == pytest.approx(3.93125, abs=FINE)
    assert plan.left.stock[0].engages is False


def test_a_shaft_of_its_planned_length_engages_as_planned_at_the_planned_width() -> None:
    length = planned(70.0, 3.0).left.length.value
    plan = planned(70.0, 3.0, left=with_shaft(stock=(length / INCH,)))
    same = plan.left.stock[0]
    assert same.longer_by.value == pytest.approx(0.0, abs=FINE)
    assert same.width.value == pytest.approx(70.0 * INCH, abs=FINE)


def test_a_shaft_shorter_than_its_splines_is_refused_with_a_width_that_works() -> None:
    long_splines = {"left": with_shaft(spline_length=40.0), "right": with_shaft()}
    with pytest.raises(PlanError, match="too short") as refused:
        planned(72.0, 0.0, **long_splines)
    assert refused.value.by == pytest.approx((40.0 - 34.46875) * INCH, abs=1e-6)
    ((place, width),) = refused.value.nearest
    assert place == "axles/front/width"
    assert planned(width / INCH, 0.0, **long_splines).left.length.value > 40.0 * INCH


@pytest.mark.parametrize(("field", "value"), [("spline_length", 1.0), ("gear_face", 1.25)])
def test_an_engagement_deeper_than_splines_or_gear_is_refused(field: str, value: float) -> None:
    with pytest.raises(PlanError, match="into the side gear") as refused:
        planned(right=with_shaft(**{field: value}))
    ((place, engagement),) = refused.value.nearest
    assert place == "axles/front/build/right/shaft/engagement"
    planned(right=with_shaft(**{field: value, "engagement": engagement / INCH}))
