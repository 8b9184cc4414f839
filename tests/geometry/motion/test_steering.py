from __future__ import annotations

from math import cos, radians, sin, tan

import numpy as np
import pytest

from geometry.motion.carried import kingpin_place, tire_centre
from geometry.motion.steering import at_steer, ground_offsets, kingpin_axis, wheel_angles, wheel_turn
from geometry.rig.axle import Steering
from geometry.rig.layout import MIRROR, Side
from tests.geometry.motion.axles import STEERING, axle

SIDES: tuple[Side, Side] = ("left", "right")
UPRIGHT = Steering(
    inclination_deg=0.0, caster_deg=0.0, kingpin=(0.0, -100.0, 0.0), lock_left_deg=40.0, lock_right_deg=40.0
)


def test_kingpin_leans_rearward_and_inboard_at_the_top() -> None:
    up = kingpin_axis(STEERING)
    assert np.linalg.norm(up) == pytest.approx(1.0)
    assert -up[0] / up[2] == pytest.approx(tan(radians(6.0)))
    assert -up[1] / up[2] == pytest.approx(tan(radians(8.5)))


@pytest.mark.parametrize("side", SIDES)
def test_an_unsteered_wheel_does_not_turn(side: Side) -> None:
    turn = wheel_turn(axle(), side)
    assert turn.centre[0] == pytest.approx(tire_centre(axle(), side))
    assert turn.axis[0].tolist() == [0.0, 1.0, 0.0]
    for rows in (turn.centre, turn.mount, turn.axis):
        assert not rows[1:].any()


@pytest.mark.parametrize("side", SIDES)
def test_straight_ahead_the_wheel_stands_as_without_steering(side: Side) -> None:
    turn, still = (wheel_turn(axle(steering=steering), side) for steering in (STEERING, None))
    assert at_steer(turn.centre, 0.0) == pytest.approx(still.centre[0])
    assert at_steer(turn.mount, 0.0) == pytest.approx(still.mount[0])
    assert at_steer(turn.axis, 0.0) == pytest.approx(still.axis[0])


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("steer", [-0.6, 0.3])
def test_turning_keeps_distance_and_height_along_the_kingpin(side: Side, steer: float) -> None:
    made = axle(steering=STEERING)
    up = kingpin_axis(STEERING) * (1.0 if side == "left" else MIRROR)
    turn = wheel_turn(made, side)
    for rows in (turn.centre, turn.mount):
        before, after = (at_steer(rows, angle) - kingpin_place(made, side) for angle in (0.0, steer))
        assert np.linalg.norm(after) == pytest.approx(np.linalg.norm(before))
        assert after @ up == pytest.approx(before @ up)
    assert np.linalg.norm(at_steer(turn.axis, steer)) == pytest.approx(1.0)


@pytest.mark.parametrize("side", SIDES)
def test_about_upright_kingpins_both_wheels_steer_by_the_same_angle(side: Side) -> None:
    turn = wheel_turn(axle(steering=UPRIGHT), side)
    assert at_steer(turn.axis, 0.4) == pytest.approx((-sin(0.4), cos(0.4), 0.0))


def test_a_left_turn_carries_the_left_tire_rearward_and_the_right_one_forward() -> None:
    left, right = (at_steer(wheel_turn(axle(steering=UPRIGHT), side).centre, 0.4) for side in SIDES)
    assert left[0] < -10.0
    assert right[0] > 10.0


def test_a_left_turn_of_one_side_mirrors_a_right_turn_of_the_other() -> None:
    left, right = (wheel_turn(axle(steering=STEERING), side) for side in SIDES)
    assert at_steer(left.centre, 0.5) * MIRROR == pytest.approx(at_steer(right.centre, -0.5))
    assert wheel_angles(at_steer(left.axis, 0.5), "left").camber == pytest.approx(
        wheel_angles(at_steer(right.axis, -0.5), "right").camber
    )


def test_the_centre_moves_out_with_the_width_and_turns_alike() -> None:
    narrow, wide = (wheel_turn(axle(steering=STEERING, width=width), "left") for width in (1500.0, 1600.0))
    assert wide.centre - narrow.centre == pytest.approx(np.array([[0.0, 50.0, 0.0], [0.0] * 3, [0.0] * 3]))
    assert wide.axis.tolist() == narrow.axis.tolist()


def test_scrub_and_trail_count_from_where_the_axis_meets_the_ground() -> None:
    """Kingpin point 20 mm above hub height: the axis falls 470 mm to the ground."""
    offsets = ground_offsets(axle(steering=STEERING))
    assert offsets is not None
    assert offsets.scrub == pytest.approx(100.0 + 25.0 - 470.0 * tan(radians(8.5)))
    assert offsets.trail == pytest.approx(470.0 * tan(radians(6.0)))


def test_an_unsteered_axle_has_no_scrub_or_trail() -> None:
    assert ground_offsets(axle()) is None
