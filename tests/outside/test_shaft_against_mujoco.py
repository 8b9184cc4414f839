"""A driveshaft with two cross joints and a slip against a rigid-body simulator.

Reference: MuJoCo, as in test_poses_against_mujoco. The shaft is a body on two crossed hinges at the transfer case and a
slide, closed to the axle by a `connect`. The working angle at the case follows from both hinges, cos β = cos q₁ cos q₂,
the length from the slide's own way, and the pinion's angle from the bodies as the simulator carries them.
"""

from __future__ import annotations

from math import acos, cos, radians, sin

import mujoco
import numpy as np
import pytest

from geometry.driveline.shaft import shaft_at
from geometry.motion.linkage import linkage_of
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle, Housing
from geometry.rig.build import Build
from geometry.rig.driveline import Driveshaft
from tests.geometry.links.linked import linked
from tests.geometry.motion.linkages import FOUR_RODS
from tests.outside.test_poses_against_mujoco import errors_and_slopes, model_of, words

OUTPUT, DOWN_DEG, PINION_DEG, DRAWN = (1150.0, 60.0, 620.0), 4.0, 9.0, 0.9
"""Place [mm], the output points this far below the level, the pinion above it; length of the shaft with its slide at 0
[m]."""

PINION = np.array([280.0 * cos(radians(PINION_DEG)), -80.0, 280.0 * sin(radians(PINION_DEG))])
WALK, ROUNDS = 6, 8


def shafted(axle: Axle) -> mujoco.MjModel:
    ahead = np.array([-cos(radians(DOWN_DEG)), 0.0, -sin(radians(DOWN_DEG))])
    shaft = (
        f'<body name="shaft" pos="{words(np.array(OUTPUT) / 1e3)}" xyaxes="{words(ahead)} 0 -1 0">'
        '<joint name="first" type="hinge" axis="0 1 0"/><joint name="second" type="hinge" axis="0 0 1"/>'
        '<geom size="0.01"/><body name="sleeve"><joint name="slip" type="slide" axis="1 0 0"/><geom size="0.01"/>'
        f'<site name="end" pos="{DRAWN} 0 0"/></body></body>'
    )
    pinion = f'<site name="pinion" pos="{words(PINION / 1e3)}"/>'
    return model_of(linkage_of(axle), shaft, pinion, '<connect site1="end" site2="pinion"/>')


@pytest.mark.parametrize("layout", FOUR_RODS)
def test_angles_and_length_agree(layout: str) -> None:
    axle = linked(
        layout,
        housing=Housing(pinion_offset=-80.0, pinion_angle_deg=PINION_DEG),
        build=Build(transfer_output=OUTPUT),
        driveshaft=Driveshaft(output_angle_deg=-DOWN_DEG),
    )
    model = shafted(axle)
    poses = tuple(TravelPose(left, right) for left, right in ((0.0, 0.0), (-150.0, -150.0), (140.0, -130.0)))
    found = shaft_at(axle, poses)
    assert found is not None
    for mine in found:
        data = mujoco.MjData(model)
        travels = np.array([mine.pose.left, mine.pose.right])
        for step in range(1, WALK + 1):
            heights = (axle.height + travels * step / WALK) / 1e3
            for _ in range(ROUNDS):
                errors, slopes = errors_and_slopes(model, data, heights)
                mujoco.mj_integratePos(model, data.qpos, -np.linalg.pinv(slopes) @ errors, 1.0)
        assert np.abs(errors_and_slopes(model, data, heights)[0]).max() < 1e-12
        first, second, slip = (float(data.joint(name).qpos[0]) for name in ("first", "second", "slip"))
        assert mine.case == pytest.approx(acos(cos(first) * cos(second)), abs=1e-8)
        assert mine.length == pytest.approx((DRAWN + slip) * 1e3, abs=1e-6)
        along = data.body("axle").xmat.reshape(3, 3) @ (cos(radians(PINION_DEG)), 0.0, sin(radians(PINION_DEG)))
        shaft = data.body("shaft").xmat.reshape(3, 3)[:, 0]
        assert mine.pinion == pytest.approx(acos(-float(along @ shaft)), abs=1e-8)
