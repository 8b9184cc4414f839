from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise, product

import numpy as np
import pytest

from geometry.contact.bounds import FLATTEST, Bound, Local, _crossing, _face, _following, _held, _tread, cell_bound
from geometry.contact.distance import separation, support_gap
from geometry.rig.layout import Floats
from tests.geometry.contact.cells import Motion, Pose, one_motion, random_motion, tightest, unit

EXACT = 2e-4
"""Accuracy of an overlap's depth, see geometry.contact.distance [mm]."""

Rule = Callable[[Local, Floats, Floats], Bound]


def following(cells: Local, normal: Floats, edge: Floats) -> Bound:
    if cells.edge_motion is None:
        nothing = np.zeros_like(cells.size)
        return Bound(np.full(len(nothing), -np.inf), nothing)
    return _following(cells, normal, edge, cells.edge_motion)


RULES: dict[str, Rule] = {
    "held": lambda cells, normal, _: _held(cells, normal),
    "face": lambda cells, normal, _: _face(cells, normal),
    "tread": lambda cells, normal, _: _tread(cells, normal),
    "crossing": _crossing,
    "following": following,
}
HULLS = ("straight", "panel", "moving straight")


def best_way(motion: Motion) -> tuple[Floats, Floats]:
    """Normal and edge in the middle of the cell, where a search takes them."""
    found = motion.separation(np.zeros_like(motion.middle.slope[:, 0]))
    return found.normal, found.edge


def least_gap(motion: Motion, size: Floats, rng: np.random.Generator, samples: int) -> Floats:
    """Least distance met at random points of each cell, its corners, faces and middle among them."""
    least = motion.separation(np.zeros_like(size)).gap
    for index in range(samples):
        u = rng.uniform(-1.0, 1.0, size.shape)
        u = np.sign(u) if index % 3 == 0 else np.where(rng.uniform(size=size.shape) < 0.2, np.sign(u), u)
        least = np.minimum(least, motion.separation(u * size).gap)
    return least


@pytest.mark.parametrize("hull", HULLS)
@pytest.mark.parametrize("share", [1.0, 0.3, 0.1, 0.01, 1e-4])
def test_no_pose_of_a_cell_comes_below_any_rule(hull: str, share: float) -> None:
    rng = np.random.default_rng(len(hull))
    motion = random_motion(rng, 700, hull)
    size = share * rng.uniform(0.0, 1.0, (700, 3))
    least = least_gap(motion, size, rng, 24)
    for name, rule in RULES.items():
        low = rule(motion.local(size), *best_way(motion)).low
        assert np.all(least >= low - EXACT), name
        if name != "following" or hull == "moving straight":
            assert np.isfinite(low).mean() > 0.3, name


@pytest.mark.parametrize("hull", HULLS)
@pytest.mark.parametrize("share", [0.5, 0.02])
def test_every_rule_holds_whatever_normal_and_edge_it_starts_from(hull: str, share: float) -> None:
    rng = np.random.default_rng(len(hull))
    motion = random_motion(rng, 700, hull)
    normal, edge = unit(rng.normal(size=(2, 700, 3)))
    if motion.straight is not None:
        # A straight that turns has one direction only, the one whose motion is given.
        edge = motion.straight[0].start
    normal[::9] = motion.axis.start[::9]
    normal[1::9] = edge[1::9]
    if motion.straight is None:
        edge = np.where(np.arange(700)[:, None] % 10 == 0, 0.0, edge)
    size = share * rng.uniform(0.0, 1.0, (700, 3))
    least = least_gap(motion, size, rng, 24)
    for name, rule in (RULES | {"best": cell_bound}).items():
        low = rule(motion.local(size), normal, edge).low
        assert not np.isnan(low).any(), name
        assert np.all(least >= low - EXACT), name


def carried(name: str, cells: Local, normal: Floats, edge: Floats, pose: Pose) -> Floats:
    """Where a rule has brought the middle's normal by the time of a pose, of any length."""
    if name == "held":
        return normal
    if name == "face":
        return pose.axis * np.where(dot(normal, cells.axis) < 0.0, -1.0, 1.0)
    if name == "tread":
        across = normal - dot(normal, cells.axis) * cells.axis
        return across - dot(across, pose.axis) * pose.axis
    if name == "crossing":
        sign = np.where(dot(np.cross(cells.axis, edge), normal) < 0.0, -1.0, 1.0)
        return sign * np.cross(pose.axis, pose.edge if cells.edge_motion is not None else edge)
    across = unit(normal - dot(normal, edge) * edge)
    return across - dot(across, pose.edge) * edge


def dot(one: Floats, other: Floats) -> Floats:
    return (one * other).sum(axis=1, keepdims=True)


@pytest.mark.parametrize("hull", HULLS)
@pytest.mark.parametrize("rule", RULES)
def test_with_no_remainder_to_spare_a_rule_stays_under_the_gap_across_its_own_normal(rule: str, hull: str) -> None:
    rng = np.random.default_rng(len(hull) + 1)
    for _ in range(3):
        cells, pose = tightest(rng, 4000, hull)
        core = (cells.half_length, cells.radius)
        middle = separation(cells.axis, *core, cells.corners)
        for normal in (middle.normal, separation(pose.axis, *core, pose.corners).normal):
            low = RULES[rule](cells, normal, middle.edge).low
            rows = np.isfinite(low)
            assert rows.mean() > 0.3 or (rule == "following" and hull != "moving straight")
            way = unit(carried(rule, cells, normal, middle.edge, pose)[rows])
            gap = support_gap(way, pose.axis[rows], *(part[rows] for part in core), pose.corners[rows])
            assert np.all(gap >= low[rows] - 1e-8)


@pytest.mark.parametrize("hull", HULLS)
def test_the_best_rule_counts(hull: str) -> None:
    rng = np.random.default_rng(2)
    motion = random_motion(rng, 500, hull)
    local = motion.local(rng.uniform(0.0, 0.3, (500, 3)))
    lows = np.stack([rule(local, *best_way(motion)).low for rule in RULES.values()])
    best = cell_bound(local, *best_way(motion))
    assert best.low == pytest.approx(lows.max(axis=0))
    # None of the rules is idle.
    wins = {name for name, low in zip(RULES, lows, strict=True) if np.any(low >= lows.max(axis=0))}
    assert wins >= set(RULES) - (set() if hull == "moving straight" else {"following"})


@pytest.mark.parametrize("hull", HULLS)
def test_in_a_single_pose_the_bound_is_the_distance(hull: str) -> None:
    motion = random_motion(np.random.default_rng(8), 600, hull)
    nothing = np.zeros((600, 3))
    low = cell_bound(motion.local(nothing), *best_way(motion)).low
    assert low == pytest.approx(motion.separation(nothing).gap, abs=EXACT)


def loss(motion: Motion, rule: Rule, size: float) -> float:
    """How far the bound of a cell lies under the least distance on a grid over it, corners included."""
    low = rule(motion.local(np.full((1, 3), size)), *best_way(motion)).low[0]
    grid = np.array(list(product(np.linspace(-size, size, 9), repeat=3)))
    return float(motion.repeated(len(grid)).separation(grid).gap.min() - low)


TURN, HULL_TURN = (0.2, 0.0, 0.3), (0.1, 0.2, -0.2)
SHIFT = ((60.0, 0.0, 0.0), (0.0, 60.0, 0.0), (0.0, 0.0, 60.0))
TOUCHING = {
    "rim against a straight": ("held", [(-800, 250, 560), (800, 180, 480)], {}),
    "rim against a wall": ("held", [(-2000, 600, 200), (2000, 600, 200), (0, -400, 1600)], {}),
    "flat side against a corner": ("face", [(100, 180, 150), (300, 900, 400)], {}),
    "flat side against a turning end": ("face", [(100, 180, 150), (300, 900, 400)], {"hull_turn": HULL_TURN}),
    "tread against a corner": ("tread", [(200, 30, 500), (300, 60, 1200)], {}),
    "tread against a panel's corner": ("tread", [(200, 30, 500), (300, 60, 1200), (-100, 90, 1200)], {}),
    "tread across a straight": ("crossing", [(-900, -300, 450), (900, 340, 470)], {}),
    "link across a straight": ("crossing", [(-900, -30, 60), (900, 50, 80)], {"half": 400.0, "radius": 0.0}),
    "tread across a turning straight": ("crossing", [(-900, -300, 450), (900, 340, 470)], {"hull_turn": HULL_TURN}),
    "rim against a turning straight": ("following", [(-800, 250, 560), (800, 180, 480)], {"hull_turn": HULL_TURN}),
}  # fmt: skip
"""Kinds of touching: the rule each is for, and the hull's corners past a core at the origin with its axis along y."""


@pytest.mark.parametrize("touching", TOUCHING)
def test_halving_a_cell_quarters_the_loss_in_the_touching_that_a_rule_is_for(touching: str) -> None:
    rule, corners, more = TOUCHING[touching]
    motion = one_motion(corners, shift=SHIFT, turn=TURN, **more)
    for taken in (RULES[rule], cell_bound):
        coarse, fine = loss(motion, taken, 0.04), loss(motion, taken, 0.02)
        assert 0.0 <= fine < 0.25
        assert fine < coarse / 3.6


@pytest.mark.parametrize("touching", [name for name, (rule, *_) in TOUCHING.items() if rule != "held"])
def test_no_other_rule_does_it_there(touching: str) -> None:
    rule, corners, more = TOUCHING[touching]
    motion = one_motion(corners, shift=SHIFT, turn=TURN, **more)
    others = [other for name, other in RULES.items() if name != rule]
    coarse, fine = (min(loss(motion, other, size) for other in others) for size in (0.04, 0.02))
    assert fine > coarse / 2.5
    assert fine > 3.0 * loss(motion, RULES[rule], 0.02)


@pytest.mark.parametrize("lean", [0.9, 0.99, 0.997, 0.9995, 0.99999])
@pytest.mark.parametrize("hull_turn", [None, HULL_TURN])
def test_a_rim_that_meets_a_straight_at_a_few_degrees_to_the_axis_closes_in(
    lean: float, hull_turn: tuple[float, float, float] | None
) -> None:
    # Where the normal all but lies along the axis, the rim's support bends without bound: a tangent there is useless.
    aside = np.sqrt(1.0 - lean * lean)
    normal = np.array([0.0, lean, aside])
    point = np.array([0.0, 100.0, 400.0]) + 60.0 * normal
    along = unit(np.array([1.0, 0.2 * aside, -0.2 * lean]))
    motion = one_motion([point - 700 * along, point + 700 * along], shift=SHIFT, turn=TURN, hull_turn=hull_turn)
    assert motion.separation(np.zeros((1, 3))).normal[0, 1] == pytest.approx(lean, abs=2e-3)
    losses = [loss(motion, cell_bound, size) for size in (0.08, 0.04, 0.02, 0.01)]
    # At FLATTEST the tangent stays this far over the rim, in cells of any size.
    floor = motion.radius[0] * FLATTEST / 2.0
    for coarse, fine in pairwise(losses):
        assert fine < 0.6 * coarse + floor
    assert losses[-1] < (0.25 if lean < 0.9999 else 1.5)


@pytest.mark.parametrize("hull", HULLS)
def test_a_part_of_a_cell_is_bounded_no_lower(hull: str) -> None:
    rng = np.random.default_rng(3)
    motion = random_motion(rng, 800, hull)
    size = rng.uniform(0.0, 0.5, (800, 3))
    whole = cell_bound(motion.local(size), *best_way(motion)).low
    part = cell_bound(motion.local(size * rng.uniform(0.2, 1.0, (800, 3))), *best_way(motion)).low
    assert np.all(part >= whole - EXACT)


@pytest.mark.parametrize("hull", HULLS)
def test_the_slope_leads_to_where_a_small_cell_is_lowest(hull: str) -> None:
    motion = random_motion(np.random.default_rng(4), 400, hull)
    size = np.full((400, 3), 1e-3)
    step = np.sign(cell_bound(motion.local(size), *best_way(motion)).slope) * size
    moving = np.any(step != 0.0, axis=1)
    assert moving.mean() > 0.9
    # Where two corners or rules are as near, the slope is that of one of them.
    assert np.mean(motion.separation(-step).gap[moving] < motion.separation(step).gap[moving]) > 0.95


def test_a_longer_core_is_bounded_no_higher() -> None:
    rng = np.random.default_rng(6)
    motion = random_motion(rng, 500, "straight")
    size = rng.uniform(0.0, 0.2, (500, 3))
    longer = Motion(motion.axis, motion.middle, motion.shape, motion.half_length + 20.0, motion.radius)
    way = best_way(motion)
    assert np.all(cell_bound(longer.local(size), *way).low <= cell_bound(motion.local(size), *way).low + 1e-9)
