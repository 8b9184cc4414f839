"""The width strip: one gesture is one undo step, and slider, curve and field are always of one mind."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from pytestqt.qtbot import QtBot

from app.document import Document
from app.panels.width_plot import WidthPlot, fine_step
from app.panels.width_strip import WidthStrip, window_words
from app.units import LengthUnit
from geometry.contact.findings import WidthBound, WidthWindow
from geometry.rig.wheel import INCH
from tests.app.panels.answers import curve_of

LEFT = Qt.MouseButton.LeftButton
Drag = Callable[[float], None]


@pytest.fixture
def strip(qtbot: QtBot, document: Document) -> Iterator[WidthStrip]:
    strip = WidthStrip(document)
    qtbot.addWidget(strip)
    strip.resize(900, 260)
    with qtbot.waitActive(strip):
        strip.show()
    document.take_curve(document.rig, curve_of(document.rig))
    return strip


@pytest.fixture
def plot(strip: WidthStrip) -> WidthPlot:
    return strip.plot


def at(plot: WidthPlot, width_in: float) -> QPoint:
    """Where a width lies on the slider [px]."""
    return QPoint(round(plot.axis.place(width_in * INCH)), round(plot.handle_place().y()))


def width_in(document: Document) -> float:
    return document.shown_rig.axle("rear").width / INCH


def test_the_handle_stands_under_its_point_on_the_curve(plot: WidthPlot) -> None:
    assert plot.handle_place().x() == pytest.approx(plot.axis.place(66.0 * INCH))


def test_dragging_the_handle_through_the_range_is_one_undo_step(
    qtbot: QtBot, document: Document, plot: WidthPlot
) -> None:
    qtbot.mousePress(plot, LEFT, pos=plot.handle_place().toPoint())
    for k in range(200):
        qtbot.mouseMove(plot, at(plot, 57.0 + k * 18.0 / 199.0))
    assert document.is_previewing
    assert document.undo_stack.count() == 0
    qtbot.mouseRelease(plot, LEFT, pos=at(plot, 75.0))
    assert document.undo_stack.count() == 1
    assert width_in(document) == pytest.approx(75.0, abs=0.1)
    document.undo_stack.undo()
    assert width_in(document) == pytest.approx(66.0)


def test_a_dragged_width_is_one_that_a_tape_shows(qtbot: QtBot, document: Document, plot: WidthPlot) -> None:
    qtbot.mousePress(plot, LEFT, pos=plot.handle_place().toPoint())
    qtbot.mouseMove(plot, at(plot, 70.123))
    qtbot.mouseRelease(plot, LEFT, pos=at(plot, 70.123))
    assert (width_in(document) * 16.0) % 1.0 == pytest.approx(0.0, abs=1e-9)


def test_dragging_there_and_back_leaves_no_step(qtbot: QtBot, document: Document, plot: WidthPlot) -> None:
    home = plot.handle_place().toPoint()
    qtbot.mousePress(plot, LEFT, pos=home)
    qtbot.mouseMove(plot, at(plot, 72.0))
    qtbot.mouseMove(plot, home)
    qtbot.mouseRelease(plot, LEFT, pos=home)
    assert document.undo_stack.count() == 0
    assert not document.is_modified


def test_escape_in_mid_drag_brings_the_width_back(qtbot: QtBot, document: Document, plot: WidthPlot) -> None:
    before = document.rig
    qtbot.mousePress(plot, LEFT, pos=plot.handle_place().toPoint())
    qtbot.mouseMove(plot, at(plot, 72.0))
    qtbot.keyClick(plot, Qt.Key.Key_Escape)
    assert document.shown_rig == before
    qtbot.mouseMove(plot, at(plot, 73.0))
    qtbot.mouseRelease(plot, LEFT, pos=at(plot, 73.0))
    assert document.rig == before
    assert document.undo_stack.count() == 0


def test_undo_with_the_button_held_does_not_mix_states(qtbot: QtBot, document: Document, strip: WidthStrip) -> None:
    plot = strip.plot
    strip.field.line.selectAll()
    qtbot.keyClicks(strip.field.line, "67")
    qtbot.keyClick(strip.field.line, Qt.Key.Key_Return)
    qtbot.mousePress(plot, LEFT, pos=plot.handle_place().toPoint())
    qtbot.mouseMove(plot, at(plot, 72.0))
    document.undo_stack.undo()
    qtbot.mouseMove(plot, at(plot, 73.0))
    qtbot.mouseRelease(plot, LEFT, pos=at(plot, 73.0))
    assert width_in(document) == pytest.approx(66.0)
    assert document.undo_stack.canRedo()


def test_a_press_on_the_curve_goes_there(qtbot: QtBot, document: Document, plot: WidthPlot) -> None:
    spot = QPoint(at(plot, 70.0).x(), 60)
    qtbot.mousePress(plot, LEFT, pos=spot)
    qtbot.mouseRelease(plot, LEFT, pos=spot)
    assert width_in(document) == pytest.approx(70.0, abs=0.05)
    assert document.undo_stack.count() == 1


def test_the_axis_keeps_still_while_dragging(qtbot: QtBot, plot: WidthPlot) -> None:
    before = plot.axis
    qtbot.mousePress(plot, LEFT, pos=plot.handle_place().toPoint())
    qtbot.mouseMove(plot, at(plot, 75.9))
    assert plot.axis == before
    qtbot.mouseRelease(plot, LEFT, pos=at(plot, 75.9))


@pytest.mark.parametrize(
    ("unit", "key", "modifier", "step"),
    [
        (LengthUnit.FRACTION, Qt.Key.Key_Right, Qt.KeyboardModifier.NoModifier, INCH / 16.0),
        (LengthUnit.FRACTION, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier, -10.0 * INCH / 16.0),
        (LengthUnit.INCH, Qt.Key.Key_Up, Qt.KeyboardModifier.NoModifier, INCH / 16.0),
    ],
)
def test_arrow_keys_step_by_what_the_unit_shows(
    qtbot: QtBot,
    document: Document,
    plot: WidthPlot,
    unit: LengthUnit,
    key: Qt.Key,
    modifier: Qt.KeyboardModifier,
    step: float,
) -> None:
    document.set_unit(unit)
    qtbot.keyClick(plot, key, modifier)
    assert document.rig.axle("rear").width == pytest.approx(66.0 * INCH + step)
    assert document.undo_stack.count() == 1


def test_in_millimetres_a_key_goes_to_the_next_whole_millimetre(
    qtbot: QtBot, document: Document, plot: WidthPlot
) -> None:
    document.set_unit(LengthUnit.MM)
    qtbot.keyClick(plot, Qt.Key.Key_Right)
    assert document.rig.axle("rear").width == 1677.0
    assert fine_step(LengthUnit.MM) == 1.0


def test_a_key_held_down_is_one_undo_step(qtbot: QtBot, document: Document, plot: WidthPlot) -> None:
    for _ in range(8):
        qtbot.keyPress(plot, Qt.Key.Key_Right)
    qtbot.keyRelease(plot, Qt.Key.Key_Right)
    assert width_in(document) == pytest.approx(66.5)
    assert document.undo_stack.count() == 1


def test_the_wheel_turns_nothing_that_has_no_focus(document: Document, strip: WidthStrip) -> None:
    strip.field.line.setFocus()
    turn_wheel(strip.plot)
    assert document.undo_stack.count() == 0
    strip.plot.setFocus()
    turn_wheel(strip.plot)
    assert width_in(document) == pytest.approx(66.0 + 1.0 / 16.0)


def turn_wheel(widget: WidthPlot) -> None:
    from PySide6.QtGui import QWheelEvent
    from PySide6.QtWidgets import QApplication

    middle = QPointF(widget.rect().center())
    event = QWheelEvent(
        middle,
        widget.mapToGlobal(middle),
        QPoint(),
        QPoint(0, 120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(widget, event)


@pytest.mark.parametrize(
    ("typed", "inches"),
    [("67 3/16", 67.1875), ("1700 mm", 1700.0 / 25.4), ("5' 7 1/2\"", 67.5), ("66 + 2*3/4", 67.5), ("68", 68.0)],
)
def test_a_typed_width_is_one_undo_step(
    qtbot: QtBot, document: Document, strip: WidthStrip, typed: str, inches: float
) -> None:
    line = strip.field.line
    line.selectAll()
    qtbot.keyClicks(line, typed)
    assert document.undo_stack.count() == 0
    qtbot.keyClick(line, Qt.Key.Key_Return)
    strip.plot.setFocus()
    assert document.undo_stack.count() == 1
    assert width_in(document) == pytest.approx(inches)
    assert document.undo_stack.undoText() == "Change rear axle width"


def test_text_that_is_no_length_stays_and_says_why(qtbot: QtBot, document: Document, strip: WidthStrip) -> None:
    line = strip.field.line
    line.selectAll()
    qtbot.keyClicks(line, "wide")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert line.text() == "wide"
    assert "wide" in strip.field.error.text()
    assert strip.field.error.isVisible()
    strip.plot.setFocus()
    assert line.text() == "wide"
    assert document.undo_stack.count() == 0
    line.setFocus()
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert line.text() == "66 in"
    assert not strip.field.error.isVisible()


def test_a_width_that_cannot_be_built_is_refused_beside_the_field(
    qtbot: QtBot, document: Document, strip: WidthStrip
) -> None:
    line = strip.field.line
    line.selectAll()
    qtbot.keyClicks(line, "-3")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert strip.field.error.text()
    assert document.undo_stack.count() == 0


def test_a_width_typed_beyond_the_curve_moves_the_range(qtbot: QtBot, strip: WidthStrip) -> None:
    line = strip.field.line
    line.selectAll()
    qtbot.keyClicks(line, "90")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert strip.plot.axis.low < 90.0 * INCH < strip.plot.axis.high


def test_the_unit_reaches_field_window_and_scale(document: Document, strip: WidthStrip) -> None:
    document.set_unit(LengthUnit.MM)
    assert strip.field.line.text() == "1676.4 mm"
    assert "mm" in strip.findChildren(type(strip._window_words))[-1].text() or "mm" in strip._window_words.text()
    assert "mm" in strip.plot.accessibleDescription()
    before = document.rig
    for unit in (LengthUnit.INCH, LengthUnit.FRACTION, LengthUnit.MM):
        document.set_unit(unit)
    assert document.rig == before
    assert document.undo_stack.count() == 0


def test_the_window_is_said_in_words(document: Document) -> None:
    unit = LengthUnit.FRACTION
    assert window_words(curve_of(document.rig), unit) == "Clears from 69 1/2 in on, looked at up to 76 in"
    assert "Looking" in window_words(None, unit)
    assert "Looking" in window_words(curve_of(document.rig, complete=False), unit)


def test_choosing_the_other_axle_shows_its_width(qtbot: QtBot, document: Document, strip: WidthStrip) -> None:
    front = document.rig.axle("front")
    strip.axles.setFocus()
    qtbot.keyClick(strip.axles, Qt.Key.Key_Down)
    assert document.active_axle == "front"
    assert strip.plot.width_now == front.width
    assert document.undo_stack.count() == 0


def test_the_handle_is_large_enough_to_hit(plot: WidthPlot) -> None:
    handle = plot._picture().handle
    assert min(handle.width(), handle.height()) >= 24.0


def test_the_bounds_of_a_window_are_rounded_into_it(document: Document) -> None:
    curve = curve_of(document.rig)
    rail = curve.windows[0].low.reason
    window = WidthWindow(WidthBound(68.2 * INCH, 68.1 * INCH, rail), WidthBound(73.3 * INCH, 73.4 * INCH, rail))
    words = window_words(replace(curve, windows=(window,)), LengthUnit.FRACTION)
    assert words == "Clears from 68 1/4 in to 73 1/4 in"
