from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.layout import bar_paths
from geometry.rig.parts import Bar
from geometry.sketch.copies import copied, mirrored
from tests.geometry.rig.rigs import small_rig
from tests.geometry.sketch.parts import at, bar, bar_record, housing, link, node, panel, panel_record

RIG = small_rig()
STRUT = replace(RIG, bars=(*RIG.bars, Bar(id="strut", name="Strut", nodes=("b", "d"), od=38.1, wall=2.4)))


# Across the centre plane


def test_a_bar_on_one_side_becomes_mirrored() -> None:
    rig, new = mirrored(STRUT, [bar(STRUT, "strut")])
    assert bar_record(rig, "strut").mirrored
    assert [part.side for part in new] == ["right"]
    assert new[0] in {path.part for path in bar_paths(rig)}
    assert rig.nodes is STRUT.nodes


def test_an_image_of_its_own_gets_nodes_of_its_own() -> None:
    rig, (part,) = mirrored(STRUT, [bar(STRUT, "strut")], own=True)
    assert (bar_record(rig, part.id).name, bar_record(rig, part.id).nodes) == ("Strut 2", ("n1", "n2"))
    assert at(rig, "n1") == (1800.0, -600.0, 500.0)
    assert not bar_record(rig, "strut").mirrored


def test_a_mirrored_bar_is_taken_apart() -> None:
    rig, (part,) = mirrored(RIG, [bar(RIG, "rail"), bar(RIG, "rail'")], own=True)
    before = sorted(path.points.tolist() for path in bar_paths(RIG))
    assert sorted(path.points.tolist() for path in bar_paths(rig)) == before
    assert not bar_record(rig, "rail").mirrored
    assert part.side == "right"


def test_what_has_its_image_already_is_left_out_and_alone_refused() -> None:
    rig, new = mirrored(STRUT, [bar(STRUT, "rail"), bar(STRUT, "strut"), panel(STRUT, "side")])
    assert [part.id for part in new] == ["strut"]
    for part, words in (
        (bar(rig, "strut"), "is mirrored already"),
        (bar(rig, "cross"), "its own mirror image"),
        (node(rig, "a"), "has its image already, “a'”"),
        (node(rig, "m"), "lies on the centre plane"),
        (link(rig, 0), "is there already, it is “rod1”"),
        (housing(rig), "cannot be mirrored"),
    ):
        with pytest.raises(RigError, match=words):
            mirrored(rig, [part])
    with pytest.raises(RigError, match="nothing is chosen"):
        mirrored(rig, [])


def test_no_image_is_made_where_another_bar_lies() -> None:
    rig, _ = mirrored(STRUT, [bar(STRUT, "strut")], own=True)
    with pytest.raises(RigError, match="is there already, it is “strut-2”"):
        mirrored(rig, [bar(rig, "strut")])


def test_a_node_and_a_panel_get_images_of_their_own() -> None:
    rig, (point, side) = mirrored(RIG, [node(RIG, "a"), panel(RIG, "side")], own=True)
    assert at(rig, point.id) == (800.0, -600.0, 500.0)
    assert panel_record(rig, side.id).facets[0][0] == point.id


def test_a_link_without_a_twin_gets_one_while_there_is_room() -> None:
    axle = RIG.axles[0]
    lone = replace(axle.rods[3], id="lone", chassis=(700.0, -300.0, 700.0), axle_bolt=(0.0, 1.0, 0.25))
    rig = replace(RIG, axles=(replace(axle, rods=(*axle.rods[:3], lone)), RIG.axles[1]))
    rig, (part,) = mirrored(rig, [link(rig, 3)])
    assert rig.axles[0].rods[4].chassis == (700.0, 300.0, 700.0)
    assert rig.axles[0].rods[4].axle_bolt == (0.0, -1.0, 0.25)
    assert rig.axles[0].rods[4].chassis_bolt is None
    assert part.side == "left"
    with pytest.raises(RigError, match="has five links"):
        mirrored(rig, [link(rig, 2)])


# By an offset


def test_copies_get_nodes_of_their_own_unless_there_are_some() -> None:
    rig, parts = copied(RIG, [bar(RIG, "post")], (300.0, 0.0, 0.0), count=2)
    assert [part.id for part in parts] == ["post-2", "post-3"]
    assert [at(rig, name) for name in bar_record(rig, "post-3").nodes] == [(1800.0, 0.0, 500.0), (1800.0, 0.0, 1500.0)]
    rig, _ = copied(RIG, [bar(RIG, "cross")], (1000.0, 0.0, 0.0))
    assert bar_record(rig, "cross-2").nodes == ("b", "b'")
    assert rig.nodes == RIG.nodes


def test_an_image_is_copied_as_its_original_the_mirrored_way() -> None:
    one, _ = copied(RIG, [bar(RIG, "rail"), panel(RIG, "side")], (0.0, 50.0, 300.0))
    other, _ = copied(RIG, [bar(RIG, "rail'"), panel(RIG, "side'")], (0.0, -50.0, 300.0))
    assert one == other


def test_a_copy_across_the_rig_keeps_hanging_on_one_node() -> None:
    rig, _ = copied(RIG, [bar(RIG, "cross")], (100.0, 0.0, 0.0))
    assert bar_record(rig, "cross-2").nodes == ("n1", "n1'")


def test_no_copy_lies_on_what_is_there() -> None:
    with pytest.raises(RigError, match="would lie exactly on “post”"):
        copied(RIG, [bar(RIG, "post")], (0.0, 0.0, 0.0))
    with pytest.raises(RigError, match="would lie exactly on “side”"):
        copied(RIG, [panel(RIG, "side")], (0.0, -1200.0, 0.0))
    with pytest.raises(RigError, match="cannot be copied"):
        copied(RIG, [link(RIG, 0)], (0.0, 0.0, 100.0))


def test_nodes_are_copied_too() -> None:
    rig, parts = copied(RIG, [node(RIG, "a"), node(RIG, "b'")], (0.0, 10.0, 0.0))
    assert [at(rig, part.id) for part in parts] == [(800.0, 610.0, 500.0), (1800.0, 590.0, 500.0)]
