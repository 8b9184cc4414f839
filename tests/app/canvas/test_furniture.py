from __future__ import annotations

import pytest

from app.canvas.furniture import SCALE_BAR, scale_bar
from app.units import LengthUnit, parse_length


@pytest.mark.parametrize("unit", LengthUnit)
@pytest.mark.parametrize("pt", [0.05, 0.2, 1.0, 3.3, 6.0, 17.0, 40.0])
def test_the_scale_bar_is_as_long_as_it_says_and_has_a_handy_size(unit: LengthUnit, pt: float) -> None:
    length, words = scale_bar(unit, pt)
    assert length * pt == pytest.approx(parse_length(words, unit))
    assert SCALE_BAR[0] <= length <= SCALE_BAR[1]


def test_the_scale_bar_is_in_the_unit() -> None:
    assert scale_bar(LengthUnit.MM, 5.0)[1] == "500 mm"
    assert scale_bar(LengthUnit.INCH, 5.0)[1] == "24 in"
    assert scale_bar(LengthUnit.FRACTION, 0.1)[1] == "1/2 in"
