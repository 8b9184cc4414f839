"""Spares panels beside the views most of the steps of a gesture."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QObject, QTimer

from app.document import Document

PACE_MS: Final = 67
"""Time between two refreshes of a panel in a gesture [ms]: fifteen a second read as well as sixty."""


class Pace(QObject):
    """Refreshes at once; in a gesture at most once in PACE_MS, and a last time when it rests.

    Attributes
    ----------
    lags : bool
        Whether more has been asked for lately than was done: what is shown is soon out of date.

    """

    def __init__(self, document: Document, refresh: Callable[[], None], parent: QObject) -> None:
        super().__init__(parent)
        self._document = document
        self._refresh = refresh
        self._asked = False
        self._timer = QTimer(self, singleShot=True, interval=PACE_MS)
        self._timer.timeout.connect(self._go_on)

    @property
    def lags(self) -> bool:
        """Whether another refresh is due."""
        return self._timer.isActive()

    def ask(self) -> None:
        """Refresh now, or within a gesture when it is time."""
        if not self._document.is_previewing:
            self._timer.stop()
            self._asked = False
            self._refresh()
        elif self._timer.isActive():
            self._asked = True
        else:
            self._timer.start()

    def _go_on(self) -> None:
        if self._asked:
            self._asked = False
            self._timer.start()
        self._refresh()
