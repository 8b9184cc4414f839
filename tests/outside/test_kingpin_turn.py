"""Scrub radius, trail, and the steer and camber of a wheel turned about its kingpin.

Source: the project's sheet of checks, section 1 "Kingpin arithmetic (solid axle)", terms of ISO 8855:2011, 7.1 and
7.2. Its sign check: positive caster leans the outer wheel's top inboard and the inner wheel's out.
"""

from __future__ import annotations

from math import degrees, radians

import pytest

from geometry.motion.steering import WheelAngles, at_steer, ground_offsets, wheel_angles, wheel_turn
from geometry.rig.axle import Axle, Rod, Steering
from geometry.rig.layout import Side
from geometry.rig.wheel import INCH, Tire, Wheel


def axle(inclination_deg: float, caster_deg: float) -> Axle:
    """Loaded radius 18.5 in, wheel centre plane 4.5 in outboard of the kingpin axis at hub height."""
    steering = Steering(
        inclination_deg=inclination_deg,
        caster_deg=caster_deg,
        kingpin=(0.0, -4.5 * INCH, 0.0),
        lock_left_deg=40.0,
        lock_right_deg=40.0,
    )
    rods = tuple(Rod(id=f"rod{index}", chassis=(0.0, 0.0, 0.0), axle=(900.0, 0.0, 0.0)) for index in range(4))
    return Axle(
        id="front", station=2500.0, height=470.0, width=1600.0, stop_station=500.0, bump=100.0, droop=100.0, rods=rods,
        tire=Tire(size="37x12.50R17", diameter=38.0 * INCH, loaded_radius=18.5 * INCH),
        wheel=Wheel(rim_width=9.0 * INCH, offset=0.0), steering=steering,
    )  # fmt: skip


def turned(side: Side, steer_deg: float, inclination_deg: float = 8.5, caster_deg: float = 6.0) -> WheelAngles:
    turn = wheel_turn(axle(inclination_deg, caster_deg), side)
    return wheel_angles(at_steer(turn.axis, radians(steer_deg)), side)


def test_scrub_radius() -> None:
    offsets = ground_offsets(axle(8.5, 0.0))
    assert offsets is not None
    assert offsets.scrub / INCH == pytest.approx(1.7352, abs=0.5e-4)


def test_trail() -> None:
    offsets = ground_offsets(axle(8.5, 6.0))
    assert offsets is not None
    assert offsets.trail / INCH == pytest.approx(1.9444, abs=0.5e-4)


def test_left_wheel_in_a_left_turn() -> None:
    angles = turned("left", 30.0)
    assert degrees(angles.steer) == pytest.approx(29.4105, abs=0.5e-4)
    assert degrees(angles.camber) == pytest.approx(4.0756, abs=0.5e-4)


def test_right_wheel_in_a_right_turn_is_the_mirror_image() -> None:
    angles = turned("right", -30.0)
    assert degrees(angles.steer) == pytest.approx(-29.4105, abs=0.5e-4)
    assert degrees(angles.camber) == pytest.approx(4.0756, abs=0.5e-4)


@pytest.mark.parametrize("turn_deg", [20.0, -20.0])
def test_positive_caster_leans_the_outer_wheel_in_and_the_inner_one_out(turn_deg: float) -> None:
    inner, outer = ("left", "right") if turn_deg > 0.0 else ("right", "left")
    assert turned(inner, turn_deg, inclination_deg=0.0).camber > radians(1.0)
    assert turned(outer, turn_deg, inclination_deg=0.0).camber < radians(-1.0)
