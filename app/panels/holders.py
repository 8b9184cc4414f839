"""What holds panels: rooms that are shared, and rooms that are scrolled."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QSplitter, QWidget

LEAST: Final = QSize(260, 140)
"""To what a panel shrinks before the window stops shrinking [px]; what it holds is scrolled from there on."""


class Scrolled(QScrollArea):
    """A widget that can be scrolled where there is too little room for it: on small screens, and with large texts."""

    def __init__(self, inside: QWidget, name: str, least: QSize = LEAST) -> None:
        super().__init__()
        self._inside = inside
        self.setWidget(inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the focus goes to what is inside, and scrolls to it
        self.setMinimumSize(least)
        self.setAccessibleName(name)

    def sizeHint(self) -> QSize:
        return self._inside.sizeHint()


def splitter(way: Qt.Orientation, *widgets: QWidget) -> QSplitter:
    """Widgets that share a room whose parts can be made larger and smaller, but not nothing."""
    parted = QSplitter(way)
    for widget in widgets:
        parted.addWidget(widget)
    parted.setChildrenCollapsible(False)
    return parted
