"""What stands on the sheet besides the rig: ground, name of the view, directions, scale bar and problems."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen

from app.canvas.marks import legend
from app.canvas.pens import at_point, font, lines_within, pen, plate, text_size
from app.canvas.scene import Drawing
from app.canvas.style import DrawStyle
from app.units import LengthUnit
from geometry.outline.view import FRONT, SIDE, TOP, View
from geometry.rig.wheel import INCH

EDGE: Final = 14.0
"""Distance of the signs from the edge of the frame [points]."""

ARROW: Final = 30.0
"""Length of the direction arrows [points]."""

SCALE_BAR: Final = (60.0, 150.0)
"""Shortest and longest scale bar [points]."""

_MM_BARS: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000)
_INCH_BARS: Final = (0.125, 0.25, 0.5, 1, 2, 4, 6, 12, 24, 36, 60, 120, 240, 480, 960)

_WORDS: Final = {SIDE.key: ("front", "up"), FRONT.key: ("left", "up"), TOP.key: ("front", "left")}
"""What the two arrows of each view point to, the one across and the one along the sheet."""


def paint_ground(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float, frame: QRectF) -> None:
    """Paint the ground at ride height: under the tires of all axles, level beyond the first and the last."""
    if view is TOP or not drawing.axles:
        return
    line = _ground_line(view, drawing, frame)
    below = QPainterPath(line)
    bottom = max(frame.bottom(), line.boundingRect().bottom()) + pt
    below.lineTo(frame.right(), bottom)
    below.lineTo(frame.left(), bottom)
    below.closeSubpath()
    painter.fillPath(below, style.earth)
    painter.strokePath(line, pen(style.colours.line, style.narrow, pt))


def _ground_line(view: View, drawing: Drawing, frame: QRectF) -> QPainterPath:
    if view is FRONT:
        points = [(0.0, -axle.ground) for axle in drawing.axles if axle.axle == drawing.active_axle]
    else:
        points = sorted((-axle.station, -axle.ground) for axle in drawing.axles)
    points = points or [(0.0, 0.0)]
    path = QPainterPath(QPointF(min(frame.left(), points[0][0]), points[0][1]))
    for u, v in points:
        path.lineTo(u, v)
    path.lineTo(max(frame.right(), points[-1][0]), points[-1][1])
    return path


def paint_sheet_signs(
    painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float, frame: QRectF
) -> None:
    """Paint the view's name, its directions, the scale bar and what could not be drawn, inside the frame."""
    _paint_title(painter, view, drawing, style, pt, frame)
    _paint_arrows(painter, view, style, pt, QPointF(frame.left() + EDGE * pt, frame.bottom() - EDGE * pt))
    _paint_scale(painter, drawing.unit, style, pt, QPointF(frame.right() - EDGE * pt, frame.bottom() - EDGE * pt))


def _paint_title(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float, frame: QRectF) -> None:
    with at_point(painter, QPointF(frame.left() + EDGE * pt, frame.top() + EDGE * pt), pt):
        words = f"{view.title}, {drawing.active_name}" if view is FRONT else view.title
        bold, face, room = font(style, size=1.15, bold=True), font(style), frame.width() / pt - 2.0 * EDGE
        inks = [(line, bold, style.colours.ink) for line in lines_within(words, bold, room)]
        notes = [
            (legend(view, drawing), style.colours.quiet),
            *((each, style.colours.contact) for each in drawing.problems),
        ]
        inks += [(line, face, ink) for note, ink in notes if note for line in lines_within(note, face, room)]
        for number, (line, letters, ink) in enumerate(inks):
            box = text_size(line, letters).translated(0.0, round(1.5 * style.text * number))
            plate(painter, box, style)
            painter.setFont(letters)
            painter.setPen(ink)
            painter.drawText(QPointF(0.0, round(box.top() + 0.8 * box.height())), line)


def _paint_arrows(painter: QPainter, view: View, style: DrawStyle, pt: float, corner: QPointF) -> None:
    across, along = _WORDS[view.key]
    face = font(style, size=0.9)
    leftward, upward = view is not FRONT, view is not TOP
    with at_point(painter, corner, pt):
        painter.setFont(face)
        ink = QPen(style.colours.quiet, style.narrow)
        painter.setPen(ink)
        painter.setBrush(style.colours.quiet)
        width = text_size(across, face).width()
        origin = QPointF(width + 6.0 + ARROW if leftward else 4.0, -6.0 if upward else -6.0 - ARROW)
        tip_across = origin + QPointF(-ARROW if leftward else ARROW, 0.0)
        tip_along = origin + QPointF(0.0, -ARROW if upward else ARROW)
        _arrow(painter, origin, tip_across)
        _arrow(painter, origin, tip_along)
        start = tip_across.x() - width - 5.0 if leftward else tip_across.x() + 5.0
        painter.drawText(QPointF(round(start), round(origin.y() + 4.0)), across)
        painter.drawText(QPointF(round(origin.x() + 7.0), round(tip_along.y() + (6.0 if upward else 2.0))), along)


def _arrow(painter: QPainter, start: QPointF, tip: QPointF) -> None:
    painter.drawLine(start, tip)
    back = (start - tip) / ARROW
    side = QPointF(-back.y(), back.x())
    painter.drawPolygon([tip, tip + back * 7.0 + side * 2.5, tip + back * 7.0 - side * 2.5])


def _paint_scale(painter: QPainter, unit: LengthUnit, style: DrawStyle, pt: float, corner: QPointF) -> None:
    length, words = scale_bar(unit, pt)
    face = font(style, size=0.9)
    with at_point(painter, corner, pt):
        painter.setFont(face)
        painter.setPen(QPen(style.colours.quiet, style.wide))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline([QPointF(-length, -5.0), QPointF(-length, 0.0), QPointF(0.0, 0.0), QPointF(0.0, -5.0)])
        width = text_size(words, face).width()
        painter.drawText(QPointF(round(-(length + width) / 2.0), -6.0), words)


def scale_bar(unit: LengthUnit, pt: float) -> tuple[float, str]:
    """Length of the scale bar [points] and its words: the longest round length that has room."""
    bars = _MM_BARS if unit is LengthUnit.MM else _INCH_BARS
    mm = 1.0 if unit is LengthUnit.MM else INCH
    fitting = [bar for bar in bars if bar * mm / pt <= SCALE_BAR[1]] or [bars[0]]
    return fitting[-1] * mm / pt, _scale_words(fitting[-1], unit)


def _scale_words(length: float, unit: LengthUnit) -> str:
    if unit is LengthUnit.MM:
        return f"{length:g} mm"
    if unit is LengthUnit.FRACTION and length < 1.0:
        return f"1/{round(1.0 / length)} in"
    return f"{length:g} in"
