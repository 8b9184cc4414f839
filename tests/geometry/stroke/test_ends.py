"""Named ends of the travel are those that shocks, stops and straps leave."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.stroke.ends import nearest, reach_of, travel_ends
from tests.geometry.stroke.stroked import SHOCK, STOP, STRAP, stroked

STEP = 1.0
"""To what an edge is told at least [mm]."""


def test_without_limits_the_ends_are_bump_and_droop() -> None:
    ends = travel_ends(stroked())
    assert (ends.bump, ends.droop, ends.crossed_bump) == (140.0, 120.0, 140.0)
    assert (ends.left_up, ends.right_up) == ((140.0, -120.0), (-120.0, 140.0))
    assert not ends.is_cut
    assert reach_of(stroked(shocks=(replace(SHOCK, collapsed=330.0, extended=650.0),))) is None


def test_stops_and_straps_end_the_straight_ways_and_crossed_ones_on_their_own() -> None:
    ends = travel_ends(stroked(bump_stops=(STOP,), straps=(STRAP,)))
    assert ends.is_cut
    assert ends.bump == pytest.approx(90.0, abs=STEP)
    assert 75.0 < ends.droop < 85.0  # a strap in the middle
    assert ends.left_up == pytest.approx((90.0, -120.0), abs=STEP)
    assert ends.right_up == pytest.approx((-120.0, 90.0), abs=STEP)


def test_a_pose_out_of_reach_goes_to_the_nearest_edge_and_others_stay() -> None:
    reach = reach_of(stroked(bump_stops=(STOP,), straps=(STRAP,)))
    assert reach is not None
    assert nearest(reach, 20.0, -30.0) == (20.0, -30.0)
    assert nearest(reach, 130.0, 10.0) == pytest.approx((90.0, 10.0), abs=STEP)
    left, right = nearest(reach, -110.0, -110.0)
    assert left == pytest.approx(right, abs=2.0 * STEP)
    for pose in np.random.default_rng(5).uniform(-120.0, 140.0, (50, 2)).tolist():
        at = nearest(reach, *pose)
        assert reach.holds(np.array([at[0]]), np.array([at[1]]))[0]
