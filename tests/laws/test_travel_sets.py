"""Laws of the travel that shocks, stops and straps leave: nothing in reach is lost, what is lost is out of reach."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import check_axle, travel_box
from geometry.contact.width import width_sample, width_windows
from geometry.motion.linkage import linkage_of
from geometry.rig.axle import Axle
from geometry.rig.layout import Floats
from geometry.stroke.shocks import lengths_of
from geometry.stroke.spans import limits_of, spans_of
from geometry.stroke.travel_set import SLACK, TravelSet, travel_set
from geometry.stroke.ways import ways
from geometry.tolerances import CLEARANCE
from tests.laws.exact import clearances, exact_poses, random_travel
from tests.laws.random_rigs import random_rig
from tests.laws.strokes import limited, limited_rig

ROUNDING = 1e-4
"""As in the laws of the whole-travel search [mm]."""

SEEDS = range(6)


def left_of(axle: Axle) -> TravelSet:
    return travel_set(linkage_of(axle), spans_of(axle))


def excesses(axle: Axle, left: Floats, right: Floats) -> Floats:
    """By how much each limit is passed in exact poses, shape (limits, n) [mm]."""
    poses = exact_poses(axle, left, right)
    signs = {"short": -1.0, "long": 1.0}
    return np.array([signs[each.end] * (each.span.at(poses) - each.value) for each in limits_of(spans_of(axle))])


@pytest.mark.parametrize("seed", SEEDS)
def test_no_reachable_pose_is_lost_and_none_is_kept_that_is_beyond_a_limit_by_more_than_said(seed: int) -> None:
    for index, axle in enumerate(limited_rig(seed).axles):
        left, right, _ = random_travel(axle, np.random.default_rng([seed, index]), 100_000 // len(SEEDS) // 2)
        reach, excess = left_of(axle), excesses(axle, left, right)
        kept = reach.holds(left, right)
        assert 0.1 < kept.mean() < 1.0
        assert kept[(excess <= 0.0).all(axis=0)].all()
        assert excess[:, kept].max() <= reach.beyond + ROUNDING
        assert reach.beyond <= SLACK
        for taken, passed in zip(reach.taken, excess, strict=True):
            for a, b, c, d in taken.out[:: max(1, len(taken.out) // 20)]:
                inside = (left > a) & (left < b) & (right > c) & (right < d)
                assert passed[inside].min(initial=1.0) > 0.0


@pytest.mark.parametrize("seed", SEEDS)
def test_its_rectangles_are_the_set(seed: int) -> None:
    axle = limited_rig(seed).axles[0]
    reach = left_of(axle)
    assert ((reach.rectangles[:, 1::2] - reach.rectangles[:, ::2]).prod(axis=1)).sum() == pytest.approx(
        reach.kept.sum() * reach.step**2
    )
    left, right, _ = random_travel(axle, np.random.default_rng(seed), 2_000)
    within = [(left >= a) & (left <= b) & (right >= c) & (right <= d) for a, b, c, d in reach.rectangles]
    assert np.array_equal(np.any(within, axis=0), reach.holds(left, right))
    nothing = np.zeros(len(left))
    assert reach.meets(left, right, nothing + 40.0, nothing + 5.0)[reach.holds(left, right)].all()


@pytest.mark.parametrize("seed", SEEDS)
def test_a_longer_shock_never_shrinks_the_set(seed: int) -> None:
    axle = limited_rig(seed).axles[seed % 2]
    shock, before = axle.shocks[0], left_of(axle).kept
    for more in (0.01, 0.7, 13.0):
        for longer in (
            replace(shock, extended=shock.extended + more),
            replace(shock, collapsed=shock.collapsed - more),
            replace(shock, extended=shock.extended + more, collapsed=shock.collapsed - more),
        ):
            after = left_of(replace(axle, shocks=(longer,))).kept
            assert after.shape == before.shape or after.size == 1
            assert np.all(after | ~before if after.size > 1 else True)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_random_pose_is_shorter_or_longer_than_told(seed: int) -> None:
    axle = limited_rig(seed).axles[seed % 2]
    left, right, _ = random_travel(axle, np.random.default_rng(seed), 100_000 // len(SEEDS))
    poses, reach = exact_poses(axle, left, right), (excesses(axle, left, right) <= 0.0).all(axis=0)
    for each in lengths_of(axle):
        lengths = each.span.at(poses)
        for over, some in ((each.wanted, lengths), (each.left, lengths[reach])):
            assert over.least.low <= some.min()
            assert some.max() <= over.most.high
            assert over.least.settled
            assert over.most.settled
        assert each.wanted.least.low <= each.stopped.least.high
        assert each.stopped.least.low <= each.left.least.high


@pytest.mark.parametrize("seed", SEEDS)
def test_a_way_is_free_as_far_as_it_says_and_ended_where_it_says(seed: int) -> None:
    axle = limited_rig(seed).axles[seed % 2]
    for way in ways(axle):
        places = np.linspace(0.0, way.given, 200)
        assert excesses(axle, way.by_left * places, way.by_right * places).max() <= ROUNDING
        if way.end is not None and way.end.high < way.wanted:
            end = np.array([way.end.high])
            assert excesses(axle, way.by_left * end, way.by_right * end).max() > 0.0


def test_without_limits_the_set_is_the_box_and_the_search_has_none() -> None:
    for axle in (*limited_rig(0).axles, random_rig(3).axles[0]):
        free = replace(axle, shocks=(), bump_stops=(), straps=())
        assert left_of(free).is_whole
        assert travel_box(free).reach is None


def test_limits_out_of_reach_leave_the_box_and_every_answer_as_it_is() -> None:
    rig = random_rig(1)
    axle = rig.axles[0]
    shock = limited(axle, np.random.default_rng(0)).shocks[0]
    idle = replace(axle, shocks=(replace(shock, collapsed=200.0, extended=990.0),))
    assert left_of(idle).is_whole
    assert tuple(each for each in check_axle(rig, idle) if "shock" not in each.kind) == check_axle(rig, axle)


@pytest.mark.parametrize("seed", range(3))
def test_no_pose_of_the_set_comes_below_low_and_high_is_met_in_it(seed: int) -> None:
    rig = limited_rig(seed)
    axle = next(each for each in rig.axles if len(each.rods) == 4)
    reach = left_of(axle)
    left, right, steer = (each[:12_000] for each in random_travel(axle, np.random.default_rng(seed), 30_000))
    kept = reach.holds(left, right)
    left, right, steer = left[kept], right[kept], steer[kept]
    exact = exact_poses(axle, left, right)
    near = [each for each in check_axle(rig, axle) if not each.beyond]
    assert len(near) > 5
    for approach in near:
        assert approach.settled
        pose = approach.pose
        assert reach.holds(np.array([pose.left]), np.array([pose.right]))[0]
        assert clearances(rig, axle, approach, exact, steer).min() >= approach.low - ROUNDING
        met = exact_poses(axle, np.array([pose.left]), np.array([pose.right]))
        assert clearances(rig, axle, approach, met, np.array([pose.steer]))[0] == pytest.approx(
            approach.high, abs=ROUNDING
        )


@pytest.mark.parametrize("seed", range(3))
def test_less_travel_never_loses_clearance(seed: int) -> None:
    rig = limited_rig(seed)
    axle = rig.axles[0]
    free = replace(axle, shocks=(), bump_stops=(), straps=())
    whole = {(each.moving, each.fixed): each for each in check_axle(rig, free)}
    gained = 0
    for each in (each for each in check_axle(rig, axle) if "shock" not in each.kind):
        before = whole[each.moving, each.fixed]
        assert each.high >= before.low - ROUNDING
        gained += each.low > before.high
    assert gained > 0


def test_every_width_in_a_window_clears_within_the_travel_that_is_left() -> None:
    rig = random_rig(1, bars=2, panels=0)
    axle = limited(rig.axles[0], np.random.default_rng(4))
    span = np.linspace(axle.width + 100.0, axle.width + 500.0, 4)
    samples = [width_sample(rig, replace(axle, width=float(width))) for width in span]
    ((low, high),) = ((window.low, window.high) for window in width_windows(rig, axle, samples) or ())
    assert low.reason is not None
    assert low.reason.kind == "tire_bar"
    for share in (0.01, 0.37, 0.98):
        width = low.width + share * (high.width - low.width)
        assert width_sample(rig, replace(axle, width=width)).margin_low >= 0.0
    assert width_sample(rig, replace(axle, width=low.beyond)).margin_high <= 2.0 * CLEARANCE
