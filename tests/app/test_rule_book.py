"""Switches of the rules are remembered, and what is switched off breaks nothing."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import set_width
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.verdict_line import VerdictLine
from app.rule_book import RuleBook
from app.units import LengthUnit
from tests.app.panels.answers import approach, study_of


def test_switches_last_and_count_for_what_is_broken(qtbot: QtBot, tmp_path: Path) -> None:
    settings = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    document = Document(read_rig(demo_rigs()[1]), unit=LengthUnit.FRACTION)
    book = RuleBook(document, settings)
    line = VerdictLine(document, book)
    qtbot.addWidget(line)
    set_width(document, "rear", 1925.0)
    document.take_study(study_of(document, approach(30.0)))
    assert line.sentence.text().endswith(" The rear axle breaks rail pocket.")
    assert [rule.key for rule in book.broken("rear")] == ["rail pocket"]
    with qtbot.waitSignal(book.switched):
        book.switch("rail pocket", on=False)
    assert book.broken("rear") == ()
    assert "breaks" not in line.sentence.text()
    again = RuleBook(document, settings)
    assert not again.is_on("rail pocket")
    assert again.is_on("trail limit/quarry-gate")
    again.switch("rail pocket", on=True)
    assert RuleBook(document, settings).is_on("rail pocket")
