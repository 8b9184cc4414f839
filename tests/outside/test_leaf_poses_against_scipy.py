"""Poses of leaf-sprung axles against SciPy, which solves other equations for the same three links.

Reference: scipy.optimize.root, method "lm" (MINPACK), P. Virtanen et al., SciPy 1.0, Nature Methods 17 (2020),
doi:10.1038/s41592-019-0686-2; rotations by scipy.spatial.transform. One spring is closed there by
the angles of its rods at any pitch, and the pitch is where its elastic energy is least. The axle is a rotation vector,
its centre and both shackles' eyes, with plain lengths.
"""

from __future__ import annotations

from dataclasses import replace
from math import atan2, cos, hypot, sin

import numpy as np
import pytest
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from geometry.motion.leaf import SideView, side_view
from geometry.motion.linkage import Linkage, linkage_of, solve
from tests.geometry.motion.leaves import leaf_axle, random_springs, travels

COUNT, WALK = 6, 4


class Planar:
    """One spring: x of the axle's centre [m], angles of fixed rod, shackle rod and shackle."""

    def __init__(self, view: SideView) -> None:
        self.view = replace(view, stiffness=np.array(view.stiffness), moments=np.array(view.moments))
        first = np.add(view.centre, view.fixed_arm) - view.fixed_eye
        second = np.subtract(view.shackle_eye, np.add(view.centre, view.shackle_arm))
        third = np.subtract(view.shackle_eye, view.shackle_pivot)
        self.lengths = [hypot(*each) for each in (first, second, third)]
        self.angles = [atan2(each[1], each[0]) for each in (first, second, third)]

    def errors(self, u: np.ndarray, height: float, pitch: float) -> np.ndarray:
        """How far both chains of rods are from closing."""
        (l1, l2, l3), view = self.lengths, self.view
        c, s = cos(pitch), sin(pitch)
        centre = np.array([1000.0 * u[0], view.centre[1] + height])
        first, second = (
            centre + np.array([c * x - s * z, s * x + c * z]) for x, z in (view.fixed_arm, view.shackle_arm)
        )
        fixed = view.fixed_eye + l1 * np.array([cos(u[1]), sin(u[1])]) - first
        eye = second + l2 * np.array([cos(u[2]), sin(u[2])])
        return np.concatenate([fixed, eye - view.shackle_pivot - l3 * np.array([cos(u[3]), sin(u[3])])])

    def energy(self, pitch: float, height: float) -> float:
        """Elastic energy at a pitch that is held."""
        unknown = np.array([self.view.centre[0] / 1000.0, *self.angles])
        for step in range(1, WALK + 1):
            share = step / WALK
            found = root(
                self.errors, unknown, args=(height * share, pitch * share), method="lm", options={"xtol": 1e-14}
            )
            unknown = found.x
        assert np.abs(found.fun).max() < 1e-8
        turns = unknown[1:3] - self.angles[:2] - pitch
        return float(self.view.moments @ turns + 0.5 * self.view.stiffness @ turns**2)

    def pitch(self, height: float) -> float:
        """Where the energy is least: three values of a parabola, ever narrower."""
        middle = 0.0
        for wide in (0.02, 0.005, 0.001, 0.0005):
            low, here, high = (self.energy(middle + each, height) for each in (-wide, 0.0, wide))
            middle -= wide * (high - low) / (2.0 * (high - 2.0 * here + low))
        return middle


def pose(linkage: Linkage, left: float, right: float) -> tuple[np.ndarray, np.ndarray]:
    leaves = linkage.leaves
    assert leaves is not None
    planar, across = Planar(side_view(leaves, linkage.centre)), leaves.seat[1] / linkage.stop_station
    middle, lean = (left + right) / 2.0, (left - right) / 2.0
    sines = [sin(planar.pitch(middle + sign * across * lean) + leaves.wind_up) for sign in (1.0, -1.0)]
    sides = np.array([[1.0, 1.0, 1.0], [1.0, -1.0, 1.0]])
    centre = np.array(linkage.centre)
    fixed, shackle, eyes, pivots = (
        np.array(each) * sides
        for each in (leaves.fixed_arm, leaves.shackle_arm, leaves.shackle_eye, leaves.shackle_pivot)
    )
    anchors = np.array(leaves.fixed_eye) * sides
    lengths = [
        np.linalg.norm(each, axis=1) for each in (centre + fixed - anchors, centre + shackle - eyes, eyes - pivots)
    ]
    stops = np.array([[0.0, linkage.stop_station, 0.0], [0.0, -linkage.stop_station, 0.0]])

    def errors(u: np.ndarray, share: float) -> np.ndarray:
        at, turn = centre + u[:3], Rotation.from_rotvec(u[3:6] / 1000.0)
        eye = eyes + np.array([[u[6], 0.0, u[7]], [u[8], 0.0, u[9]]])
        rods = (at + turn.apply(fixed) - anchors, at + turn.apply(shackle) - eye, eye - pivots)
        seats = at + turn.apply(np.array(leaves.seat) * sides)
        wanted = share * sum(sines) / 2.0
        return np.concatenate(
            [
                *(np.linalg.norm(each, axis=1) - length for each, length in zip(rods, lengths, strict=True)),
                (at + turn.apply(stops))[:, 2] - centre[2] - share * np.array([left, right]),
                [1000.0 * (turn.apply([1.0, 0.0, 0.0])[2] - wanted), seats[:, 1].sum()],
            ]
        )

    unknown = np.zeros(10)
    for step in range(1, WALK + 1):
        found = root(errors, unknown, args=(step / WALK,), method="lm", options={"xtol": 1e-13})
        unknown = found.x
    assert np.abs(found.fun).max() < 1e-8
    return centre + unknown[:3], Rotation.from_rotvec(unknown[3:6] / 1000.0).as_matrix()


@pytest.mark.parametrize("seed", range(5))
def test_poses_agree_to_a_thousandth_of_a_millimetre(seed: int) -> None:
    axle = leaf_axle(**random_springs(seed))
    linkage = linkage_of(axle)
    both = travels(axle, seed, COUNT)
    poses = solve(linkage, *both)
    assert poses.converged.all()
    for index in range(COUNT):
        centre, rotation = pose(linkage, *both[:, index].tolist())
        assert poses.centre[index] == pytest.approx(centre, abs=1e-3)
        assert linkage.lever * np.abs(poses.rotation[index] - rotation).max() < 1e-3
