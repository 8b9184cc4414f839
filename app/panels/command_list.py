"""Every command of the menus in one list, found by any words of its name or place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QLabel,
    QLineEdit,
    QMenu,
    QMenuBar,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

_MOVES: Final = {Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown}


@dataclass(frozen=True, slots=True)
class Command:
    """One command: its words, the menus that lead to it, its keys as they are written here, and what runs it."""

    words: str
    place: str
    keys: str
    action: QAction

    def is_meant_by(self, text: str) -> bool:
        """Whether every word of a text begins a word of the command or of its place."""
        own = f"{self.place} {self.words}".lower().replace("(", " ").replace(",", " ").split()
        return all(any(each.startswith(word) for each in own) for word in text.lower().split())


def commands_of(bar: QMenuBar) -> list[Command]:
    """The commands of a menu bar in its order; menus that fill themselves are asked to."""
    return [command for action in bar.actions() for command in _commands(action, ())]


def _commands(action: QAction, place: tuple[str, ...]) -> list[Command]:
    words = plain(action.text())
    menu = action.menu()
    if isinstance(menu, QMenu):
        menu.aboutToShow.emit()
        return [command for each in menu.actions() for command in _commands(each, (*place, words))]
    if action.isSeparator() or not action.isVisible():
        return []
    keys = ", ".join(key.toString(QKeySequence.SequenceFormat.NativeText) for key in action.shortcuts())
    return [Command(words, ", ".join(place), keys, action)]


def plain(text: str) -> str:
    """The words of a menu without the mark of its access key."""
    return text.replace("&&", "\0").replace("&", "").replace("\0", "&").rstrip("…")


class CommandList(QDialog):
    """Type a few letters, Enter runs what is marked; what cannot be done now is greyed."""

    def __init__(self, parent: QWidget, bar: QMenuBar) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("Find a command")
        self.resize(560, 440)
        self.commands = commands_of(bar)
        self.line = QLineEdit()
        self.line.setAccessibleName("Words of the command")
        self.line.setPlaceholderText("Words of the command")
        self.line.textChanged.connect(self._fill)
        self.line.installEventFilter(self)
        self.list = QTreeWidget()
        self.list.setAccessibleName("Commands")
        self.list.setHeaderLabels(["Command", "Menu", "Key"])
        self.list.setRootIsDecorated(False)
        self.list.setColumnWidth(0, 240)
        self.list.setColumnWidth(1, 150)
        self.list.itemActivated.connect(self._run)
        self.none = QLabel("No command has these words. Fewer letters find more.")
        column = QVBoxLayout(self)
        for widget in (self.line, self.none, self.list):
            column.addWidget(widget)
        self._fill("")
        self.line.setFocus()

    def _fill(self, text: str) -> None:
        self.list.clear()
        for number, command in enumerate(self.commands):
            if not command.is_meant_by(text):
                continue
            item = QTreeWidgetItem([command.words, command.place, command.keys])
            item.setData(0, Qt.ItemDataRole.UserRole, number)
            item.setDisabled(not command.action.isEnabled())
            self.list.addTopLevelItem(item)
        self.none.setVisible(self.list.topLevelItemCount() == 0)
        items = (self.list.topLevelItem(row) for row in range(self.list.topLevelItemCount()))
        first = next((item for item in items if item is not None and not item.isDisabled()), None)
        if first is not None:
            self.list.setCurrentItem(first)

    def _run(self, item: QTreeWidgetItem) -> None:
        if item.isDisabled():
            return
        action = self.commands[item.data(0, Qt.ItemDataRole.UserRole)].action
        self.accept()
        QTimer.singleShot(0, action, action.trigger)  # once the focus is back where it was

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Arrow keys and Enter reach the list while the letters are typed above it."""
        if event.type() is QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if event.key() in _MOVES:
                self.list.event(event)
                return True
            if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
                if (item := self.list.currentItem()) is not None:
                    self._run(item)
                return True
        return super().eventFilter(watched, event)
