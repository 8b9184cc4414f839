"""An error that nobody expected, wherever it comes from, keeps the work and is told once."""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QObject, QRunnable, QThread, QThreadPool, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import set_width
from app.faults import MOST_LOGGED, Faults
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.keeping.recovery import Recovery, left_behind
from app.units import LengthUnit


class Bench:
    """A window whose faults are taken, and on which threads the work was kept."""

    def __init__(self, window: QWidget) -> None:
        self.window = window
        self.kept: list[threading.Thread] = []
        self.faults = Faults(lambda: window, lambda: self.kept.append(threading.current_thread()))
        self.faults.watch()

    def boxes(self) -> list[QMessageBox]:
        return [box for box in self.window.findChildren(QMessageBox) if box.isVisible()]


@pytest.fixture
def bench(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    monkeypatch.setattr(threading, "excepthook", threading.excepthook)
    window = QWidget()
    qtbot.addWidget(window)
    window.show()
    yield Bench(window)
    for thread in window.findChildren(QThread):
        thread.quit()
        thread.wait()
    window.close()


def fail() -> None:
    raise ZeroDivisionError("oops")


class Painted(QWidget):
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(event.rect(), "red")
        fail()


class Worker(QObject):
    asked = Signal()

    def work(self) -> None:
        fail()


class Job(QRunnable):
    def run(self) -> None:
        fail()


def in_slot(_window: QWidget) -> None:
    QTimer.singleShot(0, fail)


def in_paint_event(window: QWidget) -> None:
    painted = Painted(window)
    painted.resize(50, 50)
    painted.show()


def in_thread(_window: QWidget) -> None:
    threading.Thread(target=fail).start()


def in_pool(window: QWidget) -> None:
    pool = QThreadPool(window)
    pool.start(Job())
    pool.waitForDone()


def in_qt_thread(window: QWidget) -> None:
    thread = QThread(window)
    worker = Worker()
    window.worker = worker  # type: ignore[attr-defined]
    worker.moveToThread(thread)
    worker.asked.connect(worker.work)
    thread.start()
    worker.asked.emit()


@pytest.mark.qt_no_exception_capture
@pytest.mark.parametrize("fault", [in_slot, in_paint_event, in_thread, in_pool, in_qt_thread])
def test_a_fault_anywhere_keeps_the_work_on_the_first_thread_and_is_told_with_details(
    qtbot: QtBot, bench: Bench, fault: Callable[[QWidget], None], caplog: pytest.LogCaptureFixture
) -> None:
    fault(bench.window)
    qtbot.waitUntil(lambda: bool(bench.boxes()))
    (box,) = bench.boxes()
    assert "ZeroDivisionError: oops" in box.detailedText()
    assert "start Wheelroom again" in box.informativeText()
    assert bench.kept == [threading.main_thread()]
    assert any(record.exc_info for record in caplog.records)


@pytest.mark.qt_no_exception_capture
def test_a_fault_of_each_picture_is_told_once_and_does_not_fill_the_log(
    qtbot: QtBot, bench: Bench, caplog: pytest.LogCaptureFixture
) -> None:
    in_paint_event(bench.window)
    for round_ in range(2 * MOST_LOGGED):
        bench.window.update()
        qtbot.wait(2)  # not repaint: through a call from Python the fault would come to its caller
        if box := next(iter(bench.boxes()), None):
            box.close()
        assert round_ < 5 or not bench.boxes()
    qtbot.wait(10)
    assert bench.boxes() == []
    assert len(bench.kept) == 1
    assert sum(record.levelno == logging.CRITICAL for record in caplog.records) == MOST_LOGGED


@pytest.mark.qt_no_exception_capture
def test_what_was_not_saved_is_in_the_recovery_file_after_a_fault(
    qtbot: QtBot, bench: Bench, monkeypatch: pytest.MonkeyPatch, tmp_path: object
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    document = Document(read_rig(demo_rigs()[0]), unit=LengthUnit.MM)
    recovery = Recovery(document)
    bench.faults._keep = recovery.write_now
    set_width(document, "rear", 1777.0)
    in_slot(bench.window)
    qtbot.waitUntil(lambda: bool(bench.boxes()))
    assert recovery.place is not None
    assert recovery.place.exists()
    recovery._claim = None
    (found,) = left_behind()
    assert found.rig == document.rig
    found.discard()


def test_ctrl_c_is_no_fault(qtbot: QtBot, bench: Bench) -> None:
    bench.faults.take(KeyboardInterrupt, KeyboardInterrupt(), None)
    qtbot.wait(10)
    assert (bench.boxes(), bench.kept) == ([], [])
