"""A shape for each verdict, so that colour never carries it alone."""

from __future__ import annotations

from math import cos, pi, sin

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPen, QPixmap, QPolygonF

from app.theme import Colours
from geometry.contact.findings import Verdict


def verdict_pixmap(verdict: Verdict, names: Colours, size: int, ratio: float = 1.0) -> QPixmap:
    """The symbol of a verdict as a picture of `size` logical pixels."""
    pixmap = QPixmap(round(size * ratio), round(size * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    draw_verdict(painter, QRectF(0.0, 0.0, size, size), verdict, names)
    painter.end()
    return pixmap


def verdict_icon(verdict: Verdict, names: Colours, size: int = 18) -> QIcon:
    """The symbol of a verdict for tables."""
    icon = QIcon()
    for ratio in (1.0, 2.0):
        for mode in (QIcon.Mode.Normal, QIcon.Mode.Selected):
            icon.addPixmap(verdict_pixmap(verdict, names, size, ratio), mode)
    return icon


def draw_verdict(painter: QPainter, box: QRectF, verdict: Verdict, names: Colours) -> None:
    """Paint the symbol: an octagon with a cross, a triangle with a bar, a disc with a tick, a diamond with a dot."""
    side = min(box.width(), box.height())
    place = QRectF(0.0, 0.0, side, side)
    place.moveCenter(box.center())
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(names.of_verdict(verdict))
    pen = QPen(names.on_verdict, side * 0.12, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
    _draw = {
        Verdict.CONTACT: _draw_contact,
        Verdict.UNKNOWN: _draw_unknown,
        Verdict.TIGHT: _draw_tight,
        Verdict.CLEAR: _draw_clear,
    }[verdict]
    _draw(painter, place, pen)
    painter.restore()


def _at(box: QRectF, x: float, y: float) -> QPointF:
    return QPointF(box.left() + x * box.width(), box.top() + y * box.height())


def _corners(box: QRectF, count: int, turn: float, reach: float) -> QPolygonF:
    return QPolygonF(
        [
            _at(box, 0.5 + reach * cos(turn + 2.0 * pi * k / count), 0.5 + reach * sin(turn + 2.0 * pi * k / count))
            for k in range(count)
        ]
    )


def _draw_contact(painter: QPainter, box: QRectF, pen: QPen) -> None:
    painter.drawPolygon(_corners(box, 8, pi / 8.0, 0.5))
    painter.setPen(pen)
    painter.drawLine(_at(box, 0.32, 0.32), _at(box, 0.68, 0.68))
    painter.drawLine(_at(box, 0.32, 0.68), _at(box, 0.68, 0.32))


def _draw_tight(painter: QPainter, box: QRectF, pen: QPen) -> None:
    painter.drawPolygon(QPolygonF([_at(box, 0.5, 0.03), _at(box, 1.0, 0.95), _at(box, 0.0, 0.95)]))
    painter.setPen(pen)
    painter.drawLine(_at(box, 0.5, 0.38), _at(box, 0.5, 0.6))
    painter.drawPoint(_at(box, 0.5, 0.79))


def _draw_clear(painter: QPainter, box: QRectF, pen: QPen) -> None:
    painter.drawEllipse(box)
    painter.setPen(pen)
    painter.drawPolyline(QPolygonF([_at(box, 0.27, 0.52), _at(box, 0.44, 0.69), _at(box, 0.74, 0.34)]))


def _draw_unknown(painter: QPainter, box: QRectF, pen: QPen) -> None:
    painter.drawPolygon(_corners(box, 4, 0.0, 0.5))
    painter.setPen(pen)
    painter.drawLine(_at(box, 0.5, 0.28), _at(box, 0.5, 0.54))
    painter.drawPoint(_at(box, 0.5, 0.73))
