from __future__ import annotations

from math import cos, pi, radians, sin, tan

import numpy as np
import pytest

from geometry.errors import RigError
from geometry.rig.layout import bar_paths, node_points, panel_facets
from geometry.rig.rig import Rig
from geometry.rig.structure import rig_from_plain
from geometry.tolerances import ARC_SAGITTA
from tests.geometry.rig.rigs import plain_rig, small_rig


def chassis(nodes: dict[str, list[float]], **bar: object) -> Rig:
    plain = plain_rig()
    plain["nodes"] = [{"id": name, "at": at} for name, at in nodes.items()]
    plain["bars"] = [{"id": "bar", "nodes": list(nodes), "od": 40.0, "wall": 3.0} | bar]
    plain["panels"] = []
    return rig_from_plain(plain)


def test_every_node_has_a_mirror_image_behind_an_apostrophe() -> None:
    points = node_points(small_rig())
    assert points["a"].tolist() == [800.0, 600.0, 500.0]
    assert points["a'"].tolist() == [800.0, -600.0, 500.0]


def test_mirrored_bars_lie_on_both_sides() -> None:
    paths = {(path.part.id, path.part.side): path for path in bar_paths(small_rig())}
    assert set(paths) == {("rail", "left"), ("rail", "right"), ("cross", ""), ("post", "")}
    left, right = paths["rail", "left"], paths["rail", "right"]
    assert np.array_equal(left.points * [1.0, -1.0, 1.0], right.points)
    assert left.radius == right.radius == 22.225
    assert (left.part.label, right.part.label) == ("rail, left", "rail, right")
    assert paths["post", ""].part.label == "Middle post"


def test_a_mirrored_bar_entered_on_the_right_has_its_image_on_the_left() -> None:
    rig = chassis({"p": [0.0, -300.0, 500.0], "q": [100.0, -300.0, 500.0]}, mirrored=True)
    sides = {path.part.side: path.points for path in bar_paths(rig)}
    assert np.all(sides["right"][:, 1] == -300.0)
    assert np.all(sides["left"][:, 1] == 300.0)


def test_an_unmirrored_bar_off_the_centre_has_its_side() -> None:
    (path,) = bar_paths(chassis({"p": [0.0, -300.0, 500.0], "q": [100.0, -200.0, 500.0]}))
    assert path.part.side == "right"


def test_panels_that_are_off_lie_nowhere() -> None:
    plain = plain_rig()
    plain["panels"][0]["thickness"] = 3.0
    placed = list(panel_facets(rig_from_plain(plain)))
    assert [panel.part.side for panel in placed] == ["left", "right"]
    assert [len(panel.facets) for panel in placed] == [1, 1]
    assert placed[0].radius == 1.5
    plain["panels"][0]["fitted"] = False
    assert not list(panel_facets(rig_from_plain(plain)))


def test_a_mitred_bar_runs_through_its_nodes() -> None:
    nodes = {"p": [0.0, 0.0, 0.0], "q": [500.0, 0.0, 0.0], "r": [500.0, 500.0, 0.0]}
    (path,) = bar_paths(chassis(nodes))
    assert path.points.tolist() == list(nodes.values())
    assert path.slack == 0.0


@pytest.mark.parametrize("turn_deg", [5.0, 45.0, 90.0, 120.0, 170.0])
def test_chords_and_slack_cover_the_true_arc(turn_deg: float) -> None:
    turn, radius = radians(turn_deg), 90.0
    far = 3000.0
    nodes = {"p": [0.0, 0.0, 0.0], "q": [far, 0.0, 0.0], "r": [far + far * cos(turn), far * sin(turn), 0.0]}
    (path,) = bar_paths(chassis(nodes, bend_radius=radius))
    start = far - radius * tan(turn / 2.0)
    angles = np.linspace(0.0, turn, 500)
    arc = np.stack([start + radius * np.sin(angles), radius * (1.0 - np.cos(angles)), 0.0 * angles], axis=1)
    rise = np.array([distance_to_path(point, path.points) for point in arc])
    assert rise.max() <= path.slack + 1e-9
    assert rise.max() == pytest.approx(path.slack, rel=1e-3)
    assert path.slack <= ARC_SAGITTA + 1e-9
    for corner in path.points[1:-1]:
        assert np.hypot(corner[0] - start, corner[1] - radius) == pytest.approx(radius)


def test_a_bend_in_space_stays_in_the_plane_of_its_straights() -> None:
    corners = np.array([[0.0, 100.0, 0.0], [300.0, 200.0, 400.0], [700.0, 150.0, 900.0]])
    nodes = {name: corner.tolist() for name, corner in zip("pqr", corners, strict=True)}
    (path,) = bar_paths(chassis(nodes, bend_radius=200.0))
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[1])
    assert np.abs((path.points - corners[0]) @ (normal / np.linalg.norm(normal))).max() < 1e-9
    assert len(path.points) > 3


@pytest.mark.parametrize("scale", [1.0, 1.0 / 3.0, 7.3])
def test_a_node_on_the_straight_makes_no_bend(scale: float) -> None:
    step = np.array([300.0, 200.0, 400.0]) * scale
    nodes = {name: (index * step).tolist() for index, name in enumerate("pqr")}
    (path,) = bar_paths(chassis(nodes, bend_radius=150.0))
    assert np.allclose(path.points, [[0.0, 0.0, 0.0], 2.0 * step])
    assert path.slack == 0.0


def test_bends_that_use_up_a_straight_leave_no_piece_without_length() -> None:
    # Two right-angle bends of 100 mm radius need exactly 200 mm between their corners.
    nodes = {"p": [0.0, 0.0, 0.0], "q": [100.0, 0.0, 0.0], "r": [100.0, 200.0, 0.0], "s": [0.0, 200.0, 0.0]}
    (path,) = bar_paths(chassis(nodes, bend_radius=100.0))
    assert np.linalg.norm(np.diff(path.points, axis=0), axis=1).min() > 1.0
    assert np.hypot(path.points[:, 0], path.points[:, 1] - 100.0) == pytest.approx(100.0)
    assert path.points[-1, 1] - path.points[0, 1] == 200.0


def test_bends_that_do_not_fit_are_refused_with_the_length_they_need() -> None:
    nodes = {"p": [0.0, 0.0, 0.0], "q": [100.0, 0.0, 0.0], "r": [100.0, 500.0, 0.0]}
    with pytest.raises(RigError, match="the bends need 150 mm of straight number 1, which is 100 mm long") as refused:
        list(bar_paths(chassis(nodes, bend_radius=150.0)))
    assert refused.value.place == "bars[0].bend_radius"


def distance_to_path(point: np.ndarray, path: np.ndarray) -> float:
    starts, legs = path[:-1], np.diff(path, axis=0)
    share = np.clip(((point - starts) * legs).sum(1) / (legs * legs).sum(1), 0.0, 1.0)
    return float(np.linalg.norm(starts + share[:, None] * legs - point, axis=1).min())


def test_a_straight_tube_is_two_points() -> None:
    (path,) = bar_paths(chassis({"p": [0.0, 0.0, 0.0], "q": [0.0, 0.0, pi]}, bend_radius=100.0))
    assert path.points.tolist() == [[0.0, 0.0, 0.0], [0.0, 0.0, pi]]
