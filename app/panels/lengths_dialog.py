"""A question for lengths: what cannot be used is said beside its field, and nothing entered is lost."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QFormLayout, QLabel, QVBoxLayout, QWidget

from app.panels.entry_field import FIELD_HEIGHT, EntryField, refusal_words
from app.panels.help_window import add_help
from app.panels.length_field import LengthField
from app.theme import colours
from app.units import LengthUnit

MOST_COPIES = 100
"""Copies that can be made at once: more are a slip of the keys."""


@dataclass(frozen=True, slots=True)
class Entered:
    """What was entered: lengths in the order of their fields [mm], how many, and which choice."""

    lengths: tuple[float, ...]
    count: int = 1
    choice: int = 0


class LengthsDialog(QDialog):
    """Asks for lengths and does something with them; it closes when that could be done.

    Parameters
    ----------
    names : mapping of words to float
        The fields and what stands in them at first [mm].
    run : callable
        Is given what was entered; raises ValueError with a sentence to refuse.
    counted : bool
        Also ask how many.
    choices : sequence of str
        Also ask which of these.

    """

    def __init__(
        self,
        parent: QWidget,
        title: str,
        names: Mapping[str, float],
        unit: LengthUnit,
        run: Callable[[Entered], None],
        *,
        counted: bool = False,
        choices: Sequence[str] = (),
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(title)
        add_help(self, "draw.md")
        self._unit = unit
        self._run = run
        self._values = list(names.values())
        self._count = 1
        self.fields = [
            LengthField(name, unit, partial(self._values.__setitem__, index)) for index, name in enumerate(names)
        ]
        for field, value in zip(self.fields, self._values, strict=True):
            field.show_value(value)
        self.count: EntryField[int] = EntryField("How many", read_count, str, self._set_count, unit=unit)
        self.count.show_value(1)
        self.choice = QComboBox()
        self.choice.setAccessibleName("Which")
        self.choice.setMinimumHeight(FIELD_HEIGHT)
        self.choice.addItems(choices)
        self.error = QLabel()
        self.error.setWordWrap(True)
        ink = QPalette(self.palette())
        ink.setColor(QPalette.ColorRole.WindowText, colours(self.palette()).problem)
        self.error.setPalette(ink)
        self.error.hide()
        self._lay_out(list(names), counted=counted, choices=bool(choices))

    def _lay_out(self, names: Sequence[str], *, counted: bool, choices: bool) -> None:
        column = QVBoxLayout(self)
        form = QFormLayout()
        if choices:
            form.addRow("&Which", self.choice)
        for name, field in zip(names, self.fields, strict=True):
            form.addRow(name, field)
        if counted:
            form.addRow("&How many", self.count)
        column.addLayout(form)
        column.addWidget(self.error)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        self.setMinimumWidth(320)
        self.fields[0].setFocus()
        self.fields[0].line.selectAll()  # so that the first key writes over what stands there

    def _set_count(self, count: int) -> None:
        self._count = count

    def accept(self) -> None:
        """Do it; where that cannot be, say why and stay open."""
        for field in self.fields:
            if not field.finish():
                field.setFocus()
                return
        if not self.count.finish():
            self.count.setFocus()
            return
        try:
            self._run(Entered(tuple(self._values), self._count, max(0, self.choice.currentIndex())))
        except ValueError as refused:
            self.error.setText(refusal_words(refused, self._unit))
            self.error.show()
            return
        super().accept()


def read_count(text: str) -> int:
    """A whole number from one on; ValueError with a sentence when it is none."""
    try:
        count = int(text)
    except ValueError:
        count = 0
    if not 1 <= count <= MOST_COPIES:
        raise ValueError(f"Write a whole number from 1 to {MOST_COPIES}.")
    return count
