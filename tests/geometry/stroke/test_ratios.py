from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.motion.linkage import linkage_of, solve
from geometry.motion.pose_map import pose_map
from geometry.stroke.ratios import ratio_curve, roll_rate
from geometry.stroke.spans import spans_of
from tests.geometry.stroke.stroked import SHOCK, STOP, stroked


@pytest.mark.parametrize(("by_left", "by_right"), [(1.0, 1.0), (1.0, 0.0), (1.0, -0.8)])
def test_ratios_are_the_slope_of_the_length(by_left: float, by_right: float) -> None:
    axle = stroked(shocks=(replace(SHOCK, chassis=(150.0, 250.0, 900.0)),), bump_stops=(STOP,))
    linkage = linkage_of(axle)
    travel = np.linspace(-100.0, 120.0, 9)
    for span in spans_of(axle):
        curve = ratio_curve(pose_map(linkage), span, by_left, by_right, travel)
        before, here, after = (
            span.at(solve(linkage, by_left * (travel + step), by_right * (travel + step))) for step in (-0.5, 0.0, 0.5)
        )
        assert curve.length == pytest.approx(here, abs=1e-3)
        assert curve.ratio == pytest.approx(before - after, abs=1e-4)
        assert curve.change == pytest.approx(np.ptp(curve.ratio))


def test_rates_against_roll_go_with_the_square_of_the_springs_spacing() -> None:
    assert roll_rate(30.0, 1000.0) == 4.0 * roll_rate(30.0, 500.0) == 15e6
