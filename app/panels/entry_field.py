"""A line to type a value into: commits once, keeps what cannot be read, says why beside it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QPalette, QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from app.theme import colours
from app.typeset import typeset
from app.units import LengthUnit, in_unit
from geometry.errors import RigError

Value = TypeVar("Value")

FIELD_HEIGHT = 26
"""Least height of a field [px]; 24 is the smallest that is easy to hit."""

UNCONFIRMED = "Nobody has entered or confirmed this value. Enter confirms it."
"""What is said of a marked value."""


class EntryField(QWidget, Generic[Value]):
    """One typed value with its error text below it, or to its right when `beside`.

    Enter or leaving the field commits, Esc brings the old value back, text that cannot be used stays until it is
    mended or given up. `read` and `commit` raise ValueError with a sentence for the builder to refuse. While typing,
    what `echo` says of a text stands there instead: how it will be read, where that is not plain to see.

    A value that nobody entered is marked: a question mark beside it, and slanted. Pressing the mark, or Enter, confirms
    it.

    Signals
    -------
    confirm_asked
        The builder takes the value as it stands.

    """

    confirm_asked = Signal()

    def __init__(
        self,
        name: str,
        read: Callable[[str], Value],
        write: Callable[[Value], str],
        commit: Callable[[Value], None],
        *,
        unit: LengthUnit,
        beside: bool = False,
        echo: Callable[[str], str] = lambda _text: "",
    ) -> None:
        super().__init__()
        self._unit = unit
        self._echo = echo
        self._read = read
        self._write = write
        self._commit = commit
        self._value: Value | None = None
        self._tip = ""
        self.line = _Line(self)
        self.line.setAccessibleName(name)
        self.line.setMinimumHeight(FIELD_HEIGHT)
        self.line.setAcceptDrops(False)  # dropped digits would join those that stand there
        self.line.editingFinished.connect(self._finish)
        self.line.textEdited.connect(lambda text: self._say(typeset(self._echo(text)), problem=False))
        self.error = QLabel() if beside else _WholeLabel()
        self.error.setWordWrap(True)
        self.error.hide()
        self.error.setAccessibleDescription(f"{name}, problem")
        direction = QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom
        column = QBoxLayout(direction, self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8 if beside else 2)
        self.mark = QToolButton()
        self.mark.setText("?")
        self.mark.setAccessibleName(f"Confirm {name}")
        self.mark.setToolTip(UNCONFIRMED)
        self.mark.setFixedSize(FIELD_HEIGHT, FIELD_HEIGHT)
        self.mark.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # Enter in the field does the same
        self.mark.hide()
        self.mark.clicked.connect(self.confirm_asked)
        self.line.returnPressed.connect(self._confirm)
        row = QHBoxLayout()
        row.setSpacing(2)
        row.addWidget(self.line)
        row.addWidget(self.mark)
        column.addLayout(row)
        column.addWidget(self.error)
        self.setFocusProxy(self.line)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def show_unit(self, unit: LengthUnit) -> None:
        """Show lengths in another unit."""
        self._unit = unit
        self.restore()

    def show_value(self, value: Value) -> None:
        """Show the document's value; what the builder is in the midst of typing stays unless the value is a new one."""
        if value != self._value:
            self._value = value
            self.restore()

    def restore(self) -> None:
        """Give up what was typed."""
        self.show_error("")
        self.line.setText("" if self._value is None else self._write(self._value))
        if self.line.hasFocus():
            self.line.selectAll()

    def show_error(self, text: str) -> None:
        """Say beside the field why its text cannot be used; empty = it can."""
        self._say(text, problem=True)
        if text:
            QTimer.singleShot(0, self, self._reveal)  # once the layout has made room for it

    def show_unconfirmed(self, unconfirmed: bool) -> None:
        """Mark the value as one that nobody entered or confirmed, or as the builder's own."""
        self.mark.setVisible(unconfirmed)
        font = self.line.font()
        font.setItalic(unconfirmed)
        self.line.setFont(font)
        self._describe()

    def explain(self, tip: str) -> None:
        """Say how the value is measured, to whoever rests the pointer on the field or has it read out."""
        self._tip = tip
        self.line.setToolTip(tip)
        self._describe()

    def _describe(self) -> None:
        mark = UNCONFIRMED if self.mark.isVisibleTo(self) else ""
        told = " ".join(words for words in (self.error.text(), mark, self._tip) if words)
        self.line.setAccessibleDescription(told)

    def _reveal(self) -> None:
        """Scroll to what is said, wherever the field is in a room that is scrolled."""
        room = self.parentWidget()
        while room is not None:
            if isinstance(room, QScrollArea):
                room.ensureWidgetVisible(self.error, 0, 0)
            room = room.parentWidget()

    def _confirm(self) -> None:
        if self.mark.isVisibleTo(self) and not self.line.isModified():
            self.confirm_asked.emit()

    def _say(self, text: str, *, problem: bool) -> None:
        names = colours(self.palette())
        self.error.setText(text)
        self.error.setVisible(bool(text))
        ink = QPalette(self.palette())
        ink.setColor(QPalette.ColorRole.WindowText, names.problem if problem else names.quiet)
        self.error.setPalette(ink)
        self._describe()

    def finish(self) -> bool:
        """Commit what was typed, as leaving the field does; False = it cannot be used."""
        self._finish()
        return not self.line.isModified()

    def _finish(self) -> None:
        if not self.line.isModified():
            return
        try:
            value = self._read(self.line.text())
            if value != self._value:
                self._commit(value)
        except ValueError as refused:
            self.show_error(refusal_words(refused, self._unit))
            return
        self._value = value
        self.restore()


class _Line(QLineEdit):
    """A line edit that knows Esc and selects all when it is entered by key."""

    def __init__(self, field: EntryField[Value]) -> None:
        super().__init__()
        self._field = field

    def event(self, event: QEvent) -> bool:
        """Leave undo and redo to the program unless something is being typed."""
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.ShortcutOverride and not self.isModified():
            keys = QKeySequence.StandardKey
            if event.matches(keys.Undo) or event.matches(keys.Redo):
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.isModified():
            self._field.restore()
            event.accept()
            return
        super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if event.reason() not in {Qt.FocusReason.PopupFocusReason, Qt.FocusReason.ActiveWindowFocusReason}:
            self.selectAll()


class _WholeLabel(QLabel):
    """A wrapped text that is never cut: a form measures a row for a wider field than it then gives it."""

    def setText(self, text: str) -> None:
        super().setText(text)
        self._keep_whole()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._keep_whole()

    def _keep_whole(self) -> None:
        self.setMinimumHeight(max(self.heightForWidth(self.width()), 0))


def refusal_words(refused: ValueError, unit: LengthUnit) -> str:
    """Why a typed value was refused; its place in the file says nothing beside its own field."""
    text = typeset(in_unit(refused.problem, unit)) if isinstance(refused, RigError) else str(refused)
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."
