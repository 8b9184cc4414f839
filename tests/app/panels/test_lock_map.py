"""The free lock on the travel pad: what is drawn is what was proved, and it is searched for when it is to be seen."""

from __future__ import annotations

from math import radians

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.document import Document
from app.panels.lock_map import cells_locked, lock_image, lock_words
from app.panels.ramp import ramp
from app.panels.travel_pad import TravelPad
from app.units import LengthUnit
from geometry.contact.free_lock import FreeLock
from geometry.motion.travel import TravelPose
from tests.geometry.rig.rigs import small_rig

NAN = float("nan")
FOUND = FreeLock(
    axle="front",
    edges=(-150.0, -60.0, 30.0, 120.0),
    lock_left=radians(40.0),
    lock_right=radians(30.0),
    left=((NAN, radians(40.0), radians(20.0)), (radians(40.0),) * 3, (radians(10.0), 0.0, radians(30.0))),
    right=((NAN, radians(30.0), radians(30.0)), (radians(30.0),) * 3, (radians(30.0), radians(5.0), radians(30.0))),
    left_pair=((None,) * 3,) * 3,
    right_pair=((None,) * 3,) * 3,
    complete=True,
)


def test_each_cell_has_the_colour_of_its_lesser_way_and_no_pose_has_none() -> None:
    image = lock_image(FOUND)
    assert image.pixelColor(0, 2).alpha() == 0
    for column, row, share in ((1, 0, 1.0), (2, 0, 0.5), (0, 2, 0.25), (1, 2, 0.0), (2, 2, 0.75)):
        assert image.pixelColor(column, 2 - row).name() == ramp(share).name()


def test_cells_that_are_not_even_free_straight_ahead_are_hatched() -> None:
    (cell,) = cells_locked(FOUND)
    assert (cell.left(), cell.top(), cell.width(), cell.height()) == (-60.0, 30.0, 90.0, 90.0)


def test_the_words_are_those_of_the_cell_of_the_pose() -> None:
    assert lock_words(FOUND, TravelPose(100.0, -100.0)) == "free lock 20° left, 30° right"
    assert lock_words(FOUND, TravelPose(120.0, 120.0)) == "free lock 30° each way"
    assert lock_words(FOUND, TravelPose(-100.0, -100.0)) == ""


@pytest.fixture
def pad(qtbot: QtBot) -> TravelPad:
    """The pad of the front axle, which steers."""
    document = Document(small_rig(), unit=LengthUnit.MM)
    document.set_active_axle("front")
    made = TravelPad(document)
    qtbot.addWidget(made)
    made.show()
    return made


def test_the_switch_asks_for_the_free_lock_and_shows_it_when_it_is_there(qtbot: QtBot, pad: TravelPad) -> None:
    document = pad._document
    assert not document.wants_free_lock("front")
    with qtbot.waitSignal(document.free_lock_asked):
        QTest.keyClick(pad.shown, Qt.Key.Key_Down)
    assert pad.map._image is None
    document.take_free_lock(document.revision, FOUND)
    assert pad.map._image is not None
    assert pad.map._image.size().width() == 3
    document.set_pose("front", TravelPose(100.0, -100.0))
    assert "free lock 20° left, 30° right" in pad._pose_words.text()
    assert "free lock 20° left, 30° right" in pad.map.accessibleDescription()
    assert pad.scale._words()[1] == ("0°: hatched", "17.5°", "35°")
    QTest.keyClick(pad.shown, Qt.Key.Key_Up)
    assert "free lock" not in pad._pose_words.text()
    assert pad.scale._words()[0].startswith("clearance")


def test_an_axle_that_does_not_steer_has_no_switch_and_shows_its_clearance(pad: TravelPad) -> None:
    pad.shown.setCurrentIndex(1)
    assert pad.map.shows_lock
    pad._document.set_active_axle("rear")
    assert not pad.shown.isVisible()
    assert not pad.map.shows_lock
