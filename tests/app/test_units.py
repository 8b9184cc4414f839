from __future__ import annotations

import re
from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.units import (
    AngleError,
    LengthError,
    LengthUnit,
    format_angle,
    format_clearance,
    format_length,
    format_wanted,
    in_unit,
    parse_angle,
    parse_length,
)

FRACTION, INCH, MM = LengthUnit.FRACTION, LengthUnit.INCH, LengthUnit.MM


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("60", 1524.0),
        ('60"', 1524.0),
        ("60 in", 1524.0),
        ("60 IN.", 1524.0),
        ("60 3/16", 1528.7625),
        ('60 3/16"', 1528.7625),
        ("60 3/16 in", 1528.7625),
        ("60³⁄₁₆", 1528.7625),
        ("60 ³/₁₆", 1528.7625),
        ("5' 0 3/16\"", 1528.7625),
        ("5’ 0 3/16”", 1528.7625),
        ("5ft 3/16", 1528.7625),
        ("5 ft 2 1/2 in", 1587.5),
        ("5' 2", 1574.8),
        ("-5' 2\"", -1574.8),
        ("7''", 177.8),
        ("1528.8 mm", 1528.8),
        ("1528.8mm", 1528.8),
        ("152.88 cm", 1528.8),
        ("1.5288 m", 1528.8),
        ("60 + 2*1 3/4", 1612.9),
        ("60 3/16 in + 10 mm", 1538.7625),
        ("60 - 3/16", 1519.2375),
        ("60 3/16-1", 1503.3625),
        ("1/2-3/16", 7.9375),
        ("1/2", 12.7),
        ("½", 12.7),
        ("60½", 1536.7),
        ("60 ⅝", 1539.875),
        ("−5", -127.0),
        ("--5", 127.0),
        ("60\u00a03/16", 1528.7625),
        ("60\u202f3/16\u200b", 1528.7625),
        ("６０．５", 1536.7),
        ("1,5", 38.1),
        (",5", 12.7),
        (".5", 12.7),
        ("0,125", 3.175),
        ("1234,567", 31358.0018),
        ("1.234", 31.3436),
        ("1,234.5", 31356.3),
        ("1.234,5", 31356.3),
        ("1,234,567", 31358001.8),
        ("60 in / 2", 762.0),
        ("2 * (60 in + 10 mm)", 3068.0),
        ("(60 + 1/2) mm", 60.5),
        ("60 × 2 ÷ 4", 762.0),
        ("12 / (3/4)", 406.4),
        ("60 in * (4 in / 2 in)", 3048.0),
    ],
)
def test_lengths_are_read_as_people_write_them(text: str, mm: float) -> None:
    assert parse_length(text, INCH) == mm
    assert parse_length(text, FRACTION) == mm


def test_a_plain_number_is_meant_in_the_unit_at_hand() -> None:
    assert parse_length("1528.8", MM) == 1528.8
    assert parse_length("10 + 1 in", MM) == 35.4
    assert parse_length("5' 2", MM) == 1574.8


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("60-3/16", "write “60 3/16” or “60 - 3/16”"),
        ("60–½", "write “60 1/2” or “60 - 1/2”"),
        ("5'-2 1/2\"", "write “5' 2 1/2\"” or “5' - 2 1/2\"”"),
        ("1,234", "write “1234” or “1.234”"),
        ("3/0", "divides by zero"),
        ("1 / (2 - 2)", "divides by zero"),
        ("60 3/", "follows a number without a sign"),
        ("60 3", "follows a number without a sign"),
        ("60.5 3/16", "follows a number without a sign"),
        ("60 12/3", "not smaller than one"),
        ("abc", "“abc” is out of place; write a length like"),
        ("60 x 2", "“x” is not a unit of length"),
        ("1e999", "“e” is not a unit of length"),
        ("2²", "“²” is not a unit of length"),
        ("60①", "“①” is not a unit of length"),
        ("nan", "“nan” is out of place"),
        ("inf", "“inf” is out of place"),
        ("", "Nothing is entered"),
        ("\u00a0 ", "Nothing is entered"),
        ("2 in * 3 in", "multiplies two lengths"),
        ("6 in / 2 in", "is a plain number, not a length"),
        ("6 in / 2 in + 1", "adds a plain number and a length"),
        ("1 / 2 in", "divides by a length"),
        ("12 / 3/4", "divides by a fraction; put it in brackets"),
        ("((1)", "lacks a closing bracket"),
        ("1)", "“)” in “1)” is out of place"),
        ("1 +", "ends too early"),
        ("5' 3 mm", "mixes feet with another unit"),
        ("1.2.3", "one decimal point and no grouping"),
        ("1,23,456", "one decimal point and no grouping"),
        ("60 $", "cannot read “$”"),
        ("30°", "is not a unit of length"),
        ("9" * 101, "longer than 100 characters"),
    ],
)
def test_what_says_no_length_or_two_is_refused_in_one_sentence(text: str, words: str) -> None:
    with pytest.raises(LengthError) as refused:
        parse_length(text, INCH)
    sentence = str(refused.value)
    assert words.lower() in sentence.lower()
    assert sentence.endswith(".")
    assert sentence[0].isupper() or not sentence[0].isalpha()


@given(st.text("0123456789 ./,'\"-+*()inm½³", max_size=14))
def test_no_entry_of_signs_and_digits_leaves_by_another_error(text: str) -> None:
    try:
        value = parse_length(text, FRACTION)
    except LengthError:
        return
    assert abs(value) < 1e20


@pytest.mark.parametrize(
    ("mm", "fraction", "inch", "metric"),
    [
        (1528.7625, "60 3/16 in", "60.188 in", "1528.8 mm"),
        (12.7, "1/2 in", "0.500 in", "12.7 mm"),
        (0.0, "0 in", "0.000 in", "0.0 mm"),
        (-0.01, "0 in", "0.000 in", "0.0 mm"),
        (-3.175, "-1/8 in", "-0.125 in", "-3.2 mm"),
        (-77.7875, "-3 1/16 in", "-3.062 in", "-77.8 mm"),
        (-0.762, "0 in", "-0.030 in", "-0.8 mm"),
        (5.877953 * 25.4, "5 7/8 in", "5.878 in", "149.3 mm"),
        (64.507874 * 25.4, "64 1/2 in", "64.508 in", "1638.5 mm"),
    ],
)
def test_lengths_go_to_the_nearest_step_in_lowest_terms(mm: float, fraction: str, inch: str, metric: str) -> None:
    assert format_length(mm, FRACTION) == fraction
    assert format_length(mm, INCH) == inch
    assert format_length(mm, MM) == metric


def test_the_step_of_fractions_can_be_finer() -> None:
    assert format_length(5.877953 * 25.4, FRACTION, step=1 / 32) == "5 7/8 in"
    assert format_length(1.0, FRACTION, step=1 / 64) == "3/64 in"


@pytest.mark.parametrize(
    ("mm", "fraction", "inch", "metric"),
    [
        (0.49 * 25.4, "7/16 in", "0.49 in", "12.4 mm"),
        (12.7, "1/2 in", "0.50 in", "12.7 mm"),
        (19.05, "3/4 in", "0.75 in", "19.0 mm"),
        (0.1, "0 in", "0.00 in", "0.1 mm"),
        (0.0, "0 in", "0.00 in", "0.0 mm"),
        (-0.1, "-1/16 in", "-0.01 in", "-0.1 mm"),
        (-11.2, "-1/2 in", "-0.45 in", "-11.2 mm"),
    ],
)
def test_clearances_round_towards_less_of_it(mm: float, fraction: str, inch: str, metric: str) -> None:
    assert format_clearance(mm, FRACTION) == fraction
    assert format_clearance(mm, INCH) == inch
    assert format_clearance(mm, MM) == metric


@pytest.mark.parametrize(("unit", "step"), [(FRACTION, 25.4 / 16), (INCH, 0.254), (MM, 0.1)])
def test_no_clearance_is_ever_overstated(unit: LengthUnit, step: float) -> None:
    for mm in np.random.default_rng(5).uniform(-150.0, 150.0, 10_000).tolist():
        shown = parse_length(format_clearance(mm, unit), unit)
        assert mm - step - 1e-6 < shown <= mm + 1e-6
        above = parse_length(format_clearance(mm, unit, up=True), unit)
        assert mm - 1e-6 <= above < mm + step + 1e-6
        assert shown != 0.0 or 0.0 <= mm < step


@pytest.mark.parametrize(
    ("mm", "fraction", "inch", "metric"),
    [
        (6.35, "1/4 in", "0.25 in", "6.35 mm"),
        (19.05, "3/4 in", "0.75 in", "19.05 mm"),
        (12.7, "1/2 in", "0.50 in", "12.7 mm"),
        (10.0, "7/16 in", "0.394 in", "10.0 mm"),
        (0.001, "1/16 in", "0.001 in", "0.01 mm"),
        (0.0, "0 in", "0.00 in", "0.0 mm"),
    ],
)
def test_a_wanted_clearance_is_shown_exactly_or_rounded_up(mm: float, fraction: str, inch: str, metric: str) -> None:
    assert [format_wanted(mm, unit) for unit in (FRACTION, INCH, MM)] == [fraction, inch, metric]


@pytest.mark.parametrize(
    ("unit", "told"),
    [
        (FRACTION, "wall of 1.500 in in “9 mm” is more than -0.124 in or 0.000 in"),
        (INCH, "wall of 1.500 in in “9 mm” is more than -0.124 in or 0.000 in"),
        (MM, "wall of 38.1 mm in “9 mm” is more than -3.15 mm or 0 mm"),
    ],
)
def test_a_sentence_is_told_in_another_unit(unit: LengthUnit, told: str) -> None:
    assert in_unit("wall of 38.1 mm in “9 mm” is more than -3.15 mm or 0 mm", unit) == told


def test_a_sentence_whose_lengths_are_all_fractions_is_told_in_them() -> None:
    assert in_unit("38.1 mm, 0 mm and 0.396875 mm", FRACTION) == "1 1/2 in, 0 in and 1/64 in"
    assert in_unit("0.79375 mm", INCH) == "0.03125 in"


@pytest.mark.parametrize("unit", LengthUnit)
def test_what_is_shown_reads_back_as_the_same(unit: LengthUnit) -> None:
    for mm in np.random.default_rng(6).uniform(-3000.0, 3000.0, 1000).tolist():
        shown = format_length(mm, unit)
        assert format_length(parse_length(shown, unit), unit) == shown
        assert re.fullmatch(r"-?[\d./ ]+ (in|mm)", shown)


@pytest.mark.parametrize("unit", LengthUnit)
def test_a_unit_names_itself_and_its_size(unit: LengthUnit) -> None:
    assert parse_length(f"1 {unit.sign}", MM) == unit.in_mm
    assert unit.words


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("30", 30.0), ("30°", 30.0), ("-7 1/2 deg", -7.5), ("7,5 degrees", 7.5), ("0.5 rad", 90.0 / pi), ("2*15", 30.0)],
)
def test_angles_are_read_in_degrees(text: str, degrees: float) -> None:
    assert parse_angle(text) == pytest.approx(degrees, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "words"),
    [("30 in", "“in” is not a unit of angle"), ("", "write an angle like"), ("7-1/2", "“7 1/2” or “7 - 1/2”")],
)
def test_what_says_no_angle_is_refused(text: str, words: str) -> None:
    with pytest.raises(AngleError, match=re.escape(words)):
        parse_angle(text)


@pytest.mark.parametrize(("angle", "text"), [(30.0, "30°"), (29.4105, "29.4°"), (-0.01, "0°"), (-7.5, "-7.5°")])
def test_angles_are_shown_to_a_tenth(angle: float, text: str) -> None:
    assert format_angle(angle) == text
