from __future__ import annotations

from math import inf

import pytest
from msgspec.structs import replace

from geometry.rig.rig import Rig
from geometry.steering.turning import agreement, correct_inner, correct_outer, turn_length, turning_circle
from tests.geometry.motion.axles import STEERING, axle
from tests.geometry.motion.ties import tied

REAR = axle(id="rear", station=0.0)
FRONT = axle(steering=STEERING)


def test_correct_inner_is_the_inverse_of_correct_outer() -> None:
    assert correct_inner(correct_outer(0.6, 1500.0, 2500.0), 1500.0, 2500.0) == pytest.approx(0.6)


def test_an_arm_that_leans_inboard_behind_agrees_better_than_none() -> None:
    alike, rod = (agreement(made, 0.5, 2500.0) for made in (FRONT, tied(FRONT, "tie rod behind")))
    assert alike is not None
    assert rod is not None
    assert 0.0 < rod.error < alike.error
    assert abs(alike.percent) < 5.0 < rod.percent


def test_both_ways_agree_alike() -> None:
    one, other = (agreement(tied(FRONT, "tie rod ahead"), steer, 2500.0) for steer in (0.4, -0.4))
    assert one is not None
    assert other is not None
    assert (one.inner, one.outer) == pytest.approx((other.inner, other.outer))


def test_a_rear_axle_that_steers_turns_about_what_is_ahead_of_it() -> None:
    rear = tied(axle(id="rear", station=0.0, steering=STEERING), "share")
    assert rear.steering is not None
    assert rear.steering.ackermann is not None
    ahead = replace(rear.steering.ackermann, turn_length=-2500.0, share_factor=1.0)
    rear = replace(rear, steering=replace(rear.steering, ackermann=ahead))
    rig = Rig(name="", axles=(rear, axle()))
    assert turn_length(rig, rear) == -2500.0
    both = agreement(rear, 0.4, -2500.0)
    assert both is not None
    assert both.inner > both.outer
    assert both.percent == pytest.approx(100.0, abs=12.0)  # the law is that of the kingpins, this that of the ground


def test_each_circle_is_wider_than_the_one_before() -> None:
    rig = Rig(name="", axles=(REAR, FRONT))
    tight, wide = turning_circle(rig, FRONT, 0.6), turning_circle(rig, FRONT, -0.3)
    assert tight is not None
    assert wide is not None
    assert tight.by_rule < tight.radius < tight.kerb < tight.wall < wide.radius


def test_straight_ahead_the_circle_is_infinite_and_without_a_fixed_axle_it_is_not_known() -> None:
    rig = Rig(name="", axles=(REAR, FRONT))
    straight = turning_circle(rig, FRONT, 0.0)
    assert straight is not None
    assert straight.wall == inf
    assert turning_circle(rig, REAR, 0.3) is None
    assert turning_circle(Rig(name="", axles=(FRONT,)), FRONT, 0.3) is None
