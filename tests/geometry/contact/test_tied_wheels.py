"""What the search rests on when a tie rod or a share turns the outer wheel: places, slopes, bounds, and answers."""

from __future__ import annotations

from dataclasses import replace as with_fields
from functools import lru_cache

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact import width
from geometry.contact.axle_check import axle_problems, check_axle, reference_width, steerable_widths, travel_box
from geometry.contact.movers import STEER, Movers
from geometry.contact.search import closest_approaches
from geometry.contact.solids import TIE_ROD_ROOM, steering_solids, tire_solids
from geometry.motion.linkage import linkage_of
from geometry.motion.placement import place
from geometry.motion.pose_map import pose_map
from geometry.motion.steer_lock import steer_range
from geometry.motion.steering import at_steer, knuckle_rows, wheel_steer
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle
from geometry.rig.layout import Floats, Side
from geometry.rig.parts import Bar, Node
from geometry.rig.steer_gear import Ram, TieRod
from geometry.rig.turn_law import turn_law
from tests.geometry.motion.axles import STEERING, axle
from tests.geometry.motion.ties import TIES, tied
from tests.laws.exact import clearances, exact_poses, random_travel
from tests.laws.random_rigs import random_rig

REACH = 150.0
"""Change of width up to which the bounds are asked to hold [mm]."""


@lru_cache
def made(tie: str) -> tuple[Axle, Movers]:
    drawn = tied(axle(steering=STEERING), tie)
    solids = [*tire_solids(drawn), *steering_solids(drawn)]
    most = max(map(abs, steer_range(drawn)))
    return drawn, Movers(solids, pose_map(linkage_of(drawn)), REACH, turn_law(drawn), most)


def random_poses(drawn: Axle, seed: int, count: int, share: float = 1.0) -> Floats:
    right, left = steer_range(drawn)
    low = np.array([-drawn.droop, -drawn.droop, right, -REACH])
    high = np.array([drawn.bump, drawn.bump, left, REACH])
    return share * np.random.default_rng(seed).uniform(low, high, (count, 4))


def rows(movers: Movers, poses: Floats) -> tuple[Floats, Floats]:
    count = len(movers.solids)
    return np.tile(np.arange(count), len(poses)), np.repeat(poses, count, axis=0)


@pytest.mark.parametrize("tie", TIES)
def test_both_tires_are_where_the_exact_pose_puts_them(tie: str) -> None:
    drawn, movers = made(tie)
    for q in random_poses(drawn, 1, 20):
        left, right, steer, change = (float(value) for value in q)
        tires = place(replace(drawn, width=drawn.width + change), TravelPose(left, right, steer)).tires
        got = movers.at(*rows(movers, q[None]))
        for row, tire in enumerate(tires):
            assert got.centre[row] == pytest.approx(tire.centre, abs=movers.margin + 1e-9)
            assert got.axis[row] == pytest.approx(tire.axis, abs=1e-6)
            values = movers.pose_map.evaluate(q[:1], q[1:2])[0]
            centre, axis = movers.on(values, row, steer, change)
            assert centre[0] == pytest.approx(got.centre[row])
            assert axis[0] == pytest.approx(got.axis[row])


@pytest.mark.parametrize("tie", [tie for tie in TIES if tie != "share"])
def test_the_tie_rod_is_where_both_knuckles_hold_it(tie: str) -> None:
    drawn, movers = made(tie)
    for q in random_poses(drawn, 4, 20):
        left, right, steer, change = (float(value) for value in q)
        wider = replace(drawn, width=drawn.width + change)
        balls = tie_rod_balls(wider, left, right, steer)
        got = movers.at(np.array([2]), q[None])
        half = movers.half_at(np.array([2]), q[3:])[0] + TIE_ROD_ROOM
        assert np.linalg.norm(balls[0] - balls[1]) == pytest.approx(2.0 * half)
        ends = got.centre + np.array([[half], [-half]]) * got.axis
        assert ends == pytest.approx(balls, abs=movers.margin + 1e-6)
        centre, axis = movers.on(movers.pose_map.evaluate(q[:1], q[1:2])[0], 2, steer, change)
        assert (centre[0], axis[0]) == (pytest.approx(got.centre[0]), pytest.approx(got.axis[0]))


def tie_rod_balls(drawn: Axle, left: float, right: float, steer: float) -> Floats:
    assert drawn.steering is not None
    assert drawn.steering.tie_rod is not None
    placed = place(drawn, TravelPose(left, right, steer))
    sides: tuple[Side, Side] = ("left", "right")
    return np.array(
        [
            placed.to_rig(
                at_steer(
                    knuckle_rows(drawn, drawn.steering, side, drawn.steering.tie_rod.arm),
                    wheel_steer(drawn, side, steer),
                )
            )
            for side in sides
        ]
    )


@pytest.mark.parametrize("tie", TIES)
def test_slopes_are_those_of_places_and_axes(tie: str) -> None:
    drawn, movers = made(tie)
    which, poses = rows(movers, random_poses(drawn, 2, 40, 0.95))
    got = movers.at(which, poses)
    for freedom, step in enumerate((1e-2, 1e-2, 1e-5, 1e-2)):
        ahead, behind = (movers.at(which, poses + sign * step * np.eye(4)[freedom]) for sign in (1.0, -1.0))
        assert (ahead.centre - behind.centre) / (2.0 * step) == pytest.approx(
            got.centre_slope[:, :, freedom], abs=1e-6 * 500.0
        )
        assert (ahead.axis - behind.axis) / (2.0 * step) == pytest.approx(got.axis_slope[:, :, freedom], abs=2e-6)


@pytest.mark.parametrize("tie", TIES)
def test_second_derivatives_stay_under_their_bounds(tie: str) -> None:
    drawn, movers = made(tie)
    which, poses = rows(movers, random_poses(drawn, 3, 300, 0.999))
    for freedom, step in enumerate((1e-2, 1e-2, 1e-5, 1e-2)):
        way = step * np.eye(4)[freedom]
        ahead, behind = movers.at(which, poses + way), movers.at(which, poses - way)
        for slopes, bound in (("centre_slope", movers.centre_curvature), ("axis_slope", movers.axis_curvature)):
            second = np.abs(getattr(ahead, slopes) - getattr(behind, slopes)) / (2.0 * step)
            assert np.all(second <= bound[which, :, :, freedom] * (1.0 + 1e-6) + 1e-7)
            if freedom == STEER:
                assert second[:, :, STEER].max() > 0.2 * bound[:, :, STEER, STEER].max()


@pytest.mark.parametrize("tie", TIES)
def test_no_random_pose_comes_below_low(tie: str) -> None:
    rig = random_rig(3, bars=8, panels=2)
    nodes = (Node(id="over", at=(-200.0, -150.0, 690.0)), Node(id="ram", at=(-120.0, 160.0, 700.0)))
    bar = Bar(id="over-the-ram", nodes=("over", "ram"), od=40.0, wall=2.0)
    rig = replace(rig, nodes=rig.nodes + nodes, bars=(*rig.bars, bar))
    ram = Ram(forward=-160.0, up=30.0, stroke=250.0, length=300.0, eyes=750.0, arm=(-165.0, -110.0, 30.0))
    drawn = tied(rig.axles[0], tie)
    drawn = replace(drawn, steering=replace(drawn.steering, ram=ram))
    left, right, steer = random_travel(drawn, np.random.default_rng(5), 4000)
    poses = exact_poses(drawn, left, right)
    kinds = {"tire", "tie rod", "ram"}
    found = [each for each in check_axle(rig, drawn) if each.moving.kind in kinds and not each.beyond]
    assert {each.moving.kind for each in found} == kinds - ({"tie rod"} if tie == "share" else set())
    for approach in found:
        least = clearances(rig, drawn, approach, poses, steer).min()
        assert least >= approach.low - 1e-6
        at = approach.pose
        there = exact_poses(drawn, np.array([at.left]), np.array([at.right]))
        met = clearances(rig, drawn, approach, there, np.array([at.steer]))[0]
        assert met == pytest.approx(approach.high, abs=1e-3)


def test_a_tie_changes_the_answer_and_none_leaves_it_as_it_was() -> None:
    rig = random_rig(3, bars=8, panels=2)
    plain, none, full = (
        closest_approaches(problem.scene, problem.pairs, len(problem.names), travel_box(drawn))
        for drawn in (rig.axles[0], tied(rig.axles[0], "share"), tied(rig.axles[0], "tie rod behind"))
        for problem in axle_problems(rig, drawn)[:1]
    )
    assert not np.array_equal(plain.high, full.high)
    assert not np.array_equal(plain.high, none.high)
    steering = rig.axles[0].steering
    assert steering is not None
    alike = replace(tied(rig.axles[0], "share"))
    assert alike.steering is not None
    assert alike.steering.ackermann is not None
    alike = replace(
        alike, steering=replace(alike.steering, ackermann=replace(alike.steering.ackermann, share_factor=0.0))
    )
    problem = axle_problems(rig, alike)[0]
    again = closest_approaches(problem.scene, problem.pairs, len(problem.names), travel_box(alike))
    assert again.high == pytest.approx(plain.high, abs=1e-9)


def test_where_no_bounds_can_be_proved_nothing_is_said_to_be_clear() -> None:
    drawn, movers = made("tie rod ahead")
    beyond = Movers(list(tire_solids(drawn)), movers.pose_map, REACH, movers.law, 1.45)
    assert beyond.centre_curvature.max() > 1e6
    assert with_fields(movers.bounds, by_steer=1.0) != beyond.bounds


STEEP = TieRod(arm=(170.0, -190.0, 20.0))
"""A rod ahead of the axle whose arms lean inboard: at full lock not far from its dead centre, and nearer on a narrow
axle."""


def test_an_axle_whose_tie_rod_allows_few_widths_is_checked_and_its_curve_ends_with_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(width, "COARSE", 2)
    monkeypatch.setattr(width, "MOST_SAMPLES", 2)
    rig = random_rig(3, bars=3, panels=0)
    steering = replace(rig.axles[0].steering, tie_rod=STEEP, lock_left_deg=29.0, lock_right_deg=29.0)
    steep = replace(rig.axles[0], steering=steering, width=1750.0)
    assert reference_width(steep) == steep.width
    found = check_axle(rig, steep)
    assert all(each.settled for each in found)
    assert any(not each.beyond for each in found)
    low, high = steerable_widths(steep, steep.width - 400.0, steep.width + 100.0)
    assert steep.width - 400.0 < low < steep.width < high
    curve = width.width_curve(replace(rig, axles=(steep,)), steep, steep.width - 400.0, steep.width + 100.0)
    assert curve is not None
    assert (curve.samples[0].width, curve.samples[-1].width) == (low, high)


def test_a_rod_that_is_far_from_its_dead_centre_leaves_all_widths() -> None:
    drawn, _ = made("tie rod behind")
    assert steerable_widths(drawn, 1200.0, 2200.0) == (1200.0, 2200.0)
    assert steerable_widths(axle(steering=STEERING), 100.0, 9000.0) == (100.0, 9000.0)
