"""Core and hull overlapping: the smallest translation that separates them.

The depth is the distance from the origin to the boundary of the Minkowski difference. From inside a convex body the
nearest boundary point is a smooth one, so only normals of its smooth pieces can be the answer; each piece gives its
candidates, and the plane's gap decides. A candidate too many cannot do harm: every plane's gap is a lower bound.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from geometry.contact.nearest import Cores, cross, dot
from geometry.rig.layout import Floats

_ALIGNED: Final = 1e-9
"""Sine of the angle to the axis under which an edge counts as parallel [-]: a micrometre over a metre of tube."""

_ON_AXIS: Final = 1e-9
"""Distance from the axis under which no direction across it is preferred [mm]; rounding reaches 1e-12."""

_STEP: Final = 1e-7
"""Newton's last step for the ellipse's normal [-]; the depth's error is the radius times this squared."""

_STEPS: Final = 30
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
        nearest = np.minimum(
            nearest, np.einsum("i...n,in->...n", normal, hull[:, vertex])
        )
    gap: Floats = (
        nearest - cores.half * np.abs(rise) - cores.radius * np.sqrt(dot(flat, flat))
    )
    return gap


def deepest(cores: Cores, hull: Floats, known: Floats) -> tuple[Floats, Floats]:
    """Signed gap (N,) and normal (3, N) of the best separating direction.

    Parameters
    ----------
    cores : Cores
    hull : array, shape (3, V, N)
        Vertices of segments (V = 2) or of planar convex polygons [mm].
    known : array, shape (3, N)
        Normals found otherwise; zeros where there is none.

    """
    candidates = [known[:, None], cores.axis[:, None], -cores.axis[:, None]]
    if hull.shape[1] == 2:
        candidates.append(
            _edge_normals(cores, hull[:, 0], hull[:, 1] - hull[:, 0], far_side=False)
        )
    else:
        candidates.extend(_polygon_normals(cores, hull))
    normals = np.concatenate(candidates, axis=1)
    gaps = np.where(
        dot(normals, normals) > 0.5, plane_gap(cores, hull, normals), -np.inf
    )
    best = gaps.argmax(axis=0)[None]
    gap = np.take_along_axis(gaps, best, axis=0)[0]
    return gap, np.take_along_axis(normals, best[None], axis=1)[:, 0]


def polygon_normal(hull: Floats) -> Floats:
    """Unit normals (3, N) of polygons (3, V, N), zeros where one has no area."""
    spokes = hull[:, 1:] - hull[:, :1]
    area = cross(spokes[:, :-1], spokes[:, 1:]).sum(axis=1)
    size = np.sqrt(dot(area, area))
    unit: Floats = area / np.where(size > 0.0, size, np.inf)
    return unit


def _polygon_normals(cores: Cores, hull: Floats) -> list[Floats]:
    """Candidates of every edge, both ways, and of the face."""
    count, n = hull.shape[1:]
    every = np.tile(np.arange(n), count)
    spans = np.roll(hull, -1, axis=1) - hull
    edges = _edge_normals(
        cores.take(every), hull.reshape(3, -1), spans.reshape(3, -1), far_side=True
    )
    face = polygon_normal(hull)[:, None]
    return [edges.reshape(3, -1, n), face, -face]


def _edge_normals(
    cores: Cores, start: Floats, span: Floats, *, far_side: bool
) -> Floats:
    """Candidates (3, k, N) of one edge: across the axis, across axis and edge, and rim against edge.

    Zeros stand where a candidate does not exist. `far_side` adds the opposite ways, which win only where a polygon
    reaches back from its edge.
    """
    axis = cores.axis
    y, dy = dot(axis, start), dot(axis, span)
    p, q = start - y * axis, span - dy * axis
    width = np.sqrt(dot(q, q))
    length = _no_zero(np.hypot(width, dy))
    scale = 1.0 / np.where(width > _ALIGNED * length, width, np.inf)
    q_unit = scale * q
    sine, cosine = width / length, dy / length
    up, side = sine * axis - cosine * q_unit, cross(axis, q_unit)
    along = dot(q_unit, p)
    foot = p + np.minimum(np.maximum(-along * scale, 0.0), 1.0) * q
    r = np.sqrt(dot(foot, foot))
    across = np.where(
        r > _ON_AXIS, foot / np.where(r > _ON_AXIS, r, 1.0), _any_across(axis)
    )

    x_up, x_side = sine * y - cosine * along, dot(side, p)
    side = np.copysign(scale > 0.0, x_side) * side
    up = np.copysign(scale > 0.0, x_up) * up
    bulge, middle = cores.radius * sine * sine, cores.half * sine
    n_up, n_side = _ellipse_normal(
        bulge, np.abs(cosine), np.abs(x_up) - middle, np.abs(x_side)
    )
    normals = [across, side, n_up * up + n_side * side]
    if far_side:
        n_up, n_side = _ellipse_normal(
            bulge, np.abs(cosine), -np.abs(x_up) - middle, np.abs(x_side)
        )
        normals += [-side, n_side * side - n_up * up]
    return np.stack(normals, axis=1)


def _ellipse_normal(
    bulge: Floats, cosine: Floats, middle: Floats, aside: Floats
) -> tuple[Floats, Floats]:
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
    first = np.where(steep, bulge + lever, aside) / _no_zero(
        np.where(steep, aside, bulge + lever)
    )
    z = np.minimum(np.maximum(first, 0.0), 1.0)
    for _ in range(_STEPS):
        w2 = 1.0 / (1.0 + z * z)
        pull = bulge * np.sqrt(w2)
        last, z = z, z - (z * (pull + slope) - target) / _no_zero(pull * w2 + slope)
        np.minimum(np.maximum(z, 0.0, out=z), 1.0, out=z)
        if not np.any(np.abs(z - last) > _STEP):
            break
    up, side = np.where(steep, z, 1.0), np.where(steep, cosine, cosine * z)
    size = _no_zero(np.hypot(up, side))
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
