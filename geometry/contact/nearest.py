"""Core and segment apart: where along the segment the core is nearest.

A core is a flat-ended cylinder centred at the origin: axis a, half length h, radius ρ. Swept by a ball it becomes a
tire with rounded shoulders (ρ > 0) or a link (ρ = 0); the ball is subtracted by whoever asks. Here everything lies in
columns, component first: points are (3, N), so that each operation runs through contiguous memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.rig.layout import Floats

ZERO_LENGTH: Final = 1e-15
"""Length that counts as none when it divides [mm]: a hundredth of the rounding of coordinates of a metre."""

TOUCHING: Final = 1e-7
"""Distance under which two nearest points give no direction [mm]; rounding of coordinates reaches 1e-12."""

_STEP: Final = 1e-8
"""Newton's last step along a segment [mm]. The distance is flat there, its error is this squared over the radius."""

_STEPS: Final = 40
"""Most Newton steps. Five are usual; each takes a third off the rest where a bar grazes the rim lying in its plane."""


@dataclass(frozen=True, slots=True)
class Cores:
    """Cores as columns: axis (3, N) of unit length, half length (N,) and radius (N,) [mm]."""

    axis: Floats
    half: Floats
    radius: Floats

    def take(self, items: NDArray[np.intp]) -> Cores:
        """The cores of these items."""
        return Cores(self.axis[:, items], self.half[items], self.radius[items])


@dataclass(frozen=True, slots=True)
class Nearest:
    """Nearest points of N segments.

    Attributes
    ----------
    along : array, shape (N,)
        Place on the segment, 0 at its start, 1 at its end.
    gap : array, shape (N,)
        Distance, 0 when core and segment meet [mm].
    normal : array, shape (3, N)
        Unit vector from core to segment; zeros when they meet or all but meet.

    """

    along: Floats
    gap: Floats
    normal: Floats


def dot(x: Floats, y: Floats) -> Floats:
    """Scalar products of columns."""
    product: Floats = np.einsum("i...,i...->...", x, y)
    return product


def cross(x: Floats, y: Floats) -> Floats:
    """Vector products of columns."""
    return np.stack(
        (
            x[1] * y[2] - x[2] * y[1],
            x[2] * y[0] - x[0] * y[2],
            x[0] * y[1] - x[1] * y[0],
        )
    )


def nearest_on_segments(cores: Cores, start: Floats, span: Floats) -> Nearest:
    """Nearest point of each segment ``start + u span``, 0 <= u <= 1, to its core.

    Notes
    -----
    With y axial and r radial, f(u)² = max(0, |y| - h)² + max(0, r - ρ)² is convex with a continuous slope. The slope
    bends only where the segment passes the flat ends' planes, the tread's cylinder, or comes nearest to the axis.
    Its sign at those places brackets the root; inside, the slope curves one way, and Newton from the side on
    which it is steeper never oversteps.

    """
    axis, half, radius = cores.axis, cores.half, cores.radius
    y, dy = dot(axis, start), dot(axis, span)
    p, q = start - y * axis, span - dy * axis
    qq, pq = dot(q, q), dot(p, q)
    waist = -pq / np.where(qq > ZERO_LENGTH**2, qq, np.inf)
    closest = p + waist * q
    reach2 = dot(closest, closest)

    low, high = _bracket(half, radius, y, dy, qq, waist, reach2)
    u = 0.5 * (low + high)
    open_ = np.flatnonzero(low < high)
    if open_.size:
        columns = (low, high, half, radius, y, dy, qq, pq, waist, reach2)
        u[open_] = _rim_root(*(column[open_] for column in columns))

    y += u * dy
    p += u * q
    r = np.sqrt(dot(p, p))
    end = y - np.minimum(np.maximum(y, -half), half)
    side = np.maximum(r - radius, 0.0)
    gap = np.sqrt(end * end + side * side)
    scale = 1.0 / np.where(gap > TOUCHING, gap, np.inf)
    normal = (end * scale) * axis + (side * scale / np.where(r > 0.0, r, 1.0)) * p
    _straighten(normal, span, qq + dy * dy, u)
    return Nearest(u, gap, normal)


def _bracket(
    half: Floats,
    radius: Floats,
    y: Floats,
    dy: Floats,
    qq: Floats,
    waist: Floats,
    reach2: Floats,
) -> tuple[Floats, Floats]:
    """Neighbouring places between which the slope of f² changes sign; low >= high where it is zero or at an end."""
    places = np.empty((7, y.size))
    chord = np.sqrt(np.maximum(radius * radius - reach2, 0.0) / np.where(qq > ZERO_LENGTH**2, qq, np.inf))
    per_rise = 1.0 / np.where(np.abs(dy) > ZERO_LENGTH, dy, np.inf)
    places[0] = waist
    places[1] = waist - chord
    places[2] = waist + chord
    places[3] = (half - y) * per_rise
    places[4] = (-half - y) * per_rise
    np.minimum(np.maximum(places, 0.0, out=places), 1.0, out=places)
    places[5] = 0.0
    places[6] = 1.0
    level = places * dy
    level += y
    level -= np.minimum(np.maximum(level, -half), half)
    level[3:5] *= (places[3:5] == 0.0) | (places[3:5] == 1.0)  # in the end's plane: rounding must not look like a slope
    level *= dy
    off = places - waist
    r = np.sqrt(reach2 + qq * off * off)
    slope = level + qq * off * np.maximum(1.0 - radius / np.maximum(r, ZERO_LENGTH), 0.0)
    low: Floats = np.where(slope <= 0.0, places, 0.0).max(axis=0)
    high: Floats = np.where(slope >= 0.0, places, 1.0).min(axis=0)
    return low, high


def _rim_root(
    low: Floats,
    high: Floats,
    half: Floats,
    radius: Floats,
    y: Floats,
    dy: Floats,
    qq: Floats,
    pq: Floats,
    waist: Floats,
    reach2: Floats,
) -> Floats:
    """Root of the slope where the rim is nearest: L² u + b - ρ |q|² s / r(s) = 0 with s = u - waist."""
    middle = 0.5 * (low + high)
    beneath = reach2 + qq * (middle - waist) ** 2 < radius * radius  # a disc's face: only rounding leads here
    qq, pq = np.where(beneath, 0.0, qq), np.where(beneath, 0.0, pq)
    offset = (y - np.copysign(half, y + middle * dy)) * dy + pq
    square = np.maximum(dy * dy + qq, ZERO_LENGTH**2)
    rising = middle > waist
    most = np.copysign(radius * np.sqrt(qq), middle - waist)
    u = (most - offset) / square  # the slope's asymptote: beyond the root on the steep side
    u = np.where(rising, np.minimum(u, high), np.maximum(u, low))
    u = np.minimum(np.maximum(u, low), high)
    pull = radius * qq
    waists = pull * reach2
    least = 1e-9 * square
    tolerance2 = _STEP**2 / square
    for _ in range(_STEPS):
        s = u - waist
        r2 = np.maximum(reach2 + qq * s * s, ZERO_LENGTH**2)
        inverse = 1.0 / np.sqrt(r2)
        step = (square * u + offset - pull * s * inverse) / np.maximum(square - waists * inverse / r2, least)
        u -= step
        if not np.any(step * step > tolerance2):
            break
    return np.minimum(np.maximum(u, low), high)


def _straighten(normal: Floats, span: Floats, square: Floats, u: Floats) -> None:
    """Take from the normals, in place, what points along the segment against the nearest point's place on it.

    At a distance of a micrometre rounding tilts a normal by 1e-10; over a long segment that would show in the plane's
    gap. What is taken here leaves only an error of second order.
    """
    tilt = dot(normal, span)
    tilt -= np.where(u <= 0.0, np.maximum(tilt, 0.0), 0.0)
    tilt -= np.where(u >= 1.0, np.minimum(tilt, 0.0), 0.0)
    normal -= (tilt / np.where(square > ZERO_LENGTH**2, square, np.inf)) * span
