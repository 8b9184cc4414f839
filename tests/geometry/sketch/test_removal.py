from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.sketch.removal import without
from tests.geometry.rig.rigs import small_rig
from tests.geometry.sketch.parts import bar, bar_record, housing, joint, link, node, panel, panel_record, tire

RIG = small_rig()


def ids(items: tuple[object, ...]) -> str:
    return " ".join(one.id for one in items)  # type: ignore[attr-defined]


def test_a_bar_runs_straight_through_where_a_node_goes_and_a_panel_loses_a_corner() -> None:
    rig = without(RIG, [node(RIG, "b")])
    assert bar_record(rig, "rail").nodes == ("a", "c")
    assert panel_record(rig, "side").facets == (("a", "e", "d"),)
    assert ids(rig.nodes) == "a c d e m n"
    assert bar_record(rig, "post") is bar_record(RIG, "post")


def test_an_image_stands_for_its_original() -> None:
    assert without(RIG, [node(RIG, "b'")]) == without(RIG, [node(RIG, "b")])
    assert without(RIG, [bar(RIG, "rail'")]) == without(RIG, [bar(RIG, "rail")])


def test_what_has_too_few_nodes_left_goes() -> None:
    rig = without(RIG, [node(RIG, "a"), node(RIG, "b")])
    assert ids(rig.bars) == "post"
    assert ids(rig.panels) == ""
    assert ids(rig.nodes) == "m n"
    assert ids(without(RIG, [node(RIG, "a"), node(RIG, "b")], nodes_too=False).nodes) == "c d e m n"


def test_nodes_that_only_the_bar_used_go_with_it_unless_they_are_kept() -> None:
    rig = replace(RIG, nodes=(*RIG.nodes, replace(RIG.nodes[0], id="lone")))
    assert ids(without(rig, [bar(rig, "post"), bar(rig, "rail")]).nodes) == "a b d e lone"
    assert without(rig, [bar(rig, "post")], nodes_too=False).nodes == rig.nodes


def test_a_panel_goes() -> None:
    rig = without(RIG, [panel(RIG, "side")])
    assert (ids(rig.panels), ids(rig.nodes)) == ("", "a b c m n")


def test_a_link_goes_only_while_four_are_left() -> None:
    with pytest.raises(RigError, match="needs four links at least, and 3 would be left"):
        without(RIG, [link(RIG, 0)])
    axle = RIG.axles[0]
    five = replace(axle, rods=(*axle.rods, replace(axle.rods[0], id="fifth", chassis=(900.0, 0.0, 400.0))))
    rig = replace(RIG, axles=(five, RIG.axles[1]))
    assert without(rig, [link(rig, 4)]) == RIG
    with pytest.raises(RigError, match="choose the link instead"):
        without(rig, [joint(rig, 4, "axle")])


def test_an_axle_goes_only_while_one_is_left() -> None:
    assert without(RIG, [tire(RIG, "left", 1)]).axles == RIG.axles[:1]
    with pytest.raises(RigError, match="one axle at least"):
        without(RIG, [housing(RIG, 0), housing(RIG, 1)])


@pytest.mark.parametrize("kind", ["node", "bar", "panel", "tire"])
def test_what_is_not_there_is_said(kind: str) -> None:
    with pytest.raises(RigError, match="“gone” in the rig; choose another one"):
        without(RIG, [PartRef(kind, "gone", "", "gone")])  # type: ignore[arg-type]
