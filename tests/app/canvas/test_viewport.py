from __future__ import annotations

import pytest
from PySide6.QtCore import QPointF, QRectF, QSizeF

from app.canvas.viewport import FARTHEST, NEAREST, Viewport


@pytest.fixture
def viewport() -> Viewport:
    return Viewport(QSizeF(800.0, 600.0), QPointF(-1200.0, -500.0), 0.2)


def apart(one: QPointF, other: QPointF) -> float:
    return (one - other).manhattanLength()


def test_pixels_and_points_map_to_each_other_and_agree_with_the_painter(viewport: Viewport) -> None:
    pixel = QPointF(123.0, 456.0)
    point = viewport.to_view(pixel)
    assert apart(viewport.to_pixel(point), pixel) < 1e-9
    assert apart(viewport.transform.map(point), pixel) < 1e-9
    assert viewport.frame.contains(point)


def test_the_frame_is_what_the_widget_shows(viewport: Viewport) -> None:
    assert apart(viewport.to_pixel(viewport.frame.topLeft()), QPointF(0.0, 0.0)) < 1e-9
    assert apart(viewport.to_pixel(viewport.frame.bottomRight()), QPointF(800.0, 600.0)) < 1e-9


def test_zoom_keeps_the_point_under_the_pointer(viewport: Viewport) -> None:
    pixel = QPointF(700.0, 50.0)
    before = viewport.to_view(pixel)
    for factor in (1.2, 3.0, 0.1):
        viewport = viewport.zoomed(factor, pixel)
        assert apart(viewport.to_pixel(before), pixel) < 1e-6


def test_fifty_in_and_fifty_out_return_without_drift(viewport: Viewport) -> None:
    zoomed = viewport
    pixel = QPointF(700.0, 50.0)
    for factor in [1.05] * 50 + [1.0 / 1.05] * 50:
        zoomed = zoomed.zoomed(factor, pixel)
    assert zoomed.scale == pytest.approx(viewport.scale, rel=1e-9)
    assert apart(zoomed.centre, viewport.centre) < 1e-6


def test_zoom_ends_somewhere_and_stays_there(viewport: Viewport) -> None:
    pixel = QPointF(10.0, 10.0)
    for factor, limit in ((10.0, NEAREST), (0.1, FARTHEST)):
        zoomed = viewport
        for _ in range(12):
            zoomed = zoomed.zoomed(factor, pixel)
        assert zoomed.scale == limit
        assert zoomed.zoomed(factor, pixel) == zoomed


def test_a_pan_moves_the_picture_by_as_many_pixels(viewport: Viewport) -> None:
    point = viewport.to_view(QPointF(100.0, 100.0))
    assert apart(viewport.panned(QPointF(30.0, -20.0)).to_pixel(point), QPointF(130.0, 80.0)) < 1e-9


@pytest.mark.parametrize("box", [QRectF(0.0, 0.0, 4000.0, 100.0), QRectF(-5.0, -5.0, 100.0, 4000.0)])
def test_what_is_fitted_is_seen_whole_with_a_margin(viewport: Viewport, box: QRectF) -> None:
    fitted = viewport.fitted(box)
    shown = fitted.transform.mapRect(box)
    assert QRectF(0.0, 0.0, 800.0, 600.0).contains(shown)
    margin = min(shown.left() / 800.0, shown.top() / 600.0)
    assert 0.05 <= margin <= 0.10


@pytest.mark.parametrize("box", [QRectF(-3000.0, -900.0, 4000.0, 600.0), QRectF(-500.0, -2400.0, 900.0, 2500.0)])
def test_what_is_fitted_into_a_piece_of_the_widget_fills_it_and_keeps_inside(viewport: Viewport, box: QRectF) -> None:
    room = QRectF(20.0, 50.0, 760.0, 480.0)
    places = {}
    for sink in (0.0, 0.5, 1.0):
        fitted = viewport.fitted(box, room, sink)
        seen = QRectF(fitted.to_pixel(box.topLeft()), fitted.to_pixel(box.bottomRight()))
        assert room.adjusted(-1e-6, -1e-6, 1e-6, 1e-6).contains(seen)
        assert max(seen.width() / room.width(), seen.height() / room.height()) == pytest.approx(1.0)
        places[sink] = seen
    assert places[0.0].top() == pytest.approx(room.top())
    assert places[1.0].bottom() == pytest.approx(room.bottom())
