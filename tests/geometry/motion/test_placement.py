from __future__ import annotations

from math import radians

import numpy as np
import pytest

from geometry.errors import LinkageError
from geometry.motion.linkage import linkage_of
from geometry.motion.placement import place
from geometry.motion.pose_map import pose_map
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.tolerances import CLOSURE, POSE
from tests.geometry.motion.axles import STEERING, axle

LEANING = TravelPose(left=110.0, right=-70.0, steer=radians(25.0))


def test_at_ride_height_everything_stands_where_it_was_drawn() -> None:
    made = axle(steering=STEERING)
    placed = place(made, RIDE_HEIGHT)
    left, right = placed.tires
    assert left.centre == pytest.approx((2500.0, 825.0, 470.0))
    assert right.centre == pytest.approx((2500.0, -825.0, 470.0))
    assert left.mount == pytest.approx((2500.0, 800.0, 470.0))
    assert left.axis == pytest.approx((0.0, 1.0, 0.0))
    assert placed.housing_ends == pytest.approx(np.array([[2500.0, 736.5, 470.0], [2500.0, -736.5, 470.0]]))
    assert placed.centre_section == pytest.approx((2500.0, 150.0, 470.0))
    assert placed.pinion_tip == pytest.approx((2220.0, 150.0, 470.0))
    assert placed.kingpins[1].point == pytest.approx((2500.0, -700.0, 490.0))
    for rod, (chassis, joint) in zip(made.rods, placed.rods, strict=True):
        assert chassis == pytest.approx(rod.chassis)
        assert joint == pytest.approx(rod.axle)


def test_tires_carry_the_free_radius() -> None:
    tire = place(axle(), RIDE_HEIGHT).tires[0]
    assert (tire.side, tire.radius, tire.section_width) == ("left", pytest.approx(469.9), pytest.approx(317.5))
    assert tire.shoulder_radius == pytest.approx(0.06 * 469.9)


def test_every_pose_is_closed() -> None:
    made = axle(steering=STEERING)
    drawn, placed = place(made, RIDE_HEIGHT), place(made, LEANING)
    assert placed.residual <= CLOSURE
    for before, after in zip(drawn.rods, placed.rods, strict=True):
        assert np.linalg.norm(after[1] - after[0]) == pytest.approx(np.linalg.norm(before[1] - before[0]), abs=1e-8)


def test_everything_carried_keeps_its_distance_to_the_axle_centre() -> None:
    made = axle(steering=STEERING)
    drawn, placed = (place(made, TravelPose(left, right)) for left, right in ((0.0, 0.0), (110.0, -70.0)))
    for point in ("housing_ends", "centre_section", "pinion_tip"):
        before = np.linalg.norm(getattr(drawn, point) - drawn.centre, axis=-1)
        after = np.linalg.norm(getattr(placed, point) - placed.centre, axis=-1)
        assert after == pytest.approx(before)
    for before_tire, after_tire in zip(drawn.tires, placed.tires, strict=True):
        assert placed.to_rig(before_tire.centre - drawn.centre) == pytest.approx(after_tire.centre)


def test_the_exact_pose_and_the_tabulated_one_agree() -> None:
    made = axle()
    placed = place(made, LEANING)
    values, _, _ = pose_map(linkage_of(made)).evaluate(np.array([LEANING.left]), np.array([LEANING.right]))
    assert values[0, :3] == pytest.approx(placed.centre, abs=POSE)
    assert values[0, 3:].reshape(3, 3) == pytest.approx(placed.rotation, abs=1e-7)


def test_a_turned_wheel_pivots_about_its_placed_kingpin() -> None:
    made = axle(steering=STEERING)
    straight, turned = (place(made, TravelPose(110.0, -70.0, steer)) for steer in (0.0, radians(25.0)))
    for index in range(2):
        kingpin = turned.kingpins[index]
        before, after = (each.tires[index].centre - kingpin.point for each in (straight, turned))
        assert np.linalg.norm(after) == pytest.approx(np.linalg.norm(before))
        assert after @ kingpin.axis == pytest.approx(before @ kingpin.axis)


def test_the_width_moves_the_tires_but_not_the_axle() -> None:
    narrow, wide = (place(axle(width=width), TravelPose(110.0, -70.0)) for width in (1600.0, 1700.0))
    assert wide.centre.tolist() == narrow.centre.tolist()
    assert wide.tires[0].centre - narrow.tires[0].centre == pytest.approx(50.0 * narrow.rotation[:, 1])


def test_a_pose_out_of_reach_is_refused_with_its_travel() -> None:
    with pytest.raises(LinkageError) as caught:
        place(axle(), TravelPose(5000.0, 5000.0))
    assert caught.value.left == 5000.0
