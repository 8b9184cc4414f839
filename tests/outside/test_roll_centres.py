"""Roll centre, roll axis, instant centre and anti-squat, by constructions that were made to be drawn on paper.

Sources: an SAE text on the four-link axle, as quoted on an off-road forum (the roll axis joins the points where each
pair of links converges in plan; with a pair parallel it is drawn parallel to that pair through the other point);
slides of a motor school and two manuals for the lateral bar (roll centre where the bar crosses the centre plane); an
engineers' forum for the 100 % line of anti-squat, from the contact patch to the height of gravity above the other
axle, and for its refinement with the axle's own mass; a glossary of suspension terms for anti-dive, whose example of
25 % at 60 % front braking, wheelbase 2550 and height 600 prints 5.6 degrees. The benchmark is that of the project's
sheet of checks, section 9, here through the functions that the program shows.
"""

from __future__ import annotations

from dataclasses import replace
from math import atan, degrees, radians, tan

import numpy as np
import pytest

from geometry.links.motion import LinkPose, link_poses
from geometry.links.squat import AssumedMasses, antis
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.rig.axle import Axle
from geometry.rig.wheel import INCH, Tire
from tests.geometry.links.linked import on_rods
from tests.outside.test_four_link_benchmark import AXLE, CHASSIS, GRAVITY_HEIGHT, RADIUS, WHEELBASE, digits

Point = tuple[float, float, float]


def benchmark() -> Axle:
    return on_rods(
        tuple((scaled(chassis), scaled(joint)) for chassis, joint in zip(CHASSIS, AXLE, strict=True)),
        height=RADIUS * INCH, stop_station=32.0 * INCH, bump=4.0 * INCH, droop=4.0 * INCH, width=1700.0,
        tire=Tire(size="37x12.50R17", loaded_radius=RADIUS * INCH),
    )  # fmt: skip


def scaled(point: Point) -> Point:
    return (point[0] * INCH, point[1] * INCH, point[2] * INCH)


def at_ride_height(axle: Axle) -> LinkPose:
    return link_poses(axle, (RIDE_HEIGHT,))[0]


def test_benchmark_at_ride_height() -> None:
    found = at_ride_height(benchmark())
    assert found.instant_centre is not None
    ahead, above = found.instant_centre
    assert ahead / INCH == digits("100.465116")
    assert above / INCH == digits("22.476744")
    assert found.roll_centre / INCH == digits("27.837662")
    assert found.roll_steer == digits("-0.0162338")
    assert degrees(found.roll_axis) == pytest.approx(-0.930045, abs=0.5e-6)
    share = antis(
        found, AssumedMasses(WHEELBASE * INCH, GRAVITY_HEIGHT * INCH, 1.0), front=False, loaded_radius=RADIUS * INCH
    )
    assert 100.0 * (share.drive or 0.0) == digits("74.575617")


def test_benchmark_over_the_travel() -> None:
    up, down, crossed = link_poses(
        benchmark(), tuple(TravelPose(left * INCH, right * INCH) for left, right in ((4, 4), (-4, -4), (4, -4)))
    )
    assert up.forward_shift / INCH == digits("0.075644")
    assert down.forward_shift / INCH == digits("0.394178")
    assert crossed.side_shift / INCH == digits("1.166561")
    assert degrees(up.pinion_angle) == digits("-2.503423")
    assert degrees(down.pinion_angle) == digits("2.081828")
    assert degrees(crossed.steer) == digits("-0.102516")
    assert degrees(crossed.roll) == digits("7.180756")


def converging(one: tuple[Point, Point]) -> np.ndarray:
    """Where a link and its mirror image meet in plan, in the centre plane."""
    chassis, joint = np.array(one[0]), np.array(one[1])
    return np.asarray(chassis + (joint - chassis) * chassis[1] / (chassis[1] - joint[1]))


@pytest.mark.parametrize("seed", range(6))
def test_the_roll_axis_joins_the_points_where_pairs_converge(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lower = (
        tuple(rng.normal((900.0, 350.0, 480.0), 40.0).tolist()),
        tuple(rng.normal((0.0, 500.0, 400.0), 30.0).tolist()),
    )
    upper = (
        tuple(rng.normal((750.0, 400.0, 660.0), 40.0).tolist()),
        tuple(rng.normal((0.0, 110.0, 700.0), 20.0).tolist()),
    )
    rods = tuple((end if side > 0 else mirrored(end)) for end in (lower, upper) for side in (1, -1))
    found = at_ride_height(on_rods(rods))
    first, second = converging(lower), converging(upper)
    slope = (second[2] - first[2]) / (second[0] - first[0])
    assert found.roll_steer == pytest.approx(slope, rel=1e-9)
    assert found.roll_centre + 470.0 - 450.0 == pytest.approx(first[2] - slope * first[0], abs=1e-6)


def test_with_a_parallel_pair_the_roll_axis_is_parallel_to_it() -> None:
    lower = ((900.0, 480.0, 500.0), (0.0, 480.0, 400.0))
    upper = ((750.0, 400.0, 660.0), (0.0, 110.0, 700.0))
    found = at_ride_height(on_rods((lower, mirrored(lower), upper, mirrored(upper))))
    through = converging(upper)
    assert found.roll_steer == pytest.approx(100.0 / 900.0, rel=1e-9)
    assert found.roll_centre + 20.0 == pytest.approx(through[2] - through[0] / 9.0, abs=1e-6)


def mirrored(link: tuple[Point, Point]) -> tuple[Point, Point]:
    chassis, joint = link
    return (chassis[0], -chassis[1], chassis[2]), (joint[0], -joint[1], joint[2])


@pytest.mark.parametrize(("chassis_end", "crossing"), [(560.0, 560.0), (640.0, 560.0 + 80.0 * 350.0 / 800.0)])
def test_a_lateral_bar_has_its_roll_centre_where_it_crosses_the_centre_plane(
    chassis_end: float, crossing: float
) -> None:
    # Links of 10 km pull nothing sideways.
    links = tuple(((1e7, y, z), (0.0, y, z)) for y, z in ((450.0, 420.0), (-450.0, 420.0), (0.0, 640.0)))
    axle = on_rods((*links, ((0.0, -450.0, chassis_end), (0.0, 350.0, 560.0))))
    assert at_ride_height(axle).roll_centre + 20.0 == pytest.approx(crossing, abs=1e-3)


def test_the_axles_own_mass_moves_the_start_of_the_line() -> None:
    found = at_ride_height(benchmark())
    apart = AssumedMasses(WHEELBASE * INCH, GRAVITY_HEIGHT * INCH, 1.0, unsprung=0.25)
    share = antis(found, apart, front=False, loaded_radius=RADIUS * INCH)
    line = (22.476744 + 0.25 * RADIUS) / 100.465116
    assert share.drive == pytest.approx(line * WHEELBASE / GRAVITY_HEIGHT, rel=1e-7)


def test_anti_dive_of_the_glossary() -> None:
    # 0.25 = 0.6 tan α · 2550 / 600
    lean = 0.25 * 600.0 / (0.6 * 2550.0)
    assert degrees(atan(lean)) == pytest.approx(5.6, abs=0.05)
    front = replace(at_ride_height(benchmark()), lean=-tan(radians(5.599)))
    share = antis(front, AssumedMasses(2550.0, 600.0, None, 0.6), front=True, loaded_radius=300.0)
    assert share.brake == pytest.approx(0.25, abs=5e-5)
    assert share.drive is None
