from __future__ import annotations

import numpy as np

from geometry.outline.pick import Target, Targets
from geometry.rig.layout import PartRef


def tube(name: str, points: list[tuple[float, float]], depth: float = 0.0) -> Target:
    return Target(PartRef("bar", name, "", name), np.array(points), 20.0, closed=False, depth=depth)


def outline(name: str, points: list[tuple[float, float]], depth: float = 0.0) -> Target:
    return Target(PartRef("tire", name, "", name), np.array(points), 0.0, closed=True, depth=depth)


SQUARE = [(-500.0, -500.0), (500.0, -500.0), (500.0, 500.0), (-500.0, 500.0)]


def names(targets: Targets, point: tuple[float, float], reach: float = 5.0) -> list[str]:
    return [part.id for part in targets.at(point, reach)]


def test_a_tube_is_hit_on_its_surface_and_within_reach_of_it() -> None:
    targets = Targets([tube("a", [(0.0, 0.0), (100.0, 0.0)])])
    assert names(targets, (50.0, 19.0)) == ["a"]
    assert names(targets, (50.0, 24.0)) == ["a"]
    assert names(targets, (50.0, 26.0)) == []


def test_a_tube_comes_before_the_outline_behind_or_before_it() -> None:
    targets = Targets([outline("tire", SQUARE, depth=900.0), tube("a", [(0.0, 0.0), (100.0, 0.0)])])
    assert names(targets, (50.0, 0.0)) == ["a", "tire"]
    assert names(targets, (50.0, 300.0)) == ["tire"]


def test_among_crossing_tubes_the_nearest_to_the_viewer_is_first() -> None:
    targets = Targets([tube("far", [(-50.0, 0.0), (50.0, 0.0)]), tube("near", [(0.0, -50.0), (0.0, 50.0)], depth=10.0)])
    assert names(targets, (0.0, 0.0)) == ["near", "far"]


def test_a_tube_or_outline_seen_end_on_can_be_hit() -> None:
    targets = Targets(
        [tube("end", [(0.0, 0.0), (0.0, 0.0)]), outline("edge", [(90.0, 0.0), (90.0, 50.0), (90.0, 0.0)])]
    )
    assert names(targets, (3.0, 4.0)) == ["end"]
    assert names(targets, (92.0, 25.0)) == ["edge"]


def test_nothing_is_hit_where_there_is_nothing() -> None:
    assert names(Targets([]), (0.0, 0.0)) == []
