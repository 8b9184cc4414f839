"""A cut sheet has the numbers of the plan, adds up, and says what it lacks."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from collections.abc import Iterator
from itertools import product
from math import fsum
from typing import Any

import jsonschema
import msgspec
import pytest
from msgspec.structs import replace

from app.figures.cuts import cuts, proof
from app.files.assets import asset_path, demo_rigs
from app.files.rig_file import read_rig
from app.report.cut_sheet import RefusedError, cut_sheet, cut_sheet_schema_bytes, cut_sheets, cut_sheets_to_json
from app.report.cut_sheet_csv import cut_sheets_to_csv
from app.report.cut_sheet_records import CutSheet, CutSheets, SideRow
from app.report.cut_sheet_words import Wording
from app.study import check
from app.units import LengthUnit, parse_length
from geometry.plan.half import SUM
from geometry.rig.axle import Axle
from geometry.rig.build import BuildSide, Datum, MockUp, Perch, Rounding
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from tests.geometry.plan.builds import built, mirrored, shaft, side

DATUMS: tuple[Datum, ...] = ("pinion", "centre-face", "tube-end")
ROUNDINGS: tuple[Rounding, ...] = ("none", "1/16 in", "1/32 in", "0.5 mm")

SHORT_SLIDERS = MockUp(
    sleeve_left=500.0, sleeve_right=500.0, slider_left=100.0, slider_right=100.0, least_overlap=150.0
)


@pytest.fixture(scope="module")
def demo() -> Rig:
    return read_rig(demo_rigs()[1])


def rig_of(axle: Axle) -> Rig:
    return Rig(name="a rig", nodes=(), bars=(), panels=(), axles=(axle,))


def sheet_of(axle: Axle) -> CutSheet:
    return cut_sheet(rig_of(axle), axle.id)


def shafted(end_addition: float, gear_face: float) -> BuildSide:
    """A side with a shaft, lengths [in]."""
    return replace(side(end_addition=end_addition), shaft=shaft(gear_face=gear_face))


def inches(mm: float | None) -> float:
    assert mm is not None
    return mm / INCH


def test_62_and_a_half_with_4_at_each_end_is_cut_27_and_a_quarter_from_the_pinion() -> None:
    # common practice, no source
    sheet = sheet_of(built(62.5, left=side(end_addition=4.0), right=side(end_addition=4.0), rounding="1/16 in"))
    assert [inches(each.cut.rounded.mm) for each in sheet.sides] == [27.25, 27.25]
    rows = Wording(rig_of(built()), sheet, LengthUnit.FRACTION).mark_rows()
    told = {label: (left, right) for label, left, right in rows}
    assert [each.first for each in told["CUT to tube's end"]] == ["27 1/4 in"] * 2


def test_62_and_a_half_with_11_and_5_8_at_each_knuckle_leaves_39_and_a_quarter_between_them() -> None:
    # common practice, no source
    sheet = sheet_of(built(62.5, left=side(end_addition=11.625), right=side(end_addition=11.625)))
    assert inches(sheet.between_ends.mm) == pytest.approx(39.25, abs=1e-12)
    assert [inches(each.cut.exact.mm) for each in sheet.sides] == pytest.approx([19.625, 19.625], abs=1e-12)
    assert {each.end for each in sheet.sides} == {"knuckle"}


def test_a_pinion_8_off_the_centre_moves_the_marks_apart_by_16() -> None:
    # common practice, no source
    sheet = sheet_of(built(72.0, 8.0, left=side(centre_half=4.0), right=side(centre_half=4.0)))
    left, right = (inches(each.cut.exact.mm) for each in sheet.sides)
    assert right - left == pytest.approx(16.0, abs=1e-12)


@pytest.mark.parametrize(("datum", "rounding"), list(product(DATUMS, ROUNDINGS)))
def test_the_parts_add_up_to_the_width_and_the_rounded_ones_to_what_is_said(datum: Datum, rounding: Rounding) -> None:
    parts = {"left": side(insertion_centre=1.3, insertion_end=2.1, shrink=0.03), "right": side(shrink=0.05)}
    sheet = sheet_of(built(63.17, 1.9, datum=datum, rounding=rounding, **parts))
    exact, rounded = ([getattr(term, name).mm for term in sheet.proof] for name in ("exact", "rounded"))
    assert fsum(exact) == pytest.approx(sheet.width_mm, abs=SUM)
    assert sheet.width_given.mm is not None
    assert fsum(rounded) == pytest.approx(sheet.width_given.mm, abs=SUM)
    assert sheet.width_mm + (sheet.rounding_error.mm or 0.0) == pytest.approx(sheet.width_given.mm, abs=SUM)
    assert (rounding == "none") == (abs(sheet.rounding_error.mm or 0.0) < SUM)


def test_swapping_left_and_right_mirrors_the_sheet() -> None:
    perch = Perch(id="seat", at=400.0, width=60.0, weld_leg=6.0)
    made = built(66.0, 1.5, left=shafted(9.5, 4.0), right=shafted(10.25, 3.5), perches=(perch,))

    def bare(each: SideRow) -> SideRow:
        return replace(each, side="left")

    one, other = sheet_of(made), sheet_of(mirrored(made))
    assert bare(one.left) == bare(other.right)
    assert bare(one.right) == bare(other.left)
    assert one.left != other.left
    assert [each.length for each in one.shafts] == [each.length for each in reversed(other.shafts)]
    assert one.perches[0].from_wheel_mount == other.perches[0].from_wheel_mount
    assert one.width_given == other.width_given


def test_the_demo_rig_can_be_cut_by_and_its_sheet_is_what_the_numbers_say(demo: Rig) -> None:
    for axle in demo.axles:
        sheet = cut_sheet(demo, axle.id)
        assert sheet.complete
        group, sums = cuts(demo, axle), proof(demo, axle)
        for each in sheet.sides:
            for key, value in (("cut", each.cut.rounded), ("cut_exact", each.cut.exact), ("tube_cut", each.tube_cut)):
                assert group.figure(key, each.side).amount.value == value.mm
            for mark in each.marks:
                if mark.exact.mm:
                    assert group.figure(f"mark/{mark.name}", each.side).amount.value == mark.rounded.mm
        assert group.figure("stock_needed").amount.value == sheet.stock_needed.mm
        for term in sheet.proof:
            assert sums.figure(f"term/{term.part}", term.side).amount.value == term.rounded.mm
        assert sums.figure("rounding_error").amount.value == sheet.rounding_error.mm


def test_what_a_cut_lacks_is_named_and_no_number_is_made_up() -> None:
    sheet = sheet_of(built(62.5, left=side(end_addition=None)))
    assert sheet.needs == ("axles/front/build/left/end_addition",)
    assert not sheet.complete
    assert (sheet.left.cut.rounded.mm, sheet.width_given.mm, sheet.proof_sum.mm) == (None, None, None)
    assert sheet.right.cut.rounded.mm is not None
    words = Wording(rig_of(built()), sheet, LengthUnit.MM)
    assert words.length(sheet.width_given) == "unknown: needs left end addition"


def test_a_missing_kerf_leaves_the_sheet_complete() -> None:
    sheet = sheet_of(built(62.5, kerf=None))
    assert sheet.complete
    assert sheet.stock_needed.missing == ("axles/front/build/kerf",)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"left": side(end_addition=29.0)}, "mm more than"),
        ({"right": side(insertion_end=11.0)}, "too deep"),
        ({"perches": (Perch(id="seat", at=160.0, width=80.0, weld_leg=6.0),)}, "want the same"),
        ({"left": side(), "rounding": "1/16 in", "rounding_limit": 0.01}, "choose a width of"),
        ({"mockup": SHORT_SLIDERS}, "fits no width"),
    ],
    ids=["no tube", "too deep", "perch", "rounding", "mock-up"],
)  # fmt: skip
def test_a_plan_that_cannot_be_built_makes_no_sheet_and_says_why(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(RefusedError, match=words) as refused:
        sheet_of(built(62.53, **changes))
    assert all(reason.place and reason.by > 0.0 for reason in refused.value.reasons)


def test_all_reasons_are_told_together() -> None:
    with pytest.raises(RefusedError, match=r"splines are long.*; .*separation") as refused:
        sheet_of(built(62.5, left=replace(side(), shaft=shaft(engagement=9.0)), separation_deg=99.0))
    assert len(refused.value.reasons) == 2


def test_the_published_schema_is_that_of_the_records_and_holds_the_demo(demo: Rig) -> None:
    published = asset_path("cut-sheet.schema.json").read_bytes()
    assert published == cut_sheet_schema_bytes()
    validator = jsonschema.Draft202012Validator(json.loads(published))
    validator.check_schema(validator.schema)
    for rig in (demo, read_rig(demo_rigs()[0])):
        sheets = cut_sheets(rig, [axle.id for axle in rig.axles])
        written = cut_sheets_to_json(sheets)
        validator.validate(json.loads(written))
        assert msgspec.json.decode(written, type=CutSheets) == sheets


def test_the_table_has_exactly_the_numbers_of_the_json_form(demo: Rig) -> None:
    def numbers(value: object) -> Iterator[float]:
        if isinstance(value, dict):
            for inside in value.values():
                yield from numbers(inside)
        elif isinstance(value, list):
            for inside in value:
                yield from numbers(inside)
        elif isinstance(value, float):
            yield value

    trials = replace(demo.axle("rear"), trial_widths=(1800.0, 1900.0))
    rig = replace(demo, axles=(trials, demo.axle("front")))
    sheets = cut_sheets(rig, ["rear", "front"])
    told = json.loads(cut_sheets_to_json(sheets))
    lines = list(csv.DictReader(io.StringIO(cut_sheets_to_csv(sheets).decode())))
    cells = [line[name] for line in lines for name in ("mm", "rounded_mm", "deg")]
    assert Counter(float(cell) for cell in cells if cell) == Counter(numbers(told["sheets"]))
    found = {(line["axle"], line["section"], line["name"], line["side"]): line for line in lines}
    cut = found["front", "cut", "tube_end", "left"]
    front = sheets.sheets[1]
    assert (float(cut["mm"]), float(cut["rounded_mm"])) == (front.left.cut.exact.mm, front.left.cut.rounded.mm)


def test_the_identification_tells_one_content_from_another_and_fits_its_field(demo: Rig) -> None:
    first = cut_sheet(demo, "rear")
    axle = replace(demo.axle("rear"), width=demo.axle("rear").width + 0.1)
    other = cut_sheet(replace(demo, axles=(axle, demo.axle("front"))), "rear")
    assert first.identification == cut_sheet(demo, "rear").identification != other.identification
    assert len(first.identification) <= 16  # ISO 7200


@pytest.mark.parametrize("unit", list(LengthUnit))
def test_lengths_are_told_so_that_they_read_back_or_say_that_they_are_near(demo: Rig, unit: LengthUnit) -> None:
    words = Wording(demo, cut_sheet(demo, "rear"), unit)
    for mm in (851.69375, 851.7, 692.15, 1000.0, -38.1, 0.0):
        told = words.told(mm)
        assert {told.first[-2:], told.second[-2:]} == {"in", "mm"}
        for text in (told.first, told.second):
            read = parse_length(text.removeprefix("≈ "), unit)
            within = 0.4 if text.startswith("≈") else 0.051
            assert read == pytest.approx(mm, abs=within), text
    assert words.inches(100.3).startswith("≈") == (unit is not LengthUnit.INCH)


def test_values_that_nobody_confirmed_are_listed(demo: Rig) -> None:
    places = ("axles/rear/width", "axles/rear/bump", "axles/front/width")
    assert cut_sheet(replace(demo, unconfirmed=places), "rear").unconfirmed == ("axles/rear/width",)


@pytest.mark.parametrize(
    ("width", "titles", "words"),
    [
        (72.0, [], ""),
        (71.0, ["LESS CLEARANCE THAN IS WANTED AT THIS WIDTH"], "rear tire comes within"),
        (60.0, ["THIS WIDTH TOUCHES", "THIS WIDTH BREAKS A RULE OF THE RIG"], "Right rear tire meets kick-up"),
        (77.4, ["THIS WIDTH BREAKS A RULE OF THE RIG"], "Club class; rail pocket."),
    ],
)
def test_a_width_that_does_not_clear_or_breaks_a_rule_says_so_over_the_sheet(
    demo: Rig, width: float, titles: list[str], words: str
) -> None:
    rig = replace(demo, axles=tuple(replace(a, width=width * INCH) if a.id == "rear" else a for a in demo.axles))
    calm = {name: 0.0 for name in msgspec.structs.asdict(rig.wanted) if name != "tire_bar"}
    rig = replace(rig, wanted=replace(rig.wanted, **calm))
    study = check(rig, only="rear")
    sheet = cut_sheet(rig, "rear", study)
    wording = Wording(rig, sheet, LengthUnit.FRACTION)
    banners = list(wording.banners())
    assert [each.title for each in banners] == titles
    assert all(each.status == 1 for each in banners)
    assert not words or words in " ".join(each.words for each in banners)
    assert ("Clear over the whole travel" in wording.check_line()) == (width >= 72.0)
    assert sheet.check is not None
    shown = [each.low for each in study.approaches]
    assert sheet.check.closest_mm == (min(shown) if sheet.check.verdict == "clear" else shown[0])


def test_a_width_that_was_not_checked_says_so(demo: Rig) -> None:
    assert Wording(demo, cut_sheet(demo, "rear"), LengthUnit.MM).check_line() == "Not checked over the travel."


def test_an_odd_weld_shrinkage_is_asked_about_over_the_sheet() -> None:
    axle = built(left=side(shrink=0.8), right=side())
    sheet = sheet_of(axle)
    (banner,) = Wording(rig_of(axle), sheet, LengthUnit.FRACTION).banners()
    assert banner.title == "UNUSUAL: IS IT IN THE RIGHT UNIT?"
    assert "weld shrink" in banner.words
    assert sheet.doubts[0].mm == pytest.approx(0.8 * INCH)


@pytest.mark.parametrize(("pinion", "seat", "words"), [(10.0, 8.0, "2° lower"), (5.0, 7.0, "2° higher")])
def test_seats_are_told_from_the_pinion_with_their_sense(demo: Rig, pinion: float, seat: float, words: str) -> None:
    rear = demo.axle("rear")
    assert rear.build is not None
    perches = (Perch(id="p", at=400.0, width=50.0, weld_leg=5.0, angle_deg=seat),)
    axle = replace(
        rear,
        build=replace(rear.build, perches=perches),
        housing=replace(rear.housing, pinion_angle_deg=pinion, pinion_faces="forward"),
    )
    rig = replace(demo, axles=(axle, demo.axle("front")))
    (block,) = (
        each for each in Wording(rig, cut_sheet(rig, "rear"), LengthUnit.MM).blocks() if "Bracket" in each.title
    )
    assert words in block.pairs[0].text
