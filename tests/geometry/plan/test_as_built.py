from __future__ import annotations

from math import radians
from typing import Any

import pytest
from msgspec.structs import replace

from geometry.plan.as_built import (
    AsBuiltReport,
    as_built_axle,
    as_built_report,
    as_built_rig,
    contradictions,
    is_measured,
    length_tolerance,
    planned,
)
from geometry.rig.axle import Axle
from geometry.rig.build import AsBuilt
from geometry.rig.check import check_rig
from geometry.rig.wheel import INCH, tire_dimensions
from tests.geometry.plan.builds import built, side
from tests.geometry.rig.rigs import small_rig


def measured(build: dict[str, Any] | None = None, **values: Any) -> Axle:
    record = AsBuilt(date="2026-05-31", stage="welded", **values)
    return replace(built(**({"tolerance_class": "B"} | (build or {}))), as_built=record)


def report(build: dict[str, Any] | None = None, **values: Any) -> AsBuiltReport:
    found = as_built_report(measured(build, **values))
    assert found is not None
    return found


def test_an_axle_that_nobody_measured_has_no_report() -> None:
    assert as_built_report(built()) is None
    assert as_built_axle(built()) == built()


def test_a_difference_is_measured_less_planned_and_judged_by_the_class() -> None:
    found = {each.name: each for each in report(width=72.0 * INCH + 5.0, half_left=36.0 * INCH - 3.5).differences}
    assert found["width"].by.value == pytest.approx(5.0)
    assert (found["width"].tolerance, found["width"].within) == (4.0, False)
    assert (found["half_left"].tolerance, found["half_left"].within) == (3.0, False)
    assert found["half_right"].within is None
    assert found["half_right"].by.value is None


def test_what_is_out_of_tolerance_is_named() -> None:
    found = report(width=72.0 * INCH + 5.0, half_left=36.0 * INCH, caster_deg=6.5, pinion_angle_deg=1.0)
    assert [each.name for each in found.outside] == ["pinion_angle", "width"]  # by multiples of what is allowed
    assert found.within is False
    assert report(half_left=36.0 * INCH + 3.0).within is True


def test_an_own_tolerance_counts_instead_of_the_class() -> None:
    own = {"tolerance": 6.0, "tolerance_deg": 2.0}
    found = report(own, width=72.0 * INCH + 5.0, pinion_angle_deg=1.0)
    assert found.outside == ()
    assert found.within is True


def test_without_a_tolerance_nothing_is_judged() -> None:
    found = report({"tolerance_class": None}, width=72.0 * INCH)
    assert found.within is None
    assert all(each.within is None for each in found.differences)


def test_tires_are_no_weldment_and_are_compared_only() -> None:
    found = {each.name: each for each in report(tire_diameter=925.0).differences}
    assert found["tire_diameter"].by.value == pytest.approx(925.0 - 37.0 * INCH)
    assert (found["tire_diameter"].tolerance, found["tire_diameter"].within) == (None, None)


def test_a_mark_is_compared_with_the_rounded_one_that_was_cut_by() -> None:
    found = {each.name: each for each in report({"rounding": "0.5 mm"}, mark_left=654.0).differences}
    assert found["mark_left"].planned.value == 654.0
    assert found["mark_left"].by.value == 0.0


def test_halves_that_do_not_add_up_to_the_width_are_told() -> None:
    found = {each.name: each for each in report(width=1830.0, half_left=910.0, half_right=914.0).differences}
    assert found["halves"].by.value == pytest.approx(-6.0)
    assert found["halves"].within is False


def test_the_axle_as_built_has_what_was_measured_and_else_what_was_planned() -> None:
    made = as_built_axle(
        measured(width=1830.0, pinion_offset=5.0, caster_deg=4.0, pinion_angle_deg=2.0, tire_diameter=925.0,
                 section_width=320.0, loaded_radius=440.0)
    )  # fmt: skip
    assert (made.width, made.housing.pinion_offset, made.housing.pinion_angle_deg) == (1830.0, 5.0, 2.0)
    assert made.steering is not None
    assert made.steering.caster_deg == 4.0
    tire = tire_dimensions(made.tire)
    assert (tire.radius, tire.section_width, tire.loaded_radius) == (462.5, 320.0, 440.0)
    untouched = as_built_axle(measured(width=1830.0))
    assert replace(untouched, width=built().width) == measured(width=1830.0)


def test_halves_make_a_width_and_an_offset_that_were_not_measured() -> None:
    made = as_built_axle(measured(half_left=900.0, half_right=930.0))
    assert (made.width, made.housing.pinion_offset) == (1830.0, 15.0)


def test_a_half_that_was_not_measured_is_as_planned() -> None:
    short = 32.0 * INCH
    made = as_built_axle(measured(half_left=short))
    assert (made.width, made.housing.pinion_offset) == (pytest.approx(68.0 * INCH), pytest.approx(2.0 * INCH))
    other = as_built_axle(measured(half_right=short))
    assert (other.width, other.housing.pinion_offset) == (pytest.approx(68.0 * INCH), pytest.approx(-2.0 * INCH))


@pytest.mark.parametrize("datum", ["pinion", "centre-face", "tube-end"])
@pytest.mark.parametrize("stage", ["tacked", "welded"])
def test_a_mark_that_is_short_makes_its_half_that_much_short(datum: str, stage: str) -> None:
    made = measured({"datum": datum, "left": side(shrink=0.125), "right": side(shrink=0.125)})
    at = planned(made, stage)["mark_left"].value
    found = as_built_axle(replace(made, as_built=AsBuilt(date="2026-05-31", stage=stage, mark_left=at - 101.6)))
    assert found.width == pytest.approx(built().width - 101.6)
    assert found.housing.pinion_offset == pytest.approx(50.8)
    kept = replace(made, as_built=AsBuilt(date="2026-05-31", stage=stage, mark_left=at))
    assert as_built_axle(kept).width == built().width


def test_a_mark_tells_nothing_where_it_is_unknown_what_stands_outside_of_it() -> None:
    unknown = measured({"left": side(end_addition=None)}, mark_left=500.0)
    assert as_built_axle(unknown).width == built().width
    found = as_built_report(unknown)
    assert found is not None
    assert [each.name for each in found.measured if each.tells_nothing] == ["mark_left"]


def test_one_half_and_the_width_make_the_other_half_and_so_does_the_offset() -> None:
    made = as_built_axle(measured(width=1800.0, half_left=890.0))
    assert (made.width, made.housing.pinion_offset) == (1800.0, 10.0)
    moved = as_built_axle(measured(half_right=920.0, pinion_offset=10.0))
    assert (moved.width, moved.housing.pinion_offset) == (1820.0, 10.0)


def test_what_contradicts_itself_is_said_in_a_sentence_each() -> None:
    wrong = {
        "make a width of 1727.2 mm": {"width": 1828.8, "half_left": 812.8, "half_right": 914.4},
        "make a pinion offset of 50.8 mm": {"pinion_offset": 0.0, "half_left": 812.8, "half_right": 914.4},
        "the left mark makes a left half of": {"half_left": 914.4, "mark_left": 550.0},
        "make a right half of 914.4 mm": {"width": 1828.8, "pinion_offset": 0.0, "half_right": 800.0},
    }
    for words, values in wrong.items():
        (said,) = contradictions(measured(**values))
        assert words in said
        assert "mm off; measure again" in said
    assert contradictions(measured(width=1828.0, half_left=914.4, half_right=914.4, pinion_offset=0.5)) == ()


def test_a_tacked_axle_is_planned_wider_by_the_weld_shrink_to_come() -> None:
    made = built(left=side(shrink=0.125), right=side(shrink=0.0625))
    tacked, welded = planned(made, "tacked"), planned(made, "welded")
    more = {name: tacked[name].value - welded[name].value for name in tacked}
    assert more["half_left"] == more["mark_left"] == pytest.approx(0.125 * INCH)
    assert more["half_right"] == more["mark_right"] == pytest.approx(0.0625 * INCH)
    assert more["width"] == pytest.approx(0.1875 * INCH)
    assert more["pinion_offset"] == pytest.approx(-0.03125 * INCH)
    assert {name for name, by in more.items() if by == 0.0} == {
        "caster", "pinion_angle", "tire_diameter", "section_width", "loaded_radius"
    }  # fmt: skip


def test_a_tacked_axle_at_its_tacked_plan_is_finished_as_planned_and_in_tolerance() -> None:
    made = replace(built(left=side(shrink=0.25), right=side(shrink=0.25), tolerance=1.0))
    at = {name: planned(made, "tacked")[name].value for name in ("width", "half_left", "half_right", "mark_left")}
    made = replace(made, as_built=AsBuilt(date="2026-05-31", stage="tacked", **at))
    assert as_built_axle(made).width == made.width
    assert as_built_axle(made).housing == made.housing
    found = as_built_report(made)
    assert found is not None
    assert found.within is True
    late = as_built_report(replace(made, as_built=replace(made.as_built, stage="welded")))
    assert late is not None
    assert {each.name for each in late.outside} == {"width", "half_left", "half_right", "mark_left"}


def test_without_a_weld_shrink_a_tacked_axle_is_judged_only_where_no_weld_can_help() -> None:
    build = {"left": side(shrink=None), "right": side(shrink=None)}
    record = AsBuilt(date="2026-05-31", stage="tacked", half_left=32.0 * INCH, half_right=36.25 * INCH)
    found = as_built_report(replace(measured(build), as_built=record))
    assert found is not None
    left, right = found.measured
    assert (left.within, left.off) == (False, pytest.approx(-4.0 * INCH))
    assert (right.within, right.off, right.planned.value) == (None, None, None)
    assert found.lacks_shrink


def test_a_length_far_from_its_plan_is_doubted_and_an_offset_is_not() -> None:
    found = report(width=660.0 * INCH, half_left=32.0 * INCH, pinion_offset=100.0, tire_diameter=37.0)
    assert [each.name for each in found.differences if each.is_doubted] == ["width", "tire_diameter"]


def test_a_record_with_nothing_but_its_heading_is_not_measured() -> None:
    assert not is_measured(None)
    assert not is_measured(AsBuilt(date="2026-05-31", stage="tacked", by="kl", note="cold"))
    assert is_measured(AsBuilt(date="2026-05-31", stage="tacked", pinion_offset=0.0))


def test_a_rig_as_built_is_a_rig_with_the_marks_of_what_did_not_change() -> None:
    rig = small_rig(unconfirmed=("axles/rear/width", "axles/rear/bump"))
    rear = replace(rig.axles[0], as_built=AsBuilt(date="2026-05-31", stage="tacked", width=1604.0))
    found = as_built_rig(replace(rig, axles=(rear, rig.axles[1])))
    check_rig(found)
    assert found.axle("rear").width == 1604.0
    assert found.axle("rear").as_built == rear.as_built
    assert found.axle("front") == rig.axles[1]
    assert found.unconfirmed == ("axles/rear/bump",)


def test_angles_are_told_in_radians() -> None:
    found = {each.name: each for each in report(caster_deg=5.0).differences}
    assert found["caster"].planned.value == pytest.approx(radians(6.0))
    assert found["caster"].by.value == pytest.approx(radians(-1.0))
    assert found["caster"].tolerance == pytest.approx(radians(0.75))


@pytest.mark.parametrize("size", [1.9, 8000.1])
def test_sizes_that_the_table_lacks_have_no_tolerance(size: float) -> None:
    assert length_tolerance(size, "B") is None
