"""Ramp travel index: 1000 times the distance up a ramp of 20° over the wheelbase; a convention of clubs and magazines.

Sources:

- A club's page, a magazine's page for small pickups and an importer's club: definition, from the foot of the ramp along
  the slope to below the hub with three tires on the ground; 62 in with 94 in of wheelbase: 659 (659.57, cut off); 30 in
  with 88 in: 341 (340.91, rounded).
- A 4x4 club's page for the height at which a wheel is lifted: constant 2924 (2923.80).
- The project's sheet of checks, section 11: rise per inch at 20, 23 and 30 degrees. One page has 0.345 at 20°, a
  misprint.
"""

from __future__ import annotations

import pytest

from geometry.stance.ramp_travel import ramp_index, ramp_index_of_lift


def test_62_in_of_ramp_with_94_in_of_wheelbase() -> None:
    assert ramp_index(62.0, 94.0) == pytest.approx(659.57, abs=0.01)
    assert int(ramp_index(62.0, 94.0)) == 659


def test_30_in_of_ramp_with_88_in_of_wheelbase() -> None:
    assert ramp_index(30.0, 88.0) == pytest.approx(340.91, abs=0.005)
    assert round(ramp_index(30.0, 88.0)) == 341


def test_the_constant_of_a_wheel_that_is_lifted() -> None:
    assert ramp_index_of_lift(1.0, 1.0) == pytest.approx(2923.80, abs=0.005)
    assert round(ramp_index_of_lift(1.0, 1.0)) == 2924


@pytest.mark.parametrize(("ramp_deg", "rise"), [(20.0, 0.34202), (23.0, 0.39073), (30.0, 0.50000)])
def test_the_rise_of_ramps(ramp_deg: float, rise: float) -> None:
    assert ramp_index_of_lift(rise, 1.0, ramp_deg) == pytest.approx(1000.0, abs=0.02)
