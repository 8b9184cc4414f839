"""Parts of one axle against each other, and the driveshaft against bars: poses by SciPy, distances by coal.

Sources: scipy.optimize.least_squares (rod lengths and stop heights as residuals) and coal's `distance` of capsules and
spheres in millimetres; both independent of our pose map, our bounds and our distances, and the driveshaft is one piece
as long as the pose asks for. A grid can only be too high, so it must not come under `low`; in the pose given it is
`high`.
"""

from __future__ import annotations

import coal
import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import check_axle
from geometry.contact.findings import Approach
from geometry.contact.solids import bar_pieces
from geometry.rig.axle import Axle
from geometry.rig.build import Build
from geometry.rig.driveline import Driveshaft
from geometry.rig.layout import Floats, PartRef
from geometry.rig.parts import Bar, Node
from geometry.rig.rig import Rig
from tests.laws.random_rigs import random_rig
from tests.outside.test_whole_travel_against_grids import COAL, scipy_pose, turn_to

Line = tuple[Floats, Floats, float]
"""Both ends and radius of a round bar [mm]."""


def driven(seed: int) -> tuple[Rig, Axle]:
    """An axle that does not steer with a driveshaft between two links and over a bar."""
    rig = random_rig(seed, bars=4, panels=0)
    shaft = Driveshaft(diameter=70.0, joint_room=60.0)
    axle = replace(rig.axles[0], build=Build(transfer_output=(760.0, 285.0, 500.0)), driveshaft=shaft)
    ends = (Node(id="under0", at=(420.0, -300.0, 400.0)), Node(id="under1", at=(420.0, 250.0, 380.0)))
    under = Bar(id="under", nodes=("under0", "under1"), od=40.0, wall=2.0)
    return replace(rig, axles=(axle,), nodes=rig.nodes + ends, bars=(*rig.bars, under)), axle


def lines_of(rig: Rig, axle: Axle, part: PartRef, centre: Floats, turned: Floats) -> list[Line]:
    """A part in a pose, from the rig's own numbers."""
    if part.kind == "bar":
        pieces = bar_pieces(rig)
        rows = np.flatnonzero(pieces.part == pieces.parts.index(part))
        return [(*pieces.corners[row], float(pieces.radius[row])) for row in rows]
    housing = axle.housing
    tilt = np.radians(housing.pinion_angle_deg)
    along, base = np.array([np.cos(tilt), 0.0, np.sin(tilt)]), np.array([0.0, housing.pinion_offset, 0.0])
    tip = centre + turned @ (base + housing.pinion_length * along)
    if part.kind == "driveshaft":
        assert axle.driveshaft is not None
        assert axle.build is not None
        output = np.array(axle.build.transfer_output)
        way = (tip - output) / np.linalg.norm(tip - output) * axle.driveshaft.joint_room
        return [(output + way, tip - way, axle.driveshaft.diameter / 2.0)]
    if part.kind == "link":
        rod = next(rod for rod in axle.rods if part.id == f"{axle.id}.{rod.id}")
        start = np.array(rod.chassis)
        end = centre + turned @ (np.array(rod.axle) - [axle.station, 0.0, axle.height])
        way = (end - start) / np.linalg.norm(end - start) * rod.joint_room
        return [(start + way, end - way, rod.od / 2.0)]
    if part.kind == "pinion":
        return [(centre + turned @ base, tip, housing.pinion_radius)]
    if part.kind == "centre section":
        return [(centre + turned @ base, centre + turned @ base, housing.centre_radius)]
    half = axle.width / 2.0 - housing.end_inset
    return [(centre + turned[:, 1] * half, centre - turned[:, 1] * half, housing.tube_od / 2.0)]


def coal_distance(one: Line, other: Line) -> float:
    shapes, places = [], []
    for start, end, radius in (one, other):
        length = float(np.linalg.norm(end - start))
        shapes.append(coal.Capsule(radius, length) if length > 0.0 else coal.Sphere(radius))
        turn = turn_to((end - start) / length) if length > 0.0 else np.eye(3)
        places.append(coal.Transform3s(turn, (start + end) / 2.0))
    request, result = coal.DistanceRequest(), coal.DistanceResult()
    return float(coal.distance(shapes[0], places[0], shapes[1], places[1], request, result))


@pytest.mark.parametrize("seed", [0, 2, 4])
def test_no_pose_of_a_grid_comes_under_low_and_high_is_met(seed: int) -> None:
    rig, axle = driven(seed)
    kinds = {"shaft_bar", "shaft_own", "link_own"}
    found = [each for each in check_axle(rig, axle) if each.kind in kinds and not each.beyond]
    assert {each.moving.kind for each in found} == {"driveshaft", "link"}
    assert len(found) >= 4
    travels = np.linspace(-axle.droop, axle.bump, 7)
    poses = [scipy_pose(axle, left, right) for left in travels for right in travels]

    def met(pair: Approach, pose: tuple[Floats, Floats]) -> float:
        moving, fixed = (lines_of(rig, axle, part, *pose) for part in (pair.moving, pair.fixed))
        return min(coal_distance(one, other) for one in moving for other in fixed)

    for each in found:
        assert min(met(each, pose) for pose in poses) >= each.low - COAL
        at = scipy_pose(axle, each.pose.left, each.pose.right)
        assert met(each, at) == pytest.approx(each.high, abs=COAL)
