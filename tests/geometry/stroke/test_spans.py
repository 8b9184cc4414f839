from __future__ import annotations

from math import inf

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.motion.extremes import Cells
from geometry.motion.linkage import linkage_of, solve
from geometry.motion.pose_map import pose_map
from geometry.stroke.spans import limits_of, spans_of
from tests.geometry.stroke.stroked import SHOCK, STOP, STRAP, stroked

ALL = stroked(shocks=(SHOCK,), bump_stops=(STOP,), straps=(STRAP,))


def test_a_mirrored_part_is_there_on_both_sides_and_one_in_the_middle_has_no_side() -> None:
    assert [(span.part.kind, span.part.side, span.part.label) for span in spans_of(ALL)] == [
        ("shock", "left", "rear shock a"),
        ("bump stop", "left", "left rear bump stop b"),
        ("bump stop", "right", "right rear bump stop b"),
        ("strap", "", "rear strap c"),
    ]
    left, right = spans_of(ALL)[1:3]
    assert right.chassis == (left.chassis[0], -left.chassis[1], left.chassis[2])
    assert right.axle == (left.axle[0], -left.axle[1], left.axle[2])


def test_each_kind_has_the_limits_that_it_can_have() -> None:
    found = [(limit.span.part.kind, limit.end, limit.value) for limit in limits_of(spans_of(ALL)[:2])]
    assert found == [("shock", "short", 400.0), ("shock", "long", 610.0), ("bump stop", "short", 60.0)]
    (strap,) = limits_of(spans_of(ALL)[3:])
    assert (strap.end, strap.value) == ("long", 430.0)
    assert spans_of(ALL)[1].longest == inf


def test_lengths_at_ride_height_are_those_drawn() -> None:
    linkage = linkage_of(ALL)
    assert [span.at_ride_height(linkage) for span in spans_of(ALL)] == pytest.approx([500.0, 150.0, 150.0, 350.0])


def test_forms_hold_the_lengths_of_exact_poses() -> None:
    linkage = linkage_of(ALL)
    table = pose_map(linkage)
    cell = Cells(np.array([[40.0, -30.0, 0.0]]), np.array([[25.0, 15.0, 0.0]]))
    left, right = np.random.default_rng(0).uniform((15, -45), (65, -15), (500, 2)).T
    poses = solve(linkage, left, right)
    for span in spans_of(replace(ALL, shocks=(replace(SHOCK, chassis=(120.0, 250.0, 900.0)),))):
        form, exact = span.form(table, cell), span.at(poses)
        assert form.low[0] <= exact.min()
        assert exact.max() <= form.high[0]
        assert form.high[0] - form.low[0] < exact.max() - exact.min() + 4.0


def test_a_bump_stop_is_measured_along_its_axis() -> None:
    linkage = linkage_of(ALL)
    poses = solve(linkage, np.array([30.0]), np.array([30.0]))
    assert spans_of(ALL)[1].at(poses)[0] == pytest.approx(120.0)
    assert spans_of(ALL)[0].at(poses)[0] > 470.0
