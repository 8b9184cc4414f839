"""Switches of the rules are remembered, and what is switched off breaks nothing."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import set_trials, set_width
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig, write_rig
from app.panels.verdict_line import VerdictLine
from app.rule_book import RuleBook
from app.trials import rows_of
from app.units import LengthUnit
from geometry.contact.findings import Verdict
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


def test_switches_belong_to_a_rig_and_go_with_its_file(tmp_path: Path) -> None:
    settings = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    one, other = (read_rig(path) for path in demo_rigs()[:2])
    document = Document(one, unit=LengthUnit.FRACTION)
    book = RuleBook(document, settings)
    book.switch("rail pocket", on=False)
    assert not RuleBook(Document(one, unit=LengthUnit.FRACTION), settings).is_on("rail pocket")
    assert RuleBook(Document(other, unit=LengthUnit.FRACTION), settings).is_on("rail pocket")
    write_rig(tmp_path / "other.rig.json", other)
    document.open(tmp_path / "other.rig.json")
    assert book.is_on("rail pocket")
    book.switch("clearance", on=False)
    document.open(tmp_path / "other.rig.json")
    assert not book.is_on("clearance")
    copied = Document(other, unit=LengthUnit.FRACTION)
    assert RuleBook(copied, settings).is_on("clearance")


def test_rules_that_are_off_are_counted_beside_those_that_hold() -> None:
    document = Document(read_rig(demo_rigs()[1]), unit=LengthUnit.FRACTION)
    book = RuleBook(document)
    set_trials(document, "rear", [1828.8])
    count = len(book.rules("rear"))
    for rule in book.rules("rear")[:2]:
        book.switch(rule.key, on=False)
    cells = {row.title: row.cells[0] for row in rows_of(document.rig, "rear", book.trials("rear"), LengthUnit.FRACTION)}
    assert (cells["Rules broken"].text, cells["Rules broken"].sign) == (
        f"none of the {count - 2} on; 2 off",
        Verdict.CLEAR,
    )
    for rule in book.rules("rear")[2:]:
        book.switch(rule.key, on=False)
    cells = {row.title: row.cells[0] for row in rows_of(document.rig, "rear", book.trials("rear"), LengthUnit.FRACTION)}
    assert (cells["Rules broken"].text, cells["Rules broken"].sign) == (f"none is on; {count} off", None)
