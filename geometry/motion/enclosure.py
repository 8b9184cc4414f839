"""A rigorous bound on the error of an interpolated pose, over the whole travel at once.

The pose is written as y = (c, ℓ R row by row, s): the axle's centre, its rotation matrix times the lever ℓ, and with
five rods the common give; all in mm. In these unknowns *every* equation is quadratic, F(y) = ½ yᵀQy + By + g(t):

* a rod:        (|c + R a − p|² − l²) / 2l − s w = 0
* a stop:       (c + R (0, ±b, 0))·z − height − travel = 0
* a rotation:   ℓ/2 (RᵀR − 1) = 0, six equations

Let y(t) be the interpolant, a polynomial of degree n in each travel t, A(t) a second one through the inverse Jacobians
at its nodes, and J(t) = Q y(t) + B. Then A F and 1 − A J are polynomials of degree at most 3n. Their values on
(3n + 1)² Chebyshev points give their coefficients exactly, and since every Chebyshev polynomial stays within ±1 the
sum of the absolute coefficients bounds each entry over the whole travel: η ≥ |A F|, E ≥ |1 − A J|, K ≥ |A Q|.

A pose y + e closes the equations when e = −A F + (1 − A J) e − ½ A Q e e. If a radius ρ fulfils
η + |E| ρ + ½ |K| ρ² ≤ ρ (largest row sums), Brouwer's theorem puts a solution within ρ at every travel, and
|E| + |K| ρ < 1 makes it the only one there and its Jacobian regular: the linkage does not bind anywhere in the
travel. Putting e ≤ ρ into the right-hand side again, entry by entry, gives the bounds used.

Rounding is not enclosed; it is about 1e-12 mm. Newton–Kantorovich in this form: R. E. Moore, R. B. Kearfott,
M. J. Cloud, Introduction to Interval Analysis, SIAM 2009, chapter 8 (Krawczyk's operator).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from numpy.polynomial import chebyshev

from geometry.motion.linkage import Floats, Linkage

_ROUNDS = 3
"""How often the bound is put into its own right-hand side; a second time changes the third digit already."""


@dataclass(frozen=True)
class Enclosure:
    """Bounds over the whole travel; infinite when no solution could be proved.

    Attributes
    ----------
    position : float
        Largest error of the axle's centre [mm].
    rotation : float
        Largest error of the rotation matrix, Frobenius norm [-].
    give : float
        Largest error of the common give [mm]; zero with four rods.

    """

    position: float
    rotation: float
    give: float


def chebyshev_points(count: int) -> Floats:
    """Roots of the Chebyshev polynomial of degree `count`, shape (count,)."""
    points: Floats = np.cos((np.arange(count) + 0.5) * np.pi / count)
    return points


def chebyshev_coefficients(values: Floats) -> Floats:
    """Coefficients of the interpolant, shape (k, k, ...), of values on a grid of `chebyshev_points` of that shape."""
    count = len(values)
    to_coefficients = chebyshev.chebvander(chebyshev_points(count), count - 1).T * (2.0 / count)
    to_coefficients[0] /= 2.0
    flat = values.reshape(count, count, -1)
    left_done = np.tensordot(to_coefficients, flat, axes=(1, 0))
    both_done: Floats = np.matmul(to_coefficients, left_done).reshape(values.shape)
    return both_done


def enclose(linkage: Linkage, coefficients: Floats, middle: float, half: float) -> Enclosure:
    """Bound the error of an interpolated pose.

    Parameters
    ----------
    linkage : Linkage
    coefficients : array, shape (n + 1, n + 1, 12) or, with five rods, (n + 1, n + 1, 13)
        Of centre [mm], rotation row by row [-] and common give [mm] over left and right travel.
    middle, half : float
        Travel = middle + half · u, u in [-1, 1] [mm].

    """
    lever = linkage.lever
    scaled = coefficients.copy()
    scaled[..., 3:12] *= lever
    quadratic, linear = _system(linkage)
    size = len(linear)
    count = len(scaled)
    nodes = _grid_values(scaled, count)
    at_nodes = np.linalg.inv(linear + np.tensordot(nodes, quadratic, axes=(2, 0)))
    inverse_coefficients = chebyshev_coefficients(at_nodes.astype(np.float64))

    fine = 3 * (count - 1) + 1
    y = _grid_values(scaled, fine)
    slope = linear + np.tensordot(y, quadratic, axes=(2, 0))
    errors = np.einsum("uvij,uvj->uvi", 0.5 * (slope + linear), y) + _constants(linkage, middle, half, fine)
    inverses = _grid_values(inverse_coefficients, fine)
    eta = _bound(np.einsum("uvij,uvj->uvi", inverses, errors))
    defect = _bound(np.eye(size) - inverses @ slope)
    bend = np.abs(np.tensordot(inverse_coefficients, quadratic, axes=(3, 1))).sum(axis=(0, 1))

    within = _radius(eta, defect, bend)
    if within == inf:
        return Enclosure(inf, inf, inf)
    entries = np.full(size, within)
    for _ in range(_ROUNDS):
        entries = eta + defect @ entries + 0.5 * np.einsum("ikj,k,j->i", bend, entries, entries)
    position, rotation = float(np.linalg.norm(entries[:3])), float(np.linalg.norm(entries[3:12]) / lever)
    return Enclosure(position, rotation, float(entries[12:].sum()))


def _radius(eta: Floats, defect: Floats, bend: Floats) -> float:
    """Smallest ρ with η + |E| ρ + ½ |K| ρ² ≤ ρ, infinite when there is none."""
    slack = 1.0 - float(defect.sum(axis=1).max())
    curve = float(bend.sum(axis=(1, 2)).max())
    most = float(eta.max())
    if slack <= 0.0 or slack**2 <= 2.0 * curve * most:
        return inf
    return 2.0 * most / (slack + sqrt(slack**2 - 2.0 * curve * most))


def _system(linkage: Linkage) -> tuple[Floats, Floats]:
    """Q of shape (k, k, k), indexed [unknown, equation, unknown], and B of shape (k, k), of F(y) = ½ yᵀQy + By + g."""
    rods = len(linkage.chassis_points)
    size = rods + 8
    lever = linkage.lever
    quadratic = np.zeros((size, size, size))
    linear = np.zeros((size, size))
    for rod in range(rods):
        place = np.zeros((3, size))
        place[:, :3] = np.eye(3)
        place[:, 3:12] = np.kron(np.eye(3), linkage.arms[rod] / lever)
        quadratic[:, rod, :] = place.T @ place / linkage.lengths[rod]
        linear[rod] = -linkage.anchors[rod] @ place / linkage.lengths[rod]
        if size > 12:
            linear[rod, 12] = -linkage.self_stress[rod]
    for row, side in ((rods, 1.0), (rods + 1, -1.0)):
        linear[row, 2] = 1.0
        linear[row, 3 + 3 * 2 + 1] = side * linkage.stop_station / lever
    for row, (one, other) in enumerate(zip(*np.triu_indices(3), strict=True), rods + 2):
        for axis in range(3):
            first, second = 3 + 3 * axis + one, 3 + 3 * axis + other
            quadratic[first, row, second] = quadratic[second, row, first] = 1.0 / lever
    return quadratic, linear


def _constants(linkage: Linkage, middle: float, half: float, count: int) -> Floats:
    """The g of F on the fine grid, shape (count, count, k)."""
    rods = len(linkage.chassis_points)
    travel = middle + half * chebyshev_points(count)
    constants = np.zeros((count, count, rods + 8))
    constants[..., :rods] = ((linkage.anchors**2).sum(axis=1) - linkage.lengths**2) / (2.0 * linkage.lengths)
    constants[..., rods] = -linkage.centre[2] - travel[:, None]
    constants[..., rods + 1] = -linkage.centre[2] - travel[None, :]
    # ℓ/2 on the diagonal; the off-diagonal ones of RᵀR are zero
    constants[..., [rods + 2, rods + 5, rods + 7]] = -0.5 * linkage.lever
    return constants


def _grid_values(coefficients: Floats, count: int) -> Floats:
    """Values on the grid of `count`² Chebyshev points."""
    degree = len(coefficients) - 1
    basis = chebyshev.chebvander(chebyshev_points(count), degree)
    flat = coefficients.reshape(degree + 1, degree + 1, -1)
    values: Floats = np.matmul(basis, np.tensordot(basis, flat, axes=(1, 0)))
    return values.reshape(count, count, *coefficients.shape[2:])


def _bound(values: Floats) -> Floats:
    bounds: Floats = np.abs(chebyshev_coefficients(values)).sum(axis=(0, 1))
    return bounds
