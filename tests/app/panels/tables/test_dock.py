"""The tables in the window: there at a key, gone at the same, and never at the cost of the views."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QSettings, Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.document import Document
from app.window import TALL, MainWindow

LEAST_VIEW = 300
"""Height below which a view is not worth looking at [px]."""


@pytest.fixture
def window(qtbot: QtBot, document: Document, tmp_path: Path) -> Iterator[MainWindow]:
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)  # the window before would take the focus along
    window = MainWindow(document, QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))
    qtbot.addWidget(window)
    with qtbot.waitActive(window):
        window.show()
    yield window
    window.searcher.stop()


def press_key_of_tables(qtbot: QtBot) -> None:
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    QApplication.processEvents()


@pytest.mark.parametrize("size", [(1024, 768), (1440, 900), (1440, TALL + 120)])
def test_a_key_shows_and_hides_the_tables_and_the_views_stay_large(
    qtbot: QtBot, window: MainWindow, size: tuple[int, int]
) -> None:
    window.resize(*size)
    window.reset_layout()
    assert not window.tables.isVisible()
    press_key_of_tables(qtbot)
    view = window.tables.pages["Nodes"].view
    assert view.hasFocus()
    assert view.height() >= 4 * 24
    assert window.views["side"].height() >= LEAST_VIEW
    assert window.strip.isVisible() is (size[1] >= TALL)
    window.resize(size[0], TALL + 10)
    assert window.strip.isVisible()
    press_key_of_tables(qtbot)
    assert not window.tables.isVisible()
    assert window.strip.isVisible()


def test_keys_turn_to_another_table_and_into_its_cells(qtbot: QtBot, window: MainWindow) -> None:
    press_key_of_tables(qtbot)
    tables, held, alt = window.tables, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
    turns = (
        (Qt.Key.Key_PageDown, held, "Bars"),
        (Qt.Key.Key_PageDown, held, "Panels"),
        (Qt.Key.Key_PageUp, held, "Bars"),
        (Qt.Key.Key_L, alt, "Links"),
        (Qt.Key.Key_PageDown, held, "Axles"),
        (Qt.Key.Key_PageDown, held, "Nodes"),
    )
    chosen = window.document.chosen
    for key, modifier, name in turns:
        qtbot.keyClick(QApplication.focusWidget(), key, modifier)
        QApplication.processEvents()
        assert tables.currentIndex() == list(tables.pages).index(name)
        assert tables.tabText(tables.currentIndex()).replace("&", "") == name
        view = tables.pages[name].view
        window.activateWindow()  # a window of the test before may have gone only now, and the focus with it
        qtbot.waitUntil(view.hasFocus)
        assert view.currentIndex().isValid()
        assert window.document.chosen == chosen
    tables.pages["Nodes"].filter.setFocus()
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_PageDown, held)
    assert tables.pages["Bars"].view.hasFocus()


def test_tab_leaves_a_table_that_nobody_types_in(qtbot: QtBot, window: MainWindow) -> None:
    press_key_of_tables(qtbot)
    view = window.tables.pages["Nodes"].view
    for key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
        view.setFocus()
        qtbot.keyClick(view, key)
        assert not view.hasFocus()
