from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.motion.linkage import linkage_of
from geometry.stroke.spans import spans_of
from geometry.stroke.travel_set import FINEST, TravelSet, travel_set
from tests.geometry.stroke.stroked import SHOCK, STOP, STRAP, stroked


def left_of(**parts: object) -> TravelSet:
    axle = stroked(**parts)
    return travel_set(linkage_of(axle), spans_of(axle))


def test_stops_on_the_station_cut_a_square_out() -> None:
    left = left_of(bump_stops=(STOP,))
    assert left.step <= FINEST
    ((a, b, c, d),) = left.rectangles.tolist()
    assert (a, c) == (-120.0, -120.0)
    assert 90.0 <= b <= 90.0 + FINEST + 0.5
    assert d == b
    assert left.way_out(1.0, 1.0, 140.0) == pytest.approx(b)
    assert left.way_out(1.0, -120.0 / 140.0, 140.0) == pytest.approx(b)
    assert left.way_out(-1.0, -1.0, 120.0) == 120.0


def test_each_limit_says_what_it_takes_and_where_its_edge_is() -> None:
    left = left_of(bump_stops=(STOP,), shocks=(replace(SHOCK, collapsed=420.0),))
    shock, _, on_left, _ = left.taken
    assert (shock.limit.span.part.label, on_left.limit.span.part.label) == (
        "rear shock a",
        "left rear bump stop b",
    )
    assert len(shock.out) == 0 or shock.out[:, 1].max() == 140.0
    assert on_left.out[:, 0].min() == pytest.approx(90.0, abs=1.0)
    assert np.abs(on_left.edge[:, :2].mean() - 90.0) < 1.0


def test_a_pose_out_of_reach_says_what_ends_it() -> None:
    left = left_of(bump_stops=(STOP,), straps=(STRAP,))
    for pose, ends in (
        ((120.3, 0.1), ["left rear bump stop b"]),
        ((120.3, 121.1), ["left rear bump stop b", "right rear bump stop b"]),
        ((-118.7, -117.3), ["rear strap c"]),
        ((0.0, 0.0), []),
    ):
        assert [limit.span.part.label for limit in left.ended_by(*pose)] == ends


def test_a_strap_in_the_middle_cuts_a_corner_off() -> None:
    left = left_of(straps=(STRAP,))
    places = np.array([-119.0, 119.0])
    assert left.holds(places, -places).all()
    assert not left.holds(np.array([-119.0]), np.array([-119.0]))[0]
    assert left.way_out(-1.0, -1.0, 120.0) == pytest.approx(80.5, abs=1.5)


def test_a_cell_that_only_shares_an_edge_with_the_set_does_not_meet_it() -> None:
    left = left_of(bump_stops=(STOP,))
    edge = float(left.rectangles[0, 1])
    half = np.array([8.0 * left.step])
    outside, right = np.array([edge]) + half, np.array([0.0])
    assert not left.meets(outside, right, half, half)[0]
    assert left.meets(outside - left.step, right, half, half)[0]
    assert left.holds(np.array([edge]), right)[0]


def test_an_axle_without_travel_and_one_without_limits_keep_all_of_it() -> None:
    assert left_of().is_whole
    still = left_of(bump=0.0, droop=0.0, bump_stops=(STOP,))
    assert still.is_whole
    assert still.boxes()[0].left[0] == 0.0


def test_boxes_carry_the_steer_asked_for() -> None:
    assert {box.steer for box in left_of(straps=(STRAP,)).boxes((-0.5, 0.6))} == {(-0.5, 0.6)}
