"""What can be entered about axles and rig beside the drawing: topics, in the order of the parts tree."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from app.panels.records.places import Place, value_at
from geometry.driveline.shaft import shaft_line
from geometry.rig.layout import PartKind, PartRef
from geometry.rig.naming import driveshaft_part, housing_part, leaf_part, link_part
from geometry.rig.rig import Rig
from geometry.stroke.spans import spans_of

TopicKind = Literal[
    "cuts", "angles", "perches", "perch", "shafts", "mock-up", "as built",
    "shocks", "shock", "stops", "stop", "straps", "strap", "steering",
    "driveshaft", "pinions", "pinion", "joints", "joint", "springs",
    "masses", "mass", "scales", "rules", "limit", "gears",
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
    "shocks": "Shocks",
    "stops": "Bump stops",
    "straps": "Limit straps",
    "steering": "Steering linkage",
    "driveshaft": "Driveshaft",
    "pinions": "Pinions to compare",
    "joints": "Joints of links",
    "springs": "Leaf springs",
}
OF_RIG: Final[dict[TopicKind, str]] = {
    "masses": "Masses",
    "scales": "Scales",
    "rules": "Width rules",
    "gears": "Gears",
}
"""Topics and their titles."""

LISTS: Final[dict[TopicKind, Place]] = {
    "perch": ("build", "perches"),
    "mass": ("masses", "parts"),
    "limit": ("rules", "widths"),
    "shock": ("shocks",),
    "stop": ("bump_stops",),
    "strap": ("straps",),
    "pinion": ("pinion_choices",),
    "joint": ("rods",),
}
LISTED_BY: Final[dict[TopicKind, TopicKind]] = {
    "perch": "perches",
    "mass": "masses",
    "limit": "rules",
    "shock": "shocks",
    "stop": "stops",
    "strap": "straps",
    "pinion": "pinions",
    "joint": "joints",
}
ITEMS: Final[dict[TopicKind, TopicKind]] = {above: item for item, above in LISTED_BY.items()}
WORDS: Final[dict[TopicKind, str]] = {
    "perch": "perch",
    "mass": "part",
    "limit": "width limit",
    "shock": "shock",
    "stop": "bump stop",
    "strap": "limit strap",
    "pinion": "pinion",
    "joint": "link",
}
"""Records of lists: where they stand, the topic that lists them and the other way round, and what one of them is."""

FIXED: Final[frozenset[TopicKind]] = frozenset({"joint"})
"""Records of lists that are neither added nor deleted here: links are drawn."""

DRAWN: Final[dict[TopicKind, PartKind]] = {"shock": "shock", "stop": "bump stop", "strap": "strap"}
"""Records of lists that are parts of the drawing."""

LINKAGE: Final[dict[PartKind, TopicKind]] = {
    "tie rod": "steering",
    "drag link": "steering",
    "ram": "steering",
    "driveshaft": "driveshaft",
    "leaf spring": "springs",
    "shackle": "springs",
}
"""Parts of the drawing of which an axle has one, or one a side, and under which topic they are entered."""


def topics_of(rig: Rig, axle: str = "") -> tuple[Topic, ...]:
    """Topics of an axle, or of the rig; what an axle does not have is left out."""
    topics = (Topic(kind, axle) for kind in (OF_AXLE if axle else OF_RIG))
    return tuple(topic for topic in topics if is_there(rig, topic))


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
    """The part that is chosen along with a topic: the one that it is about, or else its axle, if it has one."""
    axle = next((axle for axle in rig.axles if axle.id == topic.axle), None)
    if axle is None:
        return None
    kind = DRAWN.get(topic.kind)
    if kind is not None and topic.item:
        own = (span.part for span in spans_of(axle) if span.part.kind == kind)
        return next((part for part in own if part.id == f"{axle.id}.{topic.item}"), housing_part(axle))
    if topic.kind == "joint" and topic.item:
        return next((link_part(axle, rod) for rod in axle.rods if rod.id == topic.item), housing_part(axle))
    if topic.kind == "springs":
        return leaf_part(axle, "left")
    if topic.kind == "driveshaft" and shaft_line(axle) is not None:
        return driveshaft_part(axle)
    return housing_part(axle)


def is_about(rig: Rig, topic: Topic, part: PartRef | None) -> bool:
    """Whether a part is what is chosen along with a topic, on either side of the rig."""
    if part is not None and topic_of(rig, part) == topic:
        return True
    return part == part_of(rig, topic)


def topic_of(rig: Rig, part: PartRef) -> Topic | None:
    """The topic under which a part of the drawing is entered; None for those that have no form of records."""
    for axle in rig.axles:
        if part.id == axle.id and part.kind in LINKAGE:
            return Topic(LINKAGE[part.kind], axle.id)
        for item, kind in DRAWN.items():
            if part.kind == kind and part.id.startswith(f"{axle.id}."):
                topic = Topic(item, axle.id, part.id.removeprefix(f"{axle.id}."))
                return topic if is_there(rig, topic) else None
    return None


def is_there(rig: Rig, topic: Topic) -> bool:
    """Whether what a topic is about is still in the rig: not every axle steers, or stands on leaf springs."""
    above = {"steering": ("steering",), "springs": ("leaf_springs",)}.get(topic.kind, ())
    return value_at(rig, (*topic.base, *above)) is not None
