"""The parts of the rig as a tree; panels are fitted or taken off here."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace
from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTreeWidget, QTreeWidgetItem, QTreeWidgetItemIterator

from app.document import Document, axle_of
from app.edits import change_rig
from app.pace import Pace
from app.panels.records.pages import state_words
from app.panels.records.topics import Topic, is_about, items_of, part_of, title, topics_of
from app.units import LengthUnit, fine_unit, format_length
from geometry.contact.findings import PairName
from geometry.rig.layout import PartRef
from geometry.rig.naming import housing_part, node_part
from geometry.rig.parts import Bar, Panel
from geometry.rig.rig import Rig

PART_ROLE = Qt.ItemDataRole.UserRole
TOPIC_ROLE = Qt.ItemDataRole.UserRole + 1
GROUP_ROLE = Qt.ItemDataRole.UserRole + 2
WHOLE_RIG = "Whole rig"
ROW_HEIGHT = 24


class RigList(QTreeWidget):
    """Axles, panels, bars and nodes; choosing one selects it everywhere. Axles and rig have topics below them.

    Signals
    -------
    topic_chosen(Topic or None)
        The builder wants to enter something about a topic, or has turned to a part.

    """

    topic_chosen = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._topic: Topic | None = None
        self._listed: object = None
        self._panels: tuple[Panel, ...] = ()
        self.setAccessibleName("Parts of the rig")
        self.setHeaderLabels(["Part", "Size"])
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setAlternatingRowColors(True)
        self.setUniformRowHeights(True)
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.header().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.currentItemChanged.connect(self._choose)
        self.itemClicked.connect(self._choose)  # the line may be the current one already
        self.itemChanged.connect(self._fit)
        document.unit_changed.connect(self.refresh)
        document.rig_changed.connect(Pace(document, self.refresh, self).ask)
        document.selection_changed.connect(self._follow_selection)
        self.refresh()

    def refresh(self) -> None:
        """List the parts anew when any of what is listed has changed."""
        rig, unit = self._document.shown_rig, self._document.unit
        panels, axles = ((p.id, p.name) for p in rig.panels), ((a.id, a.name, a.tire.size) for a in rig.axles)
        topics = tuple((topic, title(rig, topic)) for topic in _every_topic(rig))
        listed = (rig.bars, tuple(panels), tuple(axles), tuple(node.id for node in rig.nodes), topics, unit)
        # Taking a panel off must not make its item anew: Qt is still in the midst of telling what became of it.
        if listed == self._listed:
            if rig.panels != self._panels:
                self._panels = rig.panels
                self._show_fitted()
            self._show_states(rig)
            return
        self._listed, self._panels = listed, rig.panels
        open_ones = {_key(item): item.isExpanded() for item in self._items()}
        with QSignalBlocker(self):
            self.clear()
            for name, items in self._groups(rig, unit):
                count = "" if name == WHOLE_RIG else f" ({len(items)})"
                group = QTreeWidgetItem(self, [f"{name}{count}"])
                group.setData(0, GROUP_ROLE, name)
                group.setFlags(Qt.ItemFlag.ItemIsEnabled)
                group.setSizeHint(0, QSize(0, ROW_HEIGHT))
                group.addChildren(items)
                group.setExpanded(name not in {"Bars", "Nodes"})
            for item in self._items():
                item.setExpanded(open_ones.get(_key(item), item.isExpanded()))
        self._show_states(rig)
        self._follow_selection()

    def _groups(self, rig: Rig, unit: LengthUnit) -> Iterator[tuple[str, list[QTreeWidgetItem]]]:
        yield "Axles", [_with_topics(_item(a.name or a.id, a.tire.size, housing_part(a)), rig, a.id) for a in rig.axles]
        yield WHOLE_RIG, [_topic_item(rig, topic) for topic in topics_of(rig)]
        yield "Panels", [_panel_item(panel) for panel in rig.panels]
        yield "Bars", [_bar_item(bar, unit) for bar in rig.bars]
        yield "Nodes", [_item(node.id, "", node_part(node)) for node in rig.nodes]

    def _items(self) -> Iterator[QTreeWidgetItem]:
        walk = QTreeWidgetItemIterator(self)
        while (item := walk.value()) is not None:
            yield item
            walk += 1

    def _show_states(self, rig: Rig) -> None:
        """Say of each topic what of it is known."""
        with QSignalBlocker(self):
            for item in self._items():
                topic = _topic(item)
                if topic is not None and item.text(1) != (words := state_words(rig, topic, self._document.unit)):
                    item.setText(1, words)

    def _show_fitted(self) -> None:
        with QSignalBlocker(self):
            for panel in self._document.shown_rig.panels:
                item = self._find(_panel_part(panel))
                if item is not None:
                    _show_fitted(item, panel)

    def _choose(self, item: QTreeWidgetItem | None) -> None:
        part, topic = _part(item), _topic(item)
        if topic is not None:
            self._topic = topic
            self._document.select(part_of(self._document.shown_rig, topic))
            self.topic_chosen.emit(topic)
        elif part is not None:
            self._topic = None
            self._document.select(part)
            self.topic_chosen.emit(None)

    def show_topic(self, topic: Topic | None) -> None:
        """Make the line of a topic the current one, or that of the chosen part."""
        if topic != self._topic:
            self._topic = topic
            self._follow_selection()

    def _fit(self, item: QTreeWidgetItem) -> None:
        part = _part(item)
        if part is None or part.kind != "panel":
            return
        fitted = item.checkState(0) is Qt.CheckState.Checked
        rig = self._document.rig
        panels = tuple(replace(panel, fitted=fitted) if panel.id == part.id else panel for panel in rig.panels)
        change_rig(self._document, replace(rig, panels=panels), f"{'Fit' if fitted else 'Take off'} {part.label}")

    def _follow_selection(self) -> None:
        chosen = self._document.selection
        part = chosen.fixed if isinstance(chosen, PairName) else chosen
        rig, topic = self._document.shown_rig, self._topic
        if topic is not None and (isinstance(chosen, PairName) or not is_about(rig, topic, chosen)):
            self._topic = None
        with QSignalBlocker(self):
            topic = self._topic
            if topic is not None:
                item = next((each for each in self._items() if _topic(each) == topic), None)
            else:
                item = self._find(part) if part is not None else None
            if item is None:
                self.clearSelection()
            else:
                if item is not self.currentItem():  # a line that is just being pressed must not move away
                    self.setCurrentItem(item)
                    self.scrollToItem(item)
                item.setSelected(True)

    def _find(self, part: PartRef) -> QTreeWidgetItem | None:
        """The line of a part; those that an axle carries share its line."""
        axle = axle_of(self._document.shown_rig, part)
        wanted = part if axle is None else housing_part(axle)
        for item in self._items():
            own = _part(item)
            if own is not None and (own.kind, own.id) == (wanted.kind, wanted.id):
                return item
        return None


def _part(item: QTreeWidgetItem | None) -> PartRef | None:
    part = item.data(0, PART_ROLE) if item is not None else None
    return part if isinstance(part, PartRef) else None


def _topic(item: QTreeWidgetItem | None) -> Topic | None:
    topic = item.data(0, TOPIC_ROLE) if item is not None else None
    return topic if isinstance(topic, Topic) else None


def _key(item: QTreeWidgetItem) -> object:
    """What a line is about, so that it is known again in a new list."""
    part = _part(item)
    return _topic(item) or item.data(0, GROUP_ROLE) or (None if part is None else (part.kind, part.id))


def _every_topic(rig: Rig) -> Iterator[Topic]:
    """All topics with what they list."""
    for axle in ("", *(axle.id for axle in rig.axles)):
        for topic in topics_of(rig, axle):
            yield topic
            yield from items_of(rig, topic)


def _with_topics(item: QTreeWidgetItem, rig: Rig, axle: str) -> QTreeWidgetItem:
    item.addChildren([_topic_item(rig, topic) for topic in topics_of(rig, axle)])
    return item


def _topic_item(rig: Rig, topic: Topic) -> QTreeWidgetItem:
    words = title(rig, topic)
    item = QTreeWidgetItem([words, ""])
    item.setData(0, TOPIC_ROLE, topic)
    item.setToolTip(0, words)
    item.setSizeHint(0, QSize(0, ROW_HEIGHT))
    item.addChildren([_topic_item(rig, each) for each in items_of(rig, topic)])
    return item


def _item(name: str, size: str, part: PartRef) -> QTreeWidgetItem:
    item = QTreeWidgetItem([name, size])
    item.setData(0, PART_ROLE, part)
    item.setToolTip(0, name)
    item.setSizeHint(0, QSize(0, ROW_HEIGHT))
    return item


def _bar_item(bar: Bar, unit: LengthUnit) -> QTreeWidgetItem:
    size = f"{format_length(bar.od, unit)} × {format_length(bar.wall, fine_unit(unit))}"
    return _item(bar.name or bar.id, size, PartRef("bar", bar.id, "", bar.name or bar.id))


def _panel_item(panel: Panel) -> QTreeWidgetItem:
    item = _item(panel.name or panel.id, "", _panel_part(panel))
    item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
    _show_fitted(item, panel)
    return item


def _panel_part(panel: Panel) -> PartRef:
    return PartRef("panel", panel.id, "", panel.name or panel.id)


def _show_fitted(item: QTreeWidgetItem, panel: Panel) -> None:
    item.setCheckState(0, Qt.CheckState.Checked if panel.fitted else Qt.CheckState.Unchecked)
    item.setText(1, "fitted" if panel.fitted else "off")
