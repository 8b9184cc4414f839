"""All tables, a tab each."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QTabWidget

from app.document import Document
from app.panels.tables.page import SheetPage
from app.panels.tables.sheets import sheets


class Tables(QTabWidget):
    """Nodes, bars, panels, links and axles as tables."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setDocumentMode(True)
        self.setAccessibleName("Tables")
        self.pages = {sheet.name: SheetPage(document, sheet) for sheet in sheets()}
        for letter, page in zip("NBPLX", self.pages.values(), strict=True):
            at = page.sheet.name.upper().index(letter)
            self.addTab(page, f"{page.sheet.name[:at]}&{page.sheet.name[at:]}")
        for keys, step in (("Ctrl+PgDown", 1), ("Ctrl+PgUp", -1)):
            turn = QShortcut(QKeySequence(keys), self)
            turn.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            turn.activated.connect(partial(self.turn, step))
        self.currentChanged.connect(self._follow_tab)

    def enter(self) -> None:
        """Take the keyboard, at the first cell if none is current."""
        page = self.currentWidget()
        if isinstance(page, SheetPage):
            page.take_keyboard()

    def turn(self, step: int) -> None:
        """Go into the next table, or the one before; round at the ends."""
        self.setCurrentIndex((self.currentIndex() + step) % self.count())
        self.enter()

    def _follow_tab(self) -> None:
        """Go into a table that is turned to, unless arrows turn the tabs themselves."""
        if self.isVisible() and not self.tabBar().hasFocus():
            self.enter()
