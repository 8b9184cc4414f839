"""Outlines of round solids in a view.

A convex body's outline in an orthographic view consists of the points that lie farthest in each direction of the
view plane. For a body swept by a ball these are in closed form, so that every corner of the polygons here lies on the
true outline; between corners of a circle it is short by at most radius · (1 − cos(2π / n)).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import copysign, hypot, pi
from typing import Final

import numpy as np
import shapely

from geometry.outline.view import Floats, View

CORNERS: Final = 360
"""Corners of a full turn: a tire of 500 mm radius is drawn 0.3 mm short at most, under a pixel at usual zooms."""

TUBE_CORNERS: Final = 32
"""Corners of a full turn around the end of a tube: a tube of 25 mm radius is drawn 0.5 mm short at most."""

STRAIGHT: Final = 1e-3
"""A tube whose centre line strays by less in a view is drawn straight, and a shorter one as a ball [mm]: far under a
pixel."""

_EDGE_ON: Final = 1e-9
"""Sine below which a direction lies along the axis: there the disc offers no preferred point [-]."""

_TURN_DIGITS: Final = 6
"""Digits by which two directions count as different [rad]: two corners nearer than that would cross by rounding."""


@dataclass(frozen=True, slots=True)
class RoundedCylinder:
    """A flat-ended core cylinder swept by a ball: the solid of a tire.

    Attributes
    ----------
    centre : array, shape (3,) [mm]
    axis : array, shape (3,)
        Unit vector along the axis.
    half_width, radius, rounding : float
        Over all: half the length along the axis, the radius, and the radius of the rounded edges [mm].

    """

    centre: Floats
    axis: Floats
    half_width: float
    radius: float
    rounding: float


def cylinder_outline(solid: RoundedCylinder, view: View, corners: int = CORNERS) -> Floats:
    """Outline of a rounded cylinder, shape (k, 2), k ≤ corners, convex, turning from rightward to downward [mm].

    The farthest point in direction n is centre + h · sign(n·a) · a + r · (n − (n·a) a) / |…| + s · n, with half
    length h and radius r of the core, and radius s of the ball.
    """
    flat = _around_disc(solid.axis, view, corners)
    directions = flat @ view.axes.T
    along = directions @ solid.axis
    across = directions - along[:, None] * solid.axis
    size = np.linalg.norm(across, axis=1, keepdims=True)
    across = np.divide(across, size, out=np.zeros_like(across), where=size > _EDGE_ON)
    side = np.where(np.abs(along) > _EDGE_ON, np.sign(along), 0.0)[:, None]
    core = (solid.half_width - solid.rounding) * side * solid.axis + (solid.radius - solid.rounding) * across
    return view.project(solid.centre + core) + solid.rounding * flat


def circle(centre: Floats, axis: Floats, radius: float, corners: int = CORNERS) -> Floats:
    """Points around an axis, evenly spaced, shape (corners, 3) [mm]."""
    return centre + radius * (_circle(corners) @ _spanning(axis))


def disc_outline(centre: Floats, axis: Floats, radius: float, view: View, corners: int = CORNERS) -> Floats:
    """Outline of a flat disc, an ellipse in general, shape (corners, 2) [mm]."""
    return view.project(circle(centre, axis, radius, corners))


def tube_outline(points: Floats, radius: float, view: View) -> tuple[Floats, ...]:
    """Outline of a polyline swept by a ball; a ball is a tube of no length.

    Parameters
    ----------
    points : array, shape (k, 3) [mm]
    radius : float [mm]

    Returns
    -------
    tuple of array, shape (n, 2)
        The outline and then the holes that a bent tube may have [mm].

    """
    flat = view.project(points)
    ways = flat - flat[0]
    far = ways[int(np.argmax((ways * ways).sum(axis=1)))]
    length = hypot(*far.tolist())
    along = far / length if length > STRAIGHT else np.array([1.0, 0.0])
    if len(points) == 2 or np.abs(ways @ (-along[1], along[0])).max() <= STRAIGHT:
        places = ways @ along
        return (_capsule(flat[0] + places.min() * along, flat[0] + places.max() * along, along, radius),)
    bent = shapely.LineString(flat).buffer(radius, quad_segs=TUBE_CORNERS // 4)
    return tuple(shapely.get_coordinates(ring)[:-1] for ring in (bent.exterior, *bent.interiors))


def _capsule(start: Floats, end: Floats, along: Floats, radius: float) -> Floats:
    """Outline of a straight tube in a view: half a circle about its end, and the other about its start."""
    x, y = along.tolist()
    half = _half_circle() @ (radius * np.array([[x, y], [-y, x]]))
    return np.concatenate([end + half, start - half])


def _around_disc(axis: Floats, view: View, corners: int) -> Floats:
    """Flat unit directions in order of angle: evenly spaced ones, and the normals of a disc's ellipse.

    Seen nearly edge on, most of an ellipse lies between two evenly spaced directions. With A the map from the disc's
    plane to the view, the normal at A (cos t, sin t) is along the cofactors of A times (cos t, sin t).
    """
    (a, b), (c, d) = view.project(_spanning(axis)).T
    even = _circle(corners // 2)
    normals = even @ np.array([[d, -c], [-b, a]]).T
    normals = normals[np.linalg.norm(normals, axis=1) > _EDGE_ON]
    turns = np.concatenate([np.arctan2(flat[:, 1], flat[:, 0]) for flat in (even, normals)])
    turns = np.sort(np.round(turns % (2.0 * np.pi), _TURN_DIGITS))
    turns = turns[np.diff(turns, append=np.inf) > 0.0]  # `np.unique` would load masked arrays, a twentieth of a second
    return np.stack([np.cos(turns), np.sin(turns)], axis=1)


def _spanning(axis: Floats) -> Floats:
    """Two unit vectors across an axis, shape (2, 3).

    References
    ----------
    T. Duff et al., Building an Orthonormal Basis, Revisited, J. Computer Graphics Techniques 6(1), 2017, section 2.

    """
    x, y, z = axis.tolist()
    sign = copysign(1.0, z)
    a = -1.0 / (sign + z)
    b = x * y * a
    return np.array([[1.0 + sign * x * x * a, sign * b, -sign * x], [b, sign + y * y * a, -y]])


@lru_cache(maxsize=1)
def _half_circle() -> Floats:
    """Corners of half a circle about the direction (1, 0), its ends included."""
    turns = np.linspace(-pi / 2.0, pi / 2.0, TUBE_CORNERS // 2 + 1)
    return np.stack([np.cos(turns), np.sin(turns)], axis=1)


@lru_cache(maxsize=32)
def _circle(corners: int) -> Floats:
    turns = np.linspace(0.0, 2.0 * np.pi, corners, endpoint=False)
    return np.stack([np.cos(turns), np.sin(turns)], axis=1)
