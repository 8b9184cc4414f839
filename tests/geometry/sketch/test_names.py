from __future__ import annotations

import pytest

from geometry.errors import RigError
from geometry.rig.check import check_rig
from geometry.sketch.names import copy_id, copy_name, free_id, renamed
from tests.geometry.rig.rigs import small_rig
from tests.geometry.sketch.parts import bar, bar_record, housing, link, node, panel, panel_record

RIG = small_rig()


def test_free_ids_follow_the_largest() -> None:
    assert free_id([], "n") == "n1"
    assert free_id(["n1", "n7", "n07x", "bar-9"], "n") == "n8"
    assert free_id(["n999999999", "n1000000000"], "n") == "n1000000001"


def test_copies_are_counted() -> None:
    assert copy_id({"hoop-1"}, "hoop-1") == "hoop-2"
    assert copy_id({"rail", "rail-2"}, "rail") == "rail-3"
    assert copy_id({"7"}, "7") == "7-2"
    assert copy_name({"Main hoop"}, "Main hoop") == "Main hoop 2"
    assert copy_name({""}, "") == ""


def test_what_names_a_node_follows_its_new_id() -> None:
    rig = renamed(RIG, node(RIG, "a"), "front-left")
    assert bar_record(rig, "cross").nodes == ("front-left", "front-left'")
    assert panel_record(rig, "side").facets == (("front-left", "b", "e", "d"),)
    assert bar_record(rig, "post") is bar_record(RIG, "post")
    assert renamed(rig, node(rig, "front-left"), "a") == RIG


def test_bars_panels_links_and_axles_get_other_ids() -> None:
    assert bar_record(renamed(RIG, bar(RIG, "post"), "pillar"), "pillar").nodes == ("m", "n")
    assert panel_record(renamed(RIG, panel(RIG, "side"), "skin"), "skin").mirrored
    assert renamed(RIG, link(RIG, 1), "lower.right").axles[0].rods[1].id == "lower.right"
    assert renamed(RIG, housing(RIG, 1), "steered").axles[1].id == "steered"


def test_an_id_that_is_taken_or_no_id_is_refused() -> None:
    check_rig(renamed(RIG, bar(RIG, "post"), "post"))
    with pytest.raises(RigError, match="“rail” is taken"):
        renamed(RIG, bar(RIG, "post"), "rail")
    with pytest.raises(RigError, match="“rod0” is taken"):
        renamed(RIG, link(RIG, 1), "rod0")
    with pytest.raises(RigError, match="is not a usable name"):
        renamed(RIG, node(RIG, "a"), "a b")
