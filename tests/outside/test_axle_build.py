"""The arithmetic of axle building: halves from the pinion, housing from end to end, tubes, faces of the tires.

Sources, the makers left unnamed:

- A rear axle maker's ordering page: 60 in wide with the pinion moved 2 in to the left is "-2L +2R", its parts differ by
  4 in, and "-2L" alone makes an axle of 58 in.
- A paper of tips for narrowing rear axles: left and right measurement from the pinion add up to the overall width.
- An axle shop's page on measuring for custom axles: space from housing end to axle flange by kind of end, 2.36, 2.50
  and 2.02 in; housing = width less twice of it, worked out for 60 in in the project's sheet of checks.
- The project's sheet of checks, part 2 section 2, for a steered axle: 72 in, centre section 13, ends 10.25 each, slip
  3.0 on each side, pinion 9 off the middle; tubes 31.25 and 13.25 in.
- Two drawings of complete axles from an axle builder: 2400 mm from drum face to drum face, offset 60 mm, outside of the
  tires 2490 mm, inside 2070 mm with a section of 210 mm.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.plan.cuts import cut_plan, sum_of
from geometry.plan.shafts import shaft_plan
from geometry.plan.wheel_fit import wheel_fit
from geometry.rig.wheel import INCH, Tire, Wheel
from tests.geometry.plan.builds import built, shaft, side


def test_a_pinion_2_in_to_the_left_makes_halves_of_28_and_32_in() -> None:
    plan = cut_plan(built(60.0, 2.0))
    halves = (plan.left.half.value, plan.right.half.value)
    assert [half / INCH for half in halves] == pytest.approx([28.0, 32.0], abs=1e-12)
    assert sum(halves) / INCH == pytest.approx(60.0, abs=1e-12)
    assert sum_of(plan.proof).value / INCH == pytest.approx(60.0, abs=1e-12)


def test_the_left_half_alone_2_in_shorter_makes_58_in() -> None:
    plan = cut_plan(built(58.0, 1.0))
    assert [each.half.value / INCH for each in (plan.left, plan.right)] == pytest.approx([28.0, 30.0], abs=1e-12)


@pytest.mark.parametrize(("space_in", "housing_in"), [(2.36, 55.28), (2.50, 55.00), (2.02, 55.96)])
def test_housing_of_a_60_in_axle_by_the_space_at_its_ends(space_in: float, housing_in: float) -> None:
    plan = cut_plan(built(60.0, left=side(end_addition=space_in), right=side(end_addition=space_in)))
    assert plan.between_ends.value / INCH == pytest.approx(housing_in, abs=1e-9)


@pytest.mark.parametrize(("centre_in", "end_in"), [(3.0, 0.0), (1.5, 1.5), (0.0, 3.0)])
def test_tubes_of_a_steered_72_in_axle_with_slip_joints(centre_in: float, end_in: float) -> None:
    slip = side(insertion_centre=centre_in, insertion_end=end_in)
    plan = cut_plan(built(72.0, 9.0, left=slip, right=slip, datum="tube-end"))
    assert plan.right.tube.value / INCH == pytest.approx(31.25, abs=1e-9)
    assert plan.left.tube.value / INCH == pytest.approx(13.25, abs=1e-9)
    assert plan.left.cut.exact == plan.left.tube
    assert sum_of(plan.proof).value / INCH == pytest.approx(31.25 + 13.25 + 13.0 + 20.5 - 6.0, abs=1e-9)


def test_shafts_less_the_width_are_a_constant_of_the_hub_set() -> None:
    sides = {name: replace(side(), shaft=shaft(flange=1.25)) for name in ("left", "right")}
    plans = {width: shaft_plan(built(width, offset, **sides)) for width, offset in ((60.0, 0.0), (66.5, 4.0))}
    constants = [plan.left.length.value + plan.right.length.value - width * INCH for width, plan in plans.items()]
    assert constants[0] == pytest.approx(constants[1], abs=1e-9)


def test_faces_of_the_tires_of_a_complete_2400_mm_axle() -> None:
    drawn = replace(
        built(),
        width=2400.0,
        wheel=Wheel(rim_width=6.0 * INCH, offset=60.0),
        tire=Tire(size="215/75-17.5", section_width=210.0),
    )
    fit = wheel_fit(drawn)
    assert (fit.track, fit.outer_width, fit.inner_width) == pytest.approx((2280.0, 2490.0, 2070.0), abs=1e-9)
