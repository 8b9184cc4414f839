"""One core and one segment apart: `geometry.contact.nearest` for a single pair."""

from __future__ import annotations

from math import copysign, inf, sqrt

from geometry.contact.compiled.jit import inner
from geometry.contact.compiled.vectors import Vector, clipped, dot, plus, times
from geometry.contact.nearest import _STEP, _STEPS, TOUCHING, ZERO_LENGTH


@inner
def nearest_on_segment(
    axis: Vector, half: float, radius: float, start: Vector, span: Vector
) -> tuple[float, float, Vector]:
    """Place on the segment ``start + u span``, gap, and unit normal from core to segment; see `nearest_on_segments`."""
    y, dy = dot(axis, start), dot(axis, span)
    p, q = plus(start, -y, axis), plus(span, -dy, axis)
    qq, pq = dot(q, q), dot(p, q)
    waist = -pq / qq if qq > ZERO_LENGTH**2 else 0.0
    closest = plus(p, waist, q)
    reach2 = dot(closest, closest)
    low, high = _bracket(half, radius, y, dy, qq, waist, reach2)
    u = 0.5 * (low + high)
    if low < high:
        u = _rim_root(low, high, half, radius, y, dy, qq, pq, waist, reach2)
    y += u * dy
    p = plus(p, u, q)
    r = sqrt(dot(p, p))
    end = y - clipped(y, -half, half)
    side = max(r - radius, 0.0)
    gap = sqrt(end * end + side * side)
    if gap <= TOUCHING:
        return u, gap, (0.0, 0.0, 0.0)
    normal = plus(times(end / gap, axis), side / (gap * r) if r > 0.0 else 0.0, p)
    return u, gap, _straightened(normal, span, qq + dy * dy, u)


@inner
def _slope(u: float, half: float, radius: float, y: float, dy: float, qq: float, waist: float, reach2: float) -> float:
    """Half the slope of f² at a place on the segment."""
    level = y + u * dy
    off = u - waist
    r = sqrt(reach2 + qq * off * off)
    level -= clipped(level, -half, half)
    return level * dy + qq * off * max(1.0 - radius / max(r, ZERO_LENGTH), 0.0)


@inner
def _narrowed(low: float, high: float, place: float, slope: float) -> tuple[float, float]:
    if slope <= 0.0:
        low = max(low, place)
    if slope >= 0.0:
        high = min(high, place)
    return low, high


@inner
def _bracket(
    half: float, radius: float, y: float, dy: float, qq: float, waist: float, reach2: float
) -> tuple[float, float]:
    """Neighbouring places between which the slope changes sign; low >= high where it is zero or at an end."""
    low, high = _narrowed(0.0, 1.0, 0.0, _slope(0.0, half, radius, y, dy, qq, waist, reach2))
    low, high = _narrowed(low, high, 1.0, _slope(1.0, half, radius, y, dy, qq, waist, reach2))
    if low >= high:
        return low, high
    chord = sqrt(max(radius * radius - reach2, 0.0) / qq) if qq > ZERO_LENGTH**2 else 0.0
    for place in (waist, waist - chord, waist + chord):
        if low < place < high:
            low, high = _narrowed(low, high, place, _slope(place, half, radius, y, dy, qq, waist, reach2))
    if abs(dy) > ZERO_LENGTH:
        for level in (half, -half):
            place = (level - y) / dy
            if low < place < high:  # in the end's plane: rounding must not look like a slope
                low, high = _narrowed(low, high, place, _slope(place, inf, radius, y, dy, qq, waist, reach2))
    return low, high


@inner
def _rim_root(
    low: float,
    high: float,
    half: float,
    radius: float,
    y: float,
    dy: float,
    qq: float,
    pq: float,
    waist: float,
    reach2: float,
) -> float:
    """Root of the slope where the rim is nearest, by Newton from the side on which the slope is steeper."""
    middle = 0.5 * (low + high)
    if reach2 + qq * (middle - waist) ** 2 < radius * radius:  # a disc's face: only rounding leads here
        qq, pq = 0.0, 0.0
    offset = (y - copysign(half, y + middle * dy)) * dy + pq
    square = max(dy * dy + qq, ZERO_LENGTH**2)
    u = (copysign(radius * sqrt(qq), middle - waist) - offset) / square
    u = clipped(u, low, high)
    pull = radius * qq
    waists = pull * reach2
    for _ in range(_STEPS):
        s = u - waist
        r2 = max(reach2 + qq * s * s, ZERO_LENGTH**2)
        inverse = 1.0 / sqrt(r2)
        step = (square * u + offset - pull * s * inverse) / max(square - waists * inverse / r2, 1e-9 * square)
        u -= step
        if step * step <= _STEP**2 / square:
            break
    return clipped(u, low, high)


@inner
def _straightened(normal: Vector, span: Vector, square: float, u: float) -> Vector:
    """The normal less what points along the segment against the nearest point's place on it."""
    if square <= ZERO_LENGTH**2:
        return normal
    tilt = dot(normal, span)
    if u <= 0.0:
        tilt = min(tilt, 0.0)
    elif u >= 1.0:
        tilt = max(tilt, 0.0)
    return plus(normal, -tilt / square, span)
