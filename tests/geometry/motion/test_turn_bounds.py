from __future__ import annotations

import numpy as np
import pytest

from geometry.motion.turn_bounds import TurnBounds, turn_bounds
from geometry.rig.turn_law import TurnLaw

LAWS = (
    TurnLaw("tie_rod", 1500.0, -30.0, -150.0, 155.0),
    TurnLaw("tie_rod", 1400.0, -20.0, 150.0, 153.0),
    TurnLaw("share", 1500.0, 0.7, 2600.0),
    TurnLaw("share", 1400.0, 1.5, -2600.0),
)


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("reach", [0.0, 300.0])
def test_no_slope_is_over_its_bound_and_the_bounds_are_near(law: TurnLaw, reach: float) -> None:
    most, step = 0.6, 1e-4
    found = turn_bounds(law, most, reach)
    assert found is not None
    steer, wider = np.meshgrid(np.linspace(step, most - step, 211), np.linspace(-reach, reach, 21), indexing="ij")
    _, rate, by_width = law.outer(steer, wider)
    ahead, behind = law.outer(steer + step, wider), law.outer(steer - step, wider)
    wide, narrow = law.outer(steer, wider + 0.5), law.outer(steer, wider - 0.5)
    seen = [rate, (ahead[1] - behind[1]) / (2.0 * step), by_width, wide[1] - narrow[1], wide[2] - narrow[2]]
    bounds = (found.by_steer, found.by_steer_twice, found.by_width, found.by_both, found.by_width_twice)
    for largest, bound in zip((float(np.abs(each).max()) for each in seen), bounds, strict=True):
        assert largest <= bound * (1.0 + 1e-6)
    assert found.by_steer_twice < 1.6 * np.abs(seen[1]).max()


def test_wheels_that_turn_alike_need_no_proof() -> None:
    assert turn_bounds(None, 0.7, 300.0) == TurnBounds()
    assert turn_bounds(LAWS[0], 0.0, 300.0) == TurnBounds()


def test_over_a_dead_centre_there_is_no_bound() -> None:
    assert turn_bounds(TurnLaw("tie_rod", 1300.0, -60.0, 140.0, 153.0), 0.7, 0.0) is None
