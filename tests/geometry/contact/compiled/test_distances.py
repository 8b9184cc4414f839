"""The scalar distance is that of `geometry.contact.distance`, apart, overlapping and degenerate."""

from __future__ import annotations

import numpy as np
import pytest

from geometry.contact.distance import separation, support_gap
from geometry.rig.layout import Floats
from tests.geometry.contact.test_distance import DEPTH, EXACT, Pairs, random_pairs

pytestmark = pytest.mark.usefixtures("kernels")

COUNT = 4000


def scalar(pairs: Pairs) -> Floats:
    from geometry.contact.compiled.distances import separations

    out = np.empty((len(pairs[0]), 7))
    separations(*(np.ascontiguousarray(part) for part in pairs), out)
    return out


def check(pairs: Pairs) -> None:
    """Same gap; normal unit, and its planes are as far apart; edge the same line."""
    found, plain = scalar(pairs), separation(*pairs)
    allowed = np.where(plain.gap > 0.0, EXACT, DEPTH)
    assert np.all(np.abs(found[:, 0] - plain.gap) <= allowed)
    normal = found[:, 1:4]
    there = np.linalg.norm(normal, axis=1) > 0.5
    np.testing.assert_allclose(np.linalg.norm(normal[there], axis=1), 1.0, atol=1e-9)
    assert np.all(np.abs(support_gap(normal, *pairs) - found[:, 0])[there] <= DEPTH)
    lengths = np.linalg.norm(found[:, 4:], axis=1)
    np.testing.assert_allclose(lengths, np.linalg.norm(plain.edge, axis=1), atol=1e-9)


@pytest.mark.parametrize("corners", [2, 3, 4, 6])
@pytest.mark.parametrize("reach", [30.0, 250.0, 900.0])
def test_random_pairs_are_as_far_apart(corners: int, reach: float) -> None:
    check(random_pairs(COUNT, corners, reach, seed=corners))


def test_among_them_are_overlaps_and_gaps_alike() -> None:
    gap = separation(*random_pairs(COUNT, 2, 250.0, seed=2)).gap
    assert min(np.mean(gap < 0.0), np.mean(gap > 0.0)) > 0.05


@pytest.mark.parametrize("corners", [2, 4])
def test_pairs_square_to_each_other_are_as_far_apart(corners: int) -> None:
    random = np.random.default_rng(7)
    axis, half, radius, vertices = random_pairs(COUNT, corners, 300.0, seed=7)
    axis = np.eye(3)[np.arange(COUNT) % 3]
    middle = np.round(vertices.mean(axis=1, keepdims=True) / 100.0) * 100.0
    along, aside = np.eye(3)[random.permuted(np.tile(np.arange(3), (COUNT, 1)), axis=1)[:, :2]].swapaxes(0, 1)
    shape = np.array([[-1, 0], [1, 0]] if corners == 2 else [[-1, -1], [1, -1], [1, 1], [-1, 1]])
    half, radius = np.round(half, -2), np.round(radius, -2)
    vertices = middle + 100.0 * np.einsum("vk,nkc->nvc", shape, np.stack([along, aside], axis=1))
    vertices[::11] = vertices[::11, :1]
    gap = np.abs(scalar((axis, half, radius, vertices))[:, 0] - separation(axis, half, radius, vertices).gap)
    assert gap.max() <= DEPTH


@pytest.mark.parametrize("distance", [1e-9, 1e-6, 1e-3, 0.1])
def test_pairs_that_all_but_touch_are_as_far_apart(distance: float) -> None:
    axis, half, radius, vertices = random_pairs(COUNT, 2, 900.0, seed=5)
    apart = separation(axis, half, radius, vertices)
    vertices = vertices + ((distance - apart.gap)[:, None] * apart.normal)[:, None]
    gap = np.abs(scalar((axis, half, radius, vertices))[:, 0] - separation(axis, half, radius, vertices).gap)
    assert gap.max() <= EXACT


def test_a_repeated_corner_changes_nothing() -> None:
    axis, half, radius, vertices = random_pairs(COUNT, 4, 250.0, seed=9)
    padded = np.concatenate([vertices, vertices[:, -1:]], axis=1)
    one, other = scalar((axis, half, radius, vertices)), scalar((axis, half, radius, padded))
    np.testing.assert_allclose(one[:, 0], other[:, 0], atol=EXACT)
