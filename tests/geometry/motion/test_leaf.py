"""An axle on leaf springs: where it goes, how well its map knows that, and where its travel ends."""

from __future__ import annotations

from math import radians

import numpy as np
import pytest

from geometry.errors import LinkageError
from geometry.motion import leaf_law
from geometry.motion.leaf import side_view
from geometry.motion.leaf_law import pitch_law, shared_wind_up
from geometry.motion.linkage import displaced, jacobian, linkage_of, solve, travel_rates
from geometry.motion.placement import place
from geometry.motion.pose_map import pose_map
from geometry.motion.travel import TravelPose
from tests.geometry.motion.leaves import leaf_axle, random_springs, travels


def test_at_ride_height_the_axle_stands_as_drawn() -> None:
    axle = leaf_axle()
    placed = place(axle, TravelPose())
    assert placed.centre == pytest.approx((axle.station, 0.0, axle.height), abs=1e-5)
    assert placed.rotation == pytest.approx(np.eye(3), abs=1e-7)
    assert placed.rods == ()
    assert axle.leaf_springs is not None
    for leaf, sign in zip(placed.leaves, (1.0, -1.0), strict=True):
        assert leaf.spring[0] == pytest.approx(np.array(axle.leaf_springs.fixed_eye) * [1.0, sign, 1.0])
        assert leaf.shackle[0] == pytest.approx(np.array(axle.leaf_springs.shackle_eye) * [1.0, sign, 1.0], abs=1e-4)


def test_wind_up_turns_it_about_its_springs_there() -> None:
    placed = place(leaf_axle(wind_up_deg=4.0), TravelPose())
    assert np.arcsin(placed.rotation[2, 0]) == pytest.approx(radians(4.0), abs=1e-7)


@pytest.mark.parametrize("seed", range(4))
def test_arms_and_shackles_keep_their_lengths_and_their_planes(seed: int) -> None:
    axle = leaf_axle(**random_springs(seed))
    drawn = place(leaf_axle(**(random_springs(seed) | {"wind_up_deg": 0.0})), TravelPose())
    for left, right in travels(axle, seed, 3).T:
        placed = place(axle, TravelPose(left, right))
        for leaf, was in zip(placed.leaves, drawn.leaves, strict=True):
            for one, other in ((0, 1), (2, 3), (1, 2)):
                length = np.linalg.norm(was.spring[other] - was.spring[one])
                assert np.linalg.norm(leaf.spring[other] - leaf.spring[one]) == pytest.approx(length, abs=1e-4)
            length = np.linalg.norm(was.shackle[1] - was.shackle[0])
            assert np.linalg.norm(leaf.shackle[1] - leaf.shackle[0]) == pytest.approx(length, abs=1e-4)
            assert leaf.shackle[0, 1] == was.shackle[0, 1]


def test_the_axle_pitches_by_the_mean_of_what_its_springs_would() -> None:
    linkage = linkage_of(leaf_axle())
    assert linkage.leaves is not None
    view = side_view(linkage.leaves, linkage.centre)
    left, right = 70.0, -50.0
    share = 0.5 + 0.5 * 430.0 / 460.0
    heights = np.array([share * left + (1.0 - share) * right, share * right + (1.0 - share) * left])
    poses = solve(linkage, left, right)
    assert poses.rotation[0, 2, 0] == pytest.approx(np.sin(view.free_pitch(heights)).mean(), abs=1e-8)


def test_the_springs_hold_their_load_at_ride_height_and_gain_it_by_their_sag() -> None:
    linkage = linkage_of(leaf_axle(sag=80.0))
    assert linkage.leaves is not None
    view = side_view(linkage.leaves, linkage.centre)
    travel = np.array([-0.5, 0.0, 0.5])
    load, torque = view.forces(travel, view.free_pitch(travel)).T
    assert load[1] == pytest.approx(1.0)
    assert torque == pytest.approx(np.zeros(3), abs=1e-9)
    # the closed form of the rate holds for a flat spring; arch and shackle change it by some per cent
    assert 1.0 / (load[2] - load[0]) == pytest.approx(80.0, rel=0.2)


@pytest.mark.parametrize("seed", range(6))
def test_the_map_is_off_by_no_more_than_it_says(seed: int) -> None:
    axle = leaf_axle(**random_springs(seed))
    linkage = linkage_of(axle)
    table = pose_map(linkage)
    left, right = travels(axle, seed, 200)
    exact = solve(linkage, left, right, table.start(left, right))
    values = table.evaluate(left, right)[0]
    assert table.error < 1e-2
    assert np.linalg.norm(values[:, :3] - exact.centre, axis=1).max() <= table.position_error + 1e-9
    assert np.linalg.norm(values[:, 3:] - exact.rotation.reshape(-1, 9), axis=1).max() <= table.rotation_error + 1e-11
    eyes = table.evaluate_eyes(left, right)[0][:, :, ::2].reshape(-1, 4)
    assert np.linalg.norm(eyes - exact.eyes, axis=1).max() <= table.eye_error + 1e-9


def test_no_crossed_pose_winds_a_spring_farther_than_is_said() -> None:
    linkage = linkage_of(leaf_axle(seat=(60.0, 430.0, 525.0)))
    assert linkage.leaves is not None
    law = linkage.law
    heights = np.random.default_rng(2).uniform(law.middle - law.half, law.middle + law.half, (2, 500))
    one, other = (side_view(linkage.leaves, linkage.centre).free_pitch(each) for each in heights)
    most = float(np.abs(one - other).max()) / 2.0
    assert 0.8 * shared_wind_up(law) < most <= shared_wind_up(law)


def test_a_law_that_cannot_be_proved_leaves_the_travel_unestablished(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(leaf_law, "_BOUNDS", (1e-14,))
    monkeypatch.setattr(leaf_law, "_CELLS", (10,))
    leaf_law.pitch_law.cache_clear()
    table = pose_map.__wrapped__(linkage_of(leaf_axle(sag=91.0)))
    assert table.position_error == table.eye_error == np.inf
    leaf_law.pitch_law.cache_clear()


def test_the_law_of_the_pitch_is_as_good_as_it_says() -> None:
    linkage = linkage_of(leaf_axle())
    assert linkage.leaves is not None
    law = pitch_law(linkage.leaves, linkage.centre, -100.0, 90.0)
    travel = np.random.default_rng(3).uniform(-100.0, 90.0, 500)
    exact = np.sin(side_view(linkage.leaves, linkage.centre).free_pitch(travel))
    assert np.abs(law.at(travel) - exact).max() <= law.error <= 1e-8


@pytest.mark.parametrize("seed", range(3))
def test_the_derivatives_are_those_of_the_equations(seed: int) -> None:
    axle = leaf_axle(**random_springs(seed))
    linkage = linkage_of(axle)
    left, right = travels(axle, seed, 1)
    poses, step = solve(linkage, left, right), 1e-3
    there, back = solve(linkage, left + step, right), solve(linkage, left - step, right)
    rates = np.linalg.solve(jacobian(linkage, poses), travel_rates(linkage, poses, 1.0, 0.0)[..., None])[0, :, 0]
    moved = displaced(linkage, back, 2.0 * step * rates[None])
    assert moved.centre == pytest.approx(there.centre, abs=1e-6)
    assert moved.rotation == pytest.approx(there.rotation, abs=1e-8)
    assert moved.eyes == pytest.approx(there.eyes, abs=1e-6)


def test_the_mirror_image_of_a_pose_is_the_pose_of_exchanged_travels() -> None:
    linkage = linkage_of(leaf_axle())
    one, other = solve(linkage, 60.0, -80.0), solve(linkage, -80.0, 60.0)
    flip = np.diag([1.0, -1.0, 1.0])
    assert one.centre[0] * [1.0, -1.0, 1.0] == pytest.approx(other.centre[0], abs=1e-9)
    assert flip @ one.rotation[0] @ flip == pytest.approx(other.rotation[0], abs=1e-12)
    assert one.eyes[0, [2, 3, 0, 1]] == pytest.approx(other.eyes[0], abs=1e-9)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            {"droop": 400.0, "bump": 90.0},
            "droop: the leaf springs let go, their arms and shackles reach no further; limit",
        ),
        ({"shackle_pivot": (-655.0, 430.0, 655.0), "droop": 250.0}, "droop: the leaf springs let go"),
    ],
)
def test_where_arms_or_shackles_reach_no_further_the_travel_ends_and_says_so(
    changes: dict[str, object], words: str
) -> None:
    axle = leaf_axle(**changes)
    with pytest.raises(LinkageError, match=words) as refused:
        pose_map(linkage_of(axle))
    assert refused.value.left == refused.value.right < 0.0
    shorter = -refused.value.left - 8.0
    pose_map(linkage_of(leaf_axle(**(changes | {"droop": shorter}))))


def test_a_shackle_in_line_with_its_spring_ends_the_crossed_travel() -> None:
    with pytest.raises(LinkageError, match=r"bind|let go"):
        pose_map(linkage_of(leaf_axle(shackle_pivot=(-655.0, 430.0, 655.0), droop=150.0, stop_station=330.0)))
