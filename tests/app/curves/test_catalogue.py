"""Every quantity is what geometry says of the same pose, and nothing is told where the axle cannot go."""

from __future__ import annotations

from functools import lru_cache
from math import radians

import numpy as np
import pytest
from msgspec.structs import replace

from app.curves.catalogue import curve, curves, quantities, values_at
from app.curves.quantity import WAYS, Against, Curves
from app.curves.way import place_on, pose_at, span_of
from geometry.contact.free_lock import free_lock
from geometry.driveline.shaft import shaft_at
from geometry.links.misalignment import joint_leans
from geometry.links.motion import link_poses
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.steering.drag_link import bump_steer
from geometry.steering.in_turn import wheel_in_turn
from geometry.stroke.ratios import ratio_curve
from geometry.stroke.spans import spans_of
from tests.app.curves.moving import moving_rig, with_ram
from tests.geometry.rig.rigs import small_rig

RIG = moving_rig()
REAR, FRONT = RIG.axles
COUNT = 31


@lru_cache
def over(axle: str, against: Against) -> Curves:
    lock = free_lock(RIG, FRONT, 9) if axle == "front" else None
    return curves(RIG, RIG.axle(axle), against, COUNT, lock=lock)


def at(found: Curves, index: int) -> TravelPose:
    return TravelPose(float(found.left[index]), float(found.right[index]), float(found.steer[index]))


def places_to_look(found: Curves) -> list[int]:
    return [int(index) for index in np.flatnonzero(found.reached)[::7]]


@pytest.mark.parametrize("against", ["straight", "crossed"])
def test_over_travel_each_quantity_is_that_of_geometry_in_the_same_pose(against: Against) -> None:
    found = over("rear", against)
    for index in places_to_look(found):
        pose = at(found, index)
        shaft, link = shaft_at(REAR, (pose,)), link_poses(REAR, (pose,))[0]
        leans = [each[0] for each in joint_leans(REAR, (pose,))]
        assert shaft is not None
        expected = {
            f"shaft/{name}": getattr(shaft[0], name) for name in ("case", "pinion", "length", "slip", "residual")
        }
        expected |= {f"joint/{rod.id}/chassis": lean.chassis for rod, lean in zip(REAR.rods, leans, strict=True)}
        expected |= {"links/roll_centre": link.roll_centre, "links/wheelbase": -link.forward_shift}
        for key, value in expected.items():
            assert found.by_key[key].values[index] == pytest.approx(value, abs=1e-9), key


def test_shocks_go_no_farther_than_their_limits_and_what_is_left_of_them_is_never_negative() -> None:
    found = over("rear", "straight")
    assert not found.reached.all()
    for key in ("stroke/main/left/length", "stroke/pad/left/length", "stroke/limit/length"):
        assert np.array_equal(np.isfinite(found.by_key[key].values), found.reached)
    lengths = found.by_key["stroke/main/left/length"]
    assert [limit.value for limit in lengths.limits] == [400.0, 610.0]
    assert np.nanmin(found.by_key["stroke/main/left/margin"].values) > -0.5
    assert np.nanmin(found.by_key["stroke/limit/margin"].values) > -0.5
    assert np.isnan(found.by_key["links/pinion"].values[~found.reached]).all()


def test_the_motion_ratio_is_that_of_the_pose_map() -> None:
    found = over("rear", "straight")
    span = next(each for each in spans_of(REAR) if each.part.side == "left")
    expected = ratio_curve(pose_map(linkage_of(REAR)), span, 1.0, 1.0, found.at)
    values = found.by_key["stroke/main/left/ratio"].values
    assert values[found.reached] == pytest.approx(np.array(expected.ratio)[found.reached], abs=1e-6)


def test_over_steer_each_wheel_stands_as_in_its_turn_and_the_free_lock_is_that_of_its_cell() -> None:
    found = over("front", "steer")
    for index in (0, 10, 30):
        wheel = wheel_in_turn(FRONT, "right", float(found.steer[index]))
        assert wheel is not None
        for name in ("steer", "camber", "scrub", "trail"):
            assert found.by_key[f"wheel/{name}/right"].values[index] == pytest.approx(getattr(wheel, name))
    assert found.by_key["wheel/joint/left"].limits[0].value == radians(40.0)
    lock, straight = free_lock(RIG, FRONT, 9), over("front", "straight")
    assert lock is not None
    assert np.nanmin(straight.by_key["lock/left"].values) >= lock.stop_left
    assert straight.by_key["lock/left"].limits[0].value == lock.lock_left
    told = values_at(RIG, FRONT, "straight", TravelPose(FRONT.bump, FRONT.bump), families=("lock",), lock=lock)
    assert told[0].values[0] == lock.left[-1][-1]


def test_bump_steer_over_crossed_travel_is_that_of_the_drag_link() -> None:
    found = curves(RIG, FRONT, "crossed", COUNT, families=("bump",))
    expected = bump_steer(FRONT, found.left, found.right)
    assert expected is not None
    assert found.by_key["bump/left_wheel"].values == pytest.approx(expected.left_wheel, abs=1e-9)


def test_a_ram_has_a_way_of_its_own_and_no_bump_steer() -> None:
    rig = with_ram(RIG)
    keys = {each.key for against in WAYS for each in quantities(rig, rig.axles[1], against)}
    assert {"gear/ram/left", "gear/ram/right"} <= keys
    assert not any(key.startswith("bump/") or key == "gear/pitman" for key in keys)
    ways = curve(rig, rig.axles[1], quantities(rig, rig.axles[1], "steer")[-1], "steer", 5)
    assert [limit.value for limit in ways.found.limits] == [110.0, -110.0]


def test_what_nobody_measured_has_no_values_and_names_what_is_missing() -> None:
    rig = small_rig()
    for key, place in (("shaft/case", "axles/rear/build/transfer_output"), ("squat/loaded", "masses/parts")):
        found = curves(rig, rig.axles[0], "straight", 5, families=(key.partition("/")[0],)).by_key[key]
        assert np.isnan(found.values).all()
        assert place in found.missing
    found = curves(rig, rig.axles[1], "straight", 5, families=("bump",)).by_key["bump/left_wheel"]
    assert found.missing == ("axles/front/steering/drag_link",)


def test_keys_are_unique_definitions_are_sentences_and_both_ways_of_travel_have_the_same() -> None:
    for axle in RIG.axles:
        for against in WAYS:
            listed = quantities(RIG, axle, against)
            assert len({each.key for each in listed}) == len(listed)
            assert all(each.definition.endswith(".") and each.line and against in each.against for each in listed)
        assert quantities(RIG, axle, "straight") == quantities(RIG, axle, "crossed")


def test_a_linkage_that_binds_is_told_up_to_where_it_does() -> None:
    short = tuple(
        replace(rod, chassis=(rod.axle[0] + 0.1 * (rod.chassis[0] - rod.axle[0]), *rod.chassis[1:]))
        for rod in REAR.rods
    )
    axle = replace(REAR, rods=short, shocks=(), bump_stops=(), straps=())
    rig = replace(RIG, axles=(axle, FRONT))
    found = curves(rig, axle, "straight", COUNT)
    assert found.problem
    assert found.reached.any()
    assert not found.reached.all()
    assert np.array_equal(np.isfinite(found.by_key["links/pinion"].values), found.reached)
    assert found.by_key["joint/rod0/axle"].problem


@pytest.mark.parametrize("against", WAYS)
def test_the_pose_of_a_place_lies_on_the_way_and_leads_back_to_it(against: Against) -> None:
    low, high = span_of(FRONT, against)
    for place in np.linspace(low, high, 7).tolist():
        pose = pose_at(FRONT, against, place, RIDE_HEIGHT)
        assert place_on(FRONT, against, pose) == (pytest.approx(place, abs=1e-9), True)
    assert place_on(FRONT, against, TravelPose(80.0, 10.0))[1] is False


def test_crossed_travel_ends_in_the_corners_and_passes_ride_height() -> None:
    found = over("rear", "crossed")
    assert (found.left[0], found.right[0]) == (-REAR.droop, pytest.approx(REAR.bump))
    assert (found.left[-1], found.right[-1]) == (REAR.bump, pytest.approx(-REAR.droop))
    assert 0.0 in found.at
