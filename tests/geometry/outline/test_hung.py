"""Shocks, stops, straps, steering linkage and driveshaft are drawn where they are in a pose, as long as they are."""

from __future__ import annotations

from math import radians
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from app.files.rig_file import read_rig
from geometry.errors import LinkageError
from geometry.motion.placement import place
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.outline.hung import Hung, hung_parts
from geometry.rig.axle import Axle
from geometry.rig.layout import BarPath, Floats
from geometry.rig.steer_gear import Ram
from geometry.stroke.spans import spans_of
from tests.geometry.motion.leaves import leaf_axle

RIG = read_rig(Path(__file__).parents[3] / "assets" / "2-long-four-seat.rig.json")
REAR, FRONT = RIG.axle("rear"), RIG.axle("front")
POSES = (RIDE_HEIGHT, TravelPose(100.0, -120.0, radians(25.0)), TravelPose(-150.0, -150.0, radians(-38.0)))


def hung(axle: Axle, pose: TravelPose) -> Hung:
    return hung_parts(axle, place(axle, pose))


def tubes(axle: Axle, pose: TravelPose, kind: str, side: str = "") -> list[BarPath]:
    return [tube for tube in hung(axle, pose).tubes if (tube.part.kind, tube.part.side) == (kind, side)]


def length(points: Floats) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


@pytest.mark.parametrize("axle", [REAR, FRONT], ids=["rear", "front"])
@pytest.mark.parametrize("pose", POSES)
def test_shocks_reach_from_eye_to_eye_and_straps_from_end_to_end(axle: Axle, pose: TravelPose) -> None:
    placed = place(axle, pose)
    for span in spans_of(axle):
        own = tubes(axle, pose, span.part.kind, span.part.side)
        end = placed.to_rig(np.array(span.axle))
        if span.part.kind == "shock":
            shaft, body = own
            assert body.radius > shaft.radius
            assert shaft.points[0] == pytest.approx(body.points[1])
            assert shaft.points[1] == pytest.approx(end)
            reach = length(shaft.points) + length(body.points) + body.radius
            assert reach == pytest.approx(float(np.linalg.norm(end - span.chassis)))
        elif span.part.kind == "strap":
            (strap,) = own
            assert strap.points[[0, -1]] == pytest.approx(np.array([span.chassis, end]))
            assert length(strap.points) <= span.longest * 1.02
        else:
            stop, pad = own
            assert pad.points[0] == pytest.approx(end)
            assert length(stop.points) + 2.0 * stop.radius <= span.touched + 1e-9


def test_the_body_hangs_on_the_end_that_carries_it() -> None:
    turned = replace(REAR, shocks=tuple(replace(shock, body_at="axle") for shock in REAR.shocks))
    bodies = [tubes(axle, RIDE_HEIGHT, "shock", "left")[1].points.mean(axis=0) for axle in (REAR, turned)]
    assert bodies[0][2] > bodies[1][2]


def test_a_spring_has_the_width_that_is_told_and_a_plain_shock_has_none() -> None:
    coils = hung(REAR, RIDE_HEIGHT).coils
    assert [coil.part.side for coil in coils] == ["left", "right"]
    coil, shock = coils[0], REAR.shocks[0]
    along = np.subtract(shock.axle, shock.chassis) / np.linalg.norm(np.subtract(shock.axle, shock.chassis))
    off = coil.points - np.array(shock.chassis)
    aside = np.linalg.norm(off - np.outer(off @ along, along), axis=1)
    assert 2.0 * (aside + coil.radius) == pytest.approx(shock.spring_od)
    assert hung(FRONT, RIDE_HEIGHT).coils == ()


def test_rods_of_the_steering_keep_their_length_in_every_pose() -> None:
    lengths: dict[str, list[float]] = {"tie rod": [], "drag link": [], "arm": [], "driveshaft": []}
    for pose in (*POSES, TravelPose(139.7, 139.7, radians(38.0))):
        (tie,) = tubes(FRONT, pose, "tie rod")
        arm, link = tubes(FRONT, pose, "drag link")
        for name, tube in (("tie rod", tie), ("arm", arm), ("drag link", link)):
            lengths[name].append(length(tube.points))
        lengths["driveshaft"].append(length(tubes(FRONT, pose, "driveshaft")[0].points))
    for name in ("tie rod", "drag link", "arm"):
        assert np.ptp(lengths[name]) < 1e-6, name
    assert np.ptp(lengths["driveshaft"]) > 10.0  # it slips


def test_a_rams_rod_goes_with_the_knuckles() -> None:
    ram = Ram(forward=170.0, up=60.0, stroke=250.0, length=400.0, eyes=900.0, arm=(170.0, -160.0, 60.0))
    steering = FRONT.steering
    assert steering is not None
    axle = replace(FRONT, steering=replace(steering, tie_rod=None, drag_link=None, ram=ram))
    links = []
    for pose in POSES:
        rod, body = tubes(axle, pose, "ram")
        links.append(length(rod.points[:2]))
        assert length(rod.points[1:3]) == pytest.approx(ram.eyes)
        assert length(body.points) == pytest.approx(ram.length - ram.od)
    assert np.ptp(links) < 1e-6


def test_what_nobody_has_described_is_not_drawn() -> None:
    steering = FRONT.steering
    assert steering is not None
    bare = replace(
        FRONT,
        shocks=(),
        bump_stops=(),
        straps=(),
        driveshaft=None,
        steering=replace(steering, tie_rod=None, drag_link=None),
    )
    assert hung(bare, RIDE_HEIGHT).tubes == ()
    with pytest.raises(LinkageError):
        hung(FRONT, TravelPose(5000.0, 5000.0))


def test_leaf_springs_are_drawn_from_eye_to_eye_and_their_shackles_from_there_to_the_chassis() -> None:
    axle = leaf_axle()
    assert axle.leaf_springs is not None
    for pose in (RIDE_HEIGHT, TravelPose(60.0, -80.0)):
        left, shackle, right, _ = hung(axle, pose).tubes
        assert (left.part.kind, left.part.side, shackle.part.kind, right.part.side) == (
            "leaf spring",
            "left",
            "shackle",
            "right",
        )
        assert left.points[0] == pytest.approx(axle.leaf_springs.fixed_eye)
        assert left.points[-1] == pytest.approx(shackle.points[0])
        assert shackle.points[1] == pytest.approx(axle.leaf_springs.shackle_pivot)
        seat = place(axle, pose).to_rig(np.array(axle.leaf_springs.seat) - [axle.station, 0.0, axle.height])
        assert np.linalg.norm(left.points - seat, axis=1).min() < 10.0
