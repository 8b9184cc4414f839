from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from geometry.plan.amount import Amount
from geometry.rig.rig import Rig
from geometry.stance.rail_pocket import rail_pocket
from tests.geometry.rig.rigs import plain_rig, small_rig

FACE = 1600.0 / 2 + 38.0 - 317.5 / 2


def with_rail(at: list[list[float]], *, mirrored: bool = True) -> Rig:
    plain = plain_rig()
    nodes = [{"id": f"r{index}", "at": place} for index, place in enumerate(at)]
    bar: dict[str, Any] = {
        "id": "rub", "nodes": [node["id"] for node in nodes], "od": 50.0, "wall": 3.0, "mirrored": mirrored
    }  # fmt: skip
    return small_rig(nodes=plain["nodes"] + nodes, bars=[*plain["bars"], bar])


def test_the_pocket_is_from_the_outside_of_the_outermost_tube_to_the_inner_face() -> None:
    rig = with_rail([[700.0, 640.0, 500.0], [1900.0, 640.0, 500.0]])
    found = rail_pocket(rig, rig.axles[0])
    assert found.tire_face == pytest.approx(FACE)
    assert found.gap.value == pytest.approx(FACE - 665.0)
    assert found.left.rail.part.id == "rub"
    assert found.left.rail.at == (700.0, 640.0, 500.0)


def test_a_tube_outside_of_the_inner_face_leaves_no_pocket() -> None:
    rig = with_rail([[700.0, 690.0, 500.0], [1900.0, 690.0, 500.0]])
    assert rail_pocket(rig, rig.axles[0]).gap.value == pytest.approx(FACE - 715.0)
    assert rail_pocket(rig, rig.axles[0]).gap.value < 0.0


def test_what_is_above_the_tire_or_beyond_the_axles_is_no_rail() -> None:
    rig = small_rig()
    bare = rail_pocket(rig, rig.axles[0])
    for outside in ([[700.0, 900.0, 930.0], [1900.0, 900.0, 930.0]], [[-900.0, 900.0, 500.0], [-50.0, 900.0, 500.0]]):
        other = with_rail(outside)
        assert rail_pocket(other, other.axles[0]) == bare


def test_a_tube_counts_as_far_as_it_lies_beside_the_tires() -> None:
    rig = with_rail([[1000.0, 600.0, 820.0], [1000.0, 800.0, 1020.0]])
    top = 450.0 + 37.0 * 25.4 / 2.0
    assert rail_pocket(rig, rig.axles[0]).left.rail.reach.value == pytest.approx(600.0 + top - 820.0 + 25.0)


def test_the_side_with_the_larger_pocket_governs() -> None:
    rig = with_rail([[700.0, 640.0, 500.0], [1900.0, 640.0, 500.0]], mirrored=False)
    found = rail_pocket(rig, rig.axles[0])
    assert found.governing is found.right
    assert found.gap == found.right.gap
    assert found.right.gap.value > found.left.gap.value


def test_a_wider_axle_makes_it_wider_by_half_as_much() -> None:
    rig = small_rig()
    axle = rig.axles[0]
    wider = rail_pocket(rig, replace(axle, width=axle.width + 30.0))
    assert wider.gap.value == pytest.approx(rail_pocket(rig, axle).gap.value + 15.0)


def test_without_a_tube_it_is_unknown() -> None:
    rig = small_rig(nodes=[], bars=[], panels=[])
    found = rail_pocket(rig, rig.axles[0])
    assert found.gap == Amount(None, ("bars",))
    assert found.governing.rail.part is None
