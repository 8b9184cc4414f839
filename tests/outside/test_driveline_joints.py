"""Cross joints: swing of the speed, lead, acceleration, two joints in one plane, and the angle that revolutions allow.

Sources: a joint maker's technical notes on cross joints (ratio swings between cos β and 1 / cos β; fluctuation U =
tan β sin β; what is left over a driveline, U ≤ 0.0027, "the 3 degree rule"); a driveline shop's table of the largest
angle by revolutions; a textbook's example with 20 degrees, 1500 rpm and 12 kg at 100 mm, which prints 3090 rad/s² and
371 N m (recomputed 3083 and 370). Two joints in one plane, β² = |β₁² − β₂²|, as SAE AE-7 is quoted; its exact form is
cos β = cos β_max / cos β_min. A driveline shop's page on angles and phasing gives the largest angle by the shaft's
length, inches over 5 with parallel ends and over 10 with intersecting ones (15 in, 3 degrees; 30 in, 6 or 3 degrees).
U at 30 to 45 degrees from the project's sheet of checks, section 8 of its second part.
"""

from __future__ import annotations

from math import cos, degrees, pi, radians, sqrt

import pytest

from geometry.driveline.joints import (
    angle_within,
    equivalent_angle,
    fluctuation,
    greatest_lead,
    peak_acceleration,
    speed_ratio,
)
from geometry.driveline.layout import most_by_length
from geometry.rig.driveline import AngleRules
from geometry.rig.wheel import INCH


@pytest.mark.parametrize(
    ("angle_deg", "swing", "lead_deg"), [(10, 0.03062, 0.4386), (20, 0.12449, 1.7817), (30, 0.28868, 4.1172)]
)
def test_swing_and_lead(angle_deg: float, swing: float, lead_deg: float) -> None:
    angle = radians(angle_deg)
    assert fluctuation(angle) == pytest.approx(swing, abs=0.5e-5)
    assert degrees(greatest_lead(angle)) == pytest.approx(lead_deg, abs=0.5e-4)


@pytest.mark.parametrize(("angle_deg", "swing"), [(30, 0.2887), (35, 0.4016), (40, 0.5394), (45, 0.7071)])
def test_swing_of_steering_joints(angle_deg: float, swing: float) -> None:
    assert fluctuation(radians(angle_deg)) == pytest.approx(swing, abs=0.5e-4)


def test_the_ratio_swings_between_the_cosine_and_its_inverse() -> None:
    angle = radians(16.42)  # printed as cos β = 0.9592
    assert speed_ratio(angle, pi / 2) == pytest.approx(0.9592, abs=0.5e-4)
    assert speed_ratio(angle, 0.0) == pytest.approx(1.0 / 0.9592, abs=0.5e-4)


def test_the_three_degree_rule() -> None:
    assert fluctuation(radians(2.977)) == pytest.approx(0.0027, abs=0.5e-5)
    assert AngleRules().fluctuation == 0.0027
    assert (AngleRules().least_deg, AngleRules().most_deg, AngleRules().apart_deg) == (0.5, 3.0, 1.0)


def test_acceleration_and_torque_of_the_textbook() -> None:
    peak = peak_acceleration(radians(20.0), 1500.0)
    assert peak == pytest.approx(3083.0, abs=0.5)
    assert peak * 12.0 * 0.1**2 == pytest.approx(370.0, abs=0.5)
    assert peak == pytest.approx(3090.0, rel=3e-3)


@pytest.mark.parametrize(("length_in", "parallel_deg", "intersecting_deg"), [(15, 3.0, 1.5), (30, 6.0, 3.0)])
def test_the_angle_by_the_length_of_the_shaft(length_in: float, parallel_deg: float, intersecting_deg: float) -> None:
    assert degrees(most_by_length(length_in * INCH, "parallel") or 0.0) == pytest.approx(parallel_deg)
    assert degrees(most_by_length(length_in * INCH, "intersecting") or 0.0) == pytest.approx(intersecting_deg)
    assert most_by_length(length_in * INCH, "neither") is None


BY_REVOLUTIONS = [
    (5000, 3.25), (4500, 3.67), (4000, 4.25), (3500, 5.00), (3000, 5.83), (2500, 7.00), (2000, 8.67), (1500, 11.5)
]  # fmt: skip


@pytest.mark.parametrize(("rpm", "most_deg"), BY_REVOLUTIONS)
def test_the_table_by_revolutions_is_nearly_one_acceleration(rpm: float, most_deg: float) -> None:
    # ω² β² of the rows is 882 to 1023 rad/s²; the exact peak is a little larger at the larger angles.
    assert 880.0 <= peak_acceleration(radians(most_deg), rpm) <= 1030.0
    assert degrees(angle_within(AngleRules().acceleration, rpm)) == pytest.approx(most_deg, rel=0.075)


@pytest.mark.parametrize(("first_deg", "second_deg"), [(3.0, 2.0), (6.0, 5.5), (4.0, 0.0)])
def test_two_joints_in_one_plane(first_deg: float, second_deg: float) -> None:
    first, second = radians(first_deg), radians(second_deg)
    found = equivalent_angle(first, second)
    assert cos(found) == pytest.approx(cos(max(first, second)) / cos(min(first, second)), abs=1e-12)
    assert found == pytest.approx(sqrt(abs(first**2 - second**2)), rel=5e-3)
    # The joint maker's rule: add the swings with the sign of the fork's position.
    assert fluctuation(found) == pytest.approx(abs(fluctuation(first) - fluctuation(second)), rel=1e-2)
