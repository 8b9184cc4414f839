from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QPointF, QRectF, QSize, QSizeF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtSvg import QSvgGenerator, QSvgRenderer

from app.canvas.extent import bounds
from app.canvas.paint import draw_view
from app.canvas.scene import Drawing, drawing_of
from app.canvas.style import DARK_STYLE, LIGHT_STYLE, PRINT_STYLE, DrawStyle, screen_style
from app.canvas.viewport import Viewport
from app.theme import DARK, LIGHT
from geometry.motion.travel import TravelPose
from geometry.outline.view import FRONT, SIDE, VIEWS, View
from geometry.rig.rig import Rig

pytestmark = pytest.mark.usefixtures("qapp")

SIZE = QSizeF(700.0, 500.0)


def viewport(drawing: Drawing, view: View) -> Viewport:
    return Viewport(SIZE, QPointF(), 1.0).fitted(bounds(drawing, view))


def painted(drawing: Drawing, view: View, style: DrawStyle = LIGHT_STYLE) -> QImage:
    image = QImage(SIZE.toSize(), QImage.Format.Format_RGB32)
    image.fill(style.colours.sheet)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    paint(painter, drawing, view, style)
    painter.end()
    return image


def paint(painter: QPainter, drawing: Drawing, view: View, style: DrawStyle) -> None:
    port = viewport(drawing, view)
    painter.setTransform(port.transform, combine=True)
    draw_view(painter, view, drawing, style, 1.0 / port.scale, port.frame)


def pixels(image: QImage) -> np.ndarray:
    """Brightness of each pixel, shape (height, width)."""
    grey = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(grey.constBits(), np.uint8).reshape(grey.height(), grey.bytesPerLine())
    return rows[:, : grey.width()].astype(np.float64)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("style", [LIGHT_STYLE, DARK_STYLE, PRINT_STYLE])
def test_tires_are_where_they_should_be(rig: Rig, view: View, style: DrawStyle) -> None:
    drawing = drawing_of(rig)
    image = painted(drawing, view, style)
    port = viewport(drawing, view)
    for tire in drawing.axles[0].tires:
        u, v = view.project(tire.solid.centre)
        middle = port.to_pixel(QPointF(u, v)).toPoint()
        assert image.pixelColor(middle) != style.colours.sheet


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio as WCAG 2 defines it."""

    def luminance(colour: QColor) -> float:
        channels = [colour.redF(), colour.greenF(), colour.blueF()]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("style", [LIGHT_STYLE, DARK_STYLE, PRINT_STYLE])
@pytest.mark.parametrize(
    "part",
    [
        lambda s: s.tube_edge,
        lambda s: s.tire_edge,
        lambda s: s.ghost,
        lambda s: s.colours.contact,
        lambda s: s.colours.clear,
        lambda s: s.colours.accent,
        lambda s: s.colours.quiet,
    ],
)
def test_lines_and_marks_have_contrast_with_the_sheet(style: DrawStyle, part: Callable[[DrawStyle], QColor]) -> None:
    assert contrast(part(style), style.colours.sheet) >= 3.0


def test_the_style_follows_the_theme() -> None:
    assert (screen_style(LIGHT), screen_style(DARK)) == (LIGHT_STYLE, DARK_STYLE)


def test_a_mirror_image_rig_gives_a_mirrored_front_view(rig: Rig) -> None:
    rolled = pixels(painted(drawing_of(rig, {"rear": TravelPose(80.0, -60.0)}, active_axle="rear"), FRONT))
    mirrored = pixels(painted(drawing_of(rig, {"rear": TravelPose(-60.0, 80.0)}, active_axle="rear"), FRONT))
    upper = slice(60, 420)
    apart = np.abs(rolled[upper] - mirrored[upper, ::-1]) > 60.0
    assert apart.mean() < 0.02
    assert (np.abs(rolled[upper] - mirrored[upper]) > 60.0).mean() > 2.0 * apart.mean()


def test_svg_shows_the_same_as_the_screen(rig: Rig) -> None:
    drawing = drawing_of(rig)
    text = QByteArray()
    buffer = QBuffer(text)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    generator = QSvgGenerator()
    generator.setOutputDevice(buffer)
    generator.setSize(QSize(700, 500))
    generator.setViewBox(QRectF(QPointF(), SIZE))
    painter = QPainter(generator)
    paint(painter, drawing, SIDE, LIGHT_STYLE)
    painter.end()
    assert b"Side view" in text.data()
    image = QImage(SIZE.toSize(), QImage.Format.Format_RGB32)
    image.fill(LIGHT_STYLE.colours.sheet)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    QSvgRenderer(text).render(painter)
    painter.end()
    apart = np.abs(pixels(image) - pixels(painted(drawing, SIDE))) > 60.0
    assert apart.mean() < 0.01


def test_what_cannot_be_placed_is_said_on_the_sheet(rig: Rig) -> None:
    whole, lacking = drawing_of(rig), drawing_of(rig, {"rear": TravelPose(5000.0, 5000.0)})
    for view in VIEWS:
        assert painted(whole, view) != painted(lacking, view)


@pytest.mark.parametrize("view", VIEWS)
def test_signs_stand_where_the_frame_ends_whatever_the_scale(rig: Rig, view: View) -> None:
    drawing = drawing_of(rig)
    image = pixels(painted(drawing, view))
    corner = image[-40:, -170:-10]
    assert corner.min() < 160.0
