from __future__ import annotations

from math import acos, tan

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact.solids import bar_pieces, housing_solids, link_solids, panel_pieces, shock_solids, tire_solids
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.rig.axle import Rod
from geometry.rig.layout import Floats
from geometry.rig.parts import Bar, Node, Panel, Point
from geometry.rig.rig import Rig
from geometry.rig.stroke import Shock
from geometry.rig.wheel import Tire
from geometry.tolerances import ARC_SAGITTA
from tests.geometry.motion.axles import STEERING, axle
from tests.geometry.motion.linkages import LAYOUTS

CORNERS: tuple[Point, ...] = ((0.0, 600.0, 500.0), (1000.0, 600.0, 500.0), (1500.0, 300.0, 1200.0))
BEND, OD = 240.0, 44.0


def bent_rig(*, mirrored: bool = False, bend_radius: float = BEND) -> Rig:
    nodes = tuple(Node(id=f"n{row}", at=at) for row, at in enumerate(CORNERS))
    bar = Bar(id="hoop", nodes=("n0", "n1", "n2"), od=OD, wall=3.0, bend_radius=bend_radius, mirrored=mirrored)
    return Rig(name="", nodes=nodes, bars=(bar,), axles=(axle(),))


def off_segments(points: Floats, corners: Floats) -> Floats:
    """Distance of points (n, 3) from each of the segments (p, 2, 3), shape (n, p)."""
    start, span = corners[:, 0], corners[:, 1] - corners[:, 0]
    off = points[:, None] - start
    share = np.clip((off * span).sum(axis=2) / (span * span).sum(axis=1), 0.0, 1.0)
    return np.linalg.norm(off - share[..., None] * span, axis=2)


def true_arc() -> Floats:
    """Centre line of the bend, from the arc's centre: points equally far from both straights."""
    before, corner, after = np.array(CORNERS)
    u, v = (before - corner) / np.linalg.norm(before - corner), (after - corner) / np.linalg.norm(after - corner)
    turn = np.pi - acos(float(u @ v))
    inward = (u + v) / np.linalg.norm(u + v)
    centre = corner + inward * BEND / np.cos(turn / 2.0)
    ends = [corner + way * BEND * tan(turn / 2.0) - centre for way in (u, v)]
    aside = ends[1] - ends[0] * float(ends[0] @ ends[1]) / BEND**2
    aside *= BEND / np.linalg.norm(aside)
    angle = np.linspace(0.0, turn, 500)[:, None]
    return centre + np.cos(angle) * ends[0] + np.sin(angle) * aside


def test_chords_cover_the_bent_tube_and_little_more() -> None:
    pieces = bar_pieces(bent_rig())
    assert len(pieces.part) > 4
    arc = true_arc()
    # The tube's skin lies OD / 2 from the arc: inside a piece that reaches over the arc by that.
    over = off_segments(arc, pieces.corners) + OD / 2.0
    assert np.all(np.any(over <= pieces.radius + 1e-9, axis=1))
    assert np.all(pieces.radius - OD / 2.0 <= ARC_SAGITTA)
    ends = pieces.corners.reshape(-1, 3)
    assert np.linalg.norm(ends[0] - CORNERS[0]) == np.linalg.norm(ends[-1] - CORNERS[-1]) == 0.0


def test_the_skin_of_a_bent_tube_lies_inside_its_pieces() -> None:
    pieces = bar_pieces(bent_rig())
    arc = true_arc()
    along = np.gradient(arc, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    rng = np.random.default_rng(1)
    for _ in range(10):
        across = np.cross(along, rng.normal(size=along.shape))
        skin = arc + OD / 2.0 * across / np.linalg.norm(across, axis=1, keepdims=True)
        assert np.all(np.any(off_segments(skin, pieces.corners) <= pieces.radius + 1e-6, axis=1))


def test_a_mitred_bar_is_its_straights() -> None:
    pieces = bar_pieces(bent_rig(bend_radius=0.0))
    assert pieces.corners == pytest.approx(np.array([CORNERS[:2], CORNERS[1:]]))
    assert pieces.radius.tolist() == [OD / 2.0] * 2
    assert pieces.part.tolist() == [0, 0]


def test_a_mirrored_bar_is_two_parts_of_as_many_pieces() -> None:
    pieces = bar_pieces(bent_rig(mirrored=True))
    assert [part.side for part in pieces.parts] == ["left", "right"]
    left, right = pieces.corners[pieces.part == 0], pieces.corners[pieces.part == 1]
    assert right == pytest.approx(left * [1.0, -1.0, 1.0])


def test_facets_keep_their_corners_and_repeat_the_last_to_fill_up() -> None:
    places = ((0, 0, 0), (300, 0, 0), (300, 200, 0), (0, 200, 0), (-100, 100, 0), (0, 0, 400), (300, 0, 400))
    nodes = tuple(Node(id=f"n{row}", at=tuple(map(float, at))) for row, at in enumerate(places))
    floor = Panel(id="floor", facets=(("n0", "n1", "n2", "n3", "n4"), ("n0", "n1", "n6")), thickness=3.0)
    side = Panel(id="side", facets=(("n0", "n1", "n6", "n5"),), thickness=5.0)
    off = Panel(id="off", facets=(("n0", "n1", "n5"),), fitted=False)
    pieces = panel_pieces(Rig(name="", nodes=nodes, panels=(floor, side, off), axles=(axle(),)))
    assert [part.id for part in pieces.parts] == ["floor", "side"]
    assert pieces.part.tolist() == [0, 0, 1]
    assert pieces.radius.tolist() == [1.5, 1.5, 2.5]
    assert pieces.corners.shape == (3, 5, 3)
    assert pieces.corners[1].tolist() == [[0, 0, 0], [300, 0, 0], [300, 0, 400], [300, 0, 400], [300, 0, 400]]


def test_a_rig_without_bars_or_panels_has_no_pieces() -> None:
    rig = Rig(name="", axles=(axle(),))
    for pieces in (bar_pieces(rig), panel_pieces(rig)):
        assert len(pieces.parts) == len(pieces.part) == len(pieces.radius) == len(pieces.corners) == 0


def test_a_tire_is_a_core_within_its_radius_and_section_width() -> None:
    tire = Tire(size="37x12.50R17", diameter=930.0, section_width=310.0, shoulder_radius=25.0)
    left, right = tire_solids(axle(tire=tire, steering=STEERING))
    for solid in (left, right):
        assert solid.half_length + solid.skin == pytest.approx(155.0)
        assert solid.core_radius + solid.skin == pytest.approx(465.0)
        assert solid.skin == 25.0
    assert [left.part.side, right.part.side] == ["left", "right"]
    # Each tire moves outward by half of what the axle gains.
    assert left.place[4].tolist() == [0.0, 0.5, 0.0]
    assert right.place[4].tolist() == [0.0, -0.5, 0.0]


def test_the_housing_is_a_tube_a_ball_and_a_snout() -> None:
    drawn = axle()
    tube, centre, pinion = housing_solids(drawn)
    housing = drawn.housing
    assert (tube.half_length, tube.skin) == (800.0 - housing.end_inset, housing.tube_od / 2.0)
    assert (centre.half_length, centre.skin) == (0.0, housing.centre_radius)
    assert centre.place[1].tolist() == [0.0, 150.0, 0.0]
    assert (pinion.half_length, pinion.skin) == (housing.pinion_length / 2.0, housing.pinion_radius)
    assert [solid.half_by_width for solid in (tube, centre, pinion)] == [0.5, 0.0, 0.0]
    assert [solid.core_radius for solid in (tube, centre, pinion)] == [0.0] * 3


def test_without_a_pinion_there_is_no_snout() -> None:
    drawn = axle()
    bare = replace(drawn, housing=replace(drawn.housing, pinion_length=0.0))
    assert [solid.part.kind for solid in housing_solids(bare)] == ["housing", "centre section"]


def test_links_leave_out_the_room_of_their_joints() -> None:
    drawn = axle()
    rods = tuple(replace(rod, joint_room=20.0 * index, od=40.0 + index) for index, rod in enumerate(drawn.rods))
    for index, (rod, solid) in enumerate(zip(rods, link_solids(replace(drawn, rods=rods)), strict=True)):
        length = float(np.linalg.norm(np.subtract(rod.axle, rod.chassis)))
        assert 2.0 * solid.half_length == pytest.approx(length - 40.0 * index)
        assert solid.skin == pytest.approx(20.0 + index / 2.0)
        assert solid.part.id == f"front.{rod.id}"


def test_what_five_rods_give_is_added_to_their_radius() -> None:
    rods = tuple(Rod(id=f"r{i}", chassis=a, axle=b) for i, (a, b) in enumerate(LAYOUTS["parallel and a bar"]))
    drawn = axle(station=0.0, rods=rods)
    give = pose_map(linkage_of(drawn)).give
    assert give > 0.5
    assert [solid.skin for solid in link_solids(drawn)] == pytest.approx([rods[0].od / 2.0 + give] * 5)


def test_a_facet_with_a_corner_off_its_plane_is_laid_flat_and_as_much_thicker() -> None:
    corners = [(0.0, 0.0, 500.0), (400.0, 0.0, 500.0), (400.0, 300.0, 500.9), (0.0, 300.0, 500.0)]
    nodes = tuple(Node(id=f"n{index}", at=at) for index, at in enumerate(corners))
    panel = Panel(id="skin", facets=(("n0", "n1", "n2", "n3"),), thickness=2.0)
    pieces = panel_pieces(Rig(name="", nodes=nodes, panels=(panel,), axles=()))
    flat, radius = pieces.corners[0], float(pieces.radius[0])
    normal = np.cross(flat[1] - flat[0], flat[3] - flat[0])
    normal /= np.linalg.norm(normal)
    assert np.abs((flat - flat[0]) @ normal).max() < 1e-9
    off = np.linalg.norm(flat - np.array(corners), axis=1)
    assert 0.2 < off.max() < 0.9
    assert radius == pytest.approx(1.0 + off.max())


@pytest.mark.parametrize(
    ("changes", "ends", "widths"),
    [
        ({}, (350.0, 270.0), (63.5, 22.2)),
        ({"body_at": "axle"}, (270.0, 350.0), (22.2, 63.5)),
        ({"spring_od": 100.0}, (310.0, 310.0), (100.0, 100.0)),
    ],
)
def test_a_shock_is_two_halves_that_cover_it_extended_and_fit_in_collapsed(
    changes: dict[str, object], ends: tuple[float, float], widths: tuple[float, float]
) -> None:
    shock = Shock(id="s", chassis=(2500.0, 300.0, 950.0), axle=(2500.0, 400.0, 470.0), collapsed=400.0, extended=620.0)
    drawn = axle(shocks=(replace(shock, **changes),))
    top, low = shock_solids(drawn)
    assert top.part == low.part
    for half, side, end, width in ((top, 1.0, ends[0], widths[0]), (low, -1.0, ends[1], widths[1])):
        assert half.skin == width / 2.0
        assert side * half.along - half.half_length == pytest.approx(shock.joint_room)
        assert side * half.along + half.half_length == pytest.approx(end)
    assert sum(ends) >= 620.0
    assert max(ends) <= 400.0 - shock.joint_room
