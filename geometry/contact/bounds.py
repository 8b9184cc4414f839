"""Lower bounds of a pair's distance over a whole cell of poses.

For any unit normal n, however chosen in each pose, the gap between the two planes normal to n,

    gap(n) = min over corners n · w  −  h |n · a|  −  ρ √(1 − (n · a)²),

with w the hull's corners seen from the core's centre, a the core's axis, h its half length and ρ its radius, is
at most the signed distance of core and hull. So a normal that is best in the middle of a cell and is then carried
through the cell by some rule bounds the distance everywhere in the cell. Four rules are tried and the best counts;
each loses to second order only for one way of touching:

held     n stays as it is (a rim against a straight, anything against a face), but keeps across a moving straight
face     n stays along the axis (the tire's flat side)
tread    n is kept across the axis (the tread against a corner)
crossing n stays across both the axis and one edge (the tread, or a link, across a straight)

In a cell |uⱼ| ≤ dⱼ every quantity x is x₀ + Σ xⱼ uⱼ up to a remainder |x − …| ≤ hx, given component by component.
Linear parts are exact, so a cell loses only what remainders and products of two changes cost.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STEEPEST: Final = 0.2
"""Largest root √(1 − u²) at which the rim's tangent is taken although u itself lies nearer to 1 [-]. Any tangent is a
valid bound, since the root is concave; one taken about as far from 1 as the axis swings in the cell loses least."""

FLATTEST: Final = 1e-4
"""Least root at which a tangent is taken [-]: nearer to the axis the rule `face` is exact."""


@dataclass(frozen=True)
class Local:
    """n pairs, each in the middle of its cell, with slopes and remainders over the cell.

    Attributes
    ----------
    corners : array, shape (n, v, 3)
        Hull's corners from the core's centre [mm].
    corner_slope : array, shape (n, 1 or v, 3, k)
    corner_rest : array, shape (n, 1 or v, 3)
    axis, axis_rest : array, shape (n, 3)
    axis_slope : array, shape (n, 3, k)
    size : array, shape (n, k)
        Half the cell's extent dⱼ.
    half_length, radius : array, shape (n,)
        The core's h and ρ [mm].
    edge_motion : (slope, rest) or None
        How the direction of the hull's straight, first corner to second, turns, shapes (n, 3, k) and (n, 3);
        None = it does not.

    """

    corners: Floats
    corner_slope: Floats
    corner_rest: Floats
    axis: Floats
    axis_slope: Floats
    axis_rest: Floats
    size: Floats
    half_length: Floats
    radius: Floats
    edge_motion: tuple[Floats, Floats] | None = None


@dataclass(frozen=True)
class Bound:
    """low : array (n,), no pose of the cell has a smaller core distance [mm]; slope : array (n, k), how it changes."""

    low: Floats
    slope: Floats


def cell_bound(cells: Local, normal: Floats, edge: Floats) -> Bound:
    """Best of the four rules.

    Parameters
    ----------
    cells : Local
    normal : array, shape (n, 3)
        Unit normal from core to hull in the middle of the cell.
    edge : array, shape (n, 3)
        Unit direction of the hull's edge nearest to the core; zero if there is none.

    """
    best = _held(cells, normal)
    others = [_face(cells, normal), _tread(cells, normal), _crossing(cells, normal, edge)]
    if cells.edge_motion is not None:
        others.append(_following(cells, normal, edge, cells.edge_motion))
    for other in others:
        better = other.low > best.low
        best = Bound(np.where(better, other.low, best.low), np.where(better[:, None], other.slope, best.slope))
    return best


def _held(cells: Local, normal: Floats) -> Bound:
    """n stays as it is."""
    along_slope = _apply(normal, cells.axis_slope)
    along_rest = _dot(np.abs(normal), cells.axis_rest)
    support, lean, _ = _support(cells, _dot(normal, cells.axis), along_slope, along_rest)
    slope = _apply(normal[:, None], cells.corner_slope) - (lean[:, None] * along_slope)[:, None]
    rest = _dot(np.abs(normal)[:, None], cells.corner_rest) + (np.abs(lean) * along_rest)[:, None]
    return _least(_dot(normal[:, None], cells.corners) - support[:, None], slope, rest, cells.size)


def _following(cells: Local, normal: Floats, edge: Floats, motion: tuple[Floats, Floats]) -> Bound:
    """n = m − t e₀ with t = m · e keeps a fixed m across a straight that turns away from e₀, to second order.

    |n|² = 1 + t², so the core's support is at most that of `_support` for u = m · a − t e₀ · a, plus ρ t² / (2 root),
    and dividing by |n| only shrinks a gap that is apart.
    """
    across = normal - _dot(normal, edge)[:, None] * edge
    length = np.sqrt(_dot(across, across))
    usable = (length > 1e-3) & (_dot(edge, edge) > 0.5)
    across = across / np.maximum(length, 1e-3)[:, None]
    size = np.abs(across)
    tilt_slope = _apply(across, motion[0])
    tilt_rest = _dot(size, motion[1])
    tilt = _dot(np.abs(tilt_slope), cells.size) + tilt_rest
    skew, skew_slope = _dot(edge, cells.axis), _apply(edge, cells.axis_slope)
    skew_swing = _dot(np.abs(skew_slope), cells.size) + _dot(np.abs(edge), cells.axis_rest)
    along_slope = _apply(across, cells.axis_slope) - skew[:, None] * tilt_slope
    along_rest = _dot(size, cells.axis_rest) + tilt_rest * np.abs(skew) + tilt * skew_swing
    support, lean, root = _support(cells, _dot(across, cells.axis), along_slope, along_rest)
    support = support + cells.radius * tilt * tilt / (2.0 * root)
    behind = _dot(edge[:, None], cells.corners)
    behind_slope = _apply(edge[:, None], cells.corner_slope)
    behind_swing = _dot(np.abs(behind_slope), cells.size[:, None]) + _dot(np.abs(edge)[:, None], cells.corner_rest)
    slope = _apply(across[:, None], cells.corner_slope) - behind[:, :, None] * tilt_slope[:, None]
    rest = _dot(size[:, None], cells.corner_rest) + tilt_rest[:, None] * np.abs(behind) + tilt[:, None] * behind_swing
    slope = slope - (lean[:, None] * along_slope)[:, None]
    rest = rest + (np.abs(lean) * along_rest)[:, None]
    bound = _least(_dot(across[:, None], cells.corners) - support[:, None], slope, rest, cells.size)
    low = np.where(bound.low > 0.0, bound.low / np.sqrt(1.0 + tilt * tilt), bound.low)
    return Bound(np.where(usable, low, -np.inf), bound.slope)


def _support(cells: Local, along: Floats, slope: Floats, rest: Floats) -> tuple[Floats, Floats, Floats]:
    """Upper bound of h |u| + ρ √(1 − u²) over the cell, u = along + slope · x up to rest.

    |u| lies under its chord over the cell, √(1 − u²) under a tangent. Returns the bound in the cell's middle, its
    slope by u, and the tangent's root.
    """
    swing = _dot(np.abs(slope), cells.size) + rest
    upper, lower = np.abs(along + swing), np.abs(along - swing)
    side = np.where(swing > 0.0, (upper - lower) / np.maximum(2.0 * swing, 1e-300), np.sign(along))
    turn = _dot(np.sqrt((cells.axis_slope * cells.axis_slope).sum(axis=1)), cells.size)
    own = np.sqrt(np.maximum(1.0 - along * along, 0.0))
    root = np.maximum(np.maximum(own, np.minimum(turn, STEEPEST)), FLATTEST)
    tangent = np.copysign(np.sqrt(1.0 - root * root), along)
    fall = tangent / root
    value = cells.half_length * (upper + lower) / 2.0 + cells.radius * (root - fall * (along - tangent))
    return value, cells.half_length * side - cells.radius * fall, root


def _face(cells: Local, normal: Floats) -> Bound:
    """n stays along the axis: the support is h, and a · w remains."""
    sign = np.where(_dot(normal, cells.axis) < 0.0, -1.0, 1.0)[:, None]
    axis = cells.axis * sign
    value, slope, rest = _product(axis, cells.axis_slope * sign[:, :, None], cells.axis_rest, cells)
    return _least(value - cells.half_length[:, None], slope, rest, cells.size)


def _tread(cells: Local, normal: Floats) -> Bound:
    """n is the part across the axis of a fixed direction m across it: (m − (m · a) a) / √(1 − (m · a)²)."""
    across = normal - _dot(normal, cells.axis)[:, None] * cells.axis
    length = np.sqrt(_dot(across, across))
    usable = length > 1e-3
    across = across / np.maximum(length, 1e-3)[:, None]
    value = _dot(across[:, None], cells.corners)
    tilt_slope = _apply(across, cells.axis_slope)
    tilt_rest = _dot(np.abs(across), cells.axis_rest)
    along, along_slope, along_rest = _product(cells.axis, cells.axis_slope, cells.axis_rest, cells)
    slope = _apply(across[:, None], cells.corner_slope) - along[:, :, None] * tilt_slope[:, None]
    tilt = _dot(np.abs(tilt_slope), cells.size) + tilt_rest
    along_swing = _dot(np.abs(along_slope), cells.size[:, None]) + along_rest
    rest = (
        _dot(np.abs(across)[:, None], cells.corner_rest)
        + tilt_rest[:, None] * np.abs(along)
        + tilt[:, None] * along_swing
    )
    bound = _least(value, slope, rest, cells.size)
    shortest = np.sqrt(np.maximum(1.0 - tilt * tilt, 0.0))
    usable &= shortest > 0.1
    stretched = np.where(bound.low < 0.0, bound.low / np.maximum(shortest, 0.1), bound.low)
    return Bound(np.where(usable, stretched - cells.radius, -np.inf), bound.slope)


def _crossing(cells: Local, normal: Floats, edge: Floats) -> Bound:
    """n = a × e / |a × e| with the edge e.

    With N = (a × e) · w, D = |a × e| and λ₀ = N₀ / D₀ the gap is N / D − ρ = λ₀ + (N − λ₀ D) / D − ρ, and D, a root of
    1 − (a · e)², lies under its tangent.
    """
    sign = np.where(_dot(np.cross(cells.axis, edge), normal) < 0.0, -1.0, 1.0)[:, None]
    signed = edge * sign
    across = np.cross(cells.axis, signed)
    across_slope = np.cross(cells.axis_slope, signed[:, :, None], axis=1)
    across_rest = _cross_rest(np.abs(edge), cells.axis_rest)
    skew = _dot(cells.axis, edge)
    skew_slope = _apply(edge, cells.axis_slope)
    skew_rest = _dot(np.abs(edge), cells.axis_rest)
    if cells.edge_motion is not None:
        edge_slope, edge_rest = cells.edge_motion
        across_slope = across_slope + np.cross(cells.axis[:, :, None], edge_slope * sign[:, :, None], axis=1)
        axis_change = _swing(cells.axis_slope, cells.size) + cells.axis_rest
        edge_change = _swing(edge_slope, cells.size) + edge_rest
        across_rest = across_rest + _cross_rest(np.abs(cells.axis), edge_rest) + _cross_rest(axis_change, edge_change)
        skew_slope = skew_slope + _apply(cells.axis, edge_slope)
        skew_rest = skew_rest + _dot(np.abs(cells.axis), edge_rest) + _dot(axis_change, edge_change)
    value, slope, rest = _product(across, across_slope, across_rest, cells)
    length = np.sqrt(_dot(across, across))
    usable = length > 1e-3
    length = np.maximum(length, 1e-3)
    distance = value.min(axis=1) / length
    usable &= distance >= 0.0
    factor = distance * skew / length
    slope = slope + (factor[:, None] * skew_slope)[:, None]
    rest = rest + (np.abs(factor) * skew_rest)[:, None]
    bound = _least(value - (distance * length)[:, None], slope, rest, cells.size)
    swing = np.abs(skew) + _dot(np.abs(skew_slope), cells.size) + skew_rest
    shortest = np.sqrt(np.maximum(1.0 - swing * swing, 0.0))
    usable &= shortest > 0.05
    change = np.where(bound.low < 0.0, bound.low / np.maximum(shortest, 0.05), bound.low)
    low = distance + change - cells.radius
    return Bound(np.where(usable, low, -np.inf), bound.slope / length[:, None])


def _cross_rest(size: Floats, rest: Floats) -> Floats:
    """Bound of |x × y| per component for |x| ≤ size and |y| ≤ rest."""
    return np.asarray(size[:, [2, 0, 1]] * rest[:, [1, 2, 0]] + size[:, [1, 2, 0]] * rest[:, [2, 0, 1]])


def _product(vector: Floats, slope: Floats, rest: Floats, cells: Local) -> tuple[Floats, Floats, Floats]:
    """x · w for each corner w, with x = vector: value (n, v), slope (n, v, k), and a bound of the remainder (n, v).

    (x₀ + ξ)(w₀ + ω) with |ξ| ≤ Σ|xⱼ|dⱼ + hx and ω alike: what is not linear is at most
    |x₀| hw + hx |w₀| + |ξ| |ω|, component by component.
    """
    value = _dot(vector[:, None], cells.corners)
    both = _apply(vector[:, None], cells.corner_slope) + _apply(cells.corners, slope[:, None])
    change = _swing(slope, cells.size) + rest
    corner_change = _swing(cells.corner_slope, cells.size[:, None]) + cells.corner_rest
    remainder = (
        _dot(np.abs(vector)[:, None], cells.corner_rest)
        + _dot(rest[:, None], np.abs(cells.corners))
        + _dot(change[:, None], corner_change)
    )
    return value, both, remainder


def _least(value: Floats, slope: Floats, rest: Floats, size: Floats) -> Bound:
    """Least over corners and cell of value + slope · u − rest."""
    low = value - _dot(np.abs(slope), size[:, None]) - rest
    if slope.shape[1] == 1:
        return Bound(low.min(axis=1), slope[:, 0])
    which = np.argmin(low, axis=1)
    rows = np.arange(len(low))
    return Bound(low[rows, which], slope[rows, which])


def _dot(left: Floats, right: Floats) -> Floats:
    return np.asarray((left * right).sum(axis=-1))


def _apply(vector: Floats, slope: Floats) -> Floats:
    """vector (..., 3) times slope (..., 3, k)."""
    return np.asarray((vector[..., None] * slope).sum(axis=-2))


def _swing(slope: Floats, size: Floats) -> Floats:
    """Σⱼ |slopeⱼ| dⱼ per component: slope (..., 3, k), size (..., k)."""
    return np.asarray((np.abs(slope) * size[..., None, :]).sum(axis=-1))
