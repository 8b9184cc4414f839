from __future__ import annotations

from math import asin, atan2, hypot

import numpy as np
import pytest

from geometry.stance.weighing import raised_height

BASE, STEP = 2600.0, 40.0


@pytest.mark.parametrize("step", [0.0, STEP, -STEP])
@pytest.mark.parametrize("lift", [200.0, 700.0])
def test_the_height_comes_back_from_a_rig_that_is_turned_in_numbers(step: float, lift: float) -> None:
    centre = np.array([1100.0, 310.0])  # from the centre of the axle that rests
    between = hypot(BASE, step)
    turn = asin((step + lift) / between) - atan2(step, BASE)
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    raised_axle, moved = rotation @ (BASE, step), rotation @ centre
    share = moved[0] / raised_axle[0]
    assert raised_axle[1] - step == pytest.approx(lift)
    assert raised_height(centre[0], BASE, step, lift, share) == pytest.approx(310.0, abs=1e-9)


def test_no_axle_is_raised_by_more_than_the_wheelbase() -> None:
    assert raised_height(1100.0, BASE, 0.0, BASE, 0.3) is None
