"""What is drawn with: the tools, the tube, the grid and the work planes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import QSignalBlocker, QSize, Qt
from PySide6.QtGui import QAction, QWheelEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.document import Document
from app.panels.length_field import LengthField
from app.typeset import typeset
from app.units import fine_unit, format_length
from geometry.outline.view import FRONT, SIDE, TOP
from geometry.rig.layout import PartRef
from geometry.sketch.lookup import node_refs, points_of

if TYPE_CHECKING:
    from app.canvas.drawing.settings import DrawingSettings
    from app.canvas.modes import Modes

LEAST: Final = QSize(64, 28)
"""Least size of a button [px]; 24 is the smallest that is easy to hit."""

COLUMNS: Final = 3

PLANES: Final = {
    SIDE.key: "Side: left of centre",
    FRONT.key: "Front: station",
    TOP.key: "Top: height",
}
"""Which depth the work plane of each view gives to what snaps to nothing that has one."""


class DrawPanel(QScrollArea):
    """Buttons of the drawing modes, fields for what they draw with, and what the mode that is on says."""

    def __init__(self, document: Document, settings: DrawingSettings, modes: Modes) -> None:
        super().__init__()
        self._document = document
        self._settings = settings
        self._modes = modes
        self.setAccessibleName("Drawing")
        self.tools = QGridLayout()
        self.tools.setSpacing(4)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setAccessibleDescription("What the tool says")
        self.words.setMinimumHeight(2 * self.fontMetrics().lineSpacing())
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        unit = document.unit
        self.od = LengthField("Tube diameter", unit, lambda value: settings.set_tube(od=value))
        self.wall = LengthField(
            "Tube wall",
            unit,
            lambda value: settings.set_tube(wall=value),
            write=lambda value, shown: format_length(value, fine_unit(shown)),
        )
        self.bend = LengthField("Bend radius, 0 = mitred", unit, lambda value: settings.set_tube(bend_radius=value))
        self.mirrored = QCheckBox("&Mirrored: on both sides")
        self.mirrored.setMinimumHeight(LEAST.height())
        self.mirrored.toggled.connect(settings.set_mirrored)
        self.grid = _Steps()
        self.grid.setAccessibleName("Grid")
        self.grid.setMinimumHeight(LEAST.height())
        self.grid.activated.connect(self._choose_step)
        self.planes = {
            view.key: LengthField(f"Work plane: {PLANES[view.key]}", unit, partial(settings.set_plane, view))
            for view in (SIDE, FRONT, TOP)
        }
        self.take = QToolButton()
        self.take.setText("Through chosen &node")
        self.take.setToolTip(
            "Put the work planes of all views through the chosen node (W). They give the depth of new points"
        )
        self.take.setMinimumSize(LEAST)
        self.take.clicked.connect(self.take_from_node)
        self._lay_out()
        settings.changed.connect(self.refresh)
        modes.changed.connect(self._tell)
        document.unit_changed.connect(self._show_unit)
        document.selection_changed.connect(self._follow_selection)
        self._follow_selection()
        self.refresh()
        self._tell()

    def add_tools(self, actions: Sequence[QAction]) -> None:
        """Show a button for each tool."""
        for number, action in enumerate(actions):
            button = QToolButton()
            button.setDefaultAction(action)
            button.setMinimumSize(LEAST)
            button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            button.toggled.connect(partial(_set_bold, button))
            key = action.shortcut().toString()
            button.setToolTip(f"{action.toolTip()} ({key})" if key else action.toolTip())
            self.tools.addWidget(button, number // COLUMNS, number % COLUMNS)

    def refresh(self) -> None:
        """Take all values from the settings anew."""
        settings = self._settings
        self.od.show_value(settings.od)
        self.wall.show_value(settings.wall)
        self.bend.show_value(settings.bend_radius)
        for key, field in self.planes.items():
            field.show_value(settings.planes[key])
        with QSignalBlocker(self.mirrored), QSignalBlocker(self.grid):
            self.mirrored.setChecked(settings.mirrored)
            self.grid.clear()
            for step in range(len(settings.steps)):
                self.grid.addItem(settings.step_words(step), step)
            self.grid.addItem("Off", None)
            self.grid.setCurrentIndex(len(settings.steps) if settings.step is None else settings.step)

    def take_from_node(self) -> None:
        """Put the work planes through the chosen node; nothing when none is chosen."""
        part = self._document.selection
        if not isinstance(part, PartRef) or part.kind != "node":
            return
        at = np.array(points_of(self._document.rig, node_refs(self._document.rig, part))[0])
        for view in (SIDE, FRONT, TOP):
            self._settings.set_plane(view, float(view.depth(at)))

    def _choose_step(self, index: int) -> None:
        self._settings.set_step(self.grid.itemData(index))

    def _follow_selection(self) -> None:
        part = self._document.selection
        self.take.setEnabled(isinstance(part, PartRef) and part.kind == "node")

    def _show_unit(self) -> None:
        for field in (self.od, self.wall, self.bend, *self.planes.values()):
            field.show_unit(self._document.unit)
        self.refresh()

    def _tell(self) -> None:
        mode = self._modes.mode
        self.words.setText(typeset(mode.words if mode is not None else "Choose a tool, then click in a view."))

    def _lay_out(self) -> None:
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(8, 6, 8, 8)
        column.addLayout(self.tools)
        column.addWidget(self.words)
        form = QFormLayout()
        form.setVerticalSpacing(4)
        form.addRow("Tube × wall", _row(self.od, self.wall))
        form.addRow("Bend radius", self.bend)
        form.addRow("", self.mirrored)
        form.addRow("Grid", self.grid)
        form.addRow("Work planes", _row(self.take))
        for key, field in self.planes.items():
            form.addRow(PLANES[key], field)
        column.addLayout(form)
        column.addStretch(1)
        self.setWidget(inner)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QScrollArea.Shape.NoFrame)


def _set_bold(widget: QWidget, bold: bool) -> None:
    face = widget.font()
    face.setBold(bold)
    widget.setFont(face)


def _row(*widgets: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(4)
    for widget in widgets:
        row.addWidget(widget, 1, Qt.AlignmentFlag.AlignTop)
    return row


class _Steps(QComboBox):
    """Steps of the grid; the wheel passes over it unless it has the focus."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()
