"""What is missing to a number has a field, and the way leads there."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.document import Document
from app.figures.groups import groups
from app.panels.details import Details
from app.panels.place_fields import go_to_place, topic_at
from app.panels.records.topics import Topic
from app.units import LengthUnit
from geometry.rig.build import Build
from geometry.rig.rig import Rig
from tests.app.figures.plans import PERCH, planned_rig

ELSEWHERE = {"compare/outer_width"}
"""Places that are entered beside the numbers."""


def lacking() -> Rig:
    """A rig of which next to nothing is known."""
    rig = planned_rig()
    perch = replace(PERCH, weld_leg=None, angle_deg=None)
    bare = replace(rig.axles[0], build=Build(perches=(perch,)))
    return replace(rig, axles=(bare, *rig.axles[1:]), masses=None)


def test_every_value_that_numbers_lack_has_a_field() -> None:
    rig = lacking()
    places = {place for each in groups(rig, "rear") for place in each.missing} - ELSEWHERE
    assert len(places) > 15
    for place in places:
        found = topic_at(rig, tuple(place.split("/")))
        assert found is not None, place
        assert found[1] or place in {"masses/parts", "masses/aboard"}, place


@pytest.mark.parametrize(
    ("place", "kind"),
    [
        ("axles/front/build/kerf", "cuts"),
        ("axles/front/build/left/shaft/flange", "shafts"),
        ("axles/rear/build/perches/spring/weld_leg", "perch"),
        ("axles/rear/build/transfer_output", "angles"),
    ],
)
def test_the_way_leads_into_the_field_of_the_axle_that_is_meant(qtbot: QtBot, place: str, kind: str) -> None:
    document = Document(lacking(), unit=LengthUnit.FRACTION)
    details = Details(document)
    qtbot.addWidget(details)
    with qtbot.waitActive(details):
        details.show()
    go_to_place(document, details, place)
    topic = details.records.topic
    assert topic is not None
    assert (topic.kind, topic.axle) == (kind, place.split("/")[1])
    assert document.active_axle == topic.axle
    assert details.isAncestorOf(QApplication.focusWidget())


def test_a_place_without_a_field_shows_the_axle_at_least(qtbot: QtBot) -> None:
    document = Document(lacking(), unit=LengthUnit.FRACTION)
    details = Details(document)
    qtbot.addWidget(details)
    details.show_topic(Topic("cuts", "rear"))
    go_to_place(document, details, "axles/front/rods")
    assert details.records.topic is None
    assert document.active_axle == "front"
