from __future__ import annotations

from math import cos, degrees, radians, sin, tan

import pytest

from geometry.motion.steering import ground_offsets
from geometry.steering.in_turn import wheel_in_turn
from tests.geometry.motion.axles import STEERING, axle
from tests.geometry.motion.ties import TIES, tied


@pytest.mark.parametrize("side", ["left", "right"])
def test_straight_ahead_a_wheel_has_what_the_rig_says(side: str) -> None:
    made = axle(steering=STEERING)
    wheel, ground = wheel_in_turn(made, side, 0.0), ground_offsets(made)  # type: ignore[arg-type]
    assert wheel is not None
    assert ground is not None
    assert (wheel.turn, wheel.steer, wheel.camber, wheel.rise) == pytest.approx((0.0, 0.0, 0.0, 0.0))
    assert (degrees(wheel.caster), degrees(wheel.inclination)) == pytest.approx((6.0, 8.5))
    assert (wheel.scrub, wheel.trail) == pytest.approx((ground.scrub, ground.trail))


def test_a_left_turn_gives_the_inner_wheel_positive_camber_and_the_outer_one_negative() -> None:
    inner, outer = (wheel_in_turn(axle(steering=STEERING), side, radians(30.0)) for side in ("left", "right"))
    assert inner is not None
    assert outer is not None
    assert (degrees(inner.steer), degrees(inner.camber)) == pytest.approx((29.4105, 4.0756), abs=1e-4)
    assert outer.camber < 0.0


def test_turned_the_inclination_becomes_caster() -> None:
    inner, outer = (wheel_in_turn(axle(steering=STEERING), side, radians(30.0)) for side in ("left", "right"))
    assert inner is not None
    assert outer is not None
    # tan of the leans, turned about the upright: tan 6° cos + tan 8.5° sin inside, the same with − sin outside
    for wheel, sign in ((inner, 1.0), (outer, -1.0)):
        caster = tan(radians(6.0)) * cos(wheel.steer) + sign * tan(radians(8.5)) * sin(wheel.steer)
        inclination = tan(radians(8.5)) * cos(wheel.steer) - sign * tan(radians(6.0)) * sin(wheel.steer)
        assert (tan(wheel.caster), tan(wheel.inclination)) == pytest.approx((caster, inclination))


@pytest.mark.parametrize("tie", TIES)
def test_a_left_turn_mirrors_a_right_one(tie: str) -> None:
    made = tied(axle(steering=STEERING), tie)
    one, other = wheel_in_turn(made, "left", 0.4), wheel_in_turn(made, "right", -0.4)
    assert one is not None
    assert other is not None
    assert (one.turn, one.steer) == pytest.approx((-other.turn, -other.steer))
    for name in ("camber", "caster", "inclination", "scrub", "trail", "rise"):
        assert getattr(one, name) == pytest.approx(getattr(other, name))


def test_a_wheel_that_is_not_steered_has_no_kingpin() -> None:
    assert wheel_in_turn(axle(), "left", 0.0) is None
