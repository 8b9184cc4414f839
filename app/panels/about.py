"""Which program this is, what it is made of, and under which licences."""

from __future__ import annotations

from PySide6.QtCore import Qt, qVersion
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from app.shipped import parts, program_version, system


class AboutWindow(QDialog):
    """Everything as text that can be read with the keyboard and copied."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle("About Wheelroom")
        self.resize(620, 460)
        self.details = QPlainTextEdit(about_text())
        self.details.setReadOnly(True)
        self.details.setTabChangesFocus(True)
        self.details.setAccessibleName("About Wheelroom")
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        copy = QPushButton("&Copy details")
        copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(about_text()))
        buttons.addButton(copy, QDialogButtonBox.ButtonRole.ActionRole)
        buttons.rejected.connect(self.close)
        column = QVBoxLayout(self)
        column.addWidget(self.details)
        column.addWidget(buttons)


def about_text() -> str:
    """Name, version, licence, and a line for each part."""
    lines = [
        f"Wheelroom {program_version()}",
        "Settles the width of a solid axle on screen, before any tube is cut.",
        "MIT licence. Measure before you cut: see Cautions in the help.",
        "",
        f"Qt {qVersion()}, {system()}",
        "",
        *(f"{part.name} {part.version}: {part.licence}" for part in parts()),
    ]
    return "\n".join(lines)
