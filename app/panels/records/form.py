"""The fields of one topic, in groups; each edit is one undo step, refused beside its own field."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from msgspec.structs import replace
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QFormLayout, QGroupBox, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document import Document
from app.edits import axle_words, change_rig, confirm
from app.panels.entry_field import FIELD_HEIGHT, EntryField, refusal_words
from app.panels.records.fields import Field, field_of, show_empty
from app.panels.records.items import Group, Item, WholePoint, WholeRecord, values_of
from app.panels.records.places import Place, value_at, with_value, without_record
from app.panels.records.topics import FIXED, WORDS, Topic, is_there, title
from app.theme import colours
from geometry.rig.rig import Rig


class RecordForm(QWidget):
    """Fields of the groups of a topic; `show_topic` says of which axle or record.

    What counts only together with other values, and is not all known yet, stays in its fields until it is.

    Signals
    -------
    left(Topic)
        The record is gone; its list takes its place.

    """

    left = Signal(object)

    def __init__(self, document: Document, topic: Topic, groups: Sequence[Group]) -> None:
        super().__init__()
        self._document = document
        self._topic = topic
        self._groups = tuple(groups)
        self._waiting: dict[tuple[Topic, str], tuple[tuple[Any, ...], tuple[Any, ...]]] = {}
        self.fields: dict[Place, Field] = {}
        self.copies: dict[str, QPushButton] = {}
        self.removals: dict[str, QPushButton] = {}
        self._notes: dict[str, QLabel] = {}
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.error = message_label("Problem of this form")
        self.column.addWidget(self.error)
        self.boxes = [self._box(group) for group in self._groups]
        for box in self.boxes:
            self.column.addWidget(box)
        if topic.item and topic.kind not in FIXED:
            self.delete_button = self.button(f"Delete this {WORDS[topic.kind]}", self.delete)
            self.column.addWidget(self.delete_button)
        document.rig_changed.connect(self._refresh_if_seen)
        document.unit_changed.connect(self._show_unit)
        document.rig_replaced.connect(self._waiting.clear)

    # Layout

    def _box(self, group: Group) -> QGroupBox:
        box = QGroupBox(group.title)
        form = QFormLayout(box)
        form.setVerticalSpacing(4)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        if group.note:
            note = QLabel(group.note)
            note.setWordWrap(True)
            form.addRow(note)
        for item in group.items:
            name = f"{group.title}: {item.words[:1].lower()}{item.words[1:]}"
            field = field_of(item, name, self._document.unit, partial(self._commit, group, item))
            self.fields[item.path] = field
            if item.kind == "tick":
                form.addRow(field)
            else:
                label = QLabel(item.words)
                label.setToolTip(item.tip)
                label.setBuddy(field)
                form.addRow(label, field)
            if isinstance(field, EntryField):
                field.confirm_asked.connect(partial(self._confirm, group, item))
            self.add_below(form, item)
        if group.whole is not None:
            self._notes[group.title] = message_label(f"{group.title}, what is missing")
            form.addRow(self._notes[group.title])
        if isinstance(group.whole, WholeRecord):
            words = group.whole.words
            self.removals[words] = self.button(f"Remove the {words}", partial(self._remove, group))
            form.addRow(self.removals[words])
        if group.copied is not None:
            self.copies[group.title] = self.button("Same as the left side", partial(self._copy, group))
            form.addRow(self.copies[group.title])
        return box

    def add_below(self, form: QFormLayout, item: Item) -> None:
        """Add to a form what belongs below a field; nothing here."""

    @staticmethod
    def button(text: str, run: Callable[[], None]) -> QPushButton:
        """A button of the form."""
        made = QPushButton(text)
        made.setMinimumHeight(FIELD_HEIGHT)
        made.clicked.connect(lambda _checked: run())
        return made

    # Keeping up

    @property
    def topic(self) -> Topic:
        """What the fields are about."""
        return self._topic

    def show_topic(self, topic: Topic) -> None:
        """Show the fields of another axle or record."""
        same, self._topic = topic == self._topic, topic
        self.refresh()
        if not same:
            for field in self.fields.values():
                if isinstance(field, EntryField):
                    field.restore()

    def _refresh_if_seen(self) -> None:
        if self.isVisible():
            self.refresh()

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        self.refresh()

    def refresh(self) -> None:
        """Take all values from the document anew."""
        rig = self._document.shown_rig
        if not is_there(rig, self._topic):
            return
        self.say("")
        marks = set(rig.unconfirmed)
        for group in self._groups:
            values = self._values(rig, group)
            for item, value in zip(group.items, values, strict=True):
                field = self.fields[item.path]
                field.show_value(item.shown(value) if isinstance(field, EntryField) else value)
                if isinstance(field, EntryField):
                    field.show_unconfirmed(self._mark(group, item) in marks)
            if group.whole is not None:
                self._tell(group, group.whole.lacks(values))
            if isinstance(group.whole, WholeRecord):
                begun = any(value not in {None, item.plain} for item, value in zip(group.items, values, strict=True))
                self.removals[group.whole.words].setVisible(begun)

    def _values(self, rig: Rig, group: Group) -> tuple[Any, ...]:
        """What the fields of a group show: what the rig has, or what waits to be complete on top of it."""
        own = values_of(rig, self._topic.base, group)
        seen, waiting = self._waiting.get((self._topic, group.title), (own, own))
        if seen != own:
            self._waiting.pop((self._topic, group.title))
            return own
        return waiting

    def _tell(self, group: Group, text: str) -> None:
        note = self._notes[group.title]
        show_ink(note, problem=False)
        note.setText(text)
        note.setVisible(bool(text))

    def say(self, problem: str) -> None:
        """Say what is wrong, where no single field is."""
        show_ink(self.error, problem=True)
        self.error.setText(problem)
        self.error.setVisible(bool(problem))

    def _show_unit(self) -> None:
        for item in (item for group in self._groups for item in group.items):
            field = self.fields[item.path]
            if isinstance(field, EntryField):
                field.show_unit(self._document.unit)
                show_empty(field, item, self._document.unit)
        self._refresh_if_seen()

    # Commits

    def words(self) -> str:
        """What the form is about, inside a sentence."""
        rig = self._document.rig
        if self._topic.item:
            return f"{WORDS[self._topic.kind]} {title(rig, self._topic)}"
        return axle_words(rig.axle(self._topic.axle)) if self._topic.axle else "rig"

    def _commit(self, group: Group, item: Item, value: Any) -> None:
        """Put a value in; a choice or tick that the rig cannot have goes back, other refusals are the field's own."""
        text = f"Change {self.words()} {item.words.partition(':')[0].lower()}"
        value = item.taken_for if value is None else value
        try:
            if group.whole is not None:
                self._commit_whole(group, item, value, text)
            else:
                place = (*self._topic.base, *item.path)
                change_rig(self._document, with_value(self._document.rig, place, value), text)
        except ValueError as refused:
            if isinstance(self.fields[item.path], EntryField):
                raise
            self.refresh()
            self.say(refusal_words(refused, self._document.unit))

    def _commit_whole(self, group: Group, item: Item, value: Any, text: str) -> None:
        whole, base = group.whole, self._topic.base
        if whole is None:
            return
        rig = self._document.rig
        values = list(self._values(rig, group))
        values[group.items.index(item)] = value
        after = whole.put(rig, base, values)
        key = (self._topic, group.title)
        before, self._waiting[key] = self._waiting.get(key), (whole.values(after, base), tuple(values))
        try:
            change_rig(self._document, after, text)
        except ValueError:
            self._waiting.pop(key)
            if before is not None:
                self._waiting[key] = before
            raise
        self._tell(group, whole.lacks(values))

    def _copy(self, group: Group) -> None:
        if group.copied is None:
            return
        base, rig = self._topic.base, self._document.rig
        source, target = ((*base, *path) for path in group.copied)
        text = f"Copy {self.words()} {group.title.lower()} from the left"
        self._change(with_value(rig, target, _copied(rig, source, target)), text)

    def _remove(self, group: Group) -> None:
        """Forget a record and all that was entered of it."""
        whole, base, rig = group.whole, self._topic.base, self._document.rig
        if whole is None:
            return
        self._waiting.pop((self._topic, group.title), None)
        if self._change(
            whole.put(rig, base, (None,) * len(group.items)), f"Remove {self.words()} {group.title.lower()}"
        ):
            self.refresh()

    def delete(self) -> None:
        """Take the record out of its list."""
        topic = self._topic
        if self._change(without_record(self._document.rig, topic.base), f"Delete {self.words()}"):
            self.left.emit(topic.above)

    def _change(self, rig: Rig, text: str) -> bool:
        try:
            change_rig(self._document, rig, text)
        except ValueError as refused:
            self.say(refusal_words(refused, self._document.unit))
            return False
        return True

    def _confirm(self, group: Group, item: Item) -> None:
        confirm(self._document, [self._mark(group, item)], f"Confirm {self.words()} {item.words.lower()}")

    def _mark(self, group: Group, item: Item) -> str:
        """Where a mark that nobody confirmed a value stands; coordinates of a point have one together."""
        path = group.whole.path if isinstance(group.whole, WholePoint) else item.path
        return "/".join((*self._topic.base, *path))


def _copied(rig: Rig, source: Place, target: Place) -> Any:
    """The record at the source; of a whole side, without its shaft, which has a form of its own."""
    record, kept = value_at(rig, source), value_at(rig, target)
    return replace(record, shaft=kept.shaft) if hasattr(record, "shaft") else record


def message_label(name: str) -> QLabel:
    """A line that says something when there is something to say."""
    made = QLabel()
    made.setWordWrap(True)
    made.setAccessibleName(name)
    made.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    made.hide()
    return made


def show_ink(label: QLabel, *, problem: bool) -> None:
    """Colour a line as a problem, or as an aside."""
    names = colours(label.palette())
    ink = QPalette(label.palette())
    ink.setColor(QPalette.ColorRole.WindowText, names.problem if problem else names.quiet)
    label.setPalette(ink)
