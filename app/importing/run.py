"""From the menu to the preview: a file is chosen, or the clipboard looked at; what cannot be used is told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from app import dialogs
from app.document import Document
from app.files.imported import ImportFileError
from app.importing.preview import ImportPreview
from app.importing.source import Drawn, Tables, source_of

KINDS: Final = "Tables and drawings (*.csv *.tsv *.txt *.dxf)"


def import_file(parent: QWidget, document: Document, folder: Path) -> None:
    """Ask for a table or a drawing, show what would come in, and take it in."""
    path = dialogs.ask_open(parent, "Import", folder, KINDS)
    if path is not None:
        import_path(parent, document, path)


def import_path(parent: QWidget, document: Document, path: Path) -> None:
    """Show what would come in of a table or a drawing, and take it in."""
    _show(parent, document, f"{path.name} cannot be imported.", lambda: source_of(path))


def paste_table(parent: QWidget, document: Document) -> None:
    """Show what would come in of the table on the clipboard, and take it in."""
    text = QGuiApplication.clipboard().text()
    words = "What was copied is no table that can come in."
    _show(parent, document, words, lambda: Tables("the copied table", text.encode(errors="replace")))


def _show(parent: QWidget, document: Document, problem: str, read: Callable[[], Tables | Drawn]) -> None:
    QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
    try:
        source = read()
    except ImportFileError as refused:
        QGuiApplication.restoreOverrideCursor()
        dialogs.say(parent, problem, dialogs.reason(refused))
        return
    QGuiApplication.restoreOverrideCursor()
    preview = ImportPreview(document, source, parent)
    preview.exec()
    preview.deleteLater()
