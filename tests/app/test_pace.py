"""Panels refresh fifteen times a second in a gesture, at once outside of one, and always end up to date."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import Gesture, set_width, with_axle
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.pace import Pace
from app.units import LengthUnit


@pytest.fixture
def document() -> Document:
    return Document(read_rig(demo_rigs()[0]), unit=LengthUnit.MM)


def paced(document: Document, keeper: QObject) -> tuple[Pace, list[float]]:
    shown: list[float] = []
    pace = Pace(document, lambda: shown.append(document.shown_rig.axle("rear").width), keeper)
    document.rig_changed.connect(pace.ask)
    return pace, shown


def test_outside_of_a_gesture_a_panel_refreshes_at_once(document: Document) -> None:
    keeper = QObject()
    _, shown = paced(document, keeper)
    set_width(document, "rear", 1700.0)
    set_width(document, "rear", 1710.0)
    assert shown == [1700.0, 1710.0]


def test_in_a_gesture_it_skips_steps_and_ends_with_the_last(qtbot: QtBot, document: Document) -> None:
    keeper = QObject()
    pace, shown = paced(document, keeper)
    gesture = Gesture(document, "Change width")
    for step in range(30):
        gesture.preview(with_axle(document.rig, "rear", width=1700.0 + step))
    gesture.commit()
    assert not shown
    assert pace.lags
    qtbot.waitUntil(lambda: not pace.lags)
    assert 1 <= len(shown) <= 2
    assert shown[-1] == 1729.0
