"""A rig from a few numbers: one dialog in which every field has a value that works."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any, Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QGroupBox,
    QHBoxLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from app.panels.entry_field import FIELD_HEIGHT, EntryField, refusal_words
from app.panels.help_window import add_help
from app.panels.holders import Scrolled
from app.panels.length_field import LengthField
from app.units import LengthUnit
from geometry.rig.rig import Rig
from geometry.sketch.start import start_rig
from geometry.sketch.start_numbers import Locating, StartNumbers, problems

LEAST_FIELD: Final = 150
"""Least width of a field [px]: a tire size, or a length in feet, inches and sixteenths."""

WORDS: Final = "Enter what you know. Everything else is filled in for you, and marked until you confirm it."

LABELS: Final = {
    "wheelbase": "W&heelbase",
    "belly": "B&elly height",
    "bump": "&Bump",
    "droop": "&Droop",
    "tire_size": "&Tire size",
    "rim_width": "Rim &width",
    "offset": "&Offset",
    "rear_width": "&Rear",
    "front_width": "&Front",
}
"""Labels of the fields."""

NAMES: Final = {"rear_width": "Rear wheel-mount width", "front_width": "Front wheel-mount width"}
"""What a screen reader calls fields whose label says too little."""


class NewRigDialog(QDialog):
    """Takes numbers, says beside each field what does not work, and holds the rig once it is accepted.

    Attributes
    ----------
    numbers : StartNumbers
    rig : Rig or None
        None = not accepted.
    fields : dict
        Entry fields by the names of the numbers.
    locating : dict
        Choices of what locates an axle, by axle.

    """

    def __init__(self, unit: LengthUnit, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("New rig")
        add_help(self, "first.md")
        self.numbers = StartNumbers()
        self.rig: Rig | None = None
        self._unit = unit
        self.fields: dict[str, EntryField[Any]] = {
            name: LengthField(NAMES.get(name, words.replace("&", "")), unit, partial(self._take, name))
            for name, words in LABELS.items()
            if name != "tire_size"
        }
        self.fields["tire_size"] = EntryField("Tire size", str.strip, str, partial(self._take, "tire_size"), unit=unit)
        for name, field in self.fields.items():
            field.setMinimumWidth(LEAST_FIELD)
            field.show_value(getattr(self.numbers, name))
            field.line.editingFinished.connect(self._look)  # comes after the field has committed
        self.locating = {axle: self._choice(axle) for axle in ("rear", "front")}
        self.steered = QCheckBox("Front wheels &steer")
        self.steered.setChecked(self.numbers.steered)
        self.steered.setMinimumHeight(FIELD_HEIGHT)
        self.steered.toggled.connect(partial(self._take, "steered"))
        self._lay_out()
        self.fields["wheelbase"].line.setFocus()

    def _choice(self, axle: str) -> QComboBox:
        box = QComboBox()
        box.setAccessibleName(f"{axle.capitalize()} axle located by")
        box.setMinimumHeight(FIELD_HEIGHT)
        for kind in Locating:
            box.addItem(f"{kind[:1].upper()}{kind[1:]}", kind)
        box.setCurrentIndex(box.findData(getattr(self.numbers, axle)))
        box.currentIndexChanged.connect(lambda _index: self._take(axle, Locating(box.currentData())))
        return box

    def _lay_out(self) -> None:
        left, right = QVBoxLayout(), QVBoxLayout()
        left.addWidget(self._fields_of("Chassis and travel", "wheelbase", "belly", "bump", "droop"))
        left.addWidget(self._fields_of("Wheel-mount width", "rear_width", "front_width"))
        tires = self._fields_of("Tires and wheels, all round", "tire_size", "rim_width", "offset")
        right.addWidget(tires)
        right.addWidget(
            _group("Located by", [("Re&ar axle", self.locating["rear"]), ("Fro&nt axle", self.locating["front"])])
        )
        right.addWidget(self.steered)
        columns = QHBoxLayout()
        for each in (left, right):
            each.addStretch(1)
            columns.addLayout(each, 1)
        words = QLabel(WORDS)
        words.setWordWrap(True)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.create_button = buttons.addButton("&Create rig", QDialogButtonBox.ButtonRole.AcceptRole)
        for button in (self.create_button, buttons.button(QDialogButtonBox.StandardButton.Cancel)):
            button.setMinimumHeight(FIELD_HEIGHT)
            button.setAutoDefault(button is self.create_button)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self._inside = QWidget()
        above = QVBoxLayout(self._inside)
        above.setContentsMargins(0, 0, 0, 0)
        above.addWidget(words)
        above.addLayout(columns, 1)
        self._room = Scrolled(self._inside, "Numbers to start from")
        column = QVBoxLayout(self)
        column.addWidget(self._room)
        column.addWidget(buttons)
        self.create_button.setDefault(True)

    def _fields_of(self, title: str, *names: str) -> QGroupBox:
        return _group(title, [(LABELS[name], self.fields[name]) for name in names])

    def _take(self, name: str, value: Any) -> None:
        self.numbers = replace(self.numbers, **{name: value})
        self._look()

    def _look(self) -> EntryField[Any] | None:
        """Say beside each field what does not work, and make room for it; the first such field, if there is one."""
        wrong = self._say_problem()
        lacking = self._inside.heightForWidth(self._room.viewport().width()) - self._room.viewport().height()
        self.resize(self.width(), self.height() + max(0, lacking))
        return wrong

    def _say_problem(self) -> EntryField[Any] | None:
        """Unreadable text keeps its own words."""
        refused = {problem.place: refusal_words(problem, self._unit) for problem in problems(self.numbers)}
        unread = [name for name, field in self.fields.items() if field.line.isModified()]
        for name, field in self.fields.items():
            if name not in unread:
                field.show_error(refused.get(name, ""))
        return next((self.fields[name] for name in (*unread, *refused)), None)

    # Qt

    def accept(self) -> None:
        for field in self.fields.values():
            if field.line.isModified():  # not every desktop lets a button take the focus
                field.line.editingFinished.emit()
        wrong = self._look()
        if wrong is not None:
            wrong.line.setFocus()
            wrong.line.selectAll()
            return
        self.rig = start_rig(self.numbers)
        super().accept()


def _group(title: str, rows: list[tuple[str, QWidget]]) -> QGroupBox:
    group = QGroupBox(title)
    form = QFormLayout(group)
    form.setVerticalSpacing(4)
    form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
    for words, field in rows:
        label = QLabel(words)
        label.setBuddy(field)
        form.addRow(label, field)
    return group


def open_new_rig(parent: QWidget, unit: LengthUnit, take: Callable[[Rig], None]) -> NewRigDialog:
    """Ask for the numbers of a new rig; `take` gets it if it is wanted."""
    dialog = NewRigDialog(unit, parent)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.accepted.connect(lambda: take(dialog.rig) if dialog.rig is not None else None)
    dialog.open()
    return dialog
