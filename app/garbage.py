"""Python's search for garbage, kept on the interface thread.

Python looks for cycles that nobody holds any more on whatever thread happens to make objects, and there destroys them:
a widget or timer among them that is destroyed on another thread than its own takes the process with it. Searches,
curves and numbers are worked out on other threads.
"""

from __future__ import annotations

import gc
from typing import Final

from PySide6.QtCore import QObject, QTimer

PAUSE_MS: Final = 200
"""Time between two looks [ms]: seldom enough to be nothing in a gesture, and too short for much to gather."""


class Garbage(QObject):
    """Looks for garbage in place of Python, from `begin` on and for as long as it lives."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._timer = QTimer(self, interval=PAUSE_MS)
        self._timer.timeout.connect(look)

    def begin(self) -> None:
        """Look from now on."""
        gc.disable()
        self._timer.start()


def look() -> None:
    """Look where Python itself would by now: at what is new, or at older objects as well."""
    counts = zip(gc.get_count(), gc.get_threshold(), strict=True)
    due = [generation for generation, (count, most) in enumerate(counts) if count > most]
    if due:
        gc.collect(due[-1])
