"""A builder who edits without a pause, in a process to be killed; each edit is told on a line of its own.

Arguments: milliseconds between two edits, and milliseconds until the recovery file is written (0 = the program's own).
"""

from __future__ import annotations

import sys
from itertools import count
from time import monotonic

from PySide6.QtCore import QCoreApplication, QTimer

from app.document import Document
from app.edits import set_width
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.keeping.recovery import Recovery
from app.units import LengthUnit

WIDTH = 1600.0
"""The edit of number n makes the rear axle this wide, and n tenths of a millimetre wider [mm]."""


def main(pause: int, soon: int) -> int:
    app = QCoreApplication(["editing"])
    app.setApplicationName("wheelroom")
    document = Document(read_rig(demo_rigs()[0]), unit=LengthUnit.MM)
    recovery = Recovery(document)
    if soon:
        recovery._timer.setInterval(soon)
    numbers = count(1)

    def edit() -> None:
        number = next(numbers)
        set_width(document, "rear", WIDTH + number / 10.0)
        print(number, monotonic(), flush=True)  # noqa: T201  (told to the test)

    timer = QTimer(interval=pause)
    timer.timeout.connect(edit)
    timer.start()
    return app.exec()


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:3])))
