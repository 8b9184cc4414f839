"""The verdict line never shows an old answer as new."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import Gesture, set_width, with_axle
from app.panels.verdict_line import VerdictLine
from app.typeset import typeset
from app.units import LengthUnit
from app.wording import verdict_sentence
from geometry.contact.findings import Verdict
from tests.app.panels.answers import approach, study_of


@pytest.fixture
def line(qtbot: QtBot, document: Document) -> VerdictLine:
    line = VerdictLine(document)
    qtbot.addWidget(line)
    line.show()
    return line


def test_without_an_answer_it_says_that_it_is_checking(line: VerdictLine) -> None:
    assert "Checking" in line.sentence.text()
    assert line.symbol.verdict is None


def test_an_answer_is_shown_with_its_word_and_shape(document: Document, line: VerdictLine) -> None:
    study = study_of(document, approach(-6.0))
    document.take_study(study)
    assert line.sentence.text() == typeset(verdict_sentence(study, LengthUnit.FRACTION))
    assert line.symbol.verdict is Verdict.CONTACT
    assert line.symbol.accessibleName() == "touches"
    assert not line.checking.isVisible()


def test_a_change_takes_the_old_answer_away_at_once(document: Document, line: VerdictLine) -> None:
    document.take_study(study_of(document, approach(-6.0)))
    set_width(document, "rear", 1750.0)
    assert "Touches" not in line.sentence.text()
    assert line.symbol.verdict is None
    assert line.checking.isVisible()


def test_a_stale_answer_is_dropped(document: Document, line: VerdictLine) -> None:
    old = study_of(document, approach(-6.0))
    set_width(document, "rear", 1750.0)
    assert not document.take_study(old)
    assert "Checking" in line.sentence.text()


def test_in_a_drag_an_answer_names_the_width_that_it_is_about(document: Document, line: VerdictLine) -> None:
    gesture = Gesture(document, "Drag")
    gesture.preview(with_axle(document.rig, "rear", width=68.0 * 25.4))
    first = study_of(document, approach(3.0))
    gesture.preview(with_axle(document.rig, "rear", width=69.0 * 25.4))
    document.take_study(first)
    assert line.sentence.text().startswith(typeset("At 68 in: "))
    assert line.checking.isVisible()
    gesture.commit()
    assert line.checking.isVisible()
    document.take_study(study_of(document, approach(5.0)))
    assert not line.sentence.text().startswith("At")
    assert not line.checking.isVisible()


def test_a_search_that_failed_is_not_established(document: Document, line: VerdictLine) -> None:
    line.show_problem(document.revision, "the rods bind.")
    assert line.sentence.text() == "Not established: the rods bind."
    assert line.symbol.verdict is Verdict.UNKNOWN
    set_width(document, "rear", 1750.0)
    assert "Not established" not in line.sentence.text()


def test_the_unit_reaches_the_sentence(document: Document, line: VerdictLine) -> None:
    document.take_study(study_of(document, approach(-6.0)))
    document.set_unit(LengthUnit.MM)
    assert "mm" in line.sentence.text()
    assert " in " not in line.sentence.text().replace("left in", "")


def test_a_new_verdict_is_read_out_once_a_second_at_most(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, document: Document, line: VerdictLine
) -> None:
    said: list[str] = []
    monkeypatch.setattr(
        "app.panels.verdict_line.QAccessible.updateAccessibility", lambda event: said.append(event.message())
    )
    for clearance in (-6.0, -5.0, -4.0):
        document.take_study(study_of(document, approach(clearance)))
        line.refresh()
    qtbot.waitUntil(lambda: bool(said))
    last = line.sentence.text()
    assert said == [last]
    line.refresh()
    qtbot.wait(50)
    assert said == [last]
