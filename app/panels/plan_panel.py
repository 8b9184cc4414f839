"""The numbers that follow from the width of the active axle, group by group, beside the rig."""

from __future__ import annotations

from html import escape
from typing import Final

from msgspec.structs import replace
from PySide6.QtCore import QObject, QRunnable, Qt, QThreadPool, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document import Document
from app.figures.figure import Group
from app.figures.groups import SUBJECTS, Subject, group, groups, subject
from app.figures.places import place_words
from app.figures.wheels import OUTER
from app.figures.words import heading, text_of
from app.pace import Pace
from app.panels.entry_field import FIELD_HEIGHT
from app.panels.length_field import LengthField
from app.panels.plan_lines import FEW, Line, definition, in_other_unit, lines_of, waiting
from app.panels.plan_tree import PlanTree
from app.typeset import typeset
from app.units import LengthError
from geometry.rig.rig import Rig

REST_MS: Final = 200
"""What takes time is worked out when the rig has rested this long [ms]: longer than the pause between steps of a
drag."""

DETAIL_LINES: Final = 4
"""Lines that the text below the list has room for: a definition of two, the other unit, and what is missing."""

FIRST_OPEN: Final = ("cuts",)
"""Groups that are open at first: one that is closed costs nothing."""


class PlanPanel(QWidget):
    """Groups of numbers; only open ones are worked out, and those that take time off the interface thread.

    Signals
    -------
    place_asked(str)
        The builder wants to go to the value at a place of the rig, as in ``axles/rear/build/left/end_addition``.

    """

    place_asked = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._outer: float | None = None
        self._slow: dict[str, tuple[Rig, Group]] = {}
        self._asked: dict[str, tuple[Rig, str]] = {}
        self._behind: set[str] = set()
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._teller = _Teller()
        self._teller.done.connect(self._take)
        self.head = QLabel()
        self.head.setWordWrap(True)
        self.copy_button = QPushButton("&Copy all")
        self.copy_button.setMinimumHeight(FIELD_HEIGHT)
        self.copy_button.setToolTip("Copy all groups as text")
        self.copy_button.clicked.connect(lambda: QGuiApplication.clipboard().setText(self.text()))
        self.outer = LengthField("Outer width to reach", document.unit, self._compare_at, beside=True)
        self.tree = PlanTree()
        self.detail = QLabel()
        self._lay_out()
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._work)
        for each in SUBJECTS:
            self.tree.add_group(each.key, each.title)
        for key in FIRST_OPEN:
            self.tree.open(key)
        self.tree.opened.connect(self._open)
        self.tree.verticalScrollBar().valueChanged.connect(self._catch_up)
        self.tree.place_chosen.connect(self.go_to)
        self.tree.currentItemChanged.connect(self._show_detail)
        self._pace = Pace(document, self.refresh, self)
        document.rig_changed.connect(self._pace.ask)
        document.active_axle_changed.connect(self.refresh)
        document.rig_replaced.connect(self._forget)
        document.unit_changed.connect(self._show_unit)

    def refresh(self) -> None:
        """Take the open groups from the rig anew, if anybody sees them."""
        if not self.isVisible():
            return
        document = self._document
        self.head.setText(typeset(heading(document.shown_rig, document.active_axle, document.unit)))
        open_groups = [each for each in SUBJECTS if self.tree.is_open(each.key)]
        unseen = {each.key for each in open_groups if document.is_previewing and not self.tree.is_seen(each.key)}
        self._behind = unseen
        for each in open_groups:
            if each.key not in unseen:
                self._show(each)
        self._show_detail()

    def _catch_up(self) -> None:
        """What comes in sight in the midst of a gesture is brought up with it."""
        if any(self.tree.is_seen(key) for key in self._behind):
            self.refresh()

    def text(self) -> str:
        """All groups as text, as the command line prints them."""
        rig, axle = self._document.shown_rig, self._document.active_axle
        return text_of(rig, axle, groups(rig, axle, self._outer), self._document.unit)

    def go_to(self, place: str) -> None:
        """Go to the value at a place: to a field of this panel, or ask for one of the rig."""
        if place == OUTER:
            self.outer.line.setFocus()
        else:
            self.place_asked.emit(place)

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.addWidget(self.head, 1)
        top.addWidget(self.copy_button)
        self._outer_row = QWidget()
        label = QLabel("&Outer width to reach")
        label.setBuddy(self.outer.line)
        row = QHBoxLayout(self._outer_row)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(label)
        row.addWidget(self.outer, 1)
        self._outer_row.hide()
        self.detail.setWordWrap(True)
        self.detail.setTextFormat(Qt.TextFormat.RichText)
        self.detail.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        self.detail.setMinimumHeight(DETAIL_LINES * self.fontMetrics().lineSpacing())
        self.detail.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.detail.linkActivated.connect(self.go_to)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.setSpacing(4)
        column.addLayout(top)
        column.addWidget(self._outer_row)
        column.addWidget(self.tree, 1)
        column.addWidget(self.detail)

    # Groups

    def _open(self, key: str) -> None:
        if key == "compare":
            self._outer_row.setVisible(self.tree.is_open(key))
        if self.tree.is_open(key) and self.isVisible():
            self._show(subject(key))

    def _show(self, each: Subject) -> None:
        rig, unit = self._document.shown_rig, self._document.unit
        found, stale = self._found(each, rig)
        self.tree.show_group(
            each.key, waiting(each.title) if found is None else lines_of(rig, found, unit, stale=stale)
        )

    def _found(self, each: Subject, rig: Rig) -> tuple[Group | None, bool]:
        """A group, if it is known, and whether it is about the rig as it was."""
        axle = self._document.active_axle
        if not each.takes_time:
            return group(rig, axle, each.key, self._outer), False
        basis, kept = self._slow.get(each.key, (None, None))
        if kept is not None and kept.axle == axle and basis == _basis(each, rig):
            return kept, False
        self._rest.start()
        return (kept, True) if kept is not None and kept.axle == axle else (None, False)

    def _work(self) -> None:
        """The rig rests: work out what takes time and is open."""
        if self._document.is_previewing:
            self._rest.start()
            return
        rig, axle = self._document.shown_rig, self._document.active_axle
        for each in SUBJECTS:
            basis = _basis(each, rig)
            known = self._slow.get(each.key)
            if not each.takes_time or not self.tree.is_open(each.key) or not self.isVisible():
                continue
            if (known is not None and known[0] == basis and known[1].axle == axle) or (
                self._asked.get(each.key) == (basis, axle)
            ):
                continue
            self._asked[each.key] = (basis, axle)
            self._pool.start(_Job(self._teller, each.key, rig, axle, basis))

    def _take(self, key: str, basis: Rig, found: Group) -> None:
        if self._asked.get(key) == (basis, found.axle):
            del self._asked[key]
        self._slow[key] = (basis, found)
        if self.isVisible() and self.tree.is_open(key):
            self._show(subject(key))
            self._show_detail()

    def _forget(self) -> None:
        self._slow, self._asked = {}, {}

    def _compare_at(self, outer: float) -> None:
        if outer <= 0.0:
            raise LengthError("An outer width is more than nothing.")
        self._outer = outer
        self.refresh()

    def _show_unit(self) -> None:
        self.outer.show_unit(self._document.unit)
        self.refresh()

    # The current number

    def _show_detail(self) -> None:
        line = self.tree.current_line()
        words = "" if line is None else self._detail(line)
        self.detail.setText(words)
        self.detail.setAccessibleName("" if words else "What the current number is")  # read out is the text itself

    def _detail(self, line: Line) -> str:
        rig, unit, axle = self._document.shown_rig, self._document.unit, self._document.active_axle
        if line.row is None:
            return _link(line.place, "Go to this value") if line.place else ""
        told = [escape(definition(line.row))]
        if other := in_other_unit(line.row, unit):
            told.append(escape(typeset(f"= {other}")))
        missing = list(dict.fromkeys(place for figure in line.row.figures for place in figure.amount.missing))
        if missing:
            links = [_link(place, place_words(rig, place, axle)) for place in missing[:FEW]]
            more = f" and {len(missing) - FEW} more" if len(missing) > FEW else ""
            told.append(f"Unknown without: {', '.join(links)}{more}.")
        return "<br>".join(told)

    # Qt

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()


class _Teller(QObject):
    """Hands a group over from the thread that worked it out: key, what it rests on, the group."""

    done = Signal(str, object, object)


class _Job(QRunnable):
    """One group, worked out on a snapshot."""

    def __init__(self, teller: _Teller, key: str, rig: Rig, axle: str, basis: Rig) -> None:
        super().__init__()
        self._teller = teller
        self._key, self._rig, self._axle, self._basis = key, rig, axle, basis

    def run(self) -> None:
        self._teller.done.emit(self._key, self._basis, group(self._rig, self._axle, self._key))


def _basis(each: Subject, rig: Rig) -> Rig:
    """What of a rig a group rests on: all of it, or all but the widths."""
    if each.by_width:
        return rig
    return replace(rig, axles=tuple(replace(axle, width=1.0) for axle in rig.axles))


def _link(place: str, words: str) -> str:
    return f'<a href="{escape(place)}">{escape(words)}</a>'
