from __future__ import annotations

import pytest

from geometry.driveline.choice import compare_pinions
from geometry.driveline.shaft import shaft_at
from geometry.motion.travel import TravelPose
from geometry.rig.driveline import PinionChoice
from tests.geometry.driveline.shafted import shafted

CHOICES = (
    PinionChoice(id="high", name="High pinion", pinion_rise=60.0),
    PinionChoice(id="low", pinion_rise=-40.0, centre_radius=120.0),
)


def test_the_drawn_one_comes_first_and_each_is_measured_with_its_own_numbers() -> None:
    axle = shafted(choices=CHOICES)
    drawn, high, low = compare_pinions(axle)
    assert (drawn.id, high.name, low.name) == ("", "High pinion", "low")
    assert drawn.axle is axle
    for each in (drawn, high, low):
        there = shaft_at(each.axle, (TravelPose(-120.0, -120.0),))
        assert there is not None
        assert each.full_droop is not None
        assert each.full_droop.length == pytest.approx(there[0].length, abs=1e-9)
        assert each.full_droop.pinion == pytest.approx(there[0].pinion, abs=1e-12)
        assert each.travel is not None
        assert each.full_droop.pinion <= each.travel.pinion.most.high


def test_a_raised_pinion_has_a_flatter_shaft_at_full_droop_and_more_air_under_it() -> None:
    drawn, high, low = compare_pinions(shafted(choices=CHOICES))
    assert drawn.full_droop is not None
    assert high.full_droop is not None
    assert low.full_droop is not None
    assert high.full_droop.pinion < drawn.full_droop.pinion < low.full_droop.pinion
    assert high.under_pinion > drawn.under_pinion > low.under_pinion
    assert drawn.under_centre == pytest.approx(470.0 - 140.0)
    assert low.under_centre == pytest.approx(470.0 - 120.0)
    assert low.ground_clearance == min(low.under_centre, low.under_pinion)


def test_without_a_snout_the_centre_section_counts_alone() -> None:
    bare = compare_pinions(shafted(output=None, housing={"pinion_length": 0.0}))[0]
    assert bare.under_pinion == bare.under_centre
    assert bare.travel is bare.full_droop is None
