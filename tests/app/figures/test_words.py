"""Numbers in words: rounded to the safe side, with their unit, and unknown where something is missing."""

from __future__ import annotations

from math import radians

import pytest
from msgspec.structs import replace

from app.figures.figure import Figure, Kind
from app.figures.groups import SUBJECTS, group, groups
from app.figures.places import place_words
from app.figures.words import heading, other_words, row_text, rows, text_of, value_words
from app.units import LengthUnit
from geometry.plan.amount import Amount
from geometry.rig.wheel import INCH
from tests.app.figures.plans import PERCH, planned_rig

FRACTION, DECIMAL, MM = LengthUnit


def figure(value: float | None, kind: Kind, *missing: str) -> Figure:
    return Figure("key", "Label", Amount(value, missing), kind, "Definition.")


@pytest.mark.parametrize(
    ("value", "kind", "unit", "words"),
    [
        (27.25 * INCH, "mark", FRACTION, "27 1/4 in"),
        (27.28125 * INCH, "mark", FRACTION, "27 9/32 in"),
        (27.28125 * INCH, "length", FRACTION, "27 1/4 in"),
        (692.5, "mark in mm", FRACTION, "692.5 mm"),
        (0.3, "fine", FRACTION, "0.012 in"),
        (10.2 * INCH, "clearance", FRACTION, "10 3/16 in"),
        (-0.1, "clearance", MM, "-0.1 mm"),
        (8.0 * INCH, "offset", FRACTION, "8 in left"),
        (-8.0 * INCH, "offset", FRACTION, "8 in right"),
        (0.0, "offset", MM, "0.0 mm"),
        (radians(12.34), "angle", MM, "12.3°"),
        (-1.0, "slope", MM, "-1.00° per degree"),
        (812.34, "mass", MM, "812.3 kg"),
        (812.34, "mass", FRACTION, "1790.9 lb"),
        (1.1549, "factor", MM, "1.15"),
        (659.57, "index", MM, "659.6"),
        (0.4312, "share", MM, "43.1 %"),
        (1.0, "yes or no", MM, "yes"),
        (0.0, "yes or no", MM, "no"),
    ],
)
def test_a_number_is_told_with_its_unit(value: float, kind: Kind, unit: LengthUnit, words: str) -> None:
    assert value_words(figure(value, kind), unit) == words


def test_what_lacks_something_is_unknown_and_what_there_is_not_says_so() -> None:
    assert value_words(figure(None, "length", "axles/rear/build/kerf"), FRACTION) == "unknown"
    assert value_words(figure(None, "length"), FRACTION) == "none"


def test_the_other_unit_is_told_where_there_is_one() -> None:
    assert other_words(figure(INCH, "length"), FRACTION) == "25.4 mm"
    assert other_words(figure(INCH, "length"), MM) == "1.000 in"
    assert other_words(figure(100.0, "mass"), FRACTION) == "220 lb"
    assert other_words(figure(0.1, "angle"), FRACTION) == ""
    assert other_words(figure(None, "mass", "masses/parts"), FRACTION) == ""


def test_every_missing_value_of_an_empty_rig_has_words_of_its_own() -> None:
    rig = planned_rig()
    rear = replace(rig.axles[0], build=None)
    bare = replace(rig, axles=(rear, *rig.axles[1:]), masses=None, bars=(), panels=())
    places = {place for each in groups(bare, "rear") for place in each.missing}
    perch = replace(PERCH, weld_leg=None, angle_deg=None)
    places |= {place for each in groups(planned_rig(perches=(perch,)), "rear") for place in each.missing}
    assert len(places) > 20
    for place in places:
        words = place_words(rig, place, "rear")
        assert not set(words) & set("/_"), place
        assert "rear" not in words, place
    assert len({place_words(rig, place, "rear") for place in places}) == len(places)


def test_a_place_of_another_axle_names_it_and_one_of_a_part_names_that() -> None:
    rig = planned_rig()
    assert place_words(rig, "axles/rear/build/left/end_addition") == "left end addition of the rear axle"
    assert place_words(rig, "axles/rear/build/left/end_addition", "rear") == "left end addition"
    assert place_words(rig, "axles/rear/build/perches/spring/weld_leg", "rear") == "weld leg of perch “spring perch”"
    assert place_words(rig, "masses/parts/engine/mass_kg") == "mass of “engine”"
    assert place_words(rig, "masses/parts/gone/at") == "centre of gravity of “gone”"


def test_left_and_right_stand_in_one_row_with_what_belongs_to_them() -> None:
    row = next(row for row in rows(group(planned_rig(offset=0.0), "rear", "pocket"), MM) if row.label == "Rail pocket")
    assert len(row.cells) == 2
    assert row.note
    assert row_text(row) == "\t".join(("Rail pocket", *row.cells, row.note))


def test_lengths_within_words_follow_the_unit() -> None:
    found = group(planned_rig(), "rear", "shafts")
    assert [row.label for row in rows(found, FRACTION)][1:3] == [
        "Stock 30 in: longer by",
        "Stock 30 in: spline engagement",
    ]
    assert "Stock 762 mm: longer by" in [row.label for row in rows(found, MM)]


def test_the_text_has_all_groups_refusals_and_what_is_missing() -> None:
    rig = replace(planned_rig(kerf=None), unconfirmed=("axles/rear/bump",))
    text = text_of(rig, "rear", groups(rig, "rear"), FRACTION)
    assert text.startswith(f"{heading(rig, 'rear', FRACTION)}\n\nCuts\n")
    assert "Rests on 1 unconfirmed value." in text.splitlines()[0]
    assert all(f"\n{each.title}\n" in text for each in SUBJECTS)
    assert "Missing: saw cut." in text
    refused = planned_rig(perches=(replace(PERCH, at=200.0),))
    told = [
        line for line in text_of(refused, "rear", groups(refused, "rear"), FRACTION).splitlines() if "Cannot" in line
    ]
    assert len(told) == 3
    assert all(" mm" not in line for line in told)
