from __future__ import annotations

from math import atan2, pi

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.plan.amount import Amount
from geometry.rig.rig import Rig
from geometry.stance.clearance_angles import WALL, clearance_angles
from geometry.stance.tangents import crest_angle, tangent_angle
from tests.geometry.rig.rigs import small_rig


def with_tube(*ends: tuple[float, float, float], od: float = 50.0) -> Rig:
    """The small rig without its chassis but one tube."""
    nodes = [{"id": f"n{index}", "at": list(at)} for index, at in enumerate(ends)]
    bar = {"id": "tube", "nodes": [node["id"] for node in nodes], "od": od, "wall": 3.0}
    return small_rig(nodes=nodes, bars=[bar], panels=[])


def test_a_bumper_bounds_the_approach_and_is_named_where_it_is_touched() -> None:
    found = clearance_angles(with_tube((3300.0, -500.0, 500.0), (3300.0, 500.0, 500.0)))
    expected = tangent_angle(np.array([700.0]), np.array([500.0]), 450.0, 25.0)[0]
    assert found.approach.value.value == pytest.approx(expected)
    assert found.approach.part is not None
    assert found.approach.part.id == "tube"
    assert found.approach.at is not None
    x, _, z = found.approach.at
    assert np.hypot(x - 3300.0, z - 500.0) == pytest.approx(25.0)
    assert tangent_angle(np.array([x - 2600.0]), np.array([z]), 450.0)[0] == pytest.approx(expected)
    assert found.departure == clearance_angles(small_rig()).departure


def test_a_tail_bounds_the_departure_as_a_bumper_does_the_approach() -> None:
    front = clearance_angles(with_tube((3300.0, -500.0, 500.0), (3300.0, 500.0, 500.0))).approach
    rear = clearance_angles(with_tube((-700.0, -500.0, 500.0), (-700.0, 500.0, 500.0))).departure
    assert rear.value.value == pytest.approx(front.value.value)
    assert rear.at == pytest.approx((2600.0 - front.at[0], front.at[1], front.at[2]))


def test_where_the_tire_is_the_foremost_the_angle_is_that_of_a_wall_and_nobodys() -> None:
    found = clearance_angles(small_rig())
    assert (found.approach.value.value, found.approach.part, found.approach.at) == (WALL, None, None)


def test_a_level_rail_bounds_the_ramp_between_its_ends() -> None:
    found = clearance_angles(with_tube((700.0, 300.0, 380.0), (2000.0, 300.0, 380.0), od=40.0))
    assert found.ramp.at is not None
    x, y, z = found.ramp.at
    assert (x, y, z) == pytest.approx((1300.0, 300.0, 360.0), abs=0.1)
    assert found.ramp.value.value == pytest.approx(crest_angle(np.array([[1300.0, 360.0]]), 2600.0, 450.0, 450.0)[0])
    assert found.belly.value.value == pytest.approx(360.0)


def test_a_link_that_hangs_lower_than_the_frame_bounds_the_ramp() -> None:
    rig = with_tube((1200.0, -300.0, 900.0), (1200.0, 300.0, 900.0))
    assert clearance_angles(rig).ramp.part.kind == "link"
    assert clearance_angles(rig).belly.part.id == "tube"


def test_a_panel_that_is_off_bounds_nothing() -> None:
    nodes = [
        {"id": name, "at": at}
        for name, at in (("a", [900.0, 300.0, 300.0]), ("b", [1700.0, 300.0, 300.0]), ("c", [1700.0, 300.0, 600.0]))
    ]
    bar = {"id": "tube", "nodes": ["b", "c"], "od": 40.0, "wall": 3.0}
    panel = {"id": "skid", "facets": [["a", "b", "c"]], "thickness": 4.0}
    fitted = clearance_angles(small_rig(nodes=nodes, bars=[bar], panels=[panel]))
    off = clearance_angles(small_rig(nodes=nodes, bars=[bar], panels=[panel | {"fitted": False}]))
    assert fitted.ramp.part.id == "skid"
    assert fitted.belly.value.value == pytest.approx(280.0)
    assert off.ramp.part.id == "tube"


def test_clearance_under_an_axle_is_down_to_the_lowest_of_its_housing() -> None:
    rig = small_rig()
    found = clearance_angles(rig).axles
    assert [axle.value.value for axle in found] == [310.0, 310.0]
    assert {axle.part.kind for axle in found} == {"centre section"}
    slim = replace(rig.axles[0], housing=replace(rig.axles[0].housing, centre_radius=30.0))
    under = clearance_angles(replace(rig, axles=(slim, rig.axles[1]))).axles[0]
    assert (under.value.value, under.part.kind) == (450.0 - 38.1, "housing")


def test_what_cannot_be_told_says_what_is_missing() -> None:
    bare = clearance_angles(small_rig(nodes=[], bars=[], panels=[]))
    assert {bare.approach.value, bare.departure.value, bare.belly.value} == {Amount(None, ("bars",))}
    rig = small_rig()
    single = clearance_angles(replace(rig, axles=rig.axles[:1]))
    assert single.ramp.value == single.belly.value == Amount(None, ("axles",))
    assert single.approach.value.value is not None


def test_with_three_axles_the_ramp_is_the_smaller_of_both_gaps() -> None:
    rig = with_tube((700.0, 300.0, 380.0), (2000.0, 300.0, 380.0))
    tag = replace(rig.axles[0], id="tag", station=1400.0)
    assert clearance_angles(replace(rig, axles=(*rig.axles, tag))).ramp.value.value > (
        clearance_angles(rig).ramp.value.value
    )


def test_point_contact_is_the_limit_of_small_tires() -> None:
    assert tangent_angle(np.array([700.0]), np.array([500.0]), 0.0)[0] == pytest.approx(atan2(500.0, 700.0))
    assert crest_angle(np.array([[1300.0, 500.0]]), 2600.0, 1e-9, 1e-9)[0] < pi
