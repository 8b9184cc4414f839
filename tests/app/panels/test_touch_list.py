"""The touch list is the drawing in words: worst first, and choosing a row goes there."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import Gesture, set_width, with_axle
from app.panels.touch_list import COLUMNS, FOLLOWING, LINES_ROLE, TouchList, pair_name
from app.typeset import typeset
from app.units import LengthUnit
from geometry.contact.findings import Approach
from geometry.rig.layout import PartRef
from tests.app.panels.answers import HOOP, approach, study_of

FAR_BAR = PartRef("bar", "far", "", "far bar")


@pytest.fixture
def touches(qtbot: QtBot, document: Document) -> TouchList:
    touches = TouchList(document)
    qtbot.addWidget(touches)
    touches.resize(460, 300)
    with qtbot.waitActive(touches):
        touches.show()
    found = (approach(40.0, HOOP), approach(-6.0), approach(101.0, FAR_BAR, beyond=True))
    document.take_study(study_of(document, *found))
    return touches


def cell(touches: TouchList, row: int, column: str) -> str:
    return str(touches.model.index(row, COLUMNS.index(column)).data())


def click(qtbot: QtBot, touches: TouchList, row: int) -> None:
    place: QPoint = touches.table.visualRect(touches.model.index(row, COLUMNS.index("Pair"))).center()
    qtbot.mouseClick(touches.table.viewport(), Qt.MouseButton.LeftButton, pos=place)


def test_the_worst_pair_stands_first_and_far_ones_are_only_counted(touches: TouchList) -> None:
    assert [cell(touches, row, "Pair") for row in range(touches.model.rowCount())] == [
        "left rear tire to rub rail, left",
        "left rear tire to hoop, left",
    ]
    assert "1 more pair" in touches._note.text()


def test_a_row_says_everything_in_words(touches: TouchList) -> None:
    assert cell(touches, 0, "Verdict") == "touches"
    assert cell(touches, 0, "Clearance") == "-1/4 in"
    assert cell(touches, 0, "Wanted") == "3/4 in"
    assert "straight" in cell(touches, 0, "Bump left")
    assert "left" in cell(touches, 0, "Where")
    assert cell(touches, 1, "Verdict") == "clear"


def test_a_clearance_is_never_overstated(document: Document, touches: TouchList) -> None:
    document.take_study(study_of(document, approach(12.6)))
    assert cell(touches, 0, "Clearance") == "7/16 in"


def test_choosing_a_row_poses_the_rig_and_selects_the_pair(
    qtbot: QtBot, document: Document, touches: TouchList
) -> None:
    asked: list[Approach] = []
    touches.spot_chosen.connect(asked.append)
    click(qtbot, touches, 0)
    found = touches.model.rows[0]
    assert document.pose("rear") == found.pose
    assert document.selection == pair_name(found)
    assert asked == [found]
    assert document.undo_stack.count() == 0


def test_rows_are_chosen_by_key_as_well(qtbot: QtBot, document: Document, touches: TouchList) -> None:
    click(qtbot, touches, 0)
    qtbot.keyClick(touches.table, Qt.Key.Key_Down)
    assert document.selection == pair_name(touches.model.rows[1])


def test_choosing_a_chosen_row_again_goes_there_again(qtbot: QtBot, document: Document, touches: TouchList) -> None:
    click(qtbot, touches, 0)
    document.set_pose("rear", type(document.pose("rear"))())
    click(qtbot, touches, 0)
    assert document.pose("rear") == touches.model.rows[0].pose


def test_the_pair_selected_elsewhere_is_marked(document: Document, touches: TouchList) -> None:
    document.select(pair_name(touches.model.rows[1]))
    assert [index.row() for index in touches.table.selectionModel().selectedRows()] == [1]
    document.select(None)
    assert not touches.table.selectionModel().selectedRows()


def test_rows_about_the_rig_as_it_was_are_greyed_and_named_so(document: Document, touches: TouchList) -> None:
    set_width(document, "rear", 1750.0)
    assert not touches.table.isEnabled()
    assert "as it was" in touches._note.text()
    document.take_study(study_of(document, approach(5.0)))
    assert touches.table.isEnabled()
    assert touches.model.rowCount() == 1


def test_in_a_gesture_rows_follow_greyed_and_are_the_last_ones_at_rest(
    qtbot: QtBot, document: Document, touches: TouchList
) -> None:
    gesture = Gesture(document, "Change width")
    for width in (1750.0, 1760.0):
        gesture.preview(with_axle(document.rig, "rear", width=width))
        document.take_study(study_of(document, approach(5.0)))
        assert not touches.table.isEnabled()
        assert touches._note.text() == FOLLOWING
        assert touches.model.rowCount() == 2
    gesture.commit()
    qtbot.waitUntil(touches.table.isEnabled)
    assert touches.model.rowCount() == 1


def test_the_unit_reaches_every_cell(document: Document, touches: TouchList) -> None:
    document.set_unit(LengthUnit.MM)
    for row in range(touches.model.rowCount()):
        assert all(" in" not in cell(touches, row, column) for column in ("Clearance", "Wanted", "Bump left", "Where"))
    assert cell(touches, 0, "Clearance") == "-6.0 mm"


def test_rows_can_be_copied(qtbot: QtBot, touches: TouchList) -> None:
    click(qtbot, touches, 0)
    qtbot.keyClick(touches.table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    head, row = QGuiApplication.clipboard().text().splitlines()
    assert head.split("\t") == list(COLUMNS)
    assert row.startswith("touches\tleft rear tire to rub rail, left\t-1/4 in\t")


@pytest.mark.parametrize("width", [338, 470])
def test_pose_and_bump_left_are_in_sight_without_scrolling_sideways(touches: TouchList, width: int) -> None:
    touches.resize(width, 300)
    table = touches.table
    assert table.horizontalScrollBar().maximum() == 0
    shown = [column for column in range(len(COLUMNS)) if not table.isColumnHidden(column)]
    lines = [line for column in shown for line in touches.model.index(0, column).data(LINES_ROLE)]
    for column in COLUMNS:
        assert any(typeset(cell(touches, 0, column)) in line for line in lines), column
    for column in shown:
        box = table.visualRect(touches.model.index(0, column))
        assert box.right() <= table.viewport().width()
        assert table.itemDelegate().height(touches.model.index(0, column), box.width()) <= box.height()


def test_a_row_is_read_out_whole(touches: TouchList) -> None:
    index = touches.model.index(0, COLUMNS.index("Pair"))
    words = index.data(Qt.ItemDataRole.AccessibleTextRole)
    assert all(cell(touches, 0, column) in words for column in ("Pair", "Verdict", "Where", "Bump left"))


def test_an_axle_that_cannot_be_established_is_said(document: Document, touches: TouchList) -> None:
    document.take_study(study_of(document, problem="The rear axle binds at 3 in of droop."))
    assert "binds" in touches._note.text()


def test_every_row_is_as_high_as_its_lines_however_wide_the_list_is(qtbot: QtBot, document: Document) -> None:
    touches = TouchList(document)
    qtbot.addWidget(touches)
    touches.resize(330, 300)
    touches.show()
    document.take_study(study_of(document, *(approach(-3.0 - step) for step in range(12))))
    table = touches.table
    cells = table.itemDelegate()

    def fits(row: int) -> bool:
        return table.rowHeight(row) >= cells.height(touches.model.index(row, 1), table.columnWidth(1))

    for width in (330, 260, 420, 300):
        touches.resize(width, 300)
        qtbot.waitUntil(lambda: all(map(fits, range(touches.model.rowCount()))), timeout=1000)
