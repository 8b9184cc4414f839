"""Signed distance between a moving core and a fixed convex hull, many pairs at once.

A core is a flat-ended cylinder; a hull is a segment (a bar's straight) or a planar convex polygon (a panel's facet).
Swept by balls they become tire, link, tube and sheet: the radii of the balls are subtracted from the gap outside.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.nearest import (
    TOUCHING,
    ZERO_LENGTH,
    Cores,
    Nearest,
    cross,
    dot,
    nearest_on_segments,
)
from geometry.contact.overlap import deepest, plane_gap, polygon_normal
from geometry.rig.layout import Floats

_NEAR: Final = 1e-3
"""Gap under which the overlap's candidates are tried too [mm]: closer by, rounding tilts the normal of two points."""

_FACE_ON: Final = 1e-12
"""Sine of the angle between axis and polygon's normal under which the flat end's middle is a support point [-]."""

_MOVED_APART: Final = 1.0
"""Gap to which a closer hull is moved along its normal to find the closest points [mm]: far over rounding."""


@dataclass(frozen=True, slots=True)
class Separation:
    """Signed distances of N pairs.

    Attributes
    ----------
    gap : array, shape (N,)
        Distance between core and hull; negative = length of the smallest translation that separates them [mm].
    normal : array, shape (N, 3)
        Unit vector from core to hull; the gap of the two planes across it is `gap`.
    edge : array, shape (N, 3)
        Unit direction of the segment, or of the polygon's edge nearest to its closest point; zeros without length.

    """

    gap: Floats
    normal: Floats
    edge: Floats

    def rows(self, which: NDArray[np.intp]) -> Separation:
        """Some of the pairs."""
        return Separation(self.gap[which], self.normal[which], self.edge[which])


def separation(axis: Floats, half_length: Floats, radius: Floats, vertices: Floats) -> Separation:
    """Signed distance, normal and edge of N pairs, in one frame whose origin is each core's centre.

    Parameters
    ----------
    axis : array, shape (N, 3)
        Unit vectors.
    half_length, radius : array, shape (N,)
        Of the flat-ended cylinders, zero allowed [mm].
    vertices : array, shape (N, V, 3)
        V = 2: segments. V >= 3: corners of planar convex polygons in order, the last one repeated as padding [mm].

    Notes
    -----
    Apart: root of a monotone slope along each edge, and the core's support point towards a polygon's plane.
    Overlapping: best of the normals of the Minkowski difference's smooth pieces.
    Accurate to 1e-6 mm, depths to 1e-4 mm.

    """
    cores, hull = _columns(axis, half_length, radius, vertices)
    found, edge, _ = _nearest(cores, hull)
    near = np.flatnonzero(found.gap < _NEAR)
    if near.size:
        _deepen(cores.take(near), hull[:, :, near], near, found, edge)
    return Separation(found.gap, found.normal.T, edge.T)


def support_gap(normal: Floats, axis: Floats, half_length: Floats, radius: Floats, vertices: Floats) -> Floats:
    """Gap between the planes across unit normals (N, 3) that touch core and hull [mm]: the distance or less."""
    cores, hull = _columns(axis, half_length, radius, vertices)
    return plane_gap(cores, hull, np.ascontiguousarray(normal.T))


def closest_points(
    axis: Floats, half_length: Floats, radius: Floats, vertices: Floats, sep: Separation
) -> tuple[Floats, Floats]:
    """Closest points (N, 3) on core and on hull [mm]; hull point - core point = gap · normal, also overlapping."""
    cores, hull = _columns(axis, half_length, radius, vertices)
    on_hull = _closest(cores, hull, sep.gap, np.ascontiguousarray(sep.normal.T))[0].T
    return on_hull - sep.gap[:, None] * sep.normal, on_hull


def _columns(axis: Floats, half_length: Floats, radius: Floats, vertices: Floats) -> tuple[Cores, Floats]:
    """Check shapes; components first, items last, contiguous."""
    n = len(axis)
    if axis.shape != (n, 3) or half_length.shape != (n,) or radius.shape != (n,):
        raise ValueError(
            f"expected axes (n, 3), half lengths and radii (n,), got {axis.shape}, {half_length.shape}, {radius.shape}"
        )
    if vertices.ndim != 3 or len(vertices) != n or vertices.shape[1] < 2 or vertices.shape[2] != 3:
        raise ValueError(f"expected vertices ({n}, at least 2, 3), got {vertices.shape}")
    return Cores(np.ascontiguousarray(axis.T), half_length, radius), np.ascontiguousarray(vertices.T)


def _nearest(cores: Cores, hull: Floats) -> tuple[Nearest, Floats, Floats]:
    """Nearest points, gap 0 where core and hull meet; the edge's direction (3, N); the point on the hull (3, N)."""
    if hull.shape[1] > 2:
        return _nearest_on_polygon(cores, hull)
    span = hull[:, 1] - hull[:, 0]
    found = nearest_on_segments(cores, hull[:, 0], span)
    return found, _unit(span), hull[:, 0] + found.along * span


def _deepen(cores: Cores, hull: Floats, near: NDArray[np.intp], found: Nearest, edge: Floats) -> None:
    """Put overlapping and all but touching pairs, given as the items `near`, right in place."""
    gap, normal = deepest(cores, hull)
    known = found.normal[:, near]
    known_gap = plane_gap(cores, hull, known)
    worse = (known_gap > gap) & (found.gap[near] > TOUCHING)
    gap, normal = np.where(worse, known_gap, gap), np.where(worse, known, normal)
    found.gap[near], found.normal[:, near] = gap, normal
    if hull.shape[1] > 2:
        edge[:, near] = _closest(cores, hull, gap, normal)[1]


def _nearest_on_polygon(cores: Cores, hull: Floats) -> tuple[Nearest, Floats, Floats]:
    """As _nearest: the best edge, or the face where the core's point towards its plane lies over it."""
    count, n = hull.shape[1:]
    every = np.tile(np.arange(n), count)
    spans = np.roll(hull, -1, axis=1) - hull
    edges = nearest_on_segments(cores.take(every), hull.reshape(3, -1), spans.reshape(3, -1))
    best = edges.gap.reshape(count, n).argmin(axis=0) * n + np.arange(n)
    point = hull.reshape(3, -1)[:, best] + edges.along[best] * spans.reshape(3, -1)[:, best]
    gap, normal = edges.gap[best], edges.normal[:, best]
    over, face, foot = _over_face(cores, hull, spans)
    plane = np.maximum(plane_gap(cores, hull, face), 0.0)
    point = np.where(over, foot, point)
    found = Nearest(edges.along[best], np.where(over, plane, gap), np.where(over, face, normal))
    return found, _nearest_edge(hull, spans, point), point


def _over_face(cores: Cores, hull: Floats, spans: Floats) -> tuple[NDArray[np.bool_], Floats, Floats]:
    """Whether the core lies over the polygon's face, the face's normal away from the core, and the point below it.

    That is the point of the plane under the core's support point; a core that reaches through the plane has a point
    in it instead. Any support point serves: where others lie over the face and this one does not, an edge is as near.
    """
    face = polygon_normal(hull)
    height = dot(face, hull[:, 0])
    away = np.where(height < 0.0, -face, face)
    height = np.abs(height)
    rise = dot(away, cores.axis)
    flat = away - rise * cores.axis
    size = np.sqrt(dot(flat, flat))
    outward = flat / np.where(size > _FACE_ON, size, np.inf)
    outward -= dot(outward, cores.axis) * cores.axis  # rounding may have turned so short a vector along the axis
    support = np.sign(rise) * cores.half * cores.axis + cores.radius * outward
    reach = cores.half * np.abs(rise) + cores.radius * size
    foot = np.where(reach > height, height / np.maximum(reach, ZERO_LENGTH), 1.0) * support
    foot += np.maximum(height - reach, 0.0) * away
    inward = cross(np.broadcast_to(face[:, None], spans.shape), spans)
    inside = np.all(dot(inward, foot[:, None] - hull) >= 0.0, axis=0)
    return inside & (dot(face, face) > 0.5), away, foot


def _nearest_edge(hull: Floats, spans: Floats, point: Floats) -> Floats:
    """Directions (3, N) of the polygons' edges nearest to a point each; edges without length do not count."""
    from_start = point[:, None] - hull
    square = dot(spans, spans)
    real = square > ZERO_LENGTH**2
    along = np.minimum(np.maximum(dot(from_start, spans) / np.where(real, square, np.inf), 0.0), 1.0)
    off = from_start - along * spans
    best = np.where(real, dot(off, off), np.inf).argmin(axis=0)[None, None]
    return _unit(np.take_along_axis(spans, best, axis=1)[:, 0])


def _closest(cores: Cores, hull: Floats, gap: Floats, normal: Floats) -> tuple[Floats, Floats]:
    """Closest point (3, N) on the hull, and the edge there.

    A hull closer than _MOVED_APART is first moved away along the normal: the planes across it then still touch core
    and hull in the same points, which are now those of two solids apart.
    """
    shift = np.maximum(_MOVED_APART - gap, 0.0) * normal
    _, edge, point = _nearest(cores, hull + shift[:, None])
    return point - shift, edge


def _unit(span: Floats) -> Floats:
    """Directions of spans, zeros where one has no length."""
    length = np.sqrt(dot(span, span))
    return span / np.where(length > ZERO_LENGTH, length, np.inf)
