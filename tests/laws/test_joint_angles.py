"""Laws of shafts and rods over the travel: no pose shows a larger angle, a longer or a shorter shaft than stated.

WHEELROOM_POSES=100000 before a run looks at as many poses of each axle; by itself it is a twentieth.
"""

from __future__ import annotations

import os

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import check_axle
from geometry.driveline.shaft import shaft_travel
from geometry.links.misalignment import bolt_of, rod_joints
from geometry.links.motion import link_travel
from geometry.motion.extremes import Extreme, Extremes
from geometry.motion.linkage import AxlePoses
from geometry.rig.axle import Axle
from geometry.rig.build import Build
from geometry.rig.driveline import Driveshaft
from geometry.rig.pinion import output_direction, pinion_direction, pinion_joint
from geometry.tolerances import ANGLE_FOUND, LENGTH_FOUND
from tests.laws.exact import exact_poses
from tests.laws.random_rigs import EVERY_LAYOUT, random_axle, random_rig

POSES = int(os.environ.get("WHEELROOM_POSES", "5000"))
ROUNDING = 1e-7
"""Double precision and Newton's in what is compared [mm], [rad]."""


def random_shafted(layout: str, seed: int) -> tuple[Axle, AxlePoses]:
    """A rear axle on random rods with a random driveshaft, and exact poses all over its travel and at its corners."""
    rng = np.random.default_rng([seed, EVERY_LAYOUT.index(layout)])
    axle = random_axle(rng, layout, steered=False)
    x, y, z = (float(value) for value in rng.uniform((700.0, -150.0, 480.0), (1300.0, 150.0, 720.0)))
    up, left, rise = (float(value) for value in rng.uniform((-8.0, -5.0, -60.0), (4.0, 5.0, 90.0)))
    axle = replace(
        axle,
        housing=replace(axle.housing, pinion_rise=rise, pinion_angle_deg=float(rng.uniform(-5.0, 20.0))),
        build=Build(transfer_output=(x, y, z)),
        driveshaft=Driveshaft(output_angle_deg=up, output_plan_deg=left, yoke_length=70.0),
    )
    left_travel, right_travel = rng.uniform(-axle.droop, axle.bump, (2, POSES))
    ends = np.array([-axle.droop, axle.bump])
    corners = np.stack(np.meshgrid(ends, ends), axis=0).reshape(2, -1)
    return axle, exact_poses(axle, *np.concatenate([np.stack([left_travel, right_travel]), corners], axis=1))


def between(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    across = np.linalg.norm(np.cross(one, other), axis=-1)
    return np.asarray(np.arctan2(across, (one * other).sum(axis=-1)))


def assert_within(values: np.ndarray, extremes: Extremes, tolerance: float) -> None:
    assert extremes.least.low - ROUNDING <= values.min()
    assert values.max() <= extremes.most.high + ROUNDING
    for each in (extremes.least, extremes.most):
        assert each.settled
        assert each.high - each.low <= tolerance + ROUNDING


def assert_under(values: np.ndarray, extreme: Extreme, tolerance: float) -> None:
    assert values.max() <= extreme.high + ROUNDING
    assert extreme.settled
    assert extreme.high - extreme.low <= 2.0 * tolerance


@pytest.mark.parametrize("layout", EVERY_LAYOUT)
def test_no_pose_shows_a_larger_working_angle_or_a_longer_or_shorter_shaft(layout: str) -> None:
    axle, poses = random_shafted(layout, 1)
    over = shaft_travel(axle)
    assert over is not None
    assert over.case is not None
    assert axle.build is not None
    assert axle.driveshaft is not None
    shafts = np.array(axle.build.transfer_output) - poses.centre - poses.rotation @ pinion_joint(axle)
    assert_within(np.linalg.norm(shafts, axis=1), over.length, LENGTH_FOUND)
    assert_within(between(shafts, poses.rotation @ pinion_direction(axle.housing)), over.pinion, ANGLE_FOUND)
    output = output_direction(axle.housing, axle.driveshaft)
    assert_within(between(-shafts, np.broadcast_to(np.array(output), shafts.shape)), over.case, ANGLE_FOUND)


@pytest.mark.parametrize("layout", EVERY_LAYOUT)
def test_no_pose_leans_a_joint_further_or_twists_a_rod_more(layout: str) -> None:
    axle, poses = random_shafted(layout, 2)
    for rod, joints in zip(axle.rods, rod_joints(axle), strict=True):
        if joints.twist is None:
            continue
        ends = poses.centre + poses.rotation @ (np.array(rod.axle) - (axle.station, 0.0, axle.height))
        along = (ends - rod.chassis) / np.linalg.norm(ends - rod.chassis, axis=1)[:, None]
        one = np.broadcast_to(bolt_of(rod, "chassis"), along.shape)
        other = poses.rotation @ bolt_of(rod, "axle")
        parts = []
        for bolt, extreme in ((one, joints.chassis), (other, joints.axle)):
            sine = (along * bolt).sum(axis=1)
            assert_under(np.abs(np.arcsin(sine)), extreme, ANGLE_FOUND)
            parts.append(bolt - sine[:, None] * along)
        # Bolts that suit the rod are parallel as drawn, so that nothing has to be taken off.
        assert_under(between(*parts), joints.twist, ANGLE_FOUND)


@pytest.mark.parametrize("layout", EVERY_LAYOUT)
def test_no_pose_shifts_or_turns_the_axle_further(layout: str) -> None:
    axle, poses = random_shafted(layout, 4)
    over = link_travel(axle)
    assert_within(poses.centre[:, 1], over.side_shift, LENGTH_FOUND)
    assert_within(poses.centre[:, 0] - axle.station, over.forward_shift, LENGTH_FOUND)
    pinion = poses.rotation @ pinion_direction(axle.housing)
    assert_within(np.arctan2(pinion[:, 2], pinion[:, 0]), over.pinion_angle, ANGLE_FOUND)
    assert_within(np.arctan2(-poses.rotation[:, 0, 1], poses.rotation[:, 1, 1]), over.steer, ANGLE_FOUND)


def test_a_raised_pinion_changes_only_its_own_clearances_and_no_tires() -> None:
    rig = random_rig(4)
    low = rig.axles[0]
    high = replace(low, housing=replace(low.housing, pinion_rise=80.0))
    before = {(each.moving, each.fixed): each for each in check_axle(rig, low)}
    after = {(each.moving, each.fixed): each for each in check_axle(replace(rig, axles=(high,)), high)}
    assert before.keys() == after.keys()
    changed = [pair for pair, each in before.items() if each != after[pair]]
    assert changed
    assert all("pinion" in {part.kind for part in pair} for pair in changed)
    assert not any("tire" in {part.kind for part in pair} for pair in changed)
