from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.stroke.ways import STEP, ways
from tests.geometry.stroke.stroked import SHOCK, STOP, STRAP, stroked


def test_what_is_met_comes_in_its_order() -> None:
    bump, droop, *_ = ways(stroked(shocks=(SHOCK,), bump_stops=(STOP,), straps=(STRAP,)))
    assert [(each.limit.span.part.kind, each.touch) for each in bump.met] == [
        ("bump stop", True),
        ("bump stop", True),
        ("bump stop", False),
        ("bump stop", False),
        ("shock", False),
    ]
    assert [each.limit.span.part.kind for each in droop.met] == ["strap", "shock"]
    touched, solid = bump.met[0], bump.met[2]
    assert touched.low <= 50.0 <= touched.high <= touched.low + 2 * STEP
    assert solid.low <= 90.0 <= solid.high
    assert bump.end == solid
    assert 90.0 - STEP <= bump.given <= 90.0


def test_a_way_that_nothing_ends_goes_as_far_as_bump_and_droop() -> None:
    bump, droop, left, right = ways(stroked(straps=(replace(STRAP, length=700.0),)))
    assert (bump.end, bump.given, droop.given) == (None, 140.0, 120.0)
    assert (left.by_left, left.by_right) == (1.0, pytest.approx(-120.0 / 140.0))
    assert (right.by_left, right.by_right) == (left.by_right, left.by_left)


def test_crossed_up_each_side_has_its_own_end() -> None:
    one_side = replace(STOP, mirrored=False)
    *_, left, right = ways(stroked(bump_stops=(one_side,)))
    assert left.given == pytest.approx(90.0, abs=1.0)
    assert right.given == 140.0


def test_there_is_no_way_without_travel() -> None:
    assert [way.name for way in ways(stroked(bump=0.0, straps=(STRAP,)))] == ["droop"]
