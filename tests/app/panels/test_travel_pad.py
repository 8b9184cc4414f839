"""The travel pad poses the rig, which is no edit, and play runs the whole cycle and stops cleanly."""

from __future__ import annotations

from itertools import pairwise
from math import degrees, radians

import pytest
from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtGui import QColor
from pytestqt.qtbot import QtBot

from app.document import Document, locks
from app.edits import set_width, with_axle
from app.panels.pose_cycle import NamedPose, cycle_pose, named_pose
from app.panels.ramp import ramp
from app.panels.travel_map_view import cells_short, map_image
from app.panels.travel_pad import TravelPad, steer_words
from app.theme import colours
from geometry.contact.findings import TravelMap
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.rig.stroke import BumpStop, Strap
from tests.app.panels.answers import approach, map_of, study_of

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def pad(qtbot: QtBot, document: Document) -> TravelPad:
    pad = TravelPad(document)
    qtbot.addWidget(pad)
    pad.resize(460, 380)
    with qtbot.waitActive(pad):
        pad.show()
    return pad


def place(pad: TravelPad, left: float, right: float) -> QPoint:
    return pad.map.place_of(TravelPose(left, right)).toPoint()


def test_pressing_and_dragging_on_the_map_poses_the_rig(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    qtbot.mousePress(pad.map, LEFT, pos=place(pad, 0.0, 0.0))
    qtbot.mouseMove(pad.map, place(pad, 60.0, -40.0))
    qtbot.mouseRelease(pad.map, LEFT, pos=place(pad, 60.0, -40.0))
    pose = document.pose("rear")
    assert (pose.left, pose.right) == pytest.approx((60.0, -40.0), abs=1.5)
    assert document.undo_stack.count() == 0
    assert not document.is_modified


def test_a_drag_off_the_map_stays_within_the_travel(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    qtbot.mousePress(pad.map, LEFT, pos=place(pad, 0.0, 0.0))
    qtbot.mouseMove(pad.map, QPoint(5000, -5000))
    axle = document.rig.axle("rear")
    assert document.pose("rear") == TravelPose(axle.bump, axle.bump)


def test_left_lies_across_and_right_lies_up(pad: TravelPad) -> None:
    assert place(pad, 50.0, 0.0).x() > place(pad, 0.0, 0.0).x()
    assert place(pad, 0.0, 50.0).y() < place(pad, 0.0, 0.0).y()


def test_arrow_keys_move_the_wheels(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    qtbot.keyClick(pad.map, Qt.Key.Key_Right)
    qtbot.keyClick(pad.map, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert document.pose("rear") == TravelPose(3.175, -31.75)


@pytest.mark.parametrize("name", list(NamedPose))
def test_each_button_goes_to_its_pose(qtbot: QtBot, document: Document, pad: TravelPad, name: NamedPose) -> None:
    document.set_pose("rear", TravelPose(10.0, 20.0))
    qtbot.mouseClick(pad.buttons[name], LEFT)
    assert document.pose("rear") == named_pose(name, document.rig.axle("rear"))


def test_crossed_left_has_the_left_wheel_up(document: Document) -> None:
    axle = document.rig.axle("rear")
    assert named_pose(NamedPose.CROSSED_LEFT, axle) == TravelPose(axle.bump, -axle.droop)


def test_steering_turns_the_wheels_of_a_steered_axle_only(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    assert not pad.steer.isVisible()
    steered = next(axle for axle in document.rig.axles if axle.steering is not None)
    document.set_active_axle(steered.id)
    assert pad.steer.isVisible()
    pad.steer.setFocus()
    qtbot.keyClick(pad.steer, Qt.Key.Key_Home)
    assert degrees(document.pose(steered.id).steer) == pytest.approx(-degrees(locks(steered)[1]), abs=0.06)
    qtbot.keyClick(pad.steer, Qt.Key.Key_End)
    assert degrees(document.pose(steered.id).steer) == pytest.approx(degrees(locks(steered)[0]), abs=0.06)
    assert document.undo_stack.count() == 0


def test_named_poses_keep_the_steering_but_ride_height_straightens_it(document: Document, pad: TravelPad) -> None:
    steered = next(axle for axle in document.rig.axles if axle.steering is not None)
    document.set_active_axle(steered.id)
    document.set_pose(steered.id, TravelPose(0.0, 0.0, radians(10.0)))
    pad.show_named(NamedPose.FULL_STUFF)
    assert document.pose(steered.id).steer == pytest.approx(radians(10.0))
    pad.show_named(NamedPose.RIDE_HEIGHT)
    assert document.pose(steered.id) == RIDE_HEIGHT


def played(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    """Play until the rig has moved."""
    seen: set[TravelPose] = set()
    document.pose_changed.connect(lambda axle: seen.add(document.pose(axle)))
    qtbot.mouseClick(pad.play, LEFT)
    qtbot.waitUntil(lambda: len(seen) > 4)


def test_play_moves_the_rig_and_goes_back_to_the_pose_before(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    before = TravelPose(12.0, -30.0)
    document.set_pose("rear", before)
    played(qtbot, document, pad)
    assert document.pose("rear") != before
    qtbot.mouseClick(pad.play, LEFT)
    qtbot.wait(60)
    assert document.pose("rear") == before
    assert pad.play.text() == "&Play"


def test_a_pose_chosen_elsewhere_stops_play_and_stays(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    played(qtbot, document, pad)
    document.set_pose("rear", TravelPose(40.0, 10.0))
    qtbot.waitUntil(lambda: not pad.play.isChecked())
    assert document.pose("rear") == TravelPose(40.0, 10.0)


def test_turning_to_the_other_axle_stops_play_where_it_began(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    played(qtbot, document, pad)
    document.set_active_axle("front")
    assert not pad.play.isChecked()
    assert document.pose("rear") == RIDE_HEIGHT


def test_another_rig_stops_play_at_its_ride_height(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    document.set_pose("rear", TravelPose(40.0, 10.0))
    played(qtbot, document, pad)
    document.replace_rig(document.rig)
    assert not pad.play.isChecked()
    assert document.pose("rear") == RIDE_HEIGHT


@pytest.mark.parametrize(("angle", "side"), [(0.0, 0), (20.0, -1), (-20.0, 1)])
def test_the_steering_is_filled_from_straight_ahead_to_the_handle_only(
    document: Document, pad: TravelPad, angle: float, side: int
) -> None:
    steered = next(axle for axle in document.rig.axles if axle.steering is not None)
    document.set_active_axle(steered.id)
    document.set_pose(steered.id, TravelPose(steer=radians(angle)))
    slider = pad.steer
    picture = slider.grab().toImage()
    accent = colours(slider.palette()).accent
    zero, here = slider.place_of(0), slider.place_of(slider.value())
    filled = [
        x
        for x in range(picture.width())
        if picture.pixelColor(x, picture.height() // 2) == accent and abs(x - here) > 8.0
    ]
    assert bool(filled) is bool(side)
    assert all(min(zero, here) - 2.0 <= x <= max(zero, here) + 2.0 for x in filled)
    assert (here > zero) - (here < zero) == side


@pytest.mark.parametrize("corner", [(-1, -1), (-1, 1), (1, -1), (1, 1)])
def test_the_word_at_the_worst_pose_stays_clear_of_the_axes_words(
    document: Document, pad: TravelPad, corner: tuple[int, int]
) -> None:
    axle = document.rig.axle("rear")
    left, right = (axle.bump if way > 0 else -axle.droop for way in corner)
    assert pad.map._square().contains(pad.map.word_box(pad.map.place_of(TravelPose(left, right)), "worst"))


def test_a_named_pose_stops_play(qtbot: QtBot, document: Document, pad: TravelPad) -> None:
    qtbot.mouseClick(pad.play, LEFT)
    pad.show_named(NamedPose.FULL_DROOP)
    qtbot.wait(40)
    axle = document.rig.axle("rear")
    assert document.pose("rear") == TravelPose(-axle.droop, -axle.droop)


@pytest.mark.parametrize("axle_id", ["rear", "front"])
def test_the_cycle_visits_every_corner_without_a_jump(document: Document, axle_id: str) -> None:
    axle = document.rig.axle(axle_id)
    poses = [cycle_pose(axle, k / 2000.0) for k in range(2001)]
    assert poses[0] == RIDE_HEIGHT
    for name in NamedPose:
        goal = named_pose(name, axle)
        assert min(abs(p.left - goal.left) + abs(p.right - goal.right) for p in poses) < 0.5
    jumps = [abs(b.left - a.left) + abs(b.right - a.right) for a, b in pairwise(poses)]
    assert max(jumps) < 0.02 * (axle.bump + axle.droop)
    assert max(p.steer for p in poses) == pytest.approx(locks(axle)[0], abs=1e-3)


def test_the_map_is_coloured_by_margin_with_its_rows_upward(document: Document) -> None:
    image = map_image(map_of(document.rig))
    droop, stuff = image.pixelColor(0, image.height() - 1), image.pixelColor(image.width() - 1, 0)
    assert droop.name() == ramp((20.0 + 50.8) / 101.6).name()
    assert droop.lightness() > stuff.lightness()


def test_cells_that_are_short_of_clearance_are_hatched_and_no_others(document: Document) -> None:
    found = map_of(document.rig)
    short = sum(margin < 0.0 for row in found.margin for margin in row)
    step = found.left[1] - found.left[0]
    assert sum(round(cell.width() / step) for cell in cells_short(found)) == short


def test_what_is_unknown_is_left_blank(document: Document) -> None:
    rig = document.rig
    known = map_of(rig)
    holed = TravelMap("rear", known.left, known.right, ((float("nan"),) * 5, *known.margin[1:]))
    assert map_image(holed).pixelColor(0, 4).alpha() == 0
    assert all(cell.top() >= known.right[0] for cell in cells_short(holed))


def test_a_map_of_the_rig_as_it_was_is_not_shown(document: Document, pad: TravelPad) -> None:
    document.take_travel_map(document.revision, map_of(document.rig))
    assert pad.map._image is not None
    set_width(document, "rear", 1750.0)
    assert pad.map._image is None


def test_the_worst_place_is_marked_only_while_it_is_known(document: Document, pad: TravelPad) -> None:
    document.take_study(study_of(document, approach(30.0), approach(-6.0)))
    assert pad.map._worst is not None
    assert pad.map._worst.low == -6.0
    set_width(document, "rear", 1750.0)
    assert pad.map._worst is None


def test_the_scale_of_colour_rises_steadily_in_lightness() -> None:
    greys = [
        0.2126 * c.redF() + 0.7152 * c.greenF() + 0.0722 * c.blueF() for c in map(ramp, [k / 20 for k in range(21)])
    ]
    assert all(one < two for one, two in pairwise(greys))
    assert ramp(-3.0) == ramp(0.0)
    assert isinstance(ramp(0.5), QColor)


def test_steering_is_said_in_words() -> None:
    assert steer_words(0.0) == "straight"
    assert steer_words(radians(12.5)) == "12.5° left"
    assert steer_words(radians(-30.0)) == "30° right"


@pytest.fixture
def stopped(document: Document) -> Document:
    """Stops that are solid after 40 mm of bump at the station, and a strap on the left."""
    axle = document.rig.axle("rear")
    x, y, z = axle.station, axle.stop_station, axle.height
    stop = BumpStop(
        id="s", chassis=(x, y, z + 150.0), axle=(x, y, z + 50.0), height=90.0, compressed=60.0, mirrored=True
    )
    strap = Strap(id="t", name="long strap", chassis=(x, y, z + 300.0), axle=(x, y, z), length=370.0)
    document.replace_rig(with_axle(document.rig, "rear", bump_stops=(stop,), straps=(strap,)))
    return document


def test_dragging_stops_where_stops_and_straps_do_and_says_which(
    qtbot: QtBot, stopped: Document, pad: TravelPad
) -> None:
    qtbot.mousePress(pad.map, LEFT, pos=place(pad, 0.0, 0.0))
    assert pad.map.told == ""
    qtbot.mouseMove(pad.map, place(pad, 120.0, 10.0))
    assert (stopped.pose("rear").left, stopped.pose("rear").right) == pytest.approx((40.0, 10.0), abs=1.5)
    assert pad.map.told == "Left rear bump stop s is solid"
    assert "Left rear bump stop s is solid" in pad.map.accessibleDescription()
    qtbot.mouseMove(pad.map, place(pad, -120.0, 120.0))
    assert (stopped.pose("rear").left, stopped.pose("rear").right) == pytest.approx((-70.0, 40.0), abs=2.0)
    assert set(pad.map.told.lower().splitlines()) == {"right rear bump stop s is solid", "rear long strap is taut"}
    qtbot.mouseMove(pad.map, place(pad, -20.0, 20.0))
    qtbot.mouseRelease(pad.map, LEFT, pos=place(pad, -20.0, 20.0))
    assert pad.map.told == ""


def test_resting_the_pointer_names_what_ends_the_travel_and_moves_nothing(
    qtbot: QtBot, stopped: Document, pad: TravelPad
) -> None:
    qtbot.mouseMove(pad.map, place(pad, -120.0, -20.0))
    assert pad.map.told == "Rear long strap is taut"
    assert stopped.pose("rear") == RIDE_HEIGHT
    qtbot.mouseMove(pad.map, place(pad, 10.0, -20.0))
    assert pad.map.told == ""


def test_keys_stop_at_the_edge_too_and_buttons_go_to_the_ends_that_are_left(
    qtbot: QtBot, stopped: Document, pad: TravelPad
) -> None:
    for _ in range(3):
        qtbot.keyClick(pad.map, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert stopped.pose("rear").left == pytest.approx(40.0, abs=1.0)
    assert pad.map.told == "Left rear bump stop s is solid"
    qtbot.mouseClick(pad.buttons[NamedPose.FULL_STUFF], LEFT)
    assert (stopped.pose("rear").left, stopped.pose("rear").right) == pytest.approx((40.0, 40.0), abs=1.0)
    assert "Full stuff at +1 9/16 in" in pad._pose_words.text().replace("\N{NO-BREAK SPACE}", " ")
    qtbot.mouseClick(pad.buttons[NamedPose.CROSSED_LEFT], LEFT)
    pose = stopped.pose("rear")
    assert (pose.left, pose.right) == pytest.approx((40.0, -stopped.rig.axle("rear").droop), abs=2.0)


def test_what_is_closed_is_hatched_and_the_pad_says_why(stopped: Document, pad: TravelPad) -> None:
    assert pad.cut.isVisible()
    stopped.take_travel_map(stopped.revision, map_of(stopped.rig))

    def seen(left: float, right: float) -> set[int]:
        shown = pad.map.grab(QRect(place(pad, left, right) - QPoint(4, 4), QSize(8, 8))).toImage()
        return {shown.pixel(x, y) for x in range(8) for y in range(8)}

    hatch = colours(pad.palette()).quiet.rgba()
    assert hatch in seen(120.0, 120.0)
    assert hatch not in seen(20.0, -60.0)
    stopped.replace_rig(with_axle(stopped.rig, "rear", bump_stops=(), straps=()))
    assert not pad.cut.isVisible()
