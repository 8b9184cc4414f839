"""Lower bound of a pair's distance over one cell of poses: the rules of `geometry.contact.bounds` for a single pair.

The hull's corners are the rows of an array, seen from the core's centre. All of them move with one slope, but for a
moving straight, whose ends move away from its middle by its lever times the slope of its direction.
"""

from __future__ import annotations

from math import copysign, inf, sqrt
from typing import Final, NamedTuple

from geometry.contact.bounds import FLATTEST, STEEPEST
from geometry.contact.compiled.jit import inner
from geometry.contact.compiled.vectors import (
    Floats,
    Slopes,
    Vector,
    apply,
    cross,
    dot,
    length,
    path,
    plus,
    reach,
    row,
    sizes,
    steeper,
    swing,
    times,
)

Bound = tuple[float, Vector]
"""Least core distance in the cell [mm], and how it changes by each freedom."""

NONE: Final[Bound] = (-inf, (0.0, 0.0, 0.0))
"""What a rule says that cannot be used."""


class Cell(NamedTuple):
    """A pair in the middle of its cell, with slopes and remainders over the cell.

    Attributes
    ----------
    axis, axis_slope, axis_rest : of the core
    slope, rest : of the hull's middle, from the core's centre
    lever : float
        Half length of a moving straight, else 0 [mm].
    edge_slope, edge_rest : of a moving straight's direction
    size : vector
        Half the cell's extent along each freedom.
    half, radius : float
        Of the core [mm].

    """

    axis: Vector
    axis_slope: Slopes
    axis_rest: Vector
    slope: Slopes
    rest: Vector
    lever: float
    edge_slope: Slopes
    edge_rest: Vector
    size: Vector
    half: float
    radius: float


@inner
def cell_bound(cell: Cell, hull: Floats, normal: Vector, edge: Vector) -> Bound:
    """Best of the rules, for the unit normal from core to hull in the middle and the edge there."""
    best = _held(cell, hull, normal)
    best = _better(best, _face(cell, hull, normal))
    best = _better(best, _tread(cell, hull, normal))
    best = _better(best, _crossing(cell, hull, normal, edge))
    if cell.lever > 0.0:
        best = _better(best, _following(cell, hull, normal, edge))
    return best


@inner
def _better(one: Bound, other: Bound) -> Bound:
    return other if other[0] > one[0] else one


@inner
def _end(cell: Cell, index: int) -> float:
    """How far a corner lies from a moving straight's middle, along its direction."""
    return cell.lever if index else -cell.lever


@inner
def _held(cell: Cell, hull: Floats, normal: Vector) -> Bound:
    """n stays as it is."""
    slope = apply(normal, cell.axis_slope)
    rest = dot(sizes(normal), cell.axis_rest)
    support, lean, _ = _support(cell, dot(normal, cell.axis), slope, rest)
    slope = plus(apply(normal, cell.slope), -lean, slope)
    turn = apply(normal, cell.edge_slope)
    rest = dot(sizes(normal), cell.rest) + abs(lean) * rest
    best = (inf, slope)
    for index in range(len(hull)):
        own = plus(slope, _end(cell, index), turn)
        low = dot(normal, row(hull, index)) - reach(own, cell.size)
        if low < best[0]:
            best = (low, own)
    return best[0] - support - rest, best[1]


@inner
def _support(cell: Cell, along: float, slope: Vector, rest: float) -> tuple[float, float, float]:
    """Upper bound of h |u| + ρ √(1 − u²) over the cell in its middle, its slope by u, and the tangent's root."""
    change = reach(slope, cell.size) + rest
    upper, lower = abs(along + change), abs(along - change)
    side = (upper - lower) / (2.0 * change) if change > 0.0 else copysign(1.0, along) * (along != 0.0)
    turn = path(cell.axis_slope, cell.size)
    own = sqrt(max(1.0 - along * along, 0.0))
    root = max(own, min(turn, STEEPEST), FLATTEST)
    tangent = copysign(sqrt(1.0 - root * root), along)
    fall = tangent / root
    value = cell.half * (upper + lower) / 2.0 + cell.radius * (root - fall * (along - tangent))
    return value, cell.half * side - cell.radius * fall, root


@inner
def _product(
    cell: Cell, vector: Vector, slope: Slopes, rest: Vector, corner: Vector, end: float
) -> tuple[float, Vector, float]:
    """x · w of x = vector and one corner w: value, slope, and a bound of the remainder."""
    corner_slope = steeper(cell.slope, end, cell.edge_slope)
    both = plus(apply(vector, corner_slope), 1.0, apply(corner, slope))
    change = plus(swing(slope, cell.size), 1.0, rest)
    corner_change = plus(swing(corner_slope, cell.size), 1.0, cell.rest)
    left = dot(sizes(vector), cell.rest) + dot(rest, sizes(corner)) + dot(change, corner_change)
    return dot(vector, corner), both, left


@inner
def _face(cell: Cell, hull: Floats, normal: Vector) -> Bound:
    """n stays along the axis: the support is h, and a · w remains."""
    sign = -1.0 if dot(normal, cell.axis) < 0.0 else 1.0
    axis, slopes = times(sign, cell.axis), _times(sign, cell.axis_slope)
    best = (inf, axis)
    for index in range(len(hull)):
        value, slope, rest = _product(cell, axis, slopes, cell.axis_rest, row(hull, index), _end(cell, index))
        low = value - reach(slope, cell.size) - rest
        if low < best[0]:
            best = (low, slope)
    return best[0] - cell.half, best[1]


@inner
def _times(s: float, slopes: Slopes) -> Slopes:
    return (times(s, slopes[0]), times(s, slopes[1]), times(s, slopes[2]))


@inner
def _tread(cell: Cell, hull: Floats, normal: Vector) -> Bound:
    """n is the part across the axis of a fixed direction across it."""
    across = plus(normal, -dot(normal, cell.axis), cell.axis)
    extent = length(across)
    if extent <= 1e-3:
        return NONE
    across = times(1.0 / extent, across)
    tilt_slope = apply(across, cell.axis_slope)
    tilt_rest = dot(sizes(across), cell.axis_rest)
    tilt = reach(tilt_slope, cell.size) + tilt_rest
    shortest = sqrt(max(1.0 - tilt * tilt, 0.0))
    if shortest <= 0.1:
        return NONE
    best = (inf, across)
    for index in range(len(hull)):
        corner, end = row(hull, index), _end(cell, index)
        along, along_slope, along_rest = _product(cell, cell.axis, cell.axis_slope, cell.axis_rest, corner, end)
        slope = plus(apply(across, steeper(cell.slope, end, cell.edge_slope)), -along, tilt_slope)
        rest = tilt_rest * abs(along) + tilt * (reach(along_slope, cell.size) + along_rest)
        low = dot(across, corner) - reach(slope, cell.size) - rest
        if low < best[0]:
            best = (low, slope)
    low = best[0] - dot(sizes(across), cell.rest)
    return (low / shortest if low < 0.0 else low) - cell.radius, best[1]


@inner
def _crossing(cell: Cell, hull: Floats, normal: Vector, edge: Vector) -> Bound:
    """n = a × e / |a × e| with the edge e."""
    across = cross(cell.axis, edge)
    sign = -1.0 if dot(across, normal) < 0.0 else 1.0
    signed, across = times(sign, edge), times(sign, across)
    extent = length(across)
    if extent <= 1e-3:
        return NONE
    slopes = _crossed(cell.axis_slope, signed)
    rests = _cross_rest(sizes(edge), cell.axis_rest)
    skew, skew_slope = dot(cell.axis, edge), apply(edge, cell.axis_slope)
    skew_rest = dot(sizes(edge), cell.axis_rest)
    if cell.lever > 0.0:
        slopes = steeper(slopes, -sign, _crossed(cell.edge_slope, cell.axis))
        axis_change = plus(swing(cell.axis_slope, cell.size), 1.0, cell.axis_rest)
        edge_change = plus(swing(cell.edge_slope, cell.size), 1.0, cell.edge_rest)
        rests = plus(rests, 1.0, _cross_rest(sizes(cell.axis), cell.edge_rest))
        rests = plus(rests, 1.0, _cross_rest(axis_change, edge_change))
        skew_slope = plus(skew_slope, 1.0, apply(cell.axis, cell.edge_slope))
        skew_rest += dot(sizes(cell.axis), cell.edge_rest) + dot(axis_change, edge_change)
    furthest = abs(skew) + reach(skew_slope, cell.size) + skew_rest
    shortest = sqrt(max(1.0 - furthest * furthest, 0.0))
    distance = inf
    for index in range(len(hull)):
        distance = min(distance, dot(across, row(hull, index)) / extent)
    if shortest <= 0.05 or distance < 0.0:
        return NONE
    factor = distance * skew / extent
    best = (inf, across)
    for index in range(len(hull)):
        value, slope, rest = _product(cell, across, slopes, rests, row(hull, index), _end(cell, index))
        slope = plus(slope, factor, skew_slope)
        low = value - reach(slope, cell.size) - rest
        if low < best[0]:
            best = (low, slope)
    low = best[0] - distance * extent - abs(factor) * skew_rest
    return distance + (low / shortest if low < 0.0 else low) - cell.radius, times(1.0 / extent, best[1])


@inner
def _crossed(slopes: Slopes, vector: Vector) -> Slopes:
    return (cross(slopes[0], vector), cross(slopes[1], vector), cross(slopes[2], vector))


@inner
def _cross_rest(size: Vector, rest: Vector) -> Vector:
    """Bound of |x × y| per component for |x| ≤ size and |y| ≤ rest."""
    return (
        size[2] * rest[1] + size[1] * rest[2],
        size[0] * rest[2] + size[2] * rest[0],
        size[1] * rest[0] + size[0] * rest[1],
    )


@inner
def _following(cell: Cell, hull: Floats, normal: Vector, edge: Vector) -> Bound:
    """n = m − t e₀ keeps a fixed m across a straight that turns away from e₀, to second order."""
    across = plus(normal, -dot(normal, edge), edge)
    extent = length(across)
    if extent <= 1e-3 or dot(edge, edge) <= 0.5:
        return NONE
    across = times(1.0 / extent, across)
    size = sizes(across)
    tilt_slope, tilt_rest = apply(across, cell.edge_slope), dot(size, cell.edge_rest)
    tilt = reach(tilt_slope, cell.size) + tilt_rest
    skew = dot(edge, cell.axis)
    skew_swing = reach(apply(edge, cell.axis_slope), cell.size) + dot(sizes(edge), cell.axis_rest)
    along_slope = plus(apply(across, cell.axis_slope), -skew, tilt_slope)
    along_rest = dot(size, cell.axis_rest) + tilt_rest * abs(skew) + tilt * skew_swing
    support, lean, root = _support(cell, dot(across, cell.axis), along_slope, along_rest)
    support += cell.radius * tilt * tilt / (2.0 * root)
    best = (inf, across)
    for index in range(len(hull)):
        corner = row(hull, index)
        corner_slope = steeper(cell.slope, _end(cell, index), cell.edge_slope)
        behind = dot(edge, corner)
        behind_swing = reach(apply(edge, corner_slope), cell.size) + dot(sizes(edge), cell.rest)
        slope = plus(plus(apply(across, corner_slope), -behind, tilt_slope), -lean, along_slope)
        low = dot(across, corner) - reach(slope, cell.size) - tilt_rest * abs(behind) - tilt * behind_swing
        if low < best[0]:
            best = (low, slope)
    low = best[0] - support - dot(size, cell.rest) - abs(lean) * along_rest
    return (low / sqrt(1.0 + tilt * tilt) if low > 0.0 else low), best[1]
