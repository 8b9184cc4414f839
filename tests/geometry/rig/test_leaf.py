"""Leaf springs as the builder tells them: what follows from the places, and what cannot be."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from msgspec import UNSET
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.check import check_rig
from geometry.rig.leaf import LeafSprings, leaf_arms, seat_angle
from geometry.rig.structure import plain_from_rig, rig_from_plain
from tests.geometry.motion.leaves import SPRINGS, leaf_axle
from tests.geometry.rig.rigs import small_rig


def refusal(**changes: Any) -> RigError:
    rig = small_rig()
    with pytest.raises(RigError) as refused:
        check_rig(replace(rig, axles=(leaf_axle(**changes), *rig.axles[1:])))
    return refused.value


def test_a_sound_axle_on_leaf_springs_passes_and_survives_the_way_to_plain_values() -> None:
    rig = small_rig()
    leaf = replace(rig, axles=(leaf_axle(), *rig.axles[1:]))
    check_rig(leaf)
    assert rig_from_plain(plain_from_rig(leaf)) == leaf


def test_rods_and_leaf_springs_do_not_hold_one_axle_together() -> None:
    rig = small_rig()
    both = replace(leaf_axle(), rods=rig.axles[0].rods)
    with pytest.raises(RigError, match="4 rods would hold it a second time; remove the rods or the leaf_springs"):
        check_rig(replace(rig, axles=(both, *rig.axles[1:])))


@pytest.mark.parametrize(
    ("changes", "place", "words", "nearest"),
    [
        (
            {"fixed_eye": (160.0, 430.0, 540.0)},
            "fixed_eye",
            "leaves an arm of 111 mm beside the clamp",
            r"x = (\S+) mm",
        ),
        ({"seat": (0.0, 430.0, 470.0)}, "seat", "the pack lies inside the axle tube", r"third number to (\S+) mm"),
        ({"seat": (0.0, 430.0, 440.0)}, "seat", "the pack lies inside the axle tube", r"third number to (\S+) mm"),
        ({"seat": (0.0, 20.0, 525.0)}, "seat", "the left spring needs half its width", r"at least (\S+) mm"),
        ({"shackle_eye": (-640.0, -430.0, 545.0)}, "shackle_eye", "430.0 mm to the left", r"at least (\S+) mm"),
        ({"seat": (700.0, 430.0, 525.0)}, "seat", "must lie between the eyes, at -640.0 mm and 620.0 mm", ""),
        ({"fixed_eye": (620.0, 430.0, 1000.0), "seat_deg": 0.0}, "fixed_eye", "no leaf bends so far; 34 degrees", ""),
        ({"shackle_pivot": (-640.0, 430.0, 570.0)}, "shackle_pivot", "leaves a shackle of 25.0 mm", ""),
        (
            {"shackle_pivot": (-740.0, 430.0, 552.0)},
            "shackle_pivot",
            "would snap through",
            r"x = (\S+) mm, z = (\S+) mm",
        ),
        (
            {"shackle_pivot": (-540.0, 430.0, 530.0)},
            "shackle_pivot",
            "would snap through",
            r"x = (\S+) mm, z = (\S+) mm",
        ),
        ({"thickness": 2.0}, "thickness", "thickness of 2 mm is no pack of leaves, the least is 5 mm", ""),
        ({"width": 2.5}, "width", "width of 2.5 mm is no leaf", ""),
    ],
)
def test_what_no_spring_can_be_is_refused_with_the_nearest_value_that_works(
    changes: dict[str, Any], place: str, words: str, nearest: str
) -> None:
    refused = refusal(**changes)
    assert refused.place == f"axles[0].leaf_springs.{place}"
    assert words in refused.problem
    assert "\n" not in refused.problem
    if nearest:
        found = re.search(nearest, refused.problem)
        assert found is not None
        old = list(changes.get(place, UNSET))
        values = [float(each) for each in found.groups()]
        at = {r"x = (\S+) mm": (0,), r"third number to (\S+) mm": (2,), r"at least (\S+) mm": (1,)}.get(nearest, (0, 2))
        for index, value in zip(at, values, strict=True):
            old[index] = value
        assert words not in fault({place: tuple(old)})  # the next fault, if any, is another one


def fault(changes: dict[str, Any]) -> str:
    """What is refused; empty = nothing."""
    rig = small_rig()
    try:
        check_rig(replace(rig, axles=(leaf_axle(**changes), *rig.axles[1:])))
    except RigError as refused:
        return refused.problem
    return ""


def test_the_seat_lies_along_the_eyes_unless_its_angle_is_told() -> None:
    springs = LeafSprings(**SPRINGS)
    assert np.tan(seat_angle(springs)) == pytest.approx((520.0 - 545.0) / 1260.0)
    assert np.degrees(seat_angle(replace(springs, seat_deg=3.0))) == pytest.approx(3.0)
    turned = replace(springs, fixed_eye=springs.shackle_eye, shackle_eye=springs.fixed_eye)
    assert seat_angle(turned) == pytest.approx(seat_angle(springs))


@pytest.mark.parametrize("factor", [0.75, 0.83, 1.0])
def test_both_rods_have_the_share_of_their_arms_that_the_factor_says(factor: float) -> None:
    springs = LeafSprings(**SPRINGS, leaf_factor=factor)
    for arm, eye in zip(leaf_arms(springs), (springs.fixed_eye, springs.shackle_eye), strict=True):
        assert np.hypot(eye[0] - arm.pivot[0], eye[2] - arm.pivot[1]) == pytest.approx(factor * arm.free)
        from_seat = np.hypot(arm.pivot[0] - springs.seat[0], arm.pivot[1] - springs.seat[2])
        assert from_seat == pytest.approx(springs.clamp / 2.0 + (1.0 - factor) * arm.free)
