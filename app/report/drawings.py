"""Drawings of the rig at a scale that paper can state, by the code that paints the canvas."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter, QTransform

from app.canvas.extent import bounds
from app.canvas.paint import draw_view
from app.canvas.scene import Drawing
from app.canvas.style import PRINT_STYLE
from geometry.outline.view import View
from geometry.rig.wheel import INCH

SCALES: Final = (
    4,
    5,
    6,
    8,
    10,
    12,
    15,
    16,
    20,
    24,
    25,
    30,
    32,
    40,
    48,
    50,
    60,
    64,
    80,
    96,
    100,
    120,
    150,
    200,
    300,
    500,
)
"""Reductions a scale rule or a head can work with; the first that fits is taken."""

POINT: Final = INCH / 72.0
"""A point on paper [mm]."""

DRAWING_POINT: Final = 0.62
"""A point of the drawing, in points on paper: its 12-point text comes out at 7.4, its wide lines at 1."""

ROOM: Final = (34.0, 30.0)
"""Free on paper at the sides, and above and below the rig, for signs, labels and the width's dimension [points]."""


def drawing_scale(view: View, drawing: Drawing, area: QRectF) -> int:
    """The reduction at which a view fits into an area of paper [points]."""
    box = bounds(drawing, view)
    across = box.width() / ((area.width() - 2.0 * ROOM[0]) * POINT)
    along = box.height() / ((area.height() - 2.0 * ROOM[1]) * POINT)
    needed = max(across, along)
    return next((scale for scale in SCALES if scale >= needed), round(needed) + 1)


def paint_drawing(painter: QPainter, area: QRectF, view: View, drawing: Drawing) -> None:
    """Paint a view into an area of paper [points] at the scale that `drawing_scale` gives."""
    each = 1.0 / (drawing_scale(view, drawing, area) * POINT)
    frame = QRectF(0.0, 0.0, area.width() / each, area.height() / each)
    frame.moveCenter(bounds(drawing, view).center())
    painter.save()
    painter.setClipRect(area)
    painter.setTransform(drawing_place(view, drawing, area), combine=True)
    draw_view(painter, view, drawing, PRINT_STYLE, DRAWING_POINT / each, frame)
    painter.restore()


def drawing_place(view: View, drawing: Drawing, area: QRectF) -> QTransform:
    """From view coordinates [mm] to the area of paper [points] that `paint_drawing` fills."""
    each = 1.0 / (drawing_scale(view, drawing, area) * POINT)
    middle, box = area.center(), bounds(drawing, view)
    place = QTransform.fromTranslate(middle.x(), middle.y()).scale(each, each)
    return place.translate(-box.center().x(), -box.center().y())
