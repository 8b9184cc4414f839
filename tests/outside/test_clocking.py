"""Caster, pinion angle and trail: what turning the housing trades, and what the travel does to the pinion.

Source: the project's sheet of checks, part 2 section 3 "Caster, pinion, knuckle clocking" for housing turn and trail,
part 1 section 9 for the pinion of the four-link benchmark in three poses (see test_four_link_benchmark), where a root
search and a rigid-body simulator agree. That caster moves with the pinion is from a maker's service manual, 2001, for
a beam front axle.
"""

from __future__ import annotations

from math import degrees, radians

import pytest
from msgspec.structs import replace

from geometry.motion.travel import TravelPose
from geometry.plan.caster import angles_at, clocking, turned
from geometry.plan.wheel_fit import wheel_fit
from geometry.rig.axle import Rod
from geometry.rig.parts import Point
from geometry.rig.wheel import INCH
from tests.geometry.plan.builds import built
from tests.outside.test_four_link_benchmark import AXLE, CHASSIS, RADIUS, digits


def test_caster_6_and_pinion_10_are_16_and_leave_caster_2_with_the_pinion_at_14() -> None:
    now = clocking(caster=radians(6.0), pinion=radians(10.0))
    assert degrees(now.separation) == pytest.approx(16.0)
    assert degrees(turned(now, radians(4.0)).pinion) == pytest.approx(14.0)
    assert degrees(turned(now, radians(4.0)).caster) == pytest.approx(2.0)


@pytest.mark.parametrize(("caster_deg", "trail"), [(5.0, "1.6185"), (6.0, "1.9444"), (7.0, "2.2715")])
def test_trail_on_a_loaded_radius_of_18_5_in(caster_deg: float, trail: str) -> None:
    made = built()
    assert made.steering is not None
    steering = replace(made.steering, caster_deg=caster_deg, kingpin=(0.0, -100.0, 0.0))
    fit = wheel_fit(replace(made, steering=steering, tire=replace(made.tire, loaded_radius=18.5 * INCH)))
    assert fit.trail is not None
    assert fit.trail / INCH == digits(trail)


@pytest.mark.parametrize(
    ("left", "right", "pinion"), [(4.0, 4.0, "-2.503423"), (-4.0, -4.0, "2.081828"), (4.0, -4.0, "0.383155")]
)
def test_pinion_of_the_four_link_benchmark(left: float, right: float, pinion: str) -> None:
    rods = tuple(
        Rod(id=f"rod{index}", chassis=millimetres(chassis), axle=millimetres(joint))
        for index, (chassis, joint) in enumerate(zip(CHASSIS, AXLE, strict=True))
    )
    made = replace(
        built(), station=0.0, height=RADIUS * INCH, rods=rods, stop_station=32.0 * INCH, bump=4.0 * INCH,
        droop=4.0 * INCH, steering=None, housing=replace(built().housing, pinion_faces="forward"),
    )  # fmt: skip
    (pose,) = angles_at(made, [TravelPose(left * INCH, right * INCH)])
    # the map's point error over its lever: 1e-4 mm over 800 mm is 7e-6 degrees
    assert degrees(pose.pinion) == pytest.approx(float(pinion), abs=1e-5)


def millimetres(place: tuple[float, float, float]) -> Point:
    x, y, z = place
    return (x * INCH, y * INCH, z * INCH)
