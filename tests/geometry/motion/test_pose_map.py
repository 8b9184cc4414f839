from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from geometry.errors import LinkageError
from geometry.motion.linkage import joint_places, solve
from geometry.motion.pose_map import pose_map
from geometry.tolerances import POSE
from tests.geometry.motion.linkages import LAYOUTS, TRIANGULATED, Rods, linkage, random_travels

EVERY_LAYOUT = pytest.mark.parametrize("rods", LAYOUTS.values(), ids=LAYOUTS.keys())


@EVERY_LAYOUT
def test_every_pose_lies_within_the_proved_error(rods: Rods) -> None:
    made = replace(linkage(rods), bump=190.0, droop=120.0)
    table = pose_map(made)
    left, right = random_travels(made, 21, 500)
    exact = solve(made, left, right)
    values, _, _ = table.evaluate(left, right)
    assert np.linalg.norm(values[:, :3] - exact.centre, axis=1).max() <= table.position_error
    assert np.linalg.norm(values[:, 3:] - exact.rotation.reshape(-1, 9), axis=1).max() <= table.rotation_error
    assert table.point_error <= POSE


@EVERY_LAYOUT
def test_the_measured_error_is_under_the_proved_one(rods: Rods) -> None:
    table = pose_map(linkage(rods, bump=250.0, droop=250.0) if len(rods) == 4 else linkage(rods))
    assert 0.0 < table.measured_error <= table.point_error


@EVERY_LAYOUT
def test_slopes_are_those_of_the_values(rods: Rods) -> None:
    made = linkage(rods)
    table = pose_map(made)
    left, right = random_travels(made, 22, 50) * 0.99
    _, by_left, by_right = table.evaluate(left, right)
    step = 1e-2
    for slope, on_left, on_right in ((by_left, step, 0.0), (by_right, 0.0, step)):
        ahead = table.evaluate(left + on_left, right + on_right)[0]
        behind = table.evaluate(left - on_left, right - on_right)[0]
        assert slope == pytest.approx((ahead - behind) / (2.0 * step), abs=1e-8)


def test_left_travel_comes_first() -> None:
    values, _, _ = pose_map(linkage(TRIANGULATED)).evaluate(np.array([100.0]), np.array([0.0]))
    assert values[0, 2] == pytest.approx(470.0 + 50.0, abs=1e-4)
    assert values[0, 3 + 7] == pytest.approx(0.1, abs=1e-6)  # the left side is up: y of the axle leans up


def test_the_degree_rises_with_the_travel() -> None:
    short, long = (pose_map(linkage(LAYOUTS["three links and a bar"], bump=t, droop=t)) for t in (100.0, 250.0))
    assert short.degree == 8
    assert long.degree > 8
    assert long.point_error <= POSE


def test_an_axle_without_travel_has_a_map() -> None:
    table = pose_map(linkage(TRIANGULATED, bump=0.0, droop=0.0))
    values, _, _ = table.evaluate(np.zeros(1), np.zeros(1))
    assert values[0] == pytest.approx([0.0, 0.0, 470.0, *np.eye(3).ravel()], abs=1e-9)


def test_the_same_linkage_gives_the_same_map() -> None:
    assert pose_map(linkage(TRIANGULATED)) is pose_map(linkage(TRIANGULATED))


def test_starts_are_orthonormal() -> None:
    made = linkage(LAYOUTS["wishbone"], bump=250.0, droop=250.0)
    rotation = pose_map(made).start(*random_travels(made, 23, 50)).rotation
    assert rotation @ rotation.transpose(0, 2, 1) == pytest.approx(np.tile(np.eye(3), (50, 1, 1)), abs=1e-14)


def test_a_linkage_that_cannot_follow_its_travel_has_no_map() -> None:
    with pytest.raises(LinkageError):
        pose_map(linkage(TRIANGULATED, bump=1500.0))


@pytest.mark.parametrize(("bump", "droop"), [(120.0, 100.0), (60.0, 140.0), (150.0, 150.0)])
def test_no_rod_gives_more_than_is_said_anywhere_in_the_travel(bump: float, droop: float) -> None:
    made = linkage(LAYOUTS["parallel and a bar"], bump=bump, droop=droop)
    travel = np.linspace(-droop, bump, 21)
    poses = solve(made, *(each.ravel() for each in np.meshgrid(travel, travel)))
    changes = np.linalg.norm(joint_places(made, poses) - made.anchors, axis=2) - made.lengths
    assert np.abs(changes).max() <= pose_map(made).give <= 1.05 * np.abs(changes).max()


def test_only_a_fifth_rod_gives() -> None:
    assert pose_map(linkage(TRIANGULATED)).give == 0.0
    assert 1.0 < pose_map(linkage(LAYOUTS["parallel and a bar"])).give < 6.0
