"""Work for processes to do in tests; nothing but the program is loaded for it."""

from __future__ import annotations

import os
import signal
import sys
from time import sleep

from app.study import Cancelled, StudyCancelledError
from geometry.errors import RigError


def square(number: int, _: Cancelled) -> tuple[int, int]:
    """The square, and who worked it out."""
    return number * number, os.getpid()


def fragile(number: int, _: Cancelled) -> int:
    """Dies of 3, fails at 5 and refuses 7."""
    if number == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    if number == 5:
        raise ZeroDivisionError("five")
    if number == 7:
        raise RigError("axles[0]", "is no axle")
    sleep(0.02)
    return number


def endless(_: int, cancelled: Cancelled) -> None:
    """Goes on until told to stop."""
    while not cancelled():
        sleep(0.01)
    raise StudyCancelledError


def loaded(_: int, __: Cancelled) -> set[str]:
    """What is loaded where the program's own work is done."""
    import app.batch

    assert app.batch.check_widths
    return {name.partition(".")[0] for name in sys.modules}
