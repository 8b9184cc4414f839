"""Which topics the parts list has for an axle, and which parts of the drawing they are about."""

from __future__ import annotations

from msgspec.structs import replace

from app.panels.records.topics import Topic, part_of, topic_of, topics_of
from geometry.rig.naming import leaf_part, shackle_part
from tests.geometry.motion.leaves import leaf_axle
from tests.geometry.rig.rigs import small_rig


def test_leaf_springs_have_a_line_where_they_hold_the_axle_and_are_chosen_with_it() -> None:
    rig = small_rig()
    rig = replace(rig, axles=(leaf_axle(), *rig.axles[1:]))
    topic = Topic("springs", "rear")
    assert topic in topics_of(rig, "rear")
    assert Topic("springs", "front") not in topics_of(rig, "front")
    assert part_of(rig, topic) == leaf_part(rig.axles[0], "left")
    assert topic_of(rig, shackle_part(rig.axles[0], "right")) == topic
