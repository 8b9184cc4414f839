"""Pens, polygons and text in the units of a drawing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any, Final

import numpy as np
import shiboken6
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from app.canvas.style import DrawStyle
from geometry.outline.view import Floats

_JUST_UNDER: Final = 0.999
"""Qt's quick way for thin lines ends at a width of one pixel; rounding must not push a line of one pixel over it."""

_PLATE_ALPHA: Final = 205
"""Opacity of the plate under texts [of 255]."""

_POINT_BYTES: Final = 16
"""A QPointF is two doubles."""


def pen(colour: QColor, width: float, pt: float, *, alpha: int | None = None) -> QPen:
    """A pen of a width in points of the drawing, in the given colour or a translucent one of it."""
    shade = QColor(colour)
    if alpha is not None:
        shade.setAlpha(alpha)
    return QPen(
        shade, width * pt * _JUST_UNDER, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin
    )


def polygon(points: Floats) -> QPolygonF:
    """Corners, shape (k, 2), as Qt wants them.

    They are written straight into Qt's memory: making a QPointF of each would take longer than all the painting.
    """
    shape = QPolygonF()
    shape.resize(len(points))
    writable: Any = shiboken6.VoidPtr  # its stub leaves out what it takes
    memory = writable(shape.data(), len(points) * _POINT_BYTES, True)
    np.frombuffer(memory, dtype=np.float64).reshape(-1, 2)[:] = points
    return shape


def region(rings: Iterable[Floats]) -> QPainterPath:
    """An outline and its holes, each of shape (k, 2), as Qt wants them."""
    path = QPainterPath()
    for ring in rings:
        path.addPolygon(polygon(ring))
        path.closeSubpath()
    return path


def font(style: DrawStyle, *, size: float = 1.0, bold: bool = False) -> QFont:
    """The drawing's font, `size` times its usual height, for use inside `at_point`."""
    face = QFont(style.family) if style.family else QFont()
    face.setPixelSize(max(1, round(style.text * size)))
    face.setBold(bold)
    return face


@contextmanager
def at_point(painter: QPainter, place: QPointF, pt: float, *, turn: float = 0.0) -> Iterator[QPainter]:
    """Paint in points of the drawing about a place of the view, turned clockwise [degrees].

    Text comes out at its own size and is laid on whole points, so that it is crisp on screen.
    """
    painter.save()
    painter.translate(place)
    painter.scale(pt, pt)
    painter.rotate(turn)
    yield painter
    painter.restore()


def text_size(text: str, face: QFont) -> QRectF:
    """Room that one line of text takes, in points of the drawing, its corner at (0, 0)."""
    metrics = QFontMetricsF(face)
    return QRectF(0.0, 0.0, metrics.horizontalAdvance(text), metrics.height())


def lines_within(text: str, face: QFont, width: float) -> list[str]:
    """A text broken between words into lines no wider than `width` [points]; a single longer word stands alone."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_size(longer, face).width() <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def plate(painter: QPainter, room: QRectF, style: DrawStyle) -> None:
    """Dim what lies under a text that stands on the sheet and not on the drawing."""
    shade = QColor(style.colours.sheet)
    shade.setAlpha(_PLATE_ALPHA)
    painter.fillRect(room.adjusted(-4.0, -1.0, 4.0, 1.0), shade)


def row(values: Floats) -> QPointF:
    """A point of the view, shape (2,), as Qt wants it."""
    return QPointF(float(values[0]), float(values[1]))


def direction(start: Floats, end: Floats) -> Floats:
    """Unit vector from one point to another, shape (2,); rightward when they coincide."""
    step = end - start
    length = float(np.linalg.norm(step))
    return step / length if length > 0.0 else np.array([1.0, 0.0])
