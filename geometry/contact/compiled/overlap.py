"""One core and one hull overlapping: `geometry.contact.overlap` for a single pair."""

from __future__ import annotations

from math import copysign, inf, sqrt

from geometry.contact.compiled.jit import inner
from geometry.contact.compiled.vectors import Floats, Vector, clipped, cross, dot, length, plus, row, times
from geometry.contact.overlap import _ALIGNED, _ON_AXIS, _SLIVER, _STEP, _STEPS

Best = tuple[float, Vector]
"""Largest gap of two parallel planes found so far, and their normal."""


@inner
def plane_gap(axis: Vector, half: float, radius: float, hull: Floats, normal: Vector) -> float:
    """Gap between the two planes across `normal` that touch core and hull (V, 3) [mm]."""
    rise = dot(normal, axis)
    flat = plus(normal, -rise, axis)
    least = inf
    for index in range(len(hull)):
        least = min(least, dot(normal, row(hull, index)))
    return least - half * abs(rise) - radius * length(flat)


@inner
def deepest(axis: Vector, half: float, radius: float, hull: Floats) -> Best:
    """Signed gap and normal of the best separating direction of a core and a hull (V, 3) that overlap."""
    least, most = inf, -inf
    for index in range(len(hull)):
        rise = dot(axis, row(hull, index))
        least, most = min(least, rise), max(most, rise)
    best = _better((-inf, axis), axis, half, radius, hull, times(copysign(1.0, least + most), axis))
    if len(hull) == 2:
        return _with_edge(best, axis, half, radius, hull, 0)
    face = polygon_normal(hull)
    best = _better(best, axis, half, radius, hull, face)
    best = _better(best, axis, half, radius, hull, times(-1.0, face))
    for index in range(len(hull)):
        best = _with_edge(best, axis, half, radius, hull, index)
    return best


@inner
def polygon_normal(hull: Floats) -> Vector:
    """Unit normal of a polygon, zero where it has no area."""
    first = row(hull, 0)
    area = (0.0, 0.0, 0.0)
    longest = 0.0
    before = plus(row(hull, 1), -1.0, first)
    for index in range(1, len(hull)):
        spoke = plus(row(hull, index), -1.0, first)
        area = plus(area, 1.0, cross(before, spoke))
        longest = max(longest, dot(spoke, spoke))
        before = spoke
    size = length(area)
    return times(1.0 / size, area) if size > _SLIVER * longest else (0.0, 0.0, 0.0)


@inner
def _better(best: Best, axis: Vector, half: float, radius: float, hull: Floats, normal: Vector) -> Best:
    if dot(normal, normal) < 0.5:
        return best
    gap = plane_gap(axis, half, radius, hull, normal)
    return (gap, normal) if gap > best[0] else best


@inner
def _with_edge(best: Best, axis: Vector, half: float, radius: float, hull: Floats, index: int) -> Best:
    """The better one of `best` and the candidates of one edge: across the axis, across the edge, and on the rim."""
    start = row(hull, index)
    span = plus(row(hull, (index + 1) % len(hull)), -1.0, start)
    y, dy = dot(axis, start), dot(axis, span)
    p, q = plus(start, -y, axis), plus(span, -dy, axis)
    width = length(q)
    whole = sqrt(width * width + dy * dy)
    if width <= _ALIGNED * whole or whole == 0.0:
        return _better(best, axis, half, radius, hull, _away(axis, p, (0.0, 0.0, 0.0)))
    q_unit = times(1.0 / width, q)
    sine, cosine = width / whole, dy / whole
    side = cross(axis, q_unit)
    along = dot(q_unit, p)
    x_up, x_side = sine * y - cosine * along, dot(side, p)
    up = times(copysign(1.0, x_up), plus(times(sine, axis), -cosine, q_unit))
    side = times(copysign(1.0, x_side), side)
    u = -along / width
    across = side if 0.0 < u < 1.0 else _away(axis, plus(p, clipped(u, 0.0, 1.0), q), side)
    best = _better(best, axis, half, radius, hull, across)
    bulge = radius * sine * sine
    ways = 1 if len(hull) == 2 else 2
    for turn in range(ways):
        way = 1.0 - 2.0 * turn
        n_up, n_side = _ellipse_normal(bulge, abs(cosine), way * abs(x_up) - half * sine, abs(x_side))
        best = _better(best, axis, half, radius, hull, plus(times(way * n_up, up), n_side, side))
        if ways == 2:
            best = _better(best, axis, half, radius, hull, times(way, side))
    return best


@inner
def _away(axis: Vector, foot: Vector, side: Vector) -> Vector:
    """Unit normal across the axis towards a point, any one if that lies on the axis."""
    r = length(foot)
    if r > _ON_AXIS:
        return times(1.0 / r, foot)
    if dot(side, side) > 0.5:
        return side
    flat = (-axis[1], axis[0], 0.0) if abs(axis[2]) < 0.8 else (0.0, -axis[2], axis[1])
    return times(1.0 / length(flat), flat)


@inner
def _no_zero(x: float) -> float:
    return x if x != 0.0 else 1.0


@inner
def _ellipse_normal(bulge: float, cosine: float, middle: float, aside: float) -> tuple[float, float]:
    """Unit normal (up, side) at the nearest point of the end disc's ellipse, as in `geometry.contact.overlap`."""
    lever = cosine * middle
    steep = bulge * sqrt(0.5) + lever < aside
    slope, target = (-aside, -lever) if steep else (lever, aside)
    z = (bulge + lever) / _no_zero(aside) if steep else aside / _no_zero(bulge + lever)
    z = clipped(z, 0.0, 1.0)
    for _ in range(_STEPS):
        w2 = 1.0 / (1.0 + z * z)
        pull = bulge * sqrt(w2)
        last = z
        z = clipped(z - (z * (pull + slope) - target) / _no_zero(pull * w2 + slope), 0.0, 1.0)
        if abs(z - last) <= _STEP:
            break
    up, side = (z, cosine) if steep else (1.0, cosine * z)
    size = _no_zero(sqrt(up * up + side * side))
    return up / size, side / size
