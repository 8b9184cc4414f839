"""Free lock: how far the wheels steer at each travel before the wanted clearance is lost, proved over cells of travel.

The travel square is cut into cells. For each of them and each way the steer is walked from straight ahead to full lock
by branch and bound with the bounds of `geometry.contact.search`, the distance being what is left over the wanted
clearance: first whole blocks of cells, halved along what bends the distance most until they are proved clear or are
one cell, then shorter and shorter stretches of steer. What can neither be proved clear nor be split further ends the
free lock where it starts, so that every pose of the cell with less steer has the wanted clearance.

Only what steering moves takes part: what is wrong without it no steering stop mends.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import radians
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.axle_check import GiveUp, Problem, axle_problems, travel_box
from geometry.contact.compiled.ready import closest_approaches
from geometry.contact.findings import PairName
from geometry.contact.movers import STEER
from geometry.contact.search import AT_ONCE, MOST_CELLS, SPLIT_SHARE, Box, Cells, curving, look, measure, sight
from geometry.motion.steer_lock import steer_range
from geometry.rig.axle import Axle
from geometry.rig.layout import Side
from geometry.rig.rig import Rig

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]
Rows = tuple[tuple[float, ...], ...]

COUNT: Final = 41
"""Cells along each travel [-]."""

FINEST: Final = radians(0.25)
"""Stretch of steer under which nothing is split further [rad]: no stop is set finer."""

INSIDE: Final = 4
"""Parts of a cell along each travel down to which it is split where its bounds are loose [-]."""

LOOSE: Final = 5.0
"""What a bound over the finest stretch may be under the distance met there before a cell is split along its travels
[mm]; as much as some tenths of a degree of steer move a tire."""

STRETCHES: Final = 8
"""Stretches of steer that are walked one after the other [-]: where one is lost the next ones need no look."""


@dataclass(frozen=True)
class FreeLock:
    """Free lock over the travel; all of it proved.

    Attributes
    ----------
    axle : str
    edges : tuple of float
        Where the cells of either travel begin, and the last one ends [mm].
    lock_left, lock_right : float
        Full lock, what ends it first [rad].
    left, right : rows of float
        Steer to either side up to which everything that steers has the wanted clearance, left[row of right
        travel][column of left travel], at most the full lock [rad]. 0 = it has not got it even straight ahead; NaN =
        the axle does not get there.
    left_pair, right_pair : rows of PairName or None
        What ends it; None = the full lock is free.
    complete : bool
        False = the search grew too large, and some values are less than they might be.

    """

    axle: str
    edges: tuple[float, ...]
    lock_left: float
    lock_right: float
    left: Rows
    right: Rows
    left_pair: tuple[tuple[PairName | None, ...], ...]
    right_pair: tuple[tuple[PairName | None, ...], ...]
    complete: bool

    @property
    def stop_left(self) -> float:
        """Steering stop to the left at which nothing loses its clearance over the whole travel [rad]."""
        return float(np.nanmin(np.array(self.left)))

    @property
    def stop_right(self) -> float:
        """The same to the right [rad]."""
        return float(np.nanmin(np.array(self.right)))

    def ended_by(self, way: Side) -> PairName | None:
        """The pair that is first to lose its clearance over the whole travel; None = the full lock comes first."""
        steers, pairs = (self.left, self.left_pair) if way == "left" else (self.right, self.right_pair)
        row, column = np.unravel_index(int(np.nanargmin(np.array(steers))), np.shape(steers))
        return pairs[int(row)][int(column)]

    @property
    def free(self) -> NDArray[np.bool_]:
        """Where the full lock is free both ways or the axle does not get, shape (row of right, column of left)."""
        left, right = np.array(self.left), np.array(self.right)
        return np.asarray(np.isnan(left) | ((left >= self.lock_left) & (right >= self.lock_right)))

    def bump_for_full_lock(self) -> float | None:
        """Largest bump of both wheels, the droop as it is, that frees the full lock [mm]; None = none of it does."""
        return self._limit(lambda free, count: free[:count, :count], self.edges[1:])

    def droop_for_full_lock(self) -> float | None:
        """Largest droop, the bump as it is, that frees the full lock [mm]; None = none does."""
        return self._limit(lambda free, count: free[-count:, -count:], tuple(-edge for edge in self.edges[-2::-1]))

    def _limit(self, part: Callable[[Flags, int], Flags], ends: tuple[float, ...]) -> float | None:
        whole = [count for count in range(1, len(ends) + 1) if bool(part(self.free, count).all())]
        return max(0.0, ends[whole[-1] - 1]) if whole and ends[whole[-1] - 1] >= 0.0 else None


def free_lock(rig: Rig, axle: Axle, count: int = COUNT, *, give_up: GiveUp | None = None) -> FreeLock | None:
    """Free lock over count × count cells of travel; None on an axle that does not steer, or when told to give up.

    Raises
    ------
    LinkageError
        When the axle cannot follow its travel.

    """
    low, high = steer_range(axle)
    if low == high:
        return None
    box = travel_box(axle)
    problems = [_steered(problem, box) for problem in axle_problems(rig, axle)]
    walk = _Walk(axle, box, problems, count)
    for stretch in range(STRETCHES):
        for which in range(len(problems)):
            if give_up is not None and give_up():
                return None
            walk.take(which, stretch / STRETCHES, (stretch + 1) / STRETCHES)
    return walk.found(axle.id)


def _steered(problem: Problem, box: Box) -> Problem:
    """The margins of what steers and is not clear everywhere."""
    margins = problem.as_margin()
    steered = margins.scene.steered(margins.pairs)
    keep = np.zeros(len(margins.names), dtype=np.bool_)
    keep[margins.pairs.group[steered]] = True
    margins = margins.of_groups(keep)
    rough = closest_approaches(margins.scene, margins.pairs, len(margins.names), box, overlap_share=1.0, far=0.0)
    return margins.of_groups(~rough.beyond)


@dataclass(frozen=True)
class _Blocks:
    """Blocks of travel cells over a stretch of steer.

    Attributes
    ----------
    way : array of int, shape (n,)
        0 = to the left, 1 = to the right.
    corner : array of int, shape (n, 4)
        First and behind the last cell of left and of right travel.
    cells : Cells
        The same as the search has them.

    """

    way: Indices
    corner: Indices
    cells: Cells

    def rows(self, keep: Flags | slice) -> _Blocks:
        return _Blocks(self.way[keep], self.corner[keep], self.cells.rows(keep))

    @property
    def single(self) -> Flags:
        """Which are one cell or a part of it."""
        one: Flags = (self.corner[:, 1] - self.corner[:, 0] == 1) & (self.corner[:, 3] - self.corner[:, 2] == 1)
        return one


class _Walk:
    """The free lock while it is being found."""

    def __init__(self, axle: Axle, box: Box, problems: list[Problem], count: int) -> None:
        self.box = replace(box, ways=np.eye(4)[:3])
        self._count = count
        self._low, self._step = -axle.droop, (axle.bump + axle.droop) / count
        low, high = steer_range(axle)
        self._lock: tuple[float, float] = (high, -low)
        self._free = np.ones((2, count, count)) * np.array(self._lock)[:, None, None]
        self._pair = np.full((2, count, count), -1, dtype=np.intp)
        self._problems = problems
        self._first = np.cumsum([0, *(len(problem.names) for problem in problems)]).tolist()
        self._complete = True

    def take(self, which: int, start: float, end: float) -> None:
        """Walk a stretch of the steer, from a share of the full lock to another, with all pairs of a problem."""
        problem, first = self._problems[which], self._first[which]
        if not problem.names:
            return
        blocks = self._whole(problem, start, end)
        spent = 0
        while len(blocks.way):
            spent += len(blocks.way)
            if spent > MOST_CELLS:
                self._complete = False
                self._lose(blocks, problem, first)
                return
            parts = range(0, len(blocks.way), AT_ONCE)
            kept = [self._looked(problem, blocks.rows(slice(at, at + AT_ONCE)), first) for at in parts]
            blocks = self._halved(problem, _joined(kept))

    def found(self, axle: str) -> FreeLock:
        """What is known at the end."""
        every = [name for problem in self._problems for name in problem.names]
        names = np.array([*every, None], dtype=object)
        edges = self._low + self._step * np.arange(self._count + 1)
        if self.box.reach is not None:
            middle, half = (edges[:-1] + edges[1:]) / 2.0, np.full(self._count**2, self._step / 2.0)
            left, right = (each.ravel() for each in np.meshgrid(middle, middle, indexing="ij"))
            there = self.box.reach.meets(left, right, half, half).reshape(self._count, self._count)
            self._free[:, ~there] = np.nan
        steers = [tuple(tuple(row) for row in each.T.tolist()) for each in self._free]
        pairs = [tuple(tuple(row) for row in names[each.T].tolist()) for each in self._pair]
        return FreeLock(
            axle=axle,
            edges=tuple(edges.tolist()),
            lock_left=self._lock[0],
            lock_right=self._lock[1],
            left=steers[0],
            right=steers[1],
            left_pair=pairs[0],
            right_pair=pairs[1],
            complete=self._complete,
        )

    def _whole(self, problem: Problem, start: float, end: float) -> _Blocks:
        """All of the travel, for every pair both ways."""
        pairs = len(problem.pairs.mover)
        way = np.repeat(np.array([0, 1], dtype=np.intp), pairs)
        which = np.tile(np.arange(pairs, dtype=np.intp), 2)
        corner = np.tile(np.array([0, self._count, 0, self._count], dtype=np.intp), (2 * pairs, 1))
        lock, sign = np.array(self._lock)[way], np.array([1.0, -1.0])[way]
        u, size = np.zeros((2 * pairs, 3)), np.empty((2 * pairs, 3))
        u[:, STEER] = sign * lock * (start + end) / 2.0 - self.box.middle[STEER]
        size[:, :2], size[:, STEER] = self._step * self._count / 2.0, lock * (end - start) / 2.0
        blocks = _Blocks(way, corner, Cells(which, u, size, np.full(2 * pairs, -np.inf)))
        return blocks.rows(self._matters(blocks))

    def _start(self, blocks: _Blocks) -> Floats:
        """Steer at which blocks begin, positive both ways."""
        sign = np.array([1.0, -1.0])[blocks.way]
        start = sign * (blocks.cells.u[:, STEER] + self.box.middle[STEER]) - blocks.cells.size[:, STEER]
        return np.where(start < FINEST / 1e3, 0.0, start)  # straight ahead, but for rounding

    def _matters(self, blocks: _Blocks) -> Flags:
        """Which blocks begin before the free lock that is known of any of their cells."""
        start, corner = self._start(blocks), blocks.corner
        single = blocks.single
        matters = ~single
        at = (blocks.way[single], corner[single, 0], corner[single, 2])
        matters[single] = start[single] < self._free[at]
        if matters[~single].any():
            least = float(start[~single].min())
            open_cells = np.zeros((2, self._count + 1, self._count + 1), dtype=np.int64)
            open_cells[:, 1:, 1:] = np.cumsum(np.cumsum(self._free > least, axis=1), axis=2)
            way, (a, b, c, d) = blocks.way, corner.T
            some = open_cells[way, b, d] - open_cells[way, a, d] - open_cells[way, b, c] + open_cells[way, a, c] > 0
            matters &= single | some
        return matters

    def _looked(self, problem: Problem, blocks: _Blocks, first: int) -> _Blocks:
        """The blocks that are neither proved clear nor at their end."""
        scene, pairs = problem.scene, problem.pairs
        cells = blocks.cells
        blocks = blocks.rows(self._matters(blocks) & self.box.meets(pairs.group[cells.which], cells.u, cells.size))
        if len(blocks.way) == 0:
            return blocks
        seen = sight(scene, pairs, blocks.cells, self.box)
        blocks, seen = blocks.rows(seen.low < 0.0), seen.rows(seen.low < 0.0)
        if len(blocks.way) == 0:
            return blocks
        found = look(scene, seen, self.box, blocks.cells)
        keep = found.low < 0.0
        blocks = replace(blocks, cells=replace(blocks.cells, floor=found.low)).rows(keep)
        touching = (found.middle[keep] < 0.0) & self.box.holds(seen.pose[keep])
        cells, single = blocks.cells, blocks.single
        again = np.flatnonzero(single & ~touching)
        loose = np.zeros(len(cells), dtype=np.bool_)
        if len(again):
            worst = cells.u[again] - np.sign(found.slope[keep][again]) * cells.size[again]
            worst[:, STEER] = cells.u[again, STEER]
            value, pose = measure(scene, pairs, cells.which[again], self.box, worst)
            touching[again] = (value < 0.0) & self.box.holds(pose)
            loose[again] = value - cells.floor[again] > LOOSE
        # a pose without the clearance ends the free lock of its cell there
        hit = blocks.rows(touching & single)
        self._end(hit, self._start(hit) + hit.cells.size[:, STEER], problem, first)
        small = cells.size[:, :2].max(axis=1) <= self._step / 2.0 / INSIDE
        over = single & (2.0 * cells.size[:, STEER] <= FINEST) & (small | ~loose)
        self._lose(blocks.rows(over), problem, first)
        return blocks.rows(~over)

    def _lose(self, blocks: _Blocks, problem: Problem, first: int) -> None:
        """End the free lock of all cells of blocks where these begin."""
        start = self._start(blocks)
        single = blocks.single
        self._end(blocks.rows(single), start[single], problem, first)
        for row in np.flatnonzero(~single).tolist():
            a, b, c, d = blocks.corner[row].tolist()
            cells = (int(blocks.way[row]), slice(a, b), slice(c, d))
            lower = self._free[cells] > start[row]
            self._free[cells] = np.minimum(self._free[cells], start[row])
            self._pair[cells][lower] = first + problem.pairs.group[blocks.cells.which[row]]

    def _end(self, blocks: _Blocks, steer: Floats, problem: Problem, first: int) -> None:
        """End the free lock of the one cell of each block at a steer."""
        order = np.argsort(-steer, kind="stable")
        at = (blocks.way[order], blocks.corner[order, 0], blocks.corner[order, 2])
        sooner = steer[order] < self._free[at]
        order = order[sooner]
        at = (blocks.way[order], blocks.corner[order, 0], blocks.corner[order, 2])
        # written in falling order, so that the least stays
        self._free[at] = steer[order]
        self._pair[at] = first + problem.pairs.group[blocks.cells.which[order]]

    def _halved(self, problem: Problem, blocks: _Blocks) -> _Blocks:
        """Both halves of each block along the freedom that bends its distance most and may still be split."""
        if len(blocks.way) == 0:
            return blocks
        cells, single = blocks.cells, blocks.single
        extent = curving(problem.scene, problem.pairs, cells.which, self.box) * cells.size
        least = self._step / 2.0 / INSIDE * (1.0 + 1e-9)
        several = blocks.corner[:, 1::2] - blocks.corner[:, ::2] > 1
        splits = np.where(single[:, None], cells.size[:, :2] > least, several)
        extent[:, :2] = np.where(splits, extent[:, :2] + 1e-12, -1.0)
        extent[:, STEER] = np.where(2.0 * cells.size[:, STEER] > FINEST, extent[:, STEER], -1.0)
        # all blocks are to become single cells, and steer is cheap to bound: travel first where they are alike
        extent[:, STEER] *= np.where(single, 1.0 / SPLIT_SHARE, SPLIT_SHARE)
        way = np.argmax(extent, axis=1)
        halves = [self._half(blocks, way, side) for side in (0, 1)]
        return _joined(halves)

    def _half(self, blocks: _Blocks, way: Indices, side: int) -> _Blocks:
        """One half of each block."""
        corner, u, size = blocks.corner.copy(), blocks.cells.u.copy(), blocks.cells.size.copy()
        rows = np.arange(len(way))
        inner = rows[(way == STEER) | blocks.single]
        along = way[inner]
        size[inner, along] *= 0.5
        u[inner, along] += size[inner, along] * (1.0 if side else -1.0)
        outer = rows[(way != STEER) & ~blocks.single]
        along = way[outer]
        low, high = corner[outer, 2 * along], corner[outer, 2 * along + 1]
        middle = (low + high) // 2
        corner[outer, 2 * along + 1 - side] = middle
        low, high = corner[outer, 2 * along], corner[outer, 2 * along + 1]
        size[outer, along] = self._step * (high - low) / 2.0
        u[outer, along] = self._low + self._step * (low + high) / 2.0 - self.box.middle[along]
        return _Blocks(blocks.way, corner, Cells(blocks.cells.which, u, size, blocks.cells.floor))


def _joined(parts: list[_Blocks]) -> _Blocks:
    cells = [part.cells for part in parts]
    return _Blocks(
        np.concatenate([part.way for part in parts]),
        np.concatenate([part.corner for part in parts]),
        Cells(
            np.concatenate([each.which for each in cells]),
            np.concatenate([each.u for each in cells]),
            np.concatenate([each.size for each in cells]),
            np.concatenate([each.floor for each in cells]),
        ),
    )
