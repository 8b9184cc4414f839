"""Signed distance of one core and one hull: `geometry.contact.distance` for a single pair."""

from __future__ import annotations

from math import inf

import numpy as np

from geometry.contact.compiled.jit import inner, kernel
from geometry.contact.compiled.nearest import nearest_on_segment
from geometry.contact.compiled.overlap import deepest, plane_gap, polygon_normal
from geometry.contact.compiled.vectors import Floats, Vector, clipped, cross, dot, length, plus, row, times
from geometry.contact.distance import _FACE_ON, _MOVED_APART, _NEAR
from geometry.contact.nearest import TOUCHING, ZERO_LENGTH

Apart = tuple[float, Vector, Vector]
"""Gap [mm], unit normal from core to hull, and unit direction of the hull's nearest edge."""


@inner
def separated(axis: Vector, half: float, radius: float, hull: Floats) -> Apart:
    """Signed gap, normal and edge of a core centred at the origin and a hull (V, 3); see `separation`."""
    gap, normal, edge = _nearest(axis, half, radius, hull, (0.0, 0.0, 0.0))
    if gap >= _NEAR:
        return gap, normal, edge
    deep, across = deepest(axis, half, radius, hull)
    if gap > TOUCHING:
        known = plane_gap(axis, half, radius, hull, normal)
        if known > deep:
            deep, across = known, normal
    if len(hull) > 2:
        shift = times(max(_MOVED_APART - deep, 0.0), across)
        edge = _nearest(axis, half, radius, hull, shift)[2]
    return deep, across, edge


@inner
def _nearest(axis: Vector, half: float, radius: float, hull: Floats, shift: Vector) -> Apart:
    """Gap, 0 where they meet, normal and edge of a core and a shifted hull."""
    start = plus(row(hull, 0), 1.0, shift)
    if len(hull) == 2:
        span = plus(row(hull, 1), -1.0, row(hull, 0))
        _, gap, normal = nearest_on_segment(axis, half, radius, start, span)
        return gap, normal, _unit(span)
    gap, normal, point = inf, axis, start
    for index in range(len(hull)):
        start, span = _edge(hull, index, shift)
        u, far, away = nearest_on_segment(axis, half, radius, start, span)
        if far < gap:
            gap, normal, point = far, away, plus(start, u, span)
    over, face, foot = _over_face(axis, half, radius, hull, shift)
    if over:
        rise = dot(face, axis)
        height = dot(face, plus(row(hull, 0), 1.0, shift))
        gap = max(height - half * abs(rise) - radius * length(plus(face, -rise, axis)), 0.0)
        normal, point = face, foot
    return gap, normal, _nearest_edge(hull, shift, point)


@inner
def _edge(hull: Floats, index: int, shift: Vector) -> tuple[Vector, Vector]:
    """Start and span of one edge of a shifted polygon."""
    start = row(hull, index)
    return plus(start, 1.0, shift), plus(row(hull, (index + 1) % len(hull)), -1.0, start)


@inner
def _over_face(axis: Vector, half: float, radius: float, hull: Floats, shift: Vector) -> tuple[bool, Vector, Vector]:
    """Whether the core lies over the polygon's face, the face's normal away from the core, and the point below it."""
    face = polygon_normal(hull)
    height = dot(face, plus(row(hull, 0), 1.0, shift))
    away = times(-1.0, face) if height < 0.0 else face
    height = abs(height)
    rise = dot(away, axis)
    flat = plus(away, -rise, axis)
    size = length(flat)
    outward = times(1.0 / size, flat) if size > _FACE_ON else (0.0, 0.0, 0.0)
    outward = plus(outward, -dot(outward, axis), axis)
    support = plus(times(half * np.sign(rise), axis), radius, outward)
    extent = half * abs(rise) + radius * size
    foot = times(height / max(extent, ZERO_LENGTH) if extent > height else 1.0, support)
    foot = plus(foot, max(height - extent, 0.0), away)
    inside = dot(face, face) > 0.5
    for index in range(len(hull)):
        start, span = _edge(hull, index, shift)
        inside = inside and dot(cross(face, span), plus(foot, -1.0, start)) >= 0.0
    return inside, away, foot


@inner
def _nearest_edge(hull: Floats, shift: Vector, point: Vector) -> Vector:
    """Direction of the polygon's edge nearest to a point; edges without length do not count."""
    best, found = inf, (0.0, 0.0, 0.0)
    for index in range(len(hull)):
        start, span = _edge(hull, index, shift)
        square = dot(span, span)
        if square > ZERO_LENGTH**2:
            off = plus(point, -1.0, start)
            off = plus(off, -clipped(dot(off, span) / square, 0.0, 1.0), span)
            if dot(off, off) < best:
                best, found = dot(off, off), span
    return _unit(found)


@inner
def _unit(span: Vector) -> Vector:
    """Direction of a span, zero where it has no length."""
    size = length(span)
    return times(1.0 / size, span) if size > ZERO_LENGTH else (0.0, 0.0, 0.0)


@kernel
def separations(axis: Floats, half_length: Floats, radius: Floats, vertices: Floats, out: Floats) -> None:
    """Signed gap, normal and edge of N pairs into `out`, shape (N, 7), arguments as of `separation`."""
    for pair in range(len(axis)):
        gap, normal, edge = separated(row(axis, pair), half_length[pair], radius[pair], vertices[pair])
        out[pair, 0] = gap
        for part in range(3):
            out[pair, 1 + part], out[pair, 4 + part] = normal[part], edge[part]
