"""Caster and pinion; the target of 3 to 5 degrees with the pinion's mounting face 10 degrees up is common practice."""

from __future__ import annotations

from math import degrees, radians

import pytest
from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.motion.travel import TravelPose
from geometry.plan.caster import (
    angles_at,
    caster_target,
    clocking,
    clocking_of,
    perch_angles,
    travel_angles,
    turned,
)
from geometry.rig.axle import Axle
from geometry.rig.build import Perch
from tests.geometry.plan.builds import built


def clocked(caster_deg: float, pinion_deg: float, **fields: object) -> Axle:
    made = built(**fields)
    assert made.steering is not None
    return replace(
        made,
        steering=replace(made.steering, caster_deg=caster_deg),
        housing=replace(made.housing, pinion_angle_deg=pinion_deg),
    )


@pytest.mark.parametrize(("separation_deg", "within"), [(12.9, False), (13.0, True), (15.0, True), (15.1, False)])
def test_3_to_5_degrees_with_the_pinion_10_up_is_a_separation_of_13_to_15(separation_deg: float, within: bool) -> None:
    now = clocking(pinion=radians(10.0), separation=radians(separation_deg))
    target = caster_target(now)
    assert degrees(now.caster) == pytest.approx(separation_deg - 10.0)
    assert (abs(target.off_by) < 1e-12) == within
    assert degrees(target.separation_low) == pytest.approx(13.0)
    assert degrees(target.separation_high) == pytest.approx(15.0)


def test_turning_the_housing_into_the_target_costs_the_pinion_as_much() -> None:
    target = caster_target(clocking(caster=radians(1.0), pinion=radians(12.0)))
    assert degrees(target.off_by) == pytest.approx(-2.0)
    assert degrees(target.turn) == pytest.approx(-2.0)
    assert degrees(target.turned.caster) == pytest.approx(3.0)
    assert degrees(target.turned.pinion) == pytest.approx(10.0)
    assert (degrees(target.pinion_low), degrees(target.pinion_high)) == pytest.approx((8.0, 10.0))


@pytest.mark.parametrize("faces", ["forward", "rearward"])
def test_any_two_make_the_third(faces: str) -> None:
    first = clocking(caster=0.1, pinion=0.2, faces=faces)
    assert clocking(caster=0.1, separation=first.separation, faces=faces).pinion == pytest.approx(0.2)
    assert clocking(pinion=0.2, separation=first.separation, faces=faces).caster == pytest.approx(0.1)
    assert clocking(caster=0.1, pinion=0.2, separation=first.separation, faces=faces) == first


def test_a_pinion_that_faces_forward_takes_the_caster_up_with_it() -> None:
    rising = turned(clocking(caster=0.1, pinion=0.0, faces="forward"), 0.05)
    assert rising.caster == pytest.approx(0.15)
    target = caster_target(clocking(caster=radians(1.0), pinion=0.0, faces="forward"))
    assert degrees(target.turned.caster) == pytest.approx(3.0)
    assert degrees(target.turned.pinion) == pytest.approx(2.0)


def test_one_of_three_is_not_enough() -> None:
    with pytest.raises(PlanError, match="give two"):
        clocking(caster=0.1)


def test_three_that_do_not_agree_are_refused_with_each_that_would() -> None:
    with pytest.raises(PlanError, match=r"1\.00 degrees off") as refused:
        clocking_of(clocked(6.0, 10.0, separation_deg=15.0))
    assert refused.value.place == "axles/front/build/separation_deg"
    assert refused.value.by == pytest.approx(1.0)
    values = dict(refused.value.nearest)
    assert clocking_of(clocked(6.0, 10.0, separation_deg=values["axles/front/build/separation_deg"]))
    assert clocking_of(clocked(values["axles/front/steering/caster_deg"], 10.0, separation_deg=15.0))
    assert clocking_of(clocked(6.0, values["axles/front/housing/pinion_angle_deg"], separation_deg=15.0))


def test_an_unsteered_axle_has_no_clocking_but_a_pinion_that_moves() -> None:
    made = replace(built(), steering=None)
    assert clocking_of(made) is None
    found = travel_angles(made)
    assert found.caster_left is None
    assert found.pinion.low < 0.0 < found.pinion.high
    assert angles_at(made, [TravelPose()])[0].caster_right is None


def test_at_ride_height_the_angles_are_those_of_the_rig() -> None:
    (still,) = angles_at(clocked(6.0, 10.0), [TravelPose()])
    assert degrees(still.pinion) == pytest.approx(10.0, abs=1e-5)
    assert degrees(still.caster_left or 0.0) == pytest.approx(6.0, abs=1e-5)
    assert degrees(still.caster_right or 0.0) == pytest.approx(6.0, abs=1e-5)


def test_straight_travel_turns_caster_and_pinion_by_the_same() -> None:
    for pose in angles_at(clocked(6.0, 10.0), [TravelPose(150.0, 150.0), TravelPose(-120.0, -120.0)]):
        assert abs(degrees(pose.pinion) - 10.0) > 1.0
        assert degrees(pose.pinion + (pose.caster_left or 0.0)) == pytest.approx(16.0, abs=1e-5)
        assert pose.caster_left == pytest.approx(pose.caster_right, abs=1e-7)


def test_crossed_travel_gives_either_side_what_the_other_has_the_other_way_round() -> None:
    one, other = angles_at(clocked(6.0, 10.0), [TravelPose(140.0, -110.0), TravelPose(-110.0, 140.0)])
    assert one.caster_left == pytest.approx(other.caster_right, abs=1e-6)
    assert one.caster_right == pytest.approx(other.caster_left, abs=1e-6)
    assert abs(degrees((one.caster_left or 0.0) - (one.caster_right or 0.0))) > 0.1


def test_the_extremes_over_the_travel_are_met_where_they_are_said_to_be() -> None:
    made = clocked(6.0, 10.0)
    found = travel_angles(made)
    assert found.caster_left is not None
    for extremes, name in ((found.pinion, "pinion"), (found.caster_left, "caster_left")):
        low, high = angles_at(made, [extremes.low_at, extremes.high_at])
        assert (getattr(low, name), getattr(high, name)) == pytest.approx((extremes.low, extremes.high))
    corners = [TravelPose(left, right) for left in (-120.0, 150.0) for right in (-120.0, 150.0)]
    assert all(found.pinion.low <= pose.pinion <= found.pinion.high for pose in angles_at(made, corners))


def test_a_perch_is_welded_at_pinion_angle_less_seat_angle() -> None:
    perches = (
        Perch(id="spring", at=450.0, width=60.0, angle_deg=4.0),
        Perch(id="link", at=600.0, width=60.0),
    )
    made = clocked(6.0, 10.0, perches=perches)
    spring, link = perch_angles(made)
    assert degrees(spring.from_pinion.value or 0.0) == pytest.approx(14.0)  # the pinion's end is the rear one
    assert link.from_pinion.missing == ("axles/front/build/perches/link/angle_deg",)
    forward = replace(made, housing=replace(made.housing, pinion_faces="forward"))
    assert degrees(perch_angles(forward)[0].from_pinion.value or 0.0) == pytest.approx(6.0)


def test_turning_the_housing_turns_the_seats_with_it() -> None:
    made = clocked(6.0, 10.0, perches=(Perch(id="spring", at=450.0, width=60.0, angle_deg=4.0),))
    (spring,) = perch_angles(made, radians(2.0))
    assert degrees(spring.seat.value or 0.0) == pytest.approx(2.0)
    assert degrees(spring.from_pinion.value or 0.0) == pytest.approx(16.0)
