"""The cells of one table on screen: typed into, moved through and copied by key."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QItemSelection, QItemSelectionModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QHeaderView,
    QLineEdit,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from app.panels.tables.model import SheetModel, SheetOrder

Index = QModelIndex | QPersistentModelIndex
Keys = QKeySequence.StandardKey

ROW_HEIGHT = 24
"""Height of a row [px]: the least that is easy to hit."""

NARROWEST, WIDEST = 48, 170
"""Widths between which a column is fitted to its texts [px]."""

OWN_KEYS = (Keys.Copy, Keys.Paste, Keys.Delete, Keys.SelectAll)


class CellEditor(QStyledItemDelegate):
    """A line to type into, over its cell."""

    typed = Signal(object, str)

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        editor = super().createEditor(parent, option, index)
        if isinstance(editor, QLineEdit):
            editor.setFrame(False)
            title = index.model().headerData(index.column(), Qt.Orientation.Horizontal)
            editor.setAccessibleName(str(title))
            place = QPersistentModelIndex(index)
            editor.textEdited.connect(lambda text: self.typed.emit(place, text))
        return editor


class SheetView(QTableView):
    """A sheet with its rows in the order that was asked for.

    `copy_asked`, `paste_asked` and `delete_asked` are what keys ask for; the page around it does it.
    """

    copy_asked = Signal()
    paste_asked = Signal()
    delete_asked = Signal()

    def __init__(self, model: SheetModel, order: SheetOrder) -> None:
        super().__init__()
        self.sheet_model = model
        self.order = order
        self.setModel(order)
        self.editor = CellEditor(self)
        self.setItemDelegate(self.editor)
        self.setAccessibleName(f"Table of {model.sheet.name.lower()}")
        self.setAlternatingRowColors(True)
        self.setTabKeyNavigation(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        triggers = QAbstractItemView.EditTrigger
        self.setEditTriggers(triggers.DoubleClicked | triggers.EditKeyPressed | triggers.AnyKeyPressed)
        self.setWordWrap(False)
        self.setCornerButtonEnabled(False)
        rows, columns = self.verticalHeader(), self.horizontalHeader()
        rows.setDefaultSectionSize(ROW_HEIGHT)
        rows.setMinimumSectionSize(ROW_HEIGHT)
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        columns.setHighlightSections(False)
        columns.setSortIndicatorClearable(True)
        columns.setSortIndicator(-1, Qt.SortOrder.AscendingOrder)
        self.setSortingEnabled(True)

    def fit_columns(self) -> None:
        """Make columns as wide as their texts, within reason."""
        self.resizeColumnsToContents()
        for column in range(self.order.columnCount()):
            self.setColumnWidth(column, min(max(self.columnWidth(column) + 8, NARROWEST), WIDEST))

    # What is chosen

    def source_cells(self) -> list[tuple[int, int]]:
        """Row and column in the sheet of all chosen cells, in the order on screen."""
        chosen = sorted((index.row(), index.column()) for index in self.selectionModel().selectedIndexes())
        return [self._source(row, column) for row, column in chosen]

    def _source(self, row: int, column: int) -> tuple[int, int]:
        index = self.order.mapToSource(self.order.index(row, column))
        return index.row(), index.column()

    def shown_rows(self, first: int = 0) -> list[int]:
        """Rows of the sheet in the order on screen, from one of the screen on, without the new one."""
        rows = (self._source(row, 0)[0] for row in range(first, self.order.rowCount()))
        return [row for row in rows if not self.sheet_model.is_draft(row)]

    def choose_cells(self, wanted: Callable[[int, int], bool], *, columns: bool) -> None:
        """Choose whole rows, or whole columns, of which a cell is wanted; scroll to the first."""
        selection = QItemSelection()
        last = self.order.columnCount() - 1, self.order.rowCount() - 1
        if columns:
            found = [k for k in range(last[0] + 1) if wanted(0, k)]
            for k in found:
                selection.select(self.order.index(0, k), self.order.index(last[1], k))
        else:
            found = [k for k in range(last[1] + 1) if wanted(self._source(k, 0)[0], 0)]
            for k in found:
                selection.select(self.order.index(k, 0), self.order.index(k, last[0]))
        self.selectionModel().select(selection, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        if found and not columns:
            current = self.order.index(found[0], max(self.currentIndex().column(), 0))
            self.selectionModel().setCurrentIndex(current, QItemSelectionModel.SelectionFlag.NoUpdate)
            self.scrollTo(current)

    # Typing

    def go_to_new_row(self) -> None:
        """Make the first cell of the empty row the current one."""
        last = self.order.index(self.order.rowCount() - 1, 0)
        self.setCurrentIndex(last)
        self.scrollTo(last)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        hints = QAbstractItemDelegate.EndEditHint
        at = self.order.mapToSource(self.currentIndex())
        draft = at.isValid() and self.sheet_model.is_draft(at.row())
        last = at.column() == self.order.columnCount() - 1
        if draft and (hint is hints.SubmitModelCache or (hint is hints.EditNextItem and last)):
            super().closeEditor(editor, hints.NoHint)
            if self.sheet_model.add_draft():
                self.go_to_new_row()
            return
        super().closeEditor(editor, hint)

    def event(self, event: QEvent) -> bool:
        """Keep letters and the keys of the clipboard from the program's commands."""
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.ShortcutOverride:
            plain = event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier & ~Qt.KeyboardModifier.KeypadModifier
            letter = not plain.value and event.text().isprintable() and bool(event.text())
            if letter or any(event.matches(key) for key in OWN_KEYS):
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        asked = {Keys.Copy: self.copy_asked, Keys.Paste: self.paste_asked, Keys.Delete: self.delete_asked}
        for key, signal in asked.items():
            if event.matches(key):
                signal.emit()
                return
        editing = self.state() is QAbstractItemView.State.EditingState  # a cell leaves its Enter to us as well
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and self.currentIndex().isValid() and not editing:
            self._enter()
        elif event.key() == Qt.Key.Key_Escape and self.sheet_model.give_up():
            return
        else:
            super().keyPressEvent(event)

    def _enter(self) -> None:
        """Add what stands in the new row, or edit the cell."""
        at = self.order.mapToSource(self.currentIndex())
        if not self.sheet_model.is_draft(at.row()) or not self.sheet_model.draft:
            if (editor := self.indexWidget(self.currentIndex())) is not None:
                editor.setFocus()  # it was left open when the focus went elsewhere
            elif at.flags() & Qt.ItemFlag.ItemIsEditable:
                self.edit(self.currentIndex())
        elif self.sheet_model.add_draft():
            self.go_to_new_row()
