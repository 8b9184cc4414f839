from __future__ import annotations

from math import cos, radians, sin

import pytest

from geometry.motion.carried import centre_section, housing_ends, kingpin_place, mount_face, pinion_tip, tire_centre
from geometry.rig.axle import Housing
from geometry.rig.wheel import Wheel
from tests.geometry.motion.axles import STEERING, axle


def test_mount_faces_stand_the_width_apart() -> None:
    assert list(mount_face(axle(), "left")) == [0.0, 800.0, 0.0]
    assert list(mount_face(axle(), "right")) == [0.0, -800.0, 0.0]


@pytest.mark.parametrize(("offset", "y"), [(0.0, 800.0), (30.0, 770.0), (-30.0, 830.0)])
def test_positive_offset_draws_the_tires_inboard(offset: float, y: float) -> None:
    made = axle(wheel=Wheel(rim_width=228.6, offset=offset))
    assert tire_centre(made, "left")[1] == y
    assert tire_centre(made, "right")[1] == -y


def test_backspacing_counts_from_the_inner_rim_edge() -> None:
    made = axle(wheel=Wheel(rim_width=200.0, backspacing=92.7, flange=12.7))
    assert tire_centre(made, "left")[1] == pytest.approx(820.0)


def test_housing_ends_lie_inboard_of_the_mount_faces() -> None:
    ends = housing_ends(axle(housing=Housing(end_inset=60.0)))
    assert ends.tolist() == [[0.0, 740.0, 0.0], [0.0, -740.0, 0.0]]


def test_centre_section_and_pinion_stand_on_the_pinion_centreline() -> None:
    housing = Housing(pinion_offset=120.0, pinion_length=300.0, pinion_angle_deg=10.0)
    made = axle(housing=housing)
    assert centre_section(made).tolist() == [0.0, 120.0, 0.0]
    rise = (300.0 * cos(radians(10.0)), 120.0, 300.0 * sin(radians(10.0)))
    assert pinion_tip(made) == pytest.approx(rise)


def test_a_pinion_that_faces_rearward_rises_as_well() -> None:
    made = axle(housing=Housing(pinion_length=300.0, pinion_angle_deg=10.0, pinion_faces="rearward"))
    assert pinion_tip(made) == pytest.approx((-300.0 * cos(radians(10.0)), 0.0, 300.0 * sin(radians(10.0))))


def test_kingpins_are_mirror_images_that_move_with_the_mount_faces() -> None:
    left, right = (kingpin_place(axle(steering=STEERING), side) for side in ("left", "right"))
    assert left is not None
    assert right is not None
    assert left.tolist() == [0.0, 700.0, 20.0]
    assert right.tolist() == [0.0, -700.0, 20.0]
    wider = kingpin_place(axle(steering=STEERING, width=1660.0), "left")
    assert wider is not None
    assert wider.tolist() == [0.0, 730.0, 20.0]


def test_an_unsteered_axle_has_no_kingpins() -> None:
    assert kingpin_place(axle(), "left") is None
