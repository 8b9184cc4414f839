from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from geometry.motion.placement import place
from geometry.motion.travel import TravelPose
from geometry.plan.amount import Amount
from geometry.rig.rig import Rig
from geometry.stance.ramp_travel import ramp_travel
from tests.geometry.rig.rigs import small_rig
from tests.geometry.stance.stances import mirrored

TURN = np.linspace(0.0, 2.0 * np.pi, 20001)


def rims(rig: Rig) -> list[np.ndarray]:
    """Points round each tire's loaded radius in the crossed travel: the front tires, the left one up, then the rear."""
    rear, front = rig.axles
    circles = []
    for axle, pose in (
        (front, TravelPose(front.bump, -front.droop)),
        (rear, TravelPose(-rear.droop, rear.bump)),
    ):
        for tire in place(axle, pose).tires:
            one = np.cross(tire.axis, [0.0, 0.0, 1.0])
            one /= np.linalg.norm(one)
            other = np.cross(tire.axis, one)
            circle = np.cos(TURN)[:, None] * one + np.sin(TURN)[:, None] * other
            circles.append(tire.centre + axle.height * circle)
    return circles


def test_three_tires_stand_on_the_ground_and_the_fourth_on_the_ramp() -> None:
    """A root search turns and lifts the rig until three rims of many points touch; the ramp is set under the fourth."""
    rig = small_rig()
    raised, *standing = rims(rig)

    def lowest(unknown: np.ndarray) -> np.ndarray:
        turned = Rotation.from_euler("xy", unknown[:2])
        return np.array([turned.apply(rim)[:, 2].min() + unknown[2] for rim in standing])

    found = root(lowest, np.zeros(3), tol=1e-10)
    turned = Rotation.from_euler("xy", found.x[:2])
    rim = turned.apply(raised) + np.array([0.0, 0.0, found.x[2]])
    corner = ramp_travel(rig).left
    assert corner.lift.value == pytest.approx(rim[:, 2].min(), abs=0.01)
    forward = turned.apply([1.0, 0.0, 0.0]) * [1.0, 1.0, 0.0]
    along = rim @ (forward / np.linalg.norm(forward))
    slope = radians(20.0)
    foot = (along - rim[:, 2] / np.tan(slope)).max()  # the ramp that starts there touches the rim from below
    hub = along.mean()
    assert corner.up_ramp.value == pytest.approx((hub - foot) / cos(slope), abs=0.2)


def test_the_index_is_measured_up_the_ramp_or_told_from_the_lift() -> None:
    found = ramp_travel(small_rig())
    assert found.wheelbase == 2600.0
    assert found.left.index.value == pytest.approx(1000.0 * found.left.up_ramp.value / 2600.0)
    assert found.left.index_by_lift.value == pytest.approx(1000.0 * found.left.lift.value / 2600.0 / sin(radians(20.0)))
    assert found.left.index.value < found.left.index_by_lift.value
    assert found.index.value == min(found.left.index.value, found.right.index.value)


def test_a_rig_that_cannot_cross_up_climbs_nothing() -> None:
    rig = small_rig()
    stiff = replace(rig, axles=tuple(replace(axle, bump=0.0, droop=0.0) for axle in rig.axles))
    found = ramp_travel(stiff)
    assert found.left.lift.value == pytest.approx(0.0, abs=1e-6)
    assert found.index.value == 0.0


def test_more_travel_climbs_farther_and_a_mirror_swaps_the_corners() -> None:
    rig = small_rig()
    front = replace(rig.axles[1], bump=rig.axles[1].bump + 20.0)
    found, more = ramp_travel(rig), ramp_travel(replace(rig, axles=(rig.axles[0], front)))
    assert more.index.value > found.index.value
    turned = ramp_travel(mirrored(rig))
    assert (turned.left.lift.value, turned.right.lift.value) == pytest.approx(
        (found.right.lift.value, found.left.lift.value), abs=1e-6
    )


def test_a_rig_without_two_axles_or_with_one_that_binds_is_unknown_and_says_why() -> None:
    rig = small_rig()
    assert ramp_travel(replace(rig, axles=rig.axles[:1])).index == Amount(None, ("axles",))
    binding = replace(rig.axles[1], bump=900.0, droop=900.0, stop_station=950.0, width=2400.0)
    assert ramp_travel(replace(rig, axles=(rig.axles[0], binding))).index == Amount(None, ("axles/front/rods",))
