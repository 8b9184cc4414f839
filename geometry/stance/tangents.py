"""Lines that touch a tire from below and a part above them, in side view.

Distances count from the tire's centre along the ground towards the part. For a disc of radius ρ at distance d and
height p beside a tire of loaded radius R, with D² = d² + (R − p)²: angle = atan2(p − R, d) + asin((R − ρ) / D). With ρ
= 0 that is φ − acos(R / D), φ = atan2(d, R − p), the form of 40 CFR 86.084-2.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.rig.layout import Floats

ROUNDS: Final = 40
"""Steps of the search along a piece [-]; each leaves 0.618 of it, in all 1e-4 mm of 20 m, and the angle hardly changes
near its least value."""

DOWN_ROUNDS: Final = 24
"""Most steps towards the point of a ball that a crest meets first [-]; a tube well away from the tires takes five."""

STILL: Final = 1e-6
"""Step at which such a point is found [mm]: the angle there changes by its square only, 1e-15 over a wheelbase."""

_GOLDEN: Final = (5.0**0.5 - 1.0) / 2.0


def tangent_angle(distance: Floats, height: Floats, tire: float, disc: Floats | float = 0.0) -> Floats:
    """Angle above the ground of the line below a tire and a disc, shape (n,) [rad].

    Parameters
    ----------
    distance, height : array, shape (n,)
        Of the disc's centre from the tire's and above the ground [mm].
    tire : float
        Loaded radius [mm].
    disc : float or array, shape (n,)
        Radius of the disc [mm].

    Returns
    -------
    array, shape (n,)
        Infinite for a disc that hides behind the tire.

    """
    rise = height - tire
    apart = np.hypot(distance, rise)
    hidden = apart + disc <= tire
    sine = (tire - disc) / np.where(hidden, np.inf, apart)
    return np.where(hidden, np.inf, np.arctan2(rise, distance) + np.arcsin(np.clip(sine, -1.0, 1.0)))


def crest_angle(points: Floats, base: float, rear: float, front: float) -> Floats:
    """Ramp angle of crests at points between two tires: the sum of both tangents' angles, shape (n,) [rad].

    Parameters
    ----------
    points : array, shape (n, 2)
        Distance from the rear tire's centre, and height [mm].
    base : float
        Wheelbase [mm].
    rear, front : float
        Loaded radii [mm].

    """
    return sum(_sides(points, base, rear, front))  # type: ignore[return-value]  # a sum of two arrays


def least_crest(ends: Floats, radius: Floats, base: float, rear: float, front: float) -> tuple[Floats, Floats]:
    """The sharpest crest that each of n pieces lets pass.

    Crests of one angle lie on a curve that is convex upwards (a limaçon with equal tires; with unequal ones tests
    sample it), so that along a straight piece swept by a ball the angle falls to one least value and rises again.

    Parameters
    ----------
    ends : array, shape (n, 2, 2)
        Of straight pieces that stay out of both tires' silhouettes, as in `crest_angle` [mm].
    radius : array, shape (n,)
        Of the balls along them [mm].

    Returns
    -------
    angle : array, shape (n,)
        Within 1e-8 of the least [rad].
    crest : array, shape (n, 2)
        Where it meets the piece [mm].

    """
    low, high = np.zeros(len(ends)), np.ones(len(ends))

    def at(share: Floats) -> tuple[Floats, Floats]:
        middle = ends[:, 0] + share[:, None] * (ends[:, 1] - ends[:, 0])
        crest = _lowest(middle, radius, base, rear, front)
        return crest_angle(crest, base, rear, front), crest

    for _ in range(ROUNDS):
        step = _GOLDEN * (high - low)
        left = at(high - step)[0] <= at(low + step)[0]
        low, high = np.where(left, low, high - step), np.where(left, low + step, high)
    return at((low + high) / 2.0)


def _sides(points: Floats, base: float, rear: float, front: float) -> tuple[Floats, Floats]:
    """Angles of the tangents to the rear and to the front tire; of a point in the silhouette, that of its surface."""
    angles = []
    for distance, tire in ((points[:, 0], rear), (base - points[:, 0], front)):
        rise = points[:, 1] - tire
        apart = np.maximum(np.hypot(distance, rise), tire)
        angles.append(np.arctan2(rise, distance) + np.arcsin(tire / apart))
    return angles[0], angles[1]


def _lowest(middle: Floats, radius: Floats, base: float, rear: float, front: float) -> Floats:
    """The point of each ball that the crests meet first: against the slope of the angle, which is steeper near a tire.

    An angle grows across its tangent by one over the length of that.
    """
    crest = middle
    for _ in range(DOWN_ROUNDS):
        slope = np.zeros_like(crest)
        for sign, angle, reach, tire in zip(
            (-1.0, 1.0),
            _sides(crest, base, rear, front),
            (crest[:, 0], base - crest[:, 0]),
            (rear, front),
            strict=True,
        ):
            length = np.sqrt(np.maximum(np.hypot(reach, crest[:, 1] - tire) ** 2 - tire**2, 1.0))
            slope += np.stack([sign * np.sin(angle), np.cos(angle)], axis=1) / length[:, None]
        size = np.maximum(np.linalg.norm(slope, axis=1), np.finfo(np.float64).tiny)
        before, crest = crest, middle - radius[:, None] * slope / size[:, None]
        if np.abs(crest - before).max(initial=0.0) <= STILL:
            break
    return crest
