"""Masses and plain numbers as people write them; kilograms inside and on screen, pounds read as well."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from app.units import EntryError, Measure, Reader

POUND: Final = Fraction("0.45359237")
"""Avoirdupois pound [kg], exact by definition (international yard and pound agreement, 1959)."""

_KILOGRAMS = ("kg", "kgs", "kilogram", "kilograms")
_POUNDS = ("lb", "lbs", "pound", "pounds")
_MASSES = Measure(
    "mass", dict.fromkeys(_KILOGRAMS, Fraction(1)) | dict.fromkeys(_POUNDS, POUND), "85 kg or 187 lb", EntryError
)
_NUMBERS = Measure("number", {}, "1.25", EntryError)


def parse_mass(text: str) -> float:
    """The mass that `text` says [kg]; a plain number is meant in kg.

    Raises
    ------
    EntryError
        When it says none, or could say two.

    """
    return Reader(_MASSES, text, Fraction(1)).result()


def parse_number(text: str) -> float:
    """The number without a unit that `text` says; raises EntryError as `parse_mass`."""
    return Reader(_NUMBERS, text, Fraction(1)).result()


def format_mass(kg: float) -> str:
    """A mass [kg] for people, to a tenth."""
    return f"{kg:z.1f}".removesuffix(".0") + " kg"


def echo_mass(text: str) -> str:
    """How an entry in pounds, or a sum, will be read: “= 84.8 kg”; else empty."""
    if text.strip().removesuffix("kg").strip().replace(".", "", 1).isdecimal():
        return ""
    try:
        return f"= {format_mass(parse_mass(text))}"
    except EntryError:
        return ""
