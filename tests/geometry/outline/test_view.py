from __future__ import annotations

import numpy as np
import pytest

from geometry.outline.view import FRONT, SIDE, TOP, VIEWS, View


@pytest.mark.parametrize(
    ("view", "expected"), [(SIDE, (-100.0, -300.0)), (FRONT, (200.0, -300.0)), (TOP, (-100.0, 200.0))]
)
def test_the_worked_case_lies_where_the_module_says(view: View, expected: tuple[float, float]) -> None:
    assert tuple(view.project(np.array([100.0, 200.0, 300.0]))) == expected


@pytest.mark.parametrize("view", VIEWS)
def test_a_view_is_seen_from_its_nearward_side_and_not_mirrored(view: View) -> None:
    upward = -np.array(view.downward)
    assert np.array_equal(np.cross(view.rightward, upward), np.array(view.nearward))


@pytest.mark.parametrize("view", VIEWS)
def test_moving_toward_the_viewer_changes_depth_only(view: View) -> None:
    point = np.array([3.0, 5.0, 7.0])
    moved = point + 11.0 * np.array(view.nearward)
    assert np.array_equal(view.project(moved), view.project(point))
    assert view.depth(moved) - view.depth(point) == 11.0


def test_third_angle_views_share_their_edges() -> None:
    points = np.random.default_rng(2).normal(size=(20, 3))
    assert np.array_equal(SIDE.project(points)[:, 1], FRONT.project(points)[:, 1])
    assert np.array_equal(SIDE.project(points)[:, 0], TOP.project(points)[:, 0])
