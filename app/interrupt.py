"""Ctrl+C on the command line."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from threading import current_thread, main_thread
from typing import Final

INTERRUPTED: Final = 130
"""Exit status after Ctrl+C: 128 + SIGINT, as shells have it."""


@contextmanager
def leaving_at_once() -> Iterator[None]:
    """While modules load, Ctrl+C ends the process there and then: an interrupt inside an import can get lost in it."""
    if current_thread() is not main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, lambda *_: os._exit(INTERRUPTED))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
