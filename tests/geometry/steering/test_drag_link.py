from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.rig.axle import Axle
from geometry.rig.steer_gear import DragLink
from geometry.steering.drag_link import bump_steer, link_range, pitman_turn, steer_ratio
from tests.geometry.motion.axles import STEERING, axle
from tests.geometry.motion.ties import tied

LINK = DragLink(
    pitman=(2650.0, -420.0, 620.0),
    shaft=(2800.0, -400.0, 640.0),
    shaft_end=(2800.0, -400.0, 900.0),
    knuckle="left",
    arm=(160.0, -110.0, 80.0),
)


def linked(**changes: object) -> Axle:
    return axle(steering=replace(STEERING, drag_link=replace(LINK, **changes)))


def test_straight_ahead_at_ride_height_nothing_turns() -> None:
    assert float(pitman_turn(linked(), 0.0)) == pytest.approx(0.0, abs=1e-12)
    found = bump_steer(linked(), 0.0, 0.0)
    assert found is not None
    for each in (found.turn, found.axle_steer, found.roll, found.left_wheel, found.right_wheel):
        assert each == pytest.approx([0.0], abs=1e-9)


@pytest.mark.parametrize("tie", ["", "tie rod behind"])
@pytest.mark.parametrize("knuckle", ["left", "right"])
def test_at_the_pitman_turn_of_a_steer_both_wheels_steer_as_the_tie_asks(knuckle: str, tie: str) -> None:
    side = 1.0 if knuckle == "right" else -1.0
    shaft = {"shaft": (2800.0, side * 400.0, 640.0), "shaft_end": (2800.0, side * 400.0, 900.0)}
    made = linked(knuckle=knuckle, pitman=(2650.0, side * 420.0, 620.0), **shaft)
    made = tied(made, tie) if tie else made
    for steer in (-0.4, 0.35):
        found = bump_steer(made, 60.0, -30.0, float(pitman_turn(made, steer, 60.0, -30.0)))
        assert found is not None
        wheels = (found.left_wheel[0], found.right_wheel[0])
        assert np.sign(wheels) == pytest.approx(np.sign([steer, steer]))
        if tie:
            assert abs(wheels[0] if steer > 0.0 else wheels[1]) > abs(wheels[1] if steer > 0.0 else wheels[0])


def test_roll_is_positive_with_the_left_side_up() -> None:
    found = bump_steer(linked(), [80.0, -80.0], [-80.0, 80.0])
    assert found is not None
    assert found.roll[0] > 0.1
    assert found.roll[1] == pytest.approx(-found.roll[0], rel=0.02)


def test_the_ratio_is_that_of_the_arms_when_they_are_parallel() -> None:
    # both arms 150 mm off a level link straight across, upright kingpins: one to one
    upright = replace(STEERING, inclination_deg=0.0, caster_deg=0.0)
    ball = np.array([2500.0 + 160.0, 800.0 - 110.0, 470.0 + 80.0])
    pitman = ball - np.array([0.0, 1000.0, 0.0])
    arm = 320.0
    link = replace(
        LINK,
        pitman=tuple(pitman.tolist()),
        shaft=tuple((pitman + np.array([arm, 0.0, 0.0])).tolist()),
        shaft_end=tuple((pitman + np.array([arm, 0.0, 100.0])).tolist()),
    )
    assert steer_ratio(axle(steering=replace(upright, drag_link=link)), 0.0) == pytest.approx(160.0 / arm, abs=0.02)


def test_a_pitman_arm_that_is_too_short_ends_the_range() -> None:
    full, short = (
        link_range(linked(shaft=(2650.0 + reach, -400.0, 640.0), shaft_end=(2650.0 + reach, -400.0, 900.0)))
        for reach in (300.0, 90.0)
    )
    assert full == pytest.approx((-np.radians(36.0), np.radians(38.0)))
    assert short is not None
    assert -np.radians(36.0) < short[0] < 0.0 < short[1] < np.radians(38.0)
    unreached = pitman_turn(linked(shaft=(2710.0, -400.0, 640.0), shaft_end=(2710.0, -400.0, 900.0)), np.radians(38.0))
    assert np.isnan(unreached)


def test_without_a_drag_link_there_is_nothing_to_tell() -> None:
    assert bump_steer(axle(steering=STEERING), 10.0, 10.0) is None
    assert link_range(axle()) is None
    assert np.isnan(pitman_turn(axle(steering=STEERING), 0.1))
