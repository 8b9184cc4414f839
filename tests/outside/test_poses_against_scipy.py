"""1,000 random poses of random linkages against SciPy.

Reference: scipy.optimize.root, method "lm" (MINPACK), P. Virtanen et al., SciPy 1.0, Nature Methods 17 (2020),
doi:10.1038/s41592-019-0686-2; rotations by scipy.spatial.transform. It solves plain lengths for a rotation vector,
walking from ride height on its own, so that neither equations nor steps are shared with the code under test. The
self-stress of five rods is found anew by scipy.linalg.null_space.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import null_space
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from geometry.motion.linkage import Linkage, solve
from tests.geometry.motion.linkages import LAYOUTS, Rods, random_linkages, random_travels

LINKAGES, TRAVELS, WALK = 10, 25, 3


class Reference:
    """The closure of a linkage for SciPy: centre's move [mm], rotation vector [rad / 1000], common give [mm]."""

    def __init__(self, made: Linkage) -> None:
        self.centre = np.array(made.centre)
        self.joints = np.array(made.axle_points)
        self.chassis = np.array(made.chassis_points)
        self.stops = np.array([[0.0, made.stop_station, 0.0], [0.0, -made.stop_station, 0.0]])
        rods = self.centre + self.joints - self.chassis
        self.lengths = np.linalg.norm(rods, axis=1)
        self.five = len(rods) == 5
        if self.five:
            along = rods / self.lengths[:, None]
            pull = np.hstack([along, np.cross(self.joints, along)])
            up = np.tile([0.0, 0.0, 1.0], (2, 1))
            held = np.hstack([up, np.cross(self.stops, up)])
            stress = null_space((pull @ null_space(held)).T)[:, 0]
            self.stress = stress / stress[np.argmax(np.abs(stress))]

    def errors(self, unknown: np.ndarray, travels: np.ndarray) -> np.ndarray:
        centre, turn = self.centre + unknown[:3], Rotation.from_rotvec(unknown[3:6] / 1000.0)
        lengths = np.linalg.norm(centre + turn.apply(self.joints) - self.chassis, axis=1)
        wanted = np.sqrt(self.lengths**2 + 2.0 * self.lengths * self.stress * unknown[6]) if self.five else self.lengths
        heights = (centre + turn.apply(self.stops))[:, 2] - self.centre[2]
        return np.concatenate([lengths - wanted, heights - travels])

    def pose(self, travels: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        unknown = np.zeros(len(self.lengths) + 2)
        for step in range(1, WALK + 1):
            found = root(self.errors, unknown, args=(travels * step / WALK,), method="lm", options={"xtol": 1e-13})
            unknown = found.x
        assert np.abs(found.fun).max() < 1e-9
        return self.centre + unknown[:3], Rotation.from_rotvec(unknown[3:6] / 1000.0).as_matrix()


@pytest.mark.parametrize("rods", LAYOUTS.values(), ids=LAYOUTS.keys())
def test_poses_agree_to_a_millionth_of_a_millimetre(rods: Rods) -> None:
    for seed, made in enumerate(random_linkages(rods, 31, LINKAGES)):
        travels = random_travels(made, seed, TRAVELS)
        poses = solve(made, *travels)
        assert poses.converged.all()
        reference = Reference(made)
        for index in range(TRAVELS):
            centre, rotation = reference.pose(travels[:, index])
            assert poses.centre[index] == pytest.approx(centre, abs=1e-6)
            assert made.lever * np.abs(poses.rotation[index] - rotation).max() < 1e-6
