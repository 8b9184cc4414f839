"""A point that is dragged snaps, in the plane of its view."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.canvas.rig_view import RigView
from app.document import Document
from app.edits import change_rig
from app.units import LengthUnit
from geometry.rig.naming import joint_part, node_part
from geometry.rig.parts import Bar, Node
from geometry.rig.rig import Rig
from tests.app.sketching import LEFT, NONE, Place, look_at, pixel

CONTROL = Qt.KeyboardModifier.ControlModifier
NO_BUTTON = Qt.MouseButton.NoButton
A, B, C = (500.0, 300.0, 600.0), (1000.03, 300.0, 600.07), (800.0, 450.0, 900.0)


@pytest.fixture
def document(rig: Rig) -> Document:
    nodes = tuple(Node(id=name, at=at) for name, at in zip("abc", (A, B, C), strict=True))
    bars = (Bar(id="low", nodes=("a", "b"), od=40.0, wall=3.0, mirrored=True),)
    return Document(replace(rig, nodes=nodes, bars=bars, panels=()), unit=LengthUnit.MM)


@pytest.fixture
def side(qtbot: QtBot, document: Document) -> RigView:
    view = RigView(document, "side")
    qtbot.addWidget(view)
    view.resize(900, 700)
    with qtbot.waitExposed(view):
        view.show()
    view.setFocus()
    return view


def drag(view: RigView, start: Place, end: Place) -> None:
    """Drag from place to place, not to the pixel; the button stays down."""
    look_at(view, start, 0.8)
    first, last = pixel(view, start), pixel(view, end) + QPoint(3, -2)
    QTest.mouseMove(view, first)
    QTest.mousePress(view, LEFT, NONE, first)
    QTest.mouseMove(view, (first + last) / 2)
    QTest.mouseMove(view, last)


def release(view: RigView) -> None:
    QTest.mouseRelease(view, LEFT, NONE, QPoint())


def at(document: Document, name: str) -> Place:
    return next(node.at for node in document.rig.nodes if node.id == name)


def test_a_dragged_node_snaps_to_another_one_and_keeps_its_depth(side: RigView, document: Document) -> None:
    document.select(node_part(document.rig.nodes[2]))
    drag(side, C, B)
    assert side.readout() == ("x +200.0 mm, z −299.9 mm\nnode b, end of low",)
    shown = side.grab().toImage()
    release(side)
    assert side.grab().toImage() != shown
    assert at(document, "c") == (B[0], C[1], B[2])
    assert document.undo_stack.count() == 1


def test_what_moves_is_not_snapped_to(side: RigView, document: Document) -> None:
    document.select(node_part(document.rig.nodes[1]))
    drag(side, B, (B[0] - 9.0, B[1], B[2]))
    assert "\n" not in side.readout()[0]
    release(side)
    assert at(document, "b") != B


def test_ctrl_switches_snapping_off_for_the_gesture(side: RigView, document: Document) -> None:
    document.select(node_part(document.rig.nodes[2]))
    drag(side, C, B)
    spot = pixel(side, B).toPointF() + QPointF(3.0, -2.0)
    held = QMouseEvent(QEvent.Type.MouseMove, spot, side.mapToGlobal(spot), NO_BUTTON, LEFT, CONTROL)
    QApplication.sendEvent(side, held)
    assert "\n" not in side.readout()[0]
    release(side)
    assert at(document, "c") == pytest.approx((B[0] - 3 / 0.8, C[1], B[2] + 2 / 0.8), abs=1.0 / 0.8)


def test_a_dragged_link_end_snaps_to_a_node(side: RigView, document: Document) -> None:
    axle = document.rig.axles[0]
    rod = axle.rods[0]
    document.select(joint_part(axle, rod, "chassis"))
    drag(side, rod.chassis, C)
    release(side)
    assert document.rig.axles[0].rods[0].chassis == pytest.approx((C[0], rod.chassis[1], C[2]), abs=1e-9)


def between(one: Place, other: Place) -> Place:
    x, y, z = ((a + b) / 2.0 for a, b in zip(one, other, strict=True))
    return (x, y, z)


def choose_the_bar(view: RigView, document: Document) -> None:
    look_at(view, between(A, B), 0.8)
    QTest.mouseClick(view, LEFT, NONE, pixel(view, between(A, B)))
    assert [(part.kind, part.id) for part in document.chosen] == [("bar", "low")]


def test_a_drag_of_a_square_moves_that_node_and_not_the_bar_that_shows_it(side: RigView, document: Document) -> None:
    choose_the_bar(side, document)
    drag(side, B, (1200.0, B[1], 500.0))
    release(side)
    assert at(document, "a") == A
    assert at(document, "b") == pytest.approx((1200.0, B[1], 500.0), abs=10.0)
    assert document.chosen == (node_part(document.rig.nodes[1]),)
    assert document.undo_stack.count() == 1


def test_a_drag_of_a_chosen_bar_beside_its_squares_moves_all_of_it(side: RigView, document: Document) -> None:
    choose_the_bar(side, document)
    drag(side, between(A, B), (*between(A, B)[:2], 700.0))
    release(side)
    assert [at(document, name)[2] - was[2] for name, was in (("a", A), ("b", B))] == pytest.approx(
        [100.0] * 2, abs=10.0
    )


def test_a_square_of_what_is_chosen_moves_all_that_is_chosen(side: RigView, document: Document) -> None:
    document.choose([node_part(node) for node in document.rig.nodes])
    drag(side, A, (A[0] - 100.0, A[1], A[2]))
    release(side)
    assert [node.at[0] for node in document.rig.nodes] == pytest.approx([400.0, 900.0, 700.0], abs=10.0)


def test_a_click_on_a_square_takes_the_node_first_and_every_part_there_has_its_turn(
    side: RigView, document: Document
) -> None:
    up = Bar(id="up", nodes=("b", "c"), od=40.0, wall=3.0)
    change_rig(document, replace(document.rig, bars=(*document.rig.bars, up)), "Add a bar")
    choose_the_bar(side, document)
    look_at(side, B, 0.8)
    taken = []
    for _ in range(5):
        QTest.mouseClick(side, LEFT, NONE, pixel(side, B) + QPoint(3, -2))
        taken.append(document.chosen[0])
    assert taken[0] == node_part(document.rig.nodes[1])
    assert {(part.kind, part.id) for part in taken} >= {("node", "b"), ("bar", "low"), ("bar", "up")}
