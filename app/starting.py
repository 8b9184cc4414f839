"""From the command line to a window that is open and answers: what there is of the program around it."""

from __future__ import annotations

import signal
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QEvent, QSettings, QTimer, Signal
from PySide6.QtGui import QFileOpenEvent, QIcon
from PySide6.QtWidgets import QApplication

from app import dialogs, loading, window
from app.compiling import Compiling
from app.controls import apply_controls
from app.document import Document
from app.faults import Faults
from app.files.assets import asset_path, demo_rigs
from app.files.rig_file import read_rig
from app.interrupt import INTERRUPTED
from app.patience import Patience
from app.translating import install
from app.units import LengthUnit


class Application(QApplication):
    """The application, which on macOS is told of files by events: those opened from the desktop.

    Signals
    -------
    file_asked
        A file is to be opened; its path.

    """

    file_asked = Signal(str)

    def __init__(self, arguments: Sequence[str]) -> None:
        super().__init__(list(arguments))
        self._early: list[str] = []
        self._ready = False

    def event(self, event: QEvent) -> bool:  # noqa: D102
        if isinstance(event, QFileOpenEvent):
            if self._ready:
                self.file_asked.emit(event.file())
            else:
                self._early.append(event.file())  # the event of a start by double click comes before any window
            return True
        return super().event(event)

    def begin(self) -> None:
        """From now on somebody hears; the last file that was asked for before is asked for again."""
        self._ready = True
        for path in self._early[-1:]:
            self.file_asked.emit(path)
        self._early.clear()


def run(path: Path | None = None) -> int:
    """Open the window with a rig, or with the first demo rig; returns the exit status."""
    app = QApplication.instance() or Application(sys.argv[:1])
    assert isinstance(app, QApplication)  # noqa: S101  (a window needs no less)
    app.setApplicationName("wheelroom")
    app.setApplicationDisplayName("Wheelroom")
    app.setDesktopFileName("wheelroom")
    install(app)
    apply_controls(app, large=False)
    app.setWindowIcon(QIcon(str(asset_path("icons/wheelroom.svg"))))
    with suppress(OSError):  # a program that cannot keep a log can still be used
        dialogs.keep_log()
    document = Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION)
    shown = window.MainWindow(document, QSettings("wheelroom", "wheelroom"))
    faults = Faults(lambda: shown, shown.recovery.write_now)
    faults.watch()
    Patience(document, shown.searcher, shown.notice, shown)
    app.commitDataRequest.connect(shown.recovery.write_now)
    shown.painted.connect(loading.end)
    shown.show()
    if path is not None:
        shown.files.open_path(path)
    if isinstance(app, Application):
        app.file_asked.connect(lambda name: shown.files.open_path(Path(name)))
        app.begin()
    shown.painted.connect(shown.offer_recovery)
    return _stay(app, shown)


def _stay(app: QApplication, shown: window.MainWindow) -> int:
    """Run until the window is closed or Ctrl+C is pressed; the search is compiled meanwhile."""
    signal.signal(signal.SIGINT, lambda *_: app.exit(INTERRUPTED))
    wake = QTimer(interval=200)  # lets Python look at signals
    wake.timeout.connect(lambda: None)
    wake.start()
    compiling = Compiling(shown)
    shown.document.study_finished.connect(compiling.start)
    compiling.done.connect(shown.searcher.prepare)
    status = app.exec()
    compiling.stop()
    shown.searcher.stop()
    return status
