"""Laws of the whole-travel search: what it says holds for every pose, not only for those it looked at."""

from __future__ import annotations

import os
from pathlib import Path

import msgspec
import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.axle_check import check_axle
from geometry.contact.findings import Approach
from geometry.rig.axle import Axle
from geometry.rig.layout import Floats, PartRef, Side
from geometry.rig.parts import Bar, Node, Panel
from geometry.rig.rig import Rig
from geometry.rig.wheel import Tire
from geometry.tolerances import CLEARANCE, OVERLAP_SHARE
from tests.laws.exact import clearances, exact_poses, random_travel
from tests.laws.random_rigs import random_rig, varied_rig

ROUNDING = 1e-4
"""Pose map's error and double precision together [mm]; the search has taken it off `low` already."""

DEMO_RIGS = sorted((Path(__file__).parents[2] / "assets").glob("*.rig.json"))
POSES = int(os.environ.get("WHEELROOM_POSES", "30000"))
RANDOM_RIGS = range(20 if POSES >= 100_000 else 7)
"""All of them are looked at with WHEELROOM_POSES=100000; a run by itself takes less."""


def near(approaches: tuple[Approach, ...]) -> list[Approach]:
    return [approach for approach in approaches if not approach.beyond]


def by_name(approaches: tuple[Approach, ...]) -> dict[tuple[PartRef, PartRef], Approach]:
    return {(approach.moving, approach.fixed): approach for approach in approaches}


def same_value(one: Approach, other: Approach) -> bool:
    """Whether both intervals can hold the same true value; they need not be the same interval."""
    return one.low <= other.high + ROUNDING and other.low <= one.high + ROUNDING


def assert_no_pose_below(rig: Rig, axle: Axle, poses: int, far_poses: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    left, right, steer = random_travel(axle, rng, poses)
    exact = exact_poses(axle, left, right)
    few = exact_poses(axle, left[:far_poses], right[:far_poses])
    approaches = check_axle(rig, axle)
    for approach in near(approaches):
        assert clearances(rig, axle, approach, exact, steer).min() >= approach.low - ROUNDING, approach
    for approach in rng.permutation(np.array([a for a in approaches if a.beyond], dtype=object))[:60]:
        assert clearances(rig, axle, approach, few, steer[:far_poses]).min() >= approach.low - ROUNDING, approach


@pytest.mark.parametrize("path", DEMO_RIGS, ids=lambda path: path.stem)
def test_no_random_pose_of_a_demo_rig_comes_below_low(path: Path) -> None:
    rig = msgspec.json.decode(path.read_bytes(), type=Rig)
    for index, axle in enumerate(rig.axles):
        assert_no_pose_below(rig, axle, POSES // len(rig.axles), 300, index)


@pytest.mark.parametrize("seed", RANDOM_RIGS)
def test_no_random_pose_of_a_random_rig_comes_below_low(seed: int) -> None:
    rig = random_rig(seed)
    assert_no_pose_below(rig, rig.axles[0], POSES // len(RANDOM_RIGS), 100, seed)


@pytest.mark.parametrize("axle", [0, 1])
def test_no_random_pose_of_an_axle_on_five_rods_comes_below_low(axle: int) -> None:
    rig = varied_rig(3)
    assert len(rig.axles[axle].rods) == 5
    assert_no_pose_below(rig, rig.axles[axle], 3_000, 100, axle)


def test_high_is_that_of_a_whole_bent_bar_not_of_one_of_its_straights() -> None:
    rig = varied_rig(0)
    axle = rig.axles[0]
    bent = {bar.id for bar in rig.bars if bar.bend_radius > 0.0}
    found = [each for each in near(check_axle(rig, axle)) if each.fixed.id in bent]
    assert len(found) > 10
    for approach in found:
        assert met(rig, axle, approach) == pytest.approx(approach.high, abs=ROUNDING)


@pytest.mark.parametrize("seed", RANDOM_RIGS)
def test_high_is_met_in_the_pose_given_and_the_interval_is_as_narrow_as_asked(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    for approach in near(check_axle(rig, axle)):
        assert met(rig, axle, approach) == pytest.approx(approach.high, abs=ROUNDING)
        assert approach.high - approach.low <= max(CLEARANCE, -OVERLAP_SHARE * approach.high) + ROUNDING
        assert approach.settled


@pytest.mark.parametrize("seed", [0, 1, 2, 3])
def test_the_closest_points_are_as_far_apart_as_the_distance_says(seed: int) -> None:
    rig = random_rig(seed)
    for approach in near(check_axle(rig, rig.axles[0])):
        assert approach.on_moving is not None
        assert approach.on_fixed is not None
        apart = np.linalg.norm(np.subtract(approach.on_fixed, approach.on_moving))
        assert apart == pytest.approx(abs(approach.high), abs=1e-3)


@pytest.mark.parametrize("seed", [1, 2, 4, 9])
def test_the_mirror_image_of_a_rig_swaps_left_and_right(seed: int) -> None:
    rig = random_rig(seed)
    straight = by_name(check_axle(rig, rig.axles[0]))
    image = mirrored(rig)
    swapped = by_name(check_axle(image, image.axles[0]))
    assert len(straight) == len(swapped)
    for (moving, fixed), approach in straight.items():
        other = swapped[swap(moving), swap(fixed)]
        assert other.beyond == approach.beyond
        assert same_value(other, approach)


@pytest.mark.parametrize("seed", [0, 3, 8])
def test_a_larger_tire_never_gains_clearance(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    shoulder = axle.tire.shoulder_radius
    before = by_name(check_axle(rig, axle))
    for size in ("38x12.50R17", "37x13.50R17", "40x14.50R17"):
        larger = replace(axle, tire=Tire(size=size, shoulder_radius=shoulder))
        for pair, approach in by_name(check_axle(rig, larger)).items():
            assert approach.low <= before[pair].high + ROUNDING or before[pair].beyond


@pytest.mark.parametrize("seed", [0, 1, 5])
def test_a_finer_tolerance_only_narrows_the_interval(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    coarse = by_name(check_axle(rig, axle, tolerance=2.0))
    for tolerance in (0.5, 0.1):
        fine = by_name(check_axle(rig, axle, tolerance=tolerance))
        for pair, approach in fine.items():
            assert approach.low >= coarse[pair].low - 1e-9
            assert approach.beyond or approach.high <= coarse[pair].high + 1e-9
            assert approach.beyond or not coarse[pair].beyond
        coarse = fine


@pytest.mark.parametrize("seed", [0, 2, 4])
def test_a_width_wider_by_2d_equals_an_offset_smaller_by_d_for_the_tires_of_an_unsteered_axle(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    assert axle.steering is None
    assert axle.wheel.offset is not None
    d = 23.0
    wider = by_name(check_axle(rig, replace(axle, width=axle.width + 2 * d)))
    shifted = by_name(check_axle(rig, replace(axle, wheel=replace(axle.wheel, offset=axle.wheel.offset - d))))
    for pair, approach in wider.items():
        if pair[0].kind == "tire":
            assert approach.beyond == shifted[pair].beyond
            assert same_value(approach, shifted[pair])


@pytest.mark.parametrize("seed", [0, 1, 2, 6])
def test_nothing_touches_before_the_contact_start_and_something_does_at_its_upper_end(seed: int) -> None:
    rig = random_rig(seed)
    axle = rig.axles[0]
    lock = axle.steering
    steers = np.array([0.0]) if lock is None else np.radians(np.linspace(-lock.lock_right_deg, lock.lock_left_deg, 61))
    touching = [a for a in check_axle(rig, axle) if a.high < 0 and a.moving.kind == "tire"]
    assert touching, "the random rigs are meant to touch"
    for approach in touching:
        for band, fall in ((approach.start_straight, 1.0), (approach.start_crossed, -axle.droop / axle.bump)):
            free = axle.bump if band is None else band.low
            own = np.repeat(np.linspace(0.0, free, 60, endpoint=False), len(steers))
            least = along_way(rig, axle, approach, own, fall, np.tile(steers, 60))
            assert free == 0.0 or least >= -ROUNDING
            if band is not None:
                assert 0.0 <= band.low <= band.high <= axle.bump
                finer = np.linspace(steers[0], steers[-1], 2000)
                at_contact = along_way(rig, axle, approach, np.full(2000, band.high), fall, finer)
                assert at_contact <= (CLEARANCE if band.high == axle.bump else ROUNDING)


def along_way(rig: Rig, axle: Axle, approach: Approach, own: Floats, fall: float, steer: Floats) -> float:
    """Least clearance on the way up of the approach's own wheel, the other wheel moving `fall` times as far."""
    left, right = (own, own * fall) if approach.moving.side == "left" else (own * fall, own)
    return float(clearances(rig, axle, approach, exact_poses(axle, left, right), steer).min())


def met(rig: Rig, axle: Axle, approach: Approach) -> float:
    """Exact clearance of the pair in the pose that its approach gives."""
    pose = exact_poses(axle, np.array([approach.pose.left]), np.array([approach.pose.right]))
    return float(clearances(rig, axle, approach, pose, np.array([approach.pose.steer]))[0])


def mirrored(rig: Rig) -> Rig:
    def flip(point: tuple[float, float, float]) -> tuple[float, float, float]:
        return (point[0], -point[1], point[2])

    axle = rig.axles[0]
    steering = axle.steering
    if steering is not None:
        locks = {"lock_left_deg": steering.lock_right_deg, "lock_right_deg": steering.lock_left_deg}
        steering = replace(steering, **locks)
    rods = tuple(replace(rod, chassis=flip(rod.chassis), axle=flip(rod.axle)) for rod in axle.rods)
    housing = replace(axle.housing, pinion_offset=-axle.housing.pinion_offset)
    nodes: list[Node] = [replace(node, at=flip(node.at)) for node in rig.nodes]
    bars: tuple[Bar, ...] = rig.bars
    panels: tuple[Panel, ...] = rig.panels
    flipped = replace(axle, rods=rods, housing=housing, steering=steering)
    return replace(rig, nodes=tuple(nodes), bars=bars, panels=panels, axles=(flipped,))


def swap(part: PartRef) -> PartRef:
    sides: dict[Side, Side] = {"left": "right", "right": "left", "": ""}
    # A rod is called after itself, not after its side, wherever it lies.
    label = part.label if part.kind == "link" else part.label.replace(part.side, sides[part.side])
    return PartRef(part.kind, part.id, sides[part.side], label)
