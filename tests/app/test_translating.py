"""Texts that can be translated are all asked for, and have room in a language that is longer."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, QSettings
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.command_list import commands_of
from app.translating import Pseudo, install, tr
from app.units import LengthUnit
from app.window import MainWindow

OWN = ("File, New from demo", "File, Open recent")
"""Menus whose entries are names of the builder's."""


@pytest.fixture
def pseudo(qapp: QApplication) -> Iterator[None]:
    language = Pseudo()
    qapp.installTranslator(language)
    yield
    qapp.removeTranslator(language)


@pytest.mark.usefixtures("pseudo")
def test_every_command_and_menu_is_translated(qtbot: QtBot, tmp_path: Path) -> None:
    settings = QSettings(str(tmp_path / "own.ini"), QSettings.Format.IniFormat)
    window = MainWindow(Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION), settings)
    qtbot.addWidget(window)
    commands = commands_of(window.menuBar())
    places = {menu for each in commands for menu in each.place.split("], ")}
    assert [menu for menu in places if not menu.startswith("[")] == []
    plain = [each.words for each in commands if "~" not in each.words and "démø" not in each.place.lower()]
    assert [words for words in plain if words.startswith("[") or not is_own(words, window)] == []
    for menu in window.menuBar().actions():
        assert menu.text().startswith("[")
        menu.menu().adjustSize()
        for action in menu.menu().actions():
            if not action.isSeparator():
                wide = menu.menu().fontMetrics().horizontalAdvance(action.text().replace("&", ""))
                assert menu.menu().actionGeometry(action).width() >= wide


def is_own(words: str, window: MainWindow) -> bool:
    """Whether an entry is a file, a rig, or says that there is none."""
    return words == "No files yet" or words in {str(path) for path in window.files.recent.paths()}


def test_without_a_translation_texts_stay(qapp: QApplication) -> None:
    assert tr("&Open…") == "&Open…"
    assert install(qapp, QLocale("sv_SE")) is False
