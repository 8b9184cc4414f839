"""The list of numbers: groups that fold, labels to the left, numbers to the right in columns."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetrics,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPalette,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTreeWidget,
    QTreeWidgetItem,
)

from app.figures.words import UNKNOWN
from app.panels.plan_lines import Line, Lines, definition, missing_head
from app.theme import colours

Index = QModelIndex | QPersistentModelIndex

LINE_ROLE: Final = Qt.ItemDataRole.UserRole
"""The Line of an item."""

MARGIN: Final = 4
GAP: Final = 12
INDENT: Final = 16
"""Room around the text of a line, between columns, and before the lines of a group [px]."""

MOST_HEIGHTS: Final = 4000
"""Heights of texts that are kept."""

COLUMNS: Final = 2
"""Columns of numbers of a group that has any."""

WIDEST: Final = "00 00/00 in"
"""What a column of numbers has room for; a longer number takes its room from the label."""

_LEFT: Final = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_MIDDLE: Final = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop
_RIGHT: Final = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop


class PlanTree(QTreeWidget):
    """Groups with their lines; rows can be copied.

    Signals
    -------
    opened(str)
        The group of that key was opened, or closed.
    place_chosen(str)
        A line was asked for the value behind it.

    """

    opened = Signal(str)
    place_chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Numbers")
        self.setHeaderHidden(True)
        self.setIndentation(INDENT)
        self.setExpandsOnDoubleClick(False)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setFont(tabular(self.font()))
        self.setItemDelegate(_Cells(self))
        self._heads: dict[str, QTreeWidgetItem] = {}
        self.itemClicked.connect(self._click)
        self.itemActivated.connect(self._activate)
        for signal in (self.itemExpanded, self.itemCollapsed):
            signal.connect(self._say_opened)

    def add_group(self, key: str, title: str) -> None:
        """One more group, closed."""
        item = QTreeWidgetItem(self)
        _show(item, Line("head", title, copied=title))
        # It can be opened before anything is in it: what is closed is not worked out.
        item.setChildIndicatorPolicy(QTreeWidgetItem.ChildIndicatorPolicy.ShowIndicator)
        self._heads[key] = item

    def head(self, key: str) -> QTreeWidgetItem:
        """The item of a group."""
        return self._heads[key]

    def is_open(self, key: str) -> bool:
        """Whether a group is open."""
        return self._heads[key].isExpanded()

    def is_seen(self, key: str) -> bool:
        """Whether any line of a group is in sight."""
        head = self._heads[key]
        below = self.topLevelItem(self.indexOfTopLevelItem(head) + 1)
        high = self.viewport().height()
        starts = self.visualItemRect(head).top() < high
        return starts and (below is None or self.visualItemRect(below).top() > 0)

    def open(self, key: str) -> None:
        """Open a group."""
        self._heads[key].setExpanded(True)

    def show_group(self, key: str, found: Lines) -> None:
        """Put a group's lines in; items that are there keep their place, so that the eye does too."""
        head = self._heads[key]
        _show(head, found.head)
        _fill(head, found.lines)
        fold = next((child for child in _children(head) if line_of(child).kind == "missing"), None)
        if not found.missing:
            if fold is not None:
                head.removeChild(fold)
            return
        if fold is None:
            fold = QTreeWidgetItem()
            _show(fold, missing_head(len(found.missing)))
            head.insertChild(0, fold)
        _show(fold, missing_head(len(found.missing)))
        _fill(fold, found.missing)

    def current_line(self) -> Line | None:
        """The line that the keys are on."""
        item = self.currentItem()
        return None if item is None else line_of(item)

    def copied(self) -> str:
        """The chosen lines from top to bottom, cells apart by tabs."""
        lines = []
        item = self.topLevelItem(0)
        while item is not None:
            if item.isSelected():
                lines.append(line_of(item).copied)
            item = self.itemBelow(item)
        return "\n".join(lines)

    def _say_opened(self, item: QTreeWidgetItem) -> None:
        for key, head in self._heads.items():
            if head is item:
                self.opened.emit(key)

    def _click(self, item: QTreeWidgetItem) -> None:
        line = line_of(item)
        if line.kind in {"head", "missing"}:
            item.setExpanded(not item.isExpanded())
        elif line.kind == "place":
            self.place_chosen.emit(line.place)

    def _activate(self, item: QTreeWidgetItem) -> None:
        """Enter, or a double click, whose first click has folded a head already."""
        line = line_of(item)
        if line.kind in {"row", "refusal"} and line.place:
            self.place_chosen.emit(line.place)

    # Qt

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self.copied())
            return
        item = self.currentItem()
        if item is not None and event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space}:
            line = line_of(item)
            if line.kind in {"head", "missing", "place"}:
                self._click(item)
                return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.scheduleDelayedItemsLayout()


def line_of(item: QTreeWidgetItem) -> Line:
    """The line of an item."""
    line: Line = item.data(0, LINE_ROLE)
    return line


def tabular(font: QFont) -> QFont:
    """The font with figures of one width, where it has them."""
    made = QFont(font)
    made.setFeature(QFont.Tag("tnum"), 1)
    return made


def _show(item: QTreeWidgetItem, line: Line) -> None:
    if item.data(0, LINE_ROLE) == line:
        return
    item.setData(0, LINE_ROLE, line)
    item.setText(0, line.spoken)
    words = "" if line.row is None else definition(line.row)
    item.setToolTip(0, words)
    item.setData(0, Qt.ItemDataRole.AccessibleDescriptionRole, words)


def _children(item: QTreeWidgetItem) -> list[QTreeWidgetItem]:
    return [child for row in range(item.childCount()) if (child := item.child(row)) is not None]


def _fill(item: QTreeWidgetItem, lines: tuple[Line, ...]) -> None:
    """The children of an item are its lines; a fold of what is missing stays before them."""
    own = [child for child in _children(item) if line_of(child).kind != "missing"]
    before = item.childCount() - len(own)
    for child in own[len(lines) :]:
        item.removeChild(child)
    for row, line in enumerate(lines):
        if row < len(own):
            _show(own[row], line)
        else:
            child = QTreeWidgetItem()
            _show(child, line)
            item.insertChild(before + row, child)


class _Cells(QStyledItemDelegate):
    """Paints a line: label, broken where it must be, with its notes below, and the numbers at the right edge."""

    def __init__(self, tree: PlanTree) -> None:
        super().__init__(tree)
        self._tree = tree
        self._heights: dict[tuple[str, bool, int], int] = {}

    def sizeHint(self, _option: QStyleOptionViewItem, index: Index) -> QSize:
        depth, above = 1, index.parent()
        while above.isValid():
            depth, above = depth + 1, above.parent()
        width = self._tree.viewport().width() - depth * INDENT
        line: Line = index.data(LINE_ROLE)
        room = width - 2 * MARGIN - self._numbers_width(line)
        high = self._height(line.label, room, bold=line.kind == "head")
        wide = width - 2 * MARGIN
        high += sum(self._height(text, wide, bold=False) for text in (line.more, line.warning) if text)
        return QSize(width, high + (2 * MARGIN if line.kind == "head" else MARGIN))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        self.initStyleOption(option, index)
        line: Line = index.data(LINE_ROLE)
        option.text = ""
        option.widget.style().drawControl(QStyle.ControlElement.CE_ItemViewItem, option, painter, option.widget)
        painter.save()
        room = option.rect.adjusted(MARGIN, MARGIN if line.kind == "head" else MARGIN // 2, -MARGIN, 0)
        bold = line.kind == "head"
        font = QFont(self._tree.font())
        font.setBold(bold)
        painter.setFont(font)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        inks = _Inks(option.palette, chosen=chosen)
        self._paint_numbers(painter, room, line, inks)
        painter.setPen(inks.of(line))
        label = room.adjusted(0, 0, -self._numbers_width(line), 0)
        painter.drawText(label, _LEFT, line.label)
        below = room.adjusted(0, self._height(line.label, label.width(), bold=bold), 0, 0)
        for text, pen in ((line.more, inks.quiet), (line.warning, inks.problem)):
            if text:
                painter.setPen(pen)
                painter.drawText(below, _LEFT, text)
                below.setTop(below.top() + self._height(text, below.width(), bold=False))
        painter.restore()

    def _paint_numbers(self, painter: QPainter, room: QRect, line: Line, inks: _Inks) -> None:
        right = room.right()
        if line.spans:
            wide = self._numbers_width(line)
            painter.setPen(inks.quiet if line.cells[0] == UNKNOWN or line.faded else inks.plain)
            painter.drawText(QRect(right - wide, room.top(), wide, room.height()), _MIDDLE, line.cells[0])
            return
        for cell in reversed(line.cells):
            wide = self._slot(cell)
            painter.setPen(inks.quiet if cell == UNKNOWN or line.faded or line.kind == "head" else inks.plain)
            painter.drawText(QRect(right - wide, room.top(), wide, room.height()), _RIGHT, cell)
            right -= wide

    def _numbers_width(self, line: Line) -> int:
        wide = sum(self._slot(cell) for cell in line.cells)
        return max(wide, COLUMNS * self._slot("")) if line.spans else wide

    def _slot(self, cell: str) -> int:
        metrics = self._tree.fontMetrics()
        return max(metrics.horizontalAdvance(cell), metrics.horizontalAdvance(WIDEST)) + GAP

    def _height(self, text: str, width: int, *, bold: bool) -> int:
        """Height of a text broken into lines; kept, for each step of a drag asks it of the same texts."""
        key = (text, bold, width)
        if key not in self._heights:
            if len(self._heights) > MOST_HEIGHTS:
                self._heights.clear()
            font = QFont(self._tree.font())
            font.setBold(bold)
            room = QRect(0, 0, max(width, 1), 10_000)
            self._heights[key] = QFontMetrics(font).boundingRect(room, _LEFT, text).height()
        return self._heights[key]


class _Inks:
    """Colours of one line's texts."""

    def __init__(self, palette: QPalette, *, chosen: bool) -> None:
        names = colours(palette)
        self.plain = names.on_accent if chosen else names.ink
        self.quiet = names.on_accent if chosen else names.quiet
        self.problem = names.on_accent if chosen else names.problem
        self.link = names.on_accent if chosen else names.accent

    def of(self, line: Line) -> QColor:
        """The colour of a line's label."""
        if line.kind == "refusal":
            return self.problem
        if line.kind == "place":
            return self.link
        return self.quiet if line.faded or line.kind in {"remark", "missing"} else self.plain
