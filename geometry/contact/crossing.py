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
from geometry.contact.search import MOST_CELLS, Box, curving, first_cells, look, measure, sight, split
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
    low, high = np.full(groups, np.inf), np.full(groups, np.inf)
    met, doubt = np.zeros(groups, dtype=np.intp), np.zeros(groups, dtype=np.intp)
    settled = np.ones(groups, dtype=bool)
    whole = box.size[0]
    cells = first_cells(scene, pairs, box)
    count = 0

    def note(group: Indices, pair: Indices, place: Floats, at: Floats, names: Indices) -> None:
        better = np.flatnonzero(place < at[group])
        order = better[np.argsort(-place[better], kind="stable")]
        at[group[order]] = place[order]
        names[group[order]] = pair[order]

    while len(cells):
        count += len(cells)
        seen = sight(scene, pairs, cells, box)
        # Once the band is narrow, a cell has to start before it to matter.
        narrow = np.isfinite(high) & (high <= low + STEP)
        limit = np.where(narrow, np.minimum(low, high), high)
        useful = (cells.u[:, 0] - cells.size[:, 0] + whole < limit[seen.of.group]) & (seen.low < 0.0)
        seen, cells = seen.rows(useful), cells.rows(useful)
        if len(cells) == 0:
            break
        group, which, u = seen.of.group, cells.which, cells.u
        start = u[:, 0] - cells.size[:, 0] + whole
        found = look(scene, seen, box, cells)
        touching = found.middle < 0.0
        note(group[touching], which[touching], (u[:, 0] + whole)[touching], high, met)
        keep = (found.low < 0.0) & (start < high[group])
        if not keep.any():
            break
        lowest = u[keep] - np.sign(found.slope[keep]) * cells.size[keep]
        lowest[:, 0] = np.where(touching[keep], u[keep, 0] - cells.size[keep, 0], lowest[:, 0])
        hit = measure(scene, pairs, which[keep], box, lowest)[0] < 0.0
        note(group[keep][hit], which[keep][hit], (lowest[:, 0] + whole)[hit], high, met)
        close = (found.low >= -tolerance) & (found.middle <= tolerance)
        undecided = keep & (cells.size[:, 0] <= STEP / 2.0) & (close | touching)
        note(group[undecided], which[undecided], start[undecided], low, doubt)
        keep &= ~undecided & (start < high[group])
        if count > MOST_CELLS or (give_up is not None and give_up()):
            note(group[keep], which[keep], start[keep], low, doubt)
            settled[group[keep]] = False
            break
        cells = replace(cells, floor=found.low).rows(keep)
        cells = split(cells, _eager(curving(scene, pairs, cells.which, box), cells.size))
    low = np.minimum(low, high)
    return Crossing(low, high, np.where(np.isfinite(high), met, doubt), settled)


def _eager(strength: Floats, size: Floats) -> Floats:
    """Curving with the walked way always split too, until it is as fine as STEP."""
    extent = strength * size
    strongest = extent.max(axis=1)
    eager = strength.copy()
    longer = size[:, 0] > STEP / 2.0
    eager[longer, 0] = np.maximum(eager[longer, 0], strongest[longer] / size[longer, 0])
    return eager
