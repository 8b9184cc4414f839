"""Fields of the chosen bar, panel, node, link or end of a link; each one commits one undo step."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from dataclasses import replace as altered
from functools import partial
from typing import Any, Final, Literal

from msgspec.structs import replace
from PySide6.QtCore import QSignalBlocker
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QCheckBox, QFormLayout, QGroupBox, QLabel, QVBoxLayout, QWidget

from app.document import Document
from app.edits import change_rig
from app.panels.entry_field import FIELD_HEIGHT, EntryField, refusal_words
from app.panels.length_field import LengthField
from app.theme import colours
from app.units import fine_unit, format_length
from geometry.contact.findings import PairName
from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.parts import Bar
from geometry.rig.rig import Rig
from geometry.sketch.lookup import node_refs, points_of, record_of, rod_of, with_item
from geometry.sketch.moves import placed

Kind = Literal["length", "fine", "text", "tick"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One value of a part: its words, what it is, and how it is read from a rig and put into one."""

    words: str
    kind: Kind
    get: Callable[[Rig, PartRef], Any]
    put: Callable[[Rig, PartRef, Any], Rig]


def _field(words: str, kind: Kind, name: str) -> Entry:
    """A field of a bar or panel."""

    def put(rig: Rig, part: PartRef, value: Any) -> Rig:
        changed = replace(record_of(rig, part), **{name: value})
        if isinstance(changed, Bar):
            return replace(rig, bars=with_item(rig.bars, changed))
        return replace(rig, panels=with_item(rig.panels, changed))

    return Entry(words, kind, lambda rig, part: getattr(record_of(rig, part), name), put)


def _coordinate(words: str, axis: int, end: str = "") -> Entry:
    """A coordinate of a node or of an end of a link; of a link, of the end that is named."""

    def point(part: PartRef) -> PartRef:
        return altered(part, kind="joint", id=f"{part.id}.{end}") if end else part

    def put(rig: Rig, part: PartRef, value: Any) -> Rig:
        at = list(_place(rig, point(part)))
        at[axis] = value
        return placed(rig, point(part), (at[0], at[1], at[2]))

    return Entry(words, "length", lambda rig, part: _place(rig, point(part))[axis], put)


def _place(rig: Rig, part: PartRef) -> tuple[float, float, float]:
    if part.kind == "node":
        return points_of(rig, node_refs(rig, part))[0]
    _, rod = rod_of(rig, part)
    return rod.chassis if part.id.endswith(".chassis") else rod.axle


_WAYS: Final = ("x, forward", "y, left", "z, up")
_POINT: Final = tuple(_coordinate(words, axis) for axis, words in enumerate(_WAYS))

ENTRIES: Final[Mapping[str, tuple[Entry, ...]]] = {
    "bar": (
        _field("Name", "text", "name"),
        _field("Diameter", "length", "od"),
        _field("Wall", "fine", "wall"),
        _field("Bend radius", "length", "bend_radius"),
        _field("Mirrored: on both sides", "tick", "mirrored"),
    ),
    "panel": (
        _field("Name", "text", "name"),
        _field("Thickness", "fine", "thickness"),
        _field("Fitted", "tick", "fitted"),
        _field("Mirrored: on both sides", "tick", "mirrored"),
    ),
    "node": _POINT,
    "joint": _POINT,
    "link": tuple(
        _coordinate(f"{end.capitalize()} end, {words}", axis, end)
        for end in ("chassis", "axle")
        for axis, words in enumerate(_WAYS)
    ),
}
"""What can be entered about each kind of part."""


class PartForm(QGroupBox):
    """Shows the fields that go with the kind of what is chosen; hidden for kinds without any."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._part: PartRef | None = None
        self.pages: dict[str, dict[str, EntryField[Any] | QCheckBox]] = {}
        self._widgets: dict[str, QWidget] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.error = QLabel()
        self.error.setWordWrap(True)
        self.error.setAccessibleDescription("Problem of the chosen part")
        self.error.hide()
        self._column.addWidget(self.error)
        for signal in (document.rig_changed, document.selection_changed):
            signal.connect(self.refresh)
        document.unit_changed.connect(self._show_unit)
        self.refresh()

    def refresh(self) -> None:
        """Show the fields of the chosen part with the values of the document."""
        chosen = self._document.selection
        part = chosen.fixed if isinstance(chosen, PairName) else chosen
        values = None if part is None else self._values(part)
        self.setVisible(values is not None)
        if part is None or values is None:
            self._part = None
            return
        self._say("")
        fields = self._page(part.kind)
        same, self._part = part == self._part, part
        for kind, widget in self._widgets.items():
            widget.setVisible(kind == part.kind)
        self.setTitle(f"{part.label[:1].upper()}{part.label[1:]}")
        for words, value in values.items():
            field = fields[words]
            if isinstance(field, QCheckBox):
                with QSignalBlocker(field):
                    field.setChecked(value)
            else:
                field.show_value(value)
                if not same:
                    field.restore()

    def _values(self, part: PartRef) -> dict[str, Any] | None:
        """What the fields hold; None when the part has none or is gone."""
        rig = self._document.shown_rig
        try:
            values = {entry.words: entry.get(rig, part) for entry in ENTRIES.get(part.kind, ())}
        except RigError:
            return None
        return values or None

    def _page(self, kind: str) -> dict[str, EntryField[Any] | QCheckBox]:
        """The fields for a kind of part, made when they are first wanted."""
        if kind not in self.pages:
            page = QWidget()
            form = QFormLayout(page)
            form.setVerticalSpacing(4)
            fields = {entry.words: self._made(entry) for entry in ENTRIES[kind]}
            for words, field in fields.items():
                form.addRow("" if isinstance(field, QCheckBox) else words, field)
            self._column.addWidget(page)
            self.pages[kind], self._widgets[kind] = fields, page
        return self.pages[kind]

    def _made(self, entry: Entry) -> EntryField[Any] | QCheckBox:
        unit, commit = self._document.unit, partial(self._commit, entry)
        if entry.kind == "tick":
            tick = QCheckBox(entry.words)
            tick.setMinimumHeight(FIELD_HEIGHT)
            tick.toggled.connect(lambda checked: self._tick(entry, checked))
            return tick
        if entry.kind == "text":
            return EntryField(entry.words, str.strip, str, commit, unit=unit)
        if entry.kind == "fine":
            return LengthField(entry.words, unit, commit, write=lambda mm, shown: format_length(mm, fine_unit(shown)))
        return LengthField(entry.words, unit, commit)

    def _commit(self, entry: Entry, value: Any) -> None:
        if self._part is not None:
            text = f"Change {self._part.label} {entry.words.partition(':')[0].lower()}"
            change_rig(self._document, entry.put(self._document.rig, self._part, value), text)

    def _tick(self, entry: Entry, checked: bool) -> None:
        """A tick that the rig cannot have goes back."""
        try:
            self._commit(entry, checked)
        except RigError as refused:
            self.refresh()
            self._say(refusal_words(refused, self._document.unit))

    def _say(self, problem: str) -> None:
        ink = QPalette(self.palette())
        ink.setColor(QPalette.ColorRole.WindowText, colours(self.palette()).problem)
        self.error.setPalette(ink)
        self.error.setText(problem)
        self.error.setVisible(bool(problem))

    def _show_unit(self) -> None:
        for fields in self.pages.values():
            for field in fields.values():
                if not isinstance(field, QCheckBox):
                    field.show_unit(self._document.unit)
        self.refresh()
