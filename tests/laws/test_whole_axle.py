"""Laws of all that an axle carries: what is said of any two of its parts holds for every pose that is left to it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import axle_problems, check_axle, travel_box
from geometry.contact.findings import Approach
from geometry.contact.own_pairs import PARTNERS
from geometry.contact.search import closest_approaches
from geometry.motion.steer_lock import steer_range
from geometry.rig.axle import Axle
from geometry.rig.build import Build
from geometry.rig.driveline import Driveshaft
from geometry.rig.parts import Bar, Node
from geometry.rig.rig import Rig
from geometry.rig.steer_gear import Ram
from tests.geometry.motion.ties import tied
from tests.laws.exact import clearances, exact_poses
from tests.laws.random_rigs import random_rig
from tests.laws.strokes import limited

ROUNDING = 1e-4
"""Pose map's error and double precision together [mm]."""

POSES, FEW = 3000, 50
"""Poses for pairs that come near, and for those that do not [-]."""

SEEDS = (1, 3, 5)
OWN = {"link_own", "shock_own", "shaft_own", "tie_rod_own", "tire_tie_rod"}


@lru_cache
def driven(seed: int) -> tuple[Rig, tuple[Approach, ...]]:
    """A steered axle with shocks, stops, straps, tie rod, ram and driveshaft in a random cage, and its answers."""
    rig, rng = random_rig(seed, bars=10, panels=2), np.random.default_rng([seed, 7])
    axle = tied(limited(rig.axles[0], rng), "tie rod behind" if seed % 4 == 1 else "tie rod ahead")
    x, y, z = rng.uniform((680.0, 270.0, 470.0), (760.0, 320.0, 520.0)).tolist()
    shaft = Driveshaft(diameter=float(rng.uniform(50.0, 90.0)), joint_room=float(rng.uniform(40.0, 100.0)))
    ram = Ram(forward=-190.0, up=60.0, stroke=200.0, length=300.0, eyes=700.0, arm=(-165.0, -110.0, 30.0))
    steering = replace(axle.steering, ram=ram)
    axle = replace(axle, build=Build(transfer_output=(x, y, z)), driveshaft=shaft, steering=steering)
    ends = (Node(id="under0", at=(420.0, -300.0, 400.0)), Node(id="under1", at=(420.0, 250.0, 380.0)))
    under = Bar(id="under", nodes=("under0", "under1"), od=40.0, wall=2.0)
    rig = replace(rig, axles=(axle,), nodes=rig.nodes + ends, bars=(*rig.bars, under))
    return rig, check_axle(rig, axle)


def poses_left(axle: Axle, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Random poses that shocks, stops and straps leave, full lock among them."""
    rng, (low, high) = np.random.default_rng(seed), steer_range(axle)
    left, right = rng.uniform(-axle.droop, axle.bump, (2, POSES))
    steer = np.clip(rng.uniform(1.2 * low, 1.2 * high, POSES), low, high)
    reach = travel_box(axle).reach
    held = np.ones(POSES, dtype=bool) if reach is None else reach.holds(left, right)
    return left[held], right[held], steer[held]


@pytest.mark.parametrize("seed", SEEDS)
def test_no_pose_left_comes_below_low(seed: int) -> None:
    rig, found = driven(seed)
    axle = rig.axles[0]
    left, right, steer = poses_left(axle, seed)
    poses, few = exact_poses(axle, left, right), exact_poses(axle, left[:FEW], right[:FEW])
    own = [each for each in found if each.kind in OWN or each.moving.kind == "driveshaft"]
    assert {each.moving.kind for each in own} >= {"link", "shock", "driveshaft", "tie rod"}
    for each in own:
        met = (
            clearances(rig, axle, each, few, steer[:FEW]) if each.beyond else clearances(rig, axle, each, poses, steer)
        )
        assert met.min() >= each.low - ROUNDING, each


def test_random_rigs_have_near_pairs_of_all_kinds() -> None:
    near = {each.kind for seed in SEEDS for each in driven(seed)[1] if not each.beyond}
    assert near >= OWN - {"tire_tie_rod"} | {"shaft_bar"}


@pytest.mark.parametrize("seed", SEEDS)
def test_high_is_met_in_the_pose_given(seed: int) -> None:
    rig, found = driven(seed)
    axle = rig.axles[0]
    for each in found:
        if not each.beyond and (each.kind in OWN or each.moving.kind == "driveshaft"):
            at = each.pose
            pose = exact_poses(axle, np.array([at.left]), np.array([at.right]))
            met = clearances(rig, axle, each, pose, np.array([at.steer]))[0]
            assert met == pytest.approx(each.high, abs=1e-3)
            assert each.settled


def test_every_two_parts_are_named_once() -> None:
    for seed in SEEDS:
        _, found = driven(seed)
        own = [(each.moving, each.fixed) for each in found if each.fixed.kind not in {"bar", "panel"}]
        assert len({frozenset(pair) for pair in own}) == len(own)
        assert all(fixed.kind in PARTNERS[moving.kind] for moving, fixed in own)


def test_a_raised_pinion_changes_no_clearance_of_a_tire() -> None:
    rig, found = driven(1)
    axle = rig.axles[0]
    raised = replace(axle, housing=replace(axle.housing, pinion_rise=90.0, pinion_angle_deg=3.0))
    others = {(each.moving, each.fixed): each for each in check_axle(rig, raised)}
    tires = [each for each in found if each.moving.kind == "tire"]
    assert tires
    assert all(others[each.moving, each.fixed] == each for each in tires)
    shafts = [each for each in found if each.moving.kind == "driveshaft" and not each.beyond]
    assert any(others[each.moving, each.fixed] != each for each in shafts)


def test_what_the_width_does_not_move_is_found_once_and_the_same_at_every_width() -> None:
    rig, found = driven(3)
    wider = replace(rig.axles[0], width=rig.axles[0].width + 30.0)
    again = check_axle(rig, wider)
    for problem in axle_problems(rig, wider):
        moved, still = problem.by_width
        assert not still.scene.widened(still.pairs).any()
        assert moved.scene.widened(moved.pairs).any()
        kept = [each for each in again if any(each is one for one in next(iter(still.known.values())))]
        assert len(kept) == len(still.names)
        assert all(any(each is one for one in found) for each in kept)
        fresh = closest_approaches(still.scene, still.pairs, len(still.names), travel_box(wider), far=still.enough)
        names = {(each.moving, each.fixed): row for row, each in enumerate(still.names)}
        for each in kept:
            row = names[each.moving, each.fixed]
            assert each.beyond == bool(fresh.beyond[row])
            assert each.beyond or each.low <= fresh.high[row] + ROUNDING
            assert each.beyond or fresh.low[row] <= each.high + ROUNDING
