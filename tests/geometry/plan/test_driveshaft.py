from __future__ import annotations

from math import radians

import pytest
from msgspec.structs import replace

from geometry.plan.driveshaft import driveshaft
from geometry.rig.driveline import Driveshaft
from tests.geometry.plan.builds import built

PLACE = "axles/front/build/transfer_output"


def test_a_straight_shaft_has_no_angle() -> None:
    made = built(transfer_output=(2500.0 - 280.0 - 900.0, 0.0, 470.0))
    found = driveshaft(made)
    assert [found.plan.value, found.side.value, found.joint.value] == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)
    assert found.length.value == pytest.approx(900.0)


def test_the_plan_angle_is_positive_with_the_transfer_case_to_the_left_whichever_way_the_pinion_faces() -> None:
    front = built(transfer_output=(1000.0, 100.0, 470.0))
    rear = replace(front, station=0.0, housing=replace(front.housing, pinion_faces="forward"))
    for made in (front, rear):
        assert (driveshaft(made).plan.value or 0.0) > 0.0
        assert (driveshaft(made, 200.0).plan.value or 0.0) < 0.0


def test_a_pinion_that_points_at_the_transfer_case_has_an_angle_in_plan_only() -> None:
    made = built(transfer_output=(2500.0 - 1000.0, 50.0, 470.0 + 1000.0 * 0.1763269807))
    pointed = replace(made, housing=replace(made.housing, pinion_angle_deg=10.0))
    found = driveshaft(pointed)
    assert found.side.value == pytest.approx(0.0, abs=1e-9)
    assert 0.0 < (found.joint.value or 0.0) < (found.plan.value or 0.0) + 1e-12 < radians(6.0)


def test_without_the_other_end_everything_is_unknown_and_says_so() -> None:
    found = driveshaft(built())
    assert all(each.missing == (PLACE,) for each in (found.plan, found.side, found.joint, found.length))


def test_a_transfer_case_on_the_pinion_makes_no_direction() -> None:
    found = driveshaft(built(transfer_output=(2500.0 - 280.0, 0.0, 470.0)))
    assert found.plan.value is None
    assert found.length.value == 0.0


def test_the_yoke_brings_the_joint_closer_to_the_transfer_case() -> None:
    made = built(transfer_output=(2500.0 - 280.0 - 900.0, 0.0, 470.0))
    found = driveshaft(replace(made, driveshaft=Driveshaft(yoke_length=80.0)))
    assert found.length.value == pytest.approx(820.0)
