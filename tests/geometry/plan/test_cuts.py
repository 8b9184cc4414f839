"""Cut plans; the cases that builders know by heart are common practice, no source."""

from __future__ import annotations

from dataclasses import fields

import pytest
from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.plan.amount import Amount
from geometry.plan.cuts import CutPlan, CutSide, Mark, cut_plan, rounded, sum_of
from geometry.rig.build import Build
from geometry.rig.wheel import INCH
from tests.geometry.motion.axles import axle
from tests.geometry.plan.builds import built, side

FINE = 1e-9
DATUMS = ("pinion", "centre-face", "tube-end")


def inches(amount: Amount) -> float:
    assert amount.value is not None, amount.missing
    return amount.value / INCH


def marks(plan: CutSide) -> dict[str, float | None]:
    return {mark.name: mark.exact.value for mark in plan.marks}


# Common practice


def test_62_1_2_with_4_an_end_puts_the_tube_mark_27_1_4_from_the_pinion() -> None:
    only_the_end = {"left": side(end_addition=4.0, centre_half=None), "right": side(end_addition=4.0, centre_half=None)}
    plan = cut_plan(built(62.5, **only_the_end, rounding="1/16 in"))
    for each in (plan.left, plan.right):
        assert inches(each.cut.exact) == pytest.approx(27.25, abs=FINE)
        assert inches(each.cut.rounded) == pytest.approx(27.25, abs=FINE)
    assert plan.rounding_error.value == pytest.approx(0.0, abs=FINE)


def test_62_1_2_with_11_5_8_a_knuckle_leaves_39_1_4_between_knuckles() -> None:
    knuckles = {"left": side(end_addition=11.625), "right": side(end_addition=11.625)}
    centred = cut_plan(built(62.5, **knuckles))
    assert inches(centred.between_ends) == pytest.approx(39.25, abs=FINE)
    assert inches(centred.left.cut.exact) == pytest.approx(19.625, abs=FINE)
    assert inches(centred.right.cut.exact) == pytest.approx(19.625, abs=FINE)
    with_pinion_8_off = cut_plan(built(62.5, 8.0, **knuckles))
    assert inches(with_pinion_8_off.between_ends) == pytest.approx(39.25, abs=FINE)
    assert inches(with_pinion_8_off.left.cut.exact) == pytest.approx(11.625, abs=FINE)
    assert inches(with_pinion_8_off.right.cut.exact) == pytest.approx(27.625, abs=FINE)


# Datum, insertion, shrinkage, kerf


def test_each_datum_measures_the_same_tube() -> None:
    sides = {
        "left": side(insertion_centre=2.0, insertion_end=1.0, shrink=0.125),
        "right": side(insertion_centre=2.0, insertion_end=1.0, shrink=0.125),
    }
    plans = {datum: cut_plan(built(datum=datum, **sides)) for datum in DATUMS}
    tube = 36.0 - 10.25 - 6.5 + 2.0 + 1.0 + 0.125
    from_the_pinion = tube + 6.5 - 2.0
    assert inches(plans["pinion"].left.cut.exact) == pytest.approx(from_the_pinion, abs=FINE)
    assert inches(plans["centre-face"].left.cut.exact) == pytest.approx(from_the_pinion - 6.5, abs=FINE)
    assert inches(plans["tube-end"].left.cut.exact) == pytest.approx(tube, abs=FINE)
    for datum, plan in plans.items():
        assert inches(plan.left.tube) == pytest.approx(tube, abs=FINE)
        known = marks(plan.left)
        step = -INCH if datum == "tube-end" else INCH
        assert (known["wheel_mount"] - known["end_face"]) / step == pytest.approx(10.25, abs=FINE)
        assert (known["centre_face"] - known["pinion"]) / step == pytest.approx(6.5, abs=FINE)
        assert (known["end_face"] - known["centre_face"]) / step == pytest.approx(19.25 + 0.125, abs=FINE)


def test_shrinkage_makes_the_tube_longer_and_not_the_axle() -> None:
    plain = cut_plan(built())
    shrinking = cut_plan(built(left=side(shrink=0.1)))
    assert inches(shrinking.left.tube) - inches(plain.left.tube) == pytest.approx(0.1, abs=FINE)
    assert shrinking.left.showing == plain.left.showing
    assert sum_of(shrinking.proof).value == pytest.approx(72.0 * INCH, abs=FINE)


def test_both_tubes_take_a_saw_cut_each() -> None:
    assert inches(cut_plan(built(datum="tube-end")).stock_needed) == pytest.approx(2 * 19.25 + 2 * 0.125, abs=FINE)


def test_another_width_is_planned_without_changing_the_axle() -> None:
    assert cut_plan(built(72.0), 70.0 * INCH) == cut_plan(built(70.0))


# Unknown


def test_what_rests_on_a_value_that_is_missing_is_unknown_and_names_it() -> None:
    plan = cut_plan(built(left=side(end_addition=None)))
    missing = ("axles/front/build/left/end_addition",)
    assert plan.left.cut.exact == Amount(None, missing)
    assert plan.width_given == Amount(None, missing)
    assert plan.missing == missing
    assert sum_of(plan.proof) == Amount(None, missing)
    assert inches(plan.right.cut.exact) == pytest.approx(25.75, abs=FINE)


@pytest.mark.parametrize("build", [None, Build()])
def test_an_axle_of_which_nothing_is_known_has_halves_and_nothing_else(build: Build | None) -> None:
    plan = cut_plan(replace(axle(), build=build))
    assert plan.left.half.value == pytest.approx(1600.0 / 2.0 - 150.0, abs=FINE)
    known = {field.name for field in fields(CutPlan) if getattr(getattr(plan, field.name), "value", None) is not None}
    assert known == set()
    assert len(plan.missing) == 11


def test_a_mark_needs_only_the_parts_that_lie_between_it_and_the_datum() -> None:
    nothing_but_depth = side(end_addition=None, centre_half=None, insertion_end=1.0)
    plan = cut_plan(built(left=nothing_but_depth, datum="tube-end"))
    assert marks(plan.left)["end_face"] == pytest.approx(INCH, abs=FINE)
    assert marks(plan.left)["centre_face"] is None


# Rounding


@pytest.mark.parametrize(
    ("value_in", "step_in", "rounded_in"),
    [
        (5.877953, 1 / 16, 5.875),
        (5.877953, 1 / 32, 5.875),
        (64.507874, 1 / 16, 64.5),
        (-3.0625, 1 / 16, -3.0625),
        (-0.03, 1 / 16, 0.0),
        (27.25 - 1e-13, 1 / 16, 27.25),
        (27.28125 - 1e-13, 1 / 16, 27.3125),
    ],
)
def test_a_length_is_rounded_to_the_nearest_step_and_a_tie_upward(
    value_in: float, step_in: float, rounded_in: float
) -> None:
    assert rounded(value_in * INCH, step_in * INCH) / INCH == pytest.approx(rounded_in, abs=FINE)


def test_the_width_that_rounded_cuts_give_is_told_with_its_error() -> None:
    plan = cut_plan(built(72.05, rounding="1/16 in"))
    assert inches(plan.left.cut.rounded) == pytest.approx(25.75, abs=FINE)
    assert inches(plan.width_given) == pytest.approx(72.0, abs=FINE)
    assert inches(plan.rounding_error) == pytest.approx(-0.05, abs=FINE)
    assert sum_of(plan.proof_rounded) == plan.width_given
    assert inches(plan.left.tube_cut) == pytest.approx(inches(plan.left.tube) - 0.025, abs=FINE)


def test_without_rounding_marks_stay_as_they_are() -> None:
    plan = cut_plan(built(72.05))
    assert all(mark.exact == mark.rounded for mark in (*plan.left.marks, plan.left.cut))


def test_rounding_that_breaks_the_sum_is_refused_with_widths_that_work() -> None:
    with pytest.raises(PlanError, match="choose a width of") as refused:
        cut_plan(built(72.05, rounding="1/16 in", rounding_limit=0.5))
    assert refused.value.by == pytest.approx(0.05 * INCH - 0.5, abs=FINE)
    assert refused.value.place == "axles/front/build/rounding"
    assert len(refused.value.nearest) == 2
    for place, width in refused.value.nearest:
        assert place == "axles/front/width"
        assert abs(width - 72.05 * INCH) < INCH / 8.0
        cut_plan(built(width / INCH, rounding="1/16 in", rounding_limit=0.5))


# Refusals


@pytest.mark.parametrize(("offset_in", "short"), [(4.0, "left"), (-4.0, "right")])
def test_a_width_without_room_for_its_parts_is_refused_with_a_width_and_an_offset_that_work(
    offset_in: float, short: str
) -> None:
    with pytest.raises(PlanError, match="more than the") as refused:
        cut_plan(built(36.0, offset_in))
    assert refused.value.place == f"axles/front/build/{short}/end_addition"
    assert refused.value.by == pytest.approx((16.75 - 14.0) * INCH + 1.0, abs=FINE)
    values = dict(refused.value.nearest)
    width, offset = values["axles/front/width"], values["axles/front/housing/pinion_offset"]
    cut_plan(built(36.0, offset_in), width)
    cut_plan(built(36.0, offset / INCH))
    assert offset / offset_in > 0.0
    with pytest.raises(PlanError):
        cut_plan(built(36.0, offset_in), width - 0.2)


def test_a_width_too_small_for_any_offset_names_a_width_alone() -> None:
    with pytest.raises(PlanError, match="make the width at least") as refused:
        cut_plan(built(30.0))
    assert [place for place, _ in refused.value.nearest] == ["axles/front/width"]


def test_an_end_alone_that_is_longer_than_its_half_is_refused() -> None:
    with pytest.raises(PlanError, match="left side"):
        cut_plan(built(20.0, left=side(centre_half=None)))


def test_a_tube_that_goes_through_the_middle_is_refused() -> None:
    with pytest.raises(PlanError, match=r"12\.7 mm too deep") as refused:
        cut_plan(built(right=side(insertion_centre=7.0)))
    assert refused.value.nearest == (("axles/front/build/right/insertion_centre", 165.1),)


def test_a_tube_that_goes_out_through_its_end_is_refused() -> None:
    with pytest.raises(PlanError, match="wheel mounting face is") as refused:
        cut_plan(built(left=side(insertion_end=11.0)))
    assert refused.value.by == pytest.approx(0.75 * INCH)
    assert refused.value.place == "axles/front/build/left/insertion_end"


@pytest.mark.parametrize("width", [0.0, -1600.0, float("nan"), float("inf")])
def test_a_width_that_is_none_is_refused(width: float) -> None:
    with pytest.raises(PlanError, match="is none"):
        cut_plan(built(), width)


def test_marks_are_plain_values() -> None:
    assert cut_plan(built()) == cut_plan(built())
    assert hash(cut_plan(built()).left) == hash(cut_plan(built()).left)
    assert isinstance(cut_plan(built()).left.cut, Mark)
