"""How drawing shows: a sign for each kind of snap, words at the pointer, lines so far, grid and work plane."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QPainter, QPen

from app.canvas.pens import at_point, font, pen, text_size
from app.canvas.style import DrawStyle
from geometry.outline.view import View
from geometry.rig.parts import Point
from geometry.sketch.lookup import mirror
from geometry.sketch.snapping import SnapKind

SIGN: Final = 6.0
"""Half the size of a snap's sign [points]."""

BESIDE: Final = QPointF(16.0, 18.0)
"""Where the words stand, from the pointer [points]."""

PAD: Final = 5.0
"""Left free around the words inside their box, and around the box [points]."""

LINE: Final = 1.35
"""Height of a line of words over that of its text [-]."""

DENSEST: Final = 7.0
FULL: Final = 24.0
"""Distance of grid lines from which they begin to show, and from which they show in full [points]."""

COARSER: Final = 4
"""How many steps a coarser grid has in place of one that is too dense."""

GRID_ALPHA: Final = 90
"""Opacity of the grid in full [of 255]."""


def frame_of(painter: QPainter) -> QRectF:
    """What a painter in view coordinates covers [mm]; whoever calls a mode clips to it."""
    return painter.clipBoundingRect()


def spot(view: View, point: Point) -> QPointF:
    """Where a point of the rig is in a view [mm]."""
    u, v = view.project(np.array(point)).tolist()
    return QPointF(u, v)


def paint_path(
    painter: QPainter, view: View, points: Sequence[Point], over: Point | None, style: DrawStyle, pt: float
) -> None:
    """Paint the points so far with lines between them, and a dashed one to where the pointer is."""
    spots = [spot(view, point) for point in points]
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen(style.colours.accent, 2.0 * style.wide, pt))
    painter.drawPolyline(spots)
    if over is not None and spots:
        rubber = QPen(style.colours.accent, style.wide * pt, Qt.PenStyle.DashLine)
        painter.setPen(rubber)
        painter.drawLine(spots[-1], spot(view, over))
    painter.setBrush(style.colours.accent)
    painter.setPen(Qt.PenStyle.NoPen)
    for place in spots:
        painter.drawEllipse(place, 3.5 * pt, 3.5 * pt)


def paint_image(
    painter: QPainter, view: View, points: Sequence[Point], over: Point | None, style: DrawStyle, pt: float
) -> None:
    """Paint where the mirror image of what is drawn will be."""
    ends = [*points, *([] if over is None else [over])]
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(style.colours.accent, style.narrow * pt, Qt.PenStyle.DotLine))
    painter.drawPolyline([spot(view, mirror(point)) for point in ends])


def paint_sign(painter: QPainter, at: QPointF, kind: SnapKind, style: DrawStyle, pt: float) -> None:
    """Paint the sign of a kind of snap, on a ring of the sheet's colour so that it shows over anything."""
    with at_point(painter, at, pt):
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for ink in (QPen(style.colours.sheet, 2.0 * style.wide + 2.5), QPen(style.colours.accent, 2.0 * style.wide)):
            painter.setPen(ink)
            SIGNS[kind](painter)


def _square(painter: QPainter) -> None:
    painter.drawRect(QRectF(-SIGN, -SIGN, 2.0 * SIGN, 2.0 * SIGN))


def _ring(painter: QPainter) -> None:
    painter.drawEllipse(QPointF(), SIGN, SIGN)


def _triangle(painter: QPainter) -> None:
    painter.drawPolygon([QPointF(-SIGN, 0.8 * SIGN), QPointF(SIGN, 0.8 * SIGN), QPointF(0.0, -SIGN)])


def _diamond(painter: QPainter) -> None:
    reach = 1.3 * SIGN
    painter.drawPolygon([QPointF(-reach, 0.0), QPointF(0.0, -reach), QPointF(reach, 0.0), QPointF(0.0, reach)])


def _level(painter: QPainter) -> None:
    painter.drawLine(QPointF(-1.8 * SIGN, 0.0), QPointF(1.8 * SIGN, 0.0))


def _upright(painter: QPainter) -> None:
    painter.drawLine(QPointF(0.0, -1.8 * SIGN), QPointF(0.0, 1.8 * SIGN))


def _along(painter: QPainter) -> None:
    for shift in (-0.5 * SIGN, 0.5 * SIGN):
        painter.drawLine(QPointF(-SIGN + shift, SIGN), QPointF(SIGN + shift, -SIGN))


def _mirror(painter: QPainter) -> None:
    painter.drawLine(QPointF(0.0, -1.5 * SIGN), QPointF(0.0, 1.5 * SIGN))
    for side in (-1.0, 1.0):
        painter.drawLine(QPointF(side * 4.0, -SIGN), QPointF(side * 1.4 * SIGN, 0.0))
        painter.drawLine(QPointF(side * 1.4 * SIGN, 0.0), QPointF(side * 4.0, SIGN))


def _cross(painter: QPainter) -> None:
    painter.drawLine(QPointF(-SIGN, 0.0), QPointF(SIGN, 0.0))
    painter.drawLine(QPointF(0.0, -SIGN), QPointF(0.0, SIGN))


def _slanted_cross(painter: QPainter) -> None:
    reach = 0.7 * SIGN
    painter.drawLine(QPointF(-reach, -reach), QPointF(reach, reach))
    painter.drawLine(QPointF(-reach, reach), QPointF(reach, -reach))


SIGNS: Final[Mapping[SnapKind, Callable[[QPainter], None]]] = {
    "node": _square,
    "bar end": _square,
    "joint": _ring,
    "midpoint": _triangle,
    "on bar": _diamond,
    "level": _level,
    "upright": _upright,
    "along bar": _along,
    "mirror plane": _mirror,
    "grid": _cross,
    "free": _slanted_cross,
}
"""How each kind of snap is signed."""


def paint_words(painter: QPainter, at: QPointF, lines: Sequence[str], style: DrawStyle, pt: float) -> None:
    """Paint lines of words in a box beside a place, on the side of it where they fit into the frame."""
    face = font(style)
    pitch = LINE * style.text
    room = QSizeF(max(text_size(line, face).width() for line in lines) + 2.0 * PAD, pitch * len(lines) + PAD)
    frame = frame_of(painter)
    left, right = (frame.left() - at.x()) / pt, (frame.right() - at.x()) / pt
    below = (frame.bottom() - at.y()) / pt
    x = BESIDE.x() if BESIDE.x() + room.width() <= right - PAD else -BESIDE.x() - room.width()
    x = max(min(x, right - PAD - room.width()), left + PAD)
    y = BESIDE.y() if BESIDE.y() + room.height() <= below - PAD else -BESIDE.y() - room.height()
    with at_point(painter, at, pt):
        painter.setPen(QPen(style.colours.accent, style.narrow))
        painter.setBrush(style.colours.sheet)
        painter.drawRoundedRect(QRectF(QPointF(round(x), round(y)), room), 3.0, 3.0)
        painter.setFont(face)
        for number, line in enumerate(lines):
            painter.setPen(style.colours.ink if number == 0 else style.colours.quiet)
            painter.drawText(QPointF(round(x + PAD), round(y + (number + 0.8) * pitch)), line)


def paint_grid(painter: QPainter, step: float, style: DrawStyle, pt: float) -> None:
    """Paint the grid; where it is dense it fades, and every fourth line stands for all."""
    frame = frame_of(painter)
    while step / pt < DENSEST:
        step *= COARSER
    share = min(1.0, (step / pt - DENSEST) / (FULL - DENSEST))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    for spacing, strength in ((step, share), (step * COARSER, 1.0)):
        painter.setPen(pen(style.colours.line, 1.0, pt, alpha=round(GRID_ALPHA * strength)))
        for u in _multiples(spacing, frame.left(), frame.right()):
            painter.drawLine(QPointF(u, frame.top()), QPointF(u, frame.bottom()))
        for v in _multiples(spacing, frame.top(), frame.bottom()):
            painter.drawLine(QPointF(frame.left(), v), QPointF(frame.right(), v))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)


def _multiples(step: float, low: float, high: float) -> list[float]:
    return [step * number for number in range(int(np.ceil(low / step)), int(np.floor(high / step)) + 1)]


def paint_plane(painter: QPainter, view: View, drawn_in: View, depth: float, style: DrawStyle, pt: float) -> None:
    """Paint the work plane of another view, which is seen from its edge here."""
    frame = frame_of(painter)
    u, v = view.project(depth * np.array(drawn_in.nearward)).tolist()
    across, down = view.project(np.array(drawn_in.nearward)).tolist()
    painter.setPen(QPen(style.colours.accent, style.narrow * pt, Qt.PenStyle.DashDotLine))
    if across:
        painter.drawLine(QPointF(u, frame.top()), QPointF(u, frame.bottom()))
    elif down:
        painter.drawLine(QPointF(frame.left(), v), QPointF(frame.right(), v))
