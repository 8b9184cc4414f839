"""The panel of numbers: what it shows is what geometry says of the rig on display, and nothing old passes for new."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QTreeWidgetItem
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import Gesture, set_width
from app.figures import groups as made_groups
from app.figures.groups import group
from app.figures.words import rows
from app.panels import plan_panel
from app.panels.plan_lines import Line
from app.panels.plan_panel import PlanPanel
from app.panels.plan_tree import line_of
from app.study import with_width
from app.typeset import typeset
from app.units import LengthUnit
from tests.app.figures.plans import PERCH, planned_rig


@pytest.fixture
def panel(qtbot: QtBot) -> Iterator[PlanPanel]:
    """The panel beside a rig of which everything is known."""
    made = PlanPanel(Document(planned_rig(steered=True), unit=LengthUnit.FRACTION))
    made.resize(420, 500)
    qtbot.addWidget(made)
    made.show()
    yield made
    made._pool.waitForDone()


def document(panel: PlanPanel) -> Document:
    return panel._document


def items(panel: PlanPanel, key: str) -> list[QTreeWidgetItem]:
    head = panel.tree.head(key)
    return [child for row in range(head.childCount()) if (child := head.child(row)) is not None]


def lines(panel: PlanPanel, key: str) -> list[Line]:
    return [line_of(item) for item in items(panel, key)]


def cells(panel: PlanPanel, key: str) -> list[tuple[str, ...]]:
    return [line.cells for line in lines(panel, key) if line.kind == "row"]


def expected(panel: PlanPanel, key: str) -> list[tuple[str, ...]]:
    shown = document(panel)
    found = rows(group(shown.shown_rig, shown.active_axle, key), shown.unit)
    return [tuple(map(typeset, row.cells)) for row in found]


def test_an_open_group_shows_the_numbers_of_the_active_axle_in_the_unit_of_the_window(panel: PlanPanel) -> None:
    assert cells(panel, "cuts") == expected(panel, "cuts") != []
    inches = cells(panel, "cuts")
    document(panel).set_unit(LengthUnit.MM)
    assert cells(panel, "cuts") == expected(panel, "cuts") != inches
    document(panel).set_active_axle("front")
    assert cells(panel, "cuts") == expected(panel, "cuts")
    assert panel.head.text().startswith("Front axle")


def test_the_numbers_follow_the_width_while_it_is_dragged_and_after(qtbot: QtBot, panel: PlanPanel) -> None:
    shown, before = document(panel), cells(panel, "cuts")
    gesture = Gesture(shown, "Drag")
    gesture.preview(with_width(shown.rig, "rear", 1700.0))
    qtbot.waitUntil(lambda: cells(panel, "cuts") != before)
    assert cells(panel, "cuts") == expected(panel, "cuts")
    gesture.cancel()
    assert cells(panel, "cuts") == before
    set_width(shown, "rear", 1710.0)
    assert cells(panel, "cuts") == expected(panel, "cuts") != before


def test_only_open_groups_in_sight_are_worked_out(panel: PlanPanel, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def counted(rig: object, axle: object, key: str, outer: float | None = None) -> object:
        asked.append(key)
        return made_groups.group(rig, axle, key, outer)  # type: ignore[arg-type]

    monkeypatch.setattr(plan_panel, "group", counted)
    panel.refresh()
    assert asked == ["cuts"]
    for key in ("proof", "perches", "wheels", "pocket"):
        panel.tree.open(key)
    asked.clear()
    document(panel).show_preview(with_width(document(panel).rig, "rear", 1700.0))
    panel.refresh()
    assert asked[0] == "cuts"
    assert "pocket" not in asked
    panel.tree.scrollToItem(panel.tree.head("pocket"), panel.tree.ScrollHint.PositionAtTop)
    assert "pocket" in asked
    asked.clear()
    panel.hide()
    panel.refresh()
    assert asked == []


def test_what_takes_time_is_worked_out_at_rest_and_says_so_until_then(qtbot: QtBot, panel: PlanPanel) -> None:
    panel.tree.head("cuts").setExpanded(False)  # so that this one is in sight
    panel.tree.open("ramp")
    assert [line.label for line in lines(panel, "ramp")] == ["Working it out…"]
    qtbot.waitUntil(lambda: cells(panel, "ramp") == expected(panel, "ramp"))
    panel.tree.scrollToItem(panel.tree.head("ramp"), panel.tree.ScrollHint.PositionAtTop)
    shown, before = document(panel), cells(panel, "ramp")
    shown.show_preview(with_width(shown.rig, "front", 2000.0))
    panel.refresh()
    assert cells(panel, "ramp") == before
    assert all(line.faded for line in lines(panel, "ramp") if line.kind == "row")
    assert "follow when the rig rests" in lines(panel, "ramp")[0].label
    panel._work()  # the rest that is over in the midst of a gesture begins again
    assert panel._rest.isActive()
    set_width(shown, "front", 2000.0)
    qtbot.waitUntil(lambda: not any(line.faded for line in lines(panel, "ramp")))
    assert cells(panel, "ramp") == expected(panel, "ramp") != before


def test_what_rests_on_no_width_stays_good_while_it_is_dragged(qtbot: QtBot, panel: PlanPanel) -> None:
    panel.tree.open("travel")
    qtbot.waitUntil(lambda: cells(panel, "travel") == expected(panel, "travel"))
    document(panel).show_preview(with_width(document(panel).rig, "rear", 1900.0))
    panel.refresh()
    assert not any(line.faded for line in lines(panel, "travel"))


def test_an_unknown_number_leads_to_the_field_that_it_lacks(qtbot: QtBot, panel: PlanPanel) -> None:
    document(panel).replace_rig(planned_rig(kerf=None))
    fold = next(item for item in items(panel, "cuts") if line_of(item).kind == "missing")
    assert line_of(fold).label == "1 value is missing"
    fold.setExpanded(True)
    place = fold.child(0)
    assert place is not None
    assert line_of(place).label == "Saw cut"
    with qtbot.waitSignal(panel.place_asked) as asked:
        panel.tree.setCurrentItem(place)
        qtbot.keyClick(panel.tree, Qt.Key.Key_Return)
    assert asked.args == ["axles/rear/build/kerf"]
    kerf = next(item for item in items(panel, "cuts") if line_of(item).label == "Saw cut")
    panel.tree.setCurrentItem(kerf)
    assert "Unknown without: <a href=" in panel.detail.text()
    with qtbot.waitSignal(panel.place_asked) as asked:
        panel.tree.itemActivated.emit(kerf, 0)
    assert asked.args == ["axles/rear/build/kerf"]


def test_the_line_below_says_what_the_current_number_is_and_tells_it_in_the_other_unit(panel: PlanPanel) -> None:
    width = next(item for item in items(panel, "cuts") if line_of(item).label == "Width asked for")
    panel.tree.setCurrentItem(width)
    assert panel.detail.text() == "Wheel mounting face to wheel mounting face.<br>= 1643.0\N{NO-BREAK SPACE}mm"
    assert width.toolTip(0) == "Wheel mounting face to wheel mounting face."
    assert width.text(0) == f"Width asked for: {line_of(width).cells[0]}"


def test_a_plan_that_cannot_be_built_says_why_at_the_top_and_shows_no_cuts(panel: PlanPanel) -> None:
    document(panel).replace_rig(planned_rig(perches=(replace(PERCH, at=200.0),)))
    shown = lines(panel, "cuts")
    assert [line.kind for line in shown] == ["refusal", "remark"]
    assert shown[0].label.startswith("Cannot be built: Perch “spring”")
    assert " mm" not in shown[0].label.replace("\N{NO-BREAK SPACE}", " ")
    assert shown[0].place == "axles/rear/build/perches/spring"


def test_an_entered_outer_width_is_reached_both_ways_side_by_side(qtbot: QtBot, panel: PlanPanel) -> None:
    assert not panel.outer.isVisible()
    panel.tree.open("compare")
    assert cells(panel, "compare") == [("unknown",)]
    panel.go_to("compare/outer_width")
    assert panel.outer.isVisible()
    for text in ("0", "82 in"):
        panel.outer.line.selectAll()
        qtbot.keyClicks(panel.outer.line, text)
        qtbot.keyClick(panel.outer.line, Qt.Key.Key_Return)
        assert bool(panel.outer.error.text()) is (text == "0")
    shown = document(panel)
    both = rows(group(shown.rig, "rear", "compare", 82.0 * 25.4), shown.unit)
    assert cells(panel, "compare") == [tuple(map(typeset, row.cells)) for row in both]
    assert len(both) > 10


def test_chosen_lines_are_copied_with_tabs_and_the_button_takes_everything(qtbot: QtBot, panel: PlanPanel) -> None:
    first = next(item for item in items(panel, "cuts") if line_of(item).kind == "row")
    panel.tree.setCurrentItem(first)
    qtbot.keyClick(panel.tree, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    row = line_of(first).row
    assert row is not None
    assert QGuiApplication.clipboard().text() == "\t".join((row.label, *row.cells))
    qtbot.mouseClick(panel.copy_button, Qt.MouseButton.LeftButton)
    assert QGuiApplication.clipboard().text() == panel.text()


def test_a_click_or_enter_on_a_head_folds_its_group(qtbot: QtBot, panel: PlanPanel) -> None:
    tree = panel.tree
    at = tree.visualItemRect(tree.head("cuts")).center()
    qtbot.mouseClick(tree.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert not tree.is_open("cuts")
    qtbot.keyClick(tree, Qt.Key.Key_Return)
    assert tree.is_open("cuts")


def test_a_number_that_changes_keeps_its_line_and_the_choice_on_it(panel: PlanPanel) -> None:
    chosen = items(panel, "cuts")[3]
    panel.tree.setCurrentItem(chosen)
    set_width(document(panel), "rear", 1700.0)
    assert panel.tree.currentItem() is chosen
    assert items(panel, "cuts")[3] is chosen


@pytest.mark.parametrize("width", [260, 420])
def test_no_label_is_cut_off_in_a_narrow_panel(panel: PlanPanel, width: int) -> None:
    panel.resize(width, 500)
    panel.tree.open("perches")
    panel.tree.executeDelayedItemsLayout()
    for item in items(panel, "perches"):
        line, room = line_of(item), panel.tree.visualItemRect(item)
        metrics = panel.tree.fontMetrics()
        numbers = sum(metrics.horizontalAdvance(cell) for cell in line.cells)
        lines_needed = metrics.horizontalAdvance(line.label) / (room.width() - numbers)
        assert room.height() >= lines_needed * metrics.height() - metrics.height()
        assert numbers < room.width()
