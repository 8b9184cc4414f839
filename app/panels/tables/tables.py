"""All tables, a tab each."""

from __future__ import annotations

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

    def enter(self) -> None:
        """Take the keyboard, at the first cell if none is current."""
        page = self.currentWidget()
        if isinstance(page, SheetPage):
            if not page.view.currentIndex().isValid():
                page.view.setCurrentIndex(page.order.index(0, int(page.sheet.across)))
            page.view.setFocus()
