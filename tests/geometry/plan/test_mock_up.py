from __future__ import annotations

import pytest

from geometry.errors import PlanError
from geometry.plan.mock_up import mock_up
from geometry.rig.wheel import INCH
from tests.geometry.plan.builds import built, mockup


def test_each_width_of_a_trial_list_has_its_overlap_and_mark() -> None:
    plan = mock_up(built(72.0, 2.0), [width * INCH for width in (64.0, 68.0, 71.0)])
    assert [row.left.overlap.value / INCH for row in plan.rows] == pytest.approx([14.0, 12.0, 10.5])
    assert [row.right.overlap.value / INCH for row in plan.rows] == pytest.approx([10.0, 8.0, 6.5])
    assert [row.left.from_mount.value / INCH for row in plan.rows] == pytest.approx([10.0, 12.0, 13.5])
    assert [row.fits for row in plan.rows] == [True, True, True]


def test_a_width_out_of_reach_says_so_beside_the_widths_that_can_be_set() -> None:
    plan = mock_up(built(), [width * INCH for width in (47.9, 48.0, 76.0, 76.1)])
    assert (plan.least_width.value / INCH, plan.most_width.value / INCH) == pytest.approx((48.0, 76.0))
    assert [row.fits for row in plan.rows] == [False, True, True, False]
    shifted = mock_up(built(offset_in=3.0), [])
    assert (shifted.least_width.value / INCH, shifted.most_width.value / INCH) == pytest.approx((48.0, 70.0))


def test_a_wheel_mount_does_not_go_into_the_sleeve() -> None:
    plan = mock_up(built(offset_in=0.5, mockup=mockup(slider_left=8.0, slider_right=8.0)), [40.9 * INCH, 41.0 * INCH])
    assert plan.least_width.value / INCH == pytest.approx(41.0)
    assert [row.fits for row in plan.rows] == [False, True]


def test_marks_of_a_known_side_stand_although_the_other_is_unknown() -> None:
    plan = mock_up(built(mockup=mockup(slider_left=None)), [60.0 * INCH])
    missing = ("axles/front/build/mockup/slider_left",)
    assert plan.least_width.missing == missing
    assert plan.rows[0].fits is None
    assert plan.rows[0].left.overlap.missing == missing
    assert plan.rows[0].right.overlap.value == pytest.approx(14.0 * INCH)


def test_a_mock_up_that_fits_no_width_is_refused_with_an_overlap_that_works() -> None:
    made = built(mockup=mockup(least_overlap=21.0))
    with pytest.raises(PlanError, match="fits no width") as refused:
        mock_up(made, [])
    ((place, overlap),) = refused.value.nearest
    assert place == "axles/front/build/mockup/least_overlap"
    plan = mock_up(built(mockup=mockup(least_overlap=overlap / INCH)), [])
    assert plan.least_width.value <= plan.most_width.value + 1e-9
