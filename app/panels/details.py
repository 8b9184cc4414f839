"""The numbers of what is chosen, each in a field that is one undo step."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from app.document import Document
from app.panels.axle_form import AxleForm
from app.panels.part_form import PartForm
from app.panels.records.pages import RecordPages
from app.panels.records.topics import Topic, is_about, part_of, topic_of
from app.panels.wanted_form import WantedForm
from geometry.contact.findings import PairName
from geometry.rig.layout import PartRef


class Details(QScrollArea):
    """Fields of the chosen topic or else of the chosen part, the active axle, and the clearances that are wanted.

    Signals
    -------
    topic_shown(Topic or None)
        Which topic the fields are about.

    """

    topic_shown = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        inner = QWidget()
        column = QVBoxLayout(inner)
        column.setContentsMargins(8, 6, 8, 8)
        self.part = PartForm(document)
        self.axle = AxleForm(document)
        self.wanted = WantedForm(document)
        self.records = RecordPages(document)
        self.records.hide()
        for widget in (self.records, self.part, self.axle, self.wanted):
            column.addWidget(widget)
        column.addStretch(1)
        self.setWidget(inner)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setAccessibleName("Fields")
        self.records.topic_asked.connect(self.show_topic)
        document.selection_changed.connect(self.follow_selection)
        document.rig_replaced.connect(lambda: self.show_topic(None))

    def show_topic(self, topic: Topic | None) -> None:
        """Show the form of a topic in place of everything else, or everything else again."""
        if topic != self.records.topic:
            self.verticalScrollBar().setValue(0)
        self.records.show_topic(topic)
        self.axle.setVisible(topic is None)
        self.wanted.setVisible(topic is None)
        if topic is not None and not self._is_chosen(topic):
            self._document.select(part_of(self._document.shown_rig, topic))
        self.topic_shown.emit(topic)

    def _is_chosen(self, topic: Topic) -> bool:
        chosen = self._document.selection
        return not isinstance(chosen, PairName) and is_about(self._document.shown_rig, topic, chosen)

    def follow_selection(self) -> None:
        """A part that is chosen elsewhere brings its own form, or ends the topic."""
        chosen, topic = self._document.selection, self.records.topic
        if topic is not None and self._is_chosen(topic):
            return
        own = topic_of(self._document.shown_rig, chosen) if isinstance(chosen, PartRef) else None
        if own is not None or topic is not None:
            self.show_topic(own)
