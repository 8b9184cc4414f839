from __future__ import annotations

import pytest

from app.mass_units import echo_mass, format_mass, parse_mass, parse_number
from app.units import EntryError, LengthUnit


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("85", 85.0),
        ("85 kg", 85.0),
        ("187 lb", 187 * 0.45359237),
        ("2 lbs + 1 kg", 1.90718474),
        ("1,5", 1.5),
        ("0", 0.0),
    ],
)
def test_masses_are_read_in_kilograms_and_pounds(text: str, kg: float) -> None:
    assert parse_mass(text, LengthUnit.MM) == pytest.approx(kg, rel=1e-15)


@pytest.mark.parametrize("text", ["", "heavy", "85 mm", "1,234", "2 kg * 3 kg"])
def test_what_says_no_mass_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(EntryError, match=r"\.$"):
        parse_mass(text, LengthUnit.INCH)


def test_a_number_has_no_unit() -> None:
    assert parse_number("1.25") == 1.25
    assert parse_number("5/4") == 1.25
    with pytest.raises(EntryError, match=r"unit|place"):
        parse_number("1.25 mm")


def test_pounds_go_with_inches_and_are_meant_there_without_a_unit() -> None:
    for unit in (LengthUnit.FRACTION, LengthUnit.INCH):
        assert parse_mass("187", unit) == 187 * 0.45359237
        assert parse_mass("85 kg", unit) == 85.0
        assert format_mass(187 * 0.45359237, unit) == "187 lb"
    assert format_mass(85.0, LengthUnit.MM) == "85 kg"


def test_an_entry_is_echoed_in_both_units() -> None:
    assert echo_mass("187", LengthUnit.FRACTION) == echo_mass("187 lb", LengthUnit.INCH) == "= 187 lb, 84.8 kg"
    assert echo_mass("85", LengthUnit.MM) == "= 85 kg, 187.4 lb"
    assert echo_mass("heavy", LengthUnit.MM) == echo_mass("", LengthUnit.INCH) == ""
