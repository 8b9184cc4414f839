"""From a value's place in the rig to the field in which it is entered."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import Qt, QTimer

from app.document import Document
from app.panels.details import Details
from app.panels.records.pages import GROUPS
from app.panels.records.places import Place
from app.panels.records.topics import Topic, items_of, topics_of
from geometry.rig.rig import Rig


def topic_at(rig: Rig, place: Place) -> tuple[Topic, Place] | None:
    """The topic under which the value at a place is entered, and its field; None when there is no such field.

    The place of a whole record leads to the topic that lists it, with an empty field.
    """
    for topic in _topics(rig):
        base, rest = topic.base, place[len(topic.base) :]
        if place[: len(base)] != base:
            continue
        if topic.item and not rest:
            return topic, ()
        for item in (item for group in GROUPS[topic.kind] for item in group.items):
            if rest and item.path[: len(rest)] == rest:
                return topic, item.path
    return (Topic("masses"), ()) if place in {("masses", "parts"), ("masses", "aboard")} else None


def go_to_place(document: Document, details: Details, place: str) -> None:
    """Show the field of the value at a place and put the keys into it, or at least the fields of its axle."""
    rig, path = document.shown_rig, tuple(place.split("/"))
    found = topic_at(rig, path)
    if path[0] == "axles" and len(path) > 1:
        document.set_active_axle(path[1])
    details.show_topic(None if found is None else found[0])
    if found is None or not found[1]:
        return
    field = details.records.forms[found[0].kind].fields[found[1]]
    field.setFocus(Qt.FocusReason.OtherFocusReason)
    # The form has its size only once it was laid out.
    QTimer.singleShot(0, field, lambda: details.ensureWidgetVisible(field))


def _topics(rig: Rig) -> Iterator[Topic]:
    """All topics, the records of lists before what lists them."""
    for axle in ("", *(axle.id for axle in rig.axles)):
        for topic in topics_of(rig, axle):
            yield from items_of(rig, topic)
            yield topic
