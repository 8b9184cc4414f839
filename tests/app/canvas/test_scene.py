from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from msgspec.structs import replace

from app.canvas.scene import MOST_MARKS, axle_parts, drawing_of, extreme_tires, worth_marking
from app.canvas.targets import axle_targets
from app.edits import with_axle
from geometry.contact.findings import PairName
from geometry.contact.solids import housing_solids, link_solids, tire_solids
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.outline.view import FRONT, SIDE, TOP, View
from geometry.rig.layout import BarPath, PartRef
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from tests.app.canvas.conftest import MakeApproach


@pytest.fixture(scope="session")
def two(bars: dict[tuple[str, str], BarPath]) -> list[tuple[str, str]]:
    return list(bars)[:2]


def test_at_ride_height_tires_stand_on_the_ground(rig: Rig) -> None:
    for parts in drawing_of(rig).axles:
        axle = rig.axle(parts.axle)
        assert parts.ground == pytest.approx(axle.height - tire_dimensions(axle.tire).loaded_radius)
        assert [tire.solid.centre[2] for tire in parts.tires] == pytest.approx([axle.height] * 2)
        assert [tire.part.side for tire in parts.tires] == ["left", "right"]


def test_mounting_faces_are_as_far_apart_as_the_width_in_any_pose(long_rig: Rig) -> None:
    axle = long_rig.axle("front")
    parts = axle_parts(axle, TravelPose(axle.bump, -axle.droop, 0.4))
    assert np.linalg.norm(parts.mounts[0] - parts.mounts[1]) == pytest.approx(axle.width)


def test_every_rod_and_part_of_the_housing_is_drawn_and_named_once(rig: Rig) -> None:
    axle = rig.axle("rear")
    parts = axle_parts(axle, RIDE_HEIGHT)
    names = [(tube.part.kind, tube.part.id, tube.part.side) for tube in parts.tubes]
    assert len(set(names)) == len(names)
    kinds = [kind for kind, _, _ in names]
    assert {kind: kinds.count(kind) for kind in kinds} == {"housing": 1, "pinion": 1, "centre section": 1, "link": 4}


def test_extreme_tires_lie_at_full_stuff_and_full_droop(rig: Rig) -> None:
    axle = rig.axle("rear")
    heights = [shape.solid.centre[2] - axle.height for shape in extreme_tires(axle)]
    assert heights == pytest.approx([axle.bump, axle.bump, -axle.droop, -axle.droop], abs=1e-6)


def test_a_steered_axle_shows_its_kingpins_and_turned_tires(long_rig: Rig) -> None:
    parts = axle_parts(long_rig.axle("front"), TravelPose(0.0, 0.0, 0.3))
    assert len(parts.kingpins) == 2
    assert all(tire.solid.axis[0] < -0.2 for tire in parts.tires)


def test_an_axle_that_cannot_get_there_is_left_out_and_named(rig: Rig) -> None:
    far = TravelPose(5000.0, 5000.0)
    drawing = drawing_of(rig, {"rear": far})
    assert [axle.axle for axle in drawing.axles] == ["front"]
    assert len(drawing.problems) == 1
    assert "rear" in drawing.problems[0]


def test_marks_are_what_is_not_clear_and_the_closest_of_the_clear_ones(
    approach: MakeApproach, two: list[tuple[str, str]]
) -> None:
    contact, tight = approach(two[0], -3.0), approach(two[0], 5.0)
    unknown = dataclasses.replace(approach(two[1], -1.0, settled=False), high=40.0)
    near, next_near = approach(two[0], 30.0), approach(two[1], 40.0)
    other_axle, beyond = approach(two[0], 50.0, axle="front"), approach(two[1], 100.0, axle="front", beyond=True)
    marked = worth_marking([beyond, next_near, near, tight, contact, unknown, other_axle], None)
    assert marked == (contact, unknown, tight, near, other_axle)


def test_the_selected_pair_is_marked_first_even_when_it_is_clear(
    approach: MakeApproach, two: list[tuple[str, str]]
) -> None:
    contact, clear = approach(two[0], -3.0), approach(two[1], 60.0)
    pair = PairName(clear.kind, clear.moving, clear.fixed)
    assert worth_marking([contact, clear], pair)[0] is clear


def test_marks_do_not_cover_the_drawing(approach: MakeApproach, two: list[tuple[str, str]]) -> None:
    assert len(worth_marking([approach(two[0], -1.0)] * 100, None)) == MOST_MARKS


def test_a_mark_knows_whether_its_pose_is_displayed(
    rig: Rig, approach: MakeApproach, two: list[tuple[str, str]]
) -> None:
    pose = TravelPose(100.0, -50.0)
    found = approach(two[0], -3.0, pose=pose)
    displayed = [drawing_of(rig, poses, approaches=[found]).marks[0].displayed for poses in ({}, {"rear": pose})]
    assert displayed == [False, True]


def test_a_panel_that_is_off_is_not_drawn(long_rig: Rig) -> None:
    bare = replace(long_rig, panels=tuple(replace(panel, fitted=False) for panel in long_rig.panels))
    assert drawing_of(long_rig).chassis.panels
    assert not drawing_of(bare).chassis.panels


def test_a_wider_axle_moves_each_tire_by_half_of_it(rig: Rig) -> None:
    wider = with_axle(rig, "rear", width=rig.axle("rear").width + 50.0)
    one, other = (axle_parts(each.axle("rear"), RIDE_HEIGHT) for each in (rig, wider))
    assert [b.solid.centre[1] - a.solid.centre[1] for a, b in zip(one.tires, other.tires, strict=True)] == [25.0, -25.0]


def test_parts_are_named_as_the_search_names_them(rig: Rig) -> None:
    axle = rig.axle("rear")
    searched = {
        (solid.part.kind, solid.part.id) for solid in (*tire_solids(axle), *housing_solids(axle), *link_solids(axle))
    }
    parts = axle_parts(axle, RIDE_HEIGHT)
    drawn: set[PartRef] = {shape.part for shape in (*parts.tires, *parts.tubes)}
    assert {(part.kind, part.id) for part in drawn} == searched


@pytest.mark.parametrize("view", [SIDE, FRONT, TOP], ids=lambda view: view.key)
def test_what_hangs_on_an_axle_is_picked_where_it_is_in_the_pose(long_rig: Rig, view: View) -> None:
    kinds = {"shock", "bump stop", "strap", "tie rod", "drag link", "driveshaft"}
    for pose in (RIDE_HEIGHT, TravelPose(80.0, -100.0, 0.4)):
        drawing = drawing_of(long_rig, {"front": pose}, active_axle="front")
        targets = axle_targets(drawing, view)
        front = next(parts for parts in drawing.axles if parts.axle == "front")
        assert kinds <= {tube.part.kind for tube in front.tubes}
        for tube in front.tubes:
            u, v = view.project(tube.points.mean(axis=0) if len(tube.points) == 2 else tube.points[4]).tolist()
            assert tube.part in targets.at((u, v), 1.0)


def test_tires_are_ghosted_at_the_ends_that_stops_and_straps_leave(long_rig: Rig) -> None:
    rear = long_rig.axle("rear")
    short = tuple(replace(strap, length=strap.length - 60.0) for strap in rear.straps)
    heights = [
        min(float(tire.solid.centre[2]) for tire in extreme_tires(axle)) for axle in (rear, replace(rear, straps=short))
    ]
    assert 40.0 < heights[1] - heights[0] < 80.0
