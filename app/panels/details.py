"""The numbers of what is chosen, each in a field that is one undo step."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from app.document import Document
from app.panels.axle_form import AxleForm
from app.panels.part_form import PartForm
from app.panels.wanted_form import WantedForm


class Details(QScrollArea):
    """Fields of the chosen part, of the active axle, and of the clearances that are wanted."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(8, 6, 8, 8)
        self.part = PartForm(document)
        self.axle = AxleForm(document)
        self.wanted = WantedForm(document)
        column.addWidget(self.part)
        column.addWidget(self.axle)
        column.addWidget(self.wanted)
        column.addStretch(1)
        self.setWidget(inner)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
