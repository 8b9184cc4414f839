"""Where one moving solid is in one pose, with its slopes: `geometry.contact.movers` and the pose map, one at a time.

Freedoms are left travel, right travel and steer; a change of width is the same for a whole search. Tables are few and
flat, because each array that a compiled function is given costs it time to hold on to.
"""

from __future__ import annotations

from math import atan2, copysign, cos, sin, sqrt
from typing import Final, NamedTuple

import numpy as np

from geometry.contact.compiled.jit import inner
from geometry.contact.compiled.vectors import Floats, Slopes, Vector, dot, length, plus, times
from geometry.contact.movers import WIDTH, Movers

HALF, RADIUS, PLACE_SCALE, AXIS_SCALE, STEERED = range(5)
"""Columns of a row of `solid_rows`: half length, radius, μ, ν, and 1 if steering moves the solid."""

CURVING: Final = 5
"""Column at which the strength of curving by each freedom begins."""

ARMS: Final = 8
"""Column at which P⁰, P, Pᶜ, Pˢ, A⁰, A, Aᶜ, Aˢ begin, three columns each."""

BENDS: Final = 32
"""Column at which half the bounds on second derivatives begin, six columns each: the products of two freedoms, mixed
ones counted twice. First centre x, y, z, then axis x, y, z, then the lengths for the centre and for a core's end."""

CENTRE_BEND, AXIS_BEND, CENTRE_REACH, END_REACH = BENDS, BENDS + 18, BENDS + 36, BENDS + 42

LAW, SPREAD, NUMBERS = 80, 81, 82
"""Columns of which wheel a solid turns as, +1 = the left one, −1 = the right one, 0 = by the steer itself; of the
spread of the law of turns at this width; and of its other numbers, see `_law_rows`."""

TIED, OTHERS = 86, 87
"""Columns of 1 / length of a tie rod, 0 for anything else [1/mm], and where its Pᶜ′, Pˢ′, Aᶜ′, Aˢ′ begin."""

ALONG: Final = 99
"""Column of how far a solid's centre lies out along its axis."""

EYE, EYE_PLACE, EYE_AXIS = 100, 101, 102
"""Columns of where a shackle's eye, on which a solid hangs, begins among the entries behind the pose, -1 = on none; and
of κ and ω."""

EYES: Final = 38
"""Column of kept poses at which the eyes' entries begin: each with its slopes by left and right behind it."""

POSE: Final = 2
"""Column of kept poses at which the entries begin; the two travels come before."""

KEPT: Final = 512
"""Poses kept, a power of two [-]; two rows more are for the polynomials."""


class Placement(NamedTuple):
    """Centre and axis of a solid and how both change."""

    centre: Vector
    axis: Vector
    centre_slope: Slopes
    axis_slope: Slopes


def solid_rows(movers: Movers, width: float) -> Floats:
    """All solids at a change of width, shape (m, 103)."""
    one, other = np.triu_indices(3)
    bends = [movers.centre_curvature, movers.axis_curvature, movers.centre_reach[:, None], movers.end_reach[:, None]]
    products = np.concatenate(bends, axis=1)[:, :, one, other] * np.where(one == other, 0.5, 1.0)
    solids, count = movers.solids, len(movers.solids)
    scales = np.array([(each.place_scale, each.axis_scale) for each in solids])
    arms = np.array([np.vstack([each.place[:4], each.axis]) for each in solids])
    arms[:, 1] += width * np.array([each.place[WIDTH + 1] for each in solids])
    arms[:, 5, 1] += width * movers.per_length
    half = movers.half_at(np.arange(count), np.full(count, width))
    numbers = [half[:, None], movers.core_radius[:, None], scales, movers.steered[:, None], movers.curving[:, :3]]
    rows = [*numbers, arms.reshape(count, -1), products.reshape(count, -1), _law_rows(movers, width)]
    rows += [movers.per_length[:, None], movers.across.reshape(count, -1), movers.along[:, None]]
    rows += [np.where(movers.eye >= 0, EYES + 6 * movers.eye, -1)[:, None], movers.eye_scale]
    return np.concatenate(rows, axis=1)


def _law_rows(movers: Movers, width: float) -> Floats:
    """Wheel, spread, and b_y, c_y, r², branch of a tie rod or q, L, 0, 0 of a share, shape (m, 6)."""
    law, count = movers.law, len(movers.solids)
    if law is None:
        return np.zeros((count, 6))
    last = (law.third**2, law.branch) if law.kind == "tie_rod" else (0.0, 0.0)
    numbers = np.tile([law.spread + width, law.first, law.second, *last], (count, 1))
    return np.column_stack([movers.wheel, numbers])


def kept_poses(count: int) -> Floats:
    """Room for poses, none kept yet, and for `count` polynomials, shape (KEPT + 2, 50 or more)."""
    room = np.empty((KEPT + 2, max(EYES + 12, 2 * count)))
    room[:, 0] = np.nan
    return room


@inner
def pose_at(table: Floats, middle: float, half: float, kept: Floats, left: float, right: float) -> int:
    """Row of `kept` with the axle's pose: 12 values, 12 slopes by left and 12 by right travel, then shackles' eyes.

    table : array, shape (n + 1, n + 1, 12) or, with shackles, (n + 1, n + 1, 16); middle, half : of the pose map.
    """
    slot = (int(left * 16.0) * 37 + int(right * 16.0)) & (KEPT - 1)
    if kept[slot, 0] != left or kept[slot, 1] != right:
        kept[slot, 0], kept[slot, 1] = left, right
        _polynomials((left - middle) / half, half, kept, KEPT, len(table))
        _polynomials((right - middle) / half, half, kept, KEPT + 1, len(table))
        _evaluate(table, kept, slot)
    return slot


@inner
def _polynomials(x: float, half: float, kept: Floats, line: int, count: int) -> None:
    """Chebyshev polynomials and their slopes per mm by the three-term recurrence, by turns in one row."""
    kept[line, 0], kept[line, 1] = 1.0, 0.0
    kept[line, 2], kept[line, 3] = x, 1.0 / half
    for n in range(4, 2 * count, 2):
        kept[line, n] = 2.0 * x * kept[line, n - 2] - kept[line, n - 4]
        kept[line, n + 1] = 2.0 * (kept[line, n - 2] / half + x * kept[line, n - 1]) - kept[line, n - 3]


@inner
def _evaluate(table: Floats, kept: Floats, slot: int) -> None:
    """Sum the table with the polynomials of the last two rows."""
    for entry in range(table.shape[2]):
        at, step = POSE + entry, 12
        if entry >= 12:
            at, step = EYES + 3 * (entry - 12), 1
        value, by_left, by_right = 0.0, 0.0, 0.0
        for i in range(len(table)):
            inside, slope = 0.0, 0.0
            for j in range(len(table)):
                inside += table[i, j, entry] * kept[KEPT + 1, 2 * j]
                slope += table[i, j, entry] * kept[KEPT + 1, 2 * j + 1]
            value += kept[KEPT, 2 * i] * inside
            by_left += kept[KEPT, 2 * i + 1] * inside
            by_right += kept[KEPT, 2 * i] * slope
        kept[slot, at], kept[slot, at + step], kept[slot, at + 2 * step] = value, by_left, by_right


@inner
def placed(solids: Floats, which: int, kept: Floats, slot: int, steer: float) -> Placement:
    """Solid `which` on an axle in a kept pose, see `geometry.contact.movers`."""
    mu, nu = solids[which, PLACE_SCALE], solids[which, AXIS_SCALE]
    arm, lean = _arm(solids, which, 1), _arm(solids, which, 5)
    by_steer, lean_by_steer = (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)
    if solids[which, STEERED] > 0.0:
        turn, rate = _turn(solids, which, solids[which, LAW], steer)
        c, s = cos(turn), sin(turn)
        by_steer = times(rate, plus(times(c, _arm(solids, which, 3)), -s, _arm(solids, which, 2)))
        lean_by_steer = times(rate, plus(times(c, _arm(solids, which, 7)), -s, _arm(solids, which, 6)))
        arm = plus(plus(arm, c, _arm(solids, which, 2)), s, _arm(solids, which, 3))
        lean = plus(plus(lean, c, _arm(solids, which, 6)), s, _arm(solids, which, 7))
        if solids[which, TIED] > 0.0:  # a tie rod hangs on the right knuckle, too
            turn, rate = _turn(solids, which, -1.0, steer)
            c, s = cos(turn), sin(turn)
            arm = plus(plus(arm, c, _other(solids, which, 0)), s, _other(solids, which, 1))
            lean = plus(plus(lean, c, _other(solids, which, 2)), s, _other(solids, which, 3))
            by_steer = plus(plus(by_steer, rate * c, _other(solids, which, 1)), -rate * s, _other(solids, which, 0))
            lean_by_steer = plus(lean_by_steer, rate * c, _other(solids, which, 3))
            lean_by_steer = plus(lean_by_steer, -rate * s, _other(solids, which, 2))
        by_steer, lean_by_steer = _carried(kept, slot, 0, 0.0, by_steer), _carried(kept, slot, 0, 0.0, lean_by_steer)
    centre = plus(_arm(solids, which, 0), 1.0, _carried(kept, slot, 0, mu, arm))
    axis = plus(_arm(solids, which, 4), 1.0, _carried(kept, slot, 0, nu, lean))
    moving = (_carried(kept, slot, 1, mu, arm), _carried(kept, slot, 2, mu, arm))
    by_left, by_right = _carried(kept, slot, 1, nu, lean), _carried(kept, slot, 2, nu, lean)
    if solids[which, EYE] >= 0.0:
        own, other = solids[which, EYE_PLACE], solids[which, EYE_AXIS]
        eye = _eye(solids, which, kept, slot, 0)
        centre, axis = plus(centre, own, eye), plus(axis, other, eye)
        eye_left, eye_right = _eye(solids, which, kept, slot, 1), _eye(solids, which, kept, slot, 2)
        moving = (plus(moving[0], own, eye_left), plus(moving[1], own, eye_right))
        by_left, by_right = plus(by_left, other, eye_left), plus(by_right, other, eye_right)
    # An axis short by 1e-9 would move a rim by 4e-5 of its radius: normalise after every interpolation.
    size = length(axis)
    axis = times(1.0 / size, axis)
    centre_slope = (moving[0], moving[1], by_steer)
    if nu > 0.0:  # a link's is the direction from joint to joint, however long the way
        by_left = times(1.0 / size, plus(by_left, -dot(axis, by_left), axis))
        by_right = times(1.0 / size, plus(by_right, -dot(axis, by_right), axis))
    elif solids[which, TIED] > 0.0:  # v is longer than the rod at the width of the table by what that is wider
        by_left, by_right = times(1.0 / size, by_left), times(1.0 / size, by_right)
        lean_by_steer = times(1.0 / size, lean_by_steer)
    axis_slope = (by_left, by_right, lean_by_steer)
    out = solids[which, ALONG]
    if out != 0.0:
        centre = plus(centre, out, axis)
        centre_slope = (plus(centre_slope[0], out, by_left), plus(centre_slope[1], out, by_right), by_steer)
    return Placement(centre, axis, centre_slope, axis_slope)


@inner
def _turn(solids: Floats, which: int, wheel: float, steer: float) -> tuple[float, float]:
    """Turn of a wheel by the law of a solid, and its slope; see `geometry.motion.steering.turns`."""
    if wheel * steer >= 0.0:
        return steer, 1.0
    s, spread, b, c = abs(steer), solids[which, SPREAD], solids[which, NUMBERS], solids[which, NUMBERS + 1]
    cosine, sine = cos(s), sin(s)
    if solids[which, NUMBERS + 2] == 0.0:
        along = cosine + spread / c * sine
        square = sine * sine + along * along
        return copysign(s - b * (s - atan2(sine, along)), steer), 1.0 - b * (1.0 - 1.0 / square)
    r2 = solids[which, NUMBERS + 2]
    one, other, both = r2 - 2.0 * b * b, r2 - 2.0 * c * c, 2.0 * b * c
    p, q = -spread * b + one * cosine - both * sine, spread * c + both * cosine - other * sine
    rest = r2 - 2.0 * b * b - 2.0 * spread * b + spread * (b * cosine + c * sine)
    root = copysign(sqrt(max(p * p + q * q - rest * rest, 0.0)), solids[which, NUMBERS + 3])
    turn = atan2(q * rest - p * root, p * rest + q * root)
    over, across = cos(turn), sin(turn)
    by_inner = spread * (c * cosine - b * sine) + (one * sine + both * cosine) * over
    by_inner += (both * sine + other * cosine) * across
    return copysign(turn, steer), by_inner / (q * over - p * across)


@inner
def _arm(solids: Floats, which: int, index: int) -> Vector:
    at = ARMS + 3 * index
    return (solids[which, at], solids[which, at + 1], solids[which, at + 2])


@inner
def _eye(solids: Floats, which: int, kept: Floats, slot: int, part: int) -> Vector:
    """The shackle's eye that a solid hangs on (part 0) or its slopes (1, 2)."""
    at = int(solids[which, EYE]) + part
    return (kept[slot, at], 0.0, kept[slot, at + 3])


@inner
def _other(solids: Floats, which: int, index: int) -> Vector:
    at = OTHERS + 3 * index
    return (solids[which, at], solids[which, at + 1], solids[which, at + 2])


@inner
def _carried(kept: Floats, slot: int, part: int, scale: float, arm: Vector) -> Vector:
    """scale · c + R arm, of the values (part 0) or of their slopes (1, 2)."""
    c, r, (x, y, z) = POSE + 12 * part, POSE + 12 * part + 3, arm
    return (
        scale * kept[slot, c] + kept[slot, r] * x + kept[slot, r + 1] * y + kept[slot, r + 2] * z,
        scale * kept[slot, c + 1] + kept[slot, r + 3] * x + kept[slot, r + 4] * y + kept[slot, r + 5] * z,
        scale * kept[slot, c + 2] + kept[slot, r + 6] * x + kept[slot, r + 7] * y + kept[slot, r + 8] * z,
    )


@inner
def bend(solids: Floats, which: int, at: int, size: Vector) -> float:
    """½ Σ curvature size size, with the six products from column `at` on."""
    a, b, c = size
    total: float = a * (solids[which, at] * a + solids[which, at + 1] * b + solids[which, at + 2] * c)
    total += b * (solids[which, at + 3] * b + solids[which, at + 4] * c) + c * solids[which, at + 5] * c
    return total


@inner
def bends(solids: Floats, which: int, at: int, size: Vector) -> Vector:
    """The same for three components."""
    return (bend(solids, which, at, size), bend(solids, which, at + 6, size), bend(solids, which, at + 12, size))
