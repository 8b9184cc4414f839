"""Motion ratio, wheel rate and lengths of shocks.

Sources: the rate of a spring at the wheel is k (c / b)², with the lever arms c of the spring and b of the wheel: Barton
and Fieldhouse, Automotive Chassis Engineering, page 179, equation 3.33; examples worked out in the project's sheet of
checks, part 1, section 10 (400 lb/in at 0.80 gives 256 lb/in, 50 N/mm at 0.75 gives 28.125 N/mm) and part 2, section 6
(a lean of 20 degrees takes 0.9397 of the travel and 0.8830 of the rate; a stroke of 14 in with 8.5 in of dead length
makes 22.5 in collapsed and 36.5 in extended). Lengths over random poses: SciPy, as in `test_poses_against_scipy`.
"""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.stroke.ratios import ratio_curve, wheel_rate
from geometry.stroke.shocks import lengths_for_stroke, lengths_of
from geometry.stroke.spans import spans_of
from tests.geometry.motion.axles import axle as triangulated
from tests.geometry.stroke.stroked import SHOCK, STRAP, stroked
from tests.outside.test_poses_against_scipy import Reference

AT_RIDE_HEIGHT = np.zeros(1)


@pytest.mark.parametrize(
    ("across", "lever", "spring_rate", "rate"), [(300.0, 0.80, 400.0, 256.0), (250.0, 0.75, 50.0, 28.125)]
)
def test_lever_arms(across: float, lever: float, spring_rate: float, rate: float) -> None:
    """The left stop alone rises: the axle turns about the right one, 1,000 mm away."""
    upright = replace(SHOCK, chassis=(0.0, across, 950.0), axle=(0.0, across, 460.0))
    axle = stroked(shocks=(upright,))
    curve = ratio_curve(pose_map(linkage_of(axle)), spans_of(axle)[0], 1.0, 0.0, AT_RIDE_HEIGHT)
    assert curve.ratio[0] == pytest.approx(lever, abs=5e-5)
    assert wheel_rate(spring_rate, curve.ratio[0]) == pytest.approx(rate, abs=5e-3)


def test_lean_of_20_degrees() -> None:
    lean = radians(20.0)
    leaning = replace(SHOCK, chassis=(0.0, 400.0 - 500.0 * sin(lean), 450.0 + 500.0 * cos(lean)))
    axle = stroked(shocks=(leaning,))
    curve = ratio_curve(pose_map(linkage_of(axle)), spans_of(axle)[0], 1.0, 1.0, AT_RIDE_HEIGHT)
    assert curve.ratio[0] == pytest.approx(0.9397, abs=5e-5)
    assert wheel_rate(1.0, curve.ratio[0]) == pytest.approx(0.8830, abs=5e-5)


def test_lengths_for_a_stroke_of_14_inches() -> None:
    assert lengths_for_stroke(14.0, 8.5) == (22.5, 36.5)


def test_no_pose_that_scipy_finds_is_longer_or_shorter_than_told() -> None:
    leaning = replace(SHOCK, chassis=(2400.0, 280.0, 930.0), axle=(2530.0, 400.0, 450.0), mirrored=True)
    axle = triangulated(
        shocks=(leaning,), straps=(replace(STRAP, chassis=(2460.0, 0.0, 900.0), axle=(2500.0, 0.0, 550.0)),)
    )
    reference = Reference(linkage_of(axle))
    lengths = lengths_of(axle)
    travels = np.random.default_rng(5).uniform(-axle.droop, axle.bump, (40, 2))
    travels[:9] = np.array([[a, b] for a in (-120.0, 0.0, 150.0) for b in (-120.0, 0.0, 150.0)])
    found = []
    for pair in travels:
        centre, rotation = reference.pose(pair)
        ends = [centre + rotation @ np.array(each.span.axle) - np.array(each.span.chassis) for each in lengths]
        found.append([float(np.linalg.norm(end)) for end in ends])
    for each, values in zip(lengths, np.array(found).T, strict=True):
        assert each.wanted.least.low <= values.min()
        assert values.max() <= each.wanted.most.high
        assert values.max() - values.min() > 0.9 * (each.wanted.most.low - each.wanted.least.high)
