from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import Gesture, change_rig
from app.panels.notes_list import NotesList, note_words
from app.units import LengthUnit
from geometry.rig.parts import Bar, Node, Point
from geometry.rig.rig import Rig
from geometry.sketch.notes import NoteKind, find_notes


def with_strut(rig: Rig, number: int, up: Point) -> Rig:
    """A rig with one more bar, from the shoulder to a node of its own."""
    strut = Bar(id=f"strut-{number}", nodes=("hoop-2", f"up-{number}"), od=38.1, wall=3.0)
    return replace(rig, nodes=(*rig.nodes, Node(id=f"up-{number}", at=up)), bars=(*rig.bars, strut))


@pytest.fixture
def faulty(document: Document) -> Rig:
    """A near miss, which has a mend, and a loose end, which has none."""
    near = next(node.at for node in document.rig.nodes if node.id == "stay-1")
    return with_strut(with_strut(document.rig, 1, (near[0], near[1], near[2] + 70.0)), 2, (600.0, 500.0, 2500.0))


@pytest.fixture
def panel(qtbot: QtBot, document: Document) -> NotesList:
    shown = NotesList(document)
    qtbot.addWidget(shown)
    with qtbot.waitActive(shown):
        shown.show()
    return shown


def texts(panel: NotesList) -> list[str]:
    return [panel.list.item(row).text().replace("\u00a0", " ") for row in range(panel.list.count())]


def test_without_notes_it_says_so_and_offers_nothing(qtbot: QtBot, panel: NotesList) -> None:
    with qtbot.waitSignal(panel.counted) as counted:
        pass
    assert counted.args == [0]
    assert panel.head.text().startswith("No notes")
    assert not panel.list.isVisible()
    assert not panel.mend_button.isVisible()


def test_notes_follow_the_rig_and_speak_the_unit_of_the_screen(
    qtbot: QtBot, panel: NotesList, document: Document, faulty: Rig
) -> None:
    with qtbot.waitSignal(panel.counted) as counted:
        change_rig(document, faulty, "Draw bars")
    assert counted.args == [2]
    assert texts(panel) == [note_words(note, LengthUnit.FRACTION) for note in find_notes(faulty)]
    assert " in at node up-1.\nMend: bring the end there." in texts(panel)[0]
    assert texts(panel)[1].endswith("within 2 in of it.\nYours to settle.")
    document.set_unit(LengthUnit.MM)
    assert " mm at node up-1." in texts(panel)[0]
    with qtbot.waitSignal(panel.counted) as counted:
        document.undo_stack.undo()
    assert counted.args == [0]


def test_choosing_a_note_chooses_its_parts_and_tells_where_it_is(
    qtbot: QtBot, panel: NotesList, document: Document, faulty: Rig
) -> None:
    change_rig(document, faulty, "Draw bars")
    panel.look()
    panel.list.setFocus()
    with qtbot.waitSignal(panel.place_chosen) as chosen:
        qtbot.keyClick(panel.list, Qt.Key.Key_Down)
        qtbot.keyClick(panel.list, Qt.Key.Key_Down)
    assert chosen.args[0] in {note.at for note in panel.notes}
    assert document.chosen == panel.notes[panel.list.currentRow()].parts
    assert document.undo_stack.count() == 1


def test_a_mend_is_one_step_that_undo_takes_back_and_the_next_note_follows(
    qtbot: QtBot, panel: NotesList, document: Document, faulty: Rig
) -> None:
    change_rig(document, faulty, "Draw bars")
    panel.look()
    panel.list.setCurrentRow(0)
    assert panel.mend_button.isEnabled()
    panel.mend_button.setFocus()
    qtbot.keyClick(panel.mend_button, Qt.Key.Key_Space)
    assert [note.kind for note in find_notes(document.rig)] == [NoteKind.LOOSE_END]
    assert document.undo_stack.count() == 2
    assert document.undo_stack.undoText() == "Mend near miss"
    assert panel.list.currentRow() == 0
    assert not panel.mend_button.isEnabled()
    assert panel.list.hasFocus()
    document.undo_stack.undo()
    assert document.rig == faulty


def test_a_mend_that_cannot_be_is_said_and_changes_nothing(panel: NotesList, document: Document, faulty: Rig) -> None:
    change_rig(document, faulty, "Draw bars")
    panel.look()
    panel.notes = (replace_mend(panel), *panel.notes[1:])
    panel.list.setCurrentRow(0)
    panel.mend()
    assert panel.problem.text().startswith("This cannot be mended so: ")
    assert document.rig == faulty


def replace_mend(panel: NotesList) -> object:
    from dataclasses import replace as changed

    return changed(panel.notes[0], mend=lambda rig: replace(rig, nodes=()))


def test_the_chosen_note_stays_the_current_one_while_others_come(
    panel: NotesList, document: Document, faulty: Rig
) -> None:
    change_rig(document, faulty, "Draw bars")
    panel.look()
    panel.list.setCurrentRow(1)
    current = panel.notes[1]
    change_rig(document, with_strut(faulty, 3, (900.0, 500.0, 2500.0)), "Draw bar")
    panel.look()
    assert panel.notes[panel.list.currentRow()].problem == current.problem


def test_a_drag_is_left_alone_until_it_rests(panel: NotesList, document: Document, faulty: Rig) -> None:
    panel.look()
    gesture = Gesture(document, "Drag")
    gesture.preview(faulty)
    panel.look()
    assert panel.notes == ()
    gesture.commit()
    panel.look()
    assert len(panel.notes) == 2
