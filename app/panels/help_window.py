"""The help pages, which lie in the package and need no network."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices, QKeySequence, QShortcut, QTextDocument
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPushButton, QTextBrowser, QVBoxLayout, QWidget

PAGES: Final = Path(__file__).parents[1] / "help"
FIRST: Final = "index.md"


PAGE: Final = "help_page"
"""Property of a widget: the file name of the page about it and what lies in it."""


def page_of(widget: QWidget | None) -> str:
    """The page about a widget, or about the nearest around it that has one; the first page where none has."""
    while widget is not None:
        if page := widget.property(PAGE):
            return str(page)
        widget = widget.parentWidget()
    return FIRST


def add_help(dialog: QDialog, page: str) -> None:
    """Let F1 in a dialog open its page, for the main window's keys are not heard there."""
    dialog.setProperty(PAGE, page)

    def show() -> None:
        HelpWindow(dialog, page).show()

    QShortcut(QKeySequence(QKeySequence.StandardKey.HelpContents), dialog, show)


class HelpWindow(QDialog):
    """Shows one page; links lead to others, Back returns."""

    def __init__(self, parent: QWidget | None = None, page: str = FIRST) -> None:
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
        self.show_page(page)

    def show_page(self, name: str) -> None:
        """Show a page by its file name."""
        kind = QTextDocument.ResourceType.MarkdownResource
        self.pages.setSource(QUrl.fromLocalFile(str(PAGES / name)), kind)

    def _follow(self, link: QUrl) -> None:
        if link.scheme() in {"http", "https"}:
            QDesktopServices.openUrl(link)
        else:
            self.show_page(link.fileName())
