"""The widget for each kind of value, all of them with the same few words to them."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, Final

from PySide6.QtCore import QSignalBlocker
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QCheckBox, QComboBox

from app.mass_units import echo_mass, format_mass, parse_mass, parse_number
from app.panels.entry_field import FIELD_HEIGHT, EntryField
from app.panels.length_field import LengthField, MeasuredField
from app.panels.records.items import Item
from app.typeset import minus
from app.units import LengthUnit, fine_unit, format_angle, format_length, parse_angle, parse_length

Commit = Callable[[Any], None]
Write = Callable[[float, LengthUnit], str]

BETWEEN: Final = ";"
"""Parts the lengths of a list: a comma may be a decimal one."""


class ChoiceField(QComboBox):
    """One of a few words; the wheel passes over it unless it has the focus."""

    def __init__(self, item: Item, name: str, commit: Commit) -> None:
        super().__init__()
        self._commit = commit
        self.setAccessibleName(name)
        self.setMinimumHeight(FIELD_HEIGHT)
        self.setMinimumContentsLength(8)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        for value, words in item.choices.items():
            self.addItem(words, value)
        self.activated.connect(lambda row: self._commit(self.itemData(row)))

    def explain(self, tip: str) -> None:
        """Say what is to be chosen."""
        self.setToolTip(tip)
        self.setAccessibleDescription(tip)

    def show_value(self, value: Any) -> None:
        """Show the document's value."""
        with QSignalBlocker(self):
            self.setCurrentIndex(self.findData(value))

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class TickField(QCheckBox):
    """Yes or no."""

    def __init__(self, item: Item, name: str, commit: Commit) -> None:
        super().__init__(item.words)
        self.setAccessibleName(name)
        self.setMinimumHeight(FIELD_HEIGHT)
        self.toggled.connect(commit)

    def explain(self, tip: str) -> None:
        """Say what a tick means."""
        self.setToolTip(tip)
        self.setAccessibleDescription(tip)

    def show_value(self, value: Any) -> None:
        """Show the document's value."""
        with QSignalBlocker(self):
            self.setChecked(bool(value))


Field = EntryField[Any] | ChoiceField | TickField


def field_of(item: Item, name: str, unit: LengthUnit, commit: Commit) -> Field:
    """The field for an item; `name` is what a screen reader calls it."""
    made = _made(item, name, unit, commit)
    made.explain(item.tip)
    show_empty(made, item, unit)
    return made


def show_empty(field: Field, item: Item, unit: LengthUnit) -> None:
    """Say in an empty field what that means: unknown, or what counts until something is entered."""
    if not isinstance(field, EntryField):
        return
    taken = item.taken_for
    words = item.empty if taken is None else f"{_written(item, taken, unit)} unless entered"
    field.line.setPlaceholderText(words)


def _written(item: Item, value: float, unit: LengthUnit) -> str:
    if item.kind in {"tape", "fine"}:
        return minus((_tape if item.kind == "tape" else _fine)(value, unit))
    return minus(format_mass(value, unit) if item.kind == "mass" else OPEN[item.kind][1](value))


def _made(item: Item, name: str, unit: LengthUnit, commit: Commit) -> Field:
    if item.kind in {"choice", "tick"}:
        return ChoiceField(item, name, commit) if item.kind == "choice" else TickField(item, name, commit)
    if item.kind in {"tape", "fine"}:
        write: Write = _tape if item.kind == "tape" else _fine
        field = LengthField if item.needed and len(item.path) == 1 else MeasuredField
        return field(name, unit, commit, write=write)
    if item.kind in {"lengths", "mass"}:
        return (LengthsField if item.kind == "lengths" else MassField)(name, unit, commit)
    if item.kind in LISTED:
        reading, showing = LISTED[item.kind]
        return EntryField(name, partial(_all, reading), partial(_joined, showing), commit, unit=unit)
    if item.kind in OPEN:
        read, show, echo = OPEN[item.kind]
        return EntryField(name, partial(_or_none, read), partial(_or_nothing, show), commit, unit=unit, echo=echo)
    return EntryField(name, str.strip, str, commit, unit=unit)


class LengthsField(EntryField[tuple[float, ...]]):
    """Lengths [mm] with semicolons between them."""

    def __init__(self, name: str, unit: LengthUnit, commit: Commit) -> None:
        super().__init__(name, self._read_all, self._write_all, commit, unit=unit)

    def _read_all(self, text: str) -> tuple[float, ...]:
        return tuple(parse_length(one, self._unit) for one in text.split(BETWEEN) if one.strip())

    def _write_all(self, values: tuple[float, ...]) -> str:
        return f"{BETWEEN} ".join(minus(_tape(value, self._unit)) for value in values)


class MassField(EntryField[float | None]):
    """A mass [kg], in pounds where lengths are in inches; it may be left out."""

    def __init__(self, name: str, unit: LengthUnit, commit: Commit) -> None:
        super().__init__(name, self._read_mass, self._write_mass, commit, unit=unit, echo=self._echo_mass)

    def _read_mass(self, text: str) -> float | None:
        return parse_mass(text, self._unit) if text.strip() else None

    def _write_mass(self, value: float | None) -> str:
        return "" if value is None else format_mass(value, self._unit)

    def _echo_mass(self, text: str) -> str:
        return echo_mass(text, self._unit)


def _tape(mm: float, unit: LengthUnit) -> str:
    return format_length(mm, unit, step=1 / 32)


def _fine(mm: float, unit: LengthUnit) -> str:
    return format_length(mm, fine_unit(unit))


def _silent(_text: str) -> str:
    return ""


def _or_none(read: Callable[[str], Any], text: str) -> Any:
    return read(text) if text.strip() else None


def _or_nothing(show: Callable[[Any], str], value: Any) -> str:
    return "" if value is None else minus(show(value))


def _all(read: Callable[[str], Any], text: str) -> tuple[Any, ...]:
    return tuple(read(one.strip()) for one in text.split(BETWEEN) if one.strip())


def _joined(show: Callable[[Any], str], values: tuple[Any, ...]) -> str:
    return f"{BETWEEN} ".join(show(value) for value in values)


def _number(value: float) -> str:
    return f"{value:.6g}"


LISTED: Final[dict[str, tuple[Callable[[str], Any], Callable[[Any], str]]]] = {
    "numbers": (parse_number, _number),
    "texts": (str, str),
}
"""How the values of lists are read and shown."""

OPEN: Final[dict[str, tuple[Callable[[str], Any], Callable[[Any], str], Callable[[str], str]]]] = {
    "angle": (parse_angle, format_angle, _silent),
    "number": (parse_number, _number, _silent),
}
"""How values that are no lengths are read, shown and echoed; all of them may be left out."""
