"""Shocks, stops, straps, steering linkage and driveshaft go when they are deleted, and stay where numbers put them."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.files.rig_file import read_rig
from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.naming import drag_link_part, driveshaft_part, tie_rod_part
from geometry.sketch.moves import moved
from geometry.sketch.removal import without
from geometry.stroke.spans import spans_of
from tests.geometry.sketch.parts import housing

RIG = read_rig(Path(__file__).parents[3] / "assets" / "2-long-four-seat.rig.json")
FRONT = RIG.axle("front")


def hung(kind: str) -> PartRef:
    return next(span.part for span in spans_of(FRONT) if span.part.kind == kind and span.part.side == "right")


def test_each_goes_alone_and_takes_its_image_along() -> None:
    for kind, name in (("shock", "shocks"), ("bump stop", "bump_stops"), ("strap", "straps")):
        rig = without(RIG, [hung(kind)])
        assert getattr(rig.axle("front"), name) == ()
        assert rig.axle("rear") == RIG.axle("rear")
        assert rig.bars == RIG.bars
    steering = without(RIG, [tie_rod_part(FRONT), drag_link_part(FRONT)]).axle("front").steering
    assert steering is not None
    assert (steering.tie_rod, steering.drag_link) == (None, None)
    assert without(RIG, [driveshaft_part(FRONT)]).axle("front").driveshaft is None


def test_none_is_moved_by_itself_and_all_go_along_with_the_axle() -> None:
    with pytest.raises(RigError, match="the right front air shock is moved by the places of its ends"):
        moved(RIG, [hung("shock"), tie_rod_part(FRONT)], (10.0, 0.0, 0.0))
    rig = moved(RIG, [hung("shock"), housing(RIG, 1)], (10.0, 0.0, 0.0))
    assert rig.axle("front").station == FRONT.station + 10.0
    assert rig.axle("front").shocks[0].axle[0] == FRONT.shocks[0].axle[0] + 10.0
