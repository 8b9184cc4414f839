"""Laws of a plan: its parts are the width, left and right are mirror images, and what the welds hold stays."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.motion.travel import TravelPose
from geometry.plan.caster import angles_at, clocking, turned
from geometry.plan.cuts import STEPS, cut_plan, sum_of
from geometry.plan.perch import perch_fit
from geometry.plan.shafts import shaft_plan
from geometry.rig.axle import Axle
from geometry.rig.build import BuildSide, Datum, Perch, Rounding
from geometry.rig.wheel import INCH
from tests.geometry.plan.builds import built, mirrored, shaft, side

SUM = 1e-9
ROUNDINGS: tuple[Rounding, ...] = ("none", "1/16 in", "1/32 in", "0.5 mm")
DATUMS: tuple[Datum, ...] = ("pinion", "centre-face", "tube-end")


def axles(seed: int, count: int) -> Iterator[Axle]:
    rng = np.random.default_rng(seed)
    for index in range(count):
        perches = tuple(
            Perch(id=f"p{each}", at=float(rng.uniform(-700, 700)), width=float(rng.uniform(30, 90)), weld_leg=6.0)
            for each in range(3)
        )
        yield built(
            float(rng.uniform(55, 90)), float(rng.uniform(-9, 9)),
            left=_side(rng), right=_side(rng), datum=DATUMS[index % 3], rounding=ROUNDINGS[index % 4], perches=perches,
        )  # fmt: skip


def _side(rng: np.random.Generator) -> BuildSide:
    lengths = {
        "end_addition": rng.uniform(3, 10), "centre_half": rng.uniform(4, 8), "insertion_centre": rng.uniform(0, 4),
        "insertion_end": rng.uniform(0, 3), "shrink": rng.uniform(0, 0.2),
    }  # fmt: skip
    made = side(**{name: float(value) for name, value in lengths.items()})
    return replace(made, shaft=shaft(flange=float(rng.uniform(-6, 2)), end_play=float(rng.uniform(0, 0.1))))


def test_the_parts_are_the_width_before_rounding_and_within_the_told_error_after() -> None:
    for made in axles(1, 300):
        plan = cut_plan(made)
        assert abs(sum_of(plan.proof).value - made.width) <= SUM
        assert abs(sum_of(plan.proof_rounded).value - made.width - plan.rounding_error.value) <= SUM
        assert abs(plan.rounding_error.value) <= STEPS[plan.rounding] * (1.0 + 1e-5) + SUM


def test_the_finished_axle_is_halves_of_parts_whatever_the_datum() -> None:
    for made in axles(2, 50):
        plan, build = cut_plan(made), made.build
        for each, parts in ((plan.left, build.left), (plan.right, build.right)):
            assert abs(parts.centre_half + each.showing.value + parts.end_addition - each.half.value) <= SUM
            depths = parts.insertion_centre + parts.insertion_end
            assert abs(each.showing.value + depths + parts.shrink - each.tube.value) <= SUM


def test_halves_differ_by_twice_the_pinion_offset() -> None:
    for made in axles(3, 50):
        plan, shafts = cut_plan(made), shaft_plan(made)
        assert plan.right.half.value - plan.left.half.value == pytest.approx(2.0 * made.housing.pinion_offset, abs=SUM)
        moved = replace(made, housing=replace(made.housing, pinion_offset=made.housing.pinion_offset + INCH))
        others = shaft_plan(moved)
        assert shafts.left.length.value - others.left.length.value == pytest.approx(INCH, abs=SUM)
        assert others.right.length.value - shafts.right.length.value == pytest.approx(INCH, abs=SUM)


def test_swapping_left_and_right_mirrors_the_plan() -> None:
    for made in axles(4, 60):
        plan, other = cut_plan(made), cut_plan(mirrored(made))
        for each, image in ((plan.left, other.right), (plan.right, other.left)):
            assert (each.cut, each.tube, each.showing, each.marks) == (
                image.cut,
                image.tube,
                image.showing,
                image.marks,
            )
        assert plan.width_given.value == pytest.approx(other.width_given.value, abs=SUM)
        fit, flipped = perch_fit(made), perch_fit(mirrored(made))
        assert fit.fits == flipped.fits
        assert [(-span.high, -span.low) for span in reversed(flipped.offsets)] == [
            pytest.approx((span.low, span.high)) for span in fit.offsets
        ]
        assert fit.least_width == pytest.approx(flipped.least_width)


def test_a_wider_axle_never_takes_room_from_its_perches() -> None:
    for made in axles(5, 60):
        before, after = perch_fit(made), perch_fit(replace(made, width=made.width + 100.0))
        assert not before.fits or after.fits
        for span in before.offsets:
            assert any(wide.low <= span.low and span.high <= wide.high for wide in after.offsets)


def test_turning_the_housing_leaves_caster_and_pinion_together_as_they_are() -> None:
    rng = np.random.default_rng(6)
    for caster, pinion, turn in rng.uniform(-0.3, 0.3, (50, 3)):
        now = clocking(caster=float(caster), pinion=float(pinion))
        then = turned(now, float(turn))
        assert then.caster + then.pinion == pytest.approx(now.separation, abs=1e-12)
        assert clocking(caster=then.caster, pinion=then.pinion).separation == pytest.approx(now.separation, abs=1e-12)


def test_straight_travel_leaves_caster_and_pinion_together_as_they_are() -> None:
    made = built()
    poses = [TravelPose(travel, travel) for travel in np.linspace(-120.0, 150.0, 12).tolist()]
    for angles in angles_at(made, poses):
        # a few times the map's error of 1e-4 mm over its lever
        assert angles.pinion + angles.caster_left == pytest.approx(radians(6.0), abs=1e-6)
        assert angles.caster_right == pytest.approx(angles.caster_left, abs=1e-6)
