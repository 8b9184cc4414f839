"""Negative lengths have a minus sign and lengths stay in one piece; nothing else is touched."""

from __future__ import annotations

import pytest

from app.typeset import minus, typeset
from app.units import LengthUnit, format_length, parse_length


@pytest.mark.parametrize(
    ("plain", "set_"),
    [
        ("-1/4 in", "−1/4 in"),
        ("left -3 1/8 in, right +2 in", "left −3 1/8 in, right +2 in"),
        ("-2.5 to -0.3 mm", "−2.5 to −0.3 mm"),
        ("1-short-two-seat.rig.json", "1-short-two-seat.rig.json"),
        ("2026-03-14", "2026-03-14"),
        ("2.1e-13 mm", "2.1e-13 mm"),
        ("kick-up, left", "kick-up, left"),
        ("37x12.50R-17", "37x12.50R-17"),
    ],
)
def test_only_negative_numbers_get_a_minus_sign(plain: str, set_: str) -> None:
    assert minus(plain) == set_


def test_a_length_stays_in_one_piece() -> None:
    words = typeset("Touches by 3 1/4 in, with -1 1/16 in left and 12.7 mm of it; 8 inches, 2 others")
    assert words.split(" ") == [
        *["Touches", "by", "3\N{NO-BREAK SPACE}1/4\N{NO-BREAK SPACE}in,", "with"],
        *["−1\N{NO-BREAK SPACE}1/16\N{NO-BREAK SPACE}in", "left", "and", "12.7\N{NO-BREAK SPACE}mm", "of", "it;"],
        *["8", "inches,", "2", "others"],
    ]


@pytest.mark.parametrize("unit", list(LengthUnit))
def test_what_is_set_can_be_typed_again(unit: LengthUnit) -> None:
    assert parse_length(typeset(format_length(-30.1625, unit)), unit) == pytest.approx(-30.1625, abs=0.1)
