"""Faults inside: an error that nobody expected keeps the work, goes to the log, and is told once, wherever it happens.

Python hands over what leaves a slot, a paint event or a job of Qt's threads by `sys.excepthook`, and what leaves one of
its own threads by `threading.excepthook`; both may be called on any thread, and windows live on the first one only.
"""

from __future__ import annotations

import logging
import sys
import threading
import traceback
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from types import TracebackType
from typing import Final

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QApplication, QMessageBox, QWidget

from app import dialogs

log = logging.getLogger(__name__)

MOST_LOGGED: Final = 20
"""Times that a fault of one place is logged: one in a paint event comes with each picture."""


class Faults(QObject):
    """Takes what nobody has caught, until the program ends.

    A fault of one place in the source is told once, and the recovery file is written for it once: told at each picture,
    it would leave no time to save.
    """

    _came = Signal(str, bool)

    def __init__(self, parent: Callable[[], QWidget | None], keep: Callable[[], object]) -> None:
        super().__init__()
        self._parent, self._keep = parent, keep
        self._seen: Counter[str] = Counter()
        self._box: QMessageBox | None = None
        self._came.connect(self._tell, Qt.ConnectionType.QueuedConnection)

    def watch(self) -> None:
        """Take them from now on."""
        sys.excepthook = self.take
        threading.excepthook = self._take_of_thread

    def _take_of_thread(self, failed: threading.ExceptHookArgs) -> None:
        if failed.exc_value is not None:
            self.take(failed.exc_type, failed.exc_value, failed.exc_traceback)

    def take(self, kind: type[BaseException], failure: BaseException, trace: TracebackType | None) -> None:
        """Keep the work, log the fault, and have it told when the interface thread next has time."""
        if issubclass(kind, KeyboardInterrupt):
            return
        place = _place(kind, trace)
        self._seen[place] += 1
        if self._seen[place] <= MOST_LOGGED:
            log.critical("Unexpected error", exc_info=(kind, failure, trace))
        details = "".join(traceback.format_exception(kind, failure, trace))
        # A painter that still paints in a variable of the frame that failed would bring the program down.
        traceback.clear_frames(trace)
        if self._seen[place] > 1:
            return
        is_first_thread = threading.current_thread() is threading.main_thread()
        if is_first_thread:
            self._save()
        self._came.emit(details, is_first_thread)

    def _save(self) -> None:
        with suppress(Exception):  # what went wrong may be in the way of this as well, and is told
            self._keep()

    def _tell(self, details: str, is_saved: bool) -> None:
        if not is_saved:
            self._save()
        if self._box is None and QApplication.instance() is not None:
            self._box = dialogs.tell_fault(self._parent(), details)
            self._box.finished.connect(self._forget_box)

    def _forget_box(self) -> None:
        self._box = None


def _place(kind: type[BaseException], trace: TracebackType | None) -> str:
    """The kind of a fault and where in the source it happened."""
    last = None
    for last in traceback.walk_tb(trace):  # noqa: B007  (the last one is wanted)
        pass
    return kind.__name__ if last is None else f"{kind.__name__} {last[0].f_code.co_filename}:{last[1]}"
