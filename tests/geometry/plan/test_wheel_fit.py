from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.plan.wheel_fit import backspacing_of, by_housing, by_offset, wheel_fit
from geometry.rig.wheel import INCH, Wheel
from tests.geometry.plan.builds import built

OUTER = 86.0 * INCH


def test_faces_and_rim_edge_follow_from_width_offset_and_section() -> None:
    fit = wheel_fit(built())
    assert fit.track == pytest.approx(72.0 * INCH + 50.0)
    assert fit.outer_width == pytest.approx(fit.track + 12.5 * INCH)
    assert (fit.inner_face + fit.outer_face) == pytest.approx(fit.track)
    assert fit.outer_face - fit.inner_face == pytest.approx(12.5 * INCH)
    assert fit.inner_width == pytest.approx(2.0 * fit.inner_face)
    assert fit.backspacing == pytest.approx(4.5 * INCH + 12.7 - 25.0)
    assert fit.rim_edge == pytest.approx(36.0 * INCH - fit.backspacing)


def test_offset_and_backspacing_turn_into_each_other() -> None:
    wheel = Wheel(rim_width=9.0 * INCH, offset=-25.0)
    again = Wheel(rim_width=9.0 * INCH, backspacing=backspacing_of(wheel))
    assert backspacing_of(again) == backspacing_of(wheel)


def test_the_same_outer_width_keeps_the_scrub_radius_by_housing_and_grows_it_by_offset() -> None:
    now, housing, offset = wheel_fit(built()), by_housing(built(), OUTER + 100.0), by_offset(built(), OUTER + 100.0)
    assert housing.outer_width == pytest.approx(OUTER + 100.0)
    assert offset.outer_width == pytest.approx(OUTER + 100.0)
    assert (housing.offset, offset.width) == (now.offset, now.width)
    assert housing.scrub == pytest.approx(now.scrub)
    assert offset.scrub - now.scrub == pytest.approx((offset.outer_width - now.outer_width) / 2.0)
    assert (housing.trail, offset.trail) == pytest.approx((now.trail, now.trail))
    assert offset.backspacing < now.backspacing == housing.backspacing


def test_an_unsteered_axle_has_no_scrub_radius() -> None:
    fit = wheel_fit(replace(built(), steering=None))
    assert (fit.scrub, fit.trail) == (None, None)


def test_clearances_inside_the_wheel_are_told_where_the_parts_were_measured() -> None:
    fit = wheel_fit(built(rim_inside_radius=205.0, brake_radius=190.0))
    assert fit.brake_clearance.value == pytest.approx(15.0)
    assert fit.knuckle_clearance.missing == ("axles/front/build/knuckle_inset",)
    assert wheel_fit(built(knuckle_inset=110.0)).knuckle_clearance.value == pytest.approx(8.0)


def test_a_backspacing_that_no_wheel_has_is_refused_with_the_outer_widths_that_wheels_reach() -> None:
    with pytest.raises(PlanError, match=r"from 1892\.3 mm to 2350\.3 mm") as refused:
        by_offset(built(), 100.0 * INCH)
    ((place, offset),) = refused.value.nearest
    assert place == "axles/front/wheel/offset"
    reached = 72.0 * INCH + 12.5 * INCH - 2.0 * offset
    assert by_offset(built(), reached).offset == pytest.approx(offset)
    assert by_offset(built(), 1892.3).backspacing == pytest.approx(9.0 * INCH + 25.4)
    assert by_offset(built(), 2350.3).backspacing == pytest.approx(25.0)
    assert refused.value.by == pytest.approx((100.0 * INCH - reached) / 2.0)


@pytest.mark.parametrize("reach", [by_housing, by_offset])
def test_tires_that_meet_in_the_middle_are_refused(reach: object) -> None:
    with pytest.raises(PlanError, match="meet in the middle"):
        reach(built(), 24.0 * INCH)


def test_wheels_that_leave_no_housing_are_refused() -> None:
    deep = replace(built(), wheel=Wheel(rim_width=9.0 * INCH, offset=-400.0))
    with pytest.raises(PlanError, match="no housing"):
        by_housing(deep, 26.0 * INCH)
