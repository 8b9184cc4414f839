"""A state folder for each test, and windows that never ask."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app import dialogs
from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.keeping.recovery import Recovery
from app.keeping.rig_files import RigFiles
from app.units import LengthUnit


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of what is remembered."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "state"


@pytest.fixture(autouse=True)
def no_questions(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing asks unless a test lets it."""
    for name in [name for name in vars(dialogs) if name.startswith(("ask_", "offer_")) or name == "say"]:
        monkeypatch.setattr(dialogs, name, lambda *_, name=name: pytest.fail(f"{name} was not expected"))


@pytest.fixture
def document(qapp: QApplication) -> Document:
    assert qapp is not None
    return Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION)


@pytest.fixture
def recovery(document: Document) -> Iterator[Recovery]:
    keeper = Recovery(document)
    yield keeper
    keeper.forget()


@pytest.fixture
def files(qtbot: QtBot, document: Document, tmp_path: Path) -> RigFiles:
    window = QWidget()
    qtbot.addWidget(window)
    return RigFiles(window, document, QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))
