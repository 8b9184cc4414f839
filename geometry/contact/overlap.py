"""Core and hull overlapping: the smallest translation that separates them.

The depth is the distance from the origin to the boundary of the Minkowski difference. From inside a convex body the
nearest boundary point is a smooth one, so only normals of its smooth pieces can be the answer; each piece gives its
candidates, and the plane's gap decides. A candidate too many cannot do harm: every plane's gap is a lower bound.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.nearest import Cores, cross, dot
from geometry.rig.layout import Floats

_ALIGNED: Final = 1e-10
"""Sine of the angle to the axis under which an edge counts as parallel [-]: 1e-7 mm over a metre of tube."""

_SLIVER: Final = 1e-9
"""Breadth over length under which a polygon has no face [-]: its edges are a micrometre apart then."""

_ON_AXIS: Final = 1e-6
"""Distance from the axis under which no direction across it is preferred [mm]: so much depth is lost at most."""

_STEP: Final = 1e-6
"""Newton's last step for the ellipse's normal [-]; the depth's error is the radius times this squared."""

_STEPS: Final = 12
"""Most Newton steps for the ellipse. Four are usual; near its evolute each halves the rest."""


def plane_gap(cores: Cores, hull: Floats, normal: Floats) -> Floats:
    """Gap between the two planes across `normal` (3, ..., N) that touch core and hull (3, V, N) [mm].

    Notes
    -----
    min_i n·w_i - (h |n·a| + ρ |n - (n·a) a|); the last term by subtraction, since sqrt(1 - (n·a)²) turns 1e-16 into
    1e-8 near the axis, which 500 mm of radius make visible.

    """
    rise = np.einsum("i...n,in->...n", normal, cores.axis)
    shape = (3,) + (1,) * (normal.ndim - 2) + (-1,)
    flat = normal - rise * cores.axis.reshape(shape)
    nearest: Floats = np.einsum("i...n,in->...n", normal, hull[:, 0])
    for vertex in range(1, hull.shape[1]):
        nearest = np.minimum(nearest, np.einsum("i...n,in->...n", normal, hull[:, vertex]))
    gap: Floats = nearest - cores.half * np.abs(rise) - cores.radius * np.sqrt(dot(flat, flat))
    return gap


def deepest(cores: Cores, hull: Floats) -> tuple[Floats, Floats]:
    """Signed gap (N,) and normal (3, N) of the best separating direction of cores and hulls (3, V, N) that overlap."""
    rises = np.einsum("in,ivn->vn", cores.axis, hull)
    end = np.copysign(1.0, rises.min(axis=0) + rises.max(axis=0)) * cores.axis
    others = _segment_normals(cores, hull) if hull.shape[1] == 2 else _polygon_normals(cores, hull)
    normals = np.stack((end, *others), axis=1)
    gaps = plane_gap(cores, hull, normals)
    gaps[dot(normals, normals) < 0.5] = -np.inf
    best = gaps.argmax(axis=0)[None]
    gap = np.take_along_axis(gaps, best, axis=0)[0]
    return gap, np.take_along_axis(normals, best[None], axis=1)[:, 0]


def polygon_normal(hull: Floats) -> Floats:
    """Unit normals (3, N) of polygons (3, V, N), zeros where one has no area."""
    spokes = hull[:, 1:] - hull[:, :1]
    area = cross(spokes[:, :-1], spokes[:, 1:]).sum(axis=1)
    size = np.sqrt(dot(area, area))
    least = _SLIVER * dot(spokes, spokes).max(axis=0)
    unit: Floats = area / np.where(size > least, size, np.inf)
    return unit


@dataclass(frozen=True, slots=True)
class _Edges:
    """Edges seen along themselves: the core's end disc is an ellipse there, the edge a point.

    Attributes
    ----------
    up, side : array, shape (3, N)
        Unit vectors across the edge, in the plane of edge and axis and across that plane, turned so that the edge
        lies on the positive side of both; zeros when the edge is parallel to the axis.
    sine, cosine : array, shape (N,)
        Of the acute angle between edge and axis [-].
    x_up, x_side : array, shape (N,)
        Where the edge lies [mm], not negative.
    foot : array, shape (3, N)
        Point nearest to the axis, less its axial part [mm].
    inner : array of bool, shape (N,)
        Whether that point lies between the edge's ends.

    """

    up: Floats
    side: Floats
    sine: Floats
    cosine: Floats
    x_up: Floats
    x_side: Floats
    foot: Floats
    inner: NDArray[np.bool_]


def _edges(axis: Floats, start: Floats, span: Floats) -> _Edges:
    y, dy = dot(axis, start), dot(axis, span)
    p, q = start - y * axis, span - dy * axis
    width2 = dot(q, q)
    width = np.sqrt(width2)
    length = _no_zero(np.sqrt(width2 + dy * dy))
    exists = width > _ALIGNED * length
    scale = 1.0 / np.where(exists, width, np.inf)
    q_unit = scale * q
    sine, cosine = width / length, dy / length
    side = cross(axis, q_unit)
    along = dot(q_unit, p)
    x_up, x_side = sine * y - cosine * along, dot(side, p)
    up = np.copysign(exists, x_up) * (sine * axis - cosine * q_unit)
    side *= np.copysign(1.0, x_side)
    u = -along * scale
    foot = p + np.minimum(np.maximum(u, 0.0), 1.0) * q
    inner = exists & (u > 0.0) & (u < 1.0)
    return _Edges(up, side, sine, np.abs(cosine), np.abs(x_up), np.abs(x_side), foot, inner)


def _segment_normals(cores: Cores, hull: Floats) -> list[Floats]:
    """Candidates across the axis, and of the rim against the segment."""
    edges = _edges(cores.axis, hull[:, 0], hull[:, 1] - hull[:, 0])
    return [_across(cores, edges), _rim(cores, edges, 1.0)]


def _polygon_normals(cores: Cores, hull: Floats) -> list[Floats]:
    """Candidates of every edge, and of the face.

    A polygon may reach back from its edge, so that the opposite ways can win too.
    """
    count, n = hull.shape[1:]
    every = cores.take(np.tile(np.arange(n), count))
    spans = np.roll(hull, -1, axis=1) - hull
    edges = _edges(every.axis, hull.reshape(3, -1), spans.reshape(3, -1))
    face = polygon_normal(hull)
    normals = (_across(every, edges), edges.side, -edges.side, _rim(every, edges, 1.0), _rim(every, edges, -1.0))
    return [face, -face, *np.concatenate(normals, axis=1).reshape(3, -1, n).transpose(1, 0, 2)]


def _across(cores: Cores, edges: _Edges) -> Floats:
    """Unit normal across the axis towards the edge's nearest point, any one if that lies on the axis."""
    r = np.sqrt(dot(edges.foot, edges.foot))
    clear = r > _ON_AXIS
    across = np.where(edges.inner, edges.side, edges.foot / np.where(clear, r, 1.0))
    on_axis = np.flatnonzero(~(edges.inner | clear))
    if on_axis.size:
        side = edges.side[:, on_axis]
        across[:, on_axis] = np.where(dot(side, side) > 0.5, side, _any_across(cores.axis[:, on_axis]))
    return across


def _rim(cores: Cores, edges: _Edges, way: float) -> Floats:
    """Unit normal where the end disc's ellipse is nearest to the edge, on its side (`way` 1) or the far one (-1)."""
    middle = way * edges.x_up - cores.half * edges.sine
    n_up, n_side = _ellipse_normal(cores.radius * edges.sine * edges.sine, edges.cosine, middle, edges.x_side)
    return (way * n_up) * edges.up + n_side * edges.side


def _ellipse_normal(bulge: Floats, cosine: Floats, middle: Floats, aside: Floats) -> tuple[Floats, Floats]:
    """Unit normal (up, side) at the nearest point of the end disc's ellipse seen along the edge.

    The ellipse has the half axes ρ c (up) and ρ (side), c = |cosine| of edge to axis. With `bulge` = ρ (1 - c²), the
    point at (`middle`, `aside` >= 0) from its centre and normal ∝ (cos φ, c sin φ), the foot obeys
    bulge τ / sqrt(1 + τ²) + c middle τ - aside = 0, τ = tan φ; and with σ = cot φ the same with other coefficients.
    Both are concave, so Newton from the outer side of the one that is under 1 does not overstep, also with the point
    beyond the ellipse's centre.
    """
    lever = cosine * middle
    steep = bulge * np.sqrt(0.5) + lever < aside
    slope, target = np.where(steep, -aside, lever), np.where(steep, -lever, aside)
    first = np.where(steep, bulge + lever, aside) / _no_zero(np.where(steep, aside, bulge + lever))
    z = np.minimum(np.maximum(first, 0.0), 1.0)
    for _ in range(_STEPS):
        w2 = 1.0 / (1.0 + z * z)
        pull = bulge * np.sqrt(w2)
        last, z = z, z - (z * (pull + slope) - target) / _no_zero(pull * w2 + slope)
        np.minimum(np.maximum(z, 0.0, out=z), 1.0, out=z)
        if not np.any(np.abs(z - last) > _STEP):
            break
    up, side = np.where(steep, z, 1.0), np.where(steep, cosine, cosine * z)
    size = _no_zero(np.sqrt(up * up + side * side))
    return up / size, side / size


def _no_zero(values: Floats) -> Floats:
    """The same values with 1 for 0, to divide by."""
    return np.where(values == 0.0, 1.0, values)


def _any_across(axis: Floats) -> Floats:
    """Some unit vector across each axis."""
    zero = np.zeros_like(axis[0])
    flat = np.where(
        np.abs(axis[2]) < 0.8,
        np.stack((-axis[1], axis[0], zero)),
        np.stack((zero, -axis[2], axis[1])),
    )
    return flat / np.sqrt(dot(flat, flat))
