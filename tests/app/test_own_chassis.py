"""A chassis of one's own, sketched in the views with mouse and keys, and typed into the tables: the same rig."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.document import Document
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.tables.tables import Tables
from app.units import LengthUnit
from app.window import MainWindow
from geometry.rig.rig import Rig
from tests.app.own_chassis import CHASSIS, OD, WALL
from tests.app.panels.tables.test_tables import build_by_tables
from tests.app.sketching import click, press, type_into


@pytest.fixture
def empty() -> Rig:
    """Axles without a chassis."""
    return replace(read_rig(demo_rigs()[0]), nodes=(), bars=(), panels=())


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, empty: Rig) -> Iterator[MainWindow]:
    settings = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    palette = QApplication.palette()
    window = MainWindow(Document(empty, unit=LengthUnit.MM), settings)
    qtbot.addWidget(window, before_close_func=lambda each: each.document.undo_stack.setClean())
    window.resize(1440, 900)
    with qtbot.waitActive(window):
        window.show()
    window.searcher.stop()  # the answers are for other tests, and would take their time from this one
    yield window
    QApplication.setPalette(palette)


def sketch(window: MainWindow) -> None:
    """Bars of one side in the side view, at the depth that is typed; bars across in the top view, from node to node."""
    side, top, drawing = window.views["side"], window.views["top"], window.drawing
    QTest.mouseClick(side, Qt.MouseButton.LeftButton)
    press(side, Qt.Key.Key_T, Qt.Key.Key_B)
    QApplication.processEvents()  # the views find their places
    type_into(drawing.od.line, str(OD))
    type_into(drawing.wall.line, str(WALL))
    placed: set[str] = set()
    for bar in CHASSIS.bars:
        view = side if bar.mirrored else top
        for name in bar.nodes:
            x, y, z = CHASSIS.points[name.removesuffix("'")]
            if name not in placed and bar.mirrored:
                type_into(drawing.planes["side"].line, f"{y:g}")
            placed.add(name)
            click(view, (x, -y if name.endswith("'") else y, z))
        press(view, Qt.Key.Key_Return)


def test_a_sketched_chassis_and_a_typed_one_are_equal_rigs_and_come_and_go_by_undo_and_redo(
    qtbot: QtBot, window: MainWindow, empty: Rig
) -> None:
    assert CHASSIS.standing == 30
    sketch(window)
    document, top = window.document, window.views["top"]
    sketched = document.rig
    assert sketched == CHASSIS.on(empty)
    assert document.undo_stack.count() == len(CHASSIS.bars)

    control, shift = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
    for _ in CHASSIS.bars:
        QTest.keyClick(top, Qt.Key.Key_Z, control)
    assert document.rig == empty
    for _ in CHASSIS.bars:
        QTest.keyClick(top, Qt.Key.Key_Z, control | shift)
    assert document.rig == sketched

    typed = Document(empty, unit=LengthUnit.MM)
    tables = Tables(typed)
    qtbot.addWidget(tables)
    with qtbot.waitActive(tables):
        tables.show()
    build_by_tables(qtbot, tables)
    assert typed.rig == sketched
