"""Crawl ratio, road speed, rolling radius.

Sources: a drive train shop's definitions and example of the crawl ratio (6.32 × 2.72 × 4.56 = 78.39, with another 4:1
box 313.55); an off-road forum's road speed by circumference, 63360 / 60 = 1056, of which 336.135 is the form by
diameter; two tire makers' tables of outer diameter and revolutions per mile, and the rolling circumference of a third
one's guide, 63360 / revolutions per mile.
"""

from __future__ import annotations

from math import pi

import pytest

from geometry.driveline.gearing import gear_table, road_speed, rolling_radius
from geometry.rig.driveline import Gears
from geometry.rig.wheel import INCH, Tire

MILE_IN = 63_360.0


def mph(speed: float) -> float:
    """[mm/s] in miles per hour."""
    return speed / INCH / MILE_IN * 3600.0


def test_crawl_ratio() -> None:
    gears = Gears(transmission=(6.32, 1.0), transfer=(1.0, 2.72), axle=4.56)
    assert gear_table(gears, Tire(size="37x12.50R17")).crawl_ratio == pytest.approx(78.39, abs=0.005)
    boxed = Gears(transmission=(6.32, 1.0), transfer=(1.0, 2.72), axle=4.56, crawl_box=4.0)
    assert gear_table(boxed, Tire(size="37x12.50R17")).crawl_ratio == pytest.approx(313.55, abs=0.005)


@pytest.mark.parametrize(
    ("rpm", "diameter_in", "ratio", "speed_mph"), [(3000, 35, 4.10, 76.189), (700, 37, 78.388, 0.9830)]
)
def test_road_speed_on_the_free_radius(rpm: float, diameter_in: float, ratio: float, speed_mph: float) -> None:
    speed = mph(road_speed(rpm, ratio, diameter_in * INCH / 2.0))
    assert speed == pytest.approx(speed_mph, rel=1e-4)
    assert speed == pytest.approx(rpm * diameter_in / (ratio * 336.135), rel=1e-5)
    assert speed == pytest.approx(rpm * pi * diameter_in / (ratio * 1056.0), rel=1e-9)


ROWS = [
    ("LT285/75R16", 32.8, 633.0, 15.931, 0.9714),
    ("LT315/75R16", 34.6, 601.0, 16.779, 0.9699),
    ("LT315/75R16", 34.9, 595.0, 16.948, 0.9712),
]


@pytest.mark.parametrize(("size", "diameter_in", "per_mile", "radius_in", "share"), ROWS)
def test_rolling_radius(size: str, diameter_in: float, per_mile: float, radius_in: float, share: float) -> None:
    assert MILE_IN / per_mile / (2.0 * pi) == pytest.approx(radius_in, abs=0.0005)
    tire = Tire(size=size, diameter=diameter_in * INCH)
    assert rolling_radius(tire, share) / INCH == pytest.approx(radius_in, abs=0.002)
    # The default is the mean of 19 such rows, 0.9696 to 0.9747.
    assert rolling_radius(tire, Gears().rolling_share) / INCH == pytest.approx(radius_in, rel=0.003)
