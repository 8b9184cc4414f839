"""From the first click on New to a verdict on a rig of one's own numbers, counted in real events."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QMenu, QWidget
from pytestqt.qtbot import QtBot

from app import dialogs
from app.dialogs import Answer
from app.document import Document
from app.edits import set_width
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.new_rig import NewRigDialog
from app.units import LengthUnit
from app.window import MainWindow

LEFT = Qt.MouseButton.LeftButton
MOST = 12
"""Clicks or fields from New to the verdict."""

OWN = {
    "wheelbase": "106",
    "belly": "21",
    "bump": "5 1/2",
    "droop": "6 1/2",
    "rear_width": "71 1/2",
    "front_width": "72",
    "tire_size": "40x13.50R17",
    "rim_width": "8.5",
    "offset": "1/2",
}


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    settings = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    made = MainWindow(Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION), settings)
    qtbot.addWidget(made, before_close_func=lambda each: each.document.undo_stack.setClean())
    with qtbot.waitActive(made):
        made.show()
    yield made
    made.searcher.stop()


class Counted:
    """A builder's hands, who count what they do."""

    def __init__(self, qtbot: QtBot) -> None:
        self._qtbot = qtbot
        self.count = 0

    def click_entry(self, menu: QWidget, text: str) -> None:
        actions = {action.text().replace("&", ""): action for action in menu.actions()}
        self._qtbot.mouseClick(menu, LEFT, pos=menu.actionGeometry(actions[text]).center())
        self.count += 1

    def fill(self, dialog: NewRigDialog, name: str, text: str) -> None:
        line = dialog.fields[name].line
        self._qtbot.mouseDClick(line, LEFT)
        line.selectAll()
        self._qtbot.keyClicks(line, text)
        self.count += 1

    def click(self, widget: QWidget) -> None:
        self._qtbot.mouseClick(widget, LEFT)
        self.count += 1


def opened(qtbot: QtBot, window: MainWindow) -> NewRigDialog:
    qtbot.waitUntil(lambda: bool(window.findChildren(NewRigDialog)))
    dialog = window.findChildren(NewRigDialog)[-1]
    qtbot.waitUntil(lambda: dialog.isVisible() and dialog.isActiveWindow())
    return dialog


def test_from_new_to_a_verdict_on_ones_own_numbers_it_takes_twelve_clicks_or_fields(
    qtbot: QtBot, window: MainWindow
) -> None:
    hands = Counted(qtbot)
    hands.click_entry(window.menuBar(), "File")
    file = next(menu for menu in window.findChildren(QMenu) if menu.title() == "&File")
    hands.click_entry(file, "New…")
    dialog = opened(qtbot, window)
    for name, text in OWN.items():
        hands.fill(dialog, name, text)
    hands.click(dialog.create_button)
    qtbot.waitUntil(lambda: window.document.rig.name == "New rig")
    qtbot.waitUntil(lambda: window.document.study is not None, timeout=20_000)
    assert hands.count <= MOST
    rear, front = window.document.rig.axles
    assert (front.station, rear.width, front.width) == pytest.approx((2692.4, 1816.1, 1828.8))
    assert (rear.tire.size, rear.wheel.offset, rear.bump) == ("40x13.50R17", 12.7, 139.7)
    count = len(window.document.rig.unconfirmed)
    assert f"Rests on {count} unconfirmed values." in window.verdict.sentence.text().replace("\u00a0", " ")


def test_a_new_rig_counts_as_unsaved_and_the_open_one_is_asked_for_first(
    qtbot: QtBot, window: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_width(window.document, "rear", 1800.0)
    before = window.document.rig
    monkeypatch.setattr(dialogs, "ask_to_save", lambda *_: Answer.CANCEL)
    window.files.new_rig()
    assert not window.findChildren(NewRigDialog)
    monkeypatch.setattr(dialogs, "ask_to_save", lambda *_: Answer.DISCARD)
    qtbot.keyClick(window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    dialog = opened(qtbot, window)
    dialog.reject()
    assert window.document.rig == before
    window.files.new_rig()
    qtbot.keyClick(opened(qtbot, window).fields["wheelbase"].line, Qt.Key.Key_Return)
    assert window.document.rig.name == "New rig"
    assert window.document.is_modified
    assert window.document.undo_stack.count() == 0
