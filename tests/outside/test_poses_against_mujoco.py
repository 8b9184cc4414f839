"""Poses of random linkages against a rigid-body simulator.

Reference: MuJoCo, E. Todorov, T. Erez, Y. Tassa, IROS 2012, doi:10.1109/IROS.2012.6386109. Chassis rods are bodies
on ball joints, closed to a free axle body by `connect` constraints; only MuJoCo's own constraint errors and Jacobians
are used, in a Gauss-Newton walk from ride height. Four-rod layouts only: rigid rods cannot have a fifth.
"""

from __future__ import annotations

import mujoco
import numpy as np
import pytest

from geometry.motion.linkage import Linkage, solve
from tests.geometry.motion.linkages import FOUR_RODS, Rods, random_linkages, random_travels

LINKAGES, TRAVELS, WALK, ROUNDS = 4, 4, 6, 6


def words(place: np.ndarray) -> str:
    return " ".join(repr(float(value)) for value in place)


def model_of(made: Linkage, more_bodies: str = "", more_sites: str = "", more_closures: str = "") -> mujoco.MjModel:
    """The linkage in MuJoCo's own format, in metres, without gravity; with more bodies, sites on the axle, closures."""
    centre = np.array(made.centre) / 1e3
    bodies, closures = [], []
    for index, (chassis, joint) in enumerate(zip(made.chassis_points, made.axle_points, strict=True)):
        at = np.array(chassis) / 1e3
        reach = centre + np.array(joint) / 1e3 - at
        bodies.append(
            f'<body name="rod{index}" pos="{words(at)}"><joint type="ball"/>'
            f'<geom type="capsule" size="0.02" fromto="0 0 0 {words(reach)}"/></body>'
        )
        closures.append(f'<connect body1="rod{index}" body2="axle" anchor="{words(reach)}"/>')
    stops = "".join(
        f'<site name="{side}" pos="0 {y} 0"/>'
        for side, y in (("left", made.stop_station / 1e3), ("right", -made.stop_station / 1e3))
    )
    return mujoco.MjModel.from_xml_string(
        '<mujoco><option gravity="0 0 0" jacobian="dense"/><default><geom contype="0" conaffinity="0"/></default>'
        f'<worldbody><body name="axle" pos="{words(centre)}"><freejoint/><geom size="0.1"/>{stops}'
        f"{more_sites}</body>{''.join(bodies)}{more_bodies}</worldbody>"
        f"<equality>{''.join(closures)}{more_closures}</equality></mujoco>"
    )


def errors_and_slopes(model: mujoco.MjModel, data: mujoco.MjData, heights: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    mujoco.mj_fwdPosition(model, data)
    errors, slopes = [data.efc_pos.copy()], [data.efc_J.reshape(data.nefc, model.nv).copy()]
    for side, height in zip(("left", "right"), heights, strict=True):
        slope = np.zeros((3, model.nv))
        mujoco.mj_jacSite(model, data, slope, None, model.site(side).id)
        errors.append(data.site(side).xpos[2:] - height)
        slopes.append(slope[2:])
    return np.concatenate(errors), np.concatenate(slopes)


def posed(model: mujoco.MjModel, made: Linkage, travels: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Centre [mm] and rotation of the axle at the travels."""
    data = mujoco.MjData(model)
    for step in range(1, WALK + 1):
        heights = (made.centre[2] + travels * step / WALK) / 1e3
        for _ in range(ROUNDS):
            errors, slopes = errors_and_slopes(model, data, heights)
            mujoco.mj_integratePos(model, data.qpos, -np.linalg.pinv(slopes) @ errors, 1.0)
    errors, _ = errors_and_slopes(model, data, heights)
    assert np.abs(errors).max() < 1e-12
    return data.body("axle").xpos * 1e3, data.body("axle").xmat.reshape(3, 3)


@pytest.mark.parametrize("rods", FOUR_RODS.values(), ids=FOUR_RODS.keys())
def test_poses_agree_to_a_millionth_of_a_millimetre(rods: Rods) -> None:
    for seed, made in enumerate(random_linkages(rods, 41, LINKAGES)):
        model = model_of(made)
        travels = random_travels(made, seed, TRAVELS)
        poses = solve(made, *travels)
        for index in range(TRAVELS):
            centre, rotation = posed(model, made, travels[:, index])
            assert poses.centre[index] == pytest.approx(centre, abs=1e-6)
            assert made.lever * np.abs(poses.rotation[index] - rotation).max() < 1e-6
