"""A bar for what the builder should know and may decide at leisure, with buttons; no question that stops the work."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy

from app.panels.entry_field import FIELD_HEIGHT
from app.typeset import typeset


class NoticeBar(QFrame):
    """Hidden until there is something to say; the newest notice takes the place of the one before."""

    def __init__(self) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.StyledPanel)
        self.setAutoFillBackground(True)
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setAccessibleDescription("Notice")
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.buttons: list[QPushButton] = []
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(12, 4, 12, 4)
        self._row.addWidget(self.words, 1)
        self.hide()

    def say(self, text: str, choices: Mapping[str, Callable[[], object]]) -> None:
        """Show a text and a button for each choice; any of them ends the notice."""
        self.clear()
        self.words.setText(typeset(text))
        for name, run in choices.items():
            button = QPushButton(name)
            button.setMinimumHeight(FIELD_HEIGHT)
            button.clicked.connect(lambda _checked, run=run: self._choose(run))
            self._row.addWidget(button)
            self.buttons.append(button)
        self.show()
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, text))

    def clear(self) -> None:
        """End the notice."""
        for button in self.buttons:
            self._row.removeWidget(button)
            button.deleteLater()
        self.buttons = []
        self.hide()

    def _choose(self, run: Callable[[], object]) -> None:
        self.clear()
        run()
