"""The rig as tables: typed, pasted, sorted and filtered by key, one undo step each, nothing changed by looking."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.document import Document
from app.panels.tables.page import SheetPage
from app.panels.tables.tables import Tables
from app.units import LengthUnit
from geometry.rig.naming import node_part
from tests.app.own_chassis import CHASSIS, OD, WALL

Key = Qt.Key
NAMES = ("Nodes", "Bars", "Panels", "Links", "Axles")


@pytest.fixture
def tables(qtbot: QtBot, document: Document) -> Tables:
    tables = Tables(document)
    qtbot.addWidget(tables)
    tables.resize(1000, 500)
    with qtbot.waitActive(tables):
        tables.show()
    return tables


def page(tables: Tables, name: str) -> SheetPage:
    found = tables.pages[name]
    tables.setCurrentIndex(list(tables.pages).index(name))
    found.view.setFocus()
    return found


def go(found: SheetPage, row: int, column: int) -> None:
    found.view.setCurrentIndex(found.order.index(row, column))
    found.view.setFocus()


def type_in(qtbot: QtBot, text: str, end: Key = Key.Key_Return) -> None:
    """Type into whatever has the keyboard, as a builder does: the first letter opens the cell."""
    for letter in text:
        qtbot.keyClicks(QApplication.focusWidget(), letter)
    qtbot.keyClick(QApplication.focusWidget(), end)
    QApplication.processEvents()  # a cell takes its text once the key is done with


def enter(qtbot: QtBot, found: SheetPage, row: int, column: int, text: str) -> None:
    go(found, row, column)
    type_in(qtbot, text)


def text(found: SheetPage, row: int, column: int) -> str:
    return str(found.order.data(found.order.index(row, column)))


def paste(found: SheetPage, text: str, row: int = 0, column: int = 0) -> None:
    go(found, row, column)
    QGuiApplication.clipboard().setText(text)
    found.paste()


def steps(document: Document) -> int:
    return document.undo_stack.count()


# A whole chassis


def build_by_tables(qtbot: QtBot, tables: Tables) -> None:
    found = page(tables, "Nodes")
    go(found, 0, 0)
    for name, at in CHASSIS.points.items():
        type_in(qtbot, name, Key.Key_Tab)
        for mm in at[:2]:
            type_in(qtbot, f"{mm:g} mm", Key.Key_Tab)
        type_in(qtbot, f"{at[2]:g} mm")
    found = page(tables, "Bars")
    go(found, 0, 0)
    for bar in CHASSIS.bars:
        cells = (bar.id, "", " ".join(bar.nodes), f"{OD} mm", f"{WALL} mm", "0")
        for cell in cells:
            if not cell:
                qtbot.keyClick(QApplication.focusWidget(), Key.Key_Tab)
            else:
                type_in(qtbot, cell, Key.Key_Tab)
        type_in(qtbot, "yes" if bar.mirrored else "no")


def test_a_chassis_is_built_by_keys_alone_and_undone_to_nothing(
    qtbot: QtBot, document: Document, tables: Tables
) -> None:
    assert CHASSIS.standing == 30
    empty = replace(document.rig, nodes=(), bars=(), panels=())
    document.replace_rig(empty)
    build_by_tables(qtbot, tables)
    assert document.rig == CHASSIS.on(empty)
    assert steps(document) == len(CHASSIS.points) + len(CHASSIS.bars)
    while document.undo_stack.canUndo():
        document.undo_stack.undo()
    assert document.rig == empty
    while document.undo_stack.canRedo():
        document.undo_stack.redo()
    assert document.rig == CHASSIS.on(empty)


# One cell


@pytest.mark.parametrize("unit", LengthUnit)
def test_an_edit_that_leaves_the_text_leaves_the_rig(
    qtbot: QtBot, document: Document, tables: Tables, unit: LengthUnit
) -> None:
    odd = replace(document.rig.nodes[0], at=(123.456789, -0.1, 1000.0 / 3.0))
    document.replace_rig(replace(document.rig, nodes=(odd, *document.rig.nodes[1:])))
    document.set_unit(unit)
    before = document.rig
    for name in NAMES:
        found = page(tables, name)
        for column in range(found.order.columnCount()):
            go(found, 0, column)
            qtbot.keyClick(found.view, Key.Key_F2)
            qtbot.keyClick(QApplication.focusWidget(), Key.Key_Return)
            QApplication.processEvents()
    assert document.rig is before
    assert steps(document) == 0


@pytest.mark.parametrize("name", NAMES)
def test_what_an_editor_starts_from_and_what_is_copied_is_the_exact_value(
    document: Document, tables: Tables, name: str
) -> None:
    document.set_unit(LengthUnit.FRACTION)
    sheet, model = tables.pages[name].sheet, page(tables, name).model
    for row in range(sheet.rows(document.rig)):
        for column in range(sheet.columns(document.rig)):
            field = sheet.field(document.rig, row, column)
            if field is not None:
                value = sheet.value(document.rig, row, column)
                assert field.cell.read(model.typed(row, column), LengthUnit.FRACTION) == value
                assert (
                    field.cell.read(sheet.text(document.rig, row, column, LengthUnit.FRACTION), LengthUnit.FRACTION)
                    == value
                )


@pytest.mark.parametrize(
    ("name", "row", "column", "typed", "field"),
    [
        ("Nodes", 1, 2, "1' 2 1/2\"", "nodes.1.at.1"),
        ("Bars", 0, 3, "50.8 mm", "bars.0.od"),
        ("Links", 4, 4, "300 mm + 68.3 mm", "axles.1.rods.0.chassis.1"),
        ("Axles", 5, 2, "4 1/2", "axles.1.bump"),
    ],
)
def test_a_typed_value_is_one_undo_step(
    qtbot: QtBot, document: Document, tables: Tables, name: str, row: int, column: int, typed: str, field: str
) -> None:
    before = document.rig
    enter(qtbot, page(tables, name), row, column, typed)
    value: object = document.rig
    for step in field.split("."):
        value = value[int(step)] if isinstance(value, tuple) else getattr(value, step)
    assert value == pytest.approx({"Nodes": 14.5 * 25.4, "Bars": 50.8, "Links": 368.3, "Axles": 4.5 * 25.4}[name])
    assert steps(document) == 1
    document.undo_stack.undo()
    assert document.rig == before


def test_a_renamed_node_keeps_its_bars_and_panels(qtbot: QtBot, document: Document, tables: Tables) -> None:
    old = document.rig.bars[0].nodes[0].rstrip("'")
    row = next(k for k, node in enumerate(document.rig.nodes) if node.id == old)
    enter(qtbot, page(tables, "Nodes"), row, 0, "corner")
    refs = [ref for bar in document.rig.bars for ref in bar.nodes]
    assert "corner" in [ref.rstrip("'") for ref in refs]
    assert old not in [ref.rstrip("'") for ref in refs]
    assert steps(document) == 1


@pytest.mark.parametrize(
    ("name", "column", "typed", "said"),
    [
        ("Nodes", 1, "abc", "x: “abc” is out of place"),
        ("Nodes", 1, "1,234", "write “1234” or “1.234”"),
        ("Bars", 2, "nobody else", "there is no node “nobody”"),
        ("Bars", 6, "perhaps", "neither yes nor no"),
        ("Links", 9, "-1", "od is −1 in and must be more than 0 in"),
    ],
)
def test_what_cannot_be_used_stays_in_its_cell_and_is_told_below(
    qtbot: QtBot, document: Document, tables: Tables, name: str, column: int, typed: str, said: str
) -> None:
    found, before = page(tables, name), document.rig
    old = text(found, 0, column)
    enter(qtbot, found, 0, column, typed)
    assert said in found.said.text().replace("\N{NO-BREAK SPACE}", " ")
    assert found.said.text().endswith(".")
    assert text(found, 0, column) == typed
    assert document.rig is before
    found.view.setFocus()
    qtbot.keyClick(found.view, Key.Key_Escape)
    assert text(found, 0, column) == old
    assert found.said.text() == ""


def test_a_doubtful_reading_is_echoed_before_it_counts(qtbot: QtBot, document: Document, tables: Tables) -> None:
    found = page(tables, "Nodes")
    go(found, 0, 1)
    for letter in "1,5":
        qtbot.keyClicks(QApplication.focusWidget(), letter)
    assert found.said.text() == "= 1 1/2 in, 38.1 mm"
    assert steps(document) == 0
    qtbot.keyClick(QApplication.focusWidget(), Key.Key_Return)
    QApplication.processEvents()
    assert document.rig.nodes[0].at[0] == 38.1


def test_letters_typed_into_a_table_are_no_commands(qtbot: QtBot, document: Document, tables: Tables) -> None:
    fired = []
    action = tables.addAction("Top view", "T", lambda: fired.append(1))
    enter(qtbot, page(tables, "Bars"), 0, 1, "Top rail")
    assert document.rig.bars[0].name == "Top rail"
    assert not fired
    assert action is not None


# Rows


def test_an_incomplete_new_row_says_what_is_missing_and_stays(qtbot: QtBot, document: Document, tables: Tables) -> None:
    found = page(tables, "Nodes")
    last = found.order.rowCount() - 1
    enter(qtbot, found, last, 1, "12")
    assert found.said.text() == "Y and z are missing; enter what the new node has there."
    assert text(found, last, 1) == "12"
    assert steps(document) == 0


def test_a_new_bar_takes_size_and_side_from_the_last_one(qtbot: QtBot, document: Document, tables: Tables) -> None:
    found = page(tables, "Bars")
    last = document.rig.bars[-1]
    a, b = document.rig.nodes[0].id, document.rig.nodes[3].id
    enter(qtbot, found, found.order.rowCount() - 1, 2, f"{a} {b}'")
    new = document.rig.bars[-1]
    assert (new.nodes, new.od, new.wall, new.mirrored) == ((a, f"{b}'"), last.od, last.wall, last.mirrored)
    assert new.id not in {bar.id for bar in document.rig.bars[:-1]}


@pytest.mark.parametrize(("side", "said"), [("no", "1 bar added, on one side only."), ("yes", "1 bar added.")])
def test_a_new_bar_on_one_side_only_is_said_to_be(
    qtbot: QtBot, document: Document, tables: Tables, side: str, said: str
) -> None:
    found = page(tables, "Bars")
    a, b = document.rig.nodes[0].id, document.rig.nodes[3].id
    go(found, found.order.rowCount() - 1, 2)
    type_in(qtbot, f"{a} {b}'", Key.Key_Tab)
    enter(qtbot, found, found.order.rowCount() - 1, 6, side)
    assert document.rig.bars[-1].mirrored is (side == "yes")
    assert found.said.text() == said


def test_deleting_rows_is_one_step_and_takes_no_nodes_along(qtbot: QtBot, document: Document, tables: Tables) -> None:
    found, before = page(tables, "Bars"), document.rig
    go(found, 1, 0)
    qtbot.keyClick(found.view, Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(found.view, Key.Key_Delete)
    assert document.rig.bars == (before.bars[0], *before.bars[3:])
    assert document.rig.nodes == before.nodes
    assert steps(document) == 1
    assert document.undo_stack.undoText() == "Delete 2 bars"


def test_rows_are_sorted_by_size_and_the_new_one_stays_last(document: Document, tables: Tables) -> None:
    found = page(tables, "Nodes")
    for order, sign in ((Qt.SortOrder.AscendingOrder, 1.0), (Qt.SortOrder.DescendingOrder, -1.0)):
        found.view.sortByColumn(3, order)
        rows = found.view.shown_rows()
        heights = [sign * document.rig.nodes[row].at[2] for row in rows]
        assert heights == sorted(heights)
        assert found.model.is_draft(found.order.mapToSource(found.order.index(len(rows), 0)).row())


def test_ids_are_sorted_with_their_numbers_by_size(document: Document, tables: Tables) -> None:
    document.replace_rig(CHASSIS.on(document.rig))
    found = page(tables, "Nodes")
    found.view.sortByColumn(0, Qt.SortOrder.AscendingOrder)
    assert [text(found, row, 0) for row in range(10)] == [f"n{k}" for k in range(1, 11)]


def test_the_filter_shows_rows_with_all_words_and_the_new_one(qtbot: QtBot, document: Document, tables: Tables) -> None:
    found = page(tables, "Bars")
    word = document.rig.bars[0].nodes[0]
    qtbot.keyClicks(found.filter, f"{word.upper()} 1")
    shown = found.view.shown_rows()
    assert 0 < len(shown) < len(document.rig.bars)
    assert found.order.rowCount() == len(shown) + 1


# Choosing


def test_rows_and_the_rest_of_the_program_share_what_is_chosen(
    qtbot: QtBot, document: Document, tables: Tables
) -> None:
    found = page(tables, "Nodes")
    go(found, 1, 0)
    qtbot.keyClick(found.view, Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert [part.id for part in document.chosen] == [node.id for node in document.rig.nodes[1:3]]
    document.choose([node_part(document.rig.nodes[4], image=True)])
    assert {row for row, _ in found.view.source_cells()} == {4}
    document.select(None)
    assert found.view.source_cells() == []


def test_choosing_elsewhere_shows_when_the_tab_is_opened(document: Document, tables: Tables) -> None:
    found = page(tables, "Axles")
    go(found, 3, 2)
    assert document.active_axle == "front"
    document.choose([node_part(document.rig.nodes[2])])
    found = page(tables, "Nodes")
    assert {row for row, _ in found.view.source_cells()} == {2}


# Spreadsheets


@pytest.mark.parametrize("unit", LengthUnit)
@pytest.mark.parametrize("name", NAMES)
def test_what_is_copied_is_pasted_as_it_was_in_any_unit(
    qtbot: QtBot, document: Document, tables: Tables, name: str, unit: LengthUnit
) -> None:
    document.set_unit(unit)
    found, before = page(tables, name), document.rig
    found.view.selectAll()
    qtbot.keyClick(found.view, Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    document.set_unit(LengthUnit.MM if unit is not LengthUnit.MM else LengthUnit.INCH)
    go(found, 0, 0)
    qtbot.keyClick(found.view, Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert found.said.text().startswith("Pasted")
    assert document.rig == before
    assert steps(document) == 0


def test_a_chassis_is_pasted_from_a_spreadsheet_in_two_steps(document: Document, tables: Tables) -> None:
    empty = replace(document.rig, nodes=(), bars=(), panels=())
    document.replace_rig(empty)
    nodes = [f"{name}\t{x}\t{y}\t{z}" for name, (x, y, z) in CHASSIS.points.items()]
    paste(page(tables, "Nodes"), "\n".join(["Node\tx [mm]\ty [mm]\tz [mm]", *nodes]))
    bars = [f"{b.id}\t{' '.join(b.nodes)}\t{OD}\t{WALL}\t{'x' if b.mirrored else ''}" for b in CHASSIS.bars]
    bars = [line if line.endswith("x") else f"{line}no" for line in bars]
    paste(page(tables, "Bars"), "\r\n".join(["bar\tnodes\tod (mm)\twall (mm)\tmirrored", *bars, ""]))
    assert document.rig == CHASSIS.on(empty)
    assert steps(document) == 2


def test_a_block_goes_where_it_is_put_and_on_below_the_last_row(document: Document, tables: Tables) -> None:
    document.replace_rig(CHASSIS.on(document.rig))
    document.set_unit(LengthUnit.MM)
    found = page(tables, "Nodes")
    paste(found, "1\t2\t3\n4\t5\t6", row=9, column=1)
    assert [node.at for node in document.rig.nodes[9:]] == [(1.0, 2.0, 3.0), (4.0, 5.0, 6.0)]
    assert document.rig.nodes[-1].id == "n11"
    assert steps(document) == 1


def at_places(document: Document) -> dict[str, tuple[float, float, float]]:
    return {node.id: node.at for node in document.rig.nodes}


@pytest.mark.parametrize("column", [0, 2])
def test_rows_without_headings_go_by_their_id_wherever_the_cursor_is(
    document: Document, tables: Tables, column: int
) -> None:
    document.replace_rig(CHASSIS.on(document.rig))
    document.set_unit(LengthUnit.MM)
    before = at_places(document)
    first, second, *_ = before
    found = page(tables, "Nodes")
    paste(found, "q8\t10\t20\t30\nq9\t10\t24\t30", column=column)
    assert at_places(document) == {**before, "q8": (10.0, 20.0, 30.0), "q9": (10.0, 24.0, 30.0)}
    assert found.said.text() == "Pasted 2 rows: 2 nodes added."
    paste(found, f"{second}\t1\t2\t3\n{first}\t4\t5\t6\nQ8\t7\t8\t9", column=column)
    changed = {first: (4.0, 5.0, 6.0), second: (1.0, 2.0, 3.0), "Q8": (7.0, 8.0, 9.0)}
    assert at_places(document).items() >= changed.items()
    assert found.said.text() == f"Pasted 3 rows: 1 node added; 2 nodes changed: {first}, {second}."
    assert steps(document) == 2


def test_numbers_put_into_value_columns_go_by_place_and_name_the_rows(document: Document, tables: Tables) -> None:
    document.replace_rig(CHASSIS.on(document.rig))
    document.set_unit(LengthUnit.MM)
    before = document.rig
    found = page(tables, "Nodes")
    paste(found, "11\t12\n13\t14", row=1, column=1)
    ids = [node.id for node in before.nodes[1:3]]
    assert [node.at[:2] for node in document.rig.nodes[1:3]] == [(11.0, 12.0), (13.0, 14.0)]
    assert found.said.text() == f"Pasted 2 rows: 2 nodes changed: {', '.join(ids)}."
    assert [node.id for node in document.rig.nodes] == [node.id for node in before.nodes]


def test_three_bare_numbers_a_row_are_new_nodes_with_free_ids(document: Document, tables: Tables) -> None:
    document.replace_rig(CHASSIS.on(document.rig))
    document.set_unit(LengthUnit.MM)
    before = at_places(document)
    found = page(tables, "Nodes")
    paste(found, "1\t2\t3\n4\t5\t6")
    assert at_places(document) == {**before, "n11": (1.0, 2.0, 3.0), "n12": (4.0, 5.0, 6.0)}
    paste(found, "x [mm]\ty [mm]\tz [mm]\n7\t8\t9")
    assert at_places(document)["n13"] == (7.0, 8.0, 9.0)
    assert found.said.text() == "Pasted 1 row: 1 node added."


@pytest.mark.parametrize(
    "headings",
    [
        "id\tx [mm]\ty (cm)\tz [in]\tremark",
        "Name\tX mm\tY [cm]\tZ (inch)\tremark",
        "point\tx_mm\ty cm\tz in\tremark",
        "node\tx\ty [cm]\tz (in)\tremark",
    ],
)
def test_headings_are_understood_as_those_of_files_and_others_left_out_aloud(
    document: Document, tables: Tables, headings: str
) -> None:
    document.set_unit(LengthUnit.MM)
    found = page(tables, "Nodes")
    paste(found, f"{headings}\nq8\t10\t2.5\t1\tby tape")
    assert at_places(document)["q8"] == (10.0, 25.0, 25.4)
    assert found.said.text() == (
        "Pasted 1 row: 1 node added. Column “remark” of the nodes left out: its title is not known."
    )


def test_bars_come_by_their_two_ends_and_the_message_counts_those_on_one_side(
    document: Document, tables: Tables
) -> None:
    document.replace_rig(CHASSIS.on(document.rig))
    found = page(tables, "Bars")
    paste(found, "id\tfrom\tto\tmirrored\ntie\tn1\tn3\tyes\nbrace\tn1\tn3'\tno")
    assert [bar.nodes for bar in document.rig.bars[-2:]] == [("n1", "n3"), ("n1", "n3'")]
    assert found.said.text() == "Pasted 2 rows: 2 bars added, 1 on one side only."


def test_decimal_commas_of_a_spreadsheet_are_known_by_the_numbers_beside_them(
    document: Document, tables: Tables
) -> None:
    document.replace_rig(CHASSIS.on(document.rig))
    found = page(tables, "Nodes")
    paste(found, "node\tx [mm]\ty [mm]\tz [mm]\nn1\t1,5\t1,234\t-7\nn2\t1.234,5\t2\t3")
    assert [node.at for node in document.rig.nodes[:2]] == [(1.5, 1.234, -7.0), (1234.5, 2.0, 3.0)]
    before = document.rig
    paste(found, "node\tx [mm]\ty [mm]\nn1\t1,5\t1.234")
    assert "Row 2, y: “1.234” can be read two ways" in found.said.text()
    assert document.rig is before


@pytest.mark.parametrize(
    ("name", "pasted", "said"),
    [
        ("Nodes", "a\t1\t2\t3\nb\t1\tx\t3", "Row 2, y: "),
        ("Nodes", "node\tx\ty\tz\nn1\t1\t2\t3\nn2\t1\t1,234\t3", "Row 3, y: "),
        ("Nodes", "nom\tlong\tlarge\thaut\nq8\t1\t2\t3", "as headings; unknown: nom, long, large, haut. Write node, "),
        ("Nodes", "id\tx\ty\tz\tz\nq8\t1\t2\t3\t3", "the column “z” is there twice"),
        ("Nodes", "n1\t1\t2\t3\nn1\t4\t5\t6", "Row 2: n1 is there twice"),
        ("Links", "some-rod", "Row 1, link: an id is not changed by pasting"),
        ("Nodes", "1\t2\t3\t4\t5", "Row 1 has more columns than there is room for"),
        ("Bars", "bar\tnodes\nnew\tn1 nowhere", "Row 2: there is no node"),
        ("Bars", "bar\tnodes\nn 1\tn1 n2", "Row 2: "),
        ("Panels", "panel\tthickness\nskin\t1/16", "Row 2, corners is missing"),
        ("Axles", "axle\trear axle\nbumper [in]\t5", "Row 2 is not in this table"),
        ("Axles", "axle\trear axle\nbump [in]\tlots", "Row 2, rear axle: "),
        ("Nodes", " \n\t", "Nothing was copied"),
        ("Nodes", "PK\x03\x04\0\0\0", "What was copied is no table"),
        ("Nodes", "1\n" * 20_001, "over 20000; paste it in pieces"),
    ],
)
def test_a_bad_paste_says_where_and_changes_nothing(
    document: Document, tables: Tables, name: str, pasted: str, said: str
) -> None:
    document.replace_rig(CHASSIS.on(document.rig))
    before, found = document.rig, page(tables, name)
    paste(found, pasted)
    assert said.lower() in found.said.text().lower()
    assert found.said.text().endswith("Nothing was pasted.")
    assert document.rig is before
    assert steps(document) == 0


# Units


def test_the_unit_reaches_headings_and_cells_and_what_was_typed_survives_undo(
    document: Document, tables: Tables
) -> None:
    for name in NAMES:
        found = page(tables, name)
        document.set_unit(LengthUnit.MM)
        columns = range(found.order.columnCount())
        shown = [str(found.order.headerData(c, Qt.Orientation.Horizontal)) for c in columns]
        shown += [text(found, row, c) for row in range(found.order.rowCount()) for c in columns]
        assert not [one for one in shown if "[in]" in one]
        document.set_unit(LengthUnit.FRACTION)
        assert steps(document) == 0
