from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.stroke.shocks import SPARE, lengths_of, needed_shock, shock_fits
from geometry.stroke.spans import SPAN_ERROR
from geometry.stroke.travel_set import SLACK
from tests.geometry.stroke.stroked import SHOCK, STOP, STRAP, stroked

ON_STATION = replace(SHOCK, chassis=(0.0, 500.0, 960.0), axle=(0.0, 500.0, 460.0), mirrored=True)
"""Upright at the stop stations: its length falls by about the bump."""


def test_lengths_are_told_over_the_wanted_travel_and_over_what_is_left_of_it() -> None:
    found = lengths_of(stroked(shocks=(ON_STATION,), bump_stops=(STOP,)))
    shock = found[0]
    assert shock.at_ride_height == pytest.approx(500.0)
    assert shock.wanted.least.low == pytest.approx(360.0, abs=3.0)
    assert shock.wanted.most.high == pytest.approx(620.0, abs=4.0)
    assert shock.stopped.least.low == pytest.approx(410.0, abs=3.0)
    assert shock.left.most.high <= ON_STATION.extended + SLACK + SPAN_ERROR
    assert all(each.settled for over in (shock.wanted, shock.left) for each in (over.least, over.most))


def test_a_needed_shock_keeps_its_spare_at_both_ends() -> None:
    wanted = lengths_of(stroked(shocks=(ON_STATION,)))[0].wanted
    needed = needed_shock(wanted)
    assert needed.collapsed == wanted.least.low - SPARE
    assert needed.extended == wanted.most.high + SPARE
    assert needed.stroke == pytest.approx(260.0 + 2 * SPARE, abs=6.0)
    assert needed.dead_length == pytest.approx(2 * needed.collapsed - needed.extended)


@pytest.mark.parametrize(("collapsed", "first"), [(400.0, False), (420.0, True)])
def test_a_shock_that_bottoms_before_the_stop_is_told(collapsed: float, first: bool) -> None:
    fits = shock_fits(stroked(shocks=(replace(ON_STATION, collapsed=collapsed),), bump_stops=(STOP,)))
    assert len(fits) == 2
    for fit in fits:
        assert fit.collapsed.comes_first == first
        assert fit.collapsed.spare == pytest.approx(410.0 - collapsed, abs=3.0)
        assert max(fit.collapsed.pose.left, fit.collapsed.pose.right) == pytest.approx(90.0, abs=1.0)


@pytest.mark.parametrize(("extended", "first"), [(650.0, False), (570.0, True)])
def test_a_shock_that_tops_before_the_straps_is_told(extended: float, first: bool) -> None:
    straps = (replace(STRAP, chassis=(0.0, 480.0, 900.0), axle=(0.0, 480.0, 550.0), mirrored=True),)
    fits = shock_fits(stroked(shocks=(replace(ON_STATION, extended=extended),), straps=straps))
    assert [fit.extended.comes_first for fit in fits] == [first, first]


def test_without_parts_there_are_no_lengths() -> None:
    assert lengths_of(stroked()) == ()
    assert shock_fits(stroked(straps=(STRAP,))) == ()
