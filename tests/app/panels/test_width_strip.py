"""The width strip: one gesture is one undo step, and slider, curve and field are always of one mind."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations

import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QPainter, QPalette, QPicture
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import set_width
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.width_picture import (
    DEEPEST,
    HEADROOM,
    WidthPicture,
    WidthScene,
    clearance_range,
    empty_words,
)
from app.panels.width_plot import WidthPlot, fine_step
from app.panels.width_strip import WidthStrip, window_words
from app.typeset import minus, typeset
from app.units import LengthUnit, format_clearance
from geometry.contact.findings import WidthBound, WidthCurve, WidthWindow
from geometry.rig.rig import WantedClearance
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


def test_a_run_of_keys_is_one_undo_step_and_escape_goes_back_to_its_start(
    qtbot: QtBot, document: Document, plot: WidthPlot
) -> None:
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Up, Qt.Key.Key_Left):
        qtbot.keyClick(plot, key)
    assert width_in(document) == pytest.approx(66.125)
    assert document.undo_stack.count() == 1
    qtbot.keyClick(plot, Qt.Key.Key_Escape)
    assert width_in(document) == pytest.approx(66.0)
    assert not document.undo_stack.canUndo()


@pytest.mark.parametrize("ending", ["enter", "focus", "mouse", "pause"])
def test_what_ends_a_run_of_keys_makes_escape_leave_it_alone(
    qtbot: QtBot, document: Document, strip: WidthStrip, ending: str
) -> None:
    plot = strip.plot
    plot.setFocus()
    qtbot.keyClick(plot, Qt.Key.Key_Right)
    if ending == "enter":
        qtbot.keyClick(plot, Qt.Key.Key_Return)
    elif ending == "focus":
        strip.field.line.setFocus()
        plot.setFocus()
    elif ending == "mouse":
        qtbot.mouseClick(plot, LEFT, pos=plot.handle_place().toPoint())
    else:
        plot._pause.start(1)
        qtbot.waitUntil(lambda: not plot._pause.isActive())
    qtbot.keyClick(plot, Qt.Key.Key_Escape)
    assert width_in(document) == pytest.approx(66.0625)
    qtbot.keyClick(plot, Qt.Key.Key_Right)
    assert document.undo_stack.count() == 2
    qtbot.keyClick(plot, Qt.Key.Key_Escape)
    assert width_in(document) == pytest.approx(66.0625)


def test_escape_goes_back_to_the_start_of_a_run_even_past_a_save(
    qtbot: QtBot, document: Document, plot: WidthPlot
) -> None:
    qtbot.keyClick(plot, Qt.Key.Key_Right)
    document.undo_stack.setClean()
    qtbot.keyClick(plot, Qt.Key.Key_Right)
    qtbot.keyClick(plot, Qt.Key.Key_Escape)
    assert width_in(document) == pytest.approx(66.0)


def test_escape_takes_back_nothing_that_was_done_elsewhere(qtbot: QtBot, document: Document, plot: WidthPlot) -> None:
    qtbot.keyClick(plot, Qt.Key.Key_Right)
    set_width(document, "rear", 70.0 * INCH)
    qtbot.keyClick(plot, Qt.Key.Key_Escape)
    assert width_in(document) == pytest.approx(70.0)


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


def test_where_nothing_clears_the_nearest_miss_is_named(document: Document, strip: WidthStrip) -> None:
    curve = replace(curve_of(document.rig), windows=())
    samples = tuple(
        replace(s, margin_low=s.margin_low - 150.0, margin_high=s.margin_high - 150.0) for s in curve.samples
    )
    document.take_curve(document.rig, replace(curve, samples=samples))
    missed = samples[-1]
    assert strip._window_words.text() == typeset(
        f"No width from 56 in to 76 in clears; nearest at 76 in, "
        f"{format_clearance(-missed.margin_low, LengthUnit.FRACTION, up=True)} short of what is wanted "
        "for left rear tire to rub rail, left"
    )


def test_the_axis_holds_the_whole_curve_and_the_least_of_it() -> None:
    curve = lowered(0.0)
    low, high = clearance_range(curve, WantedClearance())
    assert low <= min(s.low for s in curve.samples)
    assert high >= 50.8


def test_the_axis_holds_what_is_wanted_however_much() -> None:
    assert clearance_range(lowered(0.0), WantedClearance(tire_bar=150.0))[1] > 150.0


@pytest.mark.parametrize("by", [100.0, 200.0, 1500.0])
def test_deep_overlaps_leave_zero_and_some_of_the_curve_in_sight(by: float) -> None:
    curve = lowered(by)
    low, high = clearance_range(curve, WantedClearance())
    assert low < max(s.low for s in curve.samples) < high
    assert low < 0.0 < high
    assert low >= min(-DEEPEST * high, HEADROOM * max(s.low for s in curve.samples))


@pytest.mark.parametrize("by", [0.0, 100.0, 1500.0])
def test_the_curve_is_seen_and_its_depth_is_told_where_it_runs_off(qtbot: QtBot, by: float) -> None:
    del qtbot
    rig = read_rig(demo_rigs()[0])
    curve = lowered(by)
    scene = WidthScene(rig, "rear", curve, 56.0 * INCH, 76.0 * INCH, LengthUnit.INCH, "", focused=False)
    picture = WidthPicture(scene, QRectF(0.0, 0.0, 900.0, 260.0), QFont(), QPalette())
    assert any(picture.up.low <= s.low <= picture.up.high for s in curve.samples)
    recorder = QPicture()
    painter = QPainter(recorder)
    picture.draw(painter)
    painter.end()
    depth = minus(format_clearance(curve.samples[0].low, LengthUnit.INCH))
    told = [depth] if curve_leaves(picture, curve) else []
    words = [text for text, _ in picture.words]
    assert [text for text in told if text not in words] == []
    assert not any(one.intersects(other) for (_, one), (_, other) in combinations(picture.words, 2))


def lowered(by: float) -> WidthCurve:
    """A curve from 76 mm of overlap up to 101 mm of clearance, lowered [mm]."""
    curve = curve_of(read_rig(demo_rigs()[0]))
    samples = tuple(replace(s, low=s.low - by, high=s.high - by) for s in curve.samples)
    return replace(curve, samples=samples, windows=())


def curve_leaves(picture: WidthPicture, curve: WidthCurve) -> bool:
    return min(s.low for s in curve.samples) < picture.up.low


def test_a_curve_of_which_nothing_is_known_says_so(document: Document) -> None:
    curve = curve_of(document.rig)
    unknown = replace(curve, samples=tuple(replace(s, low=float("nan")) for s in curve.samples), windows=())
    assert "established" in empty_words(unknown, "")
    assert "Searching" in empty_words(None, "")
    assert empty_words(None, "It binds.") == "It binds."


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
