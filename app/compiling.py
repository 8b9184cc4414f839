"""Has the search compiled, in a process of its own, and tells when that is done.

In this process compiling would hold up the window for many seconds, on whatever thread it ran. What the other process
leaves in the folder is loaded here in a moment, by the searcher.
"""

from __future__ import annotations

import logging
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, Signal

import geometry
from app.kernels import kernel_folder

log = logging.getLogger(__name__)

COMPILER: Final = "geometry.contact.compiled.ready"
"""Module that the other process runs; it is not imported here, for the window shows itself before it searches."""


class Compiling(QObject):
    """One attempt.

    Signals
    -------
    done(Path)
        Compiled kernels are in that folder.

    """

    done = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._folder = kernel_folder()
        self._started = False
        self._process = QProcess(self)
        environment = QProcessEnvironment.systemEnvironment()
        environment.insert("PYTHONPATH", str(Path(geometry.__file__).parents[1]))
        self._process.setProcessEnvironment(environment)
        self._process.finished.connect(self._take)

    def start(self) -> None:
        """Begin, if it has not begun before and there is a compiler."""
        if self._started:
            return
        self._started = True
        if find_spec("numba") is None:
            log.info("Numba is not installed; the search stays as it is.")
            return
        self._process.start(sys.executable, ["-m", COMPILER, str(self._folder)])

    def stop(self) -> None:
        """End the other process, if it still runs."""
        self._process.blockSignals(True)
        self._process.kill()
        self._process.waitForFinished()

    def _take(self, code: int) -> None:
        if code == 0:
            self.done.emit(self._folder)
            return
        said = self._process.readAllStandardError().toStdString().strip().splitlines()
        log.warning("The search stays as it is: %s", said[-1] if said else f"compiling ended with {code}.")
