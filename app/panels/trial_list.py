"""The trial list: chosen widths of the active axle side by side, a column for each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QFont, QGuiApplication, QIcon, QKeyEvent, QKeySequence, QPalette
from PySide6.QtWidgets import QAbstractItemView, QLabel, QPushButton, QTableView, QVBoxLayout, QWidget

from app.document import Document
from app.edits import set_trials, set_width
from app.pace import Pace
from app.panels.entry_field import FIELD_HEIGHT, refusal_words
from app.panels.symbols import verdict_icon
from app.rule_book import RuleBook
from app.theme import colours
from app.trials import Cell, Row, Trial, rows_of
from app.typeset import typeset
from app.units import LengthUnit, format_length
from geometry.contact.findings import Verdict
from geometry.errors import GeometryError
from geometry.rig.rig import Rig

Index = QModelIndex | QPersistentModelIndex
NO_PARENT: Final = QModelIndex()

EMPTY: Final = (
    "No widths on the trial list. Set a width and press “Add to trials”: its clearance, stability and tube marks stand "
    "here beside those of the others."
)
COLUMN: Final = 124
"""Width of a column [px]."""


class TrialModel(QAbstractTableModel):
    """Trials as columns, what is told of them as rows."""

    def __init__(self) -> None:
        super().__init__()
        self.trials: tuple[Trial, ...] = ()
        self.rows: tuple[Row, ...] = ()
        self._unit = LengthUnit.FRACTION
        self._set: float | None = None
        self._palette = QPalette()

    def show_trials(self, rig: Rig, axle_id: str, trials: Sequence[Trial], unit: LengthUnit, palette: QPalette) -> None:
        """Show other trials."""
        rows = rows_of(rig, axle_id, trials, unit) if trials else ()
        same = [trial.width for trial in trials] == [trial.width for trial in self.trials] and len(rows) == len(
            self.rows
        )
        if not same:
            self.beginResetModel()
        self.trials, self.rows, self._unit, self._palette = tuple(trials), rows, unit, palette
        self._set = rig.axle(axle_id).width
        if not same:
            self.endResetModel()

    def rowCount(self, parent: Index = NO_PARENT) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = NO_PARENT) -> int:
        return 0 if parent.isValid() else len(self.trials)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if orientation is Qt.Orientation.Vertical:
            return self.rows[section].title if role == Qt.ItemDataRole.DisplayRole else None
        is_set = self.trials[section].width == self._set
        if role == Qt.ItemDataRole.FontRole:
            font = QFont()
            font.setBold(is_set)
            return font
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        words = format_length(self.trials[section].width, self._unit)
        return f"{words} (set)" if is_set else words

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        cell = self.rows[index.row()].cells[index.column()]
        if role == Qt.ItemDataRole.DisplayRole:
            return typeset(cell.text)
        if role == Qt.ItemDataRole.DecorationRole and cell.sign is not None:
            return self._icon(cell.sign)
        if role in {Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleDescriptionRole}:
            return typeset(_more(cell))
        if role == Qt.ItemDataRole.AccessibleTextRole:
            head = self.headerData(index.column(), Qt.Orientation.Horizontal)
            return f"{head}, {self.rows[index.row()].title}: {_more(cell)}"
        return None

    def _icon(self, sign: Verdict) -> QIcon:
        return verdict_icon(sign, colours(self._palette), 14)


def _more(cell: Cell) -> str:
    return f"{cell.text}: {cell.more}" if cell.more else cell.text


class TrialList(QWidget):
    """The list; a click on a column sets the axle to its width. `remove_button` is placed by whoever shows the list."""

    def __init__(self, document: Document, book: RuleBook) -> None:
        super().__init__()
        self._document = document
        self._book = book
        self.model = TrialModel()
        self.table = _Table()
        self.table.setModel(self.model)
        self.table.width_asked.connect(self.set_to)
        self.table.removal_asked.connect(self.remove)
        self.note = QLabel()
        self.note.setWordWrap(True)
        self.remove_button = QPushButton("Remove")
        self.remove_button.setToolTip("Take the chosen width off the trial list")
        self.remove_button.setMinimumHeight(FIELD_HEIGHT)
        self.remove_button.clicked.connect(lambda: self.remove(self.table.column()))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 0, 2)
        column.addWidget(self.table, 1)
        column.addWidget(self.note)
        self._pace = Pace(document, self.refresh, self)
        document.rig_changed.connect(self._pace.ask)
        for signal in (document.active_axle_changed, document.unit_changed, document.trial_finished, book.switched):
            signal.connect(self.refresh)
        document.study_finished.connect(self._pace.ask)
        self.table.selectionModel().selectionChanged.connect(self._allow)
        self.refresh()

    def refresh(self) -> None:
        """Take all trials from the document anew; while nobody looks there is no need."""
        if not self.isVisible():
            return
        document = self._document
        axle, column = document.active_axle, self.table.column()
        trials = self._book.trials(axle)
        self.model.show_trials(document.shown_rig, axle, trials, document.unit, self.palette())
        self.table.setVisible(bool(trials))
        self._say("" if trials else EMPTY)
        self.table.resizeRowsToContents()
        if trials and column >= 0:
            self.table.selectColumn(min(column, len(trials) - 1))
        self.table.viewport().update()
        self.table.horizontalHeader().viewport().update()
        self._allow()

    def set_to(self, column: int) -> None:
        """Set the axle to the width of a column."""
        if not 0 <= column < len(self.model.trials):
            return
        try:
            set_width(self._document, self._document.active_axle, self.model.trials[column].width)
        except GeometryError as refused:
            self._say(f"This width cannot be set: {refusal_words(refused, self._document.unit)}")

    def remove(self, column: int) -> None:
        """Take a column off the list."""
        if 0 <= column < len(self.model.trials):
            self._change([each.width for at, each in enumerate(self.model.trials) if at != column])

    def _change(self, widths: Sequence[float]) -> None:
        try:
            set_trials(self._document, self._document.active_axle, widths)
        except GeometryError as refused:
            self._say(refusal_words(refused, self._document.unit))

    def _allow(self) -> None:
        self.remove_button.setEnabled(self.table.column() >= 0)

    def _say(self, words: str) -> None:
        self.note.setText(words)
        self.note.setVisible(bool(words))

    def showEvent(self, event: object) -> None:
        del event
        self.refresh()


class _Table(QTableView):
    """Columns as a whole.

    Signals
    -------
    width_asked(int), removal_asked(int)
        The axle is to have the width of a column; a column is to go.

    """

    width_asked = Signal(int)
    removal_asked = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Trial list")
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectColumns)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setAlternatingRowColors(True)
        self.setTabKeyNavigation(False)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.horizontalHeader().setDefaultSectionSize(COLUMN)
        self.horizontalHeader().setMinimumHeight(FIELD_HEIGHT)
        self.horizontalHeader().setHighlightSections(False)
        self.verticalHeader().setMinimumSectionSize(20)
        self.verticalHeader().setHighlightSections(False)
        self.verticalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.clicked.connect(lambda index: self.width_asked.emit(index.column()))
        self.horizontalHeader().sectionClicked.connect(self.width_asked)

    def column(self) -> int:
        """The chosen column; -1 = none."""
        chosen = self.selectionModel().selectedIndexes()
        return chosen[0].column() if chosen else -1

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self.width_asked.emit(self.column())
        elif event.key() == Qt.Key.Key_Delete:
            self.removal_asked.emit(self.column())
        elif event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self.copied())
        else:
            super().keyPressEvent(event)

    def copied(self) -> str:
        """The whole list with its headings, divided by tabs."""
        model = self.model()
        columns, show = range(model.columnCount()), Qt.Orientation
        lines = [["", *(str(model.headerData(c, show.Horizontal)) for c in columns)]]
        for row in range(model.rowCount()):
            title = str(model.headerData(row, show.Vertical))
            lines.append([title, *(str(model.index(row, c).data()) for c in columns)])
        return "\n".join("\t".join(line) for line in lines)
