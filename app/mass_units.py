"""Masses and plain numbers as people write them; kilograms inside, pounds on screen where lengths are in inches."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from app.units import EntryError, LengthUnit, Measure, Reader

POUND: Final = Fraction("0.45359237")
"""Avoirdupois pound [kg], exact by definition (international yard and pound agreement, 1959)."""

_KILOGRAMS = ("kg", "kgs", "kilogram", "kilograms")
_POUNDS = ("lb", "lbs", "pound", "pounds")
_MASSES = Measure(
    "mass", dict.fromkeys(_KILOGRAMS, Fraction(1)) | dict.fromkeys(_POUNDS, POUND), "85 kg or 187 lb", EntryError
)
_NUMBERS = Measure("number", {}, "1.25", EntryError)


def mass_sign(unit: LengthUnit) -> str:
    """What stands behind a mass that is shown beside lengths in `unit`, and is meant where nothing does."""
    return "kg" if unit is LengthUnit.MM else "lb"


def parse_mass(text: str, unit: LengthUnit) -> float:
    """The mass that `text` says [kg]; a plain number is meant in what goes with lengths in `unit`.

    Raises
    ------
    EntryError
        When it says none, or could say two.

    """
    return Reader(_MASSES, text, Fraction(1) if unit is LengthUnit.MM else POUND).result()


def parse_number(text: str) -> float:
    """The number without a unit that `text` says; raises EntryError as `parse_mass`."""
    return Reader(_NUMBERS, text, Fraction(1)).result()


def format_mass(kg: float, unit: LengthUnit) -> str:
    """A mass [kg] for people, to a tenth of what goes with lengths in `unit`."""
    return _written(kg, mass_sign(unit))


def _written(kg: float, sign: str) -> str:
    return f"{kg if sign == 'kg' else kg / float(POUND):z.1f}".removesuffix(".0") + f" {sign}"


def echo_mass(text: str, unit: LengthUnit) -> str:
    """How an entry will be read, in both units: “= 187 lb, 84.8 kg”; empty where it cannot be."""
    try:
        kg = parse_mass(text, unit)
    except EntryError:
        return ""
    signs = ("kg", "lb") if unit is LengthUnit.MM else ("lb", "kg")
    return f"= {', '.join(_written(kg, sign) for sign in signs)}"
