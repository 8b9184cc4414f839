from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.outline.view import FRONT, SIDE, TOP, VIEWS, View
from geometry.rig.parts import Node, Point
from geometry.sketch.snapping import Grid, Snap, candidates, snap
from tests.geometry.rig.rigs import small_rig
from tests.geometry.sketch.parts import joint, node

RIG = small_rig()
FOUND = candidates(RIG)
HALF_INCH = Grid(12.7, "1/2 in grid")
EXACT = 1e-9


def pointed(
    point: Point,
    view: View = SIDE,
    *,
    off: tuple[float, float] = (3.0, -2.0),
    depth: float = 2000.0,
    last: Point | None = None,
    grid: Grid | None = None,
) -> Snap:
    """What is meant by a pointer that misses a point of the rig a little."""
    u, v = view.project(np.array(point))
    return snap(FOUND, view, (u + off[0], v + off[1]), reach=8.0, depth=depth, last=last, grid=grid)


def is_at(found: Snap, point: Point) -> bool:
    return bool(np.all(np.abs(np.subtract(found.point, point)) <= EXACT))


def test_a_node_gives_its_depth_too() -> None:
    found = pointed((1800.0, 600.0, 900.0))
    assert (found.point, found.kind, found.words) == ((1800.0, 600.0, 900.0), "node", "node e")


def test_of_nodes_behind_each_other_the_nearest_to_the_work_plane_is_meant() -> None:
    assert pointed((1800.0, 600.0, 900.0), depth=-300.0).words == "node e'"
    assert pointed((1800.0, 600.0, 900.0), depth=0.0).words == "node e"


def test_ends_of_bars_and_joints_say_what_they_are() -> None:
    assert (pointed((1800.0, 500.0, 1500.0)).kind, pointed((1800.0, 500.0, 1500.0)).words) == (
        "bar end",
        "node c, end of rail",
    )
    found = pointed(RIG.axles[0].rods[2].chassis)
    assert (found.point, found.kind, found.words) == ((760.0, 405.0, 660.0), "joint", "rear rod2, chassis end")


def test_the_middle_of_a_bar_comes_before_the_bar_and_after_nodes() -> None:
    found = pointed((1200.0, 0.0, 1000.0))
    assert (found.point, found.kind, found.words) == ((1200.0, 0.0, 1000.0), "midpoint", "middle of middle post")
    assert pointed((1300.0, 600.0, 500.0), depth=600.0).words == "middle of rail, left"


def test_on_a_bar_is_on_its_line() -> None:
    found = pointed((1812.3, 540.0, 1100.0), FRONT)
    assert (found.kind, found.words) == ("on bar", "on rail, left")
    start, end = np.array((1800.0, 600.0, 500.0)), np.array((1800.0, 500.0, 1500.0))
    way = (end - start) / np.linalg.norm(end - start)
    assert np.linalg.norm(np.cross(np.array(found.point) - start, way)) <= EXACT


def test_nothing_snaps_to_a_bar_inside_its_bend_where_it_cannot_be_split() -> None:
    assert pointed((1790.0, 600.0, 500.0), off=(0.0, 0.0)).kind == "free"
    mitred = candidates(replace(RIG, bars=(replace(RIG.bars[0], bend_radius=0.0),)))
    assert snap(mitred, SIDE, (-1790.0, -500.0), reach=8.0, depth=0.0).kind == "on bar"


def test_level_and_upright_take_the_depth_of_the_last_point() -> None:
    last = (1800.0, 600.0, 900.0)
    level = pointed((2000.3, 0.0, 900.0), last=last)
    assert (level.kind, level.words) == ("level", "level with e")
    assert is_at(level, (1997.3, 600.0, 900.0))
    upright = pointed((1800.0, 0.0, 1600.3), off=(-2.0, 0.0), last=last, grid=HALF_INCH)
    assert (upright.kind, upright.words) == ("upright", "upright over e, 1/2 in grid")
    assert is_at(upright, (1800.0, 600.0, 126 * 12.7))
    assert pointed((2000.0, 650.0, 0.0), TOP, off=(0.0, 1.0), last=(700.0, 650.0, 3.0)).words == (
        "straight along from the last point"
    )


def test_level_meets_the_centre_plane() -> None:
    found = pointed((0.0, 0.0, 1700.0), FRONT, last=(0.0, 450.0, 1700.0))
    assert (found.point, found.words) == ((0.0, 0.0, 1700.0), "level with the last point, on the centre plane")


def test_a_new_bar_goes_on_with_one_that_ends_at_its_start() -> None:
    last = (1800.0, 500.0, 1500.0)
    found = pointed((1800.0, 480.0, 1700.0), FRONT, off=(1.0, 0.0), last=last)
    assert (found.kind, found.words) == ("along bar", "on with rail, left")
    assert np.linalg.norm(np.cross(np.subtract(found.point, last), (0.0, -100.0, 1000.0))) / 1005.0 <= EXACT


@pytest.mark.parametrize("view", [FRONT, TOP])
def test_the_centre_plane_comes_before_the_grid(view: View) -> None:
    found = pointed((300.0, 2.0, 300.0), view, depth=300.0, grid=HALF_INCH)
    assert (found.kind, found.words, found.point[1]) == ("mirror plane", "on the centre plane, 1/2 in grid", 0.0)


@pytest.mark.parametrize("view", VIEWS)
def test_the_grid_counts_from_the_origin_on_the_work_plane(view: View) -> None:
    found = pointed((304.8, 254.0, 304.8), view, depth=77.0, grid=HALF_INCH)
    assert found.kind == "grid"
    hidden = int(np.argmax(np.abs(view.nearward)))
    expected = [304.8, 254.0, 304.8]
    expected[hidden] = 77.0
    assert is_at(found, (expected[0], expected[1], expected[2]))


def test_out_of_reach_of_everything_it_is_the_pointer_on_the_work_plane() -> None:
    found = pointed((301.0, 0.0, 204.0), depth=123.0)
    assert (found, found.words) == (Snap((298.0, 123.0, 206.0), "free", ""), "")
    assert snap(FOUND, SIDE, (0.0, 0.0), reach=0.0, depth=0.0, grid=Grid(10.0, "10 mm grid")).kind == "grid"


def test_what_moves_is_not_snapped_to_nor_what_hangs_on_it() -> None:
    found = candidates(RIG, [node(RIG, "m"), joint(RIG, 2, "chassis")])
    gone = {"node m", "middle of middle post", "rear rod2, chassis end"}
    assert not gone & {*found.nodes.words, *found.midpoints.words}
    assert gone <= {*FOUND.nodes.words, *FOUND.midpoints.words, "node m", "node m, end of middle post"}
    assert "node n" in found.nodes.words or "node n, end of middle post" in found.nodes.words


def test_an_empty_chassis_has_something_to_snap_to_all_the_same() -> None:
    bare = candidates(replace(RIG, nodes=(Node(id="x", at=(0.0, 300.0, 300.0)),), bars=(), panels=()))
    assert snap(bare, SIDE, (1.0, -301.0), reach=5.0, depth=0.0).words == "node x"
