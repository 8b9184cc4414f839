from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact import crossing
from geometry.contact.crossing import STEP, first_crossing
from geometry.contact.search import Box
from geometry.rig.axle import Steering
from geometry.rig.parts import Point
from geometry.tolerances import CLEARANCE
from tests.geometry.contact.lifts import BUMP, DROOP, HEIGHT, OD, RADIUS, SECTION, TRACK, bars, lifted_axle, scene, wall

STRAIGHT = Box(np.array([BUMP / 2.0, BUMP / 2.0, 0.0, 0.0]), np.array([[1.0, 1.0, 0.0, 0.0]]), np.array([BUMP / 2.0]))
"""Both wheels from ride height to full bump."""


def over(z: float) -> tuple[Point, Point]:
    return ((0.0, -1200.0, z), (0.0, 1200.0, z))


def meeting(bump: float) -> tuple[Point, Point]:
    """A cross bar that the tires touch at that bump."""
    return over(HEIGHT + bump + RADIUS + OD / 2.0)


@pytest.mark.parametrize("bump", [0.3, 7.0, 60.0, 77.7, 119.5])
def test_contact_starts_at_the_bump_at_which_the_tire_top_meets_the_bar(bump: float) -> None:
    set_up, pairs, groups = scene(lifted_axle(), bars(meeting(bump)), (0, 1))
    found = first_crossing(set_up, pairs, groups, STRAIGHT)
    for low, high in zip(found.low, found.high, strict=True):
        assert bump - CLEARANCE - STEP <= low <= bump + 1e-6
        assert bump - 1e-6 <= high <= bump + STEP
    assert found.settled.all()
    assert found.pair.tolist() == [0, 1]


def test_what_is_in_contact_from_the_start_starts_at_nought() -> None:
    set_up, pairs, groups = scene(lifted_axle(), bars(meeting(-20.0)))
    found = first_crossing(set_up, pairs, groups, STRAIGHT)
    assert found.low.tolist() == [0.0]
    assert found.high.tolist() == [0.0]


@pytest.mark.parametrize("bump", [BUMP + 0.3, 200.0, 2000.0])
def test_nothing_on_the_way_is_infinitely_far(bump: float) -> None:
    set_up, pairs, groups = scene(lifted_axle(), bars(meeting(bump)))
    found = first_crossing(set_up, pairs, groups, STRAIGHT)
    assert found.low.tolist() == found.high.tolist() == [np.inf]
    assert found.settled.all()


def test_a_touch_that_cannot_be_told_from_a_miss_is_left_open() -> None:
    # The tire's front passes a bar at a thousandth of a micrometre.
    x, z = RADIUS + OD / 2.0 + 1e-6, HEIGHT + 70.0
    set_up, pairs, groups = scene(lifted_axle(), bars(((x, -1200.0, z), (x, 1200.0, z))))
    found = first_crossing(set_up, pairs, groups, STRAIGHT)
    # A quarter millimetre here is 16 mm of travel.
    assert 50.0 < found.low[0] <= 70.0
    assert found.high[0] == np.inf
    assert found.pair.tolist() == [0]


def test_the_first_of_a_group_counts() -> None:
    set_up, pairs, _ = scene(lifted_axle(), bars(meeting(90.0), meeting(30.0), meeting(60.0)))
    one_group = type(pairs)(pairs.mover, pairs.piece, np.zeros_like(pairs.group), pairs.shrink)
    found = first_crossing(set_up, one_group, 1, STRAIGHT)
    assert found.low[0] == pytest.approx(30.0, abs=STEP + CLEARANCE)
    assert found.high[0] == pytest.approx(30.0, abs=STEP)
    assert found.pair.tolist() == [1]


def test_of_many_met_at_once_the_first_on_the_way_counts() -> None:
    # All bars are met in the middle of the first cell already, this one earliest.
    set_up, pairs, _ = scene(lifted_axle(), bars(meeting(55.0), meeting(20.0), meeting(40.0), meeting(58.0)))
    one_group = type(pairs)(pairs.mover, pairs.piece, np.zeros_like(pairs.group), pairs.shrink)
    found = first_crossing(set_up, one_group, 1, STRAIGHT)
    assert found.high[0] == pytest.approx(20.0, abs=STEP)
    assert found.pair.tolist() == [1]


def test_each_group_walks_its_own_way() -> None:
    set_up, pairs, groups = scene(lifted_axle(), bars(meeting(30.0), meeting(30.0)))
    # In step, and with the other wheel drooping by two thirds of the own one's bump: the lift rises by the mean.
    ways = np.array([[[1.0, 1.0, 0.0, 0.0]], [[1.0, -DROOP / BUMP, 0.0, 0.0]]])
    middle = ways[:, 0] * BUMP / 2.0
    found = first_crossing(set_up, pairs, groups, Box(middle, ways, np.array([BUMP / 2.0])))
    assert found.high[0] == pytest.approx(30.0, abs=STEP)
    # A sixth of the own bump reaches 20 mm at most.
    assert found.high[1] == np.inf


def test_the_other_freedoms_may_take_any_value_on_the_way() -> None:
    # Walks the left travel while the right one is free: contact is first met with the right one at its highest.
    set_up, pairs, groups = scene(lifted_axle(), bars(meeting(80.0)))
    ways = np.array([[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0]])
    free = Box(np.array([BUMP / 2.0, BUMP / 2.0, 0.0, 0.0]), ways, np.array([BUMP / 2.0, BUMP / 2.0]))
    found = first_crossing(set_up, pairs, groups, free)
    assert 40.0 - STEP - 2.0 * CLEARANCE <= found.low[0] <= 40.0
    assert 40.0 <= found.high[0] <= 40.0 + STEP


def test_a_tire_that_moves_outward_meets_a_wall_at_a_known_width() -> None:
    set_up, pairs, groups = scene(lifted_axle(), wall(1040.0))
    width = np.array([0.0, 0.0, 0.0, 1.0])
    out = Box(np.array([0.0, 0.0, 0.0, 75.0]), width[None], np.array([75.0]))
    # The tire moves outward by half of what the axle gains.
    gained = 2.0 * (1040.0 - TRACK / 2.0 - SECTION / 2.0)
    assert gained == 110.0
    found = first_crossing(set_up, pairs, groups, out)
    assert gained - 2.0 * CLEARANCE - STEP <= found.low[0] <= gained + 1e-6
    assert gained - 1e-6 <= found.high[0] <= gained + STEP


def test_a_way_may_lead_inward() -> None:
    # From 150 mm wider back to the drawn width: the wall is left where it was met, and nothing else comes.
    set_up, pairs, groups = scene(lifted_axle(), wall(1040.0))
    inward = Box(np.array([0.0, 0.0, 0.0, 25.0]), np.array([[0.0, 0.0, 0.0, -1.0]]), np.array([75.0]))
    assert first_crossing(set_up, pairs, groups, inward).low[0] == np.inf
    # A wall on the inner side is met by the tire that comes in.
    set_up, pairs, groups = scene(lifted_axle(), wall(TRACK / 2.0 - SECTION / 2.0 - 15.0))
    found = first_crossing(set_up, pairs, groups, inward)
    # 100 mm until the drawn width, and 30 mm more for 15 mm.
    assert 130.0 - STEP - 2.0 * CLEARANCE <= found.low[0] <= 130.0
    assert 130.0 - 1e-6 <= found.high[0] <= 130.0 + STEP


def test_steering_at_its_worst_counts() -> None:
    steering = Steering(
        inclination_deg=0.0, caster_deg=0.0, kingpin=(0.0, 25.0, 0.0), lock_left_deg=30.0, lock_right_deg=30.0
    )
    drawn = replace(lifted_axle(), steering=steering)
    # A bar lengthwise, inboard of the straight tire's side but in reach of the turned one; its height decides.
    z, y = HEIGHT + RADIUS + 20.0, TRACK / 2.0 - 210.0
    set_up, pairs, groups = scene(drawn, bars(((-900.0, y, z), (900.0, y, z))))
    straight = first_crossing(set_up, pairs, groups, STRAIGHT)
    ways = np.array([[1.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0]])
    turning = Box(STRAIGHT.middle, ways, np.append(STRAIGHT.size, np.radians(30.0)))
    turned = first_crossing(set_up, pairs, groups, turning)
    assert straight.low[0] == np.inf
    assert 0.0 < turned.low[0] <= turned.high[0] < BUMP


@pytest.mark.parametrize("tolerance", [0.05, 0.25, 2.0])
def test_the_band_holds_the_start_however_it_is_tuned(tolerance: float) -> None:
    # The bar lies almost over the tire's front, where the start depends much on a little clearance.
    x, z = RADIUS + OD / 2.0 - 1.0, HEIGHT + 80.0
    set_up, pairs, groups = scene(lifted_axle(), bars(((x, -1200.0, z), (x, 1200.0, z))))
    start = z - HEIGHT - np.sqrt((RADIUS + OD / 2.0) ** 2 - x**2)
    found = first_crossing(set_up, pairs, groups, STRAIGHT, tolerance=tolerance)
    assert found.low[0] <= start <= found.high[0]
    assert found.high[0] - found.low[0] < 20.0 * (1.0 + tolerance)


def test_told_to_give_up_it_leaves_the_start_open() -> None:
    set_up, pairs, groups = scene(lifted_axle(), bars(meeting(60.0), meeting(5000.0)))
    found = first_crossing(set_up, pairs, groups, STRAIGHT, give_up=lambda: True)
    assert found.settled.tolist() == [False, True]
    assert found.low[0] < 60.0 <= found.high[0]
    assert found.low[1] == np.inf


def test_too_many_cells_leave_the_start_open(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crossing, "MOST_CELLS", 2)
    set_up, pairs, groups = scene(lifted_axle(), bars(meeting(70.0)))
    found = first_crossing(set_up, pairs, groups, STRAIGHT)
    assert not found.settled[0]
    assert found.low[0] < 70.0 <= found.high[0]
