"""The pose over the whole travel as a table that is quick to evaluate and whose error is known.

Each entry of centre and rotation matrix is interpolated over (left, right) by a product of Chebyshev polynomials
through exact Newton solutions. The degree rises until the proved error of a point on the axle is under POSE; at the
last degree it has to be under POSE_AT_MOST. The proof is in `geometry.motion.enclosure`: it bounds the error over the
whole square, and shows that nowhere in it the linkage binds. Beside it the error is measured at travels between the
nodes, to show how much the bound gives away.
A map knows nothing of the width: travel is measured at the stop stations.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from math import cos, inf, isfinite, pi
from typing import Final

import numpy as np
from numpy.polynomial import chebyshev

from geometry.motion.binding import check_travel
from geometry.motion.enclosure import UNPROVED, chebyshev_coefficients, chebyshev_points, enclose
from geometry.motion.linkage import AxlePoses, Floats, Linkage, ride_height, solve
from geometry.tolerances import POSE, POSE_AT_MOST

_DEGREES: Final = (8, 10, 12, 14, 16, 20, 24, 28)
_USUAL: Final = 16
"""Degree at which a linkage that is not about to bind has a proof; without one, higher degrees do not help in time."""
_BETWEEN: Final[Floats] = np.array([-1.0, -0.83, -0.31, 0.17, 0.59, 1.0])
"""Where the error is measured: corners, edges and inside, on no node of any degree used."""

_GIVE_POINTS: Final = 8
"""Points along each travel, over the degree, from which the largest give is taken: 4 % over it at most."""


@dataclass(frozen=True, eq=False)
class PoseMap:
    """Pose of an axle over its travel.

    Attributes
    ----------
    linkage : Linkage
    coefficients : array, shape (n + 1, n + 1, 12)
        Chebyshev coefficients, left travel first; entries: centre x, y, z [mm], rotation row by row [-].
    middle, half : float
        Travel = middle + half · u with u in [-1, 1] [mm].
    position_error, rotation_error : float
        Proved bounds of the error of the centre [mm] and of the rotation matrix (Frobenius norm) [-]: a point r from
        the centre is off by at most position_error + r · rotation_error. Infinite = not established to POSE_AT_MOST.
    measured_error : float
        Largest error found between the nodes, of points within the linkage's lever [mm].
    give : float
        Proved bound of the change of any rod's length that a fifth rod forces [mm]; zero without one. Where the
        errors above are not established, of the interpolated one only.
    eyes : array, shape (n + 1, n + 1, 4) or (n + 1, n + 1, 0)
        Chebyshev coefficients of leaf springs' shackle eyes, as in Linkage [mm].
    eye_error : float
        Proved bound of their error [mm].

    """

    linkage: Linkage
    coefficients: Floats
    middle: float
    half: float
    position_error: float
    rotation_error: float
    measured_error: float
    give: float
    eyes: Floats = field(default_factory=lambda: np.zeros((1, 1, 0)))
    eye_error: float = 0.0

    @property
    def degree(self) -> int:
        """Degree in each travel."""
        return len(self.coefficients) - 1

    @property
    def point_error(self) -> float:
        """Proved error of any point within the linkage's lever [mm]."""
        return self.position_error + self.linkage.lever * self.rotation_error

    @property
    def error(self) -> float:
        """The larger one of `point_error` and `eye_error` [mm]."""
        return max(self.point_error, self.eye_error)

    def evaluate(self, left: Floats, right: Floats) -> tuple[Floats, Floats, Floats]:
        """Poses and their slopes.

        Parameters
        ----------
        left, right : array, shape (n,)
            Travel at the stop stations, within the map [mm].

        Returns
        -------
        values, by_left, by_right : array, shape (n, 12)
            Entries as in `coefficients`, and their derivatives per mm of travel.

        """
        both = self._basis(left, right) @ self._table
        return both[:, :12], both[:, 12:24], both[:, 24:]

    def start(self, left: Floats, right: Floats) -> AxlePoses:
        """Interpolated poses for Newton to start from, rotations made orthonormal."""
        basis = self._basis(left, right)
        values = basis @ self._table[:, :12]
        rotation = values[:, 3:].reshape(-1, 3, 3)
        for _ in range(2):  # Newton-Schulz for the polar factor: doubles the digits of an almost orthonormal matrix
            rotation = rotation @ (1.5 * np.eye(3) - 0.5 * rotation.transpose(0, 2, 1) @ rotation)
        count = len(values)
        eyes = basis @ self.eyes.reshape(len(self._table), -1)
        unknown = np.full(count, inf), np.zeros(count), np.zeros(count, dtype=np.bool_)
        return AxlePoses(values[:, :3], rotation, *unknown, eyes)

    def evaluate_eyes(self, left: Floats, right: Floats) -> tuple[Floats, Floats, Floats]:
        """Leaf springs' shackle eyes and their slopes by left and by right travel, left and right eye, (n, 2, 3).

        Their places across, which do not change, are left out: y is zero.
        """
        both = (self._basis(left, right) @ self._eye_table).reshape(-1, 3, 2, 2)
        found = np.zeros((len(both), 3, 2, 3))
        found[..., ::2] = both
        return found[:, 0], found[:, 1], found[:, 2]

    def _basis(self, left: Floats, right: Floats) -> Floats:
        on_left = chebyshev.chebvander((left - self.middle) / self.half, self.degree)
        on_right = chebyshev.chebvander((right - self.middle) / self.half, self.degree)
        basis: Floats = on_left[:, :, None] * on_right[:, None, :]
        return basis.reshape(len(basis), -1)

    @cached_property
    def _table(self) -> Floats:
        """Coefficients of the values, their slopes by left and by right side by side, shape ((n + 1)², 36)."""
        return self._with_slopes(self.coefficients)

    @cached_property
    def _eye_table(self) -> Floats:
        """The same of the shackles' eyes, shape ((n + 1)², 12)."""
        return self._with_slopes(self.eyes)

    def _with_slopes(self, coefficients: Floats) -> Floats:
        slopes = [np.zeros_like(coefficients) for _ in range(2)]
        slopes[0][:-1] = chebyshev.chebder(coefficients, axis=0) / self.half
        slopes[1][:, :-1] = chebyshev.chebder(coefficients, axis=1) / self.half
        return np.concatenate([coefficients, *slopes], axis=2).reshape(-1, 3 * coefficients.shape[2])


@lru_cache(maxsize=64)
def pose_map(linkage: Linkage) -> PoseMap:
    """The map of a linkage, kept for as long as the linkage stays the same.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel, see `check_travel`.

    """
    check_travel(linkage)
    best = _built(linkage, _DEGREES[0])
    for degree in _DEGREES[1:]:
        if best.error <= POSE or (degree > _USUAL and best.error == inf):
            break
        finer = _built(linkage, degree, best)
        best = min(finer, best, key=lambda each: each.error)
    return best if best.error <= POSE_AT_MOST else replace(best, position_error=inf, rotation_error=inf, eye_error=inf)


def _built(linkage: Linkage, degree: int, coarser: PoseMap | None = None) -> PoseMap:
    middle = (linkage.bump - linkage.droop) / 2.0
    half = linkage.travel_half
    left, right = _square(middle + half * chebyshev_points(degree + 1))
    nodes = solve(linkage, left, right, coarser.start(left, right) if coarser else None)
    entries = [nodes.centre, nodes.rotation.reshape(-1, 9)]
    if linkage.gives:
        entries.append(nodes.give[:, None])
    entries.append(nodes.eyes)
    coefficients = chebyshev_coefficients(np.concatenate(entries, axis=1).reshape(degree + 1, degree + 1, -1))
    gives, eyes = np.split(coefficients[..., 12:], [int(linkage.gives)], axis=2)
    bare = PoseMap(linkage, coefficients[..., :12], middle, half, inf, inf, inf, 0.0, eyes)
    measured, at_ride_height = _measured(bare)
    bounds = enclose(linkage, coefficients, middle, half)
    # the solution that was proved must be the one the rig is drawn in
    if at_ride_height > bounds.position + linkage.lever * bounds.rotation + POSE:
        bounds = UNPROVED
    return replace(
        bare,
        position_error=bounds.position,
        rotation_error=bounds.rotation,
        measured_error=measured,
        give=_most_give(linkage, gives, bounds.give),
        eye_error=bounds.eye,
    )


def _most_give(linkage: Linkage, common: Floats, error: float) -> float:
    """Bound of the change of any rod's length, from the common give's coefficients and their error [mm].

    A polynomial of degree n in cos θ that is largest at θ₀ falls from there no faster than cos n(θ − θ₀) (M. Riesz), so
    over N Chebyshev points it stays under its largest value at them by cos(nπ / 2N), in each travel; H. Ehlich and
    K. Zeller, Mathematische Zeitschrift 86, 1964.

    The closure equation (d² − l²) / 2l = s w with |w| ≤ 1 gives d = l √(1 + 2 s w / l): a rod becomes longer by s at
    most, but shorter by a little more.
    """
    if common.shape[-1] == 0:
        return 0.0
    count = _GIVE_POINTS * len(common)
    points = chebyshev_points(count)
    at_points = chebyshev.chebgrid2d(points, points, common[..., 0])
    most = float(np.abs(at_points).max()) / cos((len(common) - 1) * pi / (2 * count)) ** 2
    most += error if isfinite(error) else 0.0
    shortest = linkage.lengths * np.sqrt(np.maximum(1.0 - 2.0 * most / linkage.lengths, 0.0))
    return float((linkage.lengths - shortest).max())


def _measured(bare: PoseMap) -> tuple[float, float]:
    """Largest error between the nodes, and the error at ride height, of points within the lever [mm]."""
    left, right = _square(bare.middle + bare.half * _BETWEEN)
    left, right = np.append(left, 0.0), np.append(right, 0.0)
    exact = solve(bare.linkage, left, right, bare.start(left, right))
    truth = np.concatenate([exact.centre, exact.rotation.reshape(-1, 9)], axis=1)
    # as drawn, but for the wind-up of leaf springs
    drawn = ride_height(bare.linkage) if bare.linkage.leaves is None else solve(bare.linkage, 0.0, 0.0)
    truth[-1] = np.concatenate([drawn.centre[0], drawn.rotation[0].ravel()])
    off = bare.evaluate(left, right)[0] - truth
    errors = np.linalg.norm(off[:, :3], axis=1) + bare.linkage.lever * np.linalg.norm(off[:, 3:], axis=1)
    return float(errors.max()), float(errors[-1])


def _square(travel: Floats) -> tuple[Floats, Floats]:
    left, right = np.meshgrid(travel, travel, indexing="ij")
    return left.ravel(), right.ravel()
