from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from geometry.motion.linkage import (
    AxlePoses,
    Linkage,
    displaced,
    jacobian,
    joint_places,
    linkage_of,
    ride_height,
    signature,
    solve,
)
from geometry.rig.axle import Axle, Rod
from geometry.rig.wheel import Tire, Wheel
from geometry.tolerances import CLOSURE
from tests.geometry.motion.linkages import (
    FOUR_RODS,
    LAYOUTS,
    PARALLEL_AND_BAR,
    TRIANGULATED,
    Rods,
    linkage,
    random_travels,
)

EVERY_LAYOUT = pytest.mark.parametrize("rods", LAYOUTS.values(), ids=LAYOUTS.keys())


def rod_lengths(made: Linkage, poses: AxlePoses) -> np.ndarray:
    return np.linalg.norm(joint_places(made, poses) - np.array(made.chassis_points), axis=2)


def stop_heights(made: Linkage, poses: AxlePoses) -> np.ndarray:
    station = made.stop_station * poses.rotation[:, 2, 1]
    return np.stack([poses.centre[:, 2] + station, poses.centre[:, 2] - station])


@EVERY_LAYOUT
def test_zero_travel_returns_the_drawn_pose(rods: Rods) -> None:
    poses = solve(linkage(rods), 0.0, 0.0)
    assert poses.centre[0] == pytest.approx((0.0, 0.0, 470.0), abs=1e-9)
    assert poses.rotation[0] == pytest.approx(np.eye(3), abs=1e-12)
    assert poses.converged.all()


@EVERY_LAYOUT
def test_travel_is_the_rise_of_the_stop_stations(rods: Rods) -> None:
    made = linkage(rods)
    travels = random_travels(made, 1, 200)
    poses = solve(made, *travels)
    assert poses.converged.all()
    assert stop_heights(made, poses) == pytest.approx(470.0 + travels, abs=1e-8)


@EVERY_LAYOUT
def test_rotations_stay_orthonormal(rods: Rods) -> None:
    made = linkage(rods)
    rotation = solve(made, *random_travels(made, 2, 200)).rotation
    assert rotation @ rotation.transpose(0, 2, 1) == pytest.approx(np.tile(np.eye(3), (200, 1, 1)), abs=1e-13)


@pytest.mark.parametrize("rods", FOUR_RODS.values(), ids=FOUR_RODS.keys())
def test_four_rods_keep_their_lengths_and_nothing_gives(rods: Rods) -> None:
    made = linkage(rods)
    poses = solve(made, *random_travels(made, 3, 200))
    drawn = rod_lengths(made, ride_height(made))
    assert rod_lengths(made, poses) == pytest.approx(np.tile(drawn, (200, 1)), abs=1e-8)
    assert not poses.give.any()


def test_residual_is_the_error_left_in_the_equations() -> None:
    made = linkage(TRIANGULATED)
    poses = solve(made, *random_travels(made, 4, 200))
    errors = np.abs(rod_lengths(made, poses) - rod_lengths(made, ride_height(made))).max(axis=1)
    assert np.all(errors <= poses.residual + 1e-11)
    assert poses.residual.max() <= CLOSURE


def test_a_travel_out_of_reach_does_not_converge() -> None:
    poses = solve(linkage(TRIANGULATED), [0.0, 2000.0], [0.0, 2000.0])
    assert list(poses.converged) == [True, False]
    assert poses.residual[1] > 1.0


@EVERY_LAYOUT
def test_a_start_nearby_and_the_walk_from_ride_height_end_in_the_same_pose(rods: Rods) -> None:
    made = linkage(rods)
    travels = random_travels(made, 5, 50)
    walked = solve(made, *travels)
    steps = np.random.default_rng(6).uniform(-20.0, 20.0, (50, jacobian(made, walked).shape[2]))
    started = solve(made, *travels, displaced(made, walked, steps))
    assert started.centre == pytest.approx(walked.centre, abs=1e-7)
    assert started.rotation == pytest.approx(walked.rotation, abs=1e-10)


@EVERY_LAYOUT
def test_jacobian_is_the_slope_of_the_closure_equations(rods: Rods) -> None:
    made = linkage(rods)
    poses = solve(made, [90.0], [-40.0])
    drawn = rod_lengths(made, ride_height(made))[0]
    rows = jacobian(made, poses)[0]

    def equations(moved: AxlePoses) -> np.ndarray:
        rods_ = (rod_lengths(made, moved)[0] ** 2 - drawn**2) / (2.0 * drawn) - moved.give * made.self_stress
        return np.concatenate([rods_, stop_heights(made, moved)[:, 0]])

    for column in range(rows.shape[1]):
        step = np.zeros((1, rows.shape[1]))
        step[0, column] = 1e-3
        slope = (equations(displaced(made, poses, step)) - equations(displaced(made, poses, -step))) / 2e-3
        assert slope == pytest.approx(rows[:, column], abs=1e-8)


def test_signature_changes_beyond_a_singular_pose() -> None:
    made = linkage(TRIANGULATED)
    drawn = ride_height(made)
    flipped = replace(drawn, rotation=np.diag([-1.0, 1.0, -1.0])[None])
    assert signature(made, drawn)[0] != signature(made, flipped)[0]


def test_equal_parallel_links_give_nothing_in_straight_travel_and_bind_a_little_crossed() -> None:
    links = tuple(((900.0, y, z), (0.0, y, z)) for y in (450.0, -450.0) for z in (420.0, 620.0))
    made = linkage((*links, ((60.0, -450.0, 560.0), (60.0, 450.0, 540.0))))
    poses = solve(made, [150.0, -150.0, 150.0], [150.0, -150.0, -150.0])
    assert poses.converged.all()
    assert poses.give[:2] == pytest.approx(0.0, abs=1e-9)
    assert 1e-4 < abs(poses.give[2]) < 0.1


def test_give_bounds_the_change_of_every_rod() -> None:
    made = linkage(PARALLEL_AND_BAR)
    poses = solve(made, *random_travels(made, 7, 100))
    change = np.abs(rod_lengths(made, poses) - rod_lengths(made, ride_height(made))).max(axis=1)
    assert change == pytest.approx(np.abs(poses.give), abs=0.02)
    assert np.abs(poses.give).max() > 1.0


@pytest.mark.parametrize(("left", "right"), [(150.0, 150.0), (150.0, -150.0), (-60.0, 120.0)])
def test_five_rods_settle_close_to_the_least_sum_of_squared_stretches(left: float, right: float) -> None:
    made = linkage(PARALLEL_AND_BAR)
    drawn = rod_lengths(made, ride_height(made))[0]
    roll = np.arcsin((left - right) / (2.0 * made.stop_station))

    def posed(free: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        rotation = Rotation.from_euler("ZXY", [free[2], roll, free[3]]).as_matrix()
        return np.array([free[0], free[1], 470.0 + (left + right) / 2.0]), rotation

    def stretches(free: np.ndarray) -> np.ndarray:
        centre, rotation = posed(free)
        joints = centre + np.array(made.axle_points) @ rotation.T
        return np.linalg.norm(joints - np.array(made.chassis_points), axis=1) - drawn

    least = least_squares(stretches, np.zeros(4), x_scale=(1.0, 1.0, 1e-3, 1e-3), xtol=1e-14, ftol=1e-14, gtol=1e-14)
    centre, rotation = posed(least.x)
    poses = solve(made, left, right)
    assert poses.centre[0] == pytest.approx(centre, abs=0.5)
    assert poses.rotation[0] == pytest.approx(rotation, abs=1e-3)


def test_linkage_of_an_axle_measures_its_joints_from_the_axle_centre() -> None:
    rods = tuple(
        Rod(id=f"rod{index}", chassis=(2000.0 + index, 300.0, 500.0), axle=(2600.0, 400.0, 600.0)) for index in range(4)
    )
    axle = Axle(
        id="front", station=2540.0, height=480.0, width=1500.0, stop_station=400.0, bump=120.0, droop=80.0, rods=rods,
        tire=Tire(size="37x12.50R17"), wheel=Wheel(rim_width=228.6, offset=0.0),
    )  # fmt: skip
    made = linkage_of(axle)
    assert made.axle_points[2] == (60.0, 400.0, 120.0)
    assert made.chassis_points[2] == (2002.0, 300.0, 500.0)
    assert made.centre == (2540.0, 0.0, 480.0)
    assert hash(made) == hash(linkage_of(axle))
