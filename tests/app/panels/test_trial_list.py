"""The trial list: a button adds, a click sets, and what it shows is what single checks say."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app import dialogs
from app.document import Document
from app.edits import set_trials, set_width
from app.exporting import Exports
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig, write_rig
from app.panels.trial_list import TrialModel
from app.panels.width_strip import WidthStrip
from app.rule_book import RuleBook
from app.searcher import Searcher
from app.study import check, with_width
from app.units import LengthUnit
from geometry.rig.wheel import INCH
from tests.app.panels.answers import curve_of, map_of, study_of

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def document() -> Document:
    return Document(read_rig(next(path for path in demo_rigs() if "long" in path.stem)), unit=LengthUnit.FRACTION)


@pytest.fixture
def strip(qtbot: QtBot, document: Document) -> WidthStrip:
    strip = WidthStrip(document, RuleBook(document))
    qtbot.addWidget(strip)
    strip.resize(900, 300)
    strip.show()
    return strip


@pytest.fixture
def searcher(document: Document) -> Iterator[Searcher]:
    searcher = Searcher(document)
    searcher.idle_ms = 0
    yield searcher
    searcher.stop()


def inches(document: Document) -> list[float]:
    return [round(width / INCH, 9) for width in document.rig.axle("rear").trial_widths]


def rest(document: Document) -> None:
    """All that is searched before the trials is known."""
    document.take_study(study_of(document))
    for axle in document.rig.axles:
        document.take_curve(document.rig, curve_of(document.rig, axle.id))
    document.take_travel_map(document.revision, map_of(document.rig, document.active_axle))


def test_an_empty_list_that_is_shown_again_resets_nothing(document: Document) -> None:
    model, resets = TrialModel(), []
    model.modelReset.connect(lambda: resets.append(True))
    for _ in range(2):
        model.show_trials(document.rig, "rear", (), LengthUnit.FRACTION, QPalette())  # Qt warns of a wrong reset
    assert resets == []


def test_five_trials_equal_five_single_checks(qtbot: QtBot, document: Document, searcher: Searcher) -> None:
    widths = [width * INCH for width in (68.0, 70.0, 72.0, 74.5, 76.5)]
    set_trials(document, "rear", widths)
    rest(document)
    qtbot.waitUntil(lambda: len(document.trials("rear")) == len(widths), timeout=60_000)
    searcher.stop()
    for width in widths:
        assert document.trials("rear")[width] == check(with_width(document.rig, "rear", width), only="rear").axles[0]
    shown = RuleBook(document).trials("rear")
    assert [each.width for each in shown] == widths
    assert [each.answer for each in shown] == [document.trials("rear")[width] for width in widths]


def test_a_width_that_cannot_be_says_why(qtbot: QtBot, document: Document, searcher: Searcher) -> None:
    set_trials(document, "rear", [300.0])
    rest(document)
    qtbot.waitUntil(lambda: 300.0 in document.trials("rear"))
    searcher.stop()
    assert "meet in the middle" in RuleBook(document).trials("rear")[0].problem


def test_the_button_adds_the_width_that_is_set_once(qtbot: QtBot, document: Document, strip: WidthStrip) -> None:
    qtbot.mouseClick(strip.add_button, LEFT)
    assert inches(document) == [72.0]
    assert not strip.add_button.isEnabled()
    assert strip.trials_button.text().endswith("(1)")
    set_width(document, "rear", 70.0 * INCH)
    qtbot.mouseClick(strip.add_button, LEFT)
    assert inches(document) == [70.0, 72.0]
    assert len(strip.plot._picture().scene.trials) == 2


def test_a_click_on_a_column_sets_its_width_as_one_undo_step(
    qtbot: QtBot, document: Document, strip: WidthStrip
) -> None:
    set_trials(document, "rear", [70.0 * INCH, 74.5 * INCH])
    qtbot.mouseClick(strip.trials_button, LEFT)
    table = strip.trials.table
    steps = document.undo_stack.count()
    place = table.visualRect(table.model().index(0, 1)).center()
    qtbot.mouseClick(table.viewport(), LEFT, pos=place)
    assert document.rig.axle("rear").width == 74.5 * INCH
    assert document.undo_stack.count() == steps + 1
    assert table.model().headerData(1, Qt.Orientation.Horizontal) == "74 1/2 in (set)"
    qtbot.keyClick(table, Qt.Key.Key_Left)
    qtbot.keyClick(table, Qt.Key.Key_Return)
    assert document.rig.axle("rear").width == 70.0 * INCH
    qtbot.keyClick(table, Qt.Key.Key_Delete)
    assert inches(document) == [74.5]
    document.undo_stack.undo()
    assert inches(document) == [70.0, 74.5]
    assert table.copied().splitlines()[0] == "\t70 in (set)\t74 1/2 in"


def test_trials_are_kept_with_the_rig_and_cost_no_answer(document: Document, tmp_path: Path) -> None:
    document.take_curve(document.rig, curve_of(document.rig))
    study = study_of(document)
    set_trials(document, "rear", [1800.0, 1750.0, 1800.0])
    assert document.width_curve("rear") is not None
    assert check(document.rig, only="rear", previous=study).axles[0] is study.axles[0]
    path = tmp_path / "tried.rig.json"
    write_rig(path, document.rig)
    assert read_rig(path).axle("rear").trial_widths == (1750.0, 1800.0)


def test_the_list_goes_out_as_a_table_once_it_is_checked(
    document: Document, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []
    monkeypatch.setattr(dialogs, "say", lambda _parent, what, _why: said.append(what))
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: tmp_path / "trials.csv")
    exports, book = Exports(QWidget(), document, lambda: tmp_path), RuleBook(document)
    exports.trials(book)
    set_trials(document, "rear", [1800.0])
    exports.trials(book)
    assert said == ["There are no widths on the trial list.", "The trial list is not checked yet."]
    document.take_trial(document.rig, "rear", 1800.0, "It binds.")
    exports.trials(book)
    (row,) = csv.DictReader((tmp_path / "trials.csv").read_text(encoding="utf-8").splitlines())
    assert (row["axle"], row["width_mm"], row["verdict"], row["problem"]) == ("rear", "1800.0", "unknown", "It binds.")
    assert len(said) == 2
