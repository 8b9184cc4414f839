"""Leaf springs against a rigid-body simulator: way and pitch of the seat at given heights.

Reference: MuJoCo, E. Todorov, T. Erez, Y. Tassa, IROS 2012, doi:10.1109/IROS.2012.6386109. Both rods, seat and shackle
are bodies on hinges, the shackle closed by a `connect` constraint, the hinges at the seat with stiffness and reference.
Joint angles, constraint errors and Jacobians are MuJoCo's; where its springs are in balance with its constraints and
with the force that holds the height is found by Newton steps with multipliers, in small steps of height.
"""

from __future__ import annotations

from math import degrees

import mujoco
import numpy as np
import pytest

from geometry.motion.leaf import SideView, side_view
from geometry.motion.linkage import linkage_of
from tests.geometry.motion.leaves import leaf_axle, random_springs

HEIGHTS = (-90.0, -40.0, 30.0, 80.0)
STEPS, ROUNDS = 4, 60


def words(at: np.ndarray) -> str:
    x, z = (float(value) / 1e3 for value in at)
    return f"{x!r} 0 {z!r}"


def model_of(view: SideView) -> mujoco.MjModel:
    """Fixed rod, seat, shackle rod in a chain from the fixed eye, and the shackle from its pivot; metres."""
    fixed, pivot, centre = np.array(view.fixed_eye), np.array(view.shackle_pivot), np.array(view.centre)
    first, second = centre + view.fixed_arm, centre + view.shackle_arm
    eye, mass = np.array(view.shackle_eye), '<geom size="0.01" contype="0" conaffinity="0"/>'
    hinge = '<joint type="hinge" axis="0 -1 0"'
    springs = [
        f'{hinge} stiffness="{k!r}" springref="{degrees(-sign * m / k)!r}"/>'
        for k, m, sign in zip(view.stiffness, view.moments, (-1.0, 1.0), strict=True)
    ]
    return mujoco.MjModel.from_xml_string(
        '<mujoco><option gravity="0 0 0" jacobian="dense"/><worldbody>'
        f'<body pos="{words(fixed)}">{hinge}/>{mass}<body name="seat" pos="{words(first - fixed)}">{springs[0]}{mass}'
        f'<site name="centre" pos="{words(centre - first)}"/>'
        f'<body name="rod" pos="{words(second - first)}">{springs[1]}{mass}</body></body></body>'
        f'<body name="shackle" pos="{words(pivot)}">{hinge}/>{mass}</body></worldbody>'
        f'<equality><connect body1="rod" body2="shackle" anchor="{words(eye - second)}"/></equality></mujoco>'
    )


def at(model: mujoco.MjModel, height: float) -> tuple[float, float]:
    """Way of the axle's centre forward [mm] and its pitch [rad]."""
    data = mujoco.MjData(model)
    mujoco.mj_fwdPosition(model, data)
    drawn = data.site("centre").xpos.copy()
    for step in range(1, STEPS + 1):
        for _ in range(ROUNDS):
            mujoco.mj_fwdPosition(model, data)
            slope = np.zeros((3, model.nv))
            mujoco.mj_jacSite(model, data, slope, None, model.site("centre").id)
            rows = np.vstack([data.efc_J.reshape(data.nefc, model.nv), slope[2:]])
            off = np.append(data.efc_pos, data.site("centre").xpos[2] - drawn[2] - height * step / STEPS / 1e3)
            pull = model.jnt_stiffness * (data.qpos - model.qpos_spring)
            count = len(rows)
            system = np.block([[np.diag(model.jnt_stiffness), rows.T], [rows, np.zeros((count, count))]])
            moved = np.linalg.lstsq(system, -np.concatenate([pull, off]), rcond=1e-12)[0][: model.nv]
            data.qpos += moved
    assert np.abs(moved).max() < 1e-9
    mujoco.mj_fwdPosition(model, data)
    turned = data.site("centre").xmat.reshape(3, 3)[:, 0]
    return float(data.site("centre").xpos[0] - drawn[0]) * 1e3, float(np.arctan2(turned[2], turned[0]))


@pytest.mark.parametrize("seed", range(4))
def test_way_and_pitch_agree_to_a_ten_thousandth_of_a_millimetre(seed: int) -> None:
    linkage = linkage_of(leaf_axle(**random_springs(seed)))
    assert linkage.leaves is not None
    view = side_view(linkage.leaves, linkage.centre)
    model = model_of(view)
    travel = np.array(HEIGHTS)
    pitch = view.free_pitch(travel)
    centre = view.pose(travel, pitch).centre[:, 0] - view.centre[0]
    for index, height in enumerate(HEIGHTS):
        assert at(model, height) == pytest.approx((centre[index], pitch[index]), abs=1e-4)
        assert at(model, height)[1] == pytest.approx(pitch[index], abs=1e-7)
