"""Closed forms that any solver of a solid axle must reproduce, in inches.

Source: the project's sheet of checks, section 9 "Closed forms any solver must reproduce"; the arcs of
a lateral bar and of level links are plane trigonometry, side shift l − √(l² − t²). The bar's row holds for links that
do not pull the axle sideways: with links of 1,000 in it would already read 0.419604, so they are 1e7 in long here.
"""

from __future__ import annotations

from math import asin, degrees, sqrt

import pytest

from geometry.motion.linkage import AxlePoses, Linkage, solve
from geometry.rig.wheel import INCH

HEIGHT = 18.5


def axle_on(rods: tuple[tuple[tuple[float, ...], tuple[float, ...]], ...]) -> Linkage:
    """Rods in inches, joints on the chassis and on the axle; long ways are cut to whole travels by the stops."""
    return Linkage(
        axle="rear",
        centre=(0.0, 0.0, HEIGHT * INCH),
        chassis_points=tuple((x * INCH, y * INCH, z * INCH) for (x, y, z), _ in rods),
        axle_points=tuple((x * INCH, y * INCH, (z - HEIGHT) * INCH) for _, (x, y, z) in rods),
        stop_station=20.0 * INCH,
        bump=10.0 * INCH,
        droop=10.0 * INCH,
    )


def links(length: float) -> tuple[tuple[tuple[float, ...], tuple[float, ...]], ...]:
    return tuple(((length, y, z), (0.0, y, z)) for y, z in ((20.0, 15.5), (-20.0, 15.5), (0.0, 27.5)))


def moved(rods: tuple[tuple[tuple[float, ...], tuple[float, ...]], ...], travel: float) -> AxlePoses:
    poses = solve(axle_on(rods), travel * INCH, travel * INCH)
    assert poses.converged.all()
    return poses


@pytest.mark.parametrize(
    ("length", "travel", "shift"), [(30.0, 5.0, 0.419601), (36.0, 4.0, 0.222912), (36.0, 8.0, 0.900142)]
)
@pytest.mark.parametrize("way", [1.0, -1.0], ids=["bump", "droop"])
def test_side_shift_of_a_level_lateral_bar(length: float, travel: float, shift: float, way: float) -> None:
    bar = ((0.0, -length / 2.0, 20.0), (0.0, length / 2.0, 20.0))
    poses = moved((*links(1e7), bar), way * travel)
    assert -poses.centre[0, 1] / INCH == pytest.approx(shift, abs=0.5e-6)
    assert shift == pytest.approx(length - sqrt(length**2 - travel**2), abs=0.5e-6)


@pytest.mark.parametrize("travel", [4.0, -4.0])
def test_equal_parallel_links_carry_the_axle_fore_and_aft_without_turning_it(travel: float) -> None:
    bar = ((0.0, -1e7, 20.0), (0.0, 15.0, 20.0))
    poses = moved((*links(36.0), bar), travel)
    assert poses.centre[0, 0] / INCH == pytest.approx(0.222912, abs=0.5e-6)
    assert degrees(asin(poses.rotation[0, 2, 0])) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("travel", [4.0, -4.0])
def test_the_parallel_four_link_with_a_lateral_bar_does_the_same_without_give(travel: float) -> None:
    four = tuple(((36.0, y, z), (0.0, y, z)) for y in (20.0, -20.0) for z in (15.5, 27.5))
    poses = moved((*four, ((0.0, -1e7, 20.0), (0.0, 15.0, 20.0))), travel)
    assert poses.centre[0, 0] / INCH == pytest.approx(0.222912, abs=0.5e-6)
    assert degrees(asin(poses.rotation[0, 2, 0])) == pytest.approx(0.0, abs=1e-9)
    assert poses.give[0] == pytest.approx(0.0, abs=1e-9)
