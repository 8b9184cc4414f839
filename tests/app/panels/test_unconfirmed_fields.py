from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QSettings, Qt
from PySide6.QtWidgets import QMenu
from pytestqt.qtbot import QtBot

from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.details import Details
from app.units import LengthUnit
from app.window import MainWindow
from geometry.rig.layout import PartRef

MARKS = ("axles/rear/bump", "axles/rear/rods/lower-left/od", "axles/front/bump", "wanted/tire_bar", "bars/main-hoop/od")


@pytest.fixture
def document() -> Document:
    return Document(replace(read_rig(demo_rigs()[0]), unconfirmed=MARKS), unit=LengthUnit.FRACTION)


@pytest.fixture
def details(qtbot: QtBot, document: Document) -> Details:
    shown = Details(document)
    shown.resize(420, 1400)
    qtbot.addWidget(shown)
    with qtbot.waitActive(shown):
        shown.show()
    return shown


def test_marks_stand_at_the_fields_whose_values_are_unconfirmed_and_no_other(
    details: Details, document: Document
) -> None:
    bump, droop = details.axle.travel["bump"], details.axle.travel["droop"]
    assert bump.mark.isVisible()
    assert bump.line.font().italic()
    assert "Enter confirms it" in bump.line.accessibleDescription()
    assert not droop.mark.isVisible()
    assert not droop.line.font().italic()
    assert droop.line.accessibleDescription() == ""
    assert details.wanted.fields["tire_bar"].mark.isVisible()
    assert not details.wanted.fields["tire_panel"].mark.isVisible()
    document.set_active_axle("front")
    assert details.axle.travel["bump"].mark.isVisible()


def test_the_mark_confirms_its_field_in_one_step_and_keeps_the_value(
    qtbot: QtBot, details: Details, document: Document
) -> None:
    bump = document.rig.axle("rear").bump
    qtbot.mouseClick(details.axle.travel["bump"].mark, Qt.MouseButton.LeftButton)
    assert document.rig.unconfirmed == MARKS[1:]
    assert document.rig.axle("rear").bump == bump
    assert document.undo_stack.undoText() == "Confirm bump"
    assert not details.axle.travel["bump"].mark.isVisible()
    document.undo_stack.undo()
    assert details.axle.travel["bump"].mark.isVisible()


def test_enter_in_a_marked_field_confirms_it_and_in_another_does_nothing(
    qtbot: QtBot, details: Details, document: Document
) -> None:
    qtbot.keyClick(details.wanted.fields["tire_panel"].line, Qt.Key.Key_Return)
    assert document.undo_stack.count() == 0
    qtbot.keyClick(details.wanted.fields["tire_bar"].line, Qt.Key.Key_Return)
    assert "wanted/tire_bar" not in document.rig.unconfirmed
    assert document.undo_stack.undoText() == "Confirm tire to bar clearance"


def test_a_value_that_is_typed_is_confirmed_in_the_same_step(
    qtbot: QtBot, details: Details, document: Document
) -> None:
    line = details.axle.travel["bump"].line
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, "5")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert document.rig.unconfirmed == MARKS[1:]
    assert document.undo_stack.count() == 1


def test_an_axle_is_confirmed_whole_with_its_links(qtbot: QtBot, details: Details, document: Document) -> None:
    qtbot.mouseClick(details.axle.confirm_button, Qt.MouseButton.LeftButton)
    assert document.rig.unconfirmed == MARKS[2:]
    assert document.undo_stack.undoText() == "Confirm rear axle"
    assert not details.axle.confirm_button.isVisible()


def test_the_menu_confirms_what_is_chosen_and_everything(qtbot: QtBot, document: Document, tmp_path: str) -> None:
    settings = QSettings(f"{tmp_path}/settings.ini", QSettings.Format.IniFormat)
    window = MainWindow(document, settings)
    qtbot.addWidget(window, before_close_func=lambda each: each.document.undo_stack.setClean())
    edit = next(menu for menu in window.menuBar().findChildren(QMenu) if menu.title() == "&Edit")
    chosen, everything = (
        next(action for action in edit.actions() if action.text().replace("&", "") == text)
        for text in ("Confirm chosen parts", "Confirm all values")
    )
    edit.aboutToShow.emit()
    assert (chosen.isEnabled(), everything.isEnabled()) == (False, True)
    document.choose([PartRef("bar", "main-hoop", "", "main hoop")])
    edit.aboutToShow.emit()
    chosen.trigger()
    assert document.rig.unconfirmed == MARKS[:4]
    everything.trigger()
    assert document.rig.unconfirmed == ()
    edit.aboutToShow.emit()
    assert not everything.isEnabled()
    window.searcher.stop()
