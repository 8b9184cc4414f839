from __future__ import annotations

from math import inf

import numpy as np
import pytest
from numpy.polynomial import chebyshev

from geometry.motion.enclosure import chebyshev_coefficients, chebyshev_points, enclose
from geometry.motion.linkage import Linkage, solve
from tests.geometry.motion.linkages import FOUR_RODS, LAYOUTS, TRIANGULATED, Rods, linkage


def coefficients(made: Linkage, degree: int) -> np.ndarray:
    half = made.bump
    left, right = np.meshgrid(*2 * [half * chebyshev_points(degree + 1)], indexing="ij")
    poses = solve(made, left.ravel(), right.ravel())
    entries = [poses.centre, poses.rotation.reshape(-1, 9)]
    if len(made.chassis_points) == 5:
        entries.append(poses.give[:, None])
    return chebyshev_coefficients(np.concatenate(entries, axis=1).reshape(degree + 1, degree + 1, -1))


def largest_errors(made: Linkage, table: np.ndarray) -> tuple[float, float]:
    """Errors of centre and rotation on 400 random travels."""
    u, v = np.random.default_rng(11).uniform(-1.0, 1.0, (2, 400))
    found = chebyshev.chebval2d(u, v, table).T
    exact = solve(made, made.bump * u, made.bump * v)
    centre = np.linalg.norm(found[:, :3] - exact.centre, axis=1)
    rotation = np.linalg.norm(found[:, 3:12] - exact.rotation.reshape(-1, 9), axis=1)
    return float(centre.max()), float(rotation.max())


def test_coefficients_of_a_polynomial_are_found_exactly() -> None:
    known = np.random.default_rng(10).normal(size=(6, 6))
    points = chebyshev_points(6)
    values = chebyshev.chebgrid2d(points, points, known)
    assert chebyshev_coefficients(values) == pytest.approx(known, abs=1e-13)


@pytest.mark.parametrize("rods", LAYOUTS.values(), ids=LAYOUTS.keys())
@pytest.mark.parametrize("degree", [3, 4, 6])
def test_no_error_exceeds_the_bound_and_the_bound_is_not_idle(rods: Rods, degree: int) -> None:
    made = linkage(rods)
    table = coefficients(made, degree)
    bounds = enclose(made, table, 0.0, made.bump)
    position, rotation = largest_errors(made, table)
    assert position <= bounds.position < 20.0 * position
    assert rotation <= bounds.rotation < 20.0 * rotation


@pytest.mark.parametrize("rods", FOUR_RODS.values(), ids=FOUR_RODS.keys())
def test_a_table_that_was_tampered_with_is_found_out(rods: Rods) -> None:
    made = linkage(rods)
    table = coefficients(made, 8)
    sound = enclose(made, table, 0.0, made.bump)
    table[3, 2, 1] += 0.01
    tampered = enclose(made, table, 0.0, made.bump)
    assert sound.position < 1e-4
    assert 0.01 <= tampered.position < 0.2


def test_nothing_is_proved_of_another_linkage() -> None:
    made = linkage(TRIANGULATED)
    other = linkage(LAYOUTS["wishbone"])
    bounds = enclose(other, coefficients(made, 8), 0.0, made.bump)
    assert bounds.position == bounds.rotation == inf or bounds.position > 1.0
