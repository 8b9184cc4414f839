"""Has the search compiled, in a process of its own, and tells when that is done.

In this process compiling would hold up the window for many seconds, on whatever thread it ran. What the other process
leaves in the folder is loaded here in a moment, by the searcher.
"""

from __future__ import annotations

import logging
import sys
from importlib.util import find_spec
from pathlib import Path

from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, Signal

from app.kernels import kernel_folder
from geometry.contact.compiled import ready

log = logging.getLogger(__name__)


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
        environment.insert("PYTHONPATH", str(Path(ready.__file__).parents[3]))
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
        self._process.start(sys.executable, ["-m", ready.__name__, str(self._folder)])

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
