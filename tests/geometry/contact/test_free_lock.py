from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import check_axle
from geometry.contact.findings import Approach
from geometry.contact.free_lock import FINEST, FreeLock, free_lock
from geometry.rig.axle import Axle
from geometry.rig.layout import Floats
from geometry.rig.rig import Rig
from geometry.rig.stroke import Strap
from tests.geometry.motion.ties import tied
from tests.laws.exact import clearances, exact_poses
from tests.laws.random_rigs import random_rig

STEERED = {"tire", "tie rod"}
COUNT = 7
POSES = 1500
CASES = ((1, ""), (3, "tie rod behind"), (5, "share"))


@lru_cache
def found(seed: int, tie: str) -> tuple[Rig, Axle, FreeLock, tuple[Approach, ...]]:
    """A random rig without what is in the way straight ahead, and what its tires come too near to at some steer."""
    rig = random_rig(seed, bars=60, panels=4)
    axle = tied(rig.axles[0], tie) if tie else rig.axles[0]
    # small enough for the tie rod behind it
    axle = replace(axle, housing=replace(axle.housing, centre_radius=100.0))
    straight = replace(axle, steering=replace(axle.steering, lock_left_deg=0.0, lock_right_deg=0.0))
    gone = {each.fixed.id for each in too_near(rig, straight)}
    rig = replace(
        rig,
        bars=tuple(bar for bar in rig.bars if bar.id not in gone),
        panels=tuple(panel for panel in rig.panels if panel.id not in gone),
    )
    free = free_lock(rig, axle, COUNT)
    assert free is not None
    return rig, axle, free, too_near(rig, axle)


def too_near(rig: Rig, axle: Axle) -> tuple[Approach, ...]:
    return tuple(each for each in check_axle(rig, axle) if each.moving.kind in STEERED and each.low < each.wanted)


def margins(rig: Rig, axle: Axle, pairs: tuple[Approach, ...], left: Floats, right: Floats, steer: Floats) -> Floats:
    """Least clearance over the wanted one of what steers, exactly."""
    poses = exact_poses(axle, left, right)
    each = [clearances(rig, axle, pair, poses, steer) - pair.wanted for pair in pairs]
    return np.asarray(np.min(each, axis=0))


@pytest.mark.parametrize(("seed", "tie"), CASES)
def test_no_random_pose_with_less_steer_than_the_free_lock_lacks_clearance(seed: int, tie: str) -> None:
    rig, axle, free, pairs = found(seed, tie)
    rng = np.random.default_rng(seed)
    assert np.mean((np.array(free.left) > 0.0) & (np.array(free.left) < free.lock_left)) > 0.2
    left, right = rng.uniform(-axle.droop, axle.bump, (2, POSES))
    column, row = (np.searchsorted(free.edges, each) - 1 for each in (left, right))
    for sign, rows in ((1.0, free.left), (-1.0, free.right)):
        limit = np.array(rows)[row, column]
        steer = sign * limit * rng.uniform(0.0, 1.0, len(limit)) ** 0.3
        lost = margins(rig, axle, pairs, left, right, steer) < -1e-6
        assert not np.any(lost & (limit > 0.0))


@pytest.mark.parametrize(("seed", "tie"), CASES)
def test_a_little_beyond_the_free_lock_some_pose_of_the_cell_lacks_clearance(seed: int, tie: str) -> None:
    rig, axle, free, pairs = found(seed, tie)
    edges, part = np.array(free.edges), np.linspace(0.0, 1.0, 4)
    seen = 0
    for sign, rows, lock in ((1.0, free.left, free.lock_left), (-1.0, free.right, free.lock_right)):
        for row, column in np.argwhere(np.array(rows) < lock)[::8]:
            step = edges[1] - edges[0]
            left, right = (each.ravel() for each in np.meshgrid(edges[column] + step * part, edges[row] + step * part))
            beyond = sign * np.minimum(np.linspace(0.0, 2.0 * FINEST, 5) + rows[row][column], lock)
            every = (np.tile(left, 5), np.tile(right, 5), np.repeat(beyond, len(left)))
            assert margins(rig, axle, pairs, *every).min() < 1.0
            seen += 1
    assert seen > 3


def test_the_stop_is_free_everywhere_and_the_pair_that_ends_it_is_named() -> None:
    rig, axle, free, _ = found(3, "tie rod behind")
    assert axle.steering is not None
    stop = min(float(np.nanmax(np.array(free.left))), free.stop_left)
    stops = {"lock_left_deg": float(np.degrees(stop)), "lock_right_deg": 0.0}
    stopped = replace(axle, steering=replace(axle.steering, **stops))
    assert free.stop_left == 0.0 or not any(each.high < each.wanted for each in too_near(rig, stopped))
    first = free.ended_by("left")
    assert first is not None
    assert first in {name for row in free.left_pair for name in row}
    for rows, pairs, lock in (
        (free.left, free.left_pair, free.lock_left),
        (free.right, free.right_pair, free.lock_right),
    ):
        for values, names in zip(rows, pairs, strict=True):
            for value, name in zip(values, names, strict=True):
                assert (name is None) == (value == lock)
                assert name is None or name.moving.kind in {"tire", "tie rod"}


def test_a_rig_without_a_chassis_has_all_of_its_lock() -> None:
    rig = random_rig(3, bars=5, panels=1)
    small = replace(rig.axles[0], steering=replace(rig.axles[0].steering, lock_left_deg=10.0, lock_right_deg=12.0))
    free = free_lock(Rig(name="", axles=(small,)), small, 5)
    assert free is not None
    assert free.complete
    assert free.free.all()
    assert free.ended_by("left") is None
    assert (free.stop_left, free.stop_right) == (free.lock_left, free.lock_right)
    assert free.bump_for_full_lock() == pytest.approx(small.bump)
    assert free.droop_for_full_lock() == pytest.approx(small.droop)


def test_the_bump_that_frees_the_full_lock_does_and_more_of_it_does_not() -> None:
    rig, axle, _, _ = found(5, "share")
    short = replace(axle, steering=replace(axle.steering, lock_left_deg=6.0, lock_right_deg=6.0))
    free = free_lock(rig, short, COUNT)
    assert free is not None
    assert not free.free.all()
    bump = free.bump_for_full_lock()
    assert bump is not None
    assert 0.0 <= bump < short.bump
    limited, beyond = (free_lock(rig, replace(short, bump=each), COUNT) for each in (bump, short.bump))
    assert limited is not None
    assert beyond is not None
    assert limited.free.all()
    assert not beyond.free.all()


def test_where_straps_end_the_travel_there_is_no_free_lock_to_tell() -> None:
    rig = random_rig(3, bars=2, panels=0)
    axle = rig.axles[0]
    strap = Strap(id="strap", chassis=(0.0, 300.0, 900.0), axle=(0.0, 300.0, 520.0), length=420.0, mirrored=True)
    free = free_lock(rig, replace(axle, straps=(strap,)), 9)
    assert free is not None
    gone = np.isnan(np.array(free.left))
    assert gone[0, 0]
    assert not gone[-1, -1]


def test_an_axle_that_does_not_steer_and_one_told_to_give_up_have_none() -> None:
    rig = random_rig(0, bars=2, panels=0)
    assert free_lock(rig, rig.axles[0]) is None
    rig = random_rig(3, bars=2, panels=0)
    assert free_lock(rig, rig.axles[0], 5, give_up=lambda: True) is None
