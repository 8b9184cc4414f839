"""Driveshaft, rod joints, instant centre and roll centre of random axles against SciPy.

Reference: poses by scipy.optimize.root and scipy.spatial.transform as in test_poses_against_scipy, which shares neither
equations nor steps with the code under test. Centres are those of the instantaneous motion between neighbouring poses,
by central differences; the swing of a rod's bores is told by SciPy's rotations that carry each end's frame along.
"""

from __future__ import annotations

from math import degrees

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.spatial.transform import Rotation

from geometry.driveline.shaft import shaft_at
from geometry.links.misalignment import bolt_of, joint_leans
from geometry.links.motion import link_poses
from geometry.motion.linkage import linkage_of
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle, Housing
from geometry.rig.build import Build
from geometry.rig.driveline import Driveshaft
from tests.geometry.links.linked import on_rods
from tests.geometry.motion.linkages import LAYOUTS, random_linkages
from tests.outside.test_poses_against_scipy import Reference

STEP = 0.05
"""Of travel, for the differences [mm]."""

OUTPUT, RISE, OFFSET = (1150.0, 70.0, 640.0), 40.0, -90.0
LOADED = 450.0


def axles(layout: str) -> list[Axle]:
    made = []
    for linkage in random_linkages(LAYOUTS[layout], 53, 1):
        height = linkage.centre[2]
        rods = tuple(
            (chassis, (joint[0], joint[1], joint[2] + height))
            for chassis, joint in zip(linkage.chassis_points, linkage.axle_points, strict=True)
        )
        made.append(
            on_rods(
                rods, stop_station=linkage.stop_station, bump=linkage.bump, droop=linkage.droop,
                housing=Housing(pinion_rise=RISE, pinion_offset=OFFSET, pinion_angle_deg=9.0, pinion_length=260.0),
                build=Build(transfer_output=OUTPUT),
                driveshaft=Driveshaft(output_angle_deg=-4.0, output_plan_deg=2.5, yoke_length=70.0),
            )
        )  # fmt: skip
    return made


def poses_of(axle: Axle) -> tuple[TravelPose, ...]:
    travels = np.random.default_rng(17).uniform(-axle.droop, axle.bump, (3, 2))
    return tuple(TravelPose(*pair) for pair in travels.tolist())


def turned(axis: str, angle_deg: float, vector: tuple[float, float, float]) -> np.ndarray:
    return np.asarray(Rotation.from_euler(axis, angle_deg, degrees=True).apply(vector))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_driveshaft(layout: str) -> None:
    for axle in axles(layout):
        reference = Reference(linkage_of(axle))
        found = shaft_at(axle, poses_of(axle))
        assert found is not None
        for each in found:
            centre, rotation = reference.pose(np.array([each.pose.left, each.pose.right]))
            # The pinion is drawn level, then raised, lengthened and tilted about the axle line.
            tilted = turned("y", -9.0, (260.0 + 70.0, 0.0, RISE)) + np.array([0.0, OFFSET, 0.0])
            joint = centre + rotation @ tilted
            pinion = rotation @ turned("y", -9.0, (1.0, 0.0, 0.0))
            output = turned("z", -2.5, turned("y", -4.0, (-1.0, 0.0, 0.0)))
            shaft = np.array(OUTPUT) - joint
            assert each.length == pytest.approx(float(np.linalg.norm(shaft)), abs=1e-5)
            for mine, one, other in ((each.pinion, shaft, pinion), (each.case, -shaft, output)):
                aligned, _ = Rotation.align_vectors(one[None] / np.linalg.norm(one), other[None])
                assert degrees(mine or 0.0) == pytest.approx(degrees(aligned.magnitude()), abs=1e-5)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_joints_of_the_rods(layout: str) -> None:
    for axle in axles(layout):
        rods = tuple(
            replace(rod, chassis_bolt=(0.1, 1.0, -0.2), axle_bolt=(0.2, 1.0, 0.1)) if at == 0 else rod
            for at, rod in enumerate(axle.rods)
        )
        bolted = replace(axle, rods=rods)
        reference, where = Reference(linkage_of(bolted)), poses_of(bolted)
        for rod, leans in zip(bolted.rods, joint_leans(bolted, where), strict=True):
            for pose, mine in zip(where, leans, strict=True):
                centre, rotation = reference.pose(np.array([pose.left, pose.right]))
                if mine.twist is None:
                    check_arm(bolted, rod.id, (centre, rotation), (mine.chassis, mine.axle))
                    continue
                end = centre + rotation @ (np.array(rod.axle) - reference.centre)
                along = (end - rod.chassis) / np.linalg.norm(end - rod.chassis)
                one, other = bolt_of(rod, "chassis"), rotation @ bolt_of(rod, "axle")
                for lean, bolt in ((mine.chassis, one), (mine.axle, other)):
                    assert lean == pytest.approx(abs(np.pi / 2 - np.arccos(along @ bolt)), abs=1e-6)
                drawn = np.subtract(rod.axle, rod.chassis)
                before = about(drawn, bolt_of(rod, "chassis"), bolt_of(rod, "axle"))
                assert mine.twist == pytest.approx(abs(about(along, one, other) - before), abs=1e-6)


def about(axis: np.ndarray, one: np.ndarray, other: np.ndarray) -> float:
    """Turn about an axis that carries the part of one direction across it to that of the other [rad]."""
    along = axis / np.linalg.norm(axis)
    to_x, _ = Rotation.align_vectors([[1.0, 0.0, 0.0]], along[None])
    angles = [np.arctan2(turned[2], turned[1]) for turned in (to_x.apply(one), to_x.apply(other))]
    return float(np.angle(np.exp(1j * (angles[1] - angles[0]))))


def check_arm(axle: Axle, rod_id: str, placed: tuple[np.ndarray, np.ndarray], mine: tuple[float, float]) -> None:
    """An arm turns about its hinge; the turn is found by carrying its joint along."""
    rod = next(each for each in axle.rods if each.id == rod_id)
    other = next(each for each in axle.rods if each.axle == rod.axle and each.id != rod_id)
    hinge = np.subtract(other.chassis, rod.chassis)
    hinge /= np.linalg.norm(hinge)
    drawn = np.subtract(rod.axle, rod.chassis)
    centre, rotation = placed
    now = centre + rotation @ (np.array(rod.axle) - (axle.station, 0.0, axle.height)) - rod.chassis
    turn = Rotation.from_rotvec(about(hinge, drawn, now) * hinge)
    bolt = rotation @ hinge
    assert mine[0] == pytest.approx(0.0, abs=1e-6)
    assert mine[1] == pytest.approx(float(np.arccos(np.clip(turn.apply(hinge) @ bolt, -1.0, 1.0))), abs=1e-5)


def moved(reference: Reference, pose: TravelPose, left: float, right: float) -> tuple[np.ndarray, ...]:
    """Centre before and after, and velocity and spin per travel, of a small motion about a pose."""
    at, way = np.array([pose.left, pose.right]), STEP * np.array([left, right])
    before, after = reference.pose(at - way), reference.pose(at + way)
    spin = Rotation.from_matrix(after[1] @ before[1].T).as_rotvec() / (2 * STEP)
    return (before[0] + after[0]) / 2, (after[0] - before[0]) / (2 * STEP), spin


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_centres_about_which_it_moves(layout: str) -> None:
    for axle in axles(layout):
        reference = Reference(linkage_of(axle))
        for found in link_poses(axle, poses_of(axle)):
            centre, velocity, spin = moved(reference, found.pose, 1.0, 1.0)
            ground = centre[2] - LOADED
            assert found.instant_centre is not None
            still = np.array([centre[0] + found.instant_centre[0], 0.0, ground + found.instant_centre[1]])
            left_over = velocity + np.cross(spin, still - centre)
            assert left_over[[0, 2]] == pytest.approx(0.0, abs=1e-4)
            patch = velocity + np.cross(spin, np.array([centre[0], 0.0, ground]) - centre)
            assert found.lean == pytest.approx(-patch[0] / patch[2], abs=1e-6)
            centre, velocity, spin = moved(reference, found.pose, 1.0, -1.0)
            for ahead in (0.0, 700.0):
                on_axis = np.array([ahead, 0.0, found.roll_centre - LOADED + ahead * np.tan(found.roll_axis)])
                sideways = velocity + np.cross(spin, on_axis)
                assert sideways[1] == pytest.approx(0.0, abs=1e-6)
            assert found.roll_steer == pytest.approx(spin[2] / spin[0], abs=1e-6)
