from __future__ import annotations

from math import acos, asin, cos, degrees, radians

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.links.misalignment import RodJoints, bolt_of, joint_leans, rod_joints, twist_room
from geometry.motion.placement import place
from geometry.motion.travel import RIDE_HEIGHT, TravelBox, TravelPose
from geometry.rig.axle import Axle
from geometry.tolerances import ANGLE_FOUND
from tests.geometry.links.linked import linked, on_rods
from tests.geometry.motion.linkages import LAYOUTS

CROSSED = TravelPose(150.0, -150.0)


def limited(axle: Axle, degrees_each: float) -> Axle:
    limits = {"chassis_limit_deg": degrees_each, "axle_limit_deg": degrees_each}
    return replace(axle, rods=tuple(replace(rod, **limits) for rod in axle.rods))


def by_rod(axle: Axle) -> dict[str, RodJoints]:
    return {each.rod: each for each in rod_joints(axle)}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_no_joint_leans_at_ride_height_on_bolts_that_suit_its_rod(layout: str) -> None:
    for (leans,) in joint_leans(linked(layout), (RIDE_HEIGHT,)):
        assert (leans.chassis, leans.axle, leans.twist or 0.0) == pytest.approx((0.0, 0.0, 0.0), abs=1e-9)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_leans_are_those_of_the_placed_rods(layout: str) -> None:
    axle = linked(layout)
    placed = place(axle, CROSSED)
    for rod, (anchor, joint), (leans,) in zip(axle.rods, placed.rods, joint_leans(axle, (CROSSED,)), strict=True):
        along = (joint - anchor) / np.linalg.norm(joint - anchor)
        if leans.twist is None:
            continue
        one, other = bolt_of(rod, "chassis"), placed.rotation @ bolt_of(rod, "axle")
        assert leans.chassis == pytest.approx(abs(asin(along @ one)), abs=1e-6)
        assert leans.axle == pytest.approx(abs(asin(along @ other)), abs=1e-6)
        parts = [bolt - (bolt @ along) * along for bolt in (one, other)]
        turned = acos(np.clip(parts[0] @ parts[1] / np.prod([np.linalg.norm(part) for part in parts]), -1.0, 1.0))
        assert leans.twist == pytest.approx(turned, abs=1e-5)


def test_roll_twists_a_link_that_runs_fore_and_aft_by_as_much() -> None:
    axle = linked("parallel and a bar")
    placed = place(axle, CROSSED)
    roll = asin(placed.rotation[2, 1])
    for (leans,) in joint_leans(axle, (CROSSED,))[:4]:
        assert leans.twist == pytest.approx(roll, abs=radians(1.5))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_no_random_pose_leans_more_than_stated(layout: str) -> None:
    axle = linked(layout)
    travels = np.random.default_rng(8).uniform(-150.0, 150.0, (150, 2))
    found = joint_leans(axle, tuple(TravelPose(*pair) for pair in travels.tolist()))
    for at, joints in enumerate(rod_joints(axle)):
        for part in ("chassis", "axle", "twist"):
            extreme = getattr(joints, part)
            if extreme is None:
                continue
            assert extreme.settled
            assert extreme.high - extreme.low <= 2.0 * ANGLE_FOUND
            assert max(getattr(each, part) for each in found[at]) <= extreme.high + 1e-7
            there = getattr(joint_leans(axle, (extreme.pose,))[at][0], part)
            assert there == pytest.approx(extreme.low, abs=2.0 * ANGLE_FOUND)


def test_a_wishbone_hinges_on_its_chassis_joints_and_leans_at_the_axle_only() -> None:
    legs = rod_joints(linked("wishbone"))[2:]
    assert [(leg.rod, leg.arm_with) for leg in legs] == [("rod2", "rod3"), ("rod3", "rod2")]
    for leg in legs:
        assert leg.chassis.high < 1e-3
        assert leg.twist is None
        assert leg.twist_verdict == "holds"
        # The arm does not roll, the axle does by asin(300 / 1000).
        assert degrees(leg.axle.low) == pytest.approx(17.5, abs=0.5)
    assert legs[0].axle.low == pytest.approx(legs[1].axle.low, abs=1e-3)


def test_a_bolt_that_does_not_suit_the_rod_leans_as_drawn() -> None:
    axle = linked("triangulated")
    rod = axle.rods[2]
    across = replace(rod, chassis_bolt=(0.0, 7.0, 0.0))
    axle = replace(axle, rods=(*axle.rods[:2], across, axle.rods[3]))
    along = np.subtract(rod.axle, rod.chassis)
    ride = joint_leans(axle, (RIDE_HEIGHT,))[2][0]
    assert ride.chassis == pytest.approx(abs(asin(along[1] / np.linalg.norm(along))), abs=1e-6)
    assert ride.axle == pytest.approx(0.0, abs=1e-6)
    assert ride.twist == pytest.approx(0.0, abs=1e-6)
    assert by_rod(axle)["rod2"].bolts_assumed


def test_leans_and_twist_are_judged_against_the_joints_limits() -> None:
    axle = linked("triangulated")
    unknown = by_rod(axle)["rod0"]
    assert [each.verdict for each in unknown.asked] == ["unknown", "unknown"]
    assert unknown.twist_verdict == "unknown"
    wide, narrow = by_rod(limited(axle, 40.0))["rod0"], by_rod(limited(axle, 4.0))["rod0"]
    assert [each.verdict for each in wide.asked] == ["holds", "holds"]
    assert wide.twist_verdict == "holds"
    assert [each.verdict for each in narrow.asked] == ["fails", "fails"]
    assert narrow.twist_verdict == "fails"
    assert wide.asked[0].place == "axles/rear/rods/rod0/chassis_limit_deg"


def test_a_joint_that_leans_has_less_room_for_twist() -> None:
    assert twist_room(radians(20.0), 0.0) == pytest.approx(radians(20.0))
    assert twist_room(radians(20.0), radians(15.0)) == pytest.approx(acos(cos(radians(20.0)) / cos(radians(15.0))))
    assert twist_room(radians(20.0), radians(20.0)) == twist_room(radians(20.0), radians(25.0)) == 0.0


def test_less_travel_leans_less() -> None:
    axle = linked("three links and a bar")
    for whole, less in zip(rod_joints(axle), rod_joints(axle, (TravelBox((-50.0, 50.0), (-50.0, 50.0)),)), strict=True):
        assert less.chassis.low <= whole.chassis.high
        assert less.axle.high < whole.axle.low


def test_an_upright_rod_has_a_bolt_as_well() -> None:
    upright = on_rods((*LAYOUTS["triangulated"][:3], ((0.0, 0.0, 900.0), (0.0, 0.0, 600.0)))).rods[3]
    assert bolt_of(upright, "axle") == pytest.approx((1.0, 0.0, 0.0))
