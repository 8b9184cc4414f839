"""The page of keys is the window's own list of keys."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtCore import QSettings
from PySide6.QtGui import QAction, QKeySequence
from pytestqt.qtbot import QtBot

from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.units import LengthUnit
from app.window import MainWindow

PAGE = Path(__file__).parents[3] / "app" / "help" / "keyboard.md"


def test_the_keyboard_page_lists_every_command_that_has_a_key(qtbot: QtBot, tmp_path: Path) -> None:
    settings = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    window = MainWindow(Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION), settings)
    qtbot.addWidget(window)
    sections = PAGE.read_text(encoding="utf-8").split("\n## ")
    table = "".join(each for each in sections if each.startswith(("Anywhere", "In a view, by letter")))
    listed = {words: key for key, words in re.findall(r"^\| (\S+) \| (\w.*?) \|$", table, flags=re.MULTILINE)}
    actions = [action for action in window.findChildren(QAction) if action.shortcuts()]
    assert {action.text().replace("&", "").rstrip("…") for action in actions} == set(listed) - {"does"}
    for action in actions:
        assert QKeySequence(listed[action.text().replace("&", "").rstrip("…")]) in action.shortcuts()
