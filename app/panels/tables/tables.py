"""All tables, a tab each."""

from __future__ import annotations

from functools import cached_property, partial
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QTabWidget, QVBoxLayout, QWidget

from app.document import Document

if TYPE_CHECKING:
    from app.panels.tables.page import SheetPage

TITLES: Final = ("&Nodes", "&Bars", "&Panels", "&Links", "A&xles")
"""Names of the tables on their tabs, in the order of the sheets."""


class Tables(QTabWidget):
    """Nodes, bars, panels, links and axles as tables; made when they are first seen."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.setDocumentMode(True)
        self.setAccessibleName("Tables")
        self._rooms = [self._add_room(title) for title in TITLES]
        for keys, step in (("Ctrl+PgDown", 1), ("Ctrl+PgUp", -1)):
            turn = QShortcut(QKeySequence(keys), self)
            turn.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            turn.activated.connect(partial(self.turn, step))
        self.currentChanged.connect(self._follow_tab)

    def _add_room(self, title: str) -> QVBoxLayout:
        page = QWidget()
        room = QVBoxLayout(page)
        room.setContentsMargins(0, 0, 0, 0)
        self.addTab(page, title)
        return room

    @cached_property
    def pages(self) -> dict[str, SheetPage]:
        """The tables by name."""
        from app.panels.tables.page import SheetPage
        from app.panels.tables.sheets import sheets

        pages = {sheet.name: SheetPage(self._document, sheet) for sheet in sheets()}
        for room, page in zip(self._rooms, pages.values(), strict=True):
            room.addWidget(page)
            page.show()
        return pages

    def enter(self) -> None:
        """Take the keyboard, at the first cell if none is current."""
        list(self.pages.values())[self.currentIndex()].take_keyboard()

    def turn(self, step: int) -> None:
        """Go into the next table, or the one before; round at the ends."""
        self.setCurrentIndex((self.currentIndex() + step) % len(self.pages))
        self.enter()

    def showEvent(self, event: QShowEvent) -> None:
        self.pages  # noqa: B018  (now it is needed)
        super().showEvent(event)

    def _follow_tab(self) -> None:
        """Go into a table that is turned to, unless arrows turn the tabs themselves."""
        if self.isVisible() and not self.tabBar().hasFocus():
            self.enter()
