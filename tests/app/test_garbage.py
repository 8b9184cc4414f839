"""What nobody holds any more is destroyed on the interface thread, for it may be a widget."""

from __future__ import annotations

import gc
from threading import Thread, current_thread, main_thread

from pytestqt.qtbot import QtBot

from app.garbage import Garbage


def test_garbage_is_looked_for_on_the_interface_thread_alone(qtbot: QtBot) -> None:
    ended: list[Thread] = []

    class Ring:
        def __init__(self) -> None:
            self.me = self

        def __del__(self) -> None:
            ended.append(current_thread())

    made: list[list[int]] = []
    gc.enable()
    garbage = Garbage()
    garbage.begin()
    for _ in range(10):
        Ring()
    other = Thread(target=lambda: made.extend([] for _ in range(10 * gc.get_threshold()[0])))
    other.start()
    other.join()
    assert ended == []
    qtbot.waitUntil(lambda: len(ended) == 10)
    assert set(ended) == {main_thread()}
