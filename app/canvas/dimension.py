"""The wheel-mount width as a dimension of the front view."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainter

from app.canvas.pens import at_point, direction, font, pen, row, text_size
from app.canvas.scene import Drawing
from app.canvas.style import DrawStyle
from app.units import format_length
from geometry.outline.view import View

GAP: Final = 26.0
"""Distance of the dimension line from the lowest tire [points]."""

OVERSHOOT: Final = 5.0
"""Extension lines beyond the dimension line [points]."""

ARROW: Final = (10.0, 3.0)
"""Length and half width of its arrow heads [points]."""


def paint_width(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float) -> None:
    """Paint the active axle's width from mounting face to mounting face, along it as it stands, below its tires."""
    axle = next((each for each in drawing.axles if each.axle == drawing.active_axle), None)
    if axle is None:
        return
    left, right = view.project(axle.mounts)
    along = direction(right, left)
    below = np.array([-along[1], along[0]])
    drop = max(float((view.project(tire.solid.centre) - right) @ below) + tire.solid.radius for tire in axle.tires)
    offset = below * (drop + GAP * pt)
    line = pen(style.colours.quiet, style.narrow, pt)
    painter.setPen(line)
    for mount in (left, right):
        painter.drawLine(row(mount + below * 4.0 * pt), row(mount + offset + below * OVERSHOOT * pt))
    painter.drawLine(row(left + offset), row(right + offset))
    painter.setBrush(style.colours.quiet)
    for end, inward in ((left, -along), (right, along)):
        tip, back = end + offset, inward * ARROW[0] * pt
        side = below * ARROW[1] * pt
        painter.drawPolygon([row(tip), row(tip + back + side), row(tip + back - side)])
    _paint_words(painter, (left + right) / 2.0 + offset, along, drawing, style, pt)


def _paint_words(
    painter: QPainter, place: np.ndarray, along: np.ndarray, drawing: Drawing, style: DrawStyle, pt: float
) -> None:
    words = f"width {format_length(drawing.width, drawing.unit)}"
    face = font(style, bold=True)
    room = text_size(words, face)
    room.moveCenter(QPointF(0.0, 0.0))
    turn = float(np.degrees(np.arctan2(along[1], along[0])))
    with at_point(painter, row(place), pt, turn=turn):
        painter.fillRect(room.adjusted(-5.0, 0.0, 5.0, 0.0), style.colours.sheet)
        painter.setFont(face)
        painter.setPen(style.colours.ink)
        painter.drawText(QPointF(round(room.left()), round(room.height() * 0.32)), words)
