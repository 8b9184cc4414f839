"""Weight of round steel tube per length, and the length of a bend.

Sources:

- A stockist's ASTM A53 table: NPS sizes by outside diameter and wall in inches, lb/ft.
- An engineering note with 0.284 lb/in³: 4.000 x 0.047, 1.989 lb/ft. With 7850 kg/m³ that is less by 0.14 per cent.
- Eurocode 3 notes: 7850 kg/m³, with which the project's sheets, part 1 section 12 and part 2 section 7, work out roll
  cage tubes in lb/ft and kg/m and the arc of a bend of 90°: 1.75 in at 5.25 in of radius, 8.2467 in of arc, 5.25 in of
  setback.
"""

from __future__ import annotations

import numpy as np
import pytest

from geometry.rig.parts import Bar
from geometry.rig.wheel import INCH
from geometry.stance.masses import developed_length, mass_per_length

POUND = 0.45359237
FOOT = 12.0 * INCH


def pounds_per_foot(od_in: float, wall_in: float) -> float:
    return mass_per_length(od_in * INCH, wall_in * INCH) * FOOT / POUND


@pytest.mark.parametrize(
    ("od_in", "wall_in", "printed"),
    [(2.375, 0.154, 3.66), (2.375, 0.218, 5.03), (2.875, 0.203, 5.80), (3.500, 0.216, 7.58), (3.500, 0.250, 8.69)],
)
def test_pipes_of_the_stockists_table(od_in: float, wall_in: float, printed: float) -> None:
    assert pounds_per_foot(od_in, wall_in) == pytest.approx(printed, abs=0.006)


def test_the_note_with_another_density() -> None:
    assert pounds_per_foot(4.0, 0.047) * 0.284 / 0.283599 == pytest.approx(1.989, abs=5e-4)


@pytest.mark.parametrize(
    ("od_in", "wall_in", "pounds", "kilograms"),
    [
        (1.375, 0.080, 1.1076, 1.6483),
        (1.500, 0.120, 1.7705, 2.6348),
        (1.750, 0.095, 1.6810, 2.5015),
        (1.750, 0.120, 2.0912, 3.1121),
        (2.000, 0.250, 4.6775, 6.9609),
    ],
)
def test_roll_cage_tubes_of_the_sheet(od_in: float, wall_in: float, pounds: float, kilograms: float) -> None:
    assert pounds_per_foot(od_in, wall_in) == pytest.approx(pounds, abs=5.1e-5)
    assert mass_per_length(od_in * INCH, wall_in * INCH) * 1000.0 == pytest.approx(kilograms, abs=5.1e-5)


@pytest.mark.parametrize(("od", "wall", "kilograms"), [(45.0, 2.5, 2.6203), (50.0, 2.0, 2.3675)])
def test_metric_tubes_of_the_sheet(od: float, wall: float, kilograms: float) -> None:
    assert mass_per_length(od, wall) * 1000.0 == pytest.approx(kilograms, abs=5.1e-5)


def test_a_bend_of_90_degrees() -> None:
    corners = np.array([[0.0, 0.0, 0.0], [20.0, 0.0, 0.0], [20.0, 0.0, 20.0]]) * INCH
    bar = Bar(id="b", nodes=("a", "b", "c"), od=1.75 * INCH, wall=0.12 * INCH, bend_radius=5.25 * INCH)
    arc = developed_length(bar, corners) / INCH - (40.0 - 2.0 * 5.25)
    assert arc == pytest.approx(8.2467, abs=5e-5)
