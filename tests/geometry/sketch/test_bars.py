from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.layout import bar_paths
from geometry.rig.parts import Bar, Node, Point
from geometry.rig.rig import Rig
from geometry.sketch.bars import extended, extended_to, joined, split, with_bar, with_bend
from tests.geometry.rig.rigs import small_rig
from tests.geometry.sketch.parts import at, bar_record

RIG = small_rig()
TUBE = {"od": 38.1, "wall": 2.4}


def with_bars(*runs: tuple[Point, ...], mirrored: bool = False) -> Rig:
    """The small rig without its chassis, with bars of its own."""
    rig = replace(RIG, nodes=(), bars=(), panels=())
    for points in runs:
        rig, _ = with_bar(rig, points, **TUBE, mirrored=mirrored)
    return rig


# Drawing


def test_a_bar_uses_the_nodes_and_images_that_are_there() -> None:
    rig, part = with_bar(RIG, [(800.0, 600.0, 500.0), (800.0, 0.0, 700.0), (1800.0, -600.0, 500.0)], **TUBE)
    assert bar_record(rig, "bar-1").nodes == ("a", "n1", "b'")
    assert at(rig, "n1") == (800.0, 0.0, 700.0)
    assert part in {path.part for path in bar_paths(rig)}
    assert rig.nodes[:-1] == RIG.nodes


def test_the_second_half_of_a_bar_across_uses_the_image_of_the_first() -> None:
    rig, _ = with_bar(RIG, [(900.0, 300.0, 500.0), (900.0, -300.0, 500.0)], **TUBE, mirrored=True)
    assert bar_record(rig, "bar-1").nodes == ("n1", "n1'")
    assert not bar_record(rig, "bar-1").mirrored


def test_a_bar_that_cannot_be_is_refused() -> None:
    with pytest.raises(RigError, match="two points at least"):
        with_bar(RIG, [(0.0, 0.0, 0.0)], **TUBE)
    with pytest.raises(RigError, match="no length here"):
        with_bar(RIG, [(0.0, 0.0, 0.0), (0.0, 0.0, 0.0)], **TUBE)


# Splitting


def test_splitting_in_a_straight_puts_a_node_on_the_line_between_the_corners() -> None:
    rig, part = split(RIG, "rail", (1300.0, 610.0, 520.0))
    assert at(rig, "n1") == (1300.0, 600.0, 500.0)
    assert (bar_record(rig, "rail").nodes, bar_record(rig, "rail-2").nodes) == (("a", "n1"), ("n1", "b", "c"))
    assert (part.id, part.side) == ("rail-2", "left")
    assert bar_record(rig, "rail-2").mirrored


def test_splitting_the_image_splits_the_original_and_uses_a_node_that_is_there() -> None:
    rig, _ = split(
        replace(RIG, nodes=(*RIG.nodes, Node(id="x", at=(1300.0, 600.0, 500.0)))), "rail", (1300.0, -600.0, 500.0)
    )
    assert bar_record(rig, "rail").nodes == ("a", "x")


def test_splitting_at_an_inner_node_and_joining_gives_the_bar_back() -> None:
    rig, part = split(RIG, "rail", at(RIG, "b"))
    assert bar_record(rig, "rail").nodes == ("a", "b")
    assert rig.nodes is RIG.nodes
    assert joined(rig, "rail", part.id) == RIG
    back = joined(rig, part.id, "rail")
    assert bar_record(back, part.id).nodes == ("a", "b", "c")


def test_no_bar_is_split_at_its_end_or_in_a_bend() -> None:
    with pytest.raises(RigError, match="ends at “a”"):
        split(RIG, "rail", (0.0, 600.0, 500.0))
    with pytest.raises(RigError, match="is bent there; split it at node “b”"):
        split(RIG, "rail", (1790.0, 600.0, 500.0))


def test_the_middle_piece_of_a_bar_across_is_there_once() -> None:
    rig = with_bars(((0.0, 500.0, 0.0), (0.0, -500.0, 0.0), (900.0, -500.0, 0.0)), mirrored=True)
    rig, part = split(rig, "bar-1", (0.0, -500.0, 0.0))
    assert (bar_record(rig, "bar-1").mirrored, bar_record(rig, part.id).mirrored) == (False, True)


# Joining


def test_a_mirrored_half_is_joined_with_its_image() -> None:
    rig = with_bars(((0.0, 500.0, 0.0), (0.0, 400.0, 900.0), (0.0, 0.0, 900.0)), mirrored=True)
    whole = joined(rig, "bar-1", "bar-1")
    assert bar_record(whole, "bar-1").nodes == ("n1", "n2", "n3", "n2'", "n1'")
    assert not bar_record(whole, "bar-1").mirrored


def test_bars_are_joined_whichever_ends_meet() -> None:
    one, two, three = (0.0, 500.0, 0.0), (0.0, 500.0, 900.0), (500.0, 500.0, 900.0)
    for first in ((one, two), (two, one)):
        for second in ((two, three), (three, two)):
            nodes = bar_record(joined(with_bars(first, second), "bar-1", "bar-2"), "bar-1").nodes
            assert len(nodes) == 3
            assert nodes[1] == ("n2" if first == (one, two) else "n1")


def changed_bar(rig: Rig, **fields: object) -> Rig:
    return replace(rig, bars=(*rig.bars[:-1], replace(rig.bars[-1], **fields)))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"od": 44.45}, "differ in outside diameter, 38.1 mm and 44.45 mm"),
        ({"wall": 3.0}, "differ in wall, 2.4 mm and 3 mm"),
        ({"mirrored": True}, "“bar-2” is mirrored and bar “bar-1” is not"),
        ({"nodes": ("n3", "n3'")}, "do not meet end to end"),
    ],
)
def test_bars_that_differ_are_not_joined(fields: dict[str, object], words: str) -> None:
    rig = with_bars(((0.0, 500.0, 0.0), (0.0, 500.0, 900.0)), ((0.0, 500.0, 900.0), (500.0, 500.0, 900.0)))
    with pytest.raises(RigError, match=words):
        joined(changed_bar(rig, **fields), "bar-1", "bar-2")


def test_bent_bars_of_different_radii_are_not_joined_but_a_straight_takes_the_radius() -> None:
    rig = with_bars(((0.0, 500.0, 0.0), (0.0, 500.0, 900.0)), ((0.0, 500.0, 900.0), (500.0, 500.0, 900.0)))
    assert bar_record(joined(changed_bar(rig, bend_radius=150.0), "bar-1", "bar-2"), "bar-1").bend_radius == 150.0
    with pytest.raises(RigError, match="cannot be joined with itself"):
        joined(rig, "bar-1", "bar-1")


# Extending


def test_an_end_that_nothing_else_needs_goes_along_the_last_straight() -> None:
    rig = extended(RIG, "post", -1, 100.0)
    assert at(rig, "n") == (1200.0, 0.0, 1600.0)
    assert at(extended(RIG, "post", 0, -100.0), "m") == (1200.0, 0.0, 600.0)
    assert rig.bars is RIG.bars or rig.bars == RIG.bars


def test_an_end_that_others_need_stays_and_the_bar_gets_a_node_of_its_own() -> None:
    rig = extended(RIG, "rail", 0, 100.0)
    assert at(rig, "a") == at(RIG, "a")
    assert bar_record(rig, "rail").nodes == ("n1", "b", "c")
    assert at(rig, "n1") == (700.0, 600.0, 500.0)


def test_an_end_that_comes_to_a_node_ends_there() -> None:
    rig = with_bars(((0.0, 500.0, 0.0), (0.0, 500.0, 900.0)), ((0.0, 500.0, 950.0), (500.0, 500.0, 900.0)))
    rig = extended(rig, "bar-1", -1, 50.0)
    assert bar_record(rig, "bar-1").nodes == ("n1", "n3")
    assert {node.id for node in rig.nodes} == {"n1", "n3", "n4"}


def test_no_bar_is_cut_by_more_than_its_last_straight() -> None:
    with pytest.raises(RigError, match=r"is 1000\.0 mm long"):
        extended(RIG, "post", -1, -1000.0)


def test_a_bar_is_extended_or_cut_to_the_centre_line_of_another() -> None:
    post = ((0.0, 500.0, 0.0), (0.0, 500.0, 900.0))
    for height in (1200.0, 700.0):
        rig = with_bars(post, ((-300.0, 500.0, height), (700.0, 500.0, height)))
        assert at(extended_to(rig, "bar-1", -1, "bar-2"), "n2") == (0.0, 500.0, height)


def test_a_bar_that_passes_by_within_touch_ends_on_the_other_line_and_farther_off_is_refused() -> None:
    post = ((0.0, 500.0, 0.0), (0.0, 500.0, 900.0))
    near = with_bars(post, ((-300.0, 530.0, 1200.0), (700.0, 530.0, 1200.0)))
    assert at(extended_to(near, "bar-1", -1, "bar-2"), "n2") == (0.0, 530.0, 1200.0)
    far = with_bars(post, ((-300.0, 550.0, 1200.0), (700.0, 550.0, 1200.0)))
    with pytest.raises(RigError, match=r"at 50\.0 mm from centre line to centre line"):
        extended_to(far, "bar-1", -1, "bar-2")
    with pytest.raises(RigError, match="points away"):
        extended_to(near, "bar-1", 0, "bar-2")
    with pytest.raises(RigError, match="to itself"):
        extended_to(near, "bar-1", 0, "bar-1")


def test_a_bar_meets_the_image_of_another() -> None:
    rig = replace(RIG, bars=(*RIG.bars, Bar(id="low", nodes=("m", "z"), **TUBE)))
    rig = replace(rig, nodes=(*RIG.nodes, Node(id="z", at=(1200.0, -300.0, 500.0))))
    assert at(extended_to(rig, "low", -1, "rail"), "z") == (1200.0, -600.0, 500.0)


def test_a_bend_that_does_not_fit_is_refused() -> None:
    assert bar_record(with_bend(RIG, "rail", 200.0), "rail").bend_radius == 200.0
    with pytest.raises(RigError, match="make the radius smaller"):
        with_bend(RIG, "rail", 2000.0)
