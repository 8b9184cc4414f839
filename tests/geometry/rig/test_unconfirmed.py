from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.naming import joint_part, link_part, node_part
from geometry.rig.rig import Rig
from geometry.rig.unconfirmed import carried, check_places, confirmed, unconfirmed_of
from geometry.sketch.names import renamed
from tests.geometry.rig.rigs import small_rig

ROD = small_rig().axles[0].rods[0].id
PLACES = (
    "nodes/a/at",
    "bars/rail/od",
    "axles/rear/bump",
    f"axles/rear/rods/{ROD}/chassis",
    f"axles/rear/rods/{ROD}/od",
    "axles/rear/tire/shoulder_radius",
    "wanted/tire_bar",
)


@pytest.fixture
def rig() -> Rig:
    return small_rig(unconfirmed=PLACES)


def test_marks_of_values_that_stay_hold(rig: Rig) -> None:
    assert carried(rig, rig) is rig
    assert carried(rig, replace(rig, name="other")).unconfirmed == PLACES


def test_a_value_that_changes_loses_its_mark_and_no_other(rig: Rig) -> None:
    rear = replace(rig.axles[0], bump=rig.axles[0].bump + 1.0)
    assert carried(rig, replace(rig, axles=(rear, *rig.axles[1:]))).unconfirmed == PLACES[:2] + PLACES[3:]
    wanted = replace(rig.wanted, tire_bar=1.0)
    assert carried(rig, replace(rig, wanted=wanted)).unconfirmed == PLACES[:-1]


def test_what_is_gone_loses_its_marks(rig: Rig) -> None:
    bars = tuple(bar for bar in rig.bars if bar.id != "rail")
    assert carried(rig, replace(rig, bars=bars)).unconfirmed == (PLACES[0], *PLACES[2:])


def test_marks_on_new_values_stay_and_go_with_the_next_change(rig: Rig) -> None:
    marked = replace(rig, unconfirmed=(*PLACES, "axles/rear/droop", "axles/rear/nothing"))
    assert carried(rig, marked).unconfirmed == (*PLACES, "axles/rear/droop")


def test_confirming_takes_the_marks_given_and_leaves_the_values(rig: Rig) -> None:
    after = confirmed(rig, PLACES[:2])
    assert after.unconfirmed == PLACES[2:]
    assert replace(after, unconfirmed=PLACES) == rig


def test_the_marks_of_a_part_include_those_of_what_it_hangs_on(rig: Rig) -> None:
    rear = rig.axles[0]
    rail = next(bar for bar in rig.bars if bar.id == "rail")
    on_nodes = tuple(f"nodes/{ref}/at" for ref in rail.nodes if f"nodes/{ref}/at" in PLACES)
    assert set(unconfirmed_of(rig, [PartRef("bar", "rail", "left", "rail")])) == {*on_nodes, "bars/rail/od"}
    assert unconfirmed_of(rig, [node_part(rig.nodes[0])]) == PLACES[:1]
    assert unconfirmed_of(rig, [link_part(rear, rear.rods[0])]) == PLACES[3:5]
    assert unconfirmed_of(rig, [joint_part(rear, rear.rods[0], "chassis")]) == PLACES[3:4]
    assert unconfirmed_of(rig, [PartRef("tire", "rear", "left", "left rear tire")]) == PLACES[2:6]
    assert unconfirmed_of(rig, []) == ()


def test_marks_follow_a_part_that_gets_another_id(rig: Rig) -> None:
    rear = rig.axles[0]
    for part, old, new in (
        (node_part(rig.nodes[0]), "nodes/a/at", "nodes/other/at"),
        (PartRef("bar", "rail", "left", "rail"), "bars/rail/od", "bars/other/od"),
        (link_part(rear, rear.rods[0]), f"axles/rear/rods/{ROD}/od", "axles/rear/rods/other/od"),
        (joint_part(rear, rear.rods[0], "axle"), f"axles/rear/rods/{ROD}/od", "axles/rear/rods/other/od"),
        (PartRef("housing", "rear", "", "rear axle tube"), "axles/rear/bump", "axles/other/bump"),
    ):
        after = carried(rig, renamed(rig, part, "other"))
        assert new in after.unconfirmed
        assert old not in after.unconfirmed
        assert len(after.unconfirmed) == len(PLACES)


@pytest.mark.parametrize("place", ["axles/rear/bmp", "nodes/zz/at", "bars/rail/od/x", "wanted/", ""])
def test_a_mark_that_names_no_value_is_refused_with_its_place(place: str) -> None:
    marked = small_rig(unconfirmed=("axles/rear/bump", place))
    with pytest.raises(RigError, match=r"unconfirmed\[1\]: there is no value"):
        check_places(marked)


def test_a_mark_that_is_there_twice_is_refused() -> None:
    with pytest.raises(RigError, match=r"unconfirmed\[1\].*twice"):
        check_places(small_rig(unconfirmed=("axles/rear/bump", "axles/rear/bump")))
