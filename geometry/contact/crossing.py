"""Where on a way contact starts first: the same branch and bound, ordered by the place on the way.

The first way of the box is the one that is walked, from its low end to its high end: own wheel's bump for a contact
start, the axle's width for the edge of a window. The answer is a band: before `low` every pose is proved apart, at
`high` a pose in contact was met. Between the two lies what a quarter of a millimetre cannot decide.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.scene import Pairs, Scene
from geometry.contact.search import (
    MOST_CELLS,
    Box,
    Cells,
    curving,
    first_cells,
    joined,
    look,
    measure,
    sight,
    split,
    too_many,
    within_reach,
)
from geometry.tolerances import CLEARANCE

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

STEP: Final = 0.5
"""Extent on the way under which an undecided cell is not split further [mm]."""


@dataclass(frozen=True)
class Crossing:
    """First contact per group, as places on the way from 0 at its low end [mm].

    Attributes
    ----------
    low, high : array, shape (g,)
        Proved apart before low; in contact at high. inf = nothing up to the high end.
    pair : array of int, shape (g,)
        The pair met at `high`, or the one that could not be decided at `low`.
    settled : array of bool, shape (g,)

    """

    low: Floats
    high: Floats
    pair: Indices
    settled: NDArray[np.bool_]


def first_crossing(
    scene: Scene,
    pairs: Pairs,
    groups: int,
    box: Box,
    *,
    tolerance: float = CLEARANCE,
    give_up: Callable[[], bool] | None = None,
) -> Crossing:
    """First place on the box's first way at which a pair of each group comes under zero.

    Parameters
    ----------
    tolerance : float
        Overlap that need not be told from a touch [mm].
    give_up : callable
        Asked once a level; True leaves the groups that are not done unsettled.

    """
    record = _Record(groups, tolerance)
    cells = first_cells(scene, pairs, box, walked=1)
    most, count = len(cells) + MOST_CELLS, 0
    while len(cells):
        count += len(cells)
        cells = joined([_kept(scene, pairs, part, box, record) for part in cells.parts()])
        cells = split(cells, _eager(curving(scene, pairs, cells.which, box), cells.size))
        group, start = pairs.group[cells.which], cells.u[:, 0] - cells.size[:, 0] + box.size[0]
        left = too_many(group, 0 if give_up is not None and give_up() else most - count)
        record.in_doubt(group[left], cells.which[left], start[left])
        record.settled[group[left]] = False
        cells = cells.rows(~left)
    low = np.minimum(record.low, record.high)
    return Crossing(low, record.high, np.where(np.isfinite(record.high), record.met, record.doubt), record.settled)


class _Record:
    """First place of each group in contact, and first one in doubt, while a walk goes on."""

    def __init__(self, groups: int, tolerance: float) -> None:
        self.low, self.high = np.full(groups, np.inf), np.full(groups, np.inf)
        self.met, self.doubt = np.zeros(groups, dtype=np.intp), np.zeros(groups, dtype=np.intp)
        self.settled = np.ones(groups, dtype=bool)
        self.tolerance = tolerance

    def touched(self, group: Indices, pair: Indices, place: Floats) -> None:
        """Take note of poses in contact."""
        _note(group, pair, place, self.high, self.met)

    def in_doubt(self, group: Indices, pair: Indices, place: Floats) -> None:
        """Leave behind the starts of cells that are not split further."""
        _note(group, pair, place, self.low, self.doubt)

    def limit(self, group: Indices) -> Floats:
        """Where a cell has to start before to matter: the contact met, and once the band is narrow the doubt too."""
        narrow = np.isfinite(self.high) & (self.high <= self.low + STEP)
        return np.asarray(np.where(narrow, np.minimum(self.low, self.high), self.high)[group])


def _note(group: Indices, pair: Indices, place: Floats, at: Floats, names: Indices) -> None:
    better = np.flatnonzero(place < at[group])
    order = better[np.argsort(-place[better], kind="stable")]
    at[group[order]] = place[order]
    names[group[order]] = pair[order]


def _kept(scene: Scene, pairs: Pairs, cells: Cells, box: Box, record: _Record) -> Cells:
    """Look at cells, take note of what is found, and keep those that have to be split."""
    whole = box.size[0]
    cells = within_reach(pairs, cells, box)
    seen = sight(scene, pairs, cells, box)
    start = cells.u[:, 0] - cells.size[:, 0] + whole
    useful = (start < record.limit(seen.of.group)) & (seen.low < 0.0)
    seen, cells, start = seen.rows(useful), cells.rows(useful), start[useful]
    if len(cells) == 0:
        return cells
    group, which, u = seen.of.group, cells.which, cells.u
    found = look(scene, seen, box, cells)
    there = box.holds(seen.pose)
    touching = (found.middle < 0.0) & there
    record.touched(group[touching], which[touching], (u[:, 0] + whole)[touching])
    keep = (found.low < 0.0) & (start < record.high[group])
    if keep.any():
        lowest = u[keep] - np.sign(found.slope[keep]) * cells.size[keep]
        lowest[:, 0] = np.where(touching[keep], u[keep, 0] - cells.size[keep, 0], lowest[:, 0])
        distance, pose = measure(scene, pairs, which[keep], box, lowest)
        hit = (distance < 0.0) & box.holds(pose)
        record.touched(group[keep][hit], which[keep][hit], (lowest[:, 0] + whole)[hit])
    close = (found.low >= -record.tolerance) & (found.middle <= record.tolerance)
    undecided = keep & (cells.size[:, 0] <= STEP / 2.0) & ((close & there) | touching)
    record.in_doubt(group[undecided], which[undecided], start[undecided])
    keep &= ~undecided & (start < record.high[group])
    return replace(cells, floor=found.low).rows(keep)


def _eager(strength: Floats, size: Floats) -> Floats:
    """Curving with the walked way always split too, until it is as fine as STEP."""
    extent = strength * size
    strongest = extent.max(axis=1)
    eager = strength.copy()
    longer = size[:, 0] > STEP / 2.0
    eager[longer, 0] = np.maximum(eager[longer, 0], strongest[longer] / size[longer, 0])
    return eager
