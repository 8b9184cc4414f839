from __future__ import annotations

from math import radians

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.motion.steer_lock import ram_travel, shaft_joint_angles, steer_lock, steer_range
from geometry.rig.axle import Axle
from geometry.rig.steer_gear import Ram
from tests.geometry.motion.axles import STEERING, axle
from tests.geometry.motion.ties import TIES, tied

RAM = Ram(forward=-160.0, up=40.0, stroke=160.0, length=300.0, eyes=850.0, arm=(-165.0, -130.0, 45.0))


def limited(**fields: object) -> Axle:
    return axle(steering=replace(STEERING, **fields))


def test_the_stops_are_the_lock_of_an_old_rig_to_the_last_digit() -> None:
    assert steer_range(axle(steering=STEERING)) == (-radians(36.0), radians(38.0))
    assert steer_range(axle()) == (0.0, 0.0)
    assert steer_lock(axle(), "left") is None


def test_what_ends_the_lock_first_is_named() -> None:
    for fields, by in (({}, "stop"), ({"ram": RAM}, "ram"), ({"ram": RAM, "joint_limit_deg": 15.0}, "joint")):
        found = steer_lock(limited(**fields), "left")
        assert found is not None
        assert found.by == by


@pytest.mark.parametrize("tie", TIES)
def test_at_the_end_of_the_stroke_one_knuckle_has_taken_all_of_it(tie: str) -> None:
    made = tied(limited(ram=RAM), tie)
    for way, sign in (("left", 1.0), ("right", -1.0)):
        lock = steer_lock(made, way)  # type: ignore[arg-type]
        assert lock is not None
        ways = [abs(float(ram_travel(made, sign * lock.steer, side))) for side in ("left", "right")]  # type: ignore[arg-type]
        assert max(ways) == pytest.approx(RAM.stroke / 2.0)


@pytest.mark.parametrize("tie", TIES)
def test_no_steer_within_the_lock_bends_a_joint_more_than_it_bears(tie: str) -> None:
    made = tied(limited(joint_limit_deg=24.0), tie)
    low, high = steer_range(made)
    angles = np.array([shaft_joint_angles(made, steer) for steer in np.linspace(low, high, 101)])
    assert angles.max() == pytest.approx(radians(24.0), abs=1e-9)


def test_a_kingpin_that_leans_spares_the_joint() -> None:
    upright = shaft_joint_angles(limited(inclination_deg=0.0), 0.5)
    assert upright == pytest.approx([0.5, 0.5])
    assert np.all(shaft_joint_angles(limited(inclination_deg=20.0), 0.5) < upright)


def test_a_rig_without_a_ram_has_no_way_of_it() -> None:
    assert np.isnan(ram_travel(axle(steering=STEERING), [0.0, 0.1])).all()
