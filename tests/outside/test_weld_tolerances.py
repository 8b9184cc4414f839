"""General tolerances of weldments.

Source: ISO 13920, table 1 (linear) and table 2 (angular), as a maker of fabrications reprints them; the standard itself
was not seen. The reprint shows the column of 2 to 30 mm once for all classes, and gives the angles in millimetres per
metre as well: 6, 13, 18 and 26 for legs up to 400 mm.
"""

from __future__ import annotations

from math import radians, tan

import pytest

from geometry.plan.as_built import ANGLES_DEG, length_tolerance

TABLE_1 = {
    "A": [1, 1, 1, 2, 3, 4, 5],
    "B": [1, 2, 2, 3, 4, 6, 8],
    "C": [1, 3, 4, 6, 8, 11, 14],
    "D": [1, 4, 7, 9, 12, 16, 21],
}
UP_TO = [30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0, 8000.0]


@pytest.mark.parametrize("weld_class", sorted(TABLE_1))
def test_every_length_of_the_table_up_to_and_including_its_upper_bound(weld_class: str) -> None:
    assert [length_tolerance(size, weld_class) for size in UP_TO] == TABLE_1[weld_class]
    just_over = [length_tolerance(size + 0.001, weld_class) for size in (2.0, *UP_TO[:-1])]
    assert just_over == TABLE_1[weld_class]


@pytest.mark.parametrize(("weld_class", "per_metre"), [("A", 6.0), ("B", 13.0), ("C", 18.0), ("D", 26.0)])
def test_angles_are_what_the_reprint_gives_per_metre(weld_class: str, per_metre: float) -> None:
    assert 1000.0 * tan(radians(ANGLES_DEG[weld_class])) == pytest.approx(per_metre, abs=0.6)
