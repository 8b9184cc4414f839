"""Plots of what travel and steer change on the active axle, beside the pose."""

from __future__ import annotations

from dataclasses import replace
from fnmatch import fnmatchcase
from html import escape
from typing import Final

import numpy as np
from PySide6.QtCore import QObject, QRunnable, QSignalBlocker, Qt, QThreadPool, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QPushButton, QSplitter, QVBoxLayout, QWidget

from app.curves.catalogue import FAMILIES, LOCK, curves, values_at
from app.curves.quantity import WAYS, Against, Curves, Found
from app.curves.way import place_on
from app.document import Document
from app.figures.places import place_words
from app.panels.entry_field import FIELD_HEIGHT
from app.panels.plots.chooser import Chooser
from app.panels.plots.picture import read_at
from app.panels.plots.plot import CurvePlot
from app.typeset import typeset
from app.units import in_unit
from geometry.contact.free_lock import FreeLock
from geometry.errors import GeometryError
from geometry.motion.travel import RIDE_HEIGHT
from geometry.rig.rig import Rig

REST_MS: Final = 200
"""Curves are worked out when the rig has rested this long [ms]: longer than the pause between steps of a drag."""

WAY_WORDS: Final[dict[Against, str]] = {
    "straight": "straight travel",
    "crossed": "crossed travel",
    "steer": "steer",
}

FIRST: Final = ("stroke/*/length", "shaft/[cp]*", "links/roll_centre", "wheel/steer/*")
"""Keys that are shown at first: what is known of the first of them."""

FEW: Final = 3
"""Missing values that the line below the plot names."""

WORKING: Final = "Working out the curves…"


class PlotsPanel(QWidget):
    """Curves of the active axle; worked out off the interface thread when the rig rests and somebody looks.

    Signals
    -------
    place_asked(str)
        The builder wants to go to the value at a place of the rig.
    export_asked(str)
        Write all curves over ``straight``, ``crossed`` or ``steer`` to a file.

    """

    place_asked = Signal(str)
    export_asked = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._curves: Curves | None = None
        self._basis: tuple[Rig, str, Against] | None = None
        self._asked: tuple[Rig, str, Against] | None = None
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._teller = _Teller()
        self._teller.done.connect(self._take)
        self.way = QComboBox()
        self.way.setAccessibleName("Plotted against")
        self.way.setMinimumHeight(FIELD_HEIGHT)
        self.way.currentIndexChanged.connect(self.refresh)
        self.save = QPushButton("Save as &CSV…")
        self.save.setMinimumHeight(FIELD_HEIGHT)
        self.save.setToolTip("Write all quantities of this axle over this travel or steer as a table")
        self.save.clicked.connect(lambda: self.export_asked.emit(self.against))
        self.chooser = Chooser()
        self.chooser.chosen_changed.connect(self._show)
        self.plot = CurvePlot(document)
        self.note = QLabel()
        self._lay_out()
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self._work)
        for signal in (document.rig_changed, document.active_axle_changed):
            signal.connect(self.refresh)
        document.unit_changed.connect(self._show)
        document.pose_changed.connect(self._show_pose)
        document.free_lock_finished.connect(self._take_lock)

    @property
    def against(self) -> Against:
        """What the curves go over."""
        return WAYS[max(self.way.currentIndex(), 0)]

    def show_over(self, against: Against) -> None:
        """Plot over another way."""
        self.way.setCurrentIndex(WAYS.index(against))

    def refresh(self) -> None:
        """Follow rig and axle, if anybody looks: at once with what is known, and anew when the rig rests."""
        if not self.isVisible():
            return
        self._offer_ways()
        if self._basis != self._wanted():
            self._rest.start()
        self._show()

    def text(self) -> str:
        """The current values as text."""
        return f"{self.plot.accessibleDescription()}\n{self.note.text()}".strip()

    def _lay_out(self) -> None:
        label = QLabel("A&gainst")
        label.setBuddy(self.way)
        top = QHBoxLayout()
        top.addWidget(label)
        top.addWidget(self.way, 1)
        top.addWidget(self.save)
        self.note.setWordWrap(True)
        self.note.setTextFormat(Qt.TextFormat.RichText)
        self.note.setAccessibleDescription("What the plot lacks")
        self.note.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.note.linkActivated.connect(self.place_asked)
        self.note.hide()
        self.parts = QSplitter(Qt.Orientation.Vertical)
        self.parts.addWidget(self.chooser)
        self.parts.addWidget(self.plot)
        self.parts.setSizes([110, 300])
        self.parts.setStretchFactor(1, 1)
        self.parts.setCollapsible(1, False)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.setSpacing(4)
        column.addLayout(top)
        column.addWidget(self.parts, 1)
        column.addWidget(self.note)

    def _offer_ways(self) -> None:
        """An axle that does not steer has no curves over steer."""
        steered = self._document.shown_rig.axle(self._document.active_axle).steering is not None
        offered = [WAY_WORDS[each] for each in WAYS if steered or each != "steer"]
        if [self.way.itemText(row) for row in range(self.way.count())] == offered:
            return
        current = self.way.currentIndex()
        with QSignalBlocker(self.way):
            self.way.clear()
            self.way.addItems(offered)
            self.way.setCurrentIndex(current if 0 <= current < len(offered) else 0)

    # Curves

    def _wanted(self) -> tuple[Rig, str, Against]:
        document = self._document
        return document.shown_rig, document.active_axle, self.against

    def _work(self) -> None:
        """The rig rests: have the curves worked out."""
        if self._document.is_previewing:
            self._rest.start()
            return
        wanted = self._wanted()
        if not self.isVisible() or any(wanted == known for known in (self._basis, self._asked)):
            return
        self._asked = wanted
        self._pool.start(_Job(self._teller, *wanted))

    def _take(self, basis: tuple[Rig, str, Against], found: Curves | str) -> None:
        if basis != self._asked:
            return
        self._asked = None
        if isinstance(found, str):
            self._curves = None
            self.plot.show_words(found)
            return
        self._basis, self._curves = basis, found
        unknown = [each.quantity.key for each in found.found if each.missing and not np.isfinite(each.values).any()]
        self.chooser.show_quantities([each.quantity for each in found.found], unknown)
        if not self.chosen:
            self.chooser.choose(self._first(found))
        self._show()

    def _take_lock(self, axle: str) -> None:
        if axle == self._document.active_axle:
            self._show()

    @property
    def chosen(self) -> tuple[str, ...]:
        """Keys of the lines that are shown."""
        known = {} if self._curves is None else self._curves.by_key
        return tuple(key for key in self.chooser.chosen if key in known)

    def _first(self, found: Curves) -> list[str]:
        known = [each.quantity.key for each in found.found if np.isfinite(each.values).any()]
        for pattern in FIRST:
            if keys := [key for key in known if fnmatchcase(key, pattern)]:
                return keys[:2]
        return [each.quantity.key for each in found.found[:1]]

    def _show(self) -> None:
        """What is known, with the free lock if it is asked for."""
        found, chosen = self._curves, self.chosen
        basis, wanted = self._basis, self._wanted()
        if found is None or basis is None or basis[1:] != wanted[1:]:
            self.plot.show_words(WORKING)
            self.note.hide()
            return
        if not chosen:
            self.plot.show_words("Tick what is to be plotted.")
            self.note.hide()
            return
        lines = tuple(self._line(found, key) for key in chosen)
        self._say_what_lacks(lines)
        self.plot.show_curves(found, lines, faded=basis != wanted)
        self._show_pose(found.axle)

    def _line(self, found: Curves, key: str) -> Found:
        """One line; of the free lock, what the search has found by now."""
        known = found.by_key[key]
        if key.partition("/")[0] != LOCK or found.problem:
            return known
        lock = self._document.free_lock(found.axle)
        if lock is None:
            if not self._document.is_previewing:
                self._document.ask_free_lock(found.axle)
            return replace(known, problem="Searching the free lock…")
        axle = self._document.shown_rig.axle(found.axle)
        searched = curves(self._document.shown_rig, axle, self.against, families=(LOCK,), lock=lock)
        return searched.by_key[key]

    def _say_what_lacks(self, lines: tuple[Found, ...]) -> None:
        document = self._document
        told = [
            escape(in_unit(problem, document.unit)) for problem in dict.fromkeys(e.problem for e in lines) if problem
        ]
        missing = list(dict.fromkeys(place for each in lines for place in each.missing))
        if missing:
            links = [
                f'<a href="{escape(place)}">{escape(place_words(document.shown_rig, place, document.active_axle))}</a>'
                for place in missing[:FEW]
            ]
            more = f" and {len(missing) - FEW} more" if len(missing) > FEW else ""
            told.append(f"Unknown without: {', '.join(links)}{more}.")
        if self._curves is not None and not self._curves.reached.all():
            why = in_unit(self._curves.problem, document.unit) if self._curves.problem else ""
            told.append(escape(why or "Hatched: shocks, stops or straps end the travel before."))
        self.note.setText(typeset("<br>".join(told)))
        self.note.setVisible(bool(told))

    # Pose

    def _show_pose(self, axle_id: str) -> None:
        """Read the lines in the pose on display: from the curves where it lies on the way, else anew."""
        found, document = self._curves, self._document
        lines = self.plot.lines
        if found is None or not lines or axle_id != found.axle or not self.isVisible():
            return
        axle, pose = document.shown_rig.axle(axle_id), document.pose(axle_id)
        at, on_way = place_on(axle, self.against, pose)
        if on_way:
            self.plot.show_values(tuple(read_at(found, each.values, at) for each in lines))
            return
        families = {each.quantity.key.partition("/")[0] for each in lines}
        lock: FreeLock | None = document.free_lock(axle_id) if LOCK in families else None
        told = values_at(document.shown_rig, axle, self.against, pose, families=families, lock=lock)
        by_key = {each.quantity.key: float(each.values[0]) for each in told}
        self.plot.show_values(tuple(by_key.get(each.quantity.key, float("nan")) for each in lines))

    # Qt

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()


class _Teller(QObject):
    """Hands curves over from the thread that worked them out: what they rest on, and they, or why there are none."""

    done = Signal(object, object)


class _Job(QRunnable):
    """All curves but the free lock, worked out on a snapshot."""

    def __init__(self, teller: _Teller, rig: Rig, axle: str, against: Against) -> None:
        super().__init__()
        self._teller, self._wanted = teller, (rig, axle, against)

    def run(self) -> None:
        rig, axle_id, against = self._wanted
        axle = rig.axle(axle_id)
        found: Curves | str
        try:
            found = curves(rig, axle, against, families=FAMILIES)
            if against != "steer":
                locks = values_at(rig, axle, against, RIDE_HEIGHT, families=(LOCK,))
                nothing = np.full(len(found.at), np.nan)
                found = replace(found, found=(*found.found, *(replace(each, values=nothing) for each in locks)))
        except GeometryError as refused:
            found = str(refused)
        self._teller.done.emit(self._wanted, found)
