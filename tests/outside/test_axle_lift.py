"""Height of the centre of gravity from raising one axle.

Sources:

- An open textbook on vehicle weighing, h = (b − L · Rf / W) · cot θ + r; ISO 10392:1992 for the locked suspension; from
  them tan θ = H / √(L² − H²), h = r + L · ΔW / (W · tan θ).
- A forum thread: 110 in of wheelbase, raised by 18 in: 108.5 in along the ground, slope 0.1659.
- The project's sheet of checks, section 7: 4000 lb, 100 in, middle, height 30, radius 17, raised by 20 in: 2106.1446 lb
  on the front axle when the rear one is raised. Nothing is published with every number.
"""

from __future__ import annotations

from math import sqrt
from typing import Literal

import pytest
from msgspec.structs import replace

from geometry.rig.axle import Axle
from geometry.rig.mass import Weighing
from geometry.rig.wheel import INCH
from geometry.stance.weighing import raised_height, weighed_centre
from tests.geometry.rig.rigs import small_rig

POUND = 0.45359237
"""kg in a pound, exact."""


def axles(wheelbase_in: float, radius_in: float) -> tuple[Axle, Axle]:
    rear, front = small_rig().axles
    height = radius_in * INCH
    return replace(rear, height=height), replace(front, height=height, station=wheelbase_in * INCH)


def test_110_in_raised_by_18_in_slope_as_the_thread_has_it() -> None:
    level = sqrt(110.0**2 - 18.0**2)
    assert level == pytest.approx(108.5, abs=0.05)
    assert 18.0 / level == pytest.approx(0.1659, abs=5e-5)
    # The share that the raised axle loses is h · tan θ / L, with h = 10 in over its centre.
    share = 0.5 - 10.0 / 110.0 * 18.0 / level
    assert raised_height(55.0, 110.0, 0.0, 18.0, share) == pytest.approx(10.0, abs=1e-9)


@pytest.mark.parametrize("raised", ["rear", "front"])
def test_the_worked_example_gives_back_30_in(raised: Literal["rear", "front"]) -> None:
    half = 2000.0 * POUND
    weighing = Weighing(
        state="empty", rear_kg=half, front_kg=half, raised=raised, lift=20.0 * INCH, resting_kg=2106.1446 * POUND
    )
    found = weighed_centre(weighing, *axles(100.0, 17.0))
    assert found.mass / POUND == pytest.approx(4000.0)
    assert found.x.value / INCH == pytest.approx(50.0)
    assert found.z.value / INCH == pytest.approx(30.0, abs=5e-5)  # 30.268 with H / L for the slope


@pytest.mark.parametrize("share", [0.35, 0.5, 0.62])
@pytest.mark.parametrize("lift_in", [10.0, 20.0, 40.0])
def test_equal_radii_give_the_published_formula(share: float, lift_in: float) -> None:
    wheelbase, radius, height = 100.0, 17.0, 31.5
    slope = lift_in / sqrt(wheelbase**2 - lift_in**2)
    grown = (height - radius) * slope / wheelbase
    weighing = Weighing(
        state="empty", rear_kg=1000.0 * share, front_kg=1000.0 * (1.0 - share), raised="front",
        lift=lift_in * INCH, resting_kg=1000.0 * (share + grown),
    )  # fmt: skip
    assert weighed_centre(weighing, *axles(wheelbase, radius)).z.value / INCH == pytest.approx(height, abs=1e-9)
