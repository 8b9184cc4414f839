"""The travel that is left of bump and droop where shocks, bump stops and straps end it.

Each limit alone takes rectangles of the travel square away in which its length is proved beyond it everywhere. They are
found by halving: a rectangle that is neither proved out of reach nor nowhere more than SLACK beyond the limit is split
along the travel that moves the length more, down to FINEST. What no limit has taken away is the set. So it holds every
pose that all limits allow, and one that is beyond a limit by more than `TravelSet.beyond` is not in it.

Where a rectangle is split depends on the span and not on its limit: a longer shock therefore never leaves less.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import ceil, isfinite, log2
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.motion.extremes import Cells
from geometry.motion.linkage import Floats, Linkage
from geometry.motion.pose_map import PoseMap, pose_map
from geometry.motion.travel import TravelBox
from geometry.stroke.spans import Limit, Span, limits_of

Flags = NDArray[np.bool_]
Counts = NDArray[np.int32]
Whole = NDArray[np.intp]

SLACK: Final = 0.5
"""By how much poses of the set may be beyond a limit [mm]: a quarter of what the rubber in one eye gives. Common
practice, no source."""

FINEST: Final = 0.4
"""Extent of travel under which nothing is split further [mm], unless that takes more than MOST_HALVINGS."""

MOST_HALVINGS: Final = 11
"""Halvings along either travel [-]: 2,048 steps, 0.3 mm each of two feet of travel."""

HAIR: Final = 1e-6
"""Share of a step that is rounding [-]."""


@dataclass(frozen=True, eq=False)
class Taken:
    """What one limit does to the travel.

    Attributes
    ----------
    limit : Limit
    out : array, shape (n, 4)
        Rectangles that it takes away: left from, to, right from, to [mm].
    edge : array, shape (m, 4)
        Rectangles through which its edge goes, as narrow as the set is resolved [mm].
    beyond : float
        No pose of those that it leaves is farther beyond the limit [mm].

    """

    limit: Limit
    out: Floats
    edge: Floats
    beyond: float


@dataclass(frozen=True, eq=False)
class TravelSet:
    """The travel that is left; a union of rectangles on a square grid.

    Attributes
    ----------
    low, step : float
        Droop end of the grid and its step, the same for both travels [mm].
    kept : array of bool, shape (n, n)
        Which steps of left travel (row) and right travel (column) are left.
    taken : tuple of Taken
        By limit, also of those that take nothing.

    """

    low: float
    step: float
    kept: Flags
    taken: tuple[Taken, ...]

    @property
    def is_whole(self) -> bool:
        """Whether all of bump and droop is left."""
        return self.kept.size == 1

    @property
    def beyond(self) -> float:
        """No pose of the set is farther beyond any limit [mm]."""
        return max((each.beyond for each in self.taken), default=0.0)

    @cached_property
    def counts(self) -> Counts:
        """How many kept steps lie before each row and column, shape (n + 1, n + 1)."""
        counts = np.zeros((len(self.kept) + 1, len(self.kept) + 1), dtype=np.int32)
        np.cumsum(self.kept, axis=0, dtype=np.int32, out=counts[1:, 1:])
        np.cumsum(counts[1:, 1:], axis=1, out=counts[1:, 1:])
        return counts

    def meets(self, left: Floats, right: Floats, half_left: Floats, half_right: Floats) -> Flags:
        """Whether anything of rectangles is in the set, shape (n,); their edges alone do not count."""
        return self._any(left, right, half_left, half_right, HAIR)

    def holds(self, left: Floats, right: Floats) -> Flags:
        """Whether poses are in the set, its edge included, shape (n,)."""
        nothing = np.zeros(len(left))
        return self._any(left, right, nothing, nothing, -HAIR)

    def _any(self, left: Floats, right: Floats, half_left: Floats, half_right: Floats, hair: float) -> Flags:
        i, j = self._steps(left, half_left, hair), self._steps(right, half_right, hair)
        counts = self.counts
        return np.asarray(counts[i[1], j[1]] - counts[i[0], j[1]] - counts[i[1], j[0]] + counts[i[0], j[0]] > 0)

    def _steps(self, middle: Floats, half: Floats, hair: float) -> tuple[Whole, Whole]:
        count = len(self.kept)
        first = np.floor((middle - half - self.low) / self.step + hair).astype(np.intp)
        last = np.ceil((middle + half - self.low) / self.step - hair).astype(np.intp)
        first = np.clip(first, 0, count - 1)
        return first, np.clip(last, first + 1, count)

    def ended_by(self, left: float, right: float) -> tuple[Limit, ...]:
        """The limits that take a pose away; none where it is in the set."""
        return tuple(
            each.limit
            for each in self.taken
            if np.all((each.out[:, ::2] < (left, right)) & (each.out[:, 1::2] > (left, right)), axis=1).any()
        )

    @cached_property
    def rectangles(self) -> Floats:
        """The set as few rectangles that do not overlap: left from, to, right from, to, shape (n, 4) [mm]."""
        changes = np.flatnonzero(np.any(self.kept[1:] != self.kept[:-1], axis=1)) + 1
        starts = np.concatenate([[0], changes])
        ends = np.append(changes, len(self.kept))
        steps = np.diff(self.kept[starts].astype(np.int8), axis=1, prepend=0, append=0)
        row, first = np.nonzero(steps > 0)
        last = np.nonzero(steps < 0)[1]
        return np.asarray(self.low + self.step * np.column_stack([starts[row], ends[row], first, last]))

    def boxes(self, steer: tuple[float, float] = (0.0, 0.0)) -> tuple[TravelBox, ...]:
        """The set as boxes of poses, each with the same range of steer [rad]."""
        return tuple(TravelBox((a, b), (c, d), steer) for a, b, c, d in self.rectangles.tolist())

    def way_out(self, by_left: float, by_right: float, farthest: float) -> float:
        """How far from ride height the set goes on a straight way, at most `farthest` [mm].

        by_left, by_right : change of travel per mm of the way.
        """
        if self.is_whole or farthest <= 0.0:
            return farthest
        lines = self.low + self.step * np.arange(len(self.kept) + 1)
        places = [lines / by for by in (by_left, by_right) if by]
        stops = np.unique(np.clip(np.concatenate([[0.0, farthest], *places]), 0.0, farthest))
        middle = (stops[1:] + stops[:-1]) / 2.0
        gone = np.flatnonzero(~self.holds(middle * by_left, middle * by_right))
        return float(stops[gone[0]]) if len(gone) else farthest


@lru_cache(maxsize=16)
def travel_set(linkage: Linkage, spans: tuple[Span, ...]) -> TravelSet:
    """The travel that some spans leave of a linkage's; all of it where its poses are not established.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel.

    """
    whole = linkage.bump + linkage.droop
    limits = limits_of(spans)
    table = pose_map(linkage) if limits else None
    if table is None or not isfinite(table.point_error) or whole <= 0.0:
        return TravelSet(-linkage.droop, max(whole, FINEST), np.ones((1, 1), dtype=np.bool_), ())
    halvings = min(MOST_HALVINGS, max(1, ceil(log2(whole / FINEST))))
    step, count = whole / 2**halvings, 2**halvings
    parts = [_taken(limit, table, -linkage.droop, step, halvings) for limit in limits]
    taken = tuple(part for part, _ in parts)
    out = np.concatenate([steps for _, steps in parts])
    if not len(out):
        return TravelSet(-linkage.droop, whole, np.ones((1, 1), dtype=np.bool_), taken)
    return TravelSet(-linkage.droop, step, _left(out, count), taken)


def _left(out: Whole, count: int) -> Flags:
    """Which steps no rectangle covers: each adds one from its first corner on and takes it off behind the others."""
    covered = np.zeros((count + 1, count + 1), dtype=np.int16)
    a, b, c, d = out.T
    for rows, columns, by in ((a, c, 1), (b, c, -1), (a, d, -1), (b, d, 1)):
        np.add.at(covered, (rows, columns), by)
    np.cumsum(covered, axis=0, out=covered)
    np.cumsum(covered, axis=1, out=covered)
    return np.asarray(covered[:count, :count] == 0)


def _taken(limit: Limit, table: PoseMap, low: float, step: float, halvings: int) -> tuple[Taken, Whole]:
    """What a limit takes away, in mm and in steps: from, to on the left, from, to on the right."""
    cells = np.array([[0, 2**halvings, 0, 2**halvings]], dtype=np.intp)
    floor = np.full(1, -np.inf)
    out: list[Whole] = []
    edge: list[Whole] = []
    beyond = -np.inf
    while len(cells):
        form = limit.excess(table, _cells(cells, low, step))
        # never less than is known of the rectangle it was split from, so that what is in reach stays so
        least, most = np.maximum(form.low, floor), form.high
        gone = least > 0.0
        reach = np.abs(form.slope[:, :2]) * form.size[:, :2]
        extent = cells[:, 1::2] - cells[:, ::2]
        reach[extent == 1] = -1.0
        on_left = reach[:, 0] >= reach[:, 1]
        kept = ~gone & ((most <= SLACK) | np.all(extent == 1, axis=1))
        out.append(cells[gone])
        edge.append(cells[kept & (most > 0.0)])
        beyond = max(beyond, float(most[kept].max(initial=-np.inf)))
        rest = ~gone & ~kept
        cells, floor = _halves(cells[rest], on_left[rest]), np.tile(least[rest], 2)
    away = np.concatenate(out)
    places, edges = (np.asarray(low + step * each, dtype=np.float64) for each in (away, np.concatenate(edge)))
    return Taken(limit, places, edges, max(beyond, 0.0)), away


def _cells(steps: Whole, low: float, step: float) -> Cells:
    ends = low + step * steps
    middle = np.zeros((len(steps), 3))
    size = np.zeros((len(steps), 3))
    middle[:, 0], middle[:, 1] = ends[:, :2].mean(axis=1), ends[:, 2:].mean(axis=1)
    size[:, 0], size[:, 1] = (ends[:, 1] - ends[:, 0]) / 2.0, (ends[:, 3] - ends[:, 2]) / 2.0
    return Cells(middle, size)


def _halves(cells: Whole, on_left: Flags) -> Whole:
    first, second = cells.copy(), cells.copy()
    for along, begin in ((on_left, 0), (~on_left, 2)):
        middle = (cells[along, begin] + cells[along, begin + 1]) // 2
        first[along, begin + 1], second[along, begin] = middle, middle
    return np.concatenate([first, second])
