"""Parts in a tree, their numbers in fields: each edit is one undo step, refused beside its own field."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QLineEdit, QTreeWidgetItem
from pytestqt.qtbot import QtBot

from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.details import Details
from app.panels.entry_field import EntryField
from app.panels.rig_list import PART_ROLE, RigList
from app.units import LengthUnit
from geometry.rig.layout import PartRef
from geometry.rig.naming import link_part
from geometry.rig.rig import Rig, WantedClearance


@pytest.fixture
def long_rig() -> Rig:
    return read_rig(demo_rigs()[1])


@pytest.fixture
def details(qtbot: QtBot, document: Document) -> Details:
    details = Details(document)
    qtbot.addWidget(details)
    details.resize(360, 700)
    with qtbot.waitActive(details):
        details.show()
    return details


def enter(qtbot: QtBot, field: EntryField[object], text: str) -> None:
    field.line.setFocus()
    field.line.selectAll()
    qtbot.keyClicks(field.line, text) if text else qtbot.keyClick(field.line, Qt.Key.Key_Delete)
    qtbot.keyClick(field.line, Qt.Key.Key_Return)


def items(tree: RigList) -> list[QTreeWidgetItem]:
    """Lines of parts, without the topics below axles and rig."""
    return [item for item in tree._items() if item.data(0, PART_ROLE) is not None]


def test_every_axle_panel_bar_and_node_is_listed_once(qtbot: QtBot, document: Document, long_rig: Rig) -> None:
    document.replace_rig(long_rig)
    tree = RigList(document)
    qtbot.addWidget(tree)
    parts = (*long_rig.axles, *long_rig.panels, *long_rig.bars, *long_rig.nodes)
    assert len(items(tree)) == len(parts)


def test_choosing_an_axle_makes_it_the_active_one(qtbot: QtBot, document: Document) -> None:
    tree = RigList(document)
    qtbot.addWidget(tree)
    tree.setCurrentItem(next(item for item in items(tree) if "front" in item.text(0)))
    assert document.active_axle == "front"


def test_a_click_on_the_line_that_is_current_already_acts(qtbot: QtBot, document: Document) -> None:
    tree = RigList(document)
    qtbot.addWidget(tree)
    tree.resize(300, 500)
    with qtbot.waitExposed(tree):
        tree.show()
    item = next(item for item in items(tree) if "front" in item.text(0))
    for _ in range(2):
        document.set_active_axle("rear")
        qtbot.mouseClick(tree.viewport(), Qt.MouseButton.LeftButton, pos=tree.visualItemRect(item).center())
        assert document.active_axle == "front"


def test_a_part_of_an_axle_chosen_elsewhere_is_found_at_its_axle_and_shows_in_the_form(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    tree = RigList(document)
    qtbot.addWidget(tree)
    front = document.rig.axle("front")
    document.select(link_part(front, front.rods[0]))
    assert "front" in tree.currentItem().text(0)
    assert "front" in details.axle._title.title()


def test_a_bar_chosen_elsewhere_is_found_in_the_tree(qtbot: QtBot, document: Document) -> None:
    tree = RigList(document)
    qtbot.addWidget(tree)
    bar = document.rig.bars[3]
    document.select(PartRef("bar", bar.id, "right", f"{bar.name}, right"))
    assert tree.currentItem().text(0) == (bar.name or bar.id)


def test_taking_a_panel_off_is_one_undo_step(qtbot: QtBot, document: Document, long_rig: Rig) -> None:
    document.replace_rig(long_rig)
    tree = RigList(document)
    qtbot.addWidget(tree)
    panel = long_rig.panels[0]
    item = next(item for item in items(tree) if item.text(0) == (panel.name or panel.id))
    item.setCheckState(0, Qt.CheckState.Unchecked)
    assert next(other for other in items(tree) if other.text(0) == item.text(0)) is item
    assert item.text(1) == "off"
    assert not document.rig.panels[0].fitted
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.rig == long_rig
    again = next(item for item in items(tree) if item.text(0) == (panel.name or panel.id))
    assert again.checkState(0) is Qt.CheckState.Checked


@pytest.mark.parametrize(
    ("field", "typed", "path", "value"),
    [
        ("size_text", "38x13.50R17", ("tire", "size"), "38x13.50R17"),
        ("rim_width", "10 in", ("wheel", "rim_width"), 254.0),
        ("mount_width", "68 1/2", ("width",), 68.5 * 25.4),
        ("travel.bump", "5", ("bump",), 127.0),
        ("travel.droop", "100 mm", ("droop",), 100.0),
        ("travel.stop_station", "18", ("stop_station",), 457.2),
        ("tire.loaded_radius", "440 mm", ("tire", "loaded_radius"), 440.0),
    ],
)
def test_each_field_changes_its_own_number_in_one_step(
    qtbot: QtBot, document: Document, details: Details, field: str, typed: str, path: tuple[str, ...], value: object
) -> None:
    before = document.rig
    form, _, key = field.partition(".")
    widget = getattr(details.axle, form)
    enter(qtbot, widget[key] if key else widget, typed)
    found: object = document.rig.axle("rear")
    for name in path:
        found = getattr(found, name)
    assert found == pytest.approx(value) if isinstance(value, float) else found == value
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.rig == before


def test_an_emptied_measurement_lets_the_size_count_again(qtbot: QtBot, document: Document, details: Details) -> None:
    field = details.axle.tire["section_width"]
    enter(qtbot, field, "300 mm")
    assert document.rig.axle("rear").tire.section_width == 300.0
    enter(qtbot, field, "")
    assert document.rig.axle("rear").tire.section_width is None
    assert "by size" in field.line.placeholderText()


def test_backspacing_takes_the_place_of_offset(qtbot: QtBot, document: Document, details: Details) -> None:
    enter(qtbot, details.axle.offset, "-1 in")
    assert document.rig.axle("rear").wheel.offset == pytest.approx(-25.4)
    assert document.rig.axle("rear").wheel.backspacing is None
    enter(qtbot, details.axle.backspacing, "4 in")
    wheel = document.rig.axle("rear").wheel
    assert (wheel.offset, wheel.backspacing) == (None, pytest.approx(101.6))
    assert details.axle.offset.line.text() == ""
    assert details.axle.offset.line.placeholderText()


@pytest.mark.parametrize(("field", "typed"), [("size_text", "large"), ("rim_width", "0"), ("mount_width", "-5")])
def test_what_cannot_be_built_is_refused_beside_the_field(
    qtbot: QtBot, document: Document, details: Details, field: str, typed: str
) -> None:
    before = document.rig
    widget = getattr(details.axle, field)
    enter(qtbot, widget, typed)
    assert widget.error.isVisible()
    assert "axles[" not in widget.error.text()
    assert widget.line.text() == typed
    assert document.rig == before
    assert document.undo_stack.count() == 0


@pytest.mark.parametrize(
    ("unit", "field", "typed", "said"),
    [
        (LengthUnit.FRACTION, "travel.droop", "-2", "Droop is −2 in and must be at least 0 in."),
        (LengthUnit.INCH, "travel.droop", "-2", "Droop is −2.000 in and must be at least 0.000 in."),
        (LengthUnit.MM, "travel.droop", "-50.8", "Droop is −50.8 mm and must be at least 0 mm."),
        (
            LengthUnit.FRACTION,
            "mount_width",
            "30",
            "The stop station, 18 1/2 in from the centre plane, lies beyond the ",
        ),
        (LengthUnit.FRACTION, "rim_width", "9 mm", "Rim width of 0.354 in is no wheel, the least is 2.953 in."),
        (
            LengthUnit.FRACTION,
            "tire.loaded_radius",
            "11",
            "The height of 17.750 in and the tire's loaded radius of 11.000 in differ by more than 5.906 in",
        ),
        (LengthUnit.MM, "size_text", "5 mm", "Cannot read the tire size “5 mm”; write it like"),
        (LengthUnit.FRACTION, "size_text", "5 mm", "Cannot read the tire size “5 mm”; write it like"),
    ],
)
def test_a_refusal_is_a_sentence_of_its_own_in_the_unit_of_the_screen(
    qtbot: QtBot, document: Document, details: Details, unit: LengthUnit, field: str, typed: str, said: str
) -> None:
    document.set_unit(unit)
    form, _, key = field.partition(".")
    widget = getattr(details.axle, form)
    widget = widget[key] if key else widget
    enter(qtbot, widget, typed)
    assert widget.error.text().replace("\N{NO-BREAK SPACE}", " ").startswith(said)
    assert "in the file" not in widget.error.text()
    assert document.undo_stack.count() == 0


def test_a_wanted_clearance_in_its_field_is_never_less_than_it_is(document: Document, details: Details) -> None:
    document.replace_rig(replace(document.rig, wanted=WantedClearance(tire_bar=19.05, axle_bar=6.35, link_bar=10.0)))
    fields = [details.wanted.fields[kind].line for kind in ("tire_bar", "axle_bar", "link_bar")]
    assert [line.text() for line in fields] == ["3/4 in", "1/4 in", "7/16 in"]
    document.set_unit(LengthUnit.MM)
    assert [line.text() for line in fields] == ["19.05 mm", "6.35 mm", "10.0 mm"]


def test_steering_lock_is_entered_in_degrees(qtbot: QtBot, document: Document, details: Details) -> None:
    assert not details.axle.locks["left"].isVisible()
    document.set_active_axle("front")
    assert details.axle.locks["left"].isVisible()
    enter(qtbot, details.axle.locks["left"], "28.5")
    steering = document.rig.axle("front").steering
    assert steering is not None
    assert steering.lock_left_deg == 28.5


def test_wanted_clearance_is_one_step_a_kind(qtbot: QtBot, document: Document, details: Details) -> None:
    enter(qtbot, details.wanted.fields["tire_bar"], "1")
    assert document.rig.wanted.tire_bar == 25.4
    assert document.undo_stack.count() == 1
    enter(qtbot, details.wanted.fields["tire_panel"], "-1")
    assert details.wanted.fields["tire_panel"].error.isVisible()
    assert document.undo_stack.count() == 1


def test_tabbing_through_every_field_changes_nothing(qtbot: QtBot, document: Document, details: Details) -> None:
    before = document.rig
    for line in details.findChildren(QLineEdit):
        line.setFocus()
        qtbot.keyClick(line, Qt.Key.Key_Tab)
    assert document.rig is before
    assert document.undo_stack.count() == 0


def test_the_unit_reaches_every_field(document: Document, details: Details) -> None:
    document.set_unit(LengthUnit.MM)
    texts = [line.text() + line.placeholderText() for line in details.findChildren(QLineEdit)]
    assert not [text for text in texts if text.endswith(" in") or " in " in text]


def test_every_field_has_a_name_and_is_high_enough(document: Document, details: Details) -> None:
    document.set_active_axle("front")
    for line in details.findChildren(QLineEdit):
        interface = QAccessible.queryAccessibleInterface(line)
        assert interface.text(QAccessible.Text.Name)
        assert line.minimumHeight() >= 24
