"""Every pair that touches, is tight or comes closest, worst first: the drawing in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import (
    QAbstractItemModel,
    QAbstractTableModel,
    QItemSelection,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import (
    QFont,
    QFontMetrics,
    QGuiApplication,
    QIcon,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPalette,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QLabel,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from app.document import Document, within_travel
from app.pace import Pace
from app.panels.symbols import verdict_icon
from app.study import Study
from app.theme import colours
from app.typeset import typeset
from app.units import LengthUnit, format_clearance, format_wanted
from app.wording import NOTHING, bump_left_words, clearance_words, pair_words, pose_words, verdict_words
from geometry.contact.findings import Approach, PairName, Verdict
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

Index = QModelIndex | QPersistentModelIndex
NO_PARENT: Final = QModelIndex()

COLUMNS: Final = ("Verdict", "Pair", "Clearance", "Bump left", "Where", "Wanted")
"""What is known of a pair; copied as they are."""

SHOWN: Final = {"Pair": "Pair and its worst pose", "Clearance": "Clearance"}
"""Columns on screen with their headings; the others stand on the further lines of these two."""

ICON: Final = 18
MARGIN: Final = 5
"""Size of a verdict's sign, and room around the text of a cell [px]."""

FOLLOWING: Final = "These rows follow a moment behind"
"""Said while a gesture is under way."""

MOST_HEIGHTS: Final = 4000
"""Heights of texts that are kept."""

_WRAPPED: Final = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop

LINES_ROLE: Final = Qt.ItemDataRole.UserRole
"""Lines of a cell on screen, the first of them in bold."""


class TouchModel(QAbstractTableModel):
    """The approaches of a study as rows, all text in one unit."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[Approach, ...] = ()
        self._rig: Rig | None = None
        self._unit = LengthUnit.FRACTION
        self._palette = QPalette()
        self._icons: dict[Verdict, QIcon] = {}

    def show_study(self, study: Study | None, unit: LengthUnit, palette: QPalette) -> None:
        """Show another study, None = nothing is known."""
        self.beginResetModel()
        self.rows = () if study is None else tuple(a for a in study.approaches if not a.beyond)
        self._rig = None if study is None else study.rig
        self._unit = unit
        if palette != self._palette:
            self._palette, self._icons = palette, {}
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
        if orientation is Qt.Orientation.Vertical:
            return str(section + 1)
        return SHOWN.get(COLUMNS[section], COLUMNS[section])

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        found, column = self.rows[index.row()], index.column()
        if role in {Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole}:
            return self._text(found, column)
        if role == LINES_ROLE:
            return tuple(map(typeset, self._lines(found, COLUMNS[column])))
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return "; ".join(self._lines(found, COLUMNS[column]))
        if role == Qt.ItemDataRole.DecorationRole and COLUMNS[column] == "Pair":
            return self._icon(found.verdict)
        return None

    def _icon(self, verdict: Verdict) -> QIcon:
        if verdict not in self._icons:
            self._icons[verdict] = verdict_icon(verdict, colours(self._palette))
        return self._icons[verdict]

    def _lines(self, found: Approach, column: str) -> tuple[str, ...]:
        """What a cell shows on screen: everything about the pair in two cells."""
        if column == "Clearance":
            return (self._clearance(found), f"wanted {format_wanted(found.wanted, self._unit)}")
        if column != "Pair":
            return (self._text(found, COLUMNS.index(column)),)
        axle = self._axle(found)
        left = bump_left_words(found, axle, self._unit)
        lines = (
            pair_words(found),
            f"{verdict_words(found.verdict)}; worst at {pose_words(found.pose, axle, self._unit)}",
        )
        return (*lines, f"bump left: {left}") if left != NOTHING else lines

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
            "Wanted": lambda: format_wanted(found.wanted, self._unit),
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
        self._pace = Pace(document, self.refresh, self)
        document.rig_changed.connect(self._fall_behind)
        for signal in (document.rig_changed, document.study_finished):
            signal.connect(self._pace.ask)
        document.unit_changed.connect(self.refresh)
        document.selection_changed.connect(self._follow_selection)
        self.refresh()

    def _fall_behind(self) -> None:
        """Grey the rows as soon as a gesture moves; they are about an earlier step of it until it rests."""
        if self._document.is_previewing and self.table.isEnabled():
            self.table.setEnabled(False)
            self._note.setText(FOLLOWING)

    def refresh(self) -> None:
        """Take the answer from the document anew; while there is none the old one is greyed, not shown as new."""
        document = self._document
        study = document.study
        self.table.setEnabled(study is not None and not study.in_short and not self._pace.lags)
        if study is not None and study.in_short:
            self._note.setText(FOLLOWING)
            return
        if study is None and document.last_study is not None:
            self._note.setText("Checking… these rows are about the rig as it was")
            return
        self.model.show_study(study, document.unit, self.palette())
        self._note.setText(FOLLOWING if self._pace.lags else self._count_words(study))
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
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setSectionResizeMode(COLUMNS.index("Pair"), QHeaderView.ResizeMode.Stretch)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        for column, name in enumerate(COLUMNS):
            self.table.setColumnHidden(column, name not in SHOWN)
        self.table.setColumnWidth(COLUMNS.index("Clearance"), self.fontMetrics().horizontalAdvance("not established "))
        header.setMinimumHeight(24)
        self.table.verticalHeader().hide()

    def _choose(self, chosen: QItemSelection) -> None:
        if not chosen.isEmpty():
            self._go_to(self.model.rows[chosen.indexes()[0].row()])

    def _choose_again(self, index: QModelIndex) -> None:
        """A click on the row that is chosen already brings back a pose that was left meanwhile."""
        found = self.model.rows[index.row()]
        if self._document.pose(found.axle) != within_travel(found.pose, self._document.shown_rig.axle(found.axle)):
            self._go_to(found)

    def _go_to(self, found: Approach) -> None:
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
    """Rows as a whole, as high as their lines need, and rows that can be copied."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Touch list")
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setItemDelegate(_Cells(self))
        # A scroll bar that comes or goes changes the columns after Qt has told of the resize.
        self._later = QTimer(self, singleShot=True, interval=0)
        self._later.timeout.connect(self.fit_rows)
        self.horizontalHeader().sectionResized.connect(lambda *_: self._later.start())

    def setModel(self, model: QAbstractItemModel | None) -> None:
        super().setModel(model)
        if model is not None:
            model.modelReset.connect(self.fit_rows)

    def fit_rows(self) -> None:
        """Give each row the height of its lines."""
        cells, model = self.itemDelegate(), self.model()
        assert isinstance(cells, _Cells)  # noqa: S101  (set above)
        columns = [column for column in range(model.columnCount()) if not self.isColumnHidden(column)]
        for row in range(model.rowCount()):
            high = (cells.height(model.index(row, column), self.columnWidth(column)) for column in columns)
            self.setRowHeight(row, max(high, default=0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit_rows()

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
        lines = ["\t".join(COLUMNS)]
        lines += ["\t".join(str(model.index(row, c).data()) for c in columns) for row in rows]
        return "\n".join(lines)


class _Cells(QStyledItemDelegate):
    """Paints a cell's lines below each other, the first in bold, each broken where the column is too narrow."""

    def __init__(self, table: QTableView) -> None:
        super().__init__(table)
        self._bold = QFont(table.font())
        self._bold.setBold(True)
        self._plain = table.fontMetrics()
        self._heights: dict[tuple[str, bool, int], int] = {}

    def height(self, index: QModelIndex, width: int) -> int:
        """What a cell's lines need in a column of a width [px]."""
        lines = index.data(LINES_ROLE)
        room = self._room(QRect(0, 0, width, 10_000), index).width()
        return sum(self._line_height(line, room, bold=not row) for row, line in enumerate(lines)) + 2 * MARGIN

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        self.initStyleOption(option, index)
        lines, room = index.data(LINES_ROLE), self._room(option.rect, index)
        option.text, option.icon = "", QIcon()
        style = option.widget.style()
        style.drawControl(QStyle.ControlElement.CE_ItemViewItem, option, painter, option.widget)
        painter.save()
        icon = index.data(Qt.ItemDataRole.DecorationRole)
        if icon is not None:
            icon.paint(painter, QRect(option.rect.left() + MARGIN, room.top(), ICON, ICON))
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        alive = bool(option.state & QStyle.StateFlag.State_Enabled)
        group = QPalette.ColorGroup.Active if alive else QPalette.ColorGroup.Disabled
        ink = QPalette.ColorRole.HighlightedText if chosen else QPalette.ColorRole.Text
        painter.setPen(option.palette.color(group, ink))
        for row, line in enumerate(lines):
            painter.setFont(option.font if row else self._bold)
            painter.drawText(room, _WRAPPED, line)
            room.setTop(room.top() + self._line_height(line, room.width(), bold=not row))
            if alive and not chosen:
                painter.setPen(colours(option.palette).quiet)
        painter.restore()

    def _room(self, cell: QRect, index: Index) -> QRect:
        left = 2 * MARGIN + ICON if COLUMNS[index.column()] == "Pair" else MARGIN
        return cell.adjusted(left, MARGIN, -MARGIN, -MARGIN)

    def _line_height(self, line: str, width: int, *, bold: bool) -> int:
        """Height of a text broken into lines; kept, for each step of a drag asks it of the same texts."""
        key = (line, bold, width)
        if key not in self._heights:
            if len(self._heights) > MOST_HEIGHTS:
                self._heights.clear()
            metrics = QFontMetrics(self._bold) if bold else self._plain
            self._heights[key] = metrics.boundingRect(QRect(0, 0, width, 10_000), _WRAPPED, line).height()
        return self._heights[key]


def pair_name(found: Approach) -> PairName:
    """Which pair an approach is about."""
    return PairName(found.kind, found.moving, found.fixed)
