"""What clicks in the views do while something is drawn, measured or placed: one mode for all views of a window.

Without a mode the views choose and move. A mode is told where the pointer is and where it clicks, says what comes
next, and paints what it has so far; its edits go through `app.edits`, as everything else's do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from PySide6.QtCore import QObject, QPointF, Qt, Signal
from PySide6.QtGui import QPainter

from app.canvas.style import DrawStyle
from app.document import Document
from geometry.outline.view import View


@dataclass(frozen=True, slots=True)
class Pointer:
    """Where the pointer is.

    Attributes
    ----------
    view : View
    at : QPointF
        View coordinates [mm].
    reach : float
        How far around it counts as pointed at [mm].
    free : bool
        Whether Ctrl is held: nothing is snapped to.

    """

    view: View
    at: QPointF
    reach: float
    free: bool = False


class Mode(Protocol):
    """What clicks do."""

    @property
    def name(self) -> str:
        """What it is called in the menu."""

    @property
    def words(self) -> str:
        """What it has so far and what comes next, for the readout."""

    def hover(self, pointer: Pointer | None) -> None:
        """Follow the pointer; None = it has left the views."""

    def click(self, pointer: Pointer) -> None:
        """Take a place. A drag counts as two clicks: where it starts and where it ends."""

    def finish(self) -> bool:
        """Make an end of what is under way (Enter, double click); False = nothing was."""

    def back(self) -> bool:
        """Take the last click back (Esc, Backspace); False = there is none, and the mode may be left."""

    def paint(self, painter: QPainter, view: View, style: DrawStyle, pt: float) -> None:
        """Paint over a view, in view coordinates [mm]; `pt` is a point of the drawing [mm of the rig]."""


class Modes(QObject):
    """Holds the mode that is on, if any.

    Signals
    -------
    changed
        Another mode is on, or none; or what the mode has so far changed.

    """

    changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._mode: Mode | None = None
        document.rig_replaced.connect(self.leave)

    @property
    def mode(self) -> Mode | None:
        """The mode that is on; None = clicks choose."""
        return self._mode

    def enter(self, mode: Mode) -> None:
        """Turn a mode on, and the one before off."""
        self.leave()
        self._mode = mode
        self.changed.emit()

    def leave(self) -> None:
        """Turn the mode off; what was under way is given up."""
        mode, self._mode = self._mode, None
        while mode is not None and mode.back():
            pass
        if mode is not None:
            self.changed.emit()

    def hover(self, pointer: Pointer | None) -> None:
        """The pointer moved."""
        if self._mode is not None:
            self._mode.hover(pointer)
            self.changed.emit()

    def click(self, pointer: Pointer) -> None:
        """The builder clicked."""
        if self._mode is not None:
            self._mode.click(pointer)
            self.changed.emit()

    def key(self, key: int) -> bool:
        """A key that modes know: Enter finishes, Backspace takes back, Esc takes back or leaves; False = not theirs."""
        if self._mode is None:
            return False
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._mode.finish()
        elif key == Qt.Key.Key_Backspace:
            self._mode.back()
        elif key == Qt.Key.Key_Escape:
            if not self._mode.back():
                self.leave()
        else:
            return False
        self.changed.emit()
        return True

    def finish(self) -> None:
        """Double click: make an end of what is under way."""
        if self._mode is not None:
            self._mode.finish()
            self.changed.emit()
