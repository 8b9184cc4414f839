from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialogButtonBox
from pytestqt.qtbot import QtBot

from app import dialogs
from app.conversion import write_frame
from app.document import Document
from app.files.csv_tables import write_table
from app.files.drawing import Halves
from app.files.dxf import read_drawing
from app.files.imported import Link
from app.importing.form import LAYER, OD, WALL
from app.importing.preview import ImportPreview
from app.importing.source import Drawn, Tables
from app.keeping.rig_files import RigFiles
from app.units import LengthUnit
from app.window import MainWindow
from geometry.rig.parts import Node
from tests.app.files.drawings import empty, written
from tests.geometry.rig.rigs import small_rig


@pytest.fixture
def document() -> Document:
    return Document(small_rig(), unit=LengthUnit.INCH)


def drawn(units: int = 1) -> Drawn:
    sheet = empty("R2010", units)
    space = sheet.modelspace()
    for side in (28, -28):
        space.add_line((30, side, 22), (110, side, 22), {"layer": "rails 2x0.120"})
        space.add_line((30, side, 22), (30, side, 60), {"layer": "hoops"})
    return Drawn("frame.dxf", read_drawing(written(sheet)))


def preview(qtbot: QtBot, document: Document, source: Drawn | Tables) -> ImportPreview:
    dialog = ImportPreview(document, source)
    qtbot.addWidget(dialog)
    return dialog


def may_import(dialog: ImportPreview) -> bool:
    return dialog.buttons.button(QDialogButtonBox.StandardButton.Ok).isEnabled()


def test_an_import_is_one_step_and_undo_brings_the_rig_back(qtbot: QtBot, document: Document) -> None:
    before = document.rig
    dialog = preview(qtbot, document, drawn())
    assert "Came in: 3 nodes, 2 bars." in dialog.report.toPlainText()
    assert document.rig == before
    dialog.accept()
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == "Import frame.dxf"
    new = document.rig.bars[len(before.bars) :]
    assert sorted((bar.od, bar.mirrored) for bar in new) == [(44.45, True), (50.8, True)]
    document.undo_stack.undo()
    assert document.rig == before


def test_the_rest_of_the_chassis_goes_when_that_is_chosen(qtbot: QtBot, document: Document) -> None:
    dialog = preview(qtbot, document, drawn())
    dialog.instead.setChecked(True)
    assert not may_import(dialog)
    dialog.accept()
    assert len(document.rig.bars) == 2
    assert not document.rig.panels


def test_what_is_chosen_shows_at_once(qtbot: QtBot, document: Document) -> None:
    source = drawn()
    dialog = preview(qtbot, document, source)
    form = dialog.form
    assert form is not None
    assert form.halves.currentData() == Halves.PAIRS
    form.halves.setCurrentIndex(0)
    form.halves.activated.emit(0)
    form.swapped.setChecked(True)
    for field, text in ((form.origin[0], "10"), (form.join, "1/8"), (form.od, "1.5"), (form.wall, ".095")):
        field.line.setFocus()
        field.line.clear()
        qtbot.keyClicks(field.line, text)
        qtbot.keyClick(field.line, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: may_import(dialog))
    assert dialog.found is not None
    parts = dialog.found.imported
    assert source.join == 3.175
    assert len(parts.bars) == 4
    assert {node.at[0] for node in parts.nodes} == {1016.0, 3048.0}
    assert {abs(node.at[1]) for node in parts.nodes} == {711.2}
    assert {(round(bar.od, 6), round(bar.wall, 6)) for bar in parts.bars} == {(50.8, 3.048), (38.1, 2.413)}


def test_enter_in_a_field_is_for_the_field_and_what_it_refuses_holds_the_import_up(
    qtbot: QtBot, document: Document
) -> None:
    dialog = preview(qtbot, document, drawn())
    with qtbot.waitActive(dialog):
        dialog.show()
    assert dialog.form is not None
    line = dialog.form.join.line
    for text in ("1/0", "1/8"):
        line.setFocus()
        line.selectAll()
        qtbot.keyClicks(line, text)
        qtbot.keyClick(line, Qt.Key.Key_Return)
        qtbot.keyClick(line, Qt.Key.Key_Return)
        assert dialog.isVisible()
        assert document.undo_stack.count() == 0
        if text == "1/0":
            dialog.accept()
            assert dialog.isVisible()
    dialog.accept()
    assert document.undo_stack.count() == 1


def test_layers_are_left_out_and_get_sizes_in_the_table(qtbot: QtBot, document: Document) -> None:
    source = drawn()
    dialog = preview(qtbot, document, source)
    table = dialog.form.layers  # type: ignore[union-attr]
    hoops, rails = (table.item(row, LAYER) for row in (0, 1))
    assert (hoops.text(), table.item(1, OD).text(), table.item(1, WALL).text()) == ("hoops", "2.000 in", "0.120 in")
    table.item(1, OD).setText("abc")
    assert dialog.problem.text().startswith("Layer “rails 2x0.120”: “abc”")
    table.item(1, OD).setText("40 mm")
    assert source.choices.tubes == {"rails 2x0.120": pytest.approx((40.0, 3.048))}
    hoops.setCheckState(Qt.CheckState.Unchecked)
    dialog.look()
    assert dialog.found is not None
    assert [bar.od for bar in dialog.found.imported.bars] == [40.0]
    rails.setCheckState(Qt.CheckState.Unchecked)
    dialog.look()
    assert dialog.found is None
    assert dialog.problem.text().startswith("There is nothing in it that can be a bar")


def test_a_drawing_without_a_unit_waits_for_one(qtbot: QtBot, document: Document) -> None:
    dialog = preview(qtbot, document, drawn(0))
    assert not may_import(dialog)
    assert dialog.problem.text() == "The drawing does not say its unit; choose it."
    dialog.accept()
    assert document.undo_stack.count() == 0
    dialog.unit.setCurrentIndex(dialog.unit.findData("in"))
    dialog.unit.activated.emit(dialog.unit.currentIndex())
    dialog.accept()
    assert {bar.od for bar in document.rig.bars} >= {50.8}


def test_tables_ask_for_the_unit_that_their_header_lacks(qtbot: QtBot, document: Document) -> None:
    dialog = preview(qtbot, document, Tables("points.csv", b"node,x,y,z\nnew,1,2,3\n"))
    assert "has no unit" in dialog.problem.text()
    dialog.unit.setCurrentIndex(dialog.unit.findData("mm"))
    dialog.unit.activated.emit(dialog.unit.currentIndex())
    dialog.accept()
    assert document.rig.nodes[-1] == Node(id="new", at=(1.0, 2.0, 3.0))
    said = preview(qtbot, document, Tables("points.csv", b"node,x [mm],y [mm],z [mm]\nnew,1,2,3\n"))
    assert not said.unit.isEnabled()


def test_what_cannot_be_one_rig_is_told_and_nothing_is_changed(qtbot: QtBot, document: Document) -> None:
    dialog = preview(qtbot, document, Tables("bars.csv", b"bar,nodes,od [mm],wall [mm]\nb,a nowhere,40,2\n"))
    assert dialog.problem.text().startswith("Line 2, bar b: there is no node “nowhere”")
    assert not may_import(dialog)
    dialog.accept()
    assert document.rig == small_rig()


def test_every_input_has_a_name(qtbot: QtBot, document: Document) -> None:
    dialog = preview(qtbot, document, drawn())
    form = dialog.form
    assert form is not None
    boxes = [dialog.unit, dialog.report, form.forward, form.up, form.halves, form.layers]
    fields = [*form.origin, form.join, form.od, form.wall]
    assert all(widget.accessibleName() for widget in [*boxes, *(field.line for field in fields)])


# From the menu


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, document: Document, monkeypatch: pytest.MonkeyPatch) -> MainWindow:
    shown = MainWindow(document, QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat))
    qtbot.addWidget(shown)
    monkeypatch.setattr(ImportPreview, "exec", ImportPreview.accept)
    monkeypatch.setattr(RigFiles, "may_discard", lambda _: True)
    return shown


@pytest.mark.parametrize("ending", [".csv", ".dxf"])
def test_what_the_menu_exports_it_imports_again_to_the_same_rig(
    window: MainWindow, tmp_path: Path, ending: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / f"frame{ending}"
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: path)
    monkeypatch.setattr(dialogs, "ask_open", lambda *_: path)
    window.exports.frame(ending)
    window.import_file()
    assert window.document.rig == small_rig()
    assert window.document.undo_stack.count() == 0


def test_a_file_that_cannot_be_used_is_told_in_a_sentence_and_the_rig_stays(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "frame.dxf"
    write_frame(path, small_rig())
    path.write_bytes(path.read_bytes()[100:900])
    said: list[str] = []
    monkeypatch.setattr(dialogs, "ask_open", lambda *_: path)
    monkeypatch.setattr(dialogs, "say", lambda _parent, what, why: said.append(f"{what} {why}"))
    window.import_file()
    assert len(said) == 1
    assert said[0].startswith("frame.dxf cannot be imported. ")
    assert window.document.rig == small_rig()


def test_a_copied_table_comes_in(window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    QGuiApplication.clipboard().setText(write_table("node", [Node(id="new", at=(1.0, 2.0, 3.0))], delimiter="\t"))
    window.paste_table()
    assert window.document.rig.nodes[-1].id == "new"
    said: list[str] = []
    monkeypatch.setattr(dialogs, "say", lambda _parent, what, why: said.append(f"{what} {why}"))
    QGuiApplication.clipboard().setText("hello")
    window.paste_table()
    assert said[0].startswith("What was copied is no table that can come in. Line 1: no table begins here")


def test_links_that_do_not_fit_are_left_out_until_they_are_asked_for(qtbot: QtBot, document: Document) -> None:
    rods = [replace(rod, id=f"other-{rod.id}") for rod in document.rig.axles[0].rods]
    links = [Link(axle=document.rig.axles[0].id, rod=rod) for rod in rods]
    node = Node(id="fresh", at=(0.0, 0.0, 900.0))
    table = "\n".join([write_table("node", [node], delimiter=","), write_table("link", links, delimiter=",")])
    dialog = preview(qtbot, document, Tables("frame.csv", table.encode()))
    assert may_import(dialog)
    assert not dialog.links.isHidden()
    assert not dialog.links.isChecked()
    assert dialog.report.toPlainText().startswith("Came in: 1 node.\nLeft out: 4 links, for they do not fit the axles")
    dialog.links.click()
    dialog.look()
    assert not may_import(dialog)
    dialog.links.click()
    dialog.look()
    assert "Left out: 4 links, as was chosen." in dialog.report.toPlainText()
    before = document.rig.axles
    dialog.accept()
    assert document.rig.axles == before
    assert document.rig.nodes[-1] == node
