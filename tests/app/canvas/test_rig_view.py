from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QNativeGestureEvent, QPointingDevice, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.canvas.extent import bounds
from app.canvas.rig_view import HIT_REACH, RigView
from app.canvas.scene import drawing_of
from app.document import Document
from app.edits import set_width
from app.files.assets import demo_rigs
from app.study import AxleAnswer, Study
from app.units import LengthUnit
from geometry.motion.travel import TravelPose
from geometry.outline.silhouette import cylinder_outline
from geometry.outline.view import SIDE
from geometry.rig.layout import PartRef
from geometry.rig.naming import node_part
from geometry.rig.rig import Rig
from tests.app.canvas.conftest import MakeApproach

TIRE = PartRef("tire", "rear", "left", "left rear tire")
LEFT = Qt.MouseButton.LeftButton
MIDDLE = Qt.MouseButton.MiddleButton


def shown(qtbot: QtBot, document: Document, key: str) -> RigView:
    view = RigView(document, key)
    qtbot.addWidget(view)
    view.resize(800, 600)
    with qtbot.waitExposed(view):
        view.show()
    view.setFocus()
    return view


@pytest.fixture
def side(qtbot: QtBot, document: Document) -> RigView:
    return shown(qtbot, document, "side")


@pytest.fixture
def front(qtbot: QtBot, document: Document) -> RigView:
    return shown(qtbot, document, "front")


@pytest.fixture
def top(qtbot: QtBot, document: Document) -> RigView:
    return shown(qtbot, document, "top")


def pixel_of(view: RigView, place: tuple[float, float, float]) -> QPoint:
    u, v = view.view.project(np.array(place))
    return view.viewport.to_pixel(QPointF(u, v)).toPoint()


def tire_pixel(view: RigView, side: str = "left", axle_id: str = "rear", up: float = -0.8) -> QPoint:
    """A pixel on a tire, well below the bars."""
    axle = view._live.drawing.axles[[axle.axle for axle in view._live.drawing.axles].index(axle_id)]
    tire = axle.tires[0 if side == "left" else 1]
    x, y, z = tire.solid.centre.tolist()
    return pixel_of(view, (x, y, z + up * tire.solid.radius))


def move(view: RigView, place: QPoint) -> None:
    QTest.mouseMove(view, place)
    QApplication.processEvents()


def drag(view: RigView, start: QPoint, way: QPoint, button: Qt.MouseButton = LEFT, steps: int = 10) -> None:
    """Press, move in steps; the button stays down."""
    QTest.mouseMove(view, start)
    QTest.mousePress(view, button, Qt.KeyboardModifier.NoModifier, start)
    for step in range(1, steps + 1):
        move(view, start + way * step / steps)


def release(view: RigView, place: QPoint, button: Qt.MouseButton = LEFT) -> None:
    QTest.mouseRelease(view, button, Qt.KeyboardModifier.NoModifier, place)


def turn_wheel(view: RigView, place: QPoint, notches: float) -> None:
    QApplication.sendEvent(
        view,
        QWheelEvent(
            QPointF(place),
            view.mapToGlobal(QPointF(place)),
            QPoint(),
            QPoint(0, round(120 * notches)),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        ),
    )


# Pan, zoom, fit


@pytest.mark.parametrize("key", ["side", "front", "top"])
def test_the_whole_rig_is_fitted_at_first_and_after_opening_and_resizing(
    qtbot: QtBot, document: Document, key: str
) -> None:
    view = shown(qtbot, document, key)
    document.open(demo_rigs()[1])
    view.resize(500, 700)
    box = bounds(view._live.drawing, view.view)
    assert view.viewport.frame.contains(box)
    assert max(box.width() / view.viewport.frame.width(), box.height() / view.viewport.frame.height()) > 0.8


@pytest.mark.parametrize("size", [(397, 540), (550, 260), (280, 430)])
@pytest.mark.parametrize("key", ["side", "front", "top"])
def test_a_fitted_rig_leaves_room_for_title_and_signs_and_little_ground(
    qtbot: QtBot, document: Document, key: str, size: tuple[int, int]
) -> None:
    view = shown(qtbot, document, key)
    view.resize(*size)
    box = bounds(view._live.drawing, view.view)
    seen = QRectF(view.viewport.to_pixel(box.topLeft()), view.viewport.to_pixel(box.bottomRight()))
    assert seen.top() >= 40.0
    assert view.height() - seen.bottom() >= 50.0
    if key != "top":
        assert view.height() - seen.bottom() <= 58.0 + 0.2 * view.height()


@pytest.mark.parametrize("way", [-1.0, 1.0])
def test_a_steered_axle_fits_into_the_front_view_at_full_lock(front: RigView, document: Document, way: float) -> None:
    wide = front.viewport.scale
    document.set_active_axle("front")
    document.set_pose("front", TravelPose(steer=way))
    for parts in front._live.drawing.axles:
        for tire in parts.tires:
            outline = cylinder_outline(tire.solid, front.view)
            assert all(front.viewport.frame.contains(QPointF(u, v)) for u, v in outline.tolist())
    document.set_active_axle("rear")
    assert front.viewport.scale == wide
    front.zoom(2.0)
    chosen = front.viewport
    document.set_active_axle("front")
    assert front.viewport == chosen


@pytest.mark.parametrize("key", ["side", "front", "top"])
def test_another_rig_is_fitted_even_when_the_last_one_was_zoomed(qtbot: QtBot, document: Document, key: str) -> None:
    view, fresh = shown(qtbot, document, key), Document(document.rig, unit=LengthUnit.FRACTION)
    view.zoom(4.0)
    for path in (demo_rigs()[1], demo_rigs()[0]):
        document.open(path)
        fresh.open(path)
        other = shown(qtbot, fresh, key)
        other.fit()
        assert view.viewport == other.viewport


def test_the_wheel_zooms_about_the_pointer_and_comes_back(side: RigView) -> None:
    place = QPoint(650, 120)
    before, point = side.viewport, side.viewport.to_view(QPointF(place))
    for _ in range(12):
        turn_wheel(side, place, 1.0)
    assert side.viewport.scale > 5.0 * before.scale
    assert (side.viewport.to_pixel(point) - QPointF(place)).manhattanLength() < 1.0
    for _ in range(12):
        turn_wheel(side, place, -1.0)
    assert side.viewport.scale == pytest.approx(before.scale, rel=1e-3)
    assert (side.viewport.to_pixel(point) - QPointF(place)).manhattanLength() < 1.0


def test_a_pinch_zooms(side: RigView) -> None:
    before = side.viewport.scale
    pinch = QNativeGestureEvent(
        Qt.NativeGestureType.ZoomNativeGesture,
        QPointingDevice.primaryPointingDevice(),
        2,
        QPointF(100.0, 100.0),
        QPointF(100.0, 100.0),
        QPointF(100.0, 100.0),
        0.25,
        QPointF(),
    )
    QApplication.sendEvent(side, pinch)
    assert side.viewport.scale == pytest.approx(1.25 * before)


def test_two_fingers_pan_where_the_touchpad_says_pixels(side: RigView) -> None:
    before = side.viewport
    scroll = QWheelEvent(
        QPointF(100.0, 100.0),
        QPointF(100.0, 100.0),
        QPoint(15, -30),
        QPoint(15, -30),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.ScrollUpdate,
        False,
    )
    QApplication.sendEvent(side, scroll)
    assert side.viewport == before.panned(QPointF(15.0, -30.0))


def test_a_middle_drag_pans_even_over_a_tire(front: RigView, rig: Rig) -> None:
    before = front.viewport
    start = tire_pixel(front)
    drag(front, start, QPoint(60, 40), MIDDLE)
    release(front, start + QPoint(60, 40), MIDDLE)
    assert front.viewport == before.panned(QPointF(60.0, 40.0))
    assert front._document.rig is rig


def test_space_and_drag_pans_even_over_a_tire_and_selects_nothing(front: RigView, rig: Rig) -> None:
    before = front.viewport
    start = tire_pixel(front)
    QTest.keyPress(front, Qt.Key.Key_Space)
    drag(front, start, QPoint(60, 40))
    release(front, start + QPoint(60, 40))
    QTest.keyRelease(front, Qt.Key.Key_Space)
    assert front.viewport == before.panned(QPointF(60.0, 40.0))
    assert front._document.rig is rig
    assert front._document.selection is None


def test_escape_during_a_pan_goes_back(side: RigView) -> None:
    before = side.viewport
    drag(side, QPoint(400, 30), QPoint(60, 40), MIDDLE)
    assert side.viewport != before
    QTest.keyClick(side, Qt.Key.Key_Escape)
    assert side.viewport == before
    release(side, QPoint(460, 70), MIDDLE)
    assert side.viewport == before


def test_keys_zoom_pan_and_fit(side: RigView) -> None:
    before = side.viewport
    QTest.keyClick(side, Qt.Key.Key_Plus)
    assert side.viewport.scale == pytest.approx(1.2 * before.scale)
    QTest.keyClick(side, Qt.Key.Key_Minus)
    assert side.viewport.scale == pytest.approx(before.scale)
    QTest.keyClick(side, Qt.Key.Key_Right)
    assert side.viewport.centre.x() > before.centre.x()
    QTest.keyClick(side, Qt.Key.Key_F)
    assert side.viewport == before


def test_an_edit_never_moves_the_view(front: RigView, document: Document) -> None:
    QTest.keyClick(front, Qt.Key.Key_Plus)
    before = front.viewport
    set_width(document, "rear", 1900.0)
    document.undo_stack.undo()
    document.set_pose("rear", TravelPose(50.0, 50.0))
    assert front.viewport == before


def test_after_a_zoom_resizing_keeps_scale_and_middle(side: RigView) -> None:
    QTest.keyClick(side, Qt.Key.Key_Plus)
    before = side.viewport
    side.resize(500, 400)
    assert (side.viewport.scale, side.viewport.centre) == (before.scale, before.centre)


# Picking


def test_a_click_beside_a_bar_selects_it_and_a_click_on_nothing_clears(side: RigView, document: Document) -> None:
    bar = max(side._live.drawing.chassis.bars, key=lambda each: float(each.points[:, 2].mean()))
    place = pixel_of(side, tuple(bar.points[:2].mean(axis=0).tolist()))
    beside = place - QPoint(0, round(bar.radius * side.viewport.scale + HIT_REACH - 2))
    QTest.mouseClick(side, LEFT, Qt.KeyboardModifier.NoModifier, beside)
    selected = document.selection
    assert isinstance(selected, PartRef)
    assert selected.kind == "bar"
    QTest.mouseClick(side, LEFT, Qt.KeyboardModifier.NoModifier, QPoint(5, 5))
    assert document.selection is None


def test_clicking_again_takes_the_next_part_underneath(side: RigView, document: Document) -> None:
    bar = max(side._live.drawing.chassis.bars, key=lambda each: float(each.points[:, 2].mean()))
    place = pixel_of(side, tuple(bar.points[:2].mean(axis=0).tolist()))
    under = side.parts_at(QPointF(place))
    picked = []
    for _ in range(3 * len(under)):
        QTest.mouseClick(side, LEFT, Qt.KeyboardModifier.NoModifier, place)
        assert isinstance(document.selection, PartRef)
        picked.append(document.selection)
    assert len(under) > 1
    assert picked[1].kind == "node"  # the bar is seen end on, and shows its squares
    assert list(dict.fromkeys(part for part in picked if part.kind != "node")) == list(under)


def test_clicking_a_tire_makes_its_axle_the_one_looked_at(side: RigView, document: Document) -> None:
    document.set_active_axle("rear")
    QTest.mouseClick(side, LEFT, Qt.KeyboardModifier.NoModifier, tire_pixel(side, axle_id="front"))
    assert document.active_axle == "front"
    assert isinstance(document.selection, PartRef)
    assert document.selection.kind == "tire"


def test_escape_clears_the_selection(side: RigView, document: Document) -> None:
    document.select(PartRef("tire", "rear", "left", "left rear tire"))
    QTest.keyClick(side, Qt.Key.Key_Escape)
    assert document.selection is None


def test_ctrl_adds_to_what_is_chosen_and_takes_out_again(side: RigView, document: Document) -> None:
    bars = sorted(side._live.drawing.chassis.bars, key=lambda each: float(each.points[:, 2].mean()))
    places = [pixel_of(side, tuple(bar.points[:2].mean(axis=0).tolist())) for bar in (bars[-1], bars[0])]
    for place in places:
        QTest.mouseClick(side, LEFT, Qt.KeyboardModifier.ControlModifier, place)
    assert [part.kind for part in document.chosen] == ["bar", "bar"]
    QTest.mouseClick(side, LEFT, Qt.KeyboardModifier.ControlModifier, places[0])
    assert len(document.chosen) == 1


def test_a_box_chooses_what_lies_wholly_in_it(side: RigView, document: Document) -> None:
    drag(side, QPoint(2, 2), QPoint(790, 590))
    assert side.readout()[0].endswith("parts in the box")
    release(side, QPoint(792, 592))
    chosen = document.chosen
    parts = {bar.part for bar in side._live.drawing.chassis.bars} | {
        tire.part for axle in side._live.drawing.axles for tire in axle.tires
    }
    assert parts <= set(chosen)
    drag(side, QPoint(2, 2), QPoint(30, 30))
    release(side, QPoint(32, 32))
    assert document.chosen == ()


def test_escape_ends_a_box_and_keeps_what_was_chosen(side: RigView, document: Document) -> None:
    document.choose([TIRE])
    drag(side, QPoint(2, 2), QPoint(790, 590))
    QTest.keyClick(side, Qt.Key.Key_Escape)
    release(side, QPoint(792, 592))
    assert document.chosen == (TIRE,)


# Moving what is chosen


def chosen_node(view: RigView, document: Document) -> tuple[PartRef, QPoint]:
    node = max(document.rig.nodes, key=lambda each: each.at[2])
    document.choose([node_part(node)])
    return node_part(node), pixel_of(view, node.at)


def test_a_chosen_node_is_dragged_by_whole_steps_and_is_one_undo_step(side: RigView, document: Document) -> None:
    part, place = chosen_node(side, document)
    before = next(node.at for node in document.rig.nodes if node.id == part.id)
    drag(side, place, QPoint(-31, 17))
    release(side, place + QPoint(-31, 17))
    after = next(node.at for node in document.rig.nodes if node.id == part.id)
    step = 25.4 / 8.0
    for old, new, pixels in zip(before, after, (31, 0, -17), strict=True):
        assert new - old == pytest.approx(pixels / side.viewport.scale, abs=step / 2.0 + 1e-9)
        assert (new - old) / step == pytest.approx(round((new - old) / step), abs=1e-6)
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == f"Move node {part.id}"


def test_escape_puts_a_moved_node_back(side: RigView, document: Document, rig: Rig) -> None:
    _, place = chosen_node(side, document)
    drag(side, place, QPoint(-31, 17))
    assert document.is_previewing
    QTest.keyClick(side, Qt.Key.Key_Escape)
    release(side, place)
    assert document.shown_rig is rig
    assert document.undo_stack.count() == 0


def test_what_is_not_chosen_does_not_move(side: RigView, document: Document, rig: Rig) -> None:
    bar = max(side._live.drawing.chassis.bars, key=lambda each: float(each.points[:, 2].mean()))
    place = pixel_of(side, tuple(bar.points[:2].mean(axis=0).tolist()))
    drag(side, place, QPoint(20, 20))
    release(side, place + QPoint(20, 20))
    assert document.rig is rig


def test_a_chosen_axle_is_dragged_in_the_side_view(side: RigView, document: Document, rig: Rig) -> None:
    document.set_pose("rear", TravelPose(50.0, 50.0))
    document.choose([TIRE])
    document.set_pose("rear", TravelPose())
    start = tire_pixel(side)
    drag(side, start, QPoint(-20, 0))
    release(side, start + QPoint(-20, 0))
    moved_by = document.rig.axle("rear").station - rig.axle("rear").station
    assert moved_by == pytest.approx(20.0 / side.viewport.scale, abs=25.4 / 16)


def test_arrow_keys_nudge_what_is_chosen_and_a_run_is_one_step(side: RigView, document: Document, rig: Rig) -> None:
    part, _ = chosen_node(side, document)
    x, y, z = next(node.at for node in rig.nodes if node.id == part.id)
    document.set_unit(LengthUnit.MM)
    QTest.keyClick(side, Qt.Key.Key_Up)
    QTest.keyClick(side, Qt.Key.Key_Up, Qt.KeyboardModifier.ShiftModifier)
    QTest.keyClick(side, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    assert next(node.at for node in document.rig.nodes if node.id == part.id) == pytest.approx((x + 0.1, y, z + 11.0))
    assert document.undo_stack.count() == 1
    assert side.readout() == ("x +0.1 mm, z +11.0 mm",)
    document.undo_stack.undo()
    assert document.rig == rig
    QTest.keyClick(side, Qt.Key.Key_Down)
    assert document.undo_stack.count() == 1
    document.choose([])
    before = side.viewport
    QTest.keyClick(side, Qt.Key.Key_Down)
    assert side.viewport != before


def test_a_move_that_the_rig_cannot_have_is_not_gone_to_and_says_why(side: RigView, document: Document) -> None:
    document.choose([TIRE])
    start = tire_pixel(side)
    drag(side, start, QPoint(0, -250))
    assert "loaded radius" in side.readout()[0]
    release(side, start + QPoint(0, -250))
    assert side.readout() != ()


# Dragging the width


@pytest.mark.parametrize(("tire", "outward"), [("left", 1), ("right", -1)])
def test_dragging_a_tire_outward_widens_the_axle_by_twice_the_way_in_one_step(
    front: RigView, document: Document, rig: Rig, tire: str, outward: int
) -> None:
    start = tire_pixel(front, tire)
    drag(front, start, QPoint(25 * outward, 0))
    preview = document.shown_rig.axle("rear").width
    assert preview - rig.axle("rear").width == pytest.approx(50.0 / front.viewport.scale, abs=25.4 / 16)
    assert document.rig is rig
    release(front, start + QPoint(25 * outward, 0))
    assert document.rig.axle("rear").width == preview
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == "Change rear axle width"
    document.undo_stack.undo()
    assert document.rig == rig


def test_in_the_top_view_tires_are_dragged_along_the_sheet(top: RigView, document: Document, rig: Rig) -> None:
    start = tire_pixel(top, axle_id="front", up=0.0)
    drag(top, start, QPoint(0, 20))
    release(top, start + QPoint(0, 20))
    gain = document.rig.axle("front").width - rig.axle("front").width
    assert gain == pytest.approx(40.0 / top.viewport.scale, abs=25.4 / 16)
    assert document.active_axle == "front"


def test_in_the_side_view_a_tire_cannot_be_dragged(side: RigView, document: Document, rig: Rig) -> None:
    start = tire_pixel(side)
    drag(side, start, QPoint(40, 0))
    release(side, start + QPoint(40, 0))
    assert document.rig is rig


@pytest.mark.parametrize(("unit", "step"), [(LengthUnit.FRACTION, 25.4 / 16), (LengthUnit.MM, 1.0)])
def test_a_dragged_width_keeps_to_what_a_tape_shows(
    front: RigView, document: Document, unit: LengthUnit, step: float
) -> None:
    document.set_unit(unit)
    start = tire_pixel(front)
    drag(front, start, QPoint(17, 0))
    release(front, start + QPoint(17, 0))
    steps = document.rig.axle("rear").width / step
    assert steps == pytest.approx(round(steps), abs=1e-9)


def test_escape_restores_the_width_and_leaves_no_step(front: RigView, document: Document, rig: Rig) -> None:
    start = tire_pixel(front)
    drag(front, start, QPoint(40, 0))
    assert document.is_previewing
    QTest.keyClick(front, Qt.Key.Key_Escape)
    assert document.shown_rig is rig
    move(front, start + QPoint(60, 0))
    release(front, start + QPoint(60, 0))
    assert document.shown_rig is rig
    assert document.undo_stack.count() == 0


def test_a_drag_out_and_back_is_no_step(front: RigView, document: Document, rig: Rig) -> None:
    start = tire_pixel(front)
    drag(front, start, QPoint(40, 0))
    move(front, start)
    release(front, start)
    assert document.undo_stack.count() == 0
    assert document.shown_rig == rig


def test_a_small_slip_is_a_click(front: RigView, document: Document, rig: Rig) -> None:
    start = tire_pixel(front)
    slip = QPoint(QApplication.startDragDistance() - 1, 0)
    drag(front, start, slip, steps=1)
    release(front, start + slip)
    assert document.rig is rig
    assert document.selection == PartRef("tire", "rear", "left", "left rear tire")


def test_undo_with_the_button_down_ends_the_drag(front: RigView, document: Document, rig: Rig) -> None:
    set_width(document, "rear", 1800.0)
    start = tire_pixel(front)
    drag(front, start, QPoint(40, 0))
    document.undo_stack.undo()
    move(front, start + QPoint(80, 0))
    release(front, start + QPoint(80, 0))
    assert document.shown_rig is document.rig
    assert document.rig == rig
    assert document.undo_stack.canRedo()


def test_tires_cannot_be_dragged_through_each_other(front: RigView, document: Document) -> None:
    start = tire_pixel(front)
    drag(front, start, QPoint(-700, 0), steps=40)
    release(front, start + QPoint(-700, 0))
    assert 0.0 < document.rig.axle("rear").width < 1600.0


def test_two_hundred_steps_are_one_undo_step(front: RigView, document: Document) -> None:
    start = tire_pixel(front)
    drag(front, start, QPoint(100, 0), steps=200)
    release(front, start + QPoint(100, 0))
    assert document.undo_stack.count() == 1


# What is said


def test_the_readout_names_the_place_in_the_rigs_frame_and_what_is_there(
    side: RigView, document: Document, rig: Rig
) -> None:
    document.set_unit(LengthUnit.MM)
    axle = rig.axle("rear")
    move(side, pixel_of(side, (axle.station, 0.0, 0.2 * axle.height)))
    place, part = side.readout()
    x, z = (float(word) for word in place.replace("mm", "").replace("x", "").replace("z", "").split())
    tolerance = 1.0 / side.viewport.scale
    assert x == pytest.approx(axle.station, abs=tolerance)
    assert z == pytest.approx(0.2 * axle.height, abs=tolerance)
    assert "rear tire" in part


def test_the_readout_follows_the_drag_in_the_current_unit(front: RigView, document: Document) -> None:
    document.set_unit(LengthUnit.MM)
    start = tire_pixel(front)
    drag(front, start, QPoint(25, 0))
    width = document.shown_rig.axle("rear").width
    assert front.readout() == (f"rear axle width {width:.1f} mm",)
    QTest.keyClick(front, Qt.Key.Key_Escape)


@pytest.mark.parametrize(
    ("key", "cursor"), [("front", Qt.CursorShape.SizeHorCursor), ("top", Qt.CursorShape.SizeVerCursor)]
)
def test_the_pointer_shows_that_a_tire_can_be_dragged(
    qtbot: QtBot, document: Document, key: str, cursor: Qt.CursorShape
) -> None:
    view = shown(qtbot, document, key)
    move(view, tire_pixel(view, up=0.0 if key == "top" else -0.8))
    assert view.cursor().shape() is cursor
    move(view, QPoint(3, 3))
    assert view.cursor().shape() is Qt.CursorShape.ArrowCursor


def test_a_view_has_a_name_and_tells_its_marks(side: RigView, document: Document, approach: MakeApproach) -> None:
    bar = next(iter(side._live.drawing.chassis.bars)).part
    found = approach((bar.id, bar.side), -3.0)
    answer = AxleAnswer("rear", 1.0, 1.0, 1.0, (found,), 0.0, 0.0)
    assert side.accessibleName() == "Side view"
    document.take_study(Study(document.revision, document.shown_rig, 0.25, (answer,)))
    assert "1 contact" in side.accessibleDescription()
    assert bar.label in side.accessibleDescription()
    document.set_unit(LengthUnit.MM)
    assert "-3.0 mm" in side.accessibleDescription()


def test_a_spot_out_of_sight_is_brought_into_it_and_one_in_sight_stays_put(
    side: RigView, approach: MakeApproach
) -> None:
    bar = side._live.drawing.chassis.bars[0].part
    found = approach((bar.id, bar.side), -3.0)
    before = side.viewport
    side.frame_spot(found)
    assert side.viewport == before
    side.set_viewport(before.zoomed(8.0, QPointF(0.0, 0.0)))
    side.frame_spot(found)
    u, v = side.view.project(np.array(found.on_fixed))
    assert side.viewport.frame.contains(QPointF(u, v))


# The picture


@pytest.mark.parametrize("key", ["side", "front", "top"])
def test_the_picture_changes_with_pose_width_selection_and_unit(qtbot: QtBot, document: Document, key: str) -> None:
    view = shown(qtbot, document, key)
    pictures = [view.grab().toImage()]
    for change in (
        lambda: document.set_pose("rear", TravelPose(100.0, 60.0)),
        lambda: set_width(document, "rear", 1900.0),
        lambda: document.select(PartRef("tire", "rear", "left", "")),
        lambda: document.set_unit(LengthUnit.MM),
    ):
        change()
        pictures.append(view.grab().toImage())
        assert pictures[-1] != pictures[-2]


def test_undo_brings_back_the_very_same_picture(front: RigView, document: Document) -> None:
    before = front.grab().toImage()
    set_width(document, "rear", 1900.0)
    document.undo_stack.undo()
    assert front.grab().toImage() == before


def test_nothing_to_draw_still_has_bounds(rig: Rig) -> None:
    drawing = drawing_of(rig, {"rear": TravelPose(5000.0, 5000.0), "front": TravelPose(5000.0, 5000.0)})
    assert bounds(drawing, SIDE).isValid()
