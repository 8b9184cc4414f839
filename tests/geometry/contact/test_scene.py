from __future__ import annotations

from dataclasses import replace as changed
from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest

from geometry.contact.axle_check import Problem, axle_problems, travel_box
from geometry.contact.bounds import cell_bound
from geometry.contact.distance import separation
from geometry.contact.movers import WIDTH
from geometry.contact.scene import View, make_pairs
from geometry.rig.layout import Floats
from tests.geometry.contact.lifts import bars, lifted_axle, movers
from tests.laws.random_rigs import random_rig

SEEDS = [0, 1, 5]
ROUNDING = 1e-6
"""What places may miss by that axes are made unit vectors after interpolation [mm]."""
WAYS = np.eye(4)


@lru_cache
def problems(seed: int) -> dict[str, Problem]:
    """Bars, panels and the axle's own links of a random rig, on a steered axle of odd seeds."""
    rig = random_rig(seed)
    return dict(zip(("bar", "panel", "link"), axle_problems(rig, rig.axles[0], 150.0), strict=True))


def random_poses(seed: int, rng: np.random.Generator, count: int) -> tuple[Floats, Floats]:
    """Middles of cells and half their extents that keep inside the travel."""
    box = travel_box(random_rig(seed).axles[0])
    size = np.append(box.size, 0.0)[:3] if len(box.size) == 2 else box.size
    middle, extent = np.append(box.middle[:3], 0.0), np.append(size, 60.0)
    share = rng.uniform(0.0, 1.0, (count, 1)) ** 2
    return middle + extent * rng.uniform(-1.0, 1.0, (count, 4)) * (1.0 - share), extent * share


def rows_of(problem: Problem, rng: np.random.Generator, count: int) -> np.ndarray:
    return rng.integers(0, len(problem.pairs.mover), count)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("kind", ["bar", "panel", "link"])
def test_what_a_cell_is_told_covers_every_pose_in_it(kind: str, seed: int) -> None:
    rng = np.random.default_rng(seed)
    problem = problems(seed)[kind]
    pairs = problem.pairs.rows(rows_of(problem, rng, 2000))
    q, size = random_poses(seed, rng, 2000)
    view = problem.scene.view(pairs.mover, pairs.piece, q)
    local = problem.scene.local(pairs, view, size, size, WAYS)
    for _ in range(4):
        u = rng.uniform(-1.0, 1.0, q.shape) * size
        other = problem.scene.view(pairs.mover, pairs.piece, q + u)
        moved = np.einsum("nvck,nk->nvc", local.corner_slope, u)
        assert np.all(np.abs(other.corners - view.corners - moved) <= local.corner_rest + ROUNDING)
        turned = np.einsum("nck,nk->nc", local.axis_slope, u)
        assert np.all(np.abs(other.axis - view.axis - turned) <= local.axis_rest + ROUNDING)
        assert np.all(other.half_length <= local.half_length + 1e-9)
        if local.edge_motion is not None:
            slope, rest = local.edge_motion
            assert other.edge is not None
            assert view.edge is not None
            assert np.all(np.abs(other.edge - view.edge - np.einsum("nck,nk->nc", slope, u)) <= rest + ROUNDING)


@pytest.mark.parametrize("seed", SEEDS)
def test_along_other_ways_slopes_add_up(seed: int) -> None:
    rng = np.random.default_rng(seed)
    problem = problems(seed)["link"]
    pairs = problem.pairs.rows(rows_of(problem, rng, 100))
    q, size = random_poses(seed, rng, 100)
    view = problem.scene.view(pairs.mover, pairs.piece, q)
    ways = rng.normal(size=(100, 2, 4))
    plain = problem.scene.local(pairs, view, size, size, WAYS)
    own = problem.scene.local(pairs, view, size, size[:, :2], ways)
    one = problem.scene.local(pairs, view, size, size[:, :2], ways[0])
    for row, taken in ((slice(None), own), (slice(0, 1), one)):
        straight = np.einsum("nvcf,nkf->nvck", plain.corner_slope, ways)
        assert taken.corner_slope[row] == pytest.approx(straight[row])
        assert taken.axis_slope[row] == pytest.approx(np.einsum("ncf,nkf->nck", plain.axis_slope, ways)[row])
        assert taken.edge_motion is not None
        assert plain.edge_motion is not None
        turned = np.einsum("ncf,nkf->nck", plain.edge_motion[0], ways)
        assert taken.edge_motion[0][row] == pytest.approx(turned[row])


@pytest.mark.parametrize("seed", SEEDS)
def test_the_edge_of_a_moving_straight_points_as_its_distance_says(seed: int) -> None:
    problem = problems(seed)["link"]
    q, _ = random_poses(seed, np.random.default_rng(seed), len(problem.pairs.mover))
    view = problem.scene.view(problem.pairs.mover, problem.pairs.piece, q)
    assert view.edge is not None
    edge = separation(view.axis, view.half_length, view.radius, view.corners).edge
    point = problem.scene.movers.half_length[problem.pairs.piece] == 0.0
    assert 0 < point.sum() < len(point)
    assert edge[~point] == pytest.approx(view.edge[~point])
    assert not edge[point].any()


def link_loss(problem: Problem, q: Floats, size: float) -> Floats:
    """How far bounds of tires against links lie under the least distance in cells of that share of 100 mm and 1 rad."""
    pairs, scene = problem.pairs, problem.scene
    extent = size * np.array([100.0, 100.0, 1.0, 0.0])
    view = scene.view(pairs.mover, pairs.piece, q)
    met = separation(view.axis, view.half_length, view.radius, view.corners)
    spread = np.tile(extent, (len(q), 1))
    low = cell_bound(scene.local(pairs, view, spread, spread, WAYS), met.normal, met.edge).low
    grid = np.stack(np.meshgrid(*[np.linspace(-1.0, 1.0, 5)] * 3), axis=-1).reshape(-1, 3)
    least = np.full(len(q), np.inf)
    for u in grid:
        at = scene.view(pairs.mover, pairs.piece, q + np.append(u, 0.0) * extent)
        least = np.minimum(least, separation(at.axis, at.half_length, at.radius, at.corners).gap)
    return least - low


@pytest.mark.parametrize("seed", SEEDS)
def test_a_tire_against_a_link_closes_in_at_second_order(seed: int) -> None:
    problem = problems(seed)["link"]
    losses = [link_loss(problem, np.zeros((len(problem.pairs.mover), 4)), size) for size in (0.04, 0.02, 0.01)]
    for coarse, fine in pairwise(losses):
        assert np.all(fine >= -ROUNDING)
        # A pair just between two kinds of touching may still take a halving or two.
        assert np.mean(fine <= coarse / 3.4 + 1e-3) > 0.8


def test_a_core_that_grows_with_the_width_counts_with_its_greatest_length() -> None:
    problem = problems(0)["bar"]
    housing = [solid.part.kind for solid in problem.scene.movers.solids].index("housing")
    pairs = problem.pairs.rows(problem.pairs.mover == housing)
    q, spread = np.zeros((len(pairs.mover), 4)), np.tile([0.0, 0.0, 0.0, 40.0], (len(pairs.mover), 1))
    view = problem.scene.view(pairs.mover, pairs.piece, q)
    local = problem.scene.local(pairs, view, spread, spread[:, WIDTH:], WAYS[WIDTH:])
    assert local.half_length == pytest.approx(view.half_length + 20.0)


def test_pairs_are_grouped_by_mover_and_part_and_shrunk_by_skins_margin_and_wish() -> None:
    pieces = bars(((0.0, -900.0, 1300.0), (0.0, 900.0, 1300.0)), ((500.0, 900.0, 0.0), (500.0, 900.0, 900.0)))
    pieces = changed(pieces, part=np.array([0, 0]), parts=pieces.parts[:1])
    made = movers(lifted_axle())
    pairs, groups = make_pairs(made, (0, 2), pieces)
    assert groups == ((0, 0), (2, 0))
    assert pairs.mover.tolist() == [0, 0, 2, 2]
    assert pairs.piece.tolist() == [0, 1, 0, 1]
    assert pairs.group.tolist() == [0, 0, 1, 1]
    assert pairs.shrink == pytest.approx([55.0, 55.0, 63.1, 63.1])
    wanted, _ = make_pairs(made, (0, 2), pieces, [10.0, 20.0])
    assert wanted.shrink - pairs.shrink == pytest.approx([10.0, 10.0, 20.0, 20.0])
    some = pairs.rows(np.array([1, 3]))
    assert (some.mover.tolist(), some.group.tolist()) == ([0, 2], [0, 1])


def test_rows_of_a_view_are_the_views_of_the_rows() -> None:
    for kind in ("bar", "link"):
        problem = problems(1)[kind]
        rng = np.random.default_rng(9)
        pairs = problem.pairs.rows(rows_of(problem, rng, 50))
        q, _ = random_poses(1, rng, 50)
        keep = rng.uniform(size=50) < 0.5
        some = problem.scene.view(pairs.mover, pairs.piece, q).rows(keep)
        again = problem.scene.view(pairs.mover[keep], pairs.piece[keep], q[keep])
        for name in View.__dataclass_fields__:
            one, other = getattr(some, name), getattr(again, name)
            assert (one is None) == (other is None)
            assert one is None or one == pytest.approx(other)
