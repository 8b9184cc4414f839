"""What can be entered about axles and rig beside the drawing: topics, in the order of the parts tree."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from app.panels.records.places import Place, value_at
from geometry.rig.layout import PartRef
from geometry.rig.naming import housing_part
from geometry.rig.rig import Rig

TopicKind = Literal[
    "cuts", "angles", "perches", "perch", "shafts", "mock-up", "as built",
    "masses", "mass", "scales", "rules", "limit",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Topic:
    """One form: what it is about, the axle that it belongs to (empty = the rig), and the id of a record of a list."""

    kind: TopicKind
    axle: str = ""
    item: str = ""

    @property
    def base(self) -> Place:
        """Place of the record that its fields count from."""
        root = ("axles", self.axle) if self.axle else ()
        return (*root, *LISTS[self.kind], self.item) if self.item else root

    @property
    def above(self) -> Topic:
        """The topic that lists it."""
        return Topic(LISTED_BY[self.kind], self.axle) if self.item else self


OF_AXLE: Final[dict[TopicKind, str]] = {
    "cuts": "Cuts and ends",
    "angles": "Pinion and brakes",
    "perches": "Perches and brackets",
    "shafts": "Axle shafts",
    "mock-up": "Mock-up axle",
    "as built": "As built",
}
OF_RIG: Final[dict[TopicKind, str]] = {"masses": "Masses", "scales": "Scales", "rules": "Width rules"}
"""Topics and their titles."""

LISTS: Final[dict[TopicKind, Place]] = {
    "perch": ("build", "perches"),
    "mass": ("masses", "parts"),
    "limit": ("rules", "widths"),
}
LISTED_BY: Final[dict[TopicKind, TopicKind]] = {"perch": "perches", "mass": "masses", "limit": "rules"}
ITEMS: Final[dict[TopicKind, TopicKind]] = {above: item for item, above in LISTED_BY.items()}
WORDS: Final[dict[TopicKind, str]] = {"perch": "perch", "mass": "part", "limit": "width limit"}
"""Records of lists: where they stand, the topic that lists them and the other way round, and what one of them is."""


def topics_of(axle: str = "") -> tuple[Topic, ...]:
    """Topics of an axle, or of the rig."""
    return tuple(Topic(kind, axle) for kind in (OF_AXLE if axle else OF_RIG))


def items_of(rig: Rig, topic: Topic) -> tuple[Topic, ...]:
    """What a topic lists."""
    kind = ITEMS.get(topic.kind)
    if kind is None:
        return ()
    records = value_at(rig, (*topic.base, *LISTS[kind])) or ()
    return tuple(Topic(kind, topic.axle, record.id) for record in records)


def title(rig: Rig, topic: Topic) -> str:
    """What the tree calls a topic."""
    if not topic.item:
        return (OF_AXLE | OF_RIG)[topic.kind]
    record = value_at(rig, topic.base)
    return "" if record is None else record.name or record.id


def part_of(rig: Rig, topic: Topic) -> PartRef | None:
    """The part that is chosen along with a topic: the axle that it is about, else none."""
    return next((housing_part(axle) for axle in rig.axles if axle.id == topic.axle), None)


def is_there(rig: Rig, topic: Topic) -> bool:
    """Whether what a topic is about is still in the rig."""
    return value_at(rig, topic.base) is not None
