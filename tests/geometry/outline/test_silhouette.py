from __future__ import annotations

import numpy as np
import pytest
import shapely

from geometry.outline.silhouette import TUBE_CORNERS, RoundedCylinder, cylinder_outline, disc_outline, tube_outline
from geometry.outline.view import FRONT, SIDE, TOP, VIEWS, View

TIRE = RoundedCylinder(
    centre=np.array([100.0, 700.0, 450.0]),
    axis=np.array([0.0, 1.0, 0.0]),
    half_width=155.0,
    radius=470.0,
    rounding=28.0,
)


CHORD = 1.0 - np.cos(2.0 * np.pi / 180.0)


def edge_points(tire: RoundedCylinder, rng: np.random.Generator, count: int) -> np.ndarray:
    """Random points of the balls around the edges of the core: no other point of the solid lies farther out."""
    across = np.linalg.svd(tire.axis[None])[2][1:]
    turn = rng.uniform(0.0, 2.0 * np.pi, count)
    disc = (tire.radius - tire.rounding) * (np.stack([np.cos(turn), np.sin(turn)], axis=1) @ across)
    along = rng.choice([-1.0, 1.0], count)[:, None] * (tire.half_width - tire.rounding) * tire.axis
    ball = rng.normal(size=(count, 3))
    ball *= tire.rounding / np.linalg.norm(ball, axis=1, keepdims=True)
    return tire.centre + disc + along + ball


def turned(axis: tuple[float, float, float]) -> RoundedCylinder:
    direction = np.array(axis)
    return RoundedCylinder(TIRE.centre, direction / np.linalg.norm(direction), 155.0, 470.0, 28.0)


def test_a_tire_seen_along_its_axis_is_a_circle() -> None:
    outline = cylinder_outline(TIRE, SIDE)
    assert np.allclose(np.linalg.norm(outline - SIDE.project(TIRE.centre), axis=1), 470.0, atol=1e-9)


def test_a_tire_seen_across_its_axis_is_a_rectangle_with_round_corners() -> None:
    exact = shapely.box(-127.0, -442.0, 127.0, 442.0).buffer(28.0, quad_segs=2000)
    outline = shapely.Polygon(cylinder_outline(TIRE, FRONT) - FRONT.project(TIRE.centre))
    assert outline.hausdorff_distance(exact) < 28.0 * CHORD + 1e-3


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("axis", [(0.0, 1.0, 0.0), (0.5, 1.0, 0.0), (-0.3, 1.0, 0.2), (1.0, 1e-12, 0.0)])
def test_the_outline_covers_the_solid_and_touches_it_everywhere(view: View, axis: tuple[float, float, float]) -> None:
    tire = turned(axis)
    outline = shapely.Polygon(cylinder_outline(tire, view))
    points = view.project(edge_points(tire, np.random.default_rng(5), 40_000))
    hull = outline.buffer(470.0 * CHORD)
    assert outline.is_valid
    assert outline.convex_hull.area == pytest.approx(outline.area)
    assert np.all(shapely.contains_xy(hull, points[:, 0], points[:, 1]))
    turns = np.linspace(0.0, 6.0, 25)
    directions = np.stack([np.cos(turns), np.sin(turns)])
    gaps = (np.array(outline.exterior.coords) @ directions).max(axis=0) - (points @ directions).max(axis=0)
    assert np.all(gaps < 3.0)


BENT = np.array([[0.0, 0.0, 0.0], [300.0, 10.0, 400.0], [600.0, 10.0, 100.0]])
HOOP = np.array([[0.0, 500.0, 0.0], [0.0, 500.0, 900.0], [0.0, -500.0, 900.0], [0.0, -500.0, 0.0], [0.0, 480.0, 0.0]])


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize(
    "points",
    [BENT[:2], BENT, HOOP, BENT[[0, 0]], BENT[:1], np.linspace(BENT[0], BENT[1], 5), BENT[[0, 1, 0]]],
    ids=["straight", "bent", "hoop", "no length", "ball", "through nodes", "there and back"],
)
def test_a_tube_is_outlined_as_its_centre_line_swept_by_a_disc(view: View, points: np.ndarray) -> None:
    outline, *holes = tube_outline(points, 20.0, view)
    line = np.unique(view.project(points), axis=0) if len(np.unique(points, axis=0)) == 1 else view.project(points)
    swept = shapely.LineString(line) if len(line) > 1 else shapely.Point(line[0])
    drawn, exact = shapely.Polygon(outline, holes), swept.buffer(20.0, quad_segs=720)
    assert drawn.is_valid
    assert drawn.hausdorff_distance(exact) < 20.0 * (1.0 - np.cos(np.pi / TUBE_CORNERS)) + 1e-3


@pytest.mark.parametrize("far", [0.0, 90.0])
def test_a_ball_or_a_tube_pointing_at_the_viewer_is_a_circle(far: float) -> None:
    (corners,) = tube_outline(np.array([[5.0, 0.0, 7.0], [5.0, far, 7.0]]), 20.0, SIDE)
    assert np.allclose(np.linalg.norm(corners - np.array([-5.0, -7.0]), axis=1), 20.0)
    assert shapely.Polygon(corners).area == pytest.approx(np.pi * 400.0, rel=0.01)


def test_a_disc_turned_by_an_angle_is_narrower_by_its_cosine() -> None:
    axis = np.array([np.sin(0.4), np.cos(0.4), 0.0])
    outline = disc_outline(np.zeros(3), axis, 200.0, SIDE, corners=3600)
    assert np.ptp(outline[:, 0]) == pytest.approx(400.0 * np.cos(0.4), rel=1e-5)
    assert np.ptp(outline[:, 1]) == pytest.approx(400.0, rel=1e-5)
    assert np.ptp(disc_outline(np.zeros(3), np.array([0.0, 1.0, 0.0]), 200.0, TOP)[:, 1]) < 1e-9
