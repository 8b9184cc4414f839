from __future__ import annotations

import pytest

from app.mass_units import echo_mass, format_mass, parse_mass, parse_number
from app.units import EntryError


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
    assert parse_mass(text) == pytest.approx(kg, rel=1e-15)


@pytest.mark.parametrize("text", ["", "heavy", "85 mm", "1,234", "2 kg * 3 kg"])
def test_what_says_no_mass_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(EntryError, match=r"\.$"):
        parse_mass(text)


def test_a_number_has_no_unit() -> None:
    assert parse_number("1.25") == 1.25
    assert parse_number("5/4") == 1.25
    with pytest.raises(EntryError, match=r"unit|place"):
        parse_number("1.25 mm")


def test_what_is_not_plain_kilograms_is_echoed() -> None:
    assert echo_mass("187 lb") == "= 84.8 kg"
    assert echo_mass("85") == echo_mass("85.5 kg") == echo_mass("heavy") == ""
    assert format_mass(85.0) == "85 kg"
