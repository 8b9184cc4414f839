"""The numbers of what is chosen, each in a field that is one undo step."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QScrollArea, QVBoxLayout, QWidget

from app.document import Document
from app.panels.axle_form import AxleForm
from app.panels.wanted_form import WantedForm
from app.typeset import typeset
from app.units import fine_unit, format_length
from geometry.contact.findings import PairName
from geometry.rig.layout import PartRef


class Details(QScrollArea):
    """What is known of the chosen bar or panel, the active axle's fields, and the clearances that are wanted."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._part_words = QLabel()
        self._part_words.setWordWrap(True)
        self._part_words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(8, 6, 8, 8)
        column.addWidget(self._part_words)
        self.axle = AxleForm(document)
        self.wanted = WantedForm(document)
        column.addWidget(self.axle)
        column.addWidget(self.wanted)
        column.addStretch(1)
        self.setWidget(inner)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        for signal in (document.rig_changed, document.selection_changed, document.unit_changed):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Describe the chosen bar or panel anew."""
        chosen = self._document.selection
        part = chosen.fixed if isinstance(chosen, PairName) else chosen
        words = self._words(part) if part is not None else ""
        self._part_words.setText(typeset(words))
        self._part_words.setVisible(bool(words))

    def _words(self, part: PartRef) -> str:
        rig, unit = self._document.shown_rig, self._document.unit
        for bar in rig.bars:
            if part.kind == "bar" and bar.id == part.id:
                bends = (
                    f", bent at {format_length(bar.bend_radius, unit)}"
                    if bar.bend_radius and len(bar.nodes) > 2
                    else ""
                )
                both = ", left and right" if bar.mirrored else ""
                size = f"{format_length(bar.od, unit)} × {format_length(bar.wall, fine_unit(unit))} wall"
                return f"Bar {bar.name or bar.id}: {size}{bends}{both}"
        for panel in rig.panels:
            if part.kind == "panel" and panel.id == part.id:
                both = ", left and right" if panel.mirrored else ""
                return f"Panel {panel.name or panel.id}: {'fitted' if panel.fitted else 'off'}{both}"
        return ""
