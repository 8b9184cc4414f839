"""One sheet of the rig for Qt's table views, with an empty last row in which a new part is entered."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, QSortFilterProxyModel, Qt, Signal
from PySide6.QtGui import QFont, QGuiApplication

from app.document import Document
from app.edits import change_rig
from app.panels.entry_field import refusal_words
from app.panels.tables.changes import Typed, told, with_new, with_text
from app.panels.tables.sheets import Field, PartSheet, Sheet
from app.theme import colours
from app.typeset import minus
from app.units import LengthUnit, format_length
from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig

Index = QModelIndex | QPersistentModelIndex
NO_PARENT: Final = QModelIndex()

SORT_ROLE: Final = Qt.ItemDataRole.UserRole
"""What a column is sorted by: numbers by size, words with their numbers by size."""

SINGLY: Final = 50
"""Most rows that are told of one by one when they changed."""

_DIGITS: Final = re.compile(r"(\d+)")
_ROLE = Qt.ItemDataRole


class SheetModel(QAbstractTableModel):
    """The cells of a sheet; every change is one undo step.

    A text that cannot be used stays in its cell until it is mended or `give_up` is called; `problem_changed` says why.
    `added` says what came of the new row.
    """

    problem_changed = Signal(str)
    added = Signal(str)

    def __init__(self, document: Document, sheet: Sheet) -> None:
        super().__init__()
        self.document = document
        self.sheet = sheet
        self.draft: dict[int, str] = {}
        self._refused: dict[tuple[int, int], str] = {}
        self._rig = document.shown_rig
        self._habits: dict[int, Any] | None = None

    @property
    def rig(self) -> Rig:
        """The rig as the table shows it."""
        return self._rig

    @property
    def unit(self) -> LengthUnit:
        """Unit of all lengths."""
        return self.document.unit

    @property
    def can_grow(self) -> bool:
        """Whether rows can be added and deleted."""
        return isinstance(self.sheet, PartSheet)

    def is_draft(self, row: int) -> bool:
        """Whether this is the empty row at the end."""
        return row >= self.sheet.rows(self._rig)

    def refresh(self) -> None:
        """Show the document's rig, if anything of the sheet is another."""
        rig = self.document.shown_rig
        before, self._rig = self._rig, rig
        if self.sheet.source(before) == self.sheet.source(rig):
            return
        self._habits = None
        shape = [(self.sheet.rows(each), self.sheet.columns(each)) for each in (before, rig)]
        if shape[0] != shape[1]:
            self.beginResetModel()
            self._refused.clear()
            self.endResetModel()
        else:
            self._tell_changed(before, rig)

    def show_unit(self) -> None:
        """Show all lengths in the document's unit; what was refused in another unit is given up."""
        self.give_up()
        self._all_changed()
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, self.columnCount() - 1)

    def give_up(self) -> bool:
        """Drop what could not be used and what is entered in the last row; whether there was anything."""
        had = bool(self._refused or self.draft)
        self._refused.clear()
        self.draft.clear()
        self.problem_changed.emit("")
        if had:
            self._all_changed()
        return had

    def _tell_changed(self, before: Rig, after: Rig) -> None:
        """Tell of the rows that are others, and of the last one: sorting thousands anew takes its time."""
        if not isinstance(self.sheet, PartSheet):
            self._all_changed()
            return
        pairs = enumerate(zip(self.sheet.parts(before), self.sheet.parts(after), strict=True))
        rows = [row for row, (old, new) in pairs if old is not new and old != new]
        for row in [*rows, self.rowCount() - 1] if len(rows) <= SINGLY else []:
            self.dataChanged.emit(self.index(row, 0), self.index(row, self.columnCount() - 1))
        if len(rows) > SINGLY:
            self._all_changed()

    def _all_changed(self) -> None:
        if self.rowCount():
            self.dataChanged.emit(self.index(0, 0), self.index(self.rowCount() - 1, self.columnCount() - 1))

    # What Qt asks

    def rowCount(self, parent: Index = NO_PARENT) -> int:
        return 0 if parent.isValid() else self.sheet.rows(self._rig) + self.can_grow

    def columnCount(self, parent: Index = NO_PARENT) -> int:
        return 0 if parent.isValid() else self.sheet.columns(self._rig)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = _ROLE.DisplayRole) -> object:
        if role == _ROLE.TextAlignmentRole and orientation is Qt.Orientation.Horizontal:
            field = None if self.sheet.across else self.sheet.field(self._rig, 0, section)
            numbers = field is not None and field.cell.is_number
            return Qt.AlignmentFlag.AlignVCenter | (
                Qt.AlignmentFlag.AlignRight if numbers else Qt.AlignmentFlag.AlignLeft
            )
        if role != _ROLE.DisplayRole:
            return None
        if orientation is Qt.Orientation.Horizontal:
            return self.sheet.headings(self._rig, self.unit)[section]
        return "new" if self.is_draft(section) else str(section + 1)

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemNeverHasChildren
        return flags | Qt.ItemFlag.ItemIsEditable if self.field(index.row(), index.column()) is not None else flags

    def data(self, index: Index, role: int = _ROLE.DisplayRole) -> object:
        row, column = index.row(), index.column()
        texts: dict[int, Callable[[int, int], object]] = {
            _ROLE.DisplayRole: self._shown,
            _ROLE.EditRole: self.typed,
            _ROLE.ToolTipRole: self._exactly,
            SORT_ROLE: self._sort_key,
        }
        return texts[role](row, column) if role in texts else self._look(row, column, role)

    def _look(self, row: int, column: int, role: int) -> object:
        field, habit = self.field(row, column), self.is_draft(row) and column not in self.draft
        if role == _ROLE.TextAlignmentRole and field is not None and field.cell.is_number:
            return Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
        if role == _ROLE.ForegroundRole:
            names = colours(QGuiApplication.palette())
            return names.problem if (row, column) in self._refused else names.quiet if habit else None
        if role == _ROLE.FontRole and habit:
            font = QFont()
            font.setItalic(True)
            return font
        return None

    def setData(self, index: Index, value: object, role: int = _ROLE.EditRole) -> bool:
        if role != _ROLE.EditRole:
            return False
        row, column, text = index.row(), index.column(), str(value)
        if self.is_draft(row):
            self._enter_draft(column, text)
            return True
        if text == self.typed(row, column):
            return False
        try:
            rig = with_text(self.document.rig, self.sheet, row, column, Typed(text, self.unit))
            change_rig(self.document, rig, f"Change {self.sheet.row_words(self.document.rig, row)}")
        except ValueError as refused:
            self._refused[row, column] = text
            why = refusal_words(refused, self.unit)
            self.problem_changed.emit(f"{self._cell_words(row, column)}: {why[:1].lower()}{why[1:]}")
            self.dataChanged.emit(index, index)
            return False
        self._refused.pop((row, column), None)
        self.problem_changed.emit("")
        self.dataChanged.emit(index, index)
        return True

    # The new row

    def _enter_draft(self, column: int, text: str) -> None:
        if text.strip():
            self.draft[column] = text
        else:
            self.draft.pop(column, None)
        self.problem_changed.emit("")
        row = self.rowCount() - 1
        self.dataChanged.emit(self.index(row, 0), self.index(row, self.columnCount() - 1))

    def add_draft(self) -> bool:
        """Add the part that is entered in the last row; False when it cannot be used, and stays there."""
        if not isinstance(self.sheet, PartSheet) or not self.draft:
            return False
        try:
            typed = {column: Typed(text, self.unit) for column, text in self.draft.items()}
            before = self.document.rig
            rig = with_new(before, self.sheet, typed)
            entered, self.draft = self.draft, {}
            try:
                change_rig(self.document, rig, f"Add {self.sheet.row_words(rig, self.sheet.rows(rig) - 1)}")
            except ValueError:
                self.draft = entered
                raise
        except ValueError as refused:
            self.problem_changed.emit(refusal_words(refused, self.unit))
            return False
        self.problem_changed.emit("")
        self.added.emit(f"{told(self.sheet, before, rig)}.")
        return True

    # Texts of a cell

    def typed(self, row: int, column: int) -> str:
        """What an editor starts from: as shown where that is exact, else the exact value."""
        if self.is_draft(row):
            return self.draft.get(column, "")
        if (row, column) in self._refused:
            return self._refused[row, column]
        field = self.sheet.field(self._rig, row, column)
        if field is None:
            return self.sheet.label(self._rig, row, column, self.unit)
        value = self.sheet.value(self._rig, row, column)
        shown = field.cell.show(value, self.unit)
        if not field.cell.is_number or not shown or field.cell.read(shown, self.unit) == value:
            return shown
        exact = field.cell.exact(value, self.unit)
        plain = f"{value!r} mm"
        return plain if field.cell.sign(self.unit) == "in" and len(plain) < len(exact) else exact

    def _shown(self, row: int, column: int) -> str:
        if (row, column) in self._refused:
            return self._refused[row, column]
        if self.is_draft(row):
            return self.draft[column] if column in self.draft else self._habit(column)
        field = self.sheet.field(self._rig, row, column)
        if field is None:
            return self.sheet.label(self._rig, row, column, self.unit)
        return minus(field.cell.show(self.sheet.value(self._rig, row, column), self.unit))

    def _habit(self, column: int) -> str:
        """What counts in the new row where nothing is entered."""
        if not isinstance(self.sheet, PartSheet):
            return ""
        if self._habits is None:
            parts = self.sheet.parts(self._rig)
            self._habits = {0: self.sheet.free_id(parts), **self.sheet.habits(parts)}
        cell = self.sheet.fields[column].cell
        return minus(cell.show(self._habits[column], self.unit)) if column in self._habits else ""

    def _exactly(self, row: int, column: int) -> str:
        """The value with more digits than the cell has room for, in both units."""
        field = None if self.is_draft(row) else self.sheet.field(self._rig, row, column)
        value = None if field is None else self.sheet.value(self._rig, row, column)
        if field is None or not isinstance(value, float) or field.cell.sign(self.unit) == "°":
            return self._shown(row, column)
        exact = f"{value:.10g} mm"
        return minus(exact if self.unit is LengthUnit.MM else f"{format_length(value, LengthUnit.INCH)}, {exact}")

    def _sort_key(self, row: int, column: int) -> object:
        field = self.sheet.field(self._rig, row, column) if not self.is_draft(row) else None
        if field is not None and field.cell.is_number and not self.sheet.across:
            return self.sheet.value(self._rig, row, column)
        return self._shown(row, column)

    def field(self, row: int, column: int) -> Field | None:
        """What a cell holds; None when it is not to be changed."""
        if self.is_draft(row):
            return self.sheet.fields[column] if isinstance(self.sheet, PartSheet) else None
        return self.sheet.field(self._rig, row, column)

    def _cell_words(self, row: int, column: int) -> str:
        words = self.sheet.row_words(self._rig, row)
        heading = self.sheet.headings(self._rig, self.unit)[column].partition(" [")[0]
        text = f"{words}, {heading}"
        return f"{text[:1].upper()}{text[1:]}"

    def part(self, row: int, column: int) -> PartRef | None:
        """The part that a cell is about; None in the new row."""
        return None if self.is_draft(row) else self.sheet.part(self._rig, row, column)


class SheetOrder(QSortFilterProxyModel):
    """Rows sorted by any column and filtered by words; the new row stays at the end."""

    def __init__(self, model: SheetModel) -> None:
        super().__init__()
        self._model = model
        self._words: tuple[str, ...] = ()
        self.setSourceModel(model)
        self.setDynamicSortFilter(True)

    @property
    def is_filtered(self) -> bool:
        """Whether rows may be left out."""
        return bool(self._words)

    def filter_by(self, text: str) -> None:
        """Show only rows in which all of these words occur, whatever their case."""
        self.beginFilterChange()
        self._words = tuple(text.casefold().split())
        self.endFilterChange(QSortFilterProxyModel.Direction.Rows)

    def filterAcceptsRow(self, row: int, parent: Index) -> bool:
        if not self._words or self._model.is_draft(row):
            return True
        cells = (self._model.index(row, column, parent) for column in range(self._model.columnCount()))
        text = " ".join(str(self._model.data(cell)) for cell in cells).casefold()
        return all(word in text for word in self._words)

    def lessThan(self, left: Index, right: Index) -> bool:
        drafts = self._model.is_draft(left.row()), self._model.is_draft(right.row())
        if any(drafts):
            return drafts[1] is (self.sortOrder() is Qt.SortOrder.AscendingOrder)
        return _order(self._model.data(left, SORT_ROLE)) < _order(self._model.data(right, SORT_ROLE))


def _order(key: object) -> tuple[tuple[int, float, str], ...]:
    """Numbers by size, before words; words with the numbers in them by size: n2 before n10."""
    if isinstance(key, (int, float)):
        return ((0, float(key), ""),)
    pieces = _DIGITS.split(str(key).casefold())
    return tuple((0, float(piece), "") if piece.isdecimal() else (1, 0.0, piece) for piece in pieces if piece)
