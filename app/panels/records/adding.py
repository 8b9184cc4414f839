"""A new record of a list: what it cannot be without is asked for first, so that nothing is made up."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFormLayout, QGroupBox, QHBoxLayout, QLabel, QPushButton

from app.document import Document
from app.edits import change_rig
from app.panels.entry_field import FIELD_HEIGHT, EntryField, refusal_words
from app.panels.records.fields import ChoiceField, Field, field_of
from app.panels.records.form import message_label, show_ink
from app.panels.records.items import Group, Item
from app.panels.records.kinds import ASKED
from app.panels.records.listing import list_text, with_list
from app.panels.records.places import value_at, with_value
from app.panels.records.topics import FIXED, ITEMS, LISTS, WORDS, Topic
from geometry.sketch.names import free_id


class AddBox(QGroupBox):
    """Fields of a new record and a button that adds it to the list of a topic.

    Signals
    -------
    added(Topic)

    """

    added = Signal(object)

    def __init__(self, document: Document, topic: Topic) -> None:
        kind = ITEMS[topic.kind]
        super().__init__(f"New {WORDS[kind]}")
        self._document = document
        self._topic = topic
        self._kind = kind
        self._make, groups, names = ASKED[kind]
        asked = [(item, group) for name in names for group in groups for item in group.items if item.path[0] == name]
        self._items = {".".join(item.path): item for item, _ in asked}
        self._labels = {".".join(item.path): label_of(item, group) for item, group in asked}
        self._values: dict[str, Any] = {}
        form = QFormLayout(self)
        form.setVerticalSpacing(4)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self.fields: dict[str, Field] = {}
        for name, item in self._items.items():
            words = self._labels[name]
            field = field_of(item, f"New {WORDS[kind]}: {words.lower()}", document.unit, self._keeper(name))
            self.fields[name] = field
            if item.needed and isinstance(field, EntryField):
                field.line.setPlaceholderText("needed")
            if item.kind == "tick":
                form.addRow(field)
                continue
            label = QLabel(words)
            label.setBuddy(field)
            form.addRow(label, field)
        self.error = message_label("Problem of the new entry")
        form.addRow(self.error)
        self.add_button = QPushButton(f"Add {WORDS[kind]}")
        self.add_button.setMinimumHeight(FIELD_HEIGHT)
        self.add_button.clicked.connect(lambda _checked: self.add())
        form.addRow(self.add_button)
        if kind in FIXED:
            self.setTitle(f"All {WORDS[kind]}s")
            self.add_button.hide()
        form.addRow(self._list_buttons())
        self.said = message_label("What became of the list")
        form.addRow(self.said)
        document.unit_changed.connect(self._show_unit)
        document.rig_replaced.connect(self._clear)
        self._clear()

    def _list_buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self.copy_button, self.paste_button = QPushButton("Copy list"), QPushButton("Paste list")
        self.copy_button.setToolTip("Copies the whole list with headings, for a spreadsheet.")
        self.paste_button.setToolTip(
            "Takes copied cells in, headings first: a known id changes its record, everything else is new."
        )
        for button, run in ((self.copy_button, self.copy), (self.paste_button, self.paste)):
            button.setMinimumHeight(FIELD_HEIGHT)
            button.clicked.connect(lambda _checked, run=run: run())
            row.addWidget(button)
        return row

    def copy(self) -> None:
        """Copy the whole list, exactly."""
        QGuiApplication.clipboard().setText(list_text(self._document.rig, self._topic, self._document.unit))
        self._tell("Copied the list with headings.")

    def paste(self) -> None:
        """Take copied cells in as one undo step, or nothing, and say why."""
        unit = self._document.unit
        try:
            pasted = with_list(self._document.rig, self._topic, QGuiApplication.clipboard().text(), unit)
            change_rig(self._document, pasted.rig, f"Paste list of {WORDS[self._kind]}s")
        except ValueError as refused:
            self._tell(f"{refusal_words(refused, unit)} Nothing was pasted.", problem=True)
            return
        self._tell(f"{pasted.added} added, {pasted.changed} changed.")

    def _tell(self, text: str, *, problem: bool = False) -> None:
        show_ink(self.said, problem=problem)
        self.said.setText(text)
        self.said.setVisible(bool(text))

    def _keeper(self, name: str) -> Callable[[Any], None]:
        def keep(value: Any) -> None:
            self._values[name] = value

        return keep

    def show_topic(self, topic: Topic) -> None:
        """Add to the list of another axle."""
        if topic != self._topic:
            self._tell("")
        self._topic = topic

    def add(self) -> None:
        """Add what is entered as one undo step, or say what is missing."""
        self._say("")
        usable = [field.finish() for field in self.fields.values() if isinstance(field, EntryField)]
        if not all(usable):
            return
        missing = [name for name, item in self._items.items() if item.needed and self._values.get(name) is None]
        for name in missing:
            field = self.fields[name]
            if isinstance(field, EntryField):
                field.show_error(f"Enter the {self._labels[name].lower()} first.")
        if missing:
            return
        place = (*self._topic.base, *LISTS[self._kind])
        records = value_at(self._document.rig, place)
        new = free_id([record.id for record in records], f"{self._stem()}-")
        record = self._make(id=new, **self._given())
        try:
            change_rig(
                self._document, with_value(self._document.rig, place, (*records, record)), f"Add {WORDS[self._kind]}"
            )
        except ValueError as refused:
            self._say(refusal_words(refused, self._document.unit))
            return
        self._clear()
        self.added.emit(Topic(self._kind, self._topic.axle, new))

    def _given(self) -> dict[str, Any]:
        """What is entered by field; coordinates of a point together, and nothing for what counts as it is."""
        given: dict[str, Any] = {}
        for name, item in self._items.items():
            value = self._values.get(name)
            if len(item.path) > 1:
                given[item.path[0]] = (*given.get(item.path[0], ()), value)
            elif value is not None or item.taken_for is None:
                given[item.path[0]] = value
        return {name: value for name, value in given.items() if value is not None}

    def _stem(self) -> str:
        return WORDS[self._kind].rpartition(" ")[2]

    def _clear(self) -> None:
        self._values = {}
        for name, field in self.fields.items():
            if isinstance(field, EntryField):
                field.show_value("" if self._items[name].kind == "text" else None)
                field.restore()
            elif isinstance(field, ChoiceField):
                field.setCurrentIndex(0)
                self._values[name] = field.currentData()
            else:
                field.show_value(False)
                self._values[name] = False
        self._say("")

    def _say(self, problem: str) -> None:
        show_ink(self.error, problem=True)
        self.error.setText(problem)
        self.error.setVisible(bool(problem))

    def _show_unit(self) -> None:
        for field in self.fields.values():
            if isinstance(field, EntryField):
                field.show_unit(self._document.unit)


def label_of(item: Item, group: Group) -> str:
    """What a field is called among those of other groups: a coordinate along with its point."""
    return item.words if len(item.path) == 1 else f"{group.title}, {item.words}"
