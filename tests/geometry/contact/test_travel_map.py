from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import check_axle, travel_box
from geometry.contact.findings import TravelMap
from geometry.contact.travel_map import STEERS, travel_map
from geometry.rig.rig import Rig
from geometry.tolerances import FAR
from tests.laws.exact import clearances, exact_poses
from tests.laws.random_rigs import random_rig
from tests.laws.strokes import limited

ROUNDING = 1e-3
"""Pose map's error, and that of depths [mm]."""


def mapped(rig: Rig, count: int) -> TravelMap:
    found = travel_map(rig, rig.axles[0], count)
    assert found is not None
    return found


def exact_margins(rig: Rig, count: int) -> np.ndarray:
    """Least margin of the pairs in the exact poses of the grid, margin[right, left], at most FAR."""
    axle = rig.axles[0]
    travels = np.linspace(-axle.droop, axle.bump, count)
    right, left = (each.ravel() for each in np.meshgrid(travels, travels, indexing="ij"))
    poses = exact_poses(axle, left, right)
    lock = axle.steering
    steers = np.linspace(-1.0, 1.0, STEERS) * (0.0 if lock is None else np.radians(lock.lock_left_deg))
    least = np.full(len(left), FAR)
    for approach in check_axle(rig, axle):
        for steer in steers if approach.moving.kind == "tire" else (0.0,):
            margin = clearances(rig, axle, approach, poses, np.full(len(left), steer)) - approach.wanted
            least = np.minimum(least, margin)
    return least.reshape(count, count)


@pytest.mark.parametrize("seed", [0, 1, 3, 4])
def test_every_cell_is_the_least_margin_of_its_pose_at_the_worst_steer(seed: int) -> None:
    rig = random_rig(seed, bars=5, panels=2)
    axle = rig.axles[0]
    if axle.steering is not None:
        even = replace(axle.steering, lock_right_deg=axle.steering.lock_left_deg)
        rig = replace(rig, axles=(replace(axle, steering=even),))
    found = mapped(rig, 7)
    assert np.array(found.margin) == pytest.approx(exact_margins(rig, 7), abs=ROUNDING)


def test_nothing_is_told_of_travel_that_shocks_stops_and_straps_do_not_let() -> None:
    rig = random_rig(1, bars=5, panels=2)
    axle = rig.axles[0]
    short = limited(axle, np.random.default_rng(1))
    free, found = mapped(rig, 9), mapped(replace(rig, axles=(short,)), 9)
    reach = travel_box(short).reach
    assert reach is not None
    right, left = (each.ravel() for each in np.meshgrid(found.right, found.left, indexing="ij"))
    held = reach.holds(left, right).reshape(9, 9)
    assert 5 < held.sum() < 75
    assert np.array_equal(np.isnan(found.margin), ~held)
    assert np.array(found.margin)[held] == pytest.approx(np.array(free.margin)[held], abs=ROUNDING)


def test_a_wish_for_much_clearance_shows() -> None:
    rig = random_rig(0, bars=2, panels=0)
    wishes = dict.fromkeys(rig.wanted.__struct_fields__, 300.0)
    greedy = replace(rig, wanted=replace(rig.wanted, **wishes))
    found = np.array(mapped(greedy, 5).margin)
    assert found == pytest.approx(exact_margins(greedy, 5), abs=ROUNDING)
    assert found.max() < 0.0


def test_rows_are_right_travels_and_columns_left_ones() -> None:
    rig = random_rig(0, bars=5, panels=2)
    axle = rig.axles[0]
    found = mapped(rig, 5)
    assert found.axle == "rear"
    assert found.left == found.right == pytest.approx(np.linspace(-axle.droop, axle.bump, 5))
    assert np.array(found.margin).shape == (5, 5)
    assert np.abs(np.array(found.margin) - np.array(found.margin).T).max() > 5.0


def test_a_rig_that_is_its_own_mirror_image_has_a_map_that_is_its_own() -> None:
    rig = random_rig(2, bars=4, panels=1)
    axle = rig.axles[0]
    rods = tuple(
        replace(rod, chassis=(rod.chassis[0], side * abs(rod.chassis[1]), rod.chassis[2]), axle=(0.0, y, rod.axle[2]))
        for rod, side, y in zip(
            (axle.rods[0], axle.rods[0], axle.rods[2], axle.rods[2]),
            (1, -1, 1, -1),
            (480.0, -480.0, 90.0, -90.0),
            strict=True,
        )
    )
    named = tuple(replace(rod, id=f"rod{index}") for index, rod in enumerate(rods))
    middle = replace(axle, rods=named, housing=replace(axle.housing, pinion_offset=0.0))
    bars = tuple(replace(bar, mirrored=True) for bar in rig.bars)
    panels = tuple(replace(panel, mirrored=True) for panel in rig.panels)
    margin = np.array(mapped(replace(rig, bars=bars, panels=panels, axles=(middle,)), 6).margin)
    assert margin == pytest.approx(margin.T, abs=ROUNDING)


def test_where_nothing_is_near_the_map_lies_at_the_limit_of_the_search() -> None:
    rig = random_rig(0, bars=0, panels=0)
    rods = tuple(replace(rod, joint_room=250.0) for rod in rig.axles[0].rods)  # none of them near the housing
    tire = replace(rig.axles[0].tire, section_width=180.0, shoulder_radius=20.0)
    narrow = replace(rig.axles[0], tire=tire, rods=rods)
    assert set(np.ravel(mapped(replace(rig, axles=(narrow,)), 3).margin)) == {FAR}


def test_told_to_give_up_it_answers_nothing() -> None:
    rig = random_rig(0, bars=4, panels=1)
    assert travel_map(rig, rig.axles[0], 5, give_up=lambda: True) is None
