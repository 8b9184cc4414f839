"""A triangulated four-link rear axle, in inches, to every digit of its sheet.

Source: the project's sheet of checks, section 9 "Solid-axle link geometry"; its numbers were worked out there twice,
by a root search on the link lengths and by a rigid-body simulator. Instant centre and anti-squat with the reaction
outboard are defined as in D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering, eqs 3.63 to 3.69.
Travel is wheel travel at ±32 in, so the stop stations lie there. Loaded radius 18.5, wheelbase 100, centre of gravity
30 high.
"""

from __future__ import annotations

from math import asin, atan2, degrees, pi

import numpy as np
import pytest

from geometry.motion.linkage import Linkage, solve
from geometry.motion.pose_map import pose_map
from geometry.rig.wheel import INCH

RADIUS, WHEELBASE, GRAVITY_HEIGHT = 18.5, 100.0, 30.0
CHASSIS = ((36.0, 15.0, 18.0), (36.0, -15.0, 18.0), (30.0, 16.0, 26.0), (30.0, -16.0, 26.0))
AXLE = ((0.0, 20.0, 15.5), (0.0, -20.0, 15.5), (0.0, 4.0, 27.5), (0.0, -4.0, 27.5))

FOUR_LINK = Linkage(
    axle="rear",
    centre=(0.0, 0.0, RADIUS * INCH),
    chassis_points=tuple((x * INCH, y * INCH, z * INCH) for x, y, z in CHASSIS),
    axle_points=tuple((x * INCH, y * INCH, (z - RADIUS) * INCH) for x, y, z in AXLE),
    stop_station=32.0 * INCH,
    bump=4.0 * INCH,
    droop=4.0 * INCH,
)


def digits(printed: str) -> object:
    """A number as printed, to half of its last digit."""
    _, _, decimals = printed.partition(".")
    return pytest.approx(float(printed), abs=0.5001 * 10.0 ** -len(decimals))


def motion(left: float, right: float) -> tuple[np.ndarray, np.ndarray]:
    """Velocity of the axle's centre [in per in] and angular velocity [rad per in] at ride height."""
    _, by_left, by_right = pose_map(FOUR_LINK).evaluate(np.zeros(1), np.zeros(1))
    rate = left * by_left[0] + right * by_right[0]
    spin = rate[3:].reshape(3, 3) * INCH
    return rate[:3], np.array([spin[2, 1], spin[0, 2], spin[1, 0]])


def velocity(place: tuple[float, float, float], left: float, right: float) -> np.ndarray:
    centre, spin = motion(left, right)
    return centre + np.cross(spin, np.array(place) - (0.0, 0.0, RADIUS))


def instant_centre() -> tuple[float, float]:
    """The point, in side view, that stands still in straight travel: x forward of the axle, z from the ground [in]."""
    centre, spin = motion(1.0, 1.0)
    return centre[2] / spin[1], RADIUS - centre[0] / spin[1]


@pytest.mark.parametrize(("rod", "length"), [(0, "36.431442"), (1, "36.431442"), (2, "32.345788"), (3, "32.345788")])
def test_link_lengths(rod: int, length: str) -> None:
    assert FOUR_LINK.lengths[rod] / INCH == digits(length)


def test_instant_centre() -> None:
    x, z = instant_centre()
    assert x == digits("100.465116")
    assert z == digits("22.476744")


def test_anti_squat() -> None:
    x, z = instant_centre()
    assert 100.0 * (z / x) * (WHEELBASE / GRAVITY_HEIGHT) == digits("74.575617")


def test_pinion_rate() -> None:
    _, spin = motion(1.0, 1.0)
    assert degrees(spin[1]) == digits("0.570305")
    assert 180.0 / (pi * instant_centre()[0]) == digits("0.570305")


@pytest.mark.parametrize("pair", [(144.0, 0.0, 25.5), (-10.0, 0.0, 28.0)], ids=["lower pair", "upper pair"])
def test_the_point_where_a_pair_converges_stands_still_in_roll(pair: tuple[float, float, float]) -> None:
    assert velocity(pair, 1.0, -1.0) == pytest.approx(0.0, abs=1e-9)


def test_roll_centre_and_slope_of_the_roll_axis() -> None:
    centre, spin = motion(1.0, -1.0)
    assert RADIUS + centre[1] / spin[0] == digits("27.837662")
    assert spin[2] / spin[0] == digits("-0.0162338")
    assert degrees(atan2(spin[2], spin[0])) == pytest.approx(-0.930045, abs=0.5e-6)
    assert centre @ spin == pytest.approx(0.0, abs=1e-12)  # the screw has no pitch


POSES = [
    ((4.0, 4.0), ("0.075644", "0", "22.5"), ("-2.503423", "0", "0")),
    ((-4.0, -4.0), ("0.394178", "0", "14.5"), ("2.081828", "0", "0")),
    ((4.0, -4.0), ("0.075986", "1.166561", "18.5"), ("0.383155", "-0.102516", "7.180756")),
]


@pytest.mark.parametrize(("travel", "centre", "angles"), POSES, ids=["full bump", "full droop", "crossed"])
def test_pose(travel: tuple[float, float], centre: tuple[str, ...], angles: tuple[str, ...]) -> None:
    poses = solve(FOUR_LINK, travel[0] * INCH, travel[1] * INCH)
    rotation = poses.rotation[0]
    for value, printed in zip(poses.centre[0] / INCH, centre, strict=True):
        assert value == close(printed)
    pinion, steer, roll = asin(rotation[2, 0]), atan2(-rotation[0, 1], rotation[1, 1]), asin(rotation[2, 1])
    for value, printed in zip((pinion, steer, roll), angles, strict=True):
        assert degrees(value) == close(printed)


def close(printed: str) -> object:
    """As printed; what is printed without decimals is exact."""
    return digits(printed) if len(printed.partition(".")[2]) > 1 else pytest.approx(float(printed), abs=1e-9)


def test_any_geometry_at_zero_travel() -> None:
    poses = solve(FOUR_LINK, 0.0, 0.0)
    assert poses.residual[0] < 1e-9
    assert poses.centre[0] / INCH == pytest.approx((0.0, 0.0, RADIUS), abs=1e-9)
