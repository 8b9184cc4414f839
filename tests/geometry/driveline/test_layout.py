from __future__ import annotations

from math import cos, degrees, radians, sin, tan

import pytest

from geometry.driveline.layout import LayoutFound, layout_at_ride_height
from geometry.rig.driveline import AngleRules, ShaftJoint
from tests.geometry.driveline.shafted import shafted

STRAIGHT = {"pinion_offset": 0.0, "pinion_length": 300.0}
"""Pinion's joint at x = 2200, z = 470 when its angle is zero."""


def level(rise_deg: float) -> tuple[float, float, float]:
    """An output 1000 mm behind the level pinion's joint, the shaft rising to it."""
    return (1200.0, 0.0, 470.0 + 1000.0 * tan(radians(rise_deg)))


def rules(found: LayoutFound) -> dict[tuple[str, str], bool | None]:
    return {(each.rule, each.end): each.holds for each in found.rules}


def test_parallel_axes_cancel() -> None:
    found = layout_at_ride_height(
        shafted(output=level(2.5), output_angle_deg=0.0, housing=STRAIGHT | {"pinion_angle_deg": 0.0})
    )
    assert found.layout == "parallel"
    assert found.ride is not None
    assert found.ride.residual == pytest.approx(0.0, abs=1e-9)
    assert degrees(found.ride.pinion) == pytest.approx(2.5)
    assert all(rules(found).values())


def test_axes_that_meet_halfway_cancel_as_well() -> None:
    found = layout_at_ride_height(
        shafted(output=(1200.0, 0.0, 470.0), output_angle_deg=2.9, housing=STRAIGHT | {"pinion_angle_deg": 0.0})
    )
    assert found.layout == "neither"
    rise = 300.0 * sin(radians(2.9))  # of the pinion's joint; the output lies as high, so that the shaft is level
    found = layout_at_ride_height(
        shafted(
            output=(1200.0, 0.0, 470.0 + rise),
            output_angle_deg=2.9,
            housing=STRAIGHT | {"pinion_angle_deg": 2.9},
        )
    )
    assert found.layout == "intersecting"
    assert found.axes_apart == pytest.approx(radians(5.8))
    assert found.ride is not None
    assert found.ride.residual == pytest.approx(0.0, abs=1e-6)


def test_steep_unequal_and_straight_joints_break_their_rules() -> None:
    ahead = (2500.0 - 1300.0 * cos(radians(8.0)), 0.0, 470.0 + 1300.0 * sin(radians(8.0)))
    found = rules(
        layout_at_ride_height(shafted(output=ahead, output_angle_deg=0.0, housing=STRAIGHT | {"pinion_angle_deg": 8.0}))
    )
    assert found["least_deg", "pinion"] is False
    assert found["most_deg", "case"] is False
    assert found["apart_deg", ""] is False
    assert found["fluctuation", ""] is False
    assert found["least_deg", "case"] is True


def test_a_double_joint_has_its_own_rule_and_asks_the_other_end_to_be_straight() -> None:
    found = layout_at_ride_height(
        shafted(
            output=level(8.0),
            output_angle_deg=None,
            case_joint=ShaftJoint(kind="double"),
            housing=STRAIGHT | {"pinion_angle_deg": 8.0},
        )
    )
    assert found.layout == "one double"
    assert rules(found)["double_most_deg", "case"] is None
    assert rules(found)["fluctuation", ""] is True
    assert ("apart_deg", "") not in rules(found)


def test_the_revolutions_of_the_shaft_bound_the_angle() -> None:
    slow, fast = (
        layout_at_ride_height(shafted(rules=AngleRules(shaft_rpm=rpm, most_deg=90.0))) for rpm in (100.0, 5000.0)
    )
    assert rules(slow)["acceleration", "pinion"] is True
    assert rules(fast)["acceleration", "pinion"] is False
    assert degrees(fast.most_at_speed or 0.0) == pytest.approx(3.46, abs=0.01)
    assert layout_at_ride_height(shafted()).most_at_speed is None


def test_without_an_output_nothing_is_judged() -> None:
    found = layout_at_ride_height(shafted(output=None))
    assert (found.layout, found.ride, found.rules) == ("unknown", None, ())
    assert layout_at_ride_height(shafted(output_angle_deg=None)).layout == "unknown"
