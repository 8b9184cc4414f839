from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, QPoint, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.canvas.marks import place_labels, spots_of
from app.canvas.modes import Modes, Pointer
from app.canvas.rig_view import RigView
from app.canvas.style import LIGHT_STYLE, DrawStyle
from app.document import Document
from app.files.assets import demo_rigs
from app.study import AxleAnswer, Study
from geometry.motion.travel import TravelPose
from geometry.outline.view import View
from geometry.rig.layout import BarPath
from tests.app.canvas.conftest import MakeApproach


class Dots:
    """A mode that takes places and paints nothing."""

    name = "Dots"

    def __init__(self) -> None:
        self.dots: list[Pointer] = []
        self.ended = 0

    @property
    def words(self) -> str:
        return f"{len(self.dots)} dots"

    def hover(self, pointer: Pointer | None) -> None:
        self.over = pointer

    def click(self, pointer: Pointer) -> None:
        self.dots.append(pointer)

    def finish(self) -> bool:
        self.ended += 1
        return True

    def back(self) -> bool:
        return bool(self.dots and self.dots.pop())

    def paint(self, painter: QPainter, view: View, style: DrawStyle, pt: float) -> None:
        """Nothing."""


@pytest.fixture
def modes(document: Document) -> Modes:
    return Modes(document)


@pytest.fixture
def side(qtbot: QtBot, document: Document, modes: Modes) -> RigView:
    view = RigView(document, "side", modes=modes)
    qtbot.addWidget(view)
    view.resize(800, 600)
    with qtbot.waitExposed(view):
        view.show()
    return view


def click(view: RigView, x: int, y: int, modifiers: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, modifiers, QPoint(x, y))


def test_in_a_mode_clicks_go_to_it_and_choose_nothing(side: RigView, modes: Modes, document: Document) -> None:
    dots = Dots()
    modes.enter(dots)
    click(side, 400, 300)
    click(side, 420, 310, Qt.KeyboardModifier.ControlModifier)
    assert [dot.free for dot in dots.dots] == [False, True]
    assert dots.dots[0].at == side.viewport.to_view(QPoint(400, 300).toPointF())
    assert document.selection is None
    assert side.readout() == ("2 dots",)


def test_a_drag_is_two_clicks(side: RigView, modes: Modes) -> None:
    dots = Dots()
    modes.enter(dots)
    QTest.mousePress(side, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(100, 100))
    for step in range(1, 6):
        QTest.mouseMove(side, QPoint(100 + 20 * step, 100))
    QTest.mouseRelease(side, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(200, 100))
    assert [side.viewport.to_pixel(dot.at).x() for dot in dots.dots] == pytest.approx([100.0, 200.0])


def test_enter_and_double_click_finish_escape_takes_back_and_then_leaves(side: RigView, modes: Modes) -> None:
    dots = Dots()
    modes.enter(dots)
    click(side, 300, 300)
    QTest.keyClick(side, Qt.Key.Key_Return)
    QTest.mouseDClick(side, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(300, 300))
    assert dots.ended == 2
    count = len(dots.dots)
    for left in range(count - 1, -1, -1):
        QTest.keyClick(side, Qt.Key.Key_Escape)
        assert len(dots.dots) == left
        assert modes.mode is dots
    QTest.keyClick(side, Qt.Key.Key_Escape)
    assert modes.mode is None


def test_another_mode_or_another_rig_gives_up_what_is_under_way(modes: Modes, document: Document) -> None:
    first, second = Dots(), Dots()
    pointer = Pointer(RigView(document, "side").view, QPoint().toPointF(), 1.0)
    modes.enter(first)
    modes.click(pointer)
    modes.enter(second)
    assert (first.dots, modes.mode) == ([], second)
    modes.click(pointer)
    document.open(demo_rigs()[1])
    assert (second.dots, modes.mode) == ([], None)


def test_the_picture_is_moved_and_zoomed_in_any_mode(side: RigView, modes: Modes) -> None:
    dots = Dots()
    modes.enter(dots)
    before = side.viewport
    QTest.keyClick(side, Qt.Key.Key_Right)
    QTest.keyPress(side, Qt.Key.Key_Space)
    QTest.mousePress(side, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(100, 100))
    for step in range(1, 6):
        QTest.mouseMove(side, QPoint(100 + 20 * step, 100))
    QTest.mouseRelease(side, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, QPoint(200, 100))
    QTest.keyRelease(side, Qt.Key.Key_Space)
    assert side.viewport != before
    assert dots.dots == []


def test_what_a_mode_says_stands_in_its_view_before_the_pointer_comes_in(side: RigView, modes: Modes) -> None:
    side.clearFocus()
    QApplication.sendEvent(side, QEvent(QEvent.Type.Leave))
    assert side.readout() == ()
    modes.enter(Dots())
    assert side.readout() == ("0 dots",)


def test_in_a_mode_marks_show_without_their_labels(
    side: RigView, modes: Modes, document: Document, approach: MakeApproach, bars: dict[tuple[str, str], BarPath]
) -> None:
    found = approach(next(iter(bars)), -3.0, pose=TravelPose(50.0, 50.0))
    modes.enter(Dots())
    bare = side.grab().toImage()
    answer = AxleAnswer("rear", 1.0, 1.0, 1.0, (found,), 0.0, 0.0)
    document.take_study(Study(document.revision, document.shown_rig, 0.25, (answer,)))
    drawing, viewport = side._live.drawing, side.viewport
    spots = spots_of(side.view, drawing, 1.0 / viewport.scale)
    (room,) = place_labels(spots, LIGHT_STYLE, 1.0 / viewport.scale, viewport.frame)
    assert room is not None
    label = QRectF(viewport.to_pixel(room.topLeft()), viewport.to_pixel(room.bottomRight())).toRect()
    spot = viewport.to_pixel(spots[0].place).toPoint()
    sign = QRect(spot - QPoint(6, 6), QSize(13, 13))
    drawing_something = side.grab().toImage()
    assert drawing_something.copy(label) == bare.copy(label)
    assert drawing_something.copy(sign) != bare.copy(sign)
    modes.leave()
    assert side.grab().toImage().copy(label) != bare.copy(label)
