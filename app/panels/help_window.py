"""The help pages, which lie in the package and need no network."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices, QTextDocument
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPushButton, QTextBrowser, QVBoxLayout, QWidget

PAGES: Final = Path(__file__).parents[1] / "help"
FIRST: Final = "index.md"


class HelpWindow(QDialog):
    """Shows one page; links lead to others, Back returns."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Wheelroom help")
        self.resize(760, 640)
        self.pages = QTextBrowser()
        self.pages.setAccessibleName("Help page")
        self.pages.setOpenLinks(False)
        self.pages.anchorClicked.connect(self._follow)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        back, contents = QPushButton("&Back"), QPushButton("C&ontents")
        buttons.addButton(back, QDialogButtonBox.ButtonRole.ActionRole)
        buttons.addButton(contents, QDialogButtonBox.ButtonRole.ActionRole)
        back.clicked.connect(self.pages.backward)
        contents.clicked.connect(lambda: self.show_page(FIRST))
        buttons.rejected.connect(self.close)
        column = QVBoxLayout(self)
        column.addWidget(self.pages)
        column.addWidget(buttons)
        self.show_page(FIRST)

    def show_page(self, name: str) -> None:
        """Show a page by its file name."""
        kind = QTextDocument.ResourceType.MarkdownResource
        self.pages.setSource(QUrl.fromLocalFile(str(PAGES / name)), kind)

    def _follow(self, link: QUrl) -> None:
        if link.scheme() in {"http", "https"}:
            QDesktopServices.openUrl(link)
        else:
            self.show_page(link.fileName())
