from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.plan.perch import check_perches, perch_fit
from geometry.rig.axle import Axle
from geometry.rig.build import Perch
from geometry.rig.wheel import INCH
from tests.geometry.plan.builds import built, side

FINE = 1e-9
OUTPUT = (1500.0, 8.0 * INCH, 500.0)


def perch(at_in: float = 17.0, *, width_in: float = 3.0, weld_in: float | None = 0.25, **fields: Any) -> Perch:
    leg = None if weld_in is None else weld_in * INCH
    given = {"id": "spring", "at": at_in * INCH, "width": width_in * INCH, "weld_leg": leg, "mirrored": True}
    return Perch(**(given | fields))


def perched(width_in: float = 72.0, offset_in: float = 8.0, *perches: Perch, **fields: Any) -> Axle:
    return built(width_in, offset_in, perches=perches or (perch(),), transfer_output=OUTPUT, **fields)


def refused(made: Axle) -> PlanError:
    with pytest.raises(PlanError, match="want the same") as found:
        check_perches(made)
    return found.value


def test_the_pinion_offset_that_leaves_room_is_a_range_on_both_sides() -> None:
    fit = perch_fit(perched())
    assert fit.fits
    assert fit.shortfalls == ()
    assert [(span.low / INCH, span.high / INCH) for span in fit.offsets] == [
        (pytest.approx(-8.75), pytest.approx(8.75))
    ]
    assert fit.bare_left.value == pytest.approx((36.0 - 8.0 - 6.5 - 10.25) * INCH, abs=FINE)
    assert fit.bare_right.value == pytest.approx((36.0 + 8.0 - 6.5 - 10.25) * INCH, abs=FINE)
    check_perches(perched())


def test_the_driveshaft_pays_for_the_offset() -> None:
    span = perch_fit(perched()).offsets[0]
    plans = [each.plan.value for each in (span.at_low, span.at_high)]
    assert None not in plans
    assert abs(plans[1]) < 0.03 < abs(plans[0])


def test_perches_stand_from_the_middle_of_the_vehicle_and_are_marked_from_the_pinion() -> None:
    left, right = perch_fit(perched()).places
    assert (left.side, right.side, left.mirror, right.mirror) == ("left", "right", False, True)
    assert left.from_pinion.value == pytest.approx(9.0 * INCH, abs=FINE)
    assert right.from_pinion.value == pytest.approx(25.0 * INCH, abs=FINE)
    assert left.from_centre_face.value == pytest.approx(2.5 * INCH, abs=FINE)
    assert left.from_wheel_mount.value == pytest.approx(19.0 * INCH, abs=FINE)
    assert right.from_wheel_mount.value == pytest.approx(19.0 * INCH, abs=FINE)


def test_a_perch_near_the_middle_stands_on_the_long_tube_of_an_offset_axle() -> None:
    made = perched(72.0, -12.0, perch(-1.0, mirrored=False))
    place = perch_fit(made).places[0]
    assert place.side == "left"
    assert perch_fit(made).fits


def test_a_centre_section_in_the_way_is_helped_by_the_offset_and_by_no_width() -> None:
    made = perched(72.0, 9.0)
    fit = perch_fit(made)
    assert not fit.fits
    assert fit.least_width is None
    assert fit.nearest_offset == pytest.approx(8.75 * INCH, abs=FINE)
    problem = refused(made)
    assert problem.by == pytest.approx(0.25 * INCH, abs=FINE)
    assert problem.place == "axles/front/build/perches/spring"
    moved, (place, offset) = problem.nearest
    assert moved == ("axles/front/build/perches/spring/at", pytest.approx(17.25 * INCH, abs=0.2))
    assert place == "axles/front/housing/pinion_offset"
    assert 8.74 * INCH < offset <= 8.75 * INCH
    check_perches(perched(72.0, offset / INCH))


def test_an_end_in_the_way_is_helped_by_the_width_and_by_no_offset() -> None:
    made = perched(56.0, 0.0)
    fit = perch_fit(made)
    assert {each.meets for each in fit.shortfalls} == {"left end", "right end"}
    assert fit.offsets == ()
    assert fit.nearest_offset is None
    assert fit.least_width == pytest.approx(58.0 * INCH, abs=FINE)
    moved, (place, width) = refused(made).nearest
    assert moved == ("axles/front/build/perches/spring/at", pytest.approx(16.0 * INCH, abs=0.2))
    assert place == "axles/front/width"
    check_perches(perched(width / INCH, 0.0))


def test_where_both_are_in_the_way_a_width_and_an_offset_together_help() -> None:
    made = perched(56.0, 9.0)
    fit = perch_fit(made)
    assert (fit.least_width, fit.nearest_offset) == (None, None)
    assert fit.both == (pytest.approx(58.0 * INCH), pytest.approx(8.75 * INCH))
    assert "make the width at least 1474.3 mm and set the pinion offset to 222.2 mm" in str(refused(made))
    check_perches(at(made, 1474.3, 222.2))
    check_perches(perched(fit.both[0] / INCH, fit.both[1] / INCH))


def test_the_width_and_offset_that_help_together_are_the_least_and_the_nearest() -> None:
    rng = np.random.default_rng(11)
    grid = np.linspace(-700.0, 700.0, 281)
    for _ in range(12):
        perches = [perch(float(rng.uniform(-15, 15)), id=f"p{index}", mirrored=False) for index in range(2)]
        made = perched(60.0, float(rng.uniform(-12, 12)), *perches)
        both = perch_fit(made).both
        if both is None:
            continue
        width, offset = both
        assert perch_fit(at(made, width, offset)).fits
        assert not any(fits(made, width - 1.0, each) for each in grid.tolist())
        drawn = made.housing.pinion_offset
        nearer = [each for each in grid.tolist() if abs(each - drawn) < abs(offset - drawn) - 1e-6]
        assert not any(fits(made, width, each) for each in nearer)


def at(made: Axle, width: float, offset: float) -> Axle:
    return replace(made, width=width, housing=replace(made.housing, pinion_offset=offset))


def fits(made: Axle, width: float, offset: float) -> bool | None:
    try:
        return perch_fit(at(made, width, offset)).fits
    except PlanError:
        return False


def test_perches_on_each_other_are_helped_by_neither() -> None:
    fit = perch_fit(perched(72.0, 0.0, perch(), perch(19.0, id="link")))
    assert {(each.perch, each.meets, each.other) for each in fit.shortfalls} == {("spring", "perch", "link")}
    assert (fit.least_width, fit.nearest_offset, fit.both) == (None, None, None)
    problem = refused(perched(72.0, 0.0, perch(), perch(19.0, id="link")))
    assert [place for place, _ in problem.nearest] == ["axles/front/build/perches/spring/at"]
    check_perches(perched(72.0, 0.0, perch(problem.nearest[0][1] / INCH), perch(19.0, id="link")))


def test_a_bracket_on_the_centre_section_is_told_its_own_nearest_place_first() -> None:
    problem = refused(perched(72.0, 0.0, perch(4.0, mirrored=False)))
    place, moved = problem.nearest[0]
    assert place == "axles/front/build/perches/spring/at"
    assert moved == pytest.approx((6.5 + 1.75) * INCH, abs=0.2)
    assert f"of tube; put its middle {moved:.10g} mm from the centre plane, or " in problem.problem
    check_perches(perched(72.0, 0.0, perch(moved / INCH, mirrored=False)))


def test_a_perch_that_is_wider_than_the_room_is_told_how_much_there_is() -> None:
    problem = refused(perched(72.0, 0.0, perch(17.0, width_in=36.0, mirrored=False)))
    bare = (36.0 - 6.5 - 10.25) * INCH
    assert "it takes 927.1 mm, and the most bare tube there is in one piece is 488.9 mm; " in problem.problem
    assert bare == pytest.approx(488.95)


def test_without_a_weld_leg_the_room_is_unknown_but_the_bare_tube_is_not() -> None:
    fit = perch_fit(perched(72.0, 8.0, perch(weld_in=None)))
    assert fit.fits is None
    assert fit.missing == ("axles/front/build/perches/spring/weld_leg",)
    assert fit.offsets == ()
    assert fit.bare_left.value is not None


def test_an_axle_without_perches_has_room_for_all_of_them() -> None:
    fit = perch_fit(built())
    assert fit.fits
    assert fit.offsets[0].high == pytest.approx((36.0 - 6.5 - 10.25) * INCH - 1.0, abs=FINE)


def test_the_ranges_are_those_that_trying_every_offset_finds() -> None:
    rng = np.random.default_rng(7)
    for _ in range(20):
        perches = [
            perch(float(rng.uniform(-30, 30)), width_in=float(rng.uniform(1, 5)), id=f"p{index}", mirrored=False)
            for index in range(3)
        ]
        sides = {name: side(centre_half=float(rng.uniform(4, 8))) for name in ("left", "right")}
        made = perched(90.0, 0.0, *perches, **sides)
        fit = perch_fit(made)
        for offset in rng.uniform(-27.0, 27.0, 40) * INCH:
            free = fits(made, made.width, float(offset))
            assert free == any(span.low <= offset <= span.high for span in fit.offsets)
