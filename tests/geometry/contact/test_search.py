from __future__ import annotations

from collections.abc import Callable
from math import hypot, radians

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact import search
from geometry.contact.axle_check import axle_problems, travel_box
from geometry.contact.movers import STEER, Movers
from geometry.contact.scene import Pairs, Scene, make_pairs
from geometry.contact.search import (
    Box,
    Cells,
    closest_approaches,
    first_cells,
    look,
    measure,
    sight,
    split,
    whole_travel,
)
from geometry.contact.solids import Pieces
from geometry.rig.axle import Steering
from geometry.rig.layout import Floats
from geometry.rig.parts import Point
from geometry.tolerances import CLEARANCE, FAR
from tests.geometry.contact.lifts import (
    BUMP,
    DROOP,
    HEIGHT,
    OD,
    RADIUS,
    SECTION,
    TRACK,
    bars,
    lifted_axle,
    movers,
    scene,
    wall,
)
from tests.laws.random_rigs import random_rig

TRAVEL = (-DROOP, BUMP)
EVERYTHING = whole_travel(TRAVEL, TRAVEL, (0.0, 0.0))


def over(z: float) -> tuple[Point, Point]:
    """Ends of a cross bar over both tires' middles."""
    return ((0.0, -1200.0, z), (0.0, 1200.0, z))


def above_tire(z: float) -> float:
    """Clearance of the bar `over` z to a tire at full bump."""
    return z - (HEIGHT + BUMP) - RADIUS - OD / 2.0


def test_under_a_cross_bar_the_closest_approach_is_the_height_less_both_radii() -> None:
    set_up, pairs, groups = scene(lifted_axle(), bars(over(1120.0)), (0, 1, 2))
    found = closest_approaches(set_up, pairs, groups, EVERYTHING)
    assert found.high[:2] == pytest.approx([above_tire(1120.0)] * 2, abs=1e-9)
    assert FAR <= found.low[2] <= 1120.0 - (HEIGHT + BUMP) - 38.1 - OD / 2.0 <= found.high[2]
    assert np.all(found.low[:2] >= found.high[:2] - CLEARANCE)
    assert found.pose[0] == pytest.approx([BUMP, BUMP, 0.0, 0.0])
    assert found.beyond.tolist() == [False, False, True]
    assert found.settled.all()


def test_what_lies_beyond_is_proved_to_and_no_more() -> None:
    set_up, pairs, groups = scene(lifted_axle(), bars(over(1500.0)))
    found = closest_approaches(set_up, pairs, groups, EVERYTHING)
    assert found.beyond.tolist() == found.settled.tolist() == [True]
    assert FAR <= found.low[0] <= above_tire(1500.0) <= found.high[0]
    nearer = closest_approaches(set_up, pairs, groups, EVERYTHING, far=1e4)
    assert not nearer.beyond[0]
    assert nearer.high[0] == pytest.approx(above_tire(1500.0))
    assert nearer.low[0] >= above_tire(1500.0) - CLEARANCE


@pytest.mark.parametrize("tolerance", [5.0, 0.25, 0.01])
def test_the_interval_is_as_narrow_as_asked_and_holds_the_truth(tolerance: float) -> None:
    # Closest in the middle of the travel, so that no corner of a cell gives it away.
    ahead = ((RADIUS + 60.0, -1200.0, HEIGHT + 33.3), (RADIUS + 60.0, 1200.0, HEIGHT + 33.3))
    set_up, pairs, groups = scene(lifted_axle(), bars(ahead))
    found = closest_approaches(set_up, pairs, groups, EVERYTHING, tolerance=tolerance)
    truth = 60.0 - OD / 2.0
    assert found.high[0] - tolerance <= found.low[0] <= truth + 1e-9
    assert truth - 1e-9 <= found.high[0]


def test_overlaps_are_resolved_to_a_share_of_their_depth() -> None:
    deep = ((RADIUS - 80.0, -1200.0, HEIGHT + 33.3), (RADIUS - 80.0, 1200.0, HEIGHT + 33.3))
    set_up, pairs, groups = scene(lifted_axle(), bars(deep))
    coarse = closest_approaches(set_up, pairs, groups, EVERYTHING, overlap_share=0.2)
    fine = closest_approaches(set_up, pairs, groups, EVERYTHING, overlap_share=0.0)
    truth = -80.0 - OD / 2.0
    for found, width in ((coarse, -0.2 * coarse.high[0]), (fine, CLEARANCE)):
        assert found.high[0] - width <= found.low[0] <= truth + 1e-3
        assert truth - 1e-3 <= found.high[0]
    # The share spares work, or there would be no reason for it.
    assert coarse.high[0] - coarse.low[0] > CLEARANCE


def test_pieces_of_one_group_share_one_closest_approach() -> None:
    pieces = bars(over(1200.0), over(1130.0), over(1160.0))
    set_up, pairs, _ = scene(lifted_axle(), pieces)
    apart = closest_approaches(set_up, pairs, 3, EVERYTHING, far=1e4)
    together = closest_approaches(set_up, _grouped(pairs, [0, 0, 1]), 2, EVERYTHING)
    assert apart.high == pytest.approx([above_tire(z) for z in (1200.0, 1130.0, 1160.0)])
    assert together.high == pytest.approx([above_tire(1130.0), above_tire(1160.0)])
    assert together.pair.tolist() == [1, 2]


def _grouped(pairs: search.Pairs, groups: list[int]) -> search.Pairs:
    return search.Pairs(pairs.mover, pairs.piece, np.array(groups, dtype=np.intp), pairs.shrink)


def test_told_to_give_up_it_says_what_is_proved_and_that_it_is_not_settled() -> None:
    ahead = ((RADIUS + 60.0, -1200.0, HEIGHT + 33.3), (RADIUS + 60.0, 1200.0, HEIGHT + 33.3))
    set_up, pairs, groups = scene(lifted_axle(), bars(ahead, over(1900.0)))
    found = closest_approaches(set_up, pairs, groups, EVERYTHING, tolerance=1e-4, give_up=lambda: True)
    assert found.settled.tolist() == [False, True]
    assert found.low[0] < 60.0 - OD / 2.0 <= found.high[0]
    assert found.high[0] - found.low[0] > 1e-4


def test_it_asks_once_a_level_whether_to_give_up() -> None:
    ahead = ((RADIUS + 60.0, -1200.0, HEIGHT + 33.3), (RADIUS + 60.0, 1200.0, HEIGHT + 33.3))
    set_up, pairs, groups = scene(lifted_axle(), bars(ahead))
    lows = []
    for levels in range(1, 5):
        found = closest_approaches(set_up, pairs, groups, EVERYTHING, tolerance=1e-4, give_up=_after(levels))
        lows.append(found.low[0])
    assert lows == sorted(lows)
    assert lows[-1] > lows[0]


def _after(asked: int) -> Callable[[], bool]:
    left = iter([False] * (asked - 1))
    return lambda: next(left, True)


def test_too_many_cells_leave_it_unsettled(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "MOST_CELLS", 3)
    ahead = ((RADIUS + 60.0, -1200.0, HEIGHT + 33.3), (RADIUS + 60.0, 1200.0, HEIGHT + 33.3))
    set_up, pairs, groups = scene(lifted_axle(), bars(ahead))
    found = closest_approaches(set_up, pairs, groups, EVERYTHING, tolerance=1e-4)
    assert not found.settled[0]
    assert found.low[0] <= 60.0 - OD / 2.0 <= found.high[0]


def test_turning_about_an_upright_kingpin_is_a_rectangle_turning_in_the_plan() -> None:
    # Kingpin through the tire's middle; an upright bar beside the tire's height sees its plan only.
    steering = Steering(
        inclination_deg=0.0, caster_deg=0.0, kingpin=(0.0, 25.0, 0.0), lock_left_deg=35.0, lock_right_deg=20.0
    )
    drawn = replace(lifted_axle(), steering=steering, bump=5.0, droop=5.0)
    post = (RADIUS - 60.0, TRACK / 2.0 - 330.0)
    pieces = bars(((*post, -500.0), (*post, 1500.0)))
    set_up, pairs, groups = scene(drawn, pieces)
    lock = (-radians(20.0), radians(35.0))
    found = closest_approaches(set_up, pairs, groups, whole_travel((-5.0, 5.0), (-5.0, 5.0), lock))
    truth = min(plan_distance(post, steer) for steer in np.linspace(*lock, 20_001)) - OD / 2.0
    assert 0.0 < truth < plan_distance(post, 0.0) - OD / 2.0 - 20.0
    assert found.low[0] - 1e-3 <= truth <= found.high[0] + 1e-3
    assert found.high[0] - found.low[0] <= CLEARANCE
    assert plan_distance(post, float(found.pose[0, STEER])) - OD / 2.0 == pytest.approx(found.high[0], abs=1e-3)


def plan_distance(post: tuple[float, float], steer: float) -> float:
    """Distance of an upright line from the left tire turned by `steer` (left positive), seen from above."""
    x, y = post[0], post[1] - TRACK / 2.0
    along = x * np.cos(steer) + y * np.sin(steer)
    aside = -x * np.sin(steer) + y * np.cos(steer)
    return hypot(max(abs(along) - RADIUS + 30.0, 0.0), max(abs(aside) - SECTION / 2.0 + 30.0, 0.0)) - 30.0


def test_each_group_may_have_its_own_box() -> None:
    pieces = bars(over(1120.0), over(1120.0))
    set_up, pairs, groups = scene(lifted_axle(), pieces)
    # One group goes straight up to 50 mm, the other sinks.
    middle = np.array([[25.0, 25.0, 0.0, 0.0], [-40.0, -40.0, 0.0, 0.0]])
    ways = np.array([[[25.0, 25.0, 0.0, 0.0]], [[40.0, 40.0, 0.0, 0.0]]])
    found = closest_approaches(set_up, pairs, groups, Box(middle, ways, np.array([1.0])), far=1e4)
    assert found.high == pytest.approx([above_tire(1120.0) + BUMP - 50.0, above_tire(1120.0) + BUMP])
    assert found.pose[:, 0] == pytest.approx([50.0, 0.0], abs=1e-9)


def test_a_box_of_one_pose_is_measured() -> None:
    set_up, pairs, groups = scene(lifted_axle(), bars(over(1120.0)))
    still = whole_travel((0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
    found = closest_approaches(set_up, pairs, groups, still, far=1e4)
    assert found.low[0] == pytest.approx(above_tire(1120.0) + BUMP, abs=0.05)
    assert found.high[0] == pytest.approx(above_tire(1120.0) + BUMP)


def test_a_flat_side_against_a_wall_is_told_exactly() -> None:
    set_up, pairs, groups = scene(lifted_axle(), wall(1100.0))
    found = closest_approaches(set_up, pairs, groups, EVERYTHING)
    truth = 1100.0 - TRACK / 2.0 - SECTION / 2.0
    assert found.low[0] <= truth + 1e-9
    assert (found.low[0], found.high[0]) == pytest.approx((truth, truth), abs=CLEARANCE)


def test_the_whole_travel_is_a_box_of_two_or_three_freedoms() -> None:
    box = whole_travel((-80.0, 120.0), (-60.0, 100.0), (-0.3, 0.5))
    assert box.middle == pytest.approx([20.0, 20.0, 0.1, 0.0])
    assert box.size == pytest.approx([100.0, 80.0, 0.4])
    assert box.ways.tolist() == np.eye(4)[:3].tolist()
    assert len(whole_travel((-80.0, 120.0), (-60.0, 100.0), (0.0, 0.0)).size) == 2


@pytest.mark.parametrize("several", [False, True])
def test_a_box_says_how_far_each_freedom_goes_in_a_cell(several: bool) -> None:
    rng = np.random.default_rng(3)
    shape = (2,) if several else ()
    box = Box(rng.normal(size=(*shape, 4)), rng.normal(size=(*shape, 3, 4)), np.ones(3))
    group = np.array([0, 1, 1, 0], dtype=np.intp)
    u, size = rng.normal(size=(4, 3)), rng.uniform(size=(4, 3))
    spread = box.spread(group, size)
    for _ in range(20):
        step = rng.choice([-1.0, 1.0], (4, 3)) * size
        moved = np.abs(box.poses(group, u + step) - box.poses(group, u))
        assert np.all(moved <= spread + 1e-12)
    corner = np.sign(box.ways_of(group)[..., 0]) * size if several else np.sign(box.ways[:, 0]) * size
    assert (box.poses(group, u + corner) - box.poses(group, u))[:, 0] == pytest.approx(spread[:, 0])


def test_steering_is_no_freedom_of_what_it_does_not_move() -> None:
    steering = Steering(
        inclination_deg=8.0, caster_deg=5.0, kingpin=(0.0, -100.0, 0.0), lock_left_deg=35.0, lock_right_deg=35.0
    )
    set_up, pairs, _ = scene(replace(lifted_axle(), steering=steering), bars(over(1200.0)), (0, 2))
    cells = first_cells(set_up, pairs, whole_travel(TRAVEL, TRAVEL, (-0.6, 0.6)))
    assert cells.size == pytest.approx(np.array([[100.0, 100.0, 0.6], [100.0, 100.0, 0.0]]))
    assert np.all(cells.floor == -np.inf)


def test_children_tile_their_cell() -> None:
    rng = np.random.default_rng(5)
    cells = Cells(np.arange(6), rng.normal(size=(6, 3)), rng.uniform(0.5, 1.0, (6, 3)), rng.normal(size=6))
    cells.size[5, 0] = 0.0
    curving = rng.uniform(0.0, 1.0, (6, 3))
    curving[3] = 0.0
    children = split(cells, curving)
    for row in range(6):
        own = children.which == row
        assert own.sum() in {2, 4, 8}
        assert np.all(children.floor[own] == cells.floor[row])
        points = cells.u[row] + rng.uniform(-1.0, 1.0, (300, 3)) * cells.size[row]
        inside = np.all(np.abs(points[:, None] - children.u[own]) <= children.size[own] + 1e-12, axis=2)
        assert np.all(inside.sum(axis=1) == 1)
        solid = cells.size[row] > 0.0
        assert np.prod(children.size[own][:, solid], axis=1).sum() == pytest.approx(np.prod(cells.size[row, solid]))


def test_a_cell_is_split_where_it_curves_most() -> None:
    cells = Cells(np.zeros(1, dtype=np.intp), np.zeros((1, 3)), np.ones((1, 3)), np.zeros(1))
    children = split(cells, np.array([[1.0, 0.1, 0.7]]))
    assert len(children) == 4
    assert np.all(children.size == [0.5, 1.0, 0.5])


@pytest.mark.parametrize("kind", ["bars", "wall"])
def test_seen_from_afar_or_closely_no_pose_is_below_low_nor_the_middle_above_high(kind: str) -> None:
    rng = np.random.default_rng(7)
    pieces: Pieces = (
        wall(1050.0) if kind == "wall" else bars(over(1120.0), ((-700.0, 500.0, 300.0), (900.0, 900.0, 1100.0)))
    )
    made = movers(lifted_axle())
    pairs, _ = make_pairs(made, range(5), pieces)
    set_up = Scene(made, pieces)
    count = 300
    which = rng.integers(0, len(pairs.mover), count)
    size = rng.uniform(0.0, 50.0, (count, 2))
    u = rng.uniform(-1.0, 1.0, (count, 2)) * (100.0 - size)
    cells = Cells(which, u, size, np.full(count, -np.inf))
    seen = sight(set_up, pairs, cells, EVERYTHING)
    found = look(set_up, seen, EVERYTHING, cells)
    exact, pose = measure(set_up, pairs, which, EVERYTHING, u)
    assert found.middle == pytest.approx(exact)
    assert pose == pytest.approx(seen.pose)
    assert np.all(seen.high >= exact - 1e-9)
    assert np.all(found.low >= seen.low)
    for _ in range(20):
        at = u + rng.choice([-1.0, 1.0, 0.3], (count, 2)) * size
        assert np.all(measure(set_up, pairs, which, EVERYTHING, at)[0] >= found.low - 1e-3)


@pytest.mark.parametrize("kind", [0, 2])
def test_no_pose_of_an_axle_that_turns_is_below_what_is_seen_of_its_cell(kind: int) -> None:
    rig = random_rig(1, bars=8, panels=1)
    problem, box = axle_problems(rig, rig.axles[0])[kind], travel_box(rig.axles[0])
    rng = np.random.default_rng(8)
    which = rng.integers(0, len(problem.pairs.mover), 2000)
    # One way at a time, for then what the others may add does not hide it.
    size = rng.uniform(0.0, 1.0, (2000, 1)) * box.size * np.eye(3)[rng.integers(0, 3, 2000)]
    u = rng.uniform(-1.0, 1.0, (2000, 3)) * (box.size - size)
    cells = Cells(which, u, size, np.full(2000, -np.inf))
    seen = sight(problem.scene, problem.pairs, cells, box)
    of = problem.pairs.rows(which)
    for _ in range(10):
        at = box.poses(of.group, u + rng.choice([-1.0, 1.0], (2000, 3)) * size)
        view = problem.scene.view(of.mover, of.piece, at)
        # What it stands on is that the hull keeps off the ball round the core, so that is what must hold.
        ball = np.hypot(view.half_length, view.radius) + of.shrink
        assert np.all(search._hull_distance(view.corners)[0] - ball >= seen.low - 1e-5)


@pytest.mark.parametrize("way", [0, 1])
def test_seen_from_afar_a_solid_that_quickens_in_its_cell_does_not_come_closer_than_is_said(way: int) -> None:
    made, box, ends = quickening(way)
    # A speck dead ahead of each end of each cell: all of the way counts, and its slope in the middle is not all of it.
    mover = np.tile(np.arange(len(made.solids)), 2)
    poses = np.repeat(ends, len(made.solids), axis=0)
    middle, there = (made.at(mover, q).centre for q in (np.broadcast_to(box.middle, poses.shape), poses))
    ahead = middle + 5.0 * (there - middle)
    pieces = bars(*((tuple(at), (at[0], at[1], at[2] + 1e-3)) for at in ahead.tolist()))
    pairs = Pairs(mover, np.arange(len(mover)), np.arange(len(mover)), made.skin[mover])
    set_up = Scene(made, pieces)
    seen = sight(set_up, pairs, first_cells(set_up, pairs, box), box)
    view = set_up.view(mover, pairs.piece, poses)
    least = search._hull_distance(view.corners)[0] - np.hypot(view.half_length, view.radius) - pairs.shrink
    assert np.all(least >= seen.low - 1e-5)
    # Without what the way curves more would be said than is true.
    slope = np.sqrt((seen.view.corner_slope**2).sum(axis=2))[:, 0, way] * box.size[way]
    assert np.any(np.linalg.norm(there - middle, axis=1) > slope + 1.0)


def quickening(way: int) -> tuple[Movers, Box, Floats]:
    """The solids of an axle that rolls far, a box along one travel, and the poses at its ends."""
    rig = random_rig(1, bars=1, panels=0)
    axle = replace(rig.axles[0], stop_station=200.0, bump=225.0, droop=150.0, steering=None)
    made = axle_problems(rig, axle)[0].scene.movers
    middle = np.array([30.0, 30.0, 0.0, 0.0])
    size = 150.0 * np.eye(2)[way]
    return made, Box(middle, np.eye(4)[:2], size), middle + np.array([[-1.0], [1.0]]) * [*size, 0.0, 0.0]


def test_of_many_distances_at_once_the_least_of_each_group_is_kept() -> None:
    record = search._Record(3, EVERYTHING)
    pose = np.arange(5.0)[:, None] * np.ones(4)
    group, pair = np.array([0, 1, 0, 1, 0]), np.array([10, 11, 12, 13, 14])
    record.found(group, pair, np.array([5.0, 3.0, 2.0, 7.0, 4.0]), pose)
    assert record.high.tolist() == [2.0, 3.0, np.inf]
    assert record.pair.tolist() == [12, 11, 0]
    record.found(group, pair + 10, np.array([2.0, 9.0, 9.0, 1.0, 9.0]), pose)
    assert record.high.tolist() == [2.0, 1.0, np.inf]
    assert record.pair.tolist() == [12, 23, 0]
    assert record.pose[:2, 0].tolist() == [2.0, 3.0]


def test_a_cell_inherits_what_was_proved_of_the_one_it_was_split_from() -> None:
    set_up, pairs, _ = scene(lifted_axle(), bars(over(1120.0)))
    cells = Cells(np.zeros(1, dtype=np.intp), np.zeros((1, 2)), np.full((1, 2), 100.0), np.array([12.5]))
    seen = sight(set_up, pairs, cells, EVERYTHING)
    assert seen.low[0] >= 12.5
