"""What would come in, drawn in the three views over the rig as it would be."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QSizePolicy, QWidget

from app.canvas.extent import bounds
from app.canvas.paint import draw_view
from app.canvas.scene import Drawing, drawing_of
from app.canvas.style import screen_style
from app.canvas.viewport import Viewport
from app.importing.source import Outcome
from app.theme import colours
from app.units import LengthUnit
from geometry.outline.view import FRONT, SIDE, TOP, View
from geometry.rig.layout import PartRef

LEAST: Final = QSize(240, 150)
"""Least size of a view [px]."""

LEGEND: Final = "In colour: what comes in.\nIn grey: what is there already."

ROOM: Final = 26
"""Left free around the drawing, for the view's title and its ground line [px]."""


class PreviewPicture(QWidget):
    """Front, side and top view in third angle; what comes in is in the accent colour."""

    def __init__(self) -> None:
        super().__init__()
        self.views = [_Small(view) for view in (FRONT, SIDE, TOP)]
        self.note = QLabel()
        self.note.setAlignment(Qt.AlignmentFlag.AlignCenter)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(2)
        for widget, place in zip((self.note, *self.views), ((0, 0), (1, 0), (1, 1), (0, 1)), strict=True):
            grid.addWidget(widget, *place)
        grid.setColumnStretch(0, 2)
        grid.setColumnStretch(1, 3)
        self.setAccessibleName("Preview")

    def show_outcome(self, found: Outcome | None, unit: LengthUnit) -> None:
        """Draw what would come of an import; None = nothing can."""
        drawing = None if found is None else _drawing(found, unit)
        self.note.setText("Nothing can come in yet." if drawing is None else LEGEND)
        for view in self.views:
            view.show_drawing(drawing)


def _drawing(found: Outcome, unit: LengthUnit) -> Drawing:
    """The rig as it would be, with what came in chosen."""
    bare = drawing_of(found.rig, unit=unit)
    new = {("bar", bar.id) for bar in found.imported.bars} | {("panel", panel.id) for panel in found.imported.panels}
    parts: list[PartRef] = [bar.part for bar in bare.chassis.bars] + [panel.part for panel in bare.chassis.panels]
    chosen = tuple(part for part in parts if (part.kind, part.id) in new)
    return drawing_of(found.rig, unit=unit, chassis=bare.chassis, chosen=chosen)


class _Small(QWidget):
    """One view, fitted."""

    def __init__(self, view: View) -> None:
        super().__init__()
        self._view = view
        self._drawing: Drawing | None = None
        self.setMinimumSize(LEAST)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(view.title)

    def show_drawing(self, drawing: Drawing | None) -> None:
        """Show a drawing, or an empty sheet."""
        self._drawing = drawing
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        style = screen_style(colours(self.palette()))
        painter = QPainter(self)
        painter.fillRect(self.rect(), style.colours.sheet)
        if self._drawing is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        room = QRectF(self.rect()).adjusted(ROOM, ROOM, -ROOM, -ROOM)
        box = bounds(self._drawing, self._view)
        port = Viewport(QSizeF(self.size()), box.center(), 1.0).fitted(box, room)
        painter.setTransform(port.transform)
        draw_view(painter, self._view, self._drawing, style, 1.0 / port.scale, port.frame)
