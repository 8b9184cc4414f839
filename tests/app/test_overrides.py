"""An error in a method that Qt calls is told as any other, whatever raised it and whoever called Qt."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]

CODE = """
import sys
from typing import Generic, TypeVar
from PySide6.QtCore import QAbstractListModel, QSize
from PySide6.QtWidgets import QApplication, QWidget
from app.overrides import guard
guard()
sys.excepthook = lambda kind, *_: print(kind.__name__, flush=True)
Kind = TypeVar("Kind")
class Faulty(QWidget, Generic[Kind]):
    def event(self, event):
        return super().event(event)
    def paintEvent(self, event):
        int("painted")
    def resizeEvent(self, event):
        len(5)
    def sizeHint(self):
        return QSize(*"ab")
class Model(QAbstractListModel):
    def rowCount(self, parent=None):
        return 1
    def data(self, index, role=0):
        return next(iter(()))
app = QApplication(["test"])
faulty, model = Faulty[int](), Model()
def told(call):
    try:
        call()
    except Exception as failure:
        sys.excepthook(type(failure), failure, None)
for call in (faulty.show, app.processEvents, faulty.repaint, faulty.adjustSize, model.index(0).data):
    told(call)
print("still there")
"""


def test_errors_of_compiled_code_in_what_qt_calls_are_told_and_do_not_end_the_program() -> None:
    done = subprocess.run(
        [sys.executable, "-c", CODE], cwd=ROOT, capture_output=True, encoding="utf-8", check=False, timeout=60
    )
    assert done.returncode == 0, done.stdout + done.stderr
    told = done.stdout.splitlines()
    assert told[-1] == "still there"
    assert set(told[:-1]) == {"ValueError", "TypeError", "StopIteration"}, told
