"""Extremes over the travel are those of the exact poses, to the tolerance asked for."""

from __future__ import annotations

from dataclasses import replace
from math import inf, radians

import numpy as np
import pytest

from geometry.motion.extremes import CarriedForms, Cells, Quantity, extremes, greatest, whole_travel
from geometry.motion.forms import Form, angle, constant, length
from geometry.motion.linkage import AxlePoses, Linkage, solve
from geometry.motion.pose_map import pose_map
from geometry.motion.travel import TravelBox
from tests.geometry.motion.linkages import LAYOUTS, linkage, random_travels

TIP, AXIS = np.array([280.0, 40.0, 30.0]), np.array([0.99, 0.0, 0.12])
OUTPUT = np.array([1100.0, -60.0, 620.0])
LENGTHS, ANGLES = 0.05, radians(0.01)
FOUND = 1e-6
"""Double precision, and Newton's, in what is compared with the bounds [mm], [rad]."""


def shaft(made: Linkage, cells: Cells) -> tuple[Form, Form]:
    carried = CarriedForms(pose_map(made), cells)
    tip = carried.point(TIP)
    return constant(OUTPUT, tip) - tip, carried.direction(AXIS)


def measures(made: Linkage) -> tuple[tuple[Quantity, float], ...]:
    return (
        (lambda cells: length(shaft(made, cells)[0]), LENGTHS),
        (lambda cells: angle(*shaft(made, cells)), ANGLES),
    )


def exact(poses: AxlePoses) -> tuple[np.ndarray, np.ndarray]:
    shafts = OUTPUT - poses.centre - poses.rotation @ TIP
    axes = poses.rotation @ AXIS
    across = np.linalg.norm(np.cross(shafts, axes), axis=1)
    return np.linalg.norm(shafts, axis=1), np.arctan2(across, (shafts * axes).sum(axis=1))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_extremes_bound_every_pose_and_are_met_in_theirs(layout: str) -> None:
    made = linkage(LAYOUTS[layout])
    values = exact(solve(made, *random_travels(made, 3, 2000)))
    for at, (quantity, tolerance) in enumerate(measures(made)):
        found = extremes(quantity, whole_travel(made), tolerance)
        assert values[at].min() >= found.least.low - FOUND
        assert values[at].max() <= found.most.high + FOUND
        for each in (found.least, found.most):
            assert each.settled
            assert 0.0 <= each.high - each.low <= tolerance
            met = exact(solve(made, each.pose.left, each.pose.right))[at][0]
            assert each.low - tolerance - FOUND <= met <= each.high + tolerance + FOUND


def test_boxes_that_share_out_the_travel_have_the_extremes_of_the_whole() -> None:
    made = linkage(LAYOUTS["triangulated"])
    quantity, tolerance = measures(made)[0]
    parts = [TravelBox(left, right) for left in ((-150, 0), (0, 150)) for right in ((-150, -20), (-20, 150))]
    whole, shared = (extremes(quantity, boxes, tolerance) for boxes in (whole_travel(made), parts))
    for one, other in ((whole.least, shared.least), (whole.most, shared.most)):
        assert max(one.low, other.low) <= min(one.high, other.high)


def test_less_travel_never_has_wider_extremes() -> None:
    made = linkage(LAYOUTS["wishbone"])
    for quantity, tolerance in measures(made):
        whole = extremes(quantity, whole_travel(made), tolerance)
        less = extremes(
            quantity, (TravelBox((-60.0, 100.0), (-100.0, 20.0)), TravelBox((0.0, 0.0), (5.0, 5.0))), tolerance
        )
        assert less.least.high >= whole.least.low
        assert less.most.low <= whole.most.high


def test_a_single_pose_is_its_own_extreme() -> None:
    made = linkage(LAYOUTS["triangulated"])
    found = extremes(measures(made)[0][0], (TravelBox((30.0, 30.0), (-40.0, -40.0)),), LENGTHS)
    assert found.most.high - found.least.low < 1e-3
    assert (found.most.pose.left, found.most.pose.right) == (30.0, -40.0)


def test_steer_is_a_freedom_like_the_others() -> None:
    def bent(cells: Cells) -> Form:
        """(steer − 0.3)² + left, whose second derivative is 2."""
        off = cells.middle[:, 2] - 0.3
        slope = np.stack([np.ones_like(off), np.zeros_like(off), 2.0 * off], axis=1)
        return Form(off**2 + cells.middle[:, 0], slope, cells.size[:, 2] ** 2, cells.size)

    found = extremes(bent, (TravelBox((1.0, 2.0), (0.0, 0.0), (-1.0, 1.0)),), 1e-4)
    assert found.least.low <= 1.0 <= found.least.high
    assert found.least.pose.steer == pytest.approx(0.3, abs=0.02)
    assert found.most.low <= 2.0 + 1.3**2 <= found.most.high


def test_a_floor_ends_the_search_along_a_valley() -> None:
    made = linkage(LAYOUTS["triangulated"])
    table, looked_at = pose_map(made), 0

    def roll(cells: Cells) -> Form:
        """Between the axle line and the level: zero all along straight travel."""
        nonlocal looked_at
        looked_at += len(cells.middle)
        across = CarriedForms(table, cells).direction((0.0, 1.0, 0.0))
        return angle(across, across * np.array([1.0, 1.0, 0.0]))

    found = extremes(roll, whole_travel(made), ANGLES, floor=0.0)
    assert 0.0 <= found.least.low <= found.least.high <= ANGLES
    assert found.most.low == pytest.approx(np.arcsin(0.3), abs=ANGLES)
    assert looked_at < 5_000


def test_what_no_map_proves_is_not_settled() -> None:
    made = linkage(LAYOUTS["triangulated"])
    unproved = replace(pose_map(made), position_error=inf)
    found = greatest(lambda cells: CarriedForms(unproved, cells).point(TIP).part(2), whole_travel(made), LENGTHS)
    assert not found.settled
    assert found.high == inf
    assert found.low == -inf


def test_no_boxes_have_no_extremes() -> None:
    with pytest.raises(ValueError, match="one travel box at least"):
        extremes(measures(linkage(LAYOUTS["wishbone"]))[0][0], (), LENGTHS)
