"""A rigorous bound on the error of an interpolated pose, over the whole travel at once.

The pose is written as y = (c, ℓ R row by row, s): the axle's centre, its rotation matrix times the lever ℓ, and with
five rods the common give, on leaf springs their shackles' eyes; all in mm. In these unknowns *every* equation is
quadratic, F(y) = ½ yᵀQy + By + g(t):

* a rod:        (|c + R a − p|² − l²) / 2l − s w = 0
* a stop:       (c + R (0, ±b, 0))·z − height − travel = 0
* a rotation:   ℓ/2 (RᵀR − 1) = 0, six equations
* leaf springs: ℓ ((R eₓ)·z − law(t)) = 0, (c + R o)·y = 0, lengths of both shackle arms and both shackles as of a rod

Let y(t) be the interpolant, a polynomial of degree n in each travel t, A(t) a second one through the inverse Jacobians
at its nodes, and J(t) = Q y(t) + B. Then A F and 1 − A J are polynomials of degree at most 3n, or n and the law's, what
the law itself is off being charged to η. Their values on
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
from typing import Final

import numpy as np
from numpy.polynomial import chebyshev

from geometry.motion.leaf import Leaves
from geometry.motion.linkage import Floats, Linkage

_ACROSS: Final[Floats] = np.array([0.0, 1.0, 0.0])

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
        Largest error of the common give [mm]; zero without five rods.
    eye : float
        Largest error of a shackle's eye [mm]; zero on rods.

    """

    position: float
    rotation: float
    give: float
    eye: float


UNPROVED: Final = Enclosure(inf, inf, inf, inf)


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
    coefficients : array, shape (n + 1, n + 1, 12), with five rods 13 entries, on leaf springs 16
        Of centre [mm], rotation row by row [-], and common give or shackles' eyes [mm] over left and right travel.
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

    law = linkage.law if linkage.leaves is not None else None
    if law is not None and law.error == inf:
        return UNPROVED
    fine = 3 * (count - 1) + 1 if law is None else count + max(2 * count - 2, len(law.coefficients) - 1)
    y = _grid_values(scaled, fine)
    slope = linear + np.tensordot(y, quadratic, axes=(2, 0))
    errors = np.einsum("uvij,uvj->uvi", 0.5 * (slope + linear), y) + _constants(linkage, middle, half, fine)
    inverses = _grid_values(inverse_coefficients, fine)
    eta = _bound(np.einsum("uvij,uvj->uvi", inverses, errors))
    if law is not None:
        eta = eta + np.abs(inverse_coefficients[..., 10]).sum(axis=(0, 1)) * lever * law.error
    defect = _bound(np.eye(size) - inverses @ slope)
    bend = np.abs(np.tensordot(inverse_coefficients, quadratic, axes=(3, 1))).sum(axis=(0, 1))

    within = _radius(eta, defect, bend)
    if within == inf:
        return UNPROVED
    entries = np.full(size, within)
    for _ in range(_ROUNDS):
        entries = eta + defect @ entries + 0.5 * np.einsum("ikj,k,j->i", bend, entries, entries)
    position, rotation = float(np.linalg.norm(entries[:3])), float(np.linalg.norm(entries[3:12]) / lever)
    more = float(entries[12:].sum())
    return Enclosure(position, rotation, *((more, 0.0) if linkage.leaves is None else (0.0, more)))


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
    size = rods + 8 if linkage.leaves is None else 16
    lever = linkage.lever
    quadratic = np.zeros((size, size, size))
    linear = np.zeros((size, size))
    for rod in range(rods):
        place = np.zeros((3, size))
        place[:, :3] = np.eye(3)
        place[:, 3:12] = np.kron(np.eye(3), linkage.arms[rod] / lever)
        quadratic[:, rod, :] = place.T @ place / linkage.lengths[rod]
        linear[rod] = -linkage.anchors[rod] @ place / linkage.lengths[rod]
        if linkage.gives:
            linear[rod, 12] = -linkage.self_stress[rod]
    for row, side in ((rods, 1.0), (rods + 1, -1.0)):
        linear[row, 2] = 1.0
        linear[row, 3 + 3 * 2 + 1] = side * linkage.stop_station / lever
    for row, (one, other) in enumerate(zip(*np.triu_indices(3), strict=True), rods + 2):
        for axis in range(3):
            first, second = 3 + 3 * axis + one, 3 + 3 * axis + other
            quadratic[first, row, second] = quadratic[second, row, first] = 1.0 / lever
    if linkage.leaves is not None:
        _add_leaves(linkage, linkage.leaves, quadratic, linear)
    return quadratic, linear


def _add_leaves(linkage: Linkage, leaves: Leaves, quadratic: Floats, linear: Floats) -> None:
    """The last six equations of leaf springs: pitch, side, shackle arms, shackles."""
    lever, lengths = linkage.lever, linkage.shackle_lengths
    linear[10, 3 + 3 * 2] = 1.0
    linear[11, 1] = 1.0
    linear[11, 6:9] = np.array([leaves.seat[0], 0.0, leaves.seat[2]]) / lever
    for side in range(2):
        place = np.zeros((3, len(linear)))
        place[[0, 2], [12 + 2 * side, 13 + 2 * side]] = 1.0
        quadratic[:, 14 + side, :] = place.T @ place / lengths[2 + side]
        linear[14 + side] = -leaves.pivots[side] @ place / lengths[2 + side]
        place[:, :3] = -np.eye(3)
        place[:, 3:12] = -np.kron(np.eye(3), leaves.arms[side] / lever)
        quadratic[:, 12 + side, :] = place.T @ place / lengths[side]
        linear[12 + side] = leaves.eyes[side] * _ACROSS @ place / lengths[side]


def _add_leaf_constants(linkage: Linkage, leaves: Leaves, travel: Floats, constants: Floats) -> None:
    left, right = (each.ravel() for each in np.meshgrid(travel, travel, indexing="ij"))
    pitch = linkage.pitch(left, right)[0].reshape(len(travel), -1)
    arms, shackles = linkage.shackle_lengths.reshape(2, 2)
    aside = leaves.eyes * _ACROSS
    constants[..., 10] = -linkage.lever * pitch
    constants[..., 12:14] = ((aside**2).sum(axis=1) - arms**2) / (2.0 * arms)
    # the eye keeps its place across, so that only the shackle's way in its plane counts
    across = (aside - leaves.pivots * _ACROSS) ** 2 + (leaves.pivots * (1.0 - _ACROSS)) ** 2
    constants[..., 14:16] = (across.sum(axis=1) - shackles**2) / (2.0 * shackles)


def _constants(linkage: Linkage, middle: float, half: float, count: int) -> Floats:
    """The g of F on the fine grid, shape (count, count, k)."""
    rods = len(linkage.chassis_points)
    travel = middle + half * chebyshev_points(count)
    constants = np.zeros((count, count, rods + 8 if linkage.leaves is None else 16))
    constants[..., :rods] = ((linkage.anchors**2).sum(axis=1) - linkage.lengths**2) / (2.0 * linkage.lengths)
    constants[..., rods] = -linkage.centre[2] - travel[:, None]
    constants[..., rods + 1] = -linkage.centre[2] - travel[None, :]
    # ℓ/2 on the diagonal; the off-diagonal ones of RᵀR are zero
    constants[..., [rods + 2, rods + 5, rods + 7]] = -0.5 * linkage.lever
    if linkage.leaves is not None:
        _add_leaf_constants(linkage, linkage.leaves, travel, constants)
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
