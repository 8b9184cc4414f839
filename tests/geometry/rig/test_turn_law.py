from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.rig.steer_gear import Ackermann, TieRod
from geometry.rig.turn_law import SLOWEST, TurnLaw, turn_law
from tests.geometry.motion.axles import STEERING, axle

BEHIND = TieRod(arm=(-150.0, -150.0, 10.0))
LAWS = (
    TurnLaw("tie_rod", 1500.0, -30.0, -150.0, 155.0),
    TurnLaw("tie_rod", 1300.0, -60.0, 140.0, 153.0),
    TurnLaw("share", 1500.0, 0.7, 2600.0),
    TurnLaw("share", 1400.0, 1.0, -2600.0),
)


@pytest.mark.parametrize("law", LAWS)
def test_both_wheels_start_alike(law: TurnLaw) -> None:
    turn, rate, by_width = law.outer(0.0)
    assert (turn, rate, by_width) == pytest.approx((0.0, 1.0, 0.0), abs=1e-12)


@pytest.mark.parametrize("law", LAWS)
def test_slopes_are_those_of_the_turn(law: TurnLaw) -> None:
    inner, step = np.radians([3.0, 20.0, 30.0]), 1e-5
    _, rate, by_width = law.outer(inner)
    assert rate == pytest.approx((law.outer(inner + step)[0] - law.outer(inner - step)[0]) / (2.0 * step), abs=1e-6)
    change = law.outer(inner, 0.5)[0] - law.outer(inner, -0.5)[0]
    assert by_width == pytest.approx(change, abs=1e-9)
    assert law.wider(0.5).outer(inner)[0] == pytest.approx(law.outer(inner, 0.5)[0], abs=1e-15)


def test_an_arm_behind_that_leans_inboard_turns_the_outer_wheel_less_and_one_ahead_more() -> None:
    behind = turn_law(axle(steering=replace(STEERING, tie_rod=BEHIND)))
    ahead = turn_law(axle(steering=replace(STEERING, tie_rod=TieRod(arm=(150.0, -150.0, 10.0)))))
    assert behind is not None
    assert ahead is not None
    assert behind.outer(0.5)[0] < 0.5 < ahead.outer(0.5)[0]


def test_nothing_ties_the_wheels_of_an_old_rig() -> None:
    assert turn_law(axle(steering=STEERING)) is None
    assert turn_law(axle()) is None


def test_no_share_is_no_change_and_all_of_it_is_correct_steering() -> None:
    none, full = (
        turn_law(axle(steering=replace(STEERING, ackermann=Ackermann(share_factor=share, turn_length=2500.0))))
        for share in (0.0, 1.0)
    )
    assert none is not None
    assert full is not None
    assert none.outer(0.6)[0] == pytest.approx(0.6, abs=1e-15)
    outer = full.outer(0.6)[0]
    assert 1.0 / np.tan(outer) - 1.0 / np.tan(0.6) == pytest.approx(full.spread / 2500.0)


def test_a_law_ends_where_the_outer_wheel_is_hardly_driven() -> None:
    law = LAWS[1]
    end = law.end()
    assert 20.0 < end < 80.0
    rate = law.outer(np.radians([end, end + 0.2]))[1]
    assert SLOWEST <= rate[0] <= 1.0 / SLOWEST
    assert not SLOWEST <= rate[1] <= 1.0 / SLOWEST


def test_beyond_its_reach_a_tie_rod_gives_no_angle() -> None:
    assert np.isnan(LAWS[1].outer(np.radians(89.0))[0])
