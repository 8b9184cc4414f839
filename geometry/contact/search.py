"""Closest approach over a whole box of poses, by branch and bound: proved, not sampled.

Each pair starts with one cell, the whole box; cells that shocks, stops and straps keep the axle out of are left out. In
the middle of a cell the exact distance is an upper value of the closest approach, `bounds.cell_bound` a lower one for
the whole cell; where the bound falls least the distance is taken once more. A cell whose lower value is within the
tolerance of the best upper value of its group is done, the others are split. What is done leaves its lower value
behind, so that at the end low ≤ true ≤ high.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.bounds import cell_bound
from geometry.contact.distance import separation
from geometry.contact.movers import LEFT, RIGHT, STEER, WIDTH
from geometry.contact.scene import Pairs, Scene, View
from geometry.stroke.travel_set import TravelSet
from geometry.tolerances import CLEARANCE, FAR, OVERLAP_SHARE

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]

MOST_CELLS: Final = 200_000
"""Cells, beside one for each pair, that a search looks at before it ends unsettled [-]; the demo rigs need some ten
thousand."""

AT_ONCE: Final = 8_192
"""Cells looked at at once [-]: a level of many would fill the memory, with a panel of many corners at 10 kB each."""

SPLIT_SHARE: Final = 0.6
"""A cell is split along every way whose curving is at least this share of the strongest one's [-]."""


@dataclass(frozen=True)
class Box:
    """The poses to cover: middle + ways · u with |u| ≤ size.

    Attributes
    ----------
    middle : array, shape (4,) or (groups, 4)
    ways : array, shape (k, 4) or (groups, k, 4)
        Change of the four freedoms along each way.
    size : array, shape (k,)
    reach : TravelSet or None
        Which travels are left of them; None = all.

    """

    middle: Floats
    ways: Floats
    size: Floats
    reach: TravelSet | None = None

    def poses(self, group: Indices, u: Floats) -> Floats:
        """Poses of points u, shape (n, k), each in the box of its group."""
        middle = self.middle if self.middle.ndim == 1 else self.middle[group]
        if self.ways.ndim == 2:
            return np.asarray(middle + u @ self.ways)
        return np.asarray(middle + np.einsum("nk,nkf->nf", u, self.ways[group]))

    def spread(self, group: Indices, size: Floats) -> Floats:
        """Largest change of each freedom in cells of that size, shape (n, 4)."""
        ways = np.abs(self.ways)
        if ways.ndim == 2:
            return np.asarray(size @ ways)
        return np.asarray(np.einsum("nk,nkf->nf", size, ways[group]))

    def meets(self, group: Indices, u: Floats, size: Floats) -> Flags:
        """Which cells hold anything that is within reach, shape (n,)."""
        if self.reach is None:
            return np.ones(len(u), dtype=np.bool_)
        pose, spread = self.poses(group, u), self.spread(group, size)
        return self.reach.meets(pose[:, LEFT], pose[:, RIGHT], spread[:, LEFT], spread[:, RIGHT])

    def holds(self, pose: Floats) -> Flags:
        """Which poses, shape (n, 4), are within reach."""
        if self.reach is None:
            return np.ones(len(pose), dtype=np.bool_)
        return self.reach.holds(pose[:, LEFT], pose[:, RIGHT])

    def ways_of(self, group: Indices) -> Floats:
        """Ways for the cells of those groups."""
        return self.ways if self.ways.ndim == 2 else self.ways[group]


@dataclass(frozen=True)
class Closest:
    """Closest approach per group.

    Attributes
    ----------
    low, high : array, shape (g,)
        No pose comes below low [mm]; the pose `pose` of pair `pair` has distance high.
    pose : array, shape (g, 4)
    pair : array of int, shape (g,)
    beyond, settled : array of bool, shape (g,)
        Proved farther than the cap and not refined; interval as narrow as asked.

    """

    low: Floats
    high: Floats
    pose: Floats
    pair: Indices
    beyond: Flags
    settled: Flags


@dataclass(frozen=True)
class Cells:
    """Cells still to be looked at.

    Attributes
    ----------
    which : array of int, shape (n,)
        Row of the pair.
    u, size : array, shape (n, k)
        Middle, and half the extent along each way.
    floor : array, shape (n,)
        Lower value of the cell it was split from [mm]: a finer search never says less than a coarser one.

    """

    which: Indices
    u: Floats
    size: Floats
    floor: Floats

    def __len__(self) -> int:
        """Number of cells."""
        return len(self.which)

    def rows(self, keep: Flags | slice) -> Cells:
        """Some of the cells."""
        return Cells(self.which[keep], self.u[keep], self.size[keep], self.floor[keep])

    def parts(self) -> Iterator[Cells]:
        """All of them, AT_ONCE at a time."""
        return (self.rows(slice(first, first + AT_ONCE)) for first in range(0, len(self), AT_ONCE))


@dataclass(frozen=True)
class Sight:
    """Cells seen from afar.

    Attributes
    ----------
    of : Pairs
    pose : array, shape (n, 4)
    view : View
        In the middle of each cell.
    spread : array, shape (n, 4)
        Largest change of each freedom within the cell.
    low, high : array, shape (n,)
        No pose of the cell comes below `low`; the middle has at most `high` [mm].

    """

    of: Pairs
    pose: Floats
    view: View
    spread: Floats
    low: Floats
    high: Floats

    def rows(self, which: Flags) -> Sight:
        """Some of the cells."""
        view = self.view.rows(which)
        return Sight(self.of.rows(which), self.pose[which], view, self.spread[which], self.low[which], self.high[which])


@dataclass(frozen=True)
class Look:
    """Cells seen closely: exact distance in the middle, lower value over the cell, and its slope per unit of u."""

    middle: Floats
    low: Floats
    slope: Floats


class _Record:
    """Best upper and lower values per group while a search runs, and how narrow and how far they are asked for."""

    def __init__(
        self,
        groups: int,
        box: Box,
        tolerance: float = CLEARANCE,
        overlap_share: float = OVERLAP_SHARE,
        far: float = FAR,
    ) -> None:
        self.low = np.full(groups, np.inf)
        self.high = np.full(groups, np.inf)
        self.pose = np.zeros((groups, 4))
        self.pose[:, WIDTH] = box.middle[..., WIDTH]
        self._box = box
        self.pair = np.zeros(groups, dtype=np.intp)
        self.settled = np.ones(groups, dtype=bool)
        self._asked = (tolerance, overlap_share, far)

    def limit(self, group: Indices) -> Floats:
        """Lower value from which on a cell of a group is not split further."""
        tolerance, overlap_share, far = self._asked
        high = self.high[group]
        return np.asarray(np.minimum(high - np.maximum(tolerance, -overlap_share * high), far))

    def found(self, group: Indices, pair: Indices, value: Floats, pose: Floats) -> None:
        """Take note of distances met in poses."""
        better = np.flatnonzero((value < self.high[group]) & self._box.holds(pose))
        if len(better) == 0:
            return
        order = better[np.argsort(-value[better], kind="stable")]
        # Written in falling order, so that the least value of each group is the one that stays.
        self.high[group[order]] = value[order]
        self.pose[group[order]] = pose[order]
        self.pair[group[order]] = pair[order]

    def done(self, group: Indices, low: Floats) -> None:
        """Leave lower values behind of cells that are not split further."""
        np.minimum.at(self.low, group, low)


def whole_travel(left: tuple[float, float], right: tuple[float, float], steer: tuple[float, float]) -> Box:
    """Box of all poses with travels and steer between the given limits, width as drawn."""
    limits = np.array([left, right, steer])
    ways = np.eye(4)[:3]
    if steer[0] == steer[1]:
        ways = ways[:2]
    middle = np.append(limits.mean(axis=1), 0.0)
    return Box(middle, ways, (limits[:, 1] - limits[:, 0])[: len(ways)] / 2.0)


def closest_approaches(
    scene: Scene,
    pairs: Pairs,
    groups: int,
    box: Box,
    *,
    tolerance: float = CLEARANCE,
    overlap_share: float = OVERLAP_SHARE,
    far: float = FAR,
    give_up: Callable[[], bool] | None = None,
) -> Closest:
    """Closest approach of each group of pairs over the whole box.

    Parameters
    ----------
    tolerance : float
        Largest high − low [mm], for overlaps `overlap_share` of their depth if that is more.
    far : float
        Distance beyond which it is enough to have proved it [mm].
    give_up : callable
        Asked once a level; True leaves the groups that are not done unsettled.

    """
    record = _Record(groups, box, tolerance, overlap_share, far)
    cells = first_cells(scene, pairs, box)
    most, count = len(cells) + MOST_CELLS, 0
    while len(cells):
        first = count == 0
        count += len(cells)
        cells = joined([_kept(scene, pairs, part, box, record, first=first) for part in cells.parts()])
        cells = split(cells, curving(scene, pairs, cells.which, box))
        group = pairs.group[cells.which]
        left = too_many(group, 0 if give_up is not None and give_up() else most - count)
        record.done(group[left], cells.floor[left])
        record.settled[group[left]] = False
        cells = cells.rows(~left)
    low = np.minimum(record.low, record.high)
    return Closest(low, record.high, record.pose, record.pair, low >= far, record.settled)


def _kept(scene: Scene, pairs: Pairs, cells: Cells, box: Box, record: _Record, *, first: bool) -> Cells:
    """Look at cells, take note of what is found, and keep those that have to be split."""
    cells = within_reach(pairs, cells, box)
    seen = sight(scene, pairs, cells, box)
    if first:
        record.found(seen.of.group, cells.which, seen.high, seen.pose)
    near = seen.low < record.limit(seen.of.group)
    record.done(seen.of.group[~near], seen.low[~near])
    seen, cells = seen.rows(near), cells.rows(near)
    if len(cells) == 0:
        return cells
    found = look(scene, seen, box, cells)
    cells = replace(cells, floor=found.low)
    group = seen.of.group
    record.found(group, cells.which, found.middle, seen.pose)
    keep = found.low < record.limit(group)
    if keep.any():
        lowest = cells.u[keep] - np.sign(found.slope[keep]) * cells.size[keep]
        value, pose = measure(scene, pairs, cells.which[keep], box, lowest)
        record.found(group[keep], cells.which[keep], value, pose)
        keep &= found.low < record.limit(group)
    record.done(group[~keep], found.low[~keep])
    return cells.rows(keep)


def within_reach(pairs: Pairs, cells: Cells, box: Box) -> Cells:
    """Cells without those that hold nothing within reach."""
    return cells if box.reach is None else cells.rows(box.meets(pairs.group[cells.which], cells.u, cells.size))


def joined(parts: Sequence[Cells]) -> Cells:
    """Cells of one or more parts in their order."""
    if len(parts) == 1:
        return parts[0]
    return Cells(
        np.concatenate([part.which for part in parts]),
        np.concatenate([part.u for part in parts]),
        np.concatenate([part.size for part in parts]),
        np.concatenate([part.floor for part in parts]),
    )


def too_many(group: Indices, room: int) -> Flags:
    """Which cells have to go so that the others are no more than `room`: all of the groups that have most, shape (n,).

    The deepest overlaps go first, and pairs that are apart do not stay unknown for their sake.
    """
    sizes = np.bincount(group)
    order = np.argsort(sizes, kind="stable")
    gone = np.empty(len(sizes), dtype=bool)
    gone[order] = np.cumsum(sizes[order]) > room
    return np.asarray(gone[group])


def first_cells(scene: Scene, pairs: Pairs, box: Box, *, walked: int = 0) -> Cells:
    """One cell per pair, the whole box; what does not move a pair is no freedom for it.

    walked : 1 = the box's first way is walked along, and kept in any case.
    """
    which = np.arange(len(pairs.mover), dtype=np.intp)
    size = np.tile(box.size, (len(which), 1))
    steers = np.abs(box.ways_of(pairs.group)[..., STEER]) > 0.0
    size[steers & ~scene.steered(pairs)[:, None]] = 0.0
    u, carried = np.zeros_like(size), scene.carried(pairs)
    for way in range(walked, size.shape[1]) if carried.any() else ():
        along = box.ways[..., way, :].reshape(-1, 4)[0]
        if not along[STEER:].any():  # at ride height, which is always within reach
            size[carried, way], u[carried, way] = 0.0, -float(along @ np.atleast_2d(box.middle)[0])
    return Cells(which, u, size, np.full(len(which), -np.inf))


def split(cells: Cells, curving: Floats) -> Cells:
    """Halve each cell along every way that curves most, so that all its children come at once.

    curving : array, shape (n, k): how strongly the pair's place curves along each way, root of mm per unit.
    """
    which, u, size, floor = cells.which, cells.u, cells.size, cells.floor
    extent = curving * size
    strongest = extent.max(axis=1, keepdims=True)
    flat = strongest <= 0.0
    chosen = np.where(flat, size >= size.max(axis=1, keepdims=True), extent >= SPLIT_SHARE * strongest) & (size > 0.0)
    for way in range(size.shape[1]):
        along = chosen[:, way]
        size = size.copy()
        size[along, way] *= 0.5
        step = np.zeros_like(size)
        step[along, way] = size[along, way]
        which, floor = np.concatenate([which, which[along]]), np.concatenate([floor, floor[along]])
        u = np.concatenate([u - step, (u + step)[along]])
        size, chosen = np.concatenate([size, size[along]]), np.concatenate([chosen, chosen[along]])
    return Cells(which, u, size, floor)


def sight(scene: Scene, pairs: Pairs, cells: Cells, box: Box) -> Sight:
    """Where the pairs of those cells are, and what the ball round the core alone says of their distance."""
    of = pairs.rows(cells.which)
    pose = box.poses(of.group, cells.u)
    view = scene.view(of.mover, of.piece, pose)
    spread = scene.bending(of, box.spread(of.group, cells.size))
    moved = (np.sqrt((view.corner_slope**2).sum(axis=2)) * spread[:, None]).sum(axis=2).max(axis=1)
    curvature = scene.movers.centre_reach[of.mover]
    if scene.pieces is None:
        curvature = curvature + scene.movers.end_reach[of.piece]
    curved = 0.5 * np.einsum("nij,ni,nj->n", curvature, spread, spread)
    if scene.pieces is None:
        curved = curved + scene.lengthened(of.piece, view, spread)
    core = np.hypot(view.half_length + scene.movers.half_by_width[of.mover] * spread[:, WIDTH], view.radius)
    least, most = _hull_distance(view.corners)
    low = np.maximum(least - core - moved - curved - of.shrink, cells.floor)
    return Sight(of, pose, view, spread, low, most - of.shrink)


def _hull_distance(corners: Floats) -> tuple[Floats, Floats]:
    """Distance of the origin from a straight; for more corners bounds of it, from the ball round them."""
    if corners.shape[1] == 2:
        start, along = corners[:, 0], corners[:, 1] - corners[:, 0]
        length = np.maximum((along * along).sum(axis=1), 1e-300)
        share = np.clip(-(start * along).sum(axis=1) / length, 0.0, 1.0)
        nearest = start + share[:, None] * along
        distance = np.sqrt((nearest * nearest).sum(axis=1))
        return distance, distance
    middle = corners.mean(axis=1)
    round_it = np.sqrt(((corners - middle[:, None]) ** 2).sum(axis=2)).max(axis=1)
    distance = np.sqrt((middle * middle).sum(axis=1))
    return distance - round_it, distance


def look(scene: Scene, seen: Sight, box: Box, cells: Cells) -> Look:
    """Distance in the middle of each cell, lower value and slope over it."""
    of, view = seen.of, seen.view
    apart = separation(view.axis, view.half_length, view.radius, view.corners)
    local = scene.local(of, view, seen.spread, cells.size, box.ways_of(of.group))
    bound = cell_bound(local, apart.normal, apart.edge)
    middle = apart.gap - of.shrink
    return Look(middle, np.minimum(np.maximum(bound.low - of.shrink, seen.low), middle), bound.slope)


def measure(scene: Scene, pairs: Pairs, which: Indices, box: Box, u: Floats) -> tuple[Floats, Floats]:
    """Distance at points u, shape (n, k), and their poses."""
    of = pairs.rows(which)
    pose = box.poses(of.group, u)
    view = scene.view(of.mover, of.piece, pose)
    apart = separation(view.axis, view.half_length, view.radius, view.corners)
    return apart.gap - of.shrink, pose


def curving(scene: Scene, pairs: Pairs, which: Indices, box: Box) -> Floats:
    """How strongly each pair's place curves along each way, shape (n, k)."""
    mover = pairs.mover[which]
    freedoms = scene.movers.curving[mover]
    if scene.pieces is None:
        freedoms = np.maximum(freedoms, scene.movers.curving[pairs.piece[which]])
        freedoms = scene.bending(pairs.rows(which), freedoms)
    ways = np.abs(box.ways_of(pairs.group[which]))
    return np.asarray((freedoms[:, None] * ways).sum(axis=2) if ways.ndim == 3 else freedoms @ ways.T)
