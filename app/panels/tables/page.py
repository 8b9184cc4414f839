"""One tab of the tables: filter, cells, and a line below that echoes what is typed and says what cannot be used."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QItemSelectionModel, QPersistentModelIndex
from PySide6.QtGui import QGuiApplication, QPalette
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.document import Document
from app.edits import change_rig
from app.files.imported import count_words
from app.panels.entry_field import FIELD_HEIGHT, refusal_words
from app.panels.tables.changes import told, without_rows
from app.panels.tables.model import SheetModel, SheetOrder
from app.panels.tables.paste import Paste, read_block, written_block
from app.panels.tables.sheets import PartSheet, Sheet
from app.panels.tables.view import SheetView
from app.theme import colours
from app.typeset import minus
from app.units import echo_length
from geometry.rig.layout import PartRef


class SheetPage(QWidget):
    """A table with everything around it; it keeps up with the document only while it is seen."""

    def __init__(self, document: Document, sheet: Sheet) -> None:
        super().__init__()
        self._document = document
        self.sheet = sheet
        self.model = SheetModel(document, sheet)
        self.order = SheetOrder(self.model)
        self.view = SheetView(self.model, self.order)
        self._following = False
        self._stale = True
        self.filter = QLineEdit()
        self.filter.setPlaceholderText("Filter")
        self.filter.setClearButtonEnabled(True)
        self.filter.setAccessibleName(f"Filter {sheet.name.lower()}")
        self.filter.setMinimumHeight(FIELD_HEIGHT)
        self.filter.setAcceptDrops(False)  # files go to the window
        self.filter.setMaximumWidth(220)
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setMinimumHeight(self.said.fontMetrics().height())  # so that the table does not jump at each echo
        self.said.setAccessibleDescription(f"Table of {sheet.name.lower()}, message")
        self._lay_out()
        self._connect()

    def _lay_out(self) -> None:
        self.copy_button = self._button("&Copy", "Copies the chosen cells with their headings (Ctrl+C)", self.copy)
        self.paste_button = self._button("&Paste", "Puts copied cells in from the current cell on (Ctrl+V)", self.paste)
        self.delete_button = self._button("&Delete rows", "Takes the chosen rows out (Del)", self.delete)
        top = QHBoxLayout()
        top.setSpacing(6)
        top.addWidget(self.filter, 1)
        top.addStretch(1)
        for button in (self.copy_button, self.paste_button, self.delete_button):
            top.addWidget(button)
        column = QVBoxLayout(self)
        column.setContentsMargins(6, 6, 6, 6)
        column.setSpacing(4)
        column.addLayout(top)
        column.addWidget(self.view, 1)
        column.addWidget(self.said)
        self.delete_button.setVisible(self.model.can_grow)  # only now: without a parent it would be a window

    def _button(self, text: str, tip: str, run: object) -> QPushButton:
        button = QPushButton(text)
        button.setToolTip(tip)
        button.setMinimumHeight(FIELD_HEIGHT)
        button.clicked.connect(run)
        return button

    def _connect(self) -> None:
        document = self._document
        document.rig_changed.connect(self.refresh)
        document.unit_changed.connect(self._show_unit)
        document.selection_changed.connect(self._follow_document)
        self.filter.textChanged.connect(self.order.filter_by)
        self.model.problem_changed.connect(self._show_problem)
        self.model.added.connect(self._say)
        self.view.editor.typed.connect(self._show_echo)
        self.view.copy_asked.connect(self.copy)
        self.view.paste_asked.connect(self.paste)
        self.view.delete_asked.connect(self.delete)
        self.view.selectionModel().selectionChanged.connect(self._choose)

    # Keeping up

    def refresh(self) -> None:
        """Show the document's rig, or note that it must be once the table is seen."""
        if not self.isVisible():
            self._stale = True
            return
        self._stale = False
        self._following = True
        self.model.refresh()
        self._following = False
        self._follow_document()

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        if self._stale:
            self.refresh()
            self.view.fit_columns()
        else:
            self._follow_document()

    def _show_unit(self) -> None:
        self.model.show_unit()
        if self.isVisible():
            self.view.fit_columns()
        else:
            self._stale = True

    def _choose(self) -> None:
        """Choose in the whole program what is chosen here."""
        if self._following:
            return
        parts = (self.model.part(row, column) for row, column in self.view.source_cells())
        own = list(dict.fromkeys(part for part in parts if part is not None))
        if _named(own) != _named(self._document.chosen):
            self._following = True
            self._document.choose(own)
            self._following = False

    def _follow_document(self) -> None:
        if self._following or not self.isVisible():
            return
        wanted = _named(self._document.chosen)
        parts = (self.model.part(row, column) for row, column in self.view.source_cells())
        if _named(part for part in parts if part is not None) == wanted:
            return
        self._following = True
        self.view.choose_cells(
            lambda row, column: bool(wanted & _named(filter(None, [self.model.part(row, column)]))),
            columns=self.sheet.across,
        )
        self._following = False

    def take_keyboard(self) -> None:
        """Go into the cells, to the first if none is current; what is chosen elsewhere stays chosen."""
        view = self.view
        if not view.currentIndex().isValid():
            flags = QItemSelectionModel.SelectionFlag
            first = self.order.index(0, int(self.sheet.across))
            how = flags.NoUpdate if self._document.chosen else flags.ClearAndSelect
            view.selectionModel().setCurrentIndex(first, how)
        view.setFocus()

    # Commands

    def copy(self) -> None:
        """Copy the chosen cells with their headings, exactly."""
        cells = [(row, column) for row, column in self.view.source_cells() if not self.model.is_draft(row)]
        rows, columns = list(dict.fromkeys(row for row, _ in cells)), sorted({column for _, column in cells})
        if not rows:
            self._show_problem("Nothing is chosen; choose the cells to copy first.")
            return
        columns = [0, *columns] if self.sheet.across and 0 not in columns else columns
        rig, unit = self.model.rig, self.model.unit
        headings = self.sheet.headings(rig, unit)
        block = [[headings[column] for column in columns]]
        block += [[self.sheet.text(rig, row, column, unit) for column in columns] for row in rows]
        QGuiApplication.clipboard().setText(written_block(block))
        self._say(f"Copied {len(rows)} {'row' if len(rows) == 1 else 'rows'} with headings.")

    def paste(self) -> None:
        """Put copied cells in from the current cell on, as one undo step; or nothing, and say why."""
        rig, at = self._document.rig, self.view.currentIndex()
        first = (at.row(), at.column()) if at.isValid() else (self.order.rowCount(), 0)
        columns = range(first[1], self.sheet.columns(rig))
        try:
            block = read_block(QGuiApplication.clipboard().text())
            paste = Paste(rig, self.sheet, block, self.view.shown_rows(first[0]), columns, self.model.unit)
            change_rig(self._document, after := paste.result(), f"Paste {self.sheet.name.lower()}")
        except ValueError as refused:
            self._show_problem(f"{refusal_words(refused, self.model.unit)} Nothing was pasted.")
            return
        self._say(
            " ".join([f"Pasted {count_words(paste.count, 'row')}: {told(self.sheet, rig, after)}.", *paste.left_out])
        )

    def delete(self) -> None:
        """Take out the parts of all rows of which a cell is chosen."""
        rows = sorted({row for row, _ in self.view.source_cells() if not self.model.is_draft(row)})
        if not isinstance(self.sheet, PartSheet) or not rows:
            self._show_problem("Choose the rows to delete first." if self.model.can_grow else "")
            return
        kind = self.sheet.kind
        words = self.sheet.row_words(self.model.rig, rows[0]) if len(rows) == 1 else f"{len(rows)} {kind}s"
        try:
            change_rig(self._document, without_rows(self._document.rig, self.sheet, rows), f"Delete {words}")
        except ValueError as refused:
            self._show_problem(refusal_words(refused, self.model.unit))
            return
        self._document.choose(())
        self._say(f"Deleted {words}.")

    # The line that says things

    def _show_echo(self, index: QPersistentModelIndex, text: str) -> None:
        at = self.order.mapToSource(index)
        field = self.model.field(at.row(), at.column())
        is_length = field is not None and field.cell.is_number and field.cell.sign(self.model.unit) != "°"
        self._say(minus(echo_length(text, self.model.unit)) if is_length else "")

    def _show_problem(self, text: str) -> None:
        self._say(text, problem=True)

    def _say(self, text: str, *, problem: bool = False) -> None:
        ink = QPalette(self.palette())
        names = colours(self.palette())
        ink.setColor(QPalette.ColorRole.WindowText, names.problem if problem else names.quiet)
        self.said.setPalette(ink)
        self.said.setText(text)


def _named(parts: Iterable[PartRef]) -> set[tuple[str, str]]:
    """Parts as the rows know them: of both sides as one, ends of links as the link, all of an axle as the axle."""
    own = set()
    for part in parts:
        kind = part.kind if part.kind in {"node", "bar", "panel", "link", "joint"} else "axle"
        own.add(("link", part.id.rpartition(".")[0]) if kind == "joint" else (kind, part.id))
    return own
