"""Everything to hit has its least size, and the window follows at once when that changes."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QLineEdit,
    QMenu,
    QPushButton,
    QSlider,
    QSpinBox,
    QTableWidget,
    QTabWidget,
    QToolButton,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.controls import LARGE, USUAL, apply_controls


@pytest.fixture
def application(qapp: QApplication) -> Iterator[QApplication]:
    yield qapp
    apply_controls(qapp, large=False)


@pytest.mark.parametrize(("large", "least"), [(False, USUAL), (True, LARGE)])
def test_every_kind_of_control_is_high_enough(qtbot: QtBot, application: QApplication, large: bool, least: int) -> None:
    apply_controls(application, large=large)
    fields = [QPushButton("a"), QCheckBox("a"), QLineEdit(), QComboBox(), QSpinBox(), QToolButton()]
    for field in (*fields, QSlider(Qt.Orientation.Horizontal)):
        qtbot.addWidget(field)
        assert field.sizeHint().height() >= least, type(field)
    menu, tree, table, tabs = QMenu(), QTreeWidget(), QTableWidget(1, 1), QTabWidget()
    tree.addTopLevelItem(QTreeWidgetItem(["x"]))
    tabs.addTab(QWidget(), "a")
    for widget in (menu, tree, table, tabs):
        qtbot.addWidget(widget)
        widget.ensurePolished()
    action = menu.addAction("Quit")
    menu.adjustSize()
    assert menu.actionGeometry(action).height() >= least
    assert tree.visualItemRect(tree.topLevelItem(0)).height() >= least
    assert table.rowHeight(0) >= least
    assert tabs.tabBar().tabSizeHint(0).height() >= least


def test_sizes_given_by_number_grow_and_come_back(qtbot: QtBot, application: QApplication) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    column = QVBoxLayout(window)
    field, mark = QLineEdit(), QToolButton()
    field.setMinimumHeight(26)
    mark.setFixedSize(26, 26)
    for widget in (field, mark):
        column.addWidget(widget)
    window.show()
    for large, field_height, mark_size in ((True, 40, (40, 40)), (False, 26, (26, 26)), (True, 40, (40, 40))):
        apply_controls(application, large=large)
        qtbot.waitUntil(lambda size=mark_size: mark.size().toTuple() == size)
        assert field.minimumHeight() == field_height
