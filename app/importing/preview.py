"""The preview of an import: what would come in, drawn and told, with all that can be chosen about it."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QGuiApplication, QKeyEvent, QPalette
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from app.document import Document
from app.edits import change_rig
from app.files.imported import UNITS, LineError
from app.importing.form import DrawingForm
from app.importing.picture import PreviewPicture
from app.importing.source import Drawn, Outcome, Tables, outcome
from app.panels.entry_field import refusal_words
from app.panels.help_window import add_help
from app.panels.holders import Scrolled
from app.theme import colours
from app.units import in_unit
from geometry.errors import RigError

SIZE: Final = QSize(1180, 760)
"""Size of the dialog at first, as far as the screen has room [px]."""

PAUSE: Final = 120
"""Time for which nothing else must be chosen before the preview is made again [ms]."""

UNIT_WORDS: Final = {"mm": "millimetres", "cm": "centimetres", "m": "metres", "in": "inches", "ft": "feet"}


class ImportPreview(QDialog):
    """Shows what an import would make of the open rig, and makes it on OK, as one undo step.

    Attributes
    ----------
    found : Outcome
        What would come of it now; None = nothing can.

    """

    def __init__(self, document: Document, source: Tables | Drawn, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Import {source.name}")
        add_help(self, "import.md")
        self._document = document
        self._source = source
        self.found: Outcome | None = None
        self.picture = PreviewPicture()
        self.unit = self._unit_box()
        self.add = QRadioButton("&Add to the open rig")
        self.instead = QRadioButton("&Instead of its nodes, bars and panels")
        self.add.setChecked(True)
        self.add.toggled.connect(self._later)
        self.links = QCheckBox("Lin&ks come in")
        self.links.hide()
        self._links: bool | None = None
        self.links.clicked.connect(self._choose_links)
        self.form = DrawingForm(source, document.unit) if isinstance(source, Drawn) else None
        self.problem = QLabel()
        self.problem.setWordWrap(True)
        self.problem.setAccessibleDescription("Problem")
        self.report = QPlainTextEdit()
        self.report.setReadOnly(True)
        self.report.setAccessibleName("Report")
        self.report.setTabChangesFocus(True)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setText("I&mport")
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self._timer = QTimer(self, interval=PAUSE, singleShot=True)
        self._timer.timeout.connect(self.look)
        if self.form is not None:
            self.form.changed.connect(self._later)
            self.form.refused.connect(self._show_problem)
        self._lay_out()
        self.look()

    # Layout

    def _lay_out(self) -> None:
        side = QVBoxLayout()
        units = QFormLayout()
        units.addRow("&Unit", self.unit)
        side.addLayout(units)
        if self.form is not None:
            side.addWidget(self.form, 1)
        side.addWidget(self.add)
        side.addWidget(self.instead)
        side.addWidget(self.links)
        side.addWidget(self.problem)
        if self.form is None:
            side.addStretch(1)
        holder = QWidget()
        holder.setLayout(side)
        holder.setFixedWidth(300 if self.form is None else 440)
        side.setContentsMargins(0, 0, 0, 0)
        left = QVBoxLayout()
        left.addWidget(self.picture, 3)
        left.addWidget(self.report, 1)
        inside = QWidget()
        above = QHBoxLayout(inside)
        above.setContentsMargins(0, 0, 0, 0)
        above.addLayout(left, 1)
        above.addWidget(holder)
        column = QVBoxLayout(self)
        column.addWidget(Scrolled(inside, "Preview"), 1)
        column.addWidget(self.buttons)
        self.resize(SIZE.boundedTo(QGuiApplication.primaryScreen().availableSize()))

    def _unit_box(self) -> QComboBox:
        """The unit; where the file says it, it cannot be chosen but for a drawing, which may be wrong about it."""
        box = QComboBox()
        box.setAccessibleName("Unit")
        if isinstance(self._source, Tables) and not self._source.asks:
            box.addItem("as the header says")
            box.setEnabled(False)
            return box
        if self._source.asks:
            box.addItem("choose: the file does not say", None)
        for unit in UNITS:
            said = " (as the drawing says)" if unit == self._source.unit else ""
            box.addItem(UNIT_WORDS[unit] + said, unit)
        box.setCurrentIndex(max(box.findData(self._source.unit), 0))
        box.activated.connect(self._say_unit)
        return box

    # What is chosen

    def _say_unit(self) -> None:
        unit = self.unit.currentData()
        if unit is None:
            return
        if isinstance(self._source, Drawn):
            self._source.say_unit(unit)
        else:
            self._source.unit = unit
        if self.form is not None:
            self.form.show_sizes()
        self._later()

    def _choose_links(self, checked: bool) -> None:
        self._links = checked
        self._later()

    def _later(self) -> None:
        """Look again soon; until then nothing can be imported."""
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(False)
        self._timer.start()

    def look(self) -> None:
        """Make the preview of what is chosen now."""
        self._timer.stop()
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            self.found = outcome(self._document.rig, self._source, instead=self.instead.isChecked(), links=self._links)
        except ValueError as refused:
            self.found = None
            if isinstance(refused, LineError):
                refused = RigError("", f"{refused.place}: {refused.problem}")
            words = refusal_words(refused, self._document.unit)
            ids = refused.ids if isinstance(refused, RigError) else ()
            self._show_problem(": ".join([*ids[:1], words]))
            self.report.setPlainText("")
        else:
            self._show_problem("")
            self.links.setVisible(self.found.has_links)
            self.links.setChecked(bool(self.found.imported.links))
            sentences = (in_unit(sentence, self._document.unit) for sentence in self.found.report)
            self.report.setPlainText("\n".join(sentences))
        finally:
            QGuiApplication.restoreOverrideCursor()
        self.picture.show_outcome(self.found, self._document.unit)
        self.buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(self.found is not None)

    def _show_problem(self, text: str) -> None:
        ink = QPalette(self.palette())
        ink.setColor(QPalette.ColorRole.WindowText, colours(self.palette()).problem)
        self.problem.setPalette(ink)
        self.problem.setText(text)
        self.problem.setVisible(bool(text))

    # Qt

    def accept(self) -> None:
        """Change the rig, in one step, unless something is typed that could not be used."""
        if self._timer.isActive():
            self.look()
        if self.found is None or (self.form is not None and not self.form.is_sound):
            return
        change_rig(self._document, self.found.rig, f"Import {self._source.name}")
        super().accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter in a field is for the field."""
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and isinstance(self.focusWidget(), QLineEdit):
            event.accept()
            return
        super().keyPressEvent(event)
