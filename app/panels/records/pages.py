"""The form of the chosen topic, each kind made when it is first wanted."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from PySide6.QtCore import Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.document import Document
from app.edits import axle_words
from app.mass_units import format_mass
from app.panels.records.adding import AddBox
from app.panels.records.as_built_form import AsBuiltForm
from app.panels.records.axle_items import ANGLES, AS_BUILT, CUTS, MOCK_UP, PERCH, SHAFTS
from app.panels.records.driveline_items import DRIVESHAFT, GEARS, JOINT, PINION
from app.panels.records.form import RecordForm
from app.panels.records.items import Group, is_known
from app.panels.records.leaf_items import LEAVES
from app.panels.records.places import value_at
from app.panels.records.rig_items import LIMIT, MASS, RULES, SCALES
from app.panels.records.steering_items import STEERING
from app.panels.records.stroke_items import SHOCK, STOP, STRAP
from app.panels.records.topics import ITEMS, Topic, TopicKind, is_there, items_of, title
from app.typeset import minus
from app.units import LengthUnit, format_angle, format_length
from geometry.rig.axle import Rod
from geometry.rig.driveline import PinionChoice
from geometry.rig.mass import MassPart
from geometry.rig.rig import Rig

GROUPS: Final[dict[TopicKind, tuple[Group, ...]]] = {
    "cuts": CUTS,
    "angles": ANGLES,
    "perches": (),
    "perch": PERCH,
    "shafts": SHAFTS,
    "mock-up": MOCK_UP,
    "as built": AS_BUILT,
    "masses": (),
    "mass": MASS,
    "scales": SCALES,
    "rules": RULES,
    "limit": LIMIT,
    "shocks": (),
    "shock": SHOCK,
    "stops": (),
    "stop": STOP,
    "straps": (),
    "strap": STRAP,
    "steering": STEERING,
    "driveshaft": DRIVESHAFT,
    "pinions": (),
    "pinion": PINION,
    "joints": (),
    "joint": JOINT,
    "springs": LEAVES,
    "gears": GEARS,
}
"""What can be entered under each topic."""

HINTS: Final[dict[TopicKind, str]] = {
    "cuts": "What stays empty is unknown, and so is what depends on it. Rest the pointer on a field to see how to "
    "measure it.",
    "perches": "Perches, link brackets and everything else that is welded to the bare tube. Placed ones stand below "
    "this line in the parts list.",
    "masses": "Everything that weighs, but for the chassis tubes, which are weighed from the drawing. Parts stand "
    "below this line in the parts list.",
    "scales": "Readings count in place of the list of masses.",
    "rules": "What bounds the width beside clearance; a rule that is empty bounds nothing.",
    "shocks": "Shocks and coil-overs, from eye to eye. They cut the travel where they would be too long or too short.",
    "stops": "Bump stops end the travel upward where they give no more.",
    "straps": "Limit straps end the travel downward where they are taut.",
    "steering": "What turns the wheels, as far as it is known. Without tie rod and share both wheels turn alike.",
    "driveshaft": "What stays empty is unknown, and so is what depends on it.",
    "pinions": "Other centre sections, side by side with the one that is drawn. Each stands below this line in the "
    "parts list; what it leaves empty is as drawn.",
    "springs": "The leaf springs that hold the axle in place of links, told for the left side.",
    "joints": "How far the joints of the links can lean. The links stand below this line in the parts list.",
    "gears": "From the engine's turns to the tire's: overall ratios, crawl ratio and road speed follow.",
}
"""What is said above a form."""


class RecordPages(QWidget):
    """Shows the form of a topic.

    Signals
    -------
    topic_asked(Topic)
        Another topic is to be shown: of a new record, or of the list of one that was deleted.

    """

    topic_asked = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.forms: dict[TopicKind, RecordForm] = {}
        self.adding: dict[TopicKind, AddBox] = {}
        self._topic: Topic | None = None
        self.heading, self.hint = QLabel(), QLabel()
        bold = QFont(self.font())
        bold.setBold(True)
        self.heading.setFont(bold)
        for label in (self.heading, self.hint):
            label.setWordWrap(True)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addWidget(self.heading)
        self._column.addWidget(self.hint)
        document.rig_changed.connect(self._keep_up)

    @property
    def topic(self) -> Topic | None:
        """What is shown; None = nothing."""
        return self._topic

    def show_topic(self, topic: Topic | None) -> None:
        """Show the form of a topic, or none."""
        self._topic = topic
        self.setVisible(topic is not None)
        if topic is None:
            return
        form = self._form(topic)
        for kind, other in self.forms.items():
            other.setVisible(kind == topic.kind)
        for kind, box in self.adding.items():
            box.setVisible(kind == topic.kind)
        form.show_topic(topic)
        if topic.kind in self.adding:
            self.adding[topic.kind].show_topic(topic)
        self._show_heading(topic)

    def _form(self, topic: Topic) -> RecordForm:
        if topic.kind not in self.forms:
            as_built = topic.kind == "as built"
            form = AsBuiltForm(self._document, topic) if as_built else _form(self._document, topic)
            form.left.connect(self.topic_asked)
            self.forms[topic.kind] = form
            self._column.addWidget(form)
            if topic.kind in ITEMS:
                box = self.adding[topic.kind] = AddBox(self._document, topic)
                box.added.connect(self.topic_asked)
                self._column.addWidget(box)
        return self.forms[topic.kind]

    def _show_heading(self, topic: Topic) -> None:
        rig = self._document.shown_rig
        words = title(rig, topic)
        if topic.axle:
            owner = axle_words(rig.axle(topic.axle))
            words = f"{owner[:1].upper()}{owner[1:]}: {words[:1].lower()}{words[1:]}"
        self.heading.setText(words)
        self.hint.setText(HINTS.get(topic.kind, ""))
        self.hint.setVisible(topic.kind in HINTS)

    def _keep_up(self) -> None:
        """A record that an undo step took away leaves its list in its place; an axle that is gone leaves nothing."""
        topic = self._topic
        if topic is None:
            return
        if not is_there(self._document.shown_rig, topic):
            above = topic.above
            self.topic_asked.emit(above if topic.item and is_there(self._document.shown_rig, above) else None)
        else:
            self._show_heading(topic)


def _form(document: Document, topic: Topic) -> RecordForm:
    return RecordForm(document, topic, GROUPS[topic.kind])


def state_words(rig: Rig, topic: Topic, unit: LengthUnit) -> str:
    """What of a topic is known, in a word or two for the tree; of a record of a list, its size."""
    if topic.item:
        return SIZES[topic.kind](value_at(rig, topic.base), unit)
    if topic.kind == "as built":
        record = value_at(rig, (*topic.base, "as_built"))
        return "not measured" if record is None else f"{record.stage} {record.date}"
    count = len(items_of(rig, topic))
    if count:
        return str(count)
    return "" if is_known(rig, topic.base, GROUPS[topic.kind]) else "none" if topic.kind in ITEMS else "unknown"


def _mass(part: MassPart, unit: LengthUnit) -> str:
    return "unknown" if part.mass_kg is None else format_mass(part.mass_kg, unit)


def _rise(pinion: PinionChoice, unit: LengthUnit) -> str:
    return "" if pinion.pinion_rise is None else f"rise {minus(format_length(pinion.pinion_rise, unit))}"


def _leans(rod: Rod, _unit: LengthUnit) -> str:
    known = [limit for limit in (rod.chassis_limit_deg, rod.axle_limit_deg) if limit is not None]
    return " and ".join(format_angle(limit) for limit in known) or "unknown"


SIZES: Final[dict[TopicKind, Callable[[Any, LengthUnit], str]]] = {
    "mass": _mass,
    "limit": lambda limit, unit: format_length(limit.most, unit),
    "perch": lambda perch, unit: format_length(perch.width, unit),
    "shock": lambda shock, unit: f"stroke {format_length(shock.extended - shock.collapsed, unit)}",
    "stop": lambda stop, unit: format_length(stop.height, unit),
    "strap": lambda strap, unit: format_length(strap.length, unit),
    "pinion": _rise,
    "joint": _leans,
}
"""What the tree says of a record of a list."""
