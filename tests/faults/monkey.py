"""Somebody who understands nothing presses, drags, types and resizes at random, the same way for the same seed.

Arguments: seed, number of events, file of settings. Each event is told on a line of its own, then what went wrong;
ends with 0 when nothing did.
Files are not chosen, links not opened, and the program cannot be quit; all else is the real window.
"""

# ruff: noqa: E402
from __future__ import annotations

import faulthandler
import random
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from time import monotonic, thread_time
from typing import Any, Final

from PySide6.QtCore import QMessageLogContext, QObject, QPoint, QSettings, QSize, Qt, QtMsgType, qInstallMessageHandler
from PySide6.QtGui import QAction, QDesktopServices, QGuiApplication, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit, QWidget

from app.overrides import guard

guard()  # before any class of the window is made

from app import dialogs
from app.controls import apply_controls
from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig, rig_from_bytes, rig_to_bytes
from app.panels.command_list import commands_of, plain
from app.units import LengthUnit
from app.window import MainWindow

SLOW: Final = 2.0
"""No event may take longer [s of work]; on a machine that does much else the clock on the wall says little."""
STUCK: Final = 60.0
"""An event that takes so long [s] ends the run with a trace of all threads."""
IN_A_DIALOG: Final = 40
"""Events after which a question that stays open is given up with Esc."""
EXPECTED: Final = ("This plugin does not support", "Mouse event ")
"""What the offscreen platform and QTest say of themselves."""

KEYS: Final = (
    *(getattr(Qt.Key, f"Key_{letter}") for letter in "ABEFJKMPSTWZ0123456789"),
    *(Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Home, Qt.Key.Key_End),
    *(Qt.Key.Key_PageUp, Qt.Key.Key_PageDown, Qt.Key.Key_Space, Qt.Key.Key_Backspace, Qt.Key.Key_Delete),
    *(Qt.Key.Key_Slash, Qt.Key.Key_Minus, Qt.Key.Key_Plus, Qt.Key.Key_Period, Qt.Key.Key_Comma, Qt.Key.Key_F2),
    *(Qt.Key.Key_Tab, Qt.Key.Key_Backtab, Qt.Key.Key_Return, Qt.Key.Key_Escape) * 3,
)
ARROWS: Final = (Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Down)
CHORDS: Final = tuple(getattr(Qt.Key, f"Key_{letter}") for letter in "ACDMTVXYZZZ012345")
TEXTS: Final = ("60 3/16", "1524 mm", "-3", "1e999", "nan", "½", "5' 2", "abc", "0", "=1+1", "37x12.50R17")
TABLE: Final = "node\tx\ty\tz\nM1\t1\t2\t3\nM2\t40\t20\t30\n"


class Monkey(QObject):
    """Plays on a window and keeps what went wrong."""

    def __init__(self, window: MainWindow, seed: int) -> None:
        super().__init__()
        self.window = window
        self.random = random.Random(seed)  # noqa: S311  (the same way for the same seed)
        self.faults: list[str] = []
        self.start = window.document.rig
        self.pressed: tuple[QWidget, QPoint] | None = None
        self.modal = 0
        window.document.rig_replaced.connect(self._start_over)
        self.changes = 0
        window.document.undo_stack.indexChanged.connect(self._count)
        ways = (self.key, self.key, self.chord, self.type, self.click, self.click, self.drag, self.drag, self.wheel)
        self.ways: tuple[Callable[[], str], ...] = (
            *ways,
            *ways,
            self.nudge,
            self.nudge,
            self.enter,
            self.enter,
            self.command,
            self.resize,
        )

    def _count(self) -> None:
        self.changes += 1

    def _start_over(self) -> None:
        self.start = self.window.document.rig

    # Events

    def target(self) -> QWidget:
        """What the next event goes to: a menu or a question that is open first, as the desktop would have it."""
        root = QApplication.activePopupWidget() or QApplication.activeModalWidget()
        windows = [each for each in QApplication.topLevelWidgets() if each.isVisible() and each.isWindow()]
        root = root or (self.window if self.random.random() < 0.8 else self.random.choice(windows))
        inside = [each for each in root.findChildren(QWidget) if each.isVisible() and not each.size().isEmpty()]
        return self.random.choice([root, *inside])

    def focus(self) -> QWidget:
        """Where keys go; now and then something that takes keys is gone to first."""
        if self.random.random() < 0.3:
            widget = self.target().window()
            takers = [each for each in widget.findChildren(QWidget) if each.isVisible() and takes_keys(each)]
            if takers:
                self.random.choice(takers).setFocus()
        return QApplication.focusWidget() or self.target()

    def place(self, widget: QWidget) -> QPoint:
        return QPoint(self.random.randrange(widget.width()), self.random.randrange(widget.height()))

    def modifiers(self) -> Qt.KeyboardModifier:
        plain = [Qt.KeyboardModifier.NoModifier] * 4
        return self.random.choice([*plain, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier])

    def key(self) -> str:
        key, held = self.random.choice(KEYS), self.random.choice((Qt.KeyboardModifier.NoModifier, SHIFT))
        widget = self.focus()
        QTest.keyClick(widget, key, held)
        return f"{key.name} on {named(widget)}"

    def chord(self) -> str:
        key = self.random.choice(CHORDS)
        held = CONTROL | SHIFT if self.random.random() < 0.3 else CONTROL
        widget = self.focus()
        QTest.keyClick(widget, key, held)
        return f"{held.name} {key.name} on {named(widget)}"

    def type(self) -> str:
        text, widget = self.random.choice(TEXTS), self.focus()
        if isinstance(widget, QLineEdit) and self.random.random() < 0.7:
            widget.selectAll()
        QTest.keyClicks(widget, text)
        if alive(widget) and self.random.random() < 0.5:
            QTest.keyClick(widget, Qt.Key.Key_Return)
        return f"“{text}” on {named(widget)}"

    def click(self) -> str:
        widget = self.target()
        place, button = self.place(widget), self.random.choice((LEFT, LEFT, LEFT, Qt.MouseButton.RightButton))
        if self.random.random() < 0.15:
            QTest.mouseDClick(widget, button, self.modifiers(), place)
        else:
            QTest.mouseClick(widget, button, self.modifiers(), place)
        return f"click at {place.toTuple()} of {named(widget)}"

    def drag(self) -> str:
        """Press, some moves with things in between, and release; now and then Esc or undo with the button held."""
        widget = self.target()
        start = place = self.place(widget)
        button = self.random.choice((LEFT, LEFT, LEFT, Qt.MouseButton.MiddleButton))
        held = self.modifiers()
        QTest.mousePress(widget, button, held, start)
        between = ""
        for _ in range(self.random.randrange(1, 6)):
            place = place + QPoint(self.random.randrange(-60, 61), self.random.randrange(-60, 61))
            if not alive(widget):
                break
            QTest.mouseMove(widget, place)
            QApplication.processEvents()
            if self.random.random() < 0.05:
                between = self.random.choice((self.key, self.chord))()
        if alive(widget):
            QTest.mouseRelease(widget, button, held, place)
        return f"drag from {start.toTuple()} to {place.toTuple()} of {named(widget)} {between}"

    def nudge(self) -> str:
        """An arrow key where it changes the rig or its pose, with everything chosen now and then."""
        window = self.window
        if QApplication.activeModalWidget() is not None:
            return self.key()
        widget = self.random.choice([*window.views.values(), window.strip.plot, window.pad.map])
        widget.setFocus()
        if self.random.random() < 0.1:
            QTest.keyClick(widget, Qt.Key.Key_A, CONTROL)
        key = self.random.choice(ARROWS)
        for _ in range(self.random.randrange(1, 5)):
            QTest.keyClick(widget, key, self.modifiers())
        return f"{key.name} on {named(widget)}"

    def enter(self) -> str:
        """A length into some field, and Enter."""
        root = QApplication.activeModalWidget() or self.window
        fields = [each for each in root.findChildren(QLineEdit) if each.isVisible() and each.isEnabled()]
        if not fields:
            return self.key()
        field, text = self.random.choice(fields), f"{self.random.uniform(0.0, 90.0):.2f}"
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text)
        QTest.keyClick(field, self.random.choice((Qt.Key.Key_Return, Qt.Key.Key_Return, Qt.Key.Key_Tab)))
        return f"{text} into {named(field)}"

    def wheel(self) -> str:
        widget = self.target()
        place, turn = self.place(widget), self.random.choice((-120, 120))
        shifted = QPoint(0, turn)
        there = widget.mapToGlobal(place)
        phase = Qt.ScrollPhase.NoScrollPhase
        event = QWheelEvent(place, there, QPoint(), shifted, Qt.MouseButton.NoButton, self.modifiers(), phase, False)
        QApplication.sendEvent(widget, event)
        return f"wheel {turn} at {place.toTuple()} of {named(widget)}"

    def command(self) -> str:
        if QApplication.activeModalWidget() is not None:
            return self.key()
        usable = [each for each in commands_of(self.window.menuBar()) if each.action.isEnabled()]
        chosen = self.random.choice(usable)
        chosen.action.trigger()
        return f"{chosen.place}, {chosen.words}"

    def resize(self) -> str:
        size = QSize(self.random.randrange(500, 1700), self.random.randrange(400, 1100))
        self.window.resize(size)
        if self.random.random() < 0.3:
            QGuiApplication.clipboard().setText(self.random.choice((*TEXTS, TABLE)))
        return f"resize to {size.toTuple()}"

    # The run

    def step(self) -> None:
        """One event, and what it brings about."""
        began, worked = monotonic(), thread_time()
        faulthandler.dump_traceback_later(STUCK, exit=True)
        way = self.random.choice(self.ways)
        told = way()
        print(told, flush=True)  # noqa: T201  (now, for the next one may be the last)
        QApplication.processEvents()
        faulthandler.cancel_dump_traceback_later()
        took = min(monotonic() - began, thread_time() - worked)
        if took > SLOW and self.modal == 0:
            self.faults.append(f"{took:.1f} s for: {told}")

    def answer(self, dialog: QDialog) -> int:
        """Stands for `exec`: plays in the question, which is given up when it stays."""
        dialog.open()
        self.modal += 1
        for _ in range(IN_A_DIALOG):
            if not alive(dialog) or not dialog.isVisible() or self.modal > 2:
                break
            self.step()
        self.modal -= 1
        if not alive(dialog):
            return 0
        if dialog.isVisible():
            dialog.reject()
        return dialog.result()

    def settle(self) -> None:
        """Let go of everything: menus, questions, gestures, what is typed."""
        for _ in range(20):
            widget = QApplication.activePopupWidget() or QApplication.activeModalWidget()
            if widget is None:
                break
            QTest.keyClick(QApplication.focusWidget() or widget, Qt.Key.Key_Escape)
            if alive(widget) and widget.isVisible() and not isinstance(widget, QDialog):
                widget.close()
            QApplication.processEvents()
        for widget in QApplication.topLevelWidgets():
            if isinstance(widget, QDialog) and widget.isVisible():
                widget.reject()
        for view in self.window.views.values():
            for _ in range(3):
                QTest.keyClick(view, Qt.Key.Key_Escape)
        self.window.views["side"].setFocus()
        QApplication.processEvents()

    def check(self) -> None:
        """Hold what must be so when all is let go of."""
        document, stack = self.window.document, self.window.document.undo_stack
        left = [named(each) for each in QApplication.topLevelWidgets() if each.isVisible() and each is not self.window]
        if left:
            self.faults.append(f"left open: {', '.join(left)}")
        end = document.rig
        if rig_from_bytes(rig_to_bytes(end), "the rig") != end:
            self.faults.append("the rig is another one after saving and opening")
        while stack.canUndo():
            stack.undo()
        if document.rig != self.start:
            self.faults.append("undoing everything does not lead back to the start")
        while stack.canRedo():
            stack.redo()
        if document.rig != end:
            steps = [stack.text(number) for number in range(stack.count())]
            self.faults.append(
                f"doing everything again does not lead back to the end: {steps} {told_difference(document.rig, end)}"
            )
        while stack.canUndo():
            stack.undo()


LEFT: Final = Qt.MouseButton.LeftButton
SHIFT: Final = Qt.KeyboardModifier.ShiftModifier
CONTROL: Final = Qt.KeyboardModifier.ControlModifier


def told_difference(one: object, two: object) -> str:
    """Fields in which two rigs differ."""
    fields = getattr(one, "__struct_fields__", ())
    return ", ".join(
        f"{name}: {getattr(one, name)} / {getattr(two, name)}"
        for name in fields
        if getattr(one, name) != getattr(two, name)
    )[:1500]


def takes_keys(widget: QWidget) -> bool:
    return widget.isEnabled() and bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)


def alive(widget: QObject) -> bool:
    import shiboken6

    return shiboken6.isValid(widget)


def named(widget: QWidget) -> str:
    """A widget as a fault is told."""
    if not alive(widget):
        return "something that is gone"
    return f"{type(widget).__name__} “{widget.accessibleName() or widget.objectName() or widget.windowTitle()}”"


def held_back(monkey: Monkey) -> None:
    """What a run must not do, and what must be told of it."""
    dialogs.ask_open = lambda *_: None  # type: ignore[assignment]
    dialogs.ask_save = lambda *_: None  # type: ignore[assignment]
    QDesktopServices.openUrl = lambda *_: True  # type: ignore[method-assign,assignment]
    QDialog.exec = lambda dialog: monkey.answer(dialog)  # type: ignore[method-assign]  # noqa: PLW0108  (a method of the class)
    for action in monkey.window.findChildren(QAction):
        if plain(action.text()) == "Quit":
            action.setEnabled(False)

    def heard(kind: QtMsgType, _context: QMessageLogContext, text: str) -> None:
        if kind is not QtMsgType.QtDebugMsg and not text.startswith(EXPECTED):
            monkey.faults.append(f"Qt says: {text}")

    def raised(kind: type[BaseException], failure: BaseException, trace: Any) -> None:
        monkey.faults.append("".join(traceback.format_exception(kind, failure, trace)))

    qInstallMessageHandler(heard)
    sys.excepthook = raised
    sys.unraisablehook = lambda told: raised(told.exc_type, told.exc_value, told.exc_traceback)  # type: ignore[arg-type]


def main(seed: int, events: int, settings: str) -> int:
    faulthandler.enable()
    app = QApplication(["monkey"])
    app.setApplicationName("wheelroom")
    apply_controls(app, large=False)
    document = Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION)
    window = MainWindow(document, QSettings(settings, QSettings.Format.IniFormat))
    window.show()
    monkey = Monkey(window, seed)
    held_back(monkey)
    done = 0
    try:
        while done < events and not monkey.faults:
            monkey.step()
            done += 1
        if not monkey.faults:
            monkey.settle()
            monkey.check()
    except Exception:  # noqa: BLE001  (told like any other)
        monkey.faults.append(traceback.format_exc())
    qInstallMessageHandler(None)
    window.searcher.stop()
    print(f"seed {seed}: {done} events, {monkey.changes} changes, undone and redone")  # noqa: T201
    if monkey.faults:
        print(*monkey.faults, sep="\n")  # noqa: T201
    return 1 if monkey.faults else 0


if __name__ == "__main__":
    Path(sys.argv[3]).parent.mkdir(parents=True, exist_ok=True)
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3]))
