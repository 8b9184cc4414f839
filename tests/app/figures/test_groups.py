"""Every row of every group is the number of the geometry function that it stands for, and no row is left out."""

from __future__ import annotations

from math import radians

import pytest
from msgspec.structs import replace

from app.figures import steering
from app.figures.figure import Figure, Group
from app.figures.groups import SUBJECTS, group, groups
from geometry.motion.leaf_law import shared_wind_up
from geometry.motion.linkage import linkage_of
from geometry.plan.amount import Amount
from geometry.plan.caster import CASTER_HIGH, CASTER_LOW, caster_target, clocking_of, perch_angles, travel_angles
from geometry.plan.cuts import cut_plan, sum_of
from geometry.plan.driveshaft import driveshaft
from geometry.plan.leaf_perch import leaf_perch
from geometry.plan.mock_up import mock_up
from geometry.plan.perch import perch_fit
from geometry.plan.shafts import shaft_plan
from geometry.plan.soundness import refusals
from geometry.plan.wheel_fit import WheelFit, by_housing, by_offset, wheel_fit
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from geometry.stance.axle_loads import axle_loads
from geometry.stance.clearance_angles import clearance_angles
from geometry.stance.masses import rig_masses
from geometry.stance.rail_pocket import rail_pocket
from geometry.stance.ramp_travel import ramp_travel
from geometry.stance.stability import stability
from tests.app.curves.moving import whole_rig
from tests.app.figures import movements
from tests.app.figures.plans import PERCH, build, planned_rig
from tests.geometry.motion.leaves import leaf_axle
from tests.geometry.plan.builds import side
from tests.geometry.rig.rigs import small_rig


@pytest.fixture(autouse=True)
def coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    """The free lock over few cells, once."""
    monkeypatch.setattr(steering, "free_lock", movements.coarse_lock)


Amounts = dict[tuple[str, str], Amount]

OUTER = 2100.0
"""An outer width that both ways reach [mm]."""


def told(found: Group) -> Amounts:
    return {(figure.key, figure.column): figure.amount for figure in found.figures}


def rear(rig: Rig) -> Axle:
    return rig.axles[0]


def of_cuts(rig: Rig) -> Amounts:
    plan, parts = cut_plan(rear(rig)), rear(rig).build
    assert parts is not None
    found: Amounts = {
        ("between_ends", ""): plan.between_ends,
        ("width", ""): Amount(plan.width),
        ("width_given", ""): plan.width_given,
        ("rounding_error", ""): plan.rounding_error,
        ("kerf", ""): Amount(parts.kerf),
        ("stock_needed", ""): plan.stock_needed,
    }
    for cut in (plan.left, plan.right):
        found |= {
            ("cut", cut.side): cut.cut.rounded,
            ("cut_exact", cut.side): cut.cut.exact,
            ("tube_cut", cut.side): cut.tube_cut,
            ("tube", cut.side): cut.tube,
            ("half", cut.side): cut.half,
            ("showing", cut.side): cut.showing,
            ("shrink", cut.side): Amount(getattr(parts, cut.side).shrink),
        }
        found |= {(f"mark/{mark.name}", cut.side): mark.rounded for mark in cut.marks if mark.exact.value}
    return found


def of_proof(rig: Rig) -> Amounts:
    plan = cut_plan(rear(rig))
    terms = {(f"term/{term.part}", term.side): term.value for term in plan.proof_rounded}
    whole = {"width_given": plan.width_given, "width": sum_of(plan.proof), "rounding_error": plan.rounding_error}
    return terms | {(key, ""): amount for key, amount in whole.items()}


def of_perches(rig: Rig) -> Amounts:
    axle = rear(rig)
    fit, shaft = perch_fit(axle), driveshaft(axle)
    (span,) = fit.offsets
    assert fit.both is not None
    found: Amounts = {("bare", "left"): fit.bare_left, ("bare", "right"): fit.bare_right}
    for place in fit.places:
        found[f"place/{place.perch}/from_pinion", place.side] = place.from_pinion
        found[f"place/{place.perch}/from_wheel_mount", place.side] = place.from_wheel_mount
    singles = {
        "offset": Amount(axle.housing.pinion_offset), "fits": Amount(float(fit.fits or 0)),
        "offset_low": Amount(span.low), "offset_high": Amount(span.high),
        "plan_low": span.at_low.plan, "plan_high": span.at_high.plan,
        "least_width": Amount(fit.least_width), "nearest_offset": Amount(fit.nearest_offset),
        "both_width": Amount(fit.both[0]), "both_offset": Amount(fit.both[1]),
        "plan": shaft.plan, "side": shaft.side, "joint": shaft.joint, "shaft_length": shaft.length,
    }  # fmt: skip
    return found | {(key, ""): amount for key, amount in singles.items()}


def of_mockup(rig: Rig) -> Amounts:
    axle = rear(rig)
    plan = mock_up(axle, (1643.0, 1600.0, 2400.0))
    found: Amounts = {("least_width", ""): plan.least_width, ("most_width", ""): plan.most_width}
    for key, row in zip(("", "1600.0/", "2400.0/"), plan.rows, strict=True):
        found[f"{key}fits", ""] = Amount(float(row.fits or 0))
        for marks in (row.left, row.right):
            found[f"{key}from_mount", marks.side] = marks.from_mount
            found[f"{key}overlap", marks.side] = marks.overlap
    return found


def of_angles(rig: Rig) -> Amounts:
    now = clocking_of(rear(rig))
    assert now is not None
    aim, (perch,) = caster_target(now), perch_angles(rear(rig))
    singles = {
        "caster": now.caster, "pinion": now.pinion, "separation": now.separation,
        "caster_per_pinion": -1.0, "pinion_per_caster": -1.0,
        "target_low": CASTER_LOW, "target_high": CASTER_HIGH, "off_by": aim.off_by, "turn": aim.turn,
        "turned_caster": aim.turned.caster, "turned_pinion": aim.turned.pinion,
        "pinion_low": aim.pinion_low, "pinion_high": aim.pinion_high,
        "separation_low": aim.separation_low, "separation_high": aim.separation_high,
    }  # fmt: skip
    seats = {"perch/spring/from_pinion": perch.from_pinion, "perch/spring/seat": perch.seat}
    return {(key, ""): Amount(value) for key, value in singles.items()} | {(k, ""): each for k, each in seats.items()}


def of_travel(rig: Rig) -> Amounts:
    found = travel_angles(rear(rig))
    angles = {"pinion": found.pinion, "caster_left": found.caster_left, "caster_right": found.caster_right}
    return {
        (f"{key}_{end}", ""): Amount(getattr(angle, end))
        for key, angle in angles.items()
        if angle is not None
        for end in ("low", "high")
    }


def of_fit(fit: WheelFit, column: str = "") -> Amounts:
    rows = (
        "width", "offset", "backspacing", "track", "outer_width", "inner_width", "outer_face", "inner_face",
        "rim_edge", "loaded_radius", "scrub", "trail",
    )  # fmt: skip
    found = {(row, column): Amount(getattr(fit, row)) for row in rows}
    return found | {
        ("knuckle_clearance", column): fit.knuckle_clearance,
        ("brake_clearance", column): fit.brake_clearance,
    }


def of_shafts(rig: Rig) -> Amounts:
    found: Amounts = {}
    plan = shaft_plan(rear(rig))
    for each in (plan.left, plan.right):
        found["length", each.side] = each.length
        for stock in each.stock:
            key = f"stock/{stock.length!r}"
            found[f"{key}/longer_by", each.side] = stock.longer_by
            found[f"{key}/engagement", each.side] = stock.engagement
            found[f"{key}/width", each.side] = stock.width
    return found


def of_masses(rig: Rig) -> Amounts:
    weighed = rig_masses(rig)
    found: Amounts = {("tubes", ""): Amount(weighed.tubes.mass)}
    for state in weighed.states:
        stands = stability(rig, state)
        found |= {(name, state.state): getattr(state, name) for name in ("mass", "x", "y", "z")}
        found |= {(name, state.state): getattr(stands, name) for name in ("factor", "tip")}
        for stand, load in zip(stands.axles, axle_loads(rig, state), strict=True):
            found |= {(f"{stand.axle}/{n}", state.state): getattr(stand, n) for n in ("factor", "tip", "tip_outer")}
            found |= {(f"{load.axle}/{name}", state.state): getattr(load, name) for name in ("load", "share")}
    return found


def of_under(rig: Rig) -> Amounts:
    found = clearance_angles(rig)
    whole = {(name, ""): getattr(found, name).value for name in ("approach", "departure", "ramp", "belly")}
    return whole | {(f"{axle.id}/clearance", ""): each.value for axle, each in zip(rig.axles, found.axles, strict=True)}


def of_ramp(rig: Rig) -> Amounts:
    found = ramp_travel(rig)
    made: Amounts = {("index", ""): found.index}
    for corner in (found.left, found.right):
        made |= {
            ("corner", corner.side): corner.index, ("up_ramp", corner.side): corner.up_ramp,
            ("lift", corner.side): corner.lift, ("by_lift", corner.side): corner.index_by_lift,
        }  # fmt: skip
    return made


def of_pocket(rig: Rig) -> Amounts:
    found = rail_pocket(rig, rear(rig))
    made: Amounts = {("tire_face", ""): Amount(found.tire_face), ("larger", ""): found.gap}
    for each in (found.left, found.right):
        made |= {("gap", each.rail.side): each.gap, ("reach", each.rail.side): each.rail.reach}
    return made


OF = {
    "cuts": of_cuts, "proof": of_proof, "mockup": of_mockup, "perches": of_perches, "angles": of_angles,
    "travel": of_travel,
    "wheels": lambda rig: of_fit(wheel_fit(rear(rig))),
    "compare": lambda rig: {
        **of_fit(by_housing(rear(rig), OUTER), "housing"), **of_fit(by_offset(rear(rig), OUTER), "wheels")
    },
    "shafts": of_shafts, "masses": of_masses, "under": of_under, "ramp": of_ramp, "pocket": of_pocket,
    "strokes": movements.of_strokes, "steering": movements.of_steering, "free_lock": movements.of_free_lock,
    "driveline": movements.of_driveline, "pinions": movements.of_pinions, "gears": movements.of_gears,
    "rods": movements.of_rods,
}  # fmt: skip


@pytest.mark.parametrize("key", [each.key for each in SUBJECTS])
def test_every_row_is_the_number_of_its_geometry_function(key: str) -> None:
    rig = whole_rig()
    assert refusals(rear(rig)) == ()
    found, expected = told(group(rig, "rear", key, OUTER)), OF[key](rig)
    assert list(found) != []
    assert found.keys() == expected.keys()
    for name, amount in found.items():
        assert amount.value == pytest.approx(expected[name].value, abs=1e-12), name
        assert amount.missing == expected[name].missing, name


def test_known_rows_have_a_value_a_definition_and_one_place_each() -> None:
    for each in groups(whole_rig(), "rear", OUTER):
        rows = [(figure.key, figure.column) for figure in each.figures]
        assert len(set(rows)) == len(rows)
        assert each.missing == ()
        for figure in each.figures:
            assert figure.amount.value is not None or each.key == "free_lock"
            assert figure.label
            assert figure.definition.endswith(".")
            assert figure.column in {"", *each.columns}


def test_without_rounding_no_number_stands_there_twice() -> None:
    rows = told(group(planned_rig(rounding="none"), "rear", "cuts"))
    assert not {key for key, _ in rows} & {"cut_exact", "tube"}
    assert rows["cut", "left"] == cut_plan(rear(planned_rig(rounding="none"))).left.cut.exact


@pytest.mark.parametrize("datum", ["pinion", "centre-face", "tube-end"])
def test_the_proof_adds_up_whatever_the_datum(datum: str) -> None:
    found = group(planned_rig(datum=datum), "rear", "proof")
    terms = [figure.amount.value or 0.0 for figure in found.figures if figure.key.startswith("term/")]
    assert sum(terms) == pytest.approx(found.figure("width_given").amount.value)
    assert found.figure("width").amount.value == pytest.approx(1643.0, abs=1e-9)
    assert not any(figure.warning for figure in found.figures)


def test_62_1_2_with_4_an_end_shows_the_mark_27_1_4_from_the_pinion() -> None:
    # Common practice, no source.
    rig = planned_rig(offset=0.0, left=side(end_addition=4.0), right=side(end_addition=4.0), perches=())
    rig = replace(rig, axles=(replace(rear(rig), width=62.5 * INCH), *rig.axles[1:]))
    found = group(rig, "rear", "cuts")
    for column in ("left", "right"):
        assert found.figure("cut", column).amount.value == pytest.approx(27.25 * INCH)


@pytest.mark.parametrize(("caster", "warned"), [(3.0, False), (5.0, False), (2.0, True), (6.0, True)])
def test_caster_of_3_to_5_with_the_pinion_10_up_is_what_is_aimed_for(caster: float, warned: bool) -> None:
    # Common practice, no source.
    rig = planned_rig(steered=True)
    axle = rear(rig)
    assert axle.steering is not None
    axle = replace(
        axle,
        steering=replace(axle.steering, caster_deg=caster),
        housing=replace(axle.housing, pinion_angle_deg=10.0),
    )
    found = group(replace(rig, axles=(axle, *rig.axles[1:])), "rear", "angles")
    assert bool(found.figure("caster").warning) is warned
    assert found.figure("separation").amount.value == pytest.approx(radians(caster + 10.0))
    assert bool(found.figure("turn").amount.value) is warned


def test_a_pinion_that_faces_forward_rises_with_the_caster() -> None:
    rig = planned_rig(steered=True)
    axle = replace(rear(rig), housing=replace(rear(rig).housing, pinion_faces="forward"))
    found = group(replace(rig, axles=(axle, *rig.axles[1:])), "rear", "angles")
    assert found.figure("caster_per_pinion").amount.value == pytest.approx(1.0)


def test_an_axle_that_is_not_steered_has_no_caster_and_no_scrub_radius() -> None:
    rig = planned_rig()
    found = group(rig, "rear", "angles")
    assert {figure.key.split("/")[0] for figure in found.figures} == {"pinion", "perch"}
    assert "not steered" in found.remark
    assert not {"scrub", "trail"} & {figure.key for figure in group(rig, "rear", "wheels").figures}


def test_a_plan_that_is_refused_shows_no_cuts_and_says_why_in_every_group_that_rests_on_it() -> None:
    long_end = side(end_addition=40.0)
    rig = planned_rig(left=long_end)
    for key in ("cuts", "proof", "perches", "shafts"):
        found = group(rig, "rear", key)
        assert found.figures == ()
        assert any("more than the" in refusal.sentence for refusal in found.refusals)
        assert all(refusal.place.startswith("axles/rear/build") for refusal in found.refusals)


def test_perches_without_room_forbid_the_cuts_and_say_what_would_help() -> None:
    rig = planned_rig(perches=(replace(PERCH, at=200.0),))
    assert group(rig, "rear", "cuts").figures == ()
    found = group(rig, "rear", "perches")
    assert found.refusals
    assert found.figure("fits").amount.value == 0.0
    shortfalls = [figure for figure in found.figures if figure.key.startswith("short/")]
    assert shortfalls
    assert all(figure.warning for figure in shortfalls)
    assert found.figure("both_width").amount.value is not None


def test_three_angles_that_do_not_agree_leave_no_angle_that_passes_for_good() -> None:
    found = group(planned_rig(steered=True, separation_deg=40.0), "rear", "angles")
    assert found.figures == ()
    assert found.refusals[0].place == "axles/rear/build/separation_deg"


def test_an_outer_width_that_only_the_housing_reaches_is_refused_on_the_other_side_alone() -> None:
    found = group(planned_rig(), "rear", "compare", 3000.0)
    assert {figure.column for figure in found.figures} == {"housing"}
    assert len(found.refusals) == 1


def test_the_wheels_pay_for_the_outer_width_with_scrub_radius_and_the_housing_does_not() -> None:
    found, now = group(planned_rig(steered=True), "rear", "compare", OUTER), wheel_fit(rear(planned_rig(steered=True)))
    housing, wheels = (found.figure("scrub", column).amount.value or 0.0 for column in ("housing", "wheels"))
    assert housing == pytest.approx(now.scrub)
    assert wheels - housing == pytest.approx((OUTER - now.outer_width) / 2.0)


def test_a_perch_whose_mirror_image_stands_on_the_same_tube_keeps_a_row_of_its_own() -> None:
    rig = planned_rig(offset=700.0, perches=(replace(PERCH, at=100.0),), left=side(end_addition=1.0, centre_half=1.0))
    rows = {figure.key for figure in group(rig, "rear", "perches").figures}
    assert {"place/spring/from_pinion", "place/spring/mirror/from_pinion"} <= rows


def test_a_trial_width_that_the_mock_up_cannot_be_set_to_is_warned_of() -> None:
    found = group(planned_rig(), "rear", "mockup")
    assert {figure.key for figure in found.figures if figure.warning} == {"2400.0/fits"}


def unknown(found: Group) -> list[Figure]:
    return [figure for figure in found.figures if figure.amount.value is None]


def test_what_nobody_measured_is_unknown_and_names_what_is_missing() -> None:
    bare = replace(rear(planned_rig()), build=None)
    rig = replace(planned_rig(), axles=(bare, *planned_rig().axles[1:]), masses=None)
    for key in ("cuts", "proof", "perches", "shafts", "wheels", "masses"):
        found = unknown(group(rig, "rear", key))
        assert found, key
        assert all(figure.amount.missing for figure in found)
    assert group(rig, "rear", "cuts").figure("half", "left").amount.value is not None
    assert group(rig, "rear", "compare").missing == ("compare/outer_width",)


def test_a_missing_kerf_leaves_all_known_but_the_tube_that_is_needed() -> None:
    found = group(planned_rig(kerf=None), "rear", "cuts")
    assert {figure.key for figure in unknown(found)} == {"kerf", "stock_needed"}
    assert found.missing == ("axles/rear/build/kerf",)


def test_groups_that_rest_on_no_width_do_not_change_with_it() -> None:
    rig = whole_rig()
    wider = replace(rig, axles=(replace(rear(rig), width=1700.0), *rig.axles[1:]))
    for each in SUBJECTS:
        same = group(rig, "rear", each.key, OUTER) == group(wider, "rear", each.key, OUTER)
        assert same is not each.by_width, each.key


def test_the_build_of_these_tests_is_whole() -> None:
    assert cut_plan(replace(rear(planned_rig()), build=build())).missing == ()


def test_perches_of_leaf_springs_are_told_with_their_angles() -> None:
    axle = leaf_axle(seat_deg=2.0)
    rig = small_rig()
    rows = {each.key: each.amount.value for each in group(replace(rig, axles=(axle,)), axle.id, "angles").figures}
    perch = leaf_perch(axle)
    assert perch is not None
    assert rows["leaf/at"] == perch.at
    assert rows["leaf/height"] == perch.height
    assert rows["leaf/from_pinion"] == perch.to_pinion
    assert rows["leaf/seat"] == pytest.approx(radians(2.0))
    assert not {key for key in rows if key.startswith("leaf/kingpin")}
    moving = {each.key: each.amount.value for each in group(replace(rig, axles=(axle,)), axle.id, "travel").figures}
    assert moving["leaf/shared"] == shared_wind_up(linkage_of(axle).law)
    assert not {row.key for row in group(rig, "rear", "angles").figures if row.key.startswith("leaf/")}
