"""Notes on the rig: what can be meant but seldom is, each with its parts and, where there is one, its mend."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QAbstractItemView, QLabel, QListWidget, QListWidgetItem, QPushButton, QVBoxLayout, QWidget

from app.document import Document
from app.edits import change_rig
from app.panels.entry_field import FIELD_HEIGHT, refusal_words
from app.typeset import typeset
from app.units import LengthUnit, in_unit
from geometry.errors import RigError
from geometry.sketch.notes import Note, find_notes

REST_MS = 250
"""Notes are looked for when the rig has rested this long [ms]: while it is being changed they would only flicker."""

EMPTY = "No notes: every bar end meets a bar, nothing is there twice, and every link starts at a bar."


class NotesList(QWidget):
    """All notes; choosing one chooses its parts, and a button does its mend as one undo step.

    Signals
    -------
    counted(int)
        Notes were looked for: so many there are.
    place_chosen(tuple)
        Where the chosen note is [mm].

    """

    counted = Signal(int)
    place_chosen = Signal(tuple)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.notes: tuple[Note, ...] = ()
        self.head = QLabel()
        self.head.setWordWrap(True)
        self.list = QListWidget()
        self.list.setAccessibleName("Notes on the rig")
        self.list.setWordWrap(True)
        self.list.setAlternatingRowColors(True)
        self.list.setSpacing(2)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.list.currentRowChanged.connect(self._choose)
        self.list.itemClicked.connect(lambda item: self._choose(self.list.row(item)))
        self.problem = QLabel()
        self.problem.setWordWrap(True)
        self.problem.hide()
        self.mend_button = QPushButton("&Mend")
        self.mend_button.setMinimumHeight(FIELD_HEIGHT)
        self.mend_button.clicked.connect(self.mend)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 8)
        for widget in (self.head, self.list, self.problem, self.mend_button):
            column.addWidget(widget)
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self.look)
        document.rig_changed.connect(self._rest.start)
        document.unit_changed.connect(self._write)
        self._write()
        self._rest.start()

    def look(self) -> None:
        """Look for notes on the rig as it is."""
        self._rest.stop()
        if self._document.is_previewing:
            self._rest.start()
            return
        current = self._current()
        self.notes = find_notes(self._document.rig)
        same = (row for row, note in enumerate(self.notes) if current is not None and _same(note, current))
        self._write(next(same, -1))
        self.counted.emit(len(self.notes))

    def mend(self) -> None:
        """Do what the current note offers, and go on to the next one."""
        note, row = self._current(), self.list.currentRow()
        if note is None or note.mend is None:
            return
        try:
            change_rig(self._document, note.mend(self._document.rig), f"Mend {note.kind}")
        except RigError as refused:
            self._say(f"This cannot be mended so: {refusal_words(refused, self._document.unit)}")
            return
        self.look()
        self.list.setCurrentRow(min(row, len(self.notes) - 1))

    def _current(self) -> Note | None:
        row = self.list.currentRow()
        return self.notes[row] if 0 <= row < len(self.notes) else None

    def _write(self, row: int | None = None) -> None:
        unit = self._document.unit
        kept = self.list.currentRow() if row is None else row
        self.list.blockSignals(True)
        self.list.clear()
        for note in self.notes:
            self.list.addItem(QListWidgetItem(typeset(note_words(note, unit))))
        self.list.setCurrentRow(kept)
        self.list.blockSignals(False)
        count = len(self.notes)
        self.head.setText(EMPTY if not count else f"{count} {'note' if count == 1 else 'notes'}")
        self.list.setVisible(bool(count))
        self.mend_button.setVisible(bool(count))
        self._allow_mend()
        self._say("")

    def _choose(self, row: int) -> None:
        self._allow_mend()
        self._say("")
        if 0 <= row < len(self.notes):
            self._document.choose(self.notes[row].parts)
            self.place_chosen.emit(self.notes[row].at)

    def _allow_mend(self) -> None:
        note = self._current()
        can = note is not None and note.mend is not None
        if not can and self.mend_button.hasFocus():
            self.list.setFocus()
        self.mend_button.setEnabled(can)

    def _say(self, problem: str) -> None:
        self.problem.setText(problem)
        self.problem.setVisible(bool(problem))


def note_words(note: Note, unit: LengthUnit) -> str:
    """A note in sentences, and what its mend would do."""
    text = in_unit(note.problem, unit)
    offer = f"Mend: {note.mend_words[:1].lower()}{note.mend_words[1:]}." if note.mend_words else "Yours to settle."
    return f"{text[:1].upper()}{text[1:]}.\n{offer}"


def _same(one: Note, other: Note) -> bool:
    return (one.kind, one.problem, one.parts) == (other.kind, other.problem, other.parts)
