"""What a plot can show, group by group: a tick shows a line, and a click on a name that line alone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPalette
from PySide6.QtWidgets import QAbstractItemView, QApplication, QTreeWidget, QTreeWidgetItem

from app.curves.quantity import Quantity
from app.theme import colours

KEY_ROLE: Final = Qt.ItemDataRole.UserRole

UNKNOWN: Final = ": unknown"
"""Behind the name of what nothing is known of."""


class Chooser(QTreeWidget):
    """Quantities to tick; those that are shown together are of one unit.

    Signals
    -------
    chosen_changed
        Other lines are ticked.

    """

    chosen_changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Quantities")
        self.setHeaderHidden(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setUniformRowHeights(True)
        self.setExpandsOnDoubleClick(False)
        self._frame_ticks()
        self._by_tick = False
        self._quantities: dict[str, Quantity] = {}
        self._items: dict[str, QTreeWidgetItem] = {}
        self._heads: dict[str, QTreeWidgetItem] = {}
        self._chosen: tuple[str, ...] = ()
        self.itemChanged.connect(self._take_tick)
        self.itemClicked.connect(self._take_click)

    @property
    def chosen(self) -> tuple[str, ...]:
        """Keys of the lines that are ticked, in the order of the list."""
        return tuple(key for key in self._items if key in self._chosen)

    def show_quantities(self, quantities: Iterable[Quantity], unknown: Iterable[str]) -> None:
        """Offer quantities; what was ticked and is there still stays ticked."""
        offered = {each.key: each for each in quantities}
        without = set(unknown)
        if list(offered) != list(self._quantities):
            self._fill(offered)
        self._quantities = offered
        with QSignalBlocker(self):
            for key, item in self._items.items():
                quantity = offered[key]
                item.setText(0, f"{quantity.label}{UNKNOWN if key in without else ''}")
                item.setToolTip(0, quantity.definition)
        self._tick([key for key in self._chosen if key in offered])

    def choose(self, keys: Iterable[str]) -> None:
        """Show these lines and no others; their groups are opened."""
        self._tick([key for key in keys if key in self._items])
        for key in self._chosen:
            self._heads[self._quantities[key].group].setExpanded(True)
        if self._chosen:
            self.scrollToItem(self._items[self._chosen[0]])
        self.chosen_changed.emit()

    def _fill(self, offered: dict[str, Quantity]) -> None:
        opened = {name for name, head in self._heads.items() if head.isExpanded()}
        with QSignalBlocker(self):
            self.clear()
            self._items, self._heads = {}, {}
            for key, quantity in offered.items():
                head = self._heads.get(quantity.group)
                if head is None:
                    head = self._heads[quantity.group] = QTreeWidgetItem(self, [quantity.group])
                    head.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
                item = self._items[key] = QTreeWidgetItem(head, [quantity.label])
                item.setData(0, KEY_ROLE, key)
                item.setCheckState(0, Qt.CheckState.Unchecked)
            for name, head in self._heads.items():
                head.setExpanded(name in opened)

    def _tick(self, keys: Iterable[str]) -> None:
        self._chosen = tuple(keys)
        with QSignalBlocker(self):
            for key, item in self._items.items():
                item.setCheckState(0, Qt.CheckState.Checked if key in self._chosen else Qt.CheckState.Unchecked)
        self.viewport().update()

    def _take_tick(self, item: QTreeWidgetItem, column: int) -> None:
        key = item.data(column, KEY_ROLE)
        if not isinstance(key, str):
            return
        unit = self._quantities[key].unit
        others = [each for each in self._chosen if each != key and self._quantities[each].unit == unit]
        ticked = item.checkState(column) == Qt.CheckState.Checked
        self._by_tick = True
        self._tick([*others, key] if ticked else [each for each in self._chosen if each != key])
        self.chosen_changed.emit()

    def _take_click(self, item: QTreeWidgetItem, column: int) -> None:
        """A click on the tick has ticked it already; one on the name shows it alone, one on a group opens that."""
        key, by_tick = item.data(column, KEY_ROLE), self._by_tick
        self._by_tick = False
        if not isinstance(key, str):
            item.setExpanded(not item.isExpanded())
        elif not by_tick:
            self.choose([key])

    def _frame_ticks(self) -> None:
        """Give the boxes of ticks a frame that is seen: the style's own is too dark on a dark sheet."""
        line = colours(QApplication.palette()).line
        palette = self.palette()
        if palette.color(QPalette.ColorRole.Window) != line:
            palette.setColor(QPalette.ColorRole.Window, line)
            self.setPalette(palette)

    # Qt

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange:
            self._frame_ticks()

    def sizeHint(self) -> QSize:
        return QSize(300, 120)

    def minimumSizeHint(self) -> QSize:
        return QSize(160, 60)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        item = self.currentItem()
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and item is not None:
            key = item.data(0, KEY_ROLE)
            if isinstance(key, str):
                self.choose([key])
            else:
                item.setExpanded(not item.isExpanded())
            return
        super().keyPressEvent(event)
        self._by_tick = False
