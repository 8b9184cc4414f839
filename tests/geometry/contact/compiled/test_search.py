"""Both searches say the same, and what the compiled one says holds for every pose."""

from __future__ import annotations

from dataclasses import fields, replace
from pathlib import Path

import msgspec
import numpy as np
import pytest
from msgspec.structs import replace as replace_struct

from geometry.contact.axle_check import Problem, at_width, axle_problems, reference_width, travel_box
from geometry.contact.compiled import ready
from geometry.contact.search import Box, Closest, closest_approaches, first_cells, sight
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE, FAR, OVERLAP_SHARE
from tests.laws.random_rigs import random_rig
from tests.laws.strokes import limited_rig

pytestmark = pytest.mark.usefixtures("kernels")

ROUNDING = 1e-4
"""As in the laws of the whole travel [mm]."""

RANDOM_RIGS = range(20)
DEMO_RIGS = sorted((Path(__file__).parents[4] / "assets").glob("*.rig.json"))


def both(problem: Problem, box: Box, **asked: float) -> tuple[Closest, Closest]:
    of = (problem.scene, problem.pairs, len(problem.names), box)
    return ready.compiled_approaches(*of, **asked), closest_approaches(*of, **asked)


def assert_same(problem: Problem, box: Box, **asked: float) -> None:
    found, plain = both(problem, box, **asked)
    far = asked.get("far", FAR)
    assert np.all(found.low <= plain.high + ROUNDING)
    assert np.all(plain.low <= found.high + ROUNDING)
    assert np.all(found.low <= found.high)
    assert found.settled.all()
    assert plain.settled.all()
    # Where the true value lies within the tolerance of far, one may prove what the other need not.
    clear_cut = np.abs(np.minimum(found.high, plain.high) - far) > asked.get("tolerance", CLEARANCE)
    assert np.array_equal(found.beyond[clear_cut], plain.beyond[clear_cut])
    wide = np.maximum(asked.get("tolerance", CLEARANCE), -OVERLAP_SHARE * found.high)
    assert np.all((found.high - found.low <= wide + 1e-9) | found.beyond)


@pytest.mark.parametrize("seed", RANDOM_RIGS)
def test_random_rigs_get_the_same_answer(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    for problem in axle_problems(rig, axle):
        assert_same(problem, travel_box(axle))


@pytest.mark.parametrize("seed", range(6))
def test_both_keep_to_the_travel_that_shocks_stops_and_straps_leave(seed: int) -> None:
    rig = limited_rig(seed)
    axle = rig.axles[seed % 2]
    box = travel_box(axle)
    assert box.reach is not None
    for problem in axle_problems(rig, axle):
        assert_same(problem, box)
        for found in both(problem, box):
            near = ~found.beyond
            assert box.reach.holds(found.pose[near, 0], found.pose[near, 1]).all()


@pytest.mark.parametrize("path", DEMO_RIGS, ids=lambda path: path.stem)
def test_demo_rigs_get_the_same_answer_at_every_width(path: Path) -> None:
    rig = msgspec.json.decode(path.read_bytes(), type=Rig)
    for axle in rig.axles:
        for change in (-60.0, 0.0, 45.0):
            box = at_width(travel_box(axle), axle.width - reference_width(axle) + change)
            for problem in axle_problems(rig, axle, 100.0):
                assert_same(problem, box)


@pytest.mark.parametrize("seed", [1, 4])
def test_finer_and_coarser_tolerances_get_the_same_answer(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    for problem in axle_problems(rig, axle):
        assert_same(problem, travel_box(axle), tolerance=2.0, far=40.0)
        assert_same(problem, travel_box(axle), tolerance=0.05)


@pytest.mark.parametrize("seed", [1, 2])
def test_one_group_of_all_pairs_gets_the_least_of_their_answers(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    for problem in axle_problems(rig, axle):
        pairs = replace(problem.pairs, group=np.zeros_like(problem.pairs.group))
        whole = ready.compiled_approaches(problem.scene, pairs, 1, travel_box(axle))
        each = both(problem, travel_box(axle))[0]
        assert whole.high[0] == pytest.approx(each.high.min(), abs=CLEARANCE - OVERLAP_SHARE * min(each.high.min(), 0))
        assert problem.pairs.group[whole.pair[0]] in np.flatnonzero(each.low <= whole.high[0] + ROUNDING)


@pytest.mark.parametrize("seed", [0, 3])
def test_high_is_met_in_the_pose_and_by_the_pair_given(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    for problem in axle_problems(rig, axle):
        found = both(problem, travel_box(axle))[0]
        near = ~found.beyond
        assert np.array_equal(problem.pairs.group[found.pair], np.arange(len(problem.names)))
        if near.any():
            met = distances(problem, found.pair[near], found.pose[near])
            np.testing.assert_allclose(met, found.high[near], atol=1e-6)


@pytest.mark.parametrize("seed", RANDOM_RIGS)
def test_no_random_pose_comes_below_low(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    poses = random_poses(axle, np.random.default_rng(seed), 1500)
    for problem in axle_problems(rig, axle):
        found = both(problem, travel_box(axle))[0]
        for pair in np.flatnonzero(~found.beyond[problem.pairs.group]):
            least = distances(problem, np.full(len(poses), pair), poses).min()
            assert least >= found.low[problem.pairs.group[pair]] - 1e-6


def test_two_runs_say_the_same_to_the_last_digit() -> None:
    rig = random_rig(5)
    axle = rig.axles[0]
    for problem in axle_problems(rig, axle):
        one, other = (both(problem, travel_box(axle))[0] for _ in range(2))
        for field in fields(Closest):
            assert np.array_equal(getattr(one, field.name), getattr(other, field.name)), field.name


def test_giving_up_leaves_bounds_that_hold_and_says_so() -> None:
    rig = random_rig(5)
    axle = rig.axles[0]
    problem = axle_problems(rig, axle)[0]
    full = both(problem, travel_box(axle))[0]
    early = ready.compiled_approaches(
        problem.scene, problem.pairs, len(problem.names), travel_box(axle), give_up=lambda: True
    )
    assert not early.settled.all()
    assert np.all(early.low <= full.high + ROUNDING)
    assert np.all(full.low <= early.high + ROUNDING)


def test_too_many_cells_leave_bounds_that_hold_and_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    rig = random_rig(5)
    axle = rig.axles[0]
    problem = axle_problems(rig, axle)[0]
    full = both(problem, travel_box(axle))[0]
    monkeypatch.setattr(ready, "MOST_CELLS", 300)
    few = both(problem, travel_box(axle))[0]
    assert not few.settled.all()
    assert np.all(few.low <= full.high + ROUNDING)
    assert np.all(full.low <= few.high + ROUNDING)


def test_running_out_of_cells_says_the_same_in_every_run(monkeypatch: pytest.MonkeyPatch) -> None:
    # Once the thread that ran out first stopped the other one wherever that was.
    problem = axle_problems(random_rig(5), random_rig(5).axles[0])[0]
    monkeypatch.setattr(ready, "MOST_CELLS", 300)
    one, *others = (both(problem, travel_box(random_rig(5).axles[0]))[0] for _ in range(10))
    for other in others:
        assert np.array_equal(one.low, other.low)
        assert np.array_equal(one.settled, other.settled)


@pytest.mark.parametrize("seed", [5, 7])
def test_depths_without_end_leave_no_pair_unknown_that_is_apart(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rig = random_rig(seed)
    problem = axle_problems(rig, rig.axles[0])[0]
    monkeypatch.setattr(ready, "FAIR", 300)
    monkeypatch.setattr(ready, "MOST_CELLS", 20_000)
    found = both(problem, travel_box(rig.axles[0]), overlap_share=0.0)[0]
    assert not found.settled.all()
    assert found.settled[found.high > 0.0].all()


def test_an_axle_that_rolls_far_gets_the_same_answer() -> None:
    rig = random_rig(1, bars=6, panels=1)
    axle = replace_struct(rig.axles[0], stop_station=200.0, bump=225.0, droop=150.0, steering=None)
    for problem in axle_problems(rig, axle):
        assert problem.scene.movers.pose_map.degree > 20
        found, plain = both(problem, travel_box(axle))
        assert np.all(found.low <= plain.high + ROUNDING)
        assert np.all(plain.low <= found.high + ROUNDING)


@pytest.mark.parametrize("way", [0, 1])
def test_from_afar_both_searches_say_the_same(way: int) -> None:
    from geometry.contact.compiled import search

    rig = random_rig(1, bars=8, panels=1)
    axle = replace_struct(rig.axles[0], stop_station=200.0, bump=225.0, droop=150.0)
    for problem in axle_problems(rig, axle):
        box = replace(travel_box(axle), size=np.array([150.0, 150.0, 0.3]) * (np.eye(3)[way] + np.eye(3)[2]))
        tables = search.tables(problem.scene, problem.pairs, len(problem.names), float(box.middle[3]), None)
        found = np.full((len(problem.names), search.COLUMNS), np.inf)
        frame = search.frame(problem.scene, box, (CLEARANCE, OVERLAP_SHARE))
        search.first_look(frame, tables, search.new_desk(tables), found)
        seen = sight(problem.scene, problem.pairs, first_cells(problem.scene, problem.pairs, box), box)
        assert tables.pairs[:, search.AFAR] == pytest.approx(seen.low, abs=1e-6)


@pytest.mark.parametrize("extra", [-60.0, 0.0, 30.0])
@pytest.mark.parametrize("seed", range(5))
def test_an_answer_in_short_holds_what_is_short_and_what_was_asked_for_or_else_the_nearest(
    seed: int, extra: float
) -> None:
    rig = random_rig(seed, bars=12, panels=2)
    axle = rig.axles[0]
    problems, box = axle_problems(rig, axle), travel_box(axle)
    wholes = [ready.compiled_approaches(p.scene, p.pairs, len(p.names), box, far=1e4) for p in problems]
    wanted = [problem.wanted + extra for problem in problems]
    asked_for = [np.arange(len(problem.names)) % 7 == 3 for problem in problems]
    parts = [(p.scene, p.pairs, more, asked) for p, more, asked in zip(problems, wanted, asked_for, strict=True)]
    shorts = ready.short_approaches(parts, box)
    any_short = any(np.any(whole.high < more) for whole, more in zip(wholes, wanted, strict=True))
    nearest = min((whole.high - more).min() for whole, more in zip(wholes, wanted, strict=True))
    for short, whole, more, asked in zip(shorts, wholes, wanted, asked_for, strict=True):
        kept = ~short.beyond
        slack = np.maximum(CLEARANCE, -OVERLAP_SHARE * whole.high) + ROUNDING
        exact = kept & ~(asked & (whole.high > FAR - 1.0))
        assert np.all(kept[asked | (whole.high < more)])
        assert np.all(np.abs(short.low - whole.low)[exact] <= slack[exact])
        assert np.all((whole.high >= more - slack)[short.beyond])
        if not any_short:
            assert np.all((whole.high - more)[short.beyond] >= nearest - CLEARANCE - ROUNDING)
    if not any_short:
        least = min(
            (short.low - more)[~short.beyond].min(initial=np.inf) for short, more in zip(shorts, wanted, strict=True)
        )
        assert least == pytest.approx(nearest, abs=CLEARANCE + ROUNDING)


def test_the_kernels_are_compiled_for_one_kind_of_arguments() -> None:
    from geometry.contact.compiled import search

    assert len(search.search_groups.signatures) == 1
    assert len(search.first_look.signatures) == 1


def distances(problem: Problem, pair: np.ndarray, poses: np.ndarray) -> np.ndarray:
    from geometry.contact.distance import separation

    of = problem.pairs.rows(pair)
    view = problem.scene.view(of.mover, of.piece, poses)
    return separation(view.axis, view.half_length, view.radius, view.corners).gap - of.shrink


def random_poses(axle: Axle, rng: np.random.Generator, count: int) -> np.ndarray:
    """Poses spread over the box and its corners, in the search's own freedoms."""
    box = travel_box(axle)
    u = np.clip(rng.uniform(-1.3, 1.3, (count, len(box.size))), -1.0, 1.0) * box.size
    return box.poses(np.zeros(count, dtype=np.intp), u)
