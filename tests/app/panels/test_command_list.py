"""Every command is found by its words, and run from the list."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMainWindow
from pytestqt.qtbot import QtBot

from app.panels.command_list import CommandList, commands_of


@pytest.fixture
def window(qtbot: QtBot) -> QMainWindow:
    window = QMainWindow()
    qtbot.addWidget(window)
    file = window.menuBar().addMenu("&File")
    file.addAction("&Open…").setShortcut("Ctrl+O")
    recent = file.addMenu("Open &recent")
    recent.aboutToShow.connect(lambda: recent.isEmpty() and recent.addAction("&1 crawler.rig.json  (/shop)"))
    file.addSeparator()
    window.menuBar().addMenu("&View").addAction("Fit e&verything").setEnabled(False)
    return window


def test_commands_have_their_words_place_and_keys(window: QMainWindow) -> None:
    found = [(each.words, each.place, each.keys) for each in commands_of(window.menuBar())]
    assert found == [
        ("Open", "File", "Ctrl+O"),
        ("1 crawler.rig.json  (/shop)", "File, Open recent", ""),
        ("Fit everything", "View", ""),
    ]


@pytest.mark.parametrize(
    ("typed", "count"), [("", 3), ("op", 2), ("EVERY fit", 1), ("file rec", 1), ("verything", 0), ("crawl", 1)]
)
def test_beginnings_of_words_in_any_order_find(qtbot: QtBot, window: QMainWindow, typed: str, count: int) -> None:
    found = CommandList(window, window.menuBar())
    qtbot.keyClicks(found.line, typed)
    assert found.list.topLevelItemCount() == count
    assert found.none.isHidden() is (count > 0)


def test_enter_runs_the_marked_command_and_arrows_mark_another(qtbot: QtBot, window: QMainWindow) -> None:
    run: list[str] = []
    found = CommandList(window, window.menuBar())
    for command in found.commands:
        command.action.triggered.connect(lambda _checked, words=command.words: run.append(words))
    found.open()
    qtbot.keyClicks(found.line, "op")
    qtbot.keyClick(found.line, Qt.Key.Key_Down)
    qtbot.keyClick(found.line, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: run == ["1 crawler.rig.json  (/shop)"])


def test_what_cannot_be_done_now_is_greyed_and_not_run(qtbot: QtBot, window: QMainWindow) -> None:
    found = CommandList(window, window.menuBar())
    found.open()
    qtbot.keyClicks(found.line, "fit")
    (item,) = (found.list.topLevelItem(row) for row in range(found.list.topLevelItemCount()))
    assert item.isDisabled()
    found._run(item)
    assert found.isVisible()
    found.close()
