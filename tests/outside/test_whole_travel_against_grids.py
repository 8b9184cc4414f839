"""The whole-travel search against poses by SciPy and distances by coal on dense grids.

Sources: scipy.optimize.least_squares (rod lengths and stop heights as residuals) and coal's `distance` of cylinders
and capsules in millimetres; both independent of our pose map, our bounds and our distances. A grid can only be too
high, so it must lie between `low` and what the search calls `high`, up to what lies between grid points.
"""

from __future__ import annotations

import coal
import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from geometry.contact.axle_check import check_axle
from geometry.contact.findings import Approach
from geometry.contact.solids import bar_pieces
from geometry.rig.axle import Axle
from geometry.rig.layout import Floats
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions, wheel_offset
from tests.laws.random_rigs import random_rig

COAL = 5e-3
"""coal's own error in an overlap at its default tolerance [mm]."""


def scipy_pose(axle: Axle, left: float, right: float) -> tuple[Floats, Floats]:
    """Centre and rotation of the axle, from rod lengths alone."""
    origin = np.array([axle.station, 0.0, axle.height])
    chassis = np.array([rod.chassis for rod in axle.rods])
    arms = np.array([rod.axle for rod in axle.rods]) - origin
    lengths = np.linalg.norm(arms + origin - chassis, axis=1)
    stops = np.array([[0.0, axle.stop_station, 0.0], [0.0, -axle.stop_station, 0.0]])

    def residuals(unknown: Floats) -> Floats:
        turned = Rotation.from_rotvec(unknown[3:] / 500.0).as_matrix()
        rods = np.linalg.norm(origin + unknown[:3] + arms @ turned.T - chassis, axis=1) - lengths
        heights = (stops @ turned.T)[:, 2] + unknown[2] - np.array([left, right])
        return np.concatenate([rods, heights])

    found = least_squares(residuals, np.zeros(6), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert np.abs(found.fun).max() < 1e-7
    return origin + found.x[:3], Rotation.from_rotvec(found.x[3:] / 500.0).as_matrix()


def coal_clearance(centre: Floats, axis: Floats, axle: Axle, rig: Rig, part: object) -> float:
    """Least distance of a tire, as coal sees it, to all straights of one bar."""
    tire = tire_dimensions(axle.tire)
    shoulder = tire.shoulder_radius
    core = coal.Cylinder(tire.radius - shoulder, tire.section_width - 2.0 * shoulder)
    pieces = bar_pieces(rig)
    least = np.inf
    for row in np.flatnonzero(pieces.part == pieces.parts.index(part)):
        start, end = pieces.corners[row]
        line = coal.Capsule(float(pieces.radius[row]), float(np.linalg.norm(end - start)))
        along = (end - start) / np.linalg.norm(end - start)
        poses = [coal.Transform3s(turn_to(axis), centre), coal.Transform3s(turn_to(along), (start + end) / 2.0)]
        distance = coal.distance(core, poses[0], line, poses[1], coal.DistanceRequest(), coal.DistanceResult())
        least = min(least, distance - shoulder)
    return least


def turn_to(axis: Floats) -> Floats:
    """A rotation that takes z to the axis."""
    helper = np.eye(3)[np.argmin(np.abs(axis))]
    x = np.cross(helper, axis)
    x /= np.linalg.norm(x)
    return np.stack([x, np.cross(axis, x), axis], axis=1)


def some_pairs(approaches: tuple[Approach, ...]) -> list[Approach]:
    pairs = [a for a in approaches if a.kind == "tire_bar" and not a.beyond]
    return pairs[:: max(1, len(pairs) // 8)]


@pytest.mark.parametrize("seed", [0, 2, 4])
def test_a_grid_of_poses_by_scipy_and_distances_by_coal_stays_above_low_and_comes_near_high(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    assert axle.steering is None
    pairs = some_pairs(check_axle(rig, axle))
    assert len(pairs) >= 5
    travels = np.linspace(-axle.droop, axle.bump, 9)
    least = np.full(len(pairs), np.inf)
    for left in travels:
        for right in travels:
            centre, turned = scipy_pose(axle, left, right)
            for row, pair in enumerate(pairs):
                out = (1.0 if pair.moving.side == "left" else -1.0) * (axle.width / 2.0 - wheel_offset(axle.wheel))
                place = centre + turned[:, 1] * out
                least[row] = min(least[row], coal_clearance(place, turned[:, 1], axle, rig, pair.fixed))
    for row, pair in enumerate(pairs):
        assert least[row] >= pair.low - COAL
        centre, turned = scipy_pose(axle, pair.pose.left, pair.pose.right)
        out = (1.0 if pair.moving.side == "left" else -1.0) * (axle.width / 2.0 - wheel_offset(axle.wheel))
        met = coal_clearance(centre + turned[:, 1] * out, turned[:, 1], axle, rig, pair.fixed)
        assert met == pytest.approx(pair.high, abs=COAL)
