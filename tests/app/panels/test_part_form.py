"""Fields of the chosen part: what is typed is one undo step, what cannot be is said and nothing is lost."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QCheckBox
from pytestqt.qtbot import QtBot

from app.document import Document
from app.panels.entry_field import EntryField
from app.panels.part_form import ENTRIES, PartForm
from app.units import LengthUnit
from geometry.rig.naming import joint_part, link_part, node_part
from geometry.rig.parts import Node
from geometry.sketch.lookup import part_of
from tests.app.sketching import type_into


@pytest.fixture
def form(qtbot: QtBot, document: Document) -> PartForm:
    form = PartForm(document)
    qtbot.addWidget(form)
    form.resize(360, 500)
    with qtbot.waitActive(form):
        form.show()
    document.set_unit(LengthUnit.MM)
    return form


def field(form: PartForm, kind: str, words: str) -> EntryField[object]:
    found = form.pages[kind][words]
    assert isinstance(found, EntryField)
    return found


def test_each_field_of_a_bar_is_one_undo_step(document: Document, form: PartForm) -> None:
    bar = document.rig.bars[0]
    document.select(part_of(document.rig, bar))
    for words, text in (("Name", "Sill"), ("Diameter", "2 in"), ("Wall", "3"), ("Bend radius", "150")):
        type_into(field(form, "bar", words).line, text)
    changed = document.rig.bars[0]
    assert (changed.name, changed.od, changed.wall, changed.bend_radius) == ("Sill", 50.8, 3.0, 150.0)
    assert document.undo_stack.count() == 4
    assert document.undo_stack.undoText().endswith("bend radius")


def test_a_wall_thicker_than_the_tube_is_said_beside_its_field_and_stays_there(
    document: Document, form: PartForm
) -> None:
    document.select(part_of(document.rig, document.rig.bars[0]))
    wall = field(form, "bar", "Wall")
    type_into(wall.line, "500")
    assert wall.line.text() == "500"
    assert wall.error.text()
    assert not document.is_modified


def test_ticks_mirror_a_bar_and_take_a_panel_off(document: Document, form: PartForm) -> None:
    panel = document.rig.panels[0]
    bar = next(bar for bar in document.rig.bars if bar.mirrored)
    document.select(part_of(document.rig, bar))
    _press(form, "bar", "Mirrored: on both sides")
    assert next(each for each in document.rig.bars if each.id == bar.id) == replace(bar, mirrored=False)
    document.select(part_of(document.rig, panel))
    _press(form, "panel", "Fitted")
    assert document.rig.panels[0].fitted is not panel.fitted
    assert document.undo_stack.count() == 2


def test_a_tick_that_the_rig_cannot_have_goes_back_and_says_why(document: Document, form: PartForm) -> None:
    hoop = next(bar for bar in document.rig.bars if bar.id == "main-hoop")
    document.select(part_of(document.rig, hoop))
    _press(form, "bar", "Mirrored: on both sides")
    tick = form.pages["bar"]["Mirrored: on both sides"]
    assert isinstance(tick, QCheckBox)
    assert not tick.isChecked()
    assert "mirror" in form.error.text()
    assert form.error.isVisible()
    assert not document.is_modified


def _press(form: PartForm, kind: str, words: str) -> None:
    tick = form.pages[kind][words]
    assert isinstance(tick, QCheckBox)
    tick.setFocus()
    QTest.keyClick(tick, Qt.Key.Key_Space)


def test_coordinates_of_an_image_are_its_own_and_move_the_original_the_mirrored_way(
    document: Document, form: PartForm
) -> None:
    node = Node(id="lone", at=(500.0, 300.0, 600.0))
    document.replace_rig(replace(document.rig, nodes=(*document.rig.nodes, node)))
    document.select(node_part(node, image=True))
    across = field(form, "node", "y, left")
    assert across.line.text() == "−300.0 mm"
    type_into(across.line, "-310")
    assert document.rig.nodes[-1].at == (500.0, 310.0, 600.0)


def test_joints_of_a_link_are_put_where_they_are_typed(document: Document, form: PartForm) -> None:
    axle = document.rig.axles[0]
    rod = axle.rods[0]
    document.select(link_part(axle, rod))
    up = rod.chassis[2] + 5.0
    type_into(field(form, "link", "Chassis end, z, up").line, f"{up} mm")
    assert document.rig.axles[0].rods[0].chassis == (*rod.chassis[:2], up)
    document.select(joint_part(axle, rod, "axle"))
    along = rod.axle[0] + 5.0
    type_into(field(form, "joint", "x, forward").line, f"{along} mm")
    assert document.rig.axles[0].rods[0].axle == (along, *rod.axle[1:])


def test_what_is_typed_for_one_part_is_not_taken_for_the_next(document: Document, form: PartForm) -> None:
    first, second = document.rig.bars[:2]
    document.select(part_of(document.rig, first))
    od = field(form, "bar", "Diameter")
    QTest.keyClicks(od.line, "x")
    document.select(part_of(document.rig, second))
    assert "x" not in od.line.text()
    assert not document.is_modified


def test_nothing_shows_for_nothing_and_for_what_has_gone(document: Document, form: PartForm) -> None:
    document.select(part_of(document.rig, document.rig.bars[-1]))
    assert form.isVisible()
    document.replace_rig(replace(document.rig, bars=document.rig.bars[:-1]))
    assert not form.isVisible()
    assert set(ENTRIES) == {"bar", "panel", "node", "joint", "link"}
