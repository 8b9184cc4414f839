"""Least and greatest value of a quantity over the whole travel, guaranteed, with the poses where they are met.

Branch and bound: a quantity is given as a form (`geometry.motion.forms`) over cells of the travel. The best value met
in any pose bounds the extreme from one side, the largest bound of any cell from the other; cells whose bound exceeds
the best by more than the tolerance are split. Forms are of second order, so that a cell of half the size is off by a
quarter.

What an axle carries is a polynomial of the travel, off by the proved error of the pose map. Its second derivatives are
bounded by the sums of their absolute Chebyshev coefficients, since |Tₙ| ≤ 1: over a cell of half extents d they leave
½ Σ Bᵢⱼ dᵢ dⱼ. Both go into the rest, so that the extremes hold for the exact poses.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import ArrayLike

from geometry.motion.forms import Floats, Form
from geometry.motion.linkage import Linkage
from geometry.motion.pose_map import PoseMap
from geometry.motion.travel import TravelBox, TravelPose

_FREEDOMS: Final = 3
"""Travel left, travel right, steer."""

_FIRST_CELLS: Final = 64
"""Cells that a search starts with at the least [-]: over fewer, numpy takes as long as over so many."""

_MOST_CELLS: Final = 200_000
"""Cells after which a search ends with what it has [-]: some seconds. A quantity with no ridge takes some hundred."""


@dataclass(frozen=True, eq=False)
class Cells:
    """n cells of poses: middle and half the extent along left, right [mm] and steer [rad], each of shape (n, 3)."""

    middle: Floats
    size: Floats


Quantity = Callable[[Cells], Form]


@dataclass(frozen=True, slots=True)
class Extreme:
    """The least or the greatest value over a set of poses.

    Attributes
    ----------
    low, high : float
        The true one lies between; in `pose` the quantity is no farther from it than they are apart.
    pose : TravelPose
    settled : bool
        They are no farther apart than asked. False = not established to the tolerance, infinite = not at all.

    """

    low: float
    high: float
    pose: TravelPose
    settled: bool


@dataclass(frozen=True, slots=True)
class Extremes:
    """No pose has a value under `least.low` or over `most.high`."""

    least: Extreme
    most: Extreme


class CarriedForms:
    """What an axle carries, as forms over cells of its travel.

    Parameters
    ----------
    pose_map : PoseMap
    cells : Cells
        Within the map.

    """

    def __init__(self, pose_map: PoseMap, cells: Cells) -> None:
        self._map = pose_map
        self._size = cells.size
        self._values, *self._slopes = pose_map.evaluate(cells.middle[:, 0], cells.middle[:, 1])

    def point(self, p_axle: ArrayLike) -> Form:
        """Place of a point given in the axle's frame, in the rig's [mm]."""
        return self._form(1.0, p_axle)

    def direction(self, v_axle: ArrayLike) -> Form:
        """Direction given in the axle's frame, in the rig's; of the length given."""
        return self._form(0.0, v_axle)

    def _form(self, scale: float, arm: ArrayLike) -> Form:
        vector = np.asarray(arm, dtype=np.float64)
        value, left, right = (
            scale * each[:, :3] + each[:, 3:].reshape(-1, 3, 3) @ vector for each in (self._values, *self._slopes)
        )
        slope = np.zeros((len(value), 3, _FREEDOMS))
        slope[:, :, 0], slope[:, :, 1] = left, right
        bends = _bends(self._map, scale, (float(vector[0]), float(vector[1]), float(vector[2])))
        ways = self._size[:, :2]
        rest = 0.5 * np.einsum("ni,nj,ijc->nc", ways, ways, bends)
        error = scale * self._map.position_error + float(np.linalg.norm(vector)) * self._map.rotation_error
        return Form(value, slope, rest + error, self._size)


@lru_cache(maxsize=1024)
def _bends(pose_map: PoseMap, scale: float, arm: tuple[float, float, float]) -> Floats:
    """Bounds of the second derivatives of scale · c + R arm over the map, shape (2, 2, 3)."""
    table = pose_map.coefficients
    along = scale * table[:, :, :3] + table[:, :, 3:].reshape(*table.shape[:2], 3, 3) @ np.array(arm)
    bends = np.empty((2, 2, 3))
    for row, column, orders in ((0, 0, (2, 0)), (0, 1, (1, 1)), (1, 1, (0, 2))):
        derived: Floats = along
        for axis, order in enumerate(orders):
            if order:
                derived = np.asarray(chebyshev.chebder(derived, m=order, scl=1.0 / pose_map.half, axis=axis))
        bends[row, column] = bends[column, row] = np.abs(derived).sum(axis=(0, 1))
    return bends


def whole_travel(linkage: Linkage) -> tuple[TravelBox, ...]:
    """All of a linkage's travel, steer left out, as one box."""
    both = (-linkage.droop, linkage.bump)
    return (TravelBox(both, both),)


def extremes(quantity: Quantity, boxes: Sequence[TravelBox], tolerance: float, *, floor: float = -np.inf) -> Extremes:
    """Least and greatest value of a quantity over travel boxes, each to a tolerance in the quantity's unit.

    A `floor` is a value that the quantity is known not to get under: with 0 for an angle or a length, which bend
    sharply there, a search for the least ends where it is met.

    Raises
    ------
    ValueError
        Without any box.

    """
    opposite = greatest(lambda cells: -quantity(cells), boxes, tolerance, ceiling=-floor)
    least = Extreme(-opposite.high, -opposite.low, opposite.pose, opposite.settled)
    return Extremes(least, greatest(quantity, boxes, tolerance))


def greatest(quantity: Quantity, boxes: Sequence[TravelBox], tolerance: float, *, ceiling: float = np.inf) -> Extreme:
    """The greatest value alone; see `extremes`."""
    if not boxes:
        raise ValueError("expected one travel box at least, got none")
    ends = np.array([(box.left, box.right, box.steer) for box in boxes])
    cells = Cells(ends.mean(axis=2), 0.5 * (ends[:, :, 1] - ends[:, :, 0]))
    while len(cells.middle) < _FIRST_CELLS and cells.size.any():
        cells = _split(cells)
    best, pose, bound, count = -np.inf, cells.middle[0], -np.inf, 0
    while len(cells.middle):
        with np.errstate(all="ignore"):  # where a form has no bound, see geometry.motion.forms
            form = quantity(cells)
            upper = np.minimum(np.nan_to_num(form.high, nan=np.inf, posinf=np.inf), ceiling)
            places = np.stack([cells.middle, cells.middle + np.sign(np.nan_to_num(form.slope)) * cells.size])
            met = quantity(Cells(places.reshape(-1, _FREEDOMS), np.zeros((2 * len(upper), _FREEDOMS)))).low
        met = np.nan_to_num(met, nan=-np.inf, neginf=-np.inf)
        top = int(np.argmax(met))
        if met[top] > best:
            best, pose = float(met[top]), places.reshape(-1, _FREEDOMS)[top]
        count += len(upper)
        open_ones = ~(upper <= best + tolerance) & (count < _MOST_CELLS) & bool(np.isfinite(best))
        bound = max(bound, float(upper[~open_ones].max(initial=-np.inf)))
        cells = _split(Cells(cells.middle[open_ones], cells.size[open_ones]))
    left, right, steer = (float(each) for each in pose)
    bound = max(bound, best)
    return Extreme(best, bound, TravelPose(left, right, steer), bound - best <= tolerance)


def _split(cells: Cells) -> Cells:
    """Each cell in halves along every freedom that it spreads over."""
    middle, size = cells.middle, cells.size
    for freedom in range(_FREEDOMS):
        if not size[:, freedom].any():
            continue
        step = np.zeros_like(size)
        step[:, freedom] = size[:, freedom] / 2.0
        middle = np.concatenate([middle - step, middle + step])
        size = np.concatenate([size - step, size - step])
    return Cells(middle, size)
