"""Every pair that touches, is tight or comes closest, worst first: the drawing in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QAbstractTableModel, QItemSelection, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QPalette, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QLabel, QTableView, QVBoxLayout, QWidget

from app.document import Document, within_travel
from app.panels.symbols import verdict_icon
from app.study import Study
from app.theme import colours
from app.units import LengthUnit, format_clearance, format_length
from app.wording import bump_left_words, clearance_words, pair_words, pose_words, verdict_words
from geometry.contact.findings import Approach, PairName
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

Index = QModelIndex | QPersistentModelIndex
NO_PARENT: Final = QModelIndex()

COLUMNS: Final = ("Verdict", "Pair", "Clearance", "Bump left", "Where", "Wanted")


LEAST_PAIR: Final = 120
"""Least width of the column that names the pairs [px]."""


class TouchModel(QAbstractTableModel):
    """The approaches of a study as rows, all text in one unit."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[Approach, ...] = ()
        self._rig: Rig | None = None
        self._unit = LengthUnit.FRACTION
        self._palette = QPalette()

    def show_study(self, study: Study | None, unit: LengthUnit, palette: QPalette) -> None:
        """Show another study, None = nothing is known."""
        self.beginResetModel()
        self.rows = () if study is None else tuple(a for a in study.approaches if not a.beyond)
        self._rig = None if study is None else study.rig
        self._unit = unit
        self._palette = palette
        self.endResetModel()

    def row_of(self, pair: PairName) -> int | None:
        """Row of a pair; None when it is not listed."""
        return next((row for row, found in enumerate(self.rows) if pair_name(found) == pair), None)

    def rowCount(self, parent: Index = NO_PARENT) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = NO_PARENT) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return COLUMNS[section] if orientation is Qt.Orientation.Horizontal else str(section + 1)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        found, column = self.rows[index.row()], index.column()
        if role in {Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole}:
            return self._text(found, column)
        if role == Qt.ItemDataRole.DecorationRole and column == 0:
            return verdict_icon(found.verdict, colours(self._palette))
        if role == Qt.ItemDataRole.TextAlignmentRole and COLUMNS[column] in {"Clearance", "Wanted"}:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def _axle(self, found: Approach) -> Axle:
        assert self._rig is not None  # noqa: S101  (there are rows only with a study)
        return self._rig.axle(found.axle)

    def _clearance(self, found: Approach) -> str:
        """What is proved, rounded down; both ends where they lie far apart."""
        return format_clearance(found.low, self._unit) if found.settled else clearance_words(found, self._unit)

    def _text(self, found: Approach, column: int) -> str:
        texts: dict[str, Callable[[], str]] = {
            "Verdict": lambda: verdict_words(found.verdict),
            "Pair": lambda: pair_words(found),
            "Clearance": lambda: self._clearance(found),
            "Bump left": lambda: bump_left_words(found, self._axle(found), self._unit),
            "Where": lambda: pose_words(found.pose, self._axle(found), self._unit),
            "Wanted": lambda: format_length(found.wanted, self._unit),
        }
        return texts[COLUMNS[column]]()


class TouchList(QWidget):
    """The list; choosing a row poses the rig there, selects the pair and asks the views to frame the spot.

    Signals
    -------
    spot_chosen(object)
        The Approach of the chosen row.

    """

    spot_chosen = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.model = TouchModel()
        self.table = _Table()
        self.table.setModel(self.model)
        self._note = QLabel()
        self._note.setWordWrap(True)
        self._set_columns()
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 4, 6, 4)
        column.setSpacing(4)
        column.addWidget(self.table, 1)
        column.addWidget(self._note)
        self.table.selectionModel().selectionChanged.connect(self._choose)
        self.table.clicked.connect(self._choose_again)
        for signal in (document.study_finished, document.unit_changed, document.rig_changed):
            signal.connect(self.refresh)
        document.selection_changed.connect(self._follow_selection)
        self.refresh()

    def refresh(self) -> None:
        """Take the answer from the document anew; while there is none the old one is greyed, not shown as new."""
        document = self._document
        study = document.study
        self.table.setEnabled(study is not None)
        if study is None and document.last_study is not None:
            self._note.setText("Checking… these rows are about the rig as it was")
            return
        self.model.show_study(study, document.unit, self.palette())
        self._note.setText(self._count_words(study))
        self._follow_selection()

    def _count_words(self, study: Study | None) -> str:
        if study is None:
            return "Checking…"
        problems = [answer.problem for answer in study.axles if answer.problem]
        if problems:
            return " ".join(problems)
        far = sum(found.beyond for found in study.approaches)
        if not far:
            return "All pairs are listed"
        low = min(found.low for found in study.approaches if found.beyond)
        return f"{far} more pairs stay over {format_clearance(low, self._document.unit)} apart"

    def _set_columns(self) -> None:
        header = self.table.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        digit = self.fontMetrics().horizontalAdvance("0")
        for column, digits in enumerate((11, 20, 10, 17, 24, 9)):
            self.table.setColumnWidth(column, digits * digit)
        self.table.fit_pair_column()
        header.setMinimumHeight(24)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(2 * self.fontMetrics().height() + 6)

    def _choose(self, chosen: QItemSelection) -> None:
        if not chosen.isEmpty():
            self._go_to(self.model.rows[chosen.indexes()[0].row()])

    def _choose_again(self, index: QModelIndex) -> None:
        """A click on the row that is chosen already brings back a pose that was left meanwhile."""
        found = self.model.rows[index.row()]
        if self._document.pose(found.axle) != within_travel(found.pose, self._document.shown_rig.axle(found.axle)):
            self._go_to(found)

    def _go_to(self, found: Approach) -> None:
        self._document.set_active_axle(found.axle)
        self._document.set_pose(found.axle, found.pose)
        self._document.select(pair_name(found))
        self.spot_chosen.emit(found)

    def _follow_selection(self) -> None:
        chosen = self._document.selection
        row = self.model.row_of(chosen) if isinstance(chosen, PairName) else None
        chooser = self.table.selectionModel()
        if row is not None and not chooser.isRowSelected(row, NO_PARENT):
            chooser.blockSignals(True)
            self.table.selectRow(row)
            chooser.blockSignals(False)
            self.table.viewport().update()
        elif row is None:
            self.table.clearSelection()


class _Table(QTableView):
    """Rows as a whole, wrapped text, and rows that can be copied."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Touch list")
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setWordWrap(True)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setTabKeyNavigation(False)

    def fit_pair_column(self) -> None:
        """Give the names of pairs what the verdict, the clearance and, where it fits, the bump left leave over."""
        room = self.viewport().width() - self.columnWidth(0) - self.columnWidth(2)
        with_bump = room - self.columnWidth(3)
        self.setColumnWidth(1, max(with_bump if with_bump >= LEAST_PAIR else room, LEAST_PAIR))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit_pair_column()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self.copied())
            return
        super().keyPressEvent(event)

    def copied(self) -> str:
        """The chosen row, or all rows, with the headings, divided by tabs."""
        model = self.model()
        chosen = self.selectionModel().selectedRows()
        rows = [index.row() for index in chosen] or list(range(model.rowCount()))
        columns = range(model.columnCount())
        lines = ["\t".join(str(model.headerData(c, Qt.Orientation.Horizontal)) for c in columns)]
        lines += ["\t".join(str(model.index(row, c).data()) for c in columns) for row in rows]
        return "\n".join(lines)


def pair_name(found: Approach) -> PairName:
    """Which pair an approach is about."""
    return PairName(found.kind, found.moving, found.fixed)
