"""What is measured goes into forms: empty is unknown and never zero, each edit is one step, nothing typed is lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, QSettings, Qt
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

import app
from app.document import Document
from app.edits import with_axle
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.details import Details
from app.panels.entry_field import EntryField
from app.panels.records.as_built_form import NOTHING_YET
from app.panels.records.fields import ChoiceField, Field, TickField
from app.panels.records.items import Item
from app.panels.records.pages import GROUPS
from app.panels.records.places import value_at
from app.panels.records.topics import ITEMS, OF_AXLE, OF_RIG, Topic, TopicKind, items_of
from app.panels.rig_list import RigList
from app.tabbed import RIG
from app.units import LengthUnit
from app.window import MainWindow
from geometry.rig.axle import Steering
from geometry.rig.build import AsBuilt, Build, BuildSide, MockUp, Perch, Shaft
from geometry.rig.driveline import AngleRules, Driveshaft, Gears, PinionChoice, ShaftJoint
from geometry.rig.layout import PartRef
from geometry.rig.mass import Masses, MassPart, Weighing
from geometry.rig.rig import Rig
from geometry.rig.rules import Rules, WidthLimit
from geometry.rig.steer_gear import Ackermann, DragLink, Ram, TieRod
from geometry.rig.stroke import BumpStop, Shock, Strap

RECORDS = (
    *(Build, BuildSide, Shaft, MockUp, AsBuilt, Perch, MassPart, Weighing, Masses, Rules, WidthLimit),
    *(Shock, BumpStop, Strap, TieRod, Ackermann, DragLink, Ram),
    *(Driveshaft, ShaftJoint, AngleRules, PinionChoice, Gears),
)
"""Everything that is entered in forms of records."""

TOPICS = [*(Topic(kind, "rear") for kind in OF_AXLE), *(Topic(kind) for kind in OF_RIG)]


PLACES: dict[str, Any] = {"chassis": (30.0, 400.0, 850.0), "axle": (30.0, 420.0, 450.0)}
ENDS = {f"{end}.{axis}": f"{value} mm" for end, at in PLACES.items() for axis, value in zip("xyz", at, strict=True)}
"""Ends of a shock, stop or strap that fits the demo rig, and how they are typed."""


@pytest.fixture
def document(document: Document) -> Document:
    """The demo rig of which nothing but the drawing is known."""
    rig = document.rig
    nothing = {"build": None, "as_built": None, "driveshaft": None, "shocks": (), "bump_stops": (), "straps": ()}
    axles = tuple(replace(axle, **nothing, pinion_choices=()) for axle in rig.axles)
    document.replace_rig(replace(rig, axles=axles, masses=None, rules=None, gears=None))
    return document


@pytest.fixture
def details(qtbot: QtBot, document: Document) -> Details:
    details = Details(document)
    qtbot.addWidget(details)
    details.resize(350, 420)
    with qtbot.waitActive(details):
        details.show()
    return details


def field(details: Details, kind: TopicKind, *path: str) -> Field:
    return details.records.forms[kind].fields[path]


def enter(qtbot: QtBot, one: Field, text: str) -> EntryField[Any]:
    assert isinstance(one, EntryField)
    one.line.setFocus()
    one.line.selectAll()
    qtbot.keyClicks(one.line, text) if text else qtbot.keyClick(one.line, Qt.Key.Key_Delete)
    qtbot.keyClick(one.line, Qt.Key.Key_Return)
    return one


def build(document: Document) -> Build:
    found = document.rig.axle("rear").build
    assert found is not None
    return found


def test_an_empty_field_says_unknown_and_never_a_number(details: Details) -> None:
    for topic in TOPICS:
        details.show_topic(topic)
        for one in details.records.forms[topic.kind].fields.values():
            if isinstance(one, EntryField) and one.isVisible():
                assert one.line.text() == ""
    assert field(details, "cuts", "build", "left", "insertion_end").line.placeholderText() == "unknown"  # type: ignore[union-attr]


def test_looking_at_every_form_changes_nothing(qtbot: QtBot, document: Document, details: Details) -> None:
    before = document.rig
    for topic in TOPICS:
        details.show_topic(topic)
        for line in details.records.findChildren(QLineEdit):
            if line.isVisible():
                line.setFocus()
                qtbot.keyClick(line, Qt.Key.Key_Tab)
    assert document.rig is before
    assert document.undo_stack.count() == 0


def test_a_butted_tube_is_entered_as_nought_and_cleared_back_to_unknown(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    before = document.rig
    details.show_topic(Topic("cuts", "rear"))
    one = enter(qtbot, field(details, "cuts", "build", "left", "insertion_end"), "0")
    assert build(document).left.insertion_end == 0.0
    assert one.line.text() == "0 in"
    enter(qtbot, one, "")
    assert document.rig == before  # nothing is known any more, and nothing of it is left in the file
    assert document.undo_stack.count() == 2
    document.undo_stack.undo()
    assert build(document).left.insertion_end == 0.0


@pytest.mark.parametrize(
    ("kind", "path", "typed", "value"),
    [
        ("cuts", ("build", "kerf"), "3 mm", 3.0),
        ("cuts", ("build", "left", "end_addition"), "4", 101.6),
        ("cuts", ("build", "tolerance_deg"), "0.5", 0.5),
        ("angles", ("build", "separation_deg"), "13", 13.0),
        ("angles", ("build", "knuckle_inset"), "-10 mm", -10.0),
        ("shafts", ("build", "right", "shaft", "flange"), "-10 mm", -10.0),
        ("shafts", ("build", "right", "shaft", "stock"), "29 1/2; 30;", (749.3, 762.0)),
        ("mock-up", ("build", "mockup", "sleeve_left"), "12", 304.8),
        ("driveshaft", ("driveshaft", "slip_in"), "3", 76.2),
        ("driveshaft", ("driveshaft", "rules", "most_deg"), "4", 4.0),
        ("driveshaft", ("driveshaft", "case_joint", "limit_deg"), "30", 30.0),
    ],
)
def test_each_field_changes_its_own_number_in_one_step(
    qtbot: QtBot, document: Document, details: Details, kind: TopicKind, path: tuple[str, ...], typed: str, value: Any
) -> None:
    details.show_topic(Topic(kind, "rear"))
    enter(qtbot, field(details, kind, *path), typed)
    found: Any = document.rig.axle("rear")
    for name in path:
        found = getattr(found, name)
    assert found == pytest.approx(value)
    assert document.undo_stack.count() == 1


def test_what_cannot_be_is_refused_beside_its_field_and_stays_typed(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    details.show_topic(Topic("cuts", "rear"))
    for typed, said in (("-1", "End addition is −1 in and must be at least 0 in."), ("4 4", "“4” in “4 4” follows")):
        one = enter(qtbot, field(details, "cuts", "build", "left", "end_addition"), typed)
        assert one.error.isVisible()
        assert one.error.text().replace("\N{NO-BREAK SPACE}", " ").startswith(said)
        assert one.line.text() == typed
        one.restore()
    assert document.undo_stack.count() == 0


def test_the_right_side_is_copied_from_the_left_in_one_step_without_its_shaft(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    left = BuildSide(end_addition=101.6, insertion_end=0.0, shaft=Shaft(end_play=1.0))
    right = BuildSide(end_addition=50.0, shaft=Shaft(end_play=2.0))
    document.put_rig(with_axle(document.rig, "rear", build=Build(left=left, right=right)))
    details.show_topic(Topic("cuts", "rear"))
    button = details.records.forms["cuts"].copies["Right side"]
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert build(document).right == replace(left, shaft=right.shaft)
    details.show_topic(Topic("shafts", "rear"))
    qtbot.mouseClick(details.records.forms["shafts"].copies["Right shaft"], Qt.MouseButton.LeftButton)
    assert build(document).right == left
    assert document.undo_stack.count() == 2


def test_a_choice_is_one_step_and_the_default_leaves_nothing_behind(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    before = document.rig
    details.show_topic(Topic("cuts", "rear"))
    choice = field(details, "cuts", "build", "datum")
    assert isinstance(choice, ChoiceField)
    choice.setFocus()
    qtbot.keyClick(choice, Qt.Key.Key_Down)
    assert build(document).datum == "centre-face"
    qtbot.keyClick(choice, Qt.Key.Key_Up)
    assert document.rig == before


def test_a_point_counts_once_all_of_it_is_known(qtbot: QtBot, document: Document, details: Details) -> None:
    details.show_topic(Topic("angles", "rear"))
    path = ("build", "transfer_output")
    enter(qtbot, field(details, "angles", *path, "x"), "48")
    enter(qtbot, field(details, "angles", *path, "y"), "-2")
    assert document.rig.axle("rear").build is None
    form = details.records.forms["angles"]
    note = form._notes["Joint at the transfer case"]
    assert note.text() == "Enter z, too: the place counts once x, y and z are known."
    details.show_topic(Topic("cuts", "rear"))
    details.show_topic(Topic("angles", "rear"))
    enter(qtbot, field(details, "angles", *path, "z"), "24")
    assert build(document).transfer_output == pytest.approx((48 * 25.4, -2 * 25.4, 24 * 25.4))
    assert document.undo_stack.count() == 1
    assert not note.isVisible()
    enter(qtbot, field(details, "angles", *path, "y"), "")
    assert document.rig.axle("rear").build is None
    assert field(details, "angles", *path, "x").line.text() == "48 in"  # type: ignore[union-attr]
    document.undo_stack.undo()
    assert field(details, "angles", *path, "y").line.text() == "-2 in".replace("-", "−")  # type: ignore[union-attr]


def test_scales_count_once_both_axles_are_weighed_and_the_lift_once_it_is_whole(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    details.show_topic(Topic("scales"))
    path = ("masses", "measured")
    enter(qtbot, field(details, "scales", *path, "rear_kg"), "900 kg")
    enter(qtbot, field(details, "scales", *path, "lift"), "300 mm")
    assert document.rig.masses is None
    note = details.records.forms["scales"]._notes["What the scales read"]
    assert note.text().startswith("Enter the front axle's load, too")
    enter(qtbot, field(details, "scales", *path, "front_kg"), "1000 lb")
    assert document.rig.masses == Masses(measured=Weighing(state="empty", rear_kg=900.0, front_kg=453.59237))
    assert note.text().startswith("Enter which axle was raised and the load on the other axle, too")
    raised = field(details, "scales", *path, "raised")
    assert isinstance(raised, ChoiceField)
    raised.setFocus()
    qtbot.keyClick(raised, Qt.Key.Key_Down)
    enter(qtbot, field(details, "scales", *path, "resting_kg"), "500")
    assert document.rig.masses is not None
    assert document.rig.masses.measured is not None
    assert (document.rig.masses.measured.raised, document.rig.masses.measured.lift) == ("rear", 300.0)
    refused = enter(qtbot, field(details, "scales", *path, "resting_kg"), "5000")
    assert refused.error.isVisible()
    assert refused.line.text() == "5000"
    assert document.undo_stack.count() == 2


def test_a_new_record_asks_for_what_it_cannot_be_without(qtbot: QtBot, document: Document, details: Details) -> None:
    details.show_topic(Topic("perches", "rear"))
    box = details.records.adding["perches"]
    enter(qtbot, box.fields["width"], "2 1/2")
    qtbot.mouseClick(box.add_button, Qt.MouseButton.LeftButton)
    at = box.fields["at"]
    assert isinstance(at, EntryField)
    assert at.error.text() == "Enter the middle first."
    assert document.undo_stack.count() == 0
    enter(qtbot, at, "20")
    qtbot.mouseClick(box.add_button, Qt.MouseButton.LeftButton)
    assert build(document).perches == (Perch(id="perch-1", at=508.0, width=63.5),)
    assert details.records.topic == Topic("perch", "rear", "perch-1")


@pytest.mark.parametrize(
    ("above", "typed", "record"),
    [
        ("perches", {"at": "20", "width": "2"}, Perch(id="perch-1", at=508.0, width=50.8)),
        ("masses", {"name": "engine", "mass_kg": "220 kg"}, MassPart(id="part-1", name="engine", mass_kg=220.0)),
        ("masses", {"name": "engine"}, MassPart(id="part-1", name="engine")),
        ("rules", {"most": "72"}, WidthLimit(id="limit-1", measure="outer", most=1828.8)),
        ("pinions", {"pinion_rise": "2"}, PinionChoice(id="pinion-1", pinion_rise=50.8)),
        ("straps", {"length": "500 mm", **ENDS}, Strap(id="strap-1", length=500.0, **PLACES)),
        (
            "stops",
            {"height": "6", "compressed": "2", **ENDS},
            BumpStop(id="stop-1", height=152.4, compressed=50.8, **PLACES),
        ),
        (
            "shocks",
            {"collapsed": "300 mm", "extended": "500 mm", **ENDS},
            Shock(id="shock-1", collapsed=300.0, extended=500.0, **PLACES),
        ),
    ],
)
def test_records_are_added_edited_and_deleted_in_steps(
    qtbot: QtBot, document: Document, details: Details, above: TopicKind, typed: dict[str, str], record: Any
) -> None:
    before, topic = document.rig, Topic(above, "" if above in OF_RIG else "rear")
    details.show_topic(topic)
    box = details.records.adding[above]
    for name, text in typed.items():
        enter(qtbot, box.fields[name], text)
    qtbot.mouseClick(box.add_button, Qt.MouseButton.LeftButton)
    (made,) = items_of(document.rig, topic)
    assert details.records.topic == made
    kind = made.kind
    assert value_at(document.rig, made.base) == record
    enter(qtbot, field(details, kind, "name"), "other")
    form = details.records.forms[kind]
    qtbot.mouseClick(form.delete_button, Qt.MouseButton.LeftButton)
    assert document.rig == before
    assert details.records.topic == topic
    assert document.undo_stack.count() == 3
    document.undo_stack.undo()
    assert [each.item for each in items_of(document.rig, topic)] == [made.item]


def test_an_undone_record_gives_way_to_its_list(qtbot: QtBot, document: Document, details: Details) -> None:
    details.show_topic(Topic("masses"))
    qtbot.mouseClick(details.records.adding["masses"].add_button, Qt.MouseButton.LeftButton)
    assert details.records.topic == Topic("mass", "", "part-1")
    document.undo_stack.undo()
    assert details.records.topic == Topic("masses")


def test_a_tick_is_one_step(document: Document, details: Details) -> None:
    perch = Perch(id="p", at=500.0, width=60.0)
    document.put_rig(with_axle(document.rig, "rear", build=Build(perches=(perch,))))
    details.show_topic(Topic("perch", "rear", "p"))
    tick = field(details, "perch", "mirrored")
    assert isinstance(tick, TickField)
    tick.click()
    assert build(document).perches == (replace(perch, mirrored=True),)
    assert document.undo_stack.count() == 1


def test_the_record_of_the_welded_axle_shows_each_difference_and_whether_it_is_allowed(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    width = document.rig.axle("rear").width
    side = BuildSide(shrink=0.8)
    document.put_rig(with_axle(document.rig, "rear", build=Build(tolerance_class="B", left=side, right=side)))
    details.show_topic(Topic("as built", "rear"))
    form = details.records.forms["as built"]
    qtbot.mouseClick(form.start_button, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    assert form.verdict.text() == NOTHING_YET  # type: ignore[attr-defined]
    assert form.symbol.isHidden()  # type: ignore[attr-defined]
    assert "in while tacked, " in form.differences["width"].text().replace("\N{NO-BREAK SPACE}", " ")  # type: ignore[attr-defined]
    enter(qtbot, field(details, "as built", "as_built", "width"), f"{width + 25.4} mm")
    said = form.differences  # type: ignore[attr-defined]
    assert "15/16 in over the plan: OUT OF tolerance, ±" in said["width"].text().replace("\N{NO-BREAK SPACE}", " ")
    enter(qtbot, field(details, "as built", "as_built", "tire_diameter"), "30")
    assert "not judged" in said["tire_diameter"].text()
    assert said["loaded_radius"].text().startswith("Plan ")
    assert form.verdict.text() == "Checking as built…"  # type: ignore[attr-defined]
    enter(qtbot, field(details, "as built", "as_built", "date"), "31.5.2026")
    date = field(details, "as built", "as_built", "date")
    assert isinstance(date, EntryField)
    assert date.error.text() == "“31.5.2026” is not a date; write year, month and day, as in 2026-05-31."
    qtbot.mouseClick(form.remove_button, Qt.MouseButton.LeftButton)  # type: ignore[attr-defined]
    assert document.rig.axle("rear").as_built is None
    document.undo_stack.undo()
    assert document.rig.axle("rear").as_built is not None


def test_a_topic_is_chosen_in_the_tree_with_its_axle_and_left_with_another_part(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    tree = RigList(document)
    qtbot.addWidget(tree)
    tree.topic_chosen.connect(details.show_topic)
    details.topic_shown.connect(tree.show_topic)
    item = next(each for each in tree._items() if each.text(0) == "Axle shafts" and "front" in each.parent().text(0))
    tree.setCurrentItem(item)
    assert document.active_axle == "front"
    assert details.records.topic == Topic("shafts", "front")
    assert details.records.isVisible()
    assert not details.axle.isVisible()
    assert tree.currentItem() is item
    document.select(None)
    assert details.records.topic is None
    assert details.axle.isVisible()


def test_a_line_at_the_edge_stays_under_the_pointer_that_presses_it(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    tree = RigList(document)
    qtbot.addWidget(tree)
    tree.topic_chosen.connect(details.show_topic)
    details.topic_shown.connect(tree.show_topic)
    tree.resize(300, 160)
    with qtbot.waitExposed(tree):
        tree.show()
    tree._items().__next__().child(0).setExpanded(True)
    lines = [item for item in tree._items() if tree.visualItemRect(item).isValid()]
    height = tree.viewport().height()
    edge = next(item for item in lines if tree.visualItemRect(item).top() < height < tree.visualItemRect(item).bottom())
    at = tree.visualItemRect(edge).topLeft() + QPoint(60, 4)
    qtbot.mouseClick(tree.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert tree.currentItem() is edge
    assert tree.selectedItems() == [edge]


def test_the_tree_says_what_of_a_topic_is_known_and_stays_open(qtbot: QtBot, document: Document) -> None:
    tree = RigList(document)
    qtbot.addWidget(tree)

    def line(words: str) -> Any:
        return next(each for each in tree._items() if each.text(0) == words)

    assert [line(words).text(1) for words in ("Cuts and ends", "Perches and brackets", "As built", "Scales")] == [
        "unknown",
        "none",
        "not measured",
        "unknown",
    ]
    line("Cuts and ends").parent().setExpanded(True)
    record = AsBuilt(date="2026-05-31", stage="welded")
    document.put_rig(
        with_axle(document.rig, "rear", build=Build(perches=(Perch(id="p", at=1.0, width=1.0),)), as_built=record)
    )
    assert line("Perches and brackets").text(1) == "1"
    assert line("As built").text(1) == "welded 2026-05-31"
    assert line("Cuts and ends").parent().isExpanded()
    assert line("p").parent().text(0) == "Perches and brackets"


def test_every_value_of_the_records_has_its_field() -> None:
    asked = {path for groups in GROUPS.values() for group in groups for path in (item.path for item in group.items)}
    names = {step for path in asked for step in path}
    assert {f"{end}_{what}" for end in ("chassis", "axle") for what in ("bolt", "limit_deg")} <= names  # of a rod
    of_records = {name for record in RECORDS for name in record.__struct_fields__}
    lists = {"id", "perches", "parts", "widths"}
    assert of_records - names - lists == set()
    assert not {item.tip for groups in GROUPS.values() for group in groups for item in group.items if not said(item)}


def test_the_help_pages_say_of_each_field_how_it_is_measured() -> None:
    pages = {
        name: (Path(app.__file__).parent / "help" / f"{name}.md").read_text(encoding="utf-8")
        for name in ("build", "stroke-and-steer")
    }
    turning = {"shock", "stop", "strap", "steering", "driveshaft", "pinion", "joint", "springs", "gears"}
    for kind, groups in GROUPS.items():
        page = pages["stroke-and-steer" if kind in turning else "build"]
        for group in groups:
            assert f"**{group.title}**" in page or "side" in group.title or "shaft" in group.title
            for item in group.items:
                assert item.words in page
                assert f"| {item.tip} |" in page


def said(item: Item) -> bool:
    """Whether a tip is one sentence."""
    return item.tip.endswith(".") and item.tip[:-1].count(". ") == 0


def test_the_unit_reaches_every_form(document: Document, details: Details) -> None:
    record = AsBuilt(date="2026-05-31", stage="welded", width=1700.0)
    made = Build(left=BuildSide(end_addition=100.0, shaft=Shaft(stock=(750.0,))), kerf=2.0)
    document.put_rig(with_axle(document.rig, "rear", build=made, as_built=record))
    for topic in TOPICS:
        details.show_topic(topic)
    document.set_unit(LengthUnit.MM)
    for topic in TOPICS:
        details.show_topic(topic)
        texts = [line.text() for line in details.records.findChildren(QLineEdit)]
        assert not [text for text in texts if text.endswith(" in")]


def test_every_list_has_its_own_way_to_grow(details: Details) -> None:
    for kind in ITEMS:
        details.show_topic(Topic(kind, "" if kind in OF_RIG else "rear"))
        assert details.records.adding[kind].isVisible()


def test_rigs_are_whole_again_after_a_walk_through_undo(qtbot: QtBot, document: Document, details: Details) -> None:
    rigs: list[Rig] = [document.rig]
    details.show_topic(Topic("cuts", "rear"))
    for name, text in (("end_addition", "4"), ("centre_half", "5"), ("insertion_centre", "0")):
        enter(qtbot, field(details, "cuts", "build", "left", name), text)
        rigs.append(document.rig)
    for rig in reversed(rigs[:-1]):
        document.undo_stack.undo()
        assert document.rig == rig


def test_what_counts_unless_entered_stands_in_grey_and_comes_back(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    before = document.rig
    details.show_topic(Topic("driveshaft", "rear"))
    one = field(details, "driveshaft", "driveshaft", "diameter")
    assert isinstance(one, EntryField)
    assert (one.line.text(), one.line.placeholderText()) == ("", "3 in unless entered")
    enter(qtbot, one, "2 1/2")
    assert document.rig.axle("rear").driveshaft == Driveshaft(diameter=63.5)
    enter(qtbot, one, "")
    assert document.rig == before
    document.set_unit(LengthUnit.MM)
    assert one.line.placeholderText() == "76.2 mm unless entered"


def test_a_tie_rod_is_there_once_its_ball_is_known_and_is_removed_in_one_step(
    qtbot: QtBot, document: Document, details: Details
) -> None:
    def steering() -> Steering:
        found = document.rig.axle("front").steering
        assert found is not None
        return found

    before, topic = document.rig, Topic("steering", "front")
    details.show_topic(topic)
    form = details.records.forms["steering"]
    arm = ("steering", "tie_rod", "arm")
    for axis, typed in (("x", "-150 mm"), ("y", "-130 mm")):
        enter(qtbot, form.fields[(*arm, axis)], typed)
    assert steering().tie_rod is None
    assert form._notes["Tie rod"].text() == "Enter arm's ball, up, too: the tie rod counts once all of it is known."
    enter(qtbot, form.fields[(*arm, "z")], "0")
    assert steering().tie_rod == TieRod(arm=(-150.0, -130.0, 0.0))
    refused = enter(qtbot, form.fields["steering", "ackermann", "share_factor"], "1")
    assert not refused.error.isVisible()  # it waits for the line that the rig turns about
    refused = enter(qtbot, form.fields["steering", "ackermann", "turn_length"], "2700 mm")
    assert "remove one of the two" in refused.error.text()
    qtbot.mouseClick(form.removals["tie rod"], Qt.MouseButton.LeftButton)
    assert document.rig == before
    assert document.undo_stack.count() == 2
    document.undo_stack.undo()
    assert steering().tie_rod == TieRod(arm=(-150.0, -130.0, 0.0))


def test_gears_are_lists_and_refused_out_of_order(qtbot: QtBot, document: Document, details: Details) -> None:
    before = document.rig
    details.show_topic(Topic("gears"))
    enter(qtbot, field(details, "gears", "gears", "transmission"), "6.32; 3.09; 1")
    assert document.rig.gears == Gears(transmission=(6.32, 3.09, 1.0))
    refused = enter(qtbot, field(details, "gears", "gears", "transmission"), "1; 3.09")
    assert refused.error.text().endswith("write 3.09, 1.")
    assert "can be read" in enter(qtbot, field(details, "gears", "gears", "tires"), "large").error.text()
    document.undo_stack.undo()
    assert document.rig == before


def test_joints_of_links_are_told_on_the_link_that_is_drawn(qtbot: QtBot, document: Document, details: Details) -> None:
    rod = document.rig.axle("rear").rods[0]
    details.show_topic(Topic("joints", "rear"))
    assert not details.records.adding["joints"].add_button.isVisible()
    details.show_topic(Topic("joint", "rear", rod.id))
    assert document.selection is not None
    for axis, typed in zip("xyz", ("0", "1", "0.1"), strict=True):
        enter(qtbot, field(details, "joint", "chassis_bolt", axis), typed)
    enter(qtbot, field(details, "joint", "axle_limit_deg"), "25")
    changed = replace(rod, chassis_bolt=(0.0, 1.0, 0.1), axle_limit_deg=25.0)
    assert document.rig.axle("rear").rods[0] == changed
    assert document.undo_stack.count() == 2


def test_a_part_that_is_chosen_in_a_view_brings_its_form(document: Document, details: Details) -> None:
    strap = Strap(id="s", length=500.0, mirrored=True, **PLACES)
    document.put_rig(with_axle(document.rig, "rear", straps=(strap,)))
    right = PartRef("strap", "rear.s", "right", "right rear s")
    document.select(right)
    assert details.records.topic == Topic("strap", "rear", "s")
    assert document.selection == right
    document.select(PartRef("tie rod", "front", "", "front tie rod"))
    assert details.records.topic == Topic("steering", "front")
    assert document.active_axle == "front"
    document.select(None)
    assert details.records.topic is None


@pytest.mark.parametrize("size", [(1440, 900), (1024, 768)])
@pytest.mark.parametrize(("end", "text"), [("extended", "18"), ("collapsed", "40")])
def test_a_refusal_stands_whole_below_its_field_and_in_sight(
    qtbot: QtBot, tmp_path: Path, size: tuple[int, int], end: str, text: str
) -> None:
    settings = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    palette = QApplication.palette()
    window = MainWindow(Document(read_rig(demo_rigs()[1]), unit=LengthUnit.FRACTION), settings)
    qtbot.addWidget(window, before_close_func=lambda each: each.document.undo_stack.setClean())
    window.resize(*size)
    with qtbot.waitActive(window):
        window.show()
    window.searcher.stop()
    window.tabs.setCurrentIndex(RIG)
    window.details.show_topic(Topic("shock", "front", "air-shock"))
    window.details.setMaximumHeight(140)  # the field has room, and what is said of it has not
    QApplication.processEvents()
    error = enter(qtbot, field(window.details, "shock", end), text).error
    QApplication.processEvents()
    room = window.details.viewport()
    top = error.mapTo(room, QPoint(0, 0)).y()
    assert "must then be longer" in error.text()
    assert error.height() >= error.heightForWidth(error.width())
    assert top >= 0
    assert top + error.height() <= room.height()
    QApplication.setPalette(palette)
