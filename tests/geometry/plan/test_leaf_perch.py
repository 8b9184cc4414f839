"""The perch of a leaf spring: where it stands, and its angles to what the axle has itself."""

from __future__ import annotations

from math import degrees

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.motion.placement import place
from geometry.motion.travel import TravelPose
from geometry.plan.leaf_perch import leaf_perch
from geometry.rig.axle import Housing, Steering
from tests.geometry.motion.leaves import leaf_axle
from tests.geometry.rig.rigs import small_rig


def test_an_axle_on_rods_has_none() -> None:
    assert leaf_perch(small_rig().axles[0]) is None


@pytest.mark.parametrize(("height", "over"), [(525.0, True), (375.0, False)])
def test_it_stands_between_tube_and_pack_over_or_under(height: float, over: bool) -> None:
    perch = leaf_perch(leaf_axle(seat=(12.0, 430.0, height)))
    assert perch is not None
    assert perch.over is over
    assert (perch.at, perch.forward) == (430.0, 12.0)
    assert perch.height == pytest.approx(75.0 - 45.0 / 2.0 - 76.2 / 2.0)


@pytest.mark.parametrize("faces", ["forward", "rearward"])
def test_the_angle_on_the_bench_is_pinion_less_seat_and_stays_so_in_any_pose(faces: str) -> None:
    axle = replace(
        leaf_axle(seat_deg=2.0),
        housing=Housing(pinion_angle_deg=7.0, pinion_faces=faces),  # type: ignore[arg-type]
        steering=Steering(
            inclination_deg=8.0, caster_deg=6.0, kingpin=(0.0, -100.0, 0.0), lock_left_deg=20.0, lock_right_deg=20.0
        ),
    )
    perch = leaf_perch(axle)
    assert perch is not None
    assert perch.to_kingpin is not None
    ahead = faces == "forward"
    assert degrees(perch.to_pinion) == pytest.approx(5.0 if ahead else 9.0)
    assert degrees(perch.to_kingpin) == pytest.approx(4.0)
    placed = place(axle, TravelPose(60.0, 60.0))
    pitch = np.arcsin(placed.rotation[2, 0])
    nose = placed.pinion_tip - placed.centre
    up = np.arctan2(nose[2], nose[0] if ahead else -nose[0])
    seat = perch.seat_angle + pitch
    assert up == pytest.approx(perch.to_pinion + (seat if ahead else -seat), abs=1e-6)
