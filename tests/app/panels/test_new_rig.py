from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.panels.new_rig import NewRigDialog
from app.units import LengthUnit
from geometry.sketch.start import start_rig
from geometry.sketch.start_numbers import Locating, StartNumbers


@pytest.fixture
def dialog(qtbot: QtBot) -> NewRigDialog:
    shown = NewRigDialog(LengthUnit.FRACTION)
    qtbot.addWidget(shown)
    with qtbot.waitActive(shown):
        shown.show()
    return shown


def enter(qtbot: QtBot, dialog: NewRigDialog, name: str, text: str) -> None:
    line = dialog.fields[name].line
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Tab)


def test_enter_at_once_gives_a_rig(qtbot: QtBot, dialog: NewRigDialog) -> None:
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert dialog.rig == start_rig(StartNumbers())
    assert not dialog.isVisible()


def test_what_is_typed_in_any_field_goes_into_the_numbers(qtbot: QtBot, dialog: NewRigDialog) -> None:
    enter(qtbot, dialog, "wheelbase", "2700 mm")
    enter(qtbot, dialog, "tire_size", "35x12.50R17")
    enter(qtbot, dialog, "offset", "-1 1/2")
    enter(qtbot, dialog, "front_width", "5' 8\"")
    dialog.locating["rear"].setCurrentIndex(dialog.locating["rear"].findData(Locating.WISHBONE))
    qtbot.mouseClick(dialog.steered, Qt.MouseButton.LeftButton, pos=dialog.steered.rect().center() * 0.2)
    qtbot.mouseClick(dialog.create_button, Qt.MouseButton.LeftButton)
    assert dialog.numbers == StartNumbers(
        wheelbase=2700.0,
        tire_size="35x12.50R17",
        offset=-38.1,
        front_width=1727.2,
        rear=Locating.WISHBONE,
        steered=dialog.steered.isChecked(),
    )
    assert dialog.rig == start_rig(dialog.numbers)


def test_what_does_not_work_is_said_beside_its_field_in_the_unit_of_the_screen_and_makes_no_rig(
    qtbot: QtBot, dialog: NewRigDialog
) -> None:
    enter(qtbot, dialog, "wheelbase", "59")
    field = dialog.fields["wheelbase"]
    assert field.error.isVisible()
    said = field.error.text().replace("\u00a0", " ")
    assert said.startswith("A wheelbase of 59 in is too short")
    qtbot.keyClick(dialog.fields["belly"].line, Qt.Key.Key_Return)
    assert dialog.rig is None
    assert dialog.isVisible()
    assert QApplication.focusWidget() is field.line
    nearest = said.rpartition("works is ")[2].removesuffix(" in.")
    enter(qtbot, dialog, "wheelbase", nearest)
    assert not field.error.isVisible()
    qtbot.keyClick(field.line, Qt.Key.Key_Return)
    assert dialog.rig is not None


def test_text_that_cannot_be_read_stays_with_its_reason_whatever_else_is_entered(
    qtbot: QtBot, dialog: NewRigDialog
) -> None:
    enter(qtbot, dialog, "bump", "five")
    said = dialog.fields["bump"].error.text()
    assert said
    enter(qtbot, dialog, "droop", "5")
    assert dialog.fields["bump"].line.text() == "five"
    assert dialog.fields["bump"].error.text() == said
    qtbot.mouseClick(dialog.create_button, Qt.MouseButton.LeftButton)
    assert dialog.rig is None
    qtbot.keyClick(dialog.fields["bump"].line, Qt.Key.Key_Escape)
    assert dialog.isVisible()
    qtbot.keyClick(dialog.fields["bump"].line, Qt.Key.Key_Return)
    assert dialog.rig is not None


def test_create_shows_the_problem_of_every_field_at_once_and_blames_no_field_for_another(
    qtbot: QtBot, dialog: NewRigDialog
) -> None:
    wrong = {"wheelbase": "10", "bump": "0", "rear_width": "5", "tire_size": "huge", "offset": "four"}
    for name, text in wrong.items():
        enter(qtbot, dialog, name, text)
    qtbot.mouseClick(dialog.create_button, Qt.MouseButton.LeftButton)
    assert dialog.rig is None
    assert {name for name, field in dialog.fields.items() if field.error.isVisible()} == set(wrong)
    said = dialog.fields["wheelbase"].error.text().replace("\u00a0", " ")
    assert "too short" in said
    assert "at least" in said
    for name in wrong:
        enter(qtbot, dialog, name, {"tire_size": "37x12.50R17", "bump": "5", "offset": "0"}.get(name, "100"))
    assert not any(field.error.isVisible() for field in dialog.fields.values())
    qtbot.mouseClick(dialog.create_button, Qt.MouseButton.LeftButton)
    assert dialog.rig is not None


def test_a_field_that_only_another_ones_value_would_spoil_is_left_alone(qtbot: QtBot, dialog: NewRigDialog) -> None:
    enter(qtbot, dialog, "bump", "400")
    enter(qtbot, dialog, "offset", "90")
    assert [name for name, field in dialog.fields.items() if field.error.isVisible()] == ["bump", "offset"]


def test_a_problem_is_shown_whole(qtbot: QtBot, dialog: NewRigDialog) -> None:
    enter(qtbot, dialog, "tire_size", "37x")
    enter(qtbot, dialog, "wheelbase", "59")
    for name in ("tire_size", "wheelbase"):
        error = dialog.fields[name].error
        qtbot.waitUntil(lambda error=error: error.height() >= error.heightForWidth(error.width()))


def test_tab_reaches_everything_in_the_order_of_reading_and_everything_has_a_name(dialog: NewRigDialog) -> None:
    order: list[QWidget] = []
    widget = dialog.fields["wheelbase"].line
    while widget not in order:
        order.append(widget)
        widget.setFocus()
        dialog.focusNextChild()
        widget = QApplication.focusWidget()
    inputs = [w for kind in (QLineEdit, QComboBox, QPushButton) for w in dialog.findChildren(kind) if w.isVisible()]
    assert set(order) == {*inputs, dialog.steered}
    for one in order:
        assert QAccessible.queryAccessibleInterface(one).text(QAccessible.Text.Name)
    names = [name for name, field in dialog.fields.items() if field.line in order]
    assert sorted(names, key=lambda name: order.index(dialog.fields[name].line)) == [
        *("wheelbase", "belly", "bump", "droop", "rear_width", "front_width", "tire_size", "rim_width", "offset")
    ]
