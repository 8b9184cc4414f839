from __future__ import annotations

from math import degrees, radians

import numpy as np
import pytest

from geometry.errors import LinkageError
from geometry.links.motion import axle_motion, is_front, link_poses, link_travel, understeer
from geometry.motion.linkage import linkage_of, solve
from geometry.motion.placement import place
from geometry.motion.travel import RIDE_HEIGHT, TravelBox, TravelPose
from geometry.rig.axle import Housing
from tests.geometry.links.linked import linked, on_rods
from tests.geometry.motion.linkages import LAYOUTS, TRIANGULATED

POSES = (RIDE_HEIGHT, TravelPose(120.0, 90.0), TravelPose(-140.0, 60.0))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_velocities_are_those_of_neighbouring_poses(layout: str) -> None:
    linkage, step = linkage_of(linked(layout)), 0.01
    at = np.array([(pose.left, pose.right) for pose in POSES]).T
    for left, right in ((1.0, 1.0), (1.0, -1.0), (0.3, 0.0)):
        way = step * np.array([[left], [right]])
        velocity, spin = axle_motion(linkage, solve(linkage, *at), left, right)
        after, before = solve(linkage, *(at + way)), solve(linkage, *(at - way))
        assert velocity == pytest.approx((after.centre - before.centre) / (2 * step), abs=1e-7)
        turn = (after.rotation @ before.rotation.transpose(0, 2, 1) - np.eye(3)) / (2 * step)
        assert spin == pytest.approx(np.stack([turn[:, 2, 1], turn[:, 0, 2], turn[:, 1, 0]], axis=1), abs=1e-7)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_pose_is_the_placed_axle(layout: str) -> None:
    axle = linked(layout, housing=Housing(pinion_angle_deg=7.0))
    for found in link_poses(axle, POSES):
        placed = place(axle, found.pose)
        assert found.side_shift == pytest.approx(placed.centre[1], abs=1e-9)
        assert found.forward_shift == pytest.approx(placed.centre[0], abs=1e-9)
        along = placed.pinion_tip - placed.centre_section
        assert found.pinion_angle == pytest.approx(np.arctan2(along[2], along[0]), abs=1e-10)
        across = placed.housing_ends[0] - placed.housing_ends[1]
        assert found.steer == pytest.approx(np.arctan2(-across[0], across[1]), abs=1e-10)
        assert found.roll == pytest.approx(np.arcsin(across[2] / np.linalg.norm(across)), abs=1e-10)
    ride = link_poses(axle, POSES)[0]
    assert (ride.side_shift, ride.forward_shift, ride.roll) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)
    assert degrees(ride.pinion_angle) == pytest.approx(7.0)


@pytest.mark.parametrize("height", [620.0, 560.0, 480.0])
def test_a_lateral_bar_sets_the_roll_centre_where_its_line_crosses_the_centre_plane(height: float) -> None:
    # Three level links far ahead pull nothing sideways: what is left is the bar.
    far = 1e7
    links = tuple(((far, y, z), (0.0, y, z)) for y, z in ((450.0, 420.0), (-450.0, 420.0), (0.0, 640.0)))
    axle = on_rods((*links, ((0.0, -450.0, height), (0.0, 350.0, 560.0))))
    crossing = height + (560.0 - height) * 450.0 / 800.0
    found = link_poses(axle, (RIDE_HEIGHT,))[0]
    assert found.roll_centre + 470.0 - 450.0 == pytest.approx(crossing, abs=1e-3)


@pytest.mark.parametrize("layout", ["three links and a bar", "parallel and a bar"])
def test_a_bar_pulls_the_axle_to_its_chassis_end(layout: str) -> None:
    for found in link_poses(linked(layout), (TravelPose(140.0, 140.0), TravelPose(-140.0, -140.0))):
        assert abs(found.side_shift) > 1.0
    assert link_poses(linked("triangulated"), (TravelPose(140.0, 140.0),))[0].side_shift == pytest.approx(0.0, abs=1e-9)


def test_the_lean_is_that_of_the_line_from_the_patch_to_the_instant_centre() -> None:
    for layout in LAYOUTS:
        for found in link_poses(linked(layout), POSES[:2]):
            assert found.instant_centre is not None
            ahead, above = found.instant_centre
            assert found.lean == pytest.approx(above / ahead, rel=1e-9)


def test_equal_parallel_links_have_no_instant_centre_and_a_level_lean() -> None:
    rods = tuple(((900.0, y, z), (0.0, y, z)) for y, z in ((450.0, 420.0), (-450.0, 420.0), (0.0, 640.0)))
    axle = on_rods((*rods, ((0.0, -450.0, 560.0), (0.0, 450.0, 560.0))))
    found = link_poses(axle, (RIDE_HEIGHT,))[0]
    assert found.instant_centre is None
    assert found.lean == pytest.approx(0.0, abs=1e-9)


def test_the_mirror_image_turns_the_other_way() -> None:
    axle = linked("three links and a bar")
    flipped = on_rods(tuple(((c[0], -c[1], c[2]), (a[0], -a[1], a[2])) for c, a in LAYOUTS["three links and a bar"]))
    one, other = link_poses(axle, (TravelPose(80.0, -40.0),))[0], link_poses(flipped, (TravelPose(-40.0, 80.0),))[0]
    assert other.side_shift == pytest.approx(-one.side_shift, abs=1e-9)
    assert other.steer == pytest.approx(-one.steer, abs=1e-12)
    assert other.roll == pytest.approx(-one.roll, abs=1e-12)
    for name in ("forward_shift", "pinion_angle", "lean", "roll_centre", "roll_steer"):
        assert getattr(other, name) == pytest.approx(getattr(one, name), abs=1e-9)


def test_roll_steer_is_the_turn_that_a_small_roll_brings() -> None:
    axle = linked("triangulated")
    found = link_poses(axle, (TravelPose(1.0, -1.0), TravelPose(-1.0, 1.0)))
    measured = (found[0].steer - found[1].steer) / (found[0].roll - found[1].roll)
    ride = link_poses(axle, (RIDE_HEIGHT,))[0]
    assert ride.roll_steer == pytest.approx(measured, abs=1e-5)
    assert np.tan(ride.roll_axis) == pytest.approx(ride.roll_steer)


def test_a_rear_axle_that_turns_into_the_bend_understeers_and_so_does_a_front_axle_that_turns_out_of_it() -> None:
    # In a bend to the left the axle's left end is down, roll is negative: a slope of −0.1 turns it to the left.
    assert understeer(-0.1, front=False) == 0.1
    assert understeer(-0.1, front=True) == -0.1
    stations = (0.0, 2600.0)
    assert [is_front(linked("wishbone", station=x), stations) for x in stations] == [False, True]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_extremes_hold_for_random_poses(layout: str) -> None:
    axle = linked(layout, housing=Housing(pinion_angle_deg=7.0))
    travels = np.random.default_rng(5).uniform(-150.0, 150.0, (200, 2))
    found = link_poses(axle, tuple(TravelPose(*pair) for pair in travels.tolist()))
    over = link_travel(axle)
    for name in ("side_shift", "forward_shift", "pinion_angle", "steer"):
        values = [getattr(each, name) for each in found]
        extremes = getattr(over, name)
        assert extremes.least.low - 1e-9 <= min(values)
        assert max(values) <= extremes.most.high + 1e-9
        assert extremes.least.settled
        assert extremes.most.settled
        there = getattr(link_poses(axle, (extremes.most.pose,))[0], name)
        assert there == pytest.approx(extremes.most.low, abs=1e-2 if "shift" in name else radians(0.02))


def test_straight_travel_alone_is_a_thin_box() -> None:
    over = link_travel(linked("triangulated"), (TravelBox((20.0, 20.0), (20.0, 20.0)),))
    assert over.steer.most.high - over.steer.least.low < 1e-6
    assert link_poses(linked("triangulated"), ()) == ()


def test_a_pose_out_of_reach_is_refused() -> None:
    with pytest.raises(LinkageError, match="cannot reach"):
        link_poses(on_rods(TRIANGULATED), (TravelPose(5000.0, 5000.0),))
