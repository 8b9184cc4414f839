"""What the program is made of is what it asks for, and every part states its licence."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from app.commands import run
from app.panels.about import AboutWindow, about_text
from app.shipped import ROOTS, parts, program_version

PROJECT = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def test_all_that_the_program_asks_for_is_looked_at() -> None:
    optional = PROJECT["optional-dependencies"]
    wanted = [*PROJECT["dependencies"], *optional["window"], *optional["speed"]]
    assert {re.split(r"[<>=~;\[]", each)[0] for each in wanted} == set(ROOTS)


def test_each_part_has_a_version_and_a_licence() -> None:
    found = {part.name: part for part in parts()}
    assert {"numpy", "shapely", "msgspec", "ezdxf", "fonttools", "shiboken6"} <= set(found)
    assert all(part.version and part.licence != "not stated" for part in found.values())
    assert not {"pytest", "mypy", "ruff"} & set(found)


def test_the_about_window_says_the_version_of_the_command_line_and_can_be_copied(
    qtbot: QtBot, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        run(["--version"], lambda _: 0)
    assert capsys.readouterr().out == f"wheelroom {program_version()}\n"
    about = AboutWindow()
    qtbot.addWidget(about)
    assert program_version() in about.details.toPlainText()
    for part in parts():
        assert f"{part.name} {part.version}: {part.licence}" in about.details.toPlainText()
    next(button for button in about.findChildren(QPushButton) if "Copy" in button.text()).click()
    assert QGuiApplication.clipboard().text() == about_text()
