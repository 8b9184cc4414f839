"""Drags the width of the long rig for many steps and prints resident memory: after a tenth, at the end, at most [MB].

A process of its own, with nothing loaded but the program: ``python -m tests.benchmarks.long_drag KERNELS STEPS``.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from PySide6.QtCore import QEvent, QPointF, QSettings, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication

from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.units import LengthUnit
from app.window import MainWindow
from geometry.contact.compiled import ready

DRAG = 300
"""Steps of one drag; a hundred drags are forty minutes at the mouse."""


def memory() -> float:
    """Resident memory of this process [MB]."""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def mouse(window: MainWindow, kind: QEvent.Type, x: float) -> None:
    plot = window.strip.plot
    place = QPointF(x, plot.handle_place().y())
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    button = none if kind is QEvent.Type.MouseMove else left
    held = none if kind is QEvent.Type.MouseButtonRelease else left
    event = QMouseEvent(kind, place, plot.mapToGlobal(place), button, held, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(plot, event)


def drag(window: MainWindow) -> list[float]:
    """One drag there and back; memory at its end."""
    x = window.strip.plot.handle_place().x()
    mouse(window, QEvent.Type.MouseButtonPress, x)
    for step in range(DRAG):
        mouse(window, QEvent.Type.MouseMove, x + 2.0 * min(step, DRAG - step) * (1.0 if x < 600.0 else -1.0))
        while window.document.study is None:
            QApplication.processEvents()
        QApplication.processEvents()
    mouse(window, QEvent.Type.MouseButtonRelease, window.strip.plot.handle_place().x())
    return [memory()]


def main(kernels: Path, steps: int) -> None:
    """Print what the drags need."""
    app = QApplication(sys.argv[:1])
    app.setStyle("Fusion")
    problem = ready.prepare(kernels)
    if problem:
        sys.exit(problem)
    path = next(path for path in demo_rigs() if "long" in path.stem)
    settings = QSettings(str(Path(tempfile.mkdtemp()) / "settings.ini"), QSettings.Format.IniFormat)
    window = MainWindow(Document(read_rig(path), unit=LengthUnit.FRACTION), settings)
    window.resize(1600, 1000)
    window.menus.top_view.setChecked(True)
    window.show()
    rows: list[float] = []
    for _ in range(max(steps // DRAG, 10)):
        rows += drag(window)
    window.searcher.stop()
    print(rows[len(rows) // 10], rows[-1], max(rows))
    sys.stdout.flush()
    os._exit(0)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
