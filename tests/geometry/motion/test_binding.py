from __future__ import annotations

from math import hypot

import pytest

from geometry.errors import LinkageError
from geometry.motion.binding import check_travel
from geometry.tolerances import GIVE
from tests.geometry.motion.linkages import LAYOUTS, TRIANGULATED, Rods, linkage

EQUAL_LINKS = tuple(((900.0, y, z), (0.0, y, z)) for y in (450.0, -450.0) for z in (420.0, 620.0))
LONG_BAR = ((60.0, -450_000.0, 540.0), (60.0, 450.0, 540.0))
LEVEL_THREE_LINK = (*EQUAL_LINKS[::2], ((900.0, 0.0, 720.0), (0.0, 0.0, 720.0)), LONG_BAR)
SHORT_THREE_LINK = tuple(((200.0, y, z), (0.0, y, z)) for y, z in ((450.0, 420.0), (-450.0, 420.0), (0.0, 720.0)))


def refused(rods: Rods, **travel: float) -> LinkageError:
    with pytest.raises(LinkageError) as caught:
        check_travel(linkage(rods, **travel))
    return caught.value


@pytest.mark.parametrize("rods", LAYOUTS.values(), ids=LAYOUTS.keys())
def test_usual_layouts_follow_their_travel(rods: Rods) -> None:
    check_travel(linkage(rods))


def test_an_axle_without_travel_passes() -> None:
    check_travel(linkage(TRIANGULATED, bump=0.0, droop=0.0))


def test_links_that_leave_the_axle_free_sideways_are_refused_at_ride_height() -> None:
    error = refused(EQUAL_LINKS)
    assert (error.left, error.right) == (0.0, 0.0)
    assert "at ride height" in str(error)


def test_five_rods_that_leave_the_axle_free_are_refused_at_ride_height() -> None:
    lengthwise = ((900.0, 0.0, 520.0), (0.0, 0.0, 520.0))
    assert "at ride height" in str(refused((*EQUAL_LINKS, lengthwise)))


@pytest.mark.parametrize(("bump", "droop"), [(230.0, 20.0), (20.0, 230.0)])
def test_level_links_let_go_where_they_stand_upright(bump: float, droop: float) -> None:
    error = refused((*SHORT_THREE_LINK, LONG_BAR), bump=bump, droop=droop, stop_station=700.0)
    assert error.left == error.right
    assert abs(error.left) == pytest.approx(200.0, abs=1.0)
    assert (error.left > 0.0) == (bump > droop)
    assert "lets go" in str(error)


def test_rods_that_come_into_line_bind_before_they_let_go() -> None:
    """Links 200 mm apart hold a pitch of the axle badly once they stand steep."""
    error = refused((*EQUAL_LINKS, LONG_BAR), bump=880.0, droop=20.0, stop_station=3000.0)
    assert 800.0 < error.left < 880.0
    assert "come into line" in str(error)


def test_a_lateral_bar_that_hangs_lets_go_where_the_droop_stretches_it_out() -> None:
    """A steep bar, upper end on the chassis: the links hold the axle's path, the bar's reach ends it."""
    links = (((9000.0, 400.0, 470.0), (0.0, 400.0, 470.0)), ((9000.0, -400.0, 470.0), (0.0, -400.0, 470.0)))
    upper = ((9000.0, 0.0, 700.0), (0.0, 0.0, 700.0))
    bar = ((0.0, -300.0, 770.0), (0.0, 0.0, 570.0))
    error = refused((*links, upper, bar), bump=50.0, droop=400.0)
    length = hypot(300.0, 200.0)
    assert error.left == pytest.approx(200.0 - length, abs=3.0)
    assert error.left == error.right
    assert "lets go" in str(error)


def test_a_parallel_four_link_that_needs_too_much_give_binds_crossed() -> None:
    rods = (
        ((1000.0, 420.0, 480.0), (0.0, 450.0, 420.0)),
        ((1000.0, -420.0, 480.0), (0.0, -450.0, 420.0)),
        ((500.0, 400.0, 760.0), (0.0, 400.0, 640.0)),
        ((500.0, -400.0, 760.0), (0.0, -400.0, 640.0)),
        ((60.0, -450.0, 560.0), (60.0, 450.0, 540.0)),
    )
    error = refused(rods, bump=300.0, droop=300.0)
    assert f"more than {GIVE:g} mm" in str(error)


def test_a_lateral_bar_almost_upright_could_snap_over() -> None:
    """Its joint on the axle stands 15 mm to the left of the one on the chassis and fits 15 mm to the right as well."""
    bar = ((0.0, -15.0, 770.0), (0.0, 0.0, 570.0))
    error = refused((*LEVEL_THREE_LINK[:3], bar), bump=6.0, droop=0.0)
    assert (error.left, error.right) == (0.0, 0.0)
    assert "second time" in str(error)
    assert "30 mm away" in str(error)


def test_the_message_names_axle_and_travel() -> None:
    error = refused((*SHORT_THREE_LINK, LONG_BAR), bump=230.0, droop=20.0)
    assert error.axle == "rear"
    assert f"{error.left:.0f} mm bump left and {error.right:.0f} mm bump right" in str(error)
