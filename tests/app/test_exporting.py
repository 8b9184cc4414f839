"""What goes out of the window: where to, and what is said when it cannot."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.document import Document
from app.exporting import Exports
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.units import LengthUnit
from geometry.rig.build import Build, BuildSide
from geometry.rig.rig import Rig

SHORT, LONG = demo_rigs()[:2]


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[str]:
    """What the builder was told; files go where they are offered to go."""
    told: list[str] = []
    monkeypatch.setattr("app.dialogs.say", lambda _parent, what, why: told.append(f"{what} {why}"))
    monkeypatch.setattr("app.dialogs.ask_save", lambda _parent, _title, start, _kinds: tmp_path / start.name)
    return told


@pytest.fixture
def exports(qtbot: QtBot, tmp_path: Path) -> Callable[[Rig, str], Exports]:
    def made(rig: Rig, axle: str) -> Exports:
        parent, document = QWidget(), Document(rig, unit=LengthUnit.FRACTION)
        qtbot.addWidget(parent)
        document.set_active_axle(axle)
        return Exports(parent, document, lambda: tmp_path)

    return made


def test_the_cut_sheet_is_that_of_the_axle_that_is_looked_at(
    exports: Callable[[Rig, str], Exports], said: list[str], tmp_path: Path
) -> None:
    exports(read_rig(LONG), "front").cut_sheet()
    (written,) = tmp_path.iterdir()
    assert written.name.endswith("front axle cut sheet.pdf")
    assert written.read_bytes().startswith(b"%PDF")
    assert said == []


def test_an_incomplete_cut_sheet_says_beforehand_what_it_lacks(
    exports: Callable[[Rig, str], Exports], said: list[str], tmp_path: Path
) -> None:
    exports(read_rig(SHORT), "rear").cut_sheet()
    (told,) = said
    assert "incomplete" in told
    assert "left end addition" in told
    assert len(list(tmp_path.iterdir())) == 1


def test_an_axle_that_cannot_be_built_gets_no_cut_sheet(
    exports: Callable[[Rig, str], Exports], said: list[str], tmp_path: Path
) -> None:
    rig = read_rig(SHORT)
    deep = Build(left=BuildSide(end_addition=50.8, insertion_end=63.5))
    exports(replace(rig, axles=tuple(replace(axle, build=deep) for axle in rig.axles)), "rear").cut_sheet()
    (told,) = said
    assert "1/2 in too deep; make it at most 2 in." in told
    assert list(tmp_path.iterdir()) == []
