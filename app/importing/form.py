"""What is chosen about a drawing: axes, origin, layers, ends that meet, sizes of tubes, sides."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Final

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QAbstractItemView,
    QCheckBox,
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.files.drawing import Halves
from app.importing.source import Drawn
from app.panels.length_field import LengthField
from app.typeset import minus
from app.units import LengthUnit, fine_unit, format_length, parse_length

ENDS: Final = {"x": "x", "-x": "−x", "y": "y", "-y": "−y", "z": "z", "-z": "−z"}
"""Axes of a drawing, and how they are shown."""

SIDES: Final = {
    Halves.AS_DRAWN: "all as it is drawn",
    Halves.PAIRS: "both drawn: pairs become mirrored",
    Halves.HALF: "one drawn: mirror what is off the centre",
}
"""What the sides of a drawing can be, and how it is shown."""

LAYER, HOLDS, OD, WALL = range(4)
"""Columns of the table of layers."""

FIXED: Final = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
"""What can be done with a cell that is not typed into."""


class DrawingForm(QWidget):
    """The choices about one drawing.

    Signals
    -------
    changed()
        Something else is chosen.
    refused(str)
        What was typed into the table of layers cannot be used; one sentence.

    """

    changed = Signal()
    refused = Signal(str)

    def __init__(self, source: Drawn, unit: LengthUnit) -> None:
        super().__init__()
        self._source = source
        self._unit = unit
        self.forward = self._combo("Forward is the drawing’s", ENDS, source.choices.forward, "forward")
        self.up = self._combo("Up is the drawing’s", ENDS, source.choices.up, "up")
        self.swapped = self._check("E&xchange left and right", "swapped")
        self.origin = [self._origin(axis, name) for axis, name in enumerate(("forward", "left", "up"))]
        self.layers = QTableWidget()
        self.join = self._length("Ends meet up to", source.choices.join, lambda value: self._choose(join=value))
        self.od = self._length("Tube outside diameter", source.choices.tube[0], lambda od: self._tube(od=od))
        self.wall = self._length("Tube wall", source.choices.tube[1], lambda wall: self._tube(wall=wall))
        self.through = self._check("Lines that run &on straight are one bar", "through")
        self.halves = self._combo("Sides", SIDES, source.choices.halves, "halves")
        self._lay_out()
        self._fill_layers()
        self.show_sizes()
        self.layers.itemChanged.connect(self._layer_changed)

    @property
    def is_sound(self) -> bool:
        """Whether nothing stands in a field that could not be used."""
        return not any(field.error.text() for field in (*self.origin, self.join, self.od, self.wall))

    def show_sizes(self) -> None:
        """Show the sizes of tubes that layers have of their own."""
        with QSignalBlocker(self.layers):
            for row in range(self.layers.rowCount()):
                sizes = self._source.choices.tubes.get(self._text(row, LAYER), (None, None))
                for column, size in zip((OD, WALL), sizes, strict=True):
                    item = self.layers.item(row, column)
                    if item is not None:
                        item.setText("" if size is None else self._written(size))

    def _fill_layers(self) -> None:
        taken, layers = self._source.choices.layers, sorted(self._source.drawing.layers.items())
        self.layers.setRowCount(len(layers))
        for row, (layer, kinds) in enumerate(layers):
            name = QTableWidgetItem(layer)
            name.setFlags(FIXED | Qt.ItemFlag.ItemIsUserCheckable)
            name.setCheckState(Qt.CheckState.Checked if taken is None or layer in taken else Qt.CheckState.Unchecked)
            holds = QTableWidgetItem(", ".join(f"{number:,} {kind}" for kind, number in sorted(kinds.items())))
            holds.setFlags(FIXED)
            for column, item in enumerate((name, holds, QTableWidgetItem(), QTableWidgetItem())):
                self.layers.setItem(row, column, item)

    # Layout

    def _lay_out(self) -> None:
        table = self.layers
        table.setColumnCount(4)
        table.setHorizontalHeaderLabels(["Layer", "Holds", "Tube od", "Wall"])
        table.setAccessibleName("Layers")
        table.verticalHeader().hide()
        table.horizontalHeader().setSectionResizeMode(HOLDS, QHeaderView.ResizeMode.Stretch)
        table.horizontalHeader().setSectionResizeMode(LAYER, QHeaderView.ResizeMode.ResizeToContents)
        table.setColumnWidth(OD, 76)
        table.setColumnWidth(WALL, 76)
        table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        table.setTabKeyNavigation(False)
        table.setMinimumHeight(110)
        axes, origin = QWidget(), QWidget()
        for holder, widgets in ((axes, (self.forward, self.up)), (origin, tuple(self.origin))):
            line = QHBoxLayout(holder)
            line.setContentsMargins(0, 0, 0, 0)
            for widget in widgets:
                line.addWidget(widget)
        form = QFormLayout()
        form.addRow("&Axes", axes)
        form.addRow("", self.swapped)
        form.addRow("Ori&gin: forward, left, up", origin)
        form.addRow("Ends &meet up to", self.join)
        tube = QWidget()
        line = QHBoxLayout(tube)
        line.setContentsMargins(0, 0, 0, 0)
        line.addWidget(self.od)
        line.addWidget(self.wall)
        form.addRow("&Tube od, wall", tube)
        form.addRow("", self.through)
        form.addRow("&Sides", self.halves)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(form)
        caption = QLabel("&Layers; tubes have the size above where none stands here:")
        caption.setBuddy(table)
        column.addWidget(caption)
        column.addWidget(table, 1)

    def _combo(self, name: str, words: Any, chosen: Any, field: str) -> QComboBox:
        box = QComboBox()
        box.setAccessibleName(name)
        box.setToolTip(name)
        for value, text in words.items():
            box.addItem(f"{text} forward" if field == "forward" else f"{text} up" if field == "up" else text, value)
        box.setCurrentIndex(list(words).index(chosen))
        box.activated.connect(lambda _index: self._choose(**{field: list(words)[box.currentIndex()]}))
        return box

    def _check(self, text: str, field: str) -> QCheckBox:
        box = QCheckBox(text)
        box.setChecked(bool(getattr(self._source.choices, field)))
        box.toggled.connect(lambda checked: self._choose(**{field: checked}))
        return box

    def _length(self, name: str, value: float, commit: Callable[[float], None]) -> LengthField:
        field = LengthField(name, self._unit, commit, write=lambda mm, unit: format_length(mm, fine_unit(unit)))
        field.show_value(value)
        return field

    def _origin(self, axis: int, name: str) -> LengthField:
        def commit(value: float) -> None:
            shift = list(self._source.choices.shift)
            shift[axis] = value
            self._choose(shift=tuple(shift))

        field = self._length(f"Origin of the drawing, {name}", self._source.choices.shift[axis], commit)
        field.setToolTip(f"Where the drawing’s origin lies in the rig: {name}")
        return field

    # Choosing

    def _choose(self, **fields: Any) -> None:
        if fields.get("join", 1.0) <= 0.0:
            raise ValueError("The distance must be more than nothing.")
        self._source.choices = replace(self._source.choices, **fields)
        self.changed.emit()

    def _tube(self, *, od: float | None = None, wall: float | None = None) -> None:
        now = self._source.choices.tube
        size = (now[0] if od is None else od, now[1] if wall is None else wall)
        _refuse_size(size)
        self._choose(tube=size)

    def _layer_changed(self, item: QTableWidgetItem) -> None:
        layer = self._text(item.row(), LAYER)
        choices = self._source.choices
        if item.column() == LAYER:
            taken = set(self._source.drawing.layers if choices.layers is None else choices.layers)
            taken = taken | {layer} if item.checkState() is Qt.CheckState.Checked else taken - {layer}
            self._choose(layers=frozenset(taken))
            return
        try:
            sizes = dict(choices.tubes)
            sizes.pop(layer, None)
            if size := self._size(item.row()):
                sizes[layer] = size
            self._choose(tubes=sizes)
        except ValueError as refused:
            self.refused.emit(f"Layer “{layer}”: {refused}")
            return
        self.show_sizes()

    def _size(self, row: int) -> tuple[float, float] | None:
        """The size that is typed for a layer; where half of it is, the other half is the usual one; None = none is."""
        typed = [self._text(row, column).strip() for column in (OD, WALL)]
        if not any(typed):
            return None
        usual = self._source.choices.tube
        od, wall = (parse_length(text, self._unit) if text else value for text, value in zip(typed, usual, strict=True))
        _refuse_size((od, wall))
        return od, wall

    def _text(self, row: int, column: int) -> str:
        item = self.layers.item(row, column)
        return "" if item is None else item.text()

    def _written(self, mm: float) -> str:
        return minus(format_length(mm, fine_unit(self._unit)))


def _refuse_size(size: tuple[float, float]) -> None:
    if not 0.0 < 2.0 * size[1] <= size[0]:
        raise ValueError("The wall must be more than nothing and at most half the outside diameter.")
