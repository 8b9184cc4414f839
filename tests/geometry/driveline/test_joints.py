from __future__ import annotations

from math import acos, cos, degrees, radians

import numpy as np
import pytest

from geometry.driveline.joints import (
    RPM,
    angle_within,
    compound_angle,
    equivalent_angle,
    fluctuation,
    greatest_lead,
    peak_acceleration,
    speed_ratio,
)

TURN = np.linspace(0.0, np.pi, 20_001)


def pair_ratio(first: float, second: float, planes: float) -> np.ndarray:
    """Output over input of two joints, from the turn of the shaft between them."""
    inward = np.cos(first) / (1.0 - (np.sin(first) * np.cos(TURN)) ** 2)
    outward = np.cos(second) / (1.0 - (np.sin(second) * np.cos(TURN - planes)) ** 2)
    return np.asarray(outward / inward)


@pytest.mark.parametrize("angle_deg", [0.0, 2.0, 15.0, 38.0])
def test_one_joint_swings_between_the_cosine_and_its_inverse(angle_deg: float) -> None:
    angle = radians(angle_deg)
    ratios = [speed_ratio(angle, turn) for turn in TURN]
    assert max(ratios) == pytest.approx(1.0 / cos(angle))
    assert min(ratios) == pytest.approx(cos(angle))
    assert fluctuation(angle) == pytest.approx(max(ratios) - min(ratios))


@pytest.mark.parametrize("angle_deg", [1.0, 12.0, 30.0])
def test_the_lead_is_the_largest_difference_of_both_turns(angle_deg: float) -> None:
    angle, turn = radians(angle_deg), np.linspace(0.01, np.pi / 2 - 0.01, 50_001)
    ahead = np.arctan(np.tan(turn) / np.cos(angle)) - turn
    assert greatest_lead(angle) == pytest.approx(float(ahead.max()), rel=1e-6)


@pytest.mark.parametrize("angle_deg", [0.5, 9.0, 33.0])
def test_the_peak_acceleration_is_the_steepest_slope_of_the_ratio(angle_deg: float) -> None:
    angle = radians(angle_deg)
    ratio = np.cos(angle) / (1.0 - (np.sin(angle) * np.cos(TURN)) ** 2)
    steepest = float(np.abs(np.gradient(ratio, TURN)).max()) * (1800.0 * RPM) ** 2
    assert peak_acceleration(angle, 1800.0) == pytest.approx(steepest, rel=1e-5)
    assert angle_within(peak_acceleration(angle, 1800.0), 1800.0) == pytest.approx(angle, rel=1e-9)


def test_a_straight_joint_turns_evenly() -> None:
    assert peak_acceleration(0.0, 3000.0) == fluctuation(0.0) == greatest_lead(0.0) == equivalent_angle(0.0, 0.0) == 0.0


@pytest.mark.parametrize("seed", range(8))
def test_two_joints_turn_like_one_at_the_equivalent_angle(seed: int) -> None:
    first, second, planes = np.random.default_rng(seed).uniform((0.0, 0.0, 0.0), (0.7, 0.7, np.pi))
    ratio = pair_ratio(first, second, planes)
    assert degrees(equivalent_angle(first, second, planes)) == pytest.approx(degrees(acos(ratio.min())), abs=1e-4)
    assert ratio.min() * ratio.max() == pytest.approx(1.0, abs=1e-7)


def test_equal_angles_in_one_plane_cancel_and_crossed_yokes_double() -> None:
    angle = radians(18.0)
    assert equivalent_angle(angle, angle) == pytest.approx(0.0, abs=1e-7)
    assert equivalent_angle(angle, angle, np.pi / 2) == pytest.approx(acos(cos(angle) ** 2))
    assert equivalent_angle(angle, 0.0) == pytest.approx(angle)
    assert equivalent_angle(0.3, 0.2) == pytest.approx(acos(cos(0.3) / cos(0.2)))


@pytest.mark.parametrize(("plan", "side"), [(0.2, 0.0), (0.0, -0.3), (0.35, 0.26)])
def test_a_compound_angle_is_that_of_both_directions_in_space(plan: float, side: float) -> None:
    away = np.array([1.0, np.tan(plan), np.tan(side)])
    assert compound_angle(plan, side) == pytest.approx(acos(1.0 / float(np.linalg.norm(away))))
