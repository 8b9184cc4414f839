"""Words at the upper right of a view: where the pointer is, what a gesture has reached, what a mode says."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from PySide6.QtCore import QPointF
from PySide6.QtGui import QFont, QPainter

from app.canvas.furniture import EDGE
from app.canvas.pens import font, plate, text_size
from app.canvas.style import DrawStyle
from app.typeset import minus

TITLE: Final = 165.0
"""Room that the name of the view takes at the upper left [points]."""

LINE: Final = 1.5
"""Height of a line over that of its text [-]."""


def paint_readout(painter: QPainter, lines: Iterable[str], width: float, style: DrawStyle) -> None:
    """Paint lines at the right edge of a view of a width [pixels]; long ones are broken and go below the name."""
    face = font(style)
    painter.setFont(face)
    broken = [piece for line in lines for part in line.split("\n") for piece in wrapped(minus(part), face, width)]
    rooms = [text_size(piece, face) for piece in broken]
    widest = max((room.width() for room in rooms), default=0.0)
    first = EDGE if widest <= width - 3.0 * EDGE - TITLE else EDGE + 3.0 * LINE * style.text
    for number, (piece, room) in enumerate(zip(broken, rooms, strict=True)):
        room.moveTo(round(width - EDGE - room.width()), round(first + number * LINE * style.text))
        plate(painter, room, style)
        painter.setPen(style.colours.quiet)
        painter.drawText(QPointF(room.left(), round(room.top() + 0.8 * room.height())), piece)


def wrapped(line: str, face: QFont, width: float) -> Iterator[str]:
    """A line in pieces that fit into a view, broken between words."""
    piece = ""
    for word in line.split(" "):
        longer = f"{piece} {word}" if piece else word
        if piece and text_size(longer, face).width() > width - 2.0 * EDGE:
            yield piece
            piece = word
        else:
            piece = longer
    yield piece
