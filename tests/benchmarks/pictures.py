"""Pictures for the help page on speed: times against what they grow with, both on doubling scales."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log2
from pathlib import Path

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QGuiApplication, QImage, QPainter, QPen

from app.theme import LIGHT

WIDTH, HEIGHT = 660, 330
FRAME = QRectF(76.0, 34.0, 400.0, 240.0)
"""Where the curves are; their names stand to the right of it."""

TICKS_MS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1_000, 2_000, 5_000, 10_000)
SHARPER = 2
"""Of the second file of each picture, for screens with small dots [-]."""


@dataclass(frozen=True)
class Curve:
    """Times under one name, one for each place along the axis [ms]."""

    name: str
    times: Sequence[float]
    strong: bool


@dataclass(frozen=True)
class Picture:
    """What is drawn.

    Attributes
    ----------
    along : str
        Title of the axis of places, with its unit.
    places : sequence of float
        Positive; drawn on a doubling scale, with the first one at the left.
    labels : sequence of str
    curves : sequence of Curve

    """

    along: str
    places: Sequence[float]
    labels: Sequence[str]
    curves: Sequence[Curve]


def save(picture: Picture, path: Path) -> None:
    """Write the picture, and a second one beside it with @2x in its name."""
    assert isinstance(QGuiApplication.instance(), QGuiApplication)
    for sharper, name in ((1, path.name), (SHARPER, f"{path.stem}@{SHARPER}x{path.suffix}")):
        image = QImage(WIDTH * sharper, HEIGHT * sharper, QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(sharper)
        image.fill(LIGHT.sheet)
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw(painter, picture)
        painter.end()
        assert image.save(str(path.with_name(name)))


def draw(painter: QPainter, picture: Picture) -> None:
    every = [time for curve in picture.curves for time in curve.times]
    low = max(tick for tick in TICKS_MS if tick <= max(min(every), TICKS_MS[0]))
    high = min(tick for tick in TICKS_MS if tick >= max(every))

    def at(place: float, time: float) -> QPointF:
        first, last = picture.places[0], picture.places[-1]
        x = FRAME.left() + 14.0 + (FRAME.width() - 28.0) * log2(place / first) / log2(last / first)
        return QPointF(x, FRAME.bottom() - FRAME.height() * log2(time / low) / log2(high / low))

    painter.setFont(face(12))
    for tick in (tick for tick in TICKS_MS if low <= tick <= high):
        y = at(picture.places[0], tick).y()
        painter.setPen(QPen(LIGHT.grid, 1.0))
        painter.drawLine(QPointF(FRAME.left(), y), QPointF(FRAME.right(), y))
        write(painter, QPointF(FRAME.left() - 8.0, y), f"{tick:,}".replace(",", "\u202f"), "right")
    for place, label in zip(picture.places, picture.labels, strict=True):
        x = at(place, low).x()
        painter.setPen(QPen(LIGHT.line, 1.0))
        painter.drawLine(QPointF(x, FRAME.bottom()), QPointF(x, FRAME.bottom() + 5.0))
        write(painter, QPointF(x, FRAME.bottom() + 16.0), label, "middle")
    painter.setPen(QPen(LIGHT.line, 1.0))
    painter.drawLine(FRAME.bottomLeft(), FRAME.bottomRight())
    write(painter, QPointF(FRAME.left() - 60.0, FRAME.top() - 18.0), "time, milliseconds", "left")
    write(painter, QPointF(FRAME.center().x(), FRAME.bottom() + 40.0), picture.along, "middle")
    for curve in picture.curves:
        trace(painter, curve, [at(place, time) for place, time in zip(picture.places, curve.times, strict=True)])


def trace(painter: QPainter, curve: Curve, points: Sequence[QPointF]) -> None:
    colour = LIGHT.accent if curve.strong else LIGHT.quiet
    painter.setPen(QPen(colour, 2.0, Qt.PenStyle.SolidLine if curve.strong else Qt.PenStyle.DashLine))
    painter.drawPolyline(points)
    painter.setBrush(colour)
    painter.setPen(Qt.PenStyle.NoPen)
    for point in points:
        painter.drawEllipse(point, 3.5, 3.5)
    painter.setFont(face(12, bold=True))
    write(painter, points[-1] + QPointF(14.0, -8.0), curve.name, "left")
    painter.setFont(face(12))
    write(painter, points[-1] + QPointF(14.0, 8.0), f"{rounded(curve.times[-1])} ms", "left")
    for point, time in list(zip(points, curve.times, strict=True))[:-1]:
        write(painter, point - QPointF(0.0, 13.0), rounded(time), "middle")


def write(painter: QPainter, place: QPointF, text: str, side: str) -> None:
    """Text whose left end, middle or right end is at the place."""
    painter.setPen(LIGHT.ink)
    size = painter.fontMetrics().size(0, text)
    shift = {"left": 0.0, "middle": size.width() / 2.0, "right": float(size.width())}[side]
    box = QRectF(place.x() - shift, place.y() - size.height() / 2.0, size.width() + 2.0, size.height())
    painter.fillRect(box.adjusted(0.0, 2.0, 0.0, -2.0), LIGHT.sheet)
    painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)


def rounded(time: float) -> str:
    """A time to two figures [ms]."""
    return f"{time:.1f}" if time < 9.95 else f"{float(f'{time:.2g}'):,.0f}".replace(",", "\u202f")


def face(size: int, *, bold: bool = False) -> QFont:
    font = QFont("DejaVu Sans")
    font.setPixelSize(size)
    font.setBold(bold)
    return font
