"""Vectors of three floats, and their slopes by left travel, right travel and steer, as tuples."""

from __future__ import annotations

from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.compiled.jit import inner

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Vector = tuple[float, float, float]
Slopes = tuple[Vector, Vector, Vector]

NOTHING: Final[Vector] = (0.0, 0.0, 0.0)
LEVEL: Final[Slopes] = (NOTHING, NOTHING, NOTHING)


@inner
def dot(a: Vector, b: Vector) -> float:
    """a · b."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@inner
def cross(a: Vector, b: Vector) -> Vector:
    """a × b."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


@inner
def plus(a: Vector, s: float, b: Vector) -> Vector:
    """a + s b."""
    return (a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2])


@inner
def times(s: float, a: Vector) -> Vector:
    """s a."""
    return (s * a[0], s * a[1], s * a[2])


@inner
def length(a: Vector) -> float:
    """|a|."""
    return sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])


@inner
def sizes(a: Vector) -> Vector:
    """The size of each component."""
    return (abs(a[0]), abs(a[1]), abs(a[2]))


@inner
def clipped(x: float, low: float, high: float) -> float:
    """The value of [low, high] nearest to x."""
    return min(max(x, low), high)


@inner
def apply(vector: Vector, slopes: Slopes) -> Vector:
    """Slope of vector · x by each freedom."""
    return (dot(vector, slopes[0]), dot(vector, slopes[1]), dot(vector, slopes[2]))


@inner
def reach(slope: Vector, size: Vector) -> float:
    """Σⱼ |slopeⱼ| dⱼ."""
    return abs(slope[0]) * size[0] + abs(slope[1]) * size[1] + abs(slope[2]) * size[2]


@inner
def swing(slopes: Slopes, size: Vector) -> Vector:
    """Σⱼ |slopeⱼ| dⱼ per component."""
    a, b, c = slopes
    return (
        abs(a[0]) * size[0] + abs(b[0]) * size[1] + abs(c[0]) * size[2],
        abs(a[1]) * size[0] + abs(b[1]) * size[1] + abs(c[1]) * size[2],
        abs(a[2]) * size[0] + abs(b[2]) * size[1] + abs(c[2]) * size[2],
    )


@inner
def path(slopes: Slopes, size: Vector) -> float:
    """Longest way of the point itself: Σⱼ |slopeⱼ| dⱼ with the slopes' lengths."""
    return length(slopes[0]) * size[0] + length(slopes[1]) * size[1] + length(slopes[2]) * size[2]


@inner
def steeper(slopes: Slopes, s: float, others: Slopes) -> Slopes:
    """Slopes + s others."""
    return (plus(slopes[0], s, others[0]), plus(slopes[1], s, others[1]), plus(slopes[2], s, others[2]))


@inner
def row(points: Floats, index: int) -> Vector:
    """A row of an array, shape (n, 3)."""
    return (points[index, 0], points[index, 1], points[index, 2])
