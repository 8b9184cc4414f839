"""No point of a cell leaves its form, and a form tends to its quantity with the square of the cell."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
import pytest

from geometry.motion.forms import (
    Floats,
    Form,
    angle,
    arc_sine,
    bearing,
    constant,
    cosine,
    cross,
    dot,
    inverse,
    length,
    root,
    sine,
    unit,
)

CELLS, POINTS, FREEDOMS = 200, 40, 2
MATRIX = np.array([[0.6, -0.3], [0.2, 0.5], [-0.4, 0.1]])
FIXED = np.array([0.3, -0.8, 0.5])


def curved(at: Floats) -> Floats:
    """A vector that bends by at most 0.1 d² along each component."""
    return np.array([1.0, 0.4, -0.2]) + at @ MATRIX.T + 0.1 * np.sin(at.sum(axis=-1))[..., None]


def curved_form(middle: Floats, size: Floats) -> Form:
    bend = 0.1 * np.cos(middle.sum(axis=1))
    slope = np.broadcast_to(MATRIX, (len(middle), 3, FREEDOMS)) + bend[:, None, None]
    rest = np.broadcast_to(0.05 * np.square(size.sum(axis=1))[:, None], (len(middle), 3))
    return Form(curved(middle), slope, rest, size)


def angle_of(one: Floats, other: Floats) -> Floats:
    return np.arctan2(np.linalg.norm(np.cross(one, other), axis=-1), (one * other).sum(axis=-1))


QUANTITIES: dict[str, tuple[Callable[[Form], Form], Callable[[Floats], Floats]]] = {
    "sum and product": (
        lambda v: (v.part(0) - v.part(1) + 2.0) * v.part(2),
        lambda v: (v[..., 0] - v[..., 1] + 2.0) * v[..., 2],
    ),
    "less a form": (lambda v: 3.0 - v.part(0), lambda v: 3.0 - v[..., 0]),
    "scalar product": (lambda v: dot(v, FIXED), lambda v: v @ FIXED),
    "vector product": (lambda v: cross(v, constant(FIXED, v)).part(1), lambda v: np.cross(v, FIXED)[..., 1]),
    "length": (length, lambda v: np.linalg.norm(v, axis=-1)),
    "inverse": (lambda v: inverse(v.part(0)), lambda v: 1.0 / v[..., 0]),
    "unit vector": (lambda v: unit(v).part(2), lambda v: v[..., 2] / np.linalg.norm(v, axis=-1)),
    "small angle": (lambda v: angle(v, constant(FIXED, v)), lambda v: angle_of(v, np.broadcast_to(FIXED, v.shape))),
    "large angle": (lambda v: angle(v, constant(-FIXED, v)), lambda v: angle_of(v, np.broadcast_to(-FIXED, v.shape))),
    "bearing": (lambda v: bearing(v.part(1), v.part(0)), lambda v: np.arctan2(v[..., 1], v[..., 0])),
    "arc sine": (
        lambda v: arc_sine(unit(v).part(1)),
        lambda v: np.arcsin(v[..., 1] / np.linalg.norm(v, axis=-1)),
    ),
    "root": (lambda v: root(v.part(0) + 0.5), lambda v: np.sqrt(v[..., 0] + 0.5)),
    "sine": (lambda v: sine(v.part(1)), lambda v: np.sin(v[..., 1])),
    "cosine": (lambda v: cosine(v.part(2)), lambda v: np.cos(v[..., 2])),
}


@pytest.fixture(autouse=True)
def unbounded_in_silence() -> Iterator[None]:
    with np.errstate(all="ignore"):
        yield


@pytest.mark.parametrize("name", QUANTITIES)
@pytest.mark.parametrize("extent", [0.6, 0.05])
def test_no_point_of_a_cell_leaves_its_form(name: str, extent: float) -> None:
    form, exact = QUANTITIES[name]
    rng = np.random.default_rng(7)
    middle, size = rng.uniform(-0.6, 0.6, (CELLS, FREEDOMS)), rng.uniform(0.0, extent, (CELLS, FREEDOMS))
    made = form(curved_form(middle, size))
    steps = rng.uniform(-1.0, 1.0, (POINTS, CELLS, FREEDOMS)) * size
    truth = exact(curved(middle + steps))
    linear = made.value + (made.slope * steps).sum(axis=-1)
    inside = ~(np.abs(truth - linear) > made.rest + 1e-12)
    assert inside.all()
    assert not np.any(truth > made.high + 1e-12)
    assert not np.any(truth < made.low - 1e-12)


@pytest.mark.parametrize("name", QUANTITIES)
def test_the_rest_falls_with_the_square_of_the_cell(name: str) -> None:
    form, _ = QUANTITIES[name]
    middle = np.array([[0.1, 0.2]])
    assert np.isfinite(form(curved_form(middle, np.full((1, 2), 0.05))).rest).all()
    rests = [float(form(curved_form(middle, np.full((1, 2), size))).rest[0]) for size in (1e-2, 1e-3)]
    assert rests[0] < 5e-3
    assert rests[0] >= 90.0 * rests[1]


def test_an_angle_stays_bounded_where_both_directions_meet_and_where_they_are_opposite() -> None:
    middle, size = np.zeros((1, 2)), np.full((1, 2), 0.01)
    vector = curved_form(middle, size)
    for sign, expected in ((1.0, 0.0), (-1.0, np.pi)):
        made = angle(vector, constant(sign * vector.value[0], vector))
        assert made.value[0] == pytest.approx(expected, abs=1e-12)
        assert made.rest[0] < 0.1


def test_what_passes_through_zero_has_no_bound_for_its_inverse() -> None:
    through = Form(np.zeros(1), np.ones((1, 2)), np.zeros(1), np.ones((1, 2)))
    assert inverse(through).rest[0] == np.inf
    assert root(through).rest[0] == np.inf
