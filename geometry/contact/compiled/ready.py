"""Whether the compiled search can be used, and the search itself under the name of the plain one.

`prepare` compiles the kernels, or loads what an earlier process compiled into the same folder. Until it has succeeded,
and for boxes that the kernels do not cover, `closest_approaches` is the plain one. Compiling takes many seconds, so a
process of its own can do that: ``python -m geometry.contact.compiled.ready FOLDER``.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from math import inf, isfinite
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact import crossing as plain_crossing
from geometry.contact import search as plain
from geometry.contact.compiled.kept import mark
from geometry.contact.compiled.memory import give_back
from geometry.contact.crossing import Crossing
from geometry.contact.scene import Pairs, Scene
from geometry.contact.search import MOST_CELLS, Box, Closest
from geometry.tolerances import CLEARANCE, FAR, OVERLAP_SHARE

if TYPE_CHECKING:
    from geometry.contact.compiled.search import Desk

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

OLDEST: Final = (0, 61)
"""Least version of the compiler [-]: the first for every Python and numpy that the program runs on."""

THREADS: Final = 2
"""Threads that share the groups of a search [-]. What they find does not depend on their number."""

FIRST: Final = 2_000
"""Cells that one thread looks at before others are worth starting [-]: a millisecond or two, as long as it takes to
start a thread on a machine that has other work."""

FAIR: Final = 10_000
"""Cells that a group is given before every other one has had its turn [-]: the deepest overlap must not leave pairs
unknown that are far apart."""

CHUNK: Final = 16
"""Groups between two looks at whether to give up [-]."""

_prepared = Event()
"""Set when the kernels are loaded; the one thing that is remembered here."""


def is_ready() -> bool:
    """Whether searches run compiled."""
    return _prepared.is_set()


def prepare(folder: Path) -> str:
    """Compile the kernels or load them; returns why they cannot be used, empty = they are.

    Parameters
    ----------
    folder : path
        Where compiled kernels are kept for the next process; the first call in a process decides.

    """
    from geometry.contact.compiled.jit import VERSION, keep_in

    if not VERSION:
        return "Numba is not installed."
    if tuple(int(part) for part in VERSION.split(".")[:2]) < OLDEST:
        return f"Numba {VERSION} is too old."
    try:
        keep_in(folder)
        from geometry.contact.compiled import crossing, search

        frame = search.Frame(0.0, 1.0, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), CLEARANCE, OVERLAP_SHARE)
        nothing = search.Tables(
            np.zeros((9, 9, 12)),
            np.zeros((1, 103)),
            np.zeros((0, 2, 3)),
            np.zeros((0, 5)),
            np.zeros(1, dtype=np.intp),
            search.EVERYWHERE,
        )
        found, desk = np.zeros((0, search.COLUMNS)), search.new_desk(nothing)
        search.first_look(frame, nothing, desk, found)
        search.search_groups(frame, nothing, desk, found, np.zeros(0, dtype=np.intp), 0, 0)
        nowhere = nothing._replace(starts=np.zeros(2, dtype=np.intp))
        crossing.walk_group(frame, nowhere, np.zeros((1, 11)), desk, np.zeros(6), np.zeros((1, 5)), 0, 0)
        mark(folder)
    except Exception as failure:  # noqa: BLE001  (a compiler fails in its own ways, and nothing depends on it)
        return f"Numba failed: {type(failure).__name__}: {failure}"
    give_back()
    _prepared.set()
    return ""


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
    """Closest approach of each group of pairs over the whole box, see `geometry.contact.search.closest_approaches`."""
    search = compiled_approaches if is_ready() and _covers(box) else plain.closest_approaches
    return search(scene, pairs, groups, box, tolerance=tolerance, overlap_share=overlap_share, far=far, give_up=give_up)


def compiled_approaches(
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
    """`closest_approaches` by the kernels, for boxes along the first freedoms."""
    asked = _Asked(scene, pairs, box, (tolerance, overlap_share), np.full(groups, far))
    _share(asked, give_up)
    return asked.answer()


def short_approaches(
    parts: Sequence[tuple[Scene, Pairs, Floats, Flags]],
    box: Box,
    *,
    spare: float = 0.0,
    tolerance: float = CLEARANCE,
    overlap_share: float = OVERLAP_SHARE,
    give_up: Callable[[], bool] | None = None,
) -> list[Closest]:
    """Closest approach of the groups that come nearer than is wanted and of those asked for, or else of the nearest.

    For a picture there is no time to refine what is clear. Compiled only; see `closest_approaches` for the rest.

    Parameters
    ----------
    parts : sequence of tuple
        Scene, pairs, the clearance wanted of each group [mm], and which groups are asked for in any case.
    spare : float
        A guess of what the nearest group has over what is wanted [mm]. It changes no answer; a good one saves time.

    Returns
    -------
    list of Closest
        One for each part. `beyond` are all other groups: they keep what is wanted, and where nothing is short of it
        they keep at least as much more as the nearest, which is not beyond.

    """
    limits = (tolerance, overlap_share)
    searches = [
        _Asked(scene, pairs, box, limits, np.where(asked_for, np.maximum(FAR, wanted), wanted + spare))
        for scene, pairs, wanted, asked_for in parts
    ]
    for asked in searches:
        _share(asked, give_up)
    found = [asked.answer() for asked in searches]
    kept = [
        (each.low < wanted) | asked_for | ~each.settled
        for each, (_, _, wanted, asked_for) in zip(found, parts, strict=True)
    ]
    if not any(np.any(each.low < wanted) for each, (_, _, wanted, _) in zip(found, parts, strict=True)):
        found = _nearest(searches, [wanted for _, _, wanted, _ in parts], kept, give_up)
    return [replace(each, beyond=~keep) for each, keep in zip(found, kept, strict=True)]


def _nearest(
    searches: Sequence[_Asked], wanted: Sequence[Floats], kept: Sequence[Flags], give_up: Callable[[], bool] | None
) -> list[Closest]:
    """Answers after the group with the least over what is wanted is settled; it is added to those that are kept."""
    over = [asked.found[:, asked.HIGH] - each for asked, each in zip(searches, wanted, strict=True)]
    order = sorted(
        (index for index in range(len(over)) if len(over[index])), key=lambda index: float(over[index].min())
    )
    best = inf
    for first, index in enumerate(order):
        asked = searches[index]
        if not first:
            asked.raise_limits(np.where(np.arange(len(over[index])) == np.argmin(over[index]), FAR, 0.0))
            _share(asked, give_up)
            best = asked.least_over(wanted[index])
        asked.raise_limits(wanted[index] + best)
        _share(asked, give_up)
        best = min(best, asked.least_over(wanted[index]))
    found = [asked.answer() for asked in searches]
    least = [float((each.low - more).min(initial=inf)) for each, more in zip(found, wanted, strict=True)]
    nearest = int(np.argmin(least)) if least else 0
    if least and isfinite(least[nearest]):
        kept[nearest][np.argmin(found[nearest].low - wanted[nearest])] = True
    return found


class _Asked:
    """A search under way: its tables, and what is found so far, a row for each group."""

    HIGH: Final = 1  # as in `search`, which is loaded only with the compiler

    def __init__(self, scene: Scene, pairs: Pairs, box: Box, limits: tuple[float, float], enough: Floats) -> None:
        from geometry.contact.compiled import search

        self._order = np.argsort(pairs.group, kind="stable")
        self._width = float(box.middle[3])
        self.frame = search.frame(scene, box, limits)
        self.tables = search.tables(scene, pairs.rows(self._order), len(enough), self._width, box.reach)
        self.found = np.zeros((len(enough), search.COLUMNS))
        self.found[:, [search.LOW, search.HIGH]] = np.inf
        self.found[:, search.ENOUGH] = enough
        if box.reach is None:  # else ride height, which is always within reach
            self.found[:, search.POSE :] = box.middle[:3]
        search.first_look(self.frame, self.tables, search.new_desk(self.tables), self.found)

    def unsettled(self) -> NDArray[np.intp]:
        """The groups that are still to be searched, the nearest first."""
        from geometry.contact.compiled import search

        groups = np.flatnonzero(self.found[:, search.SETTLED] == 0.0)
        return groups[np.argsort(self.found[groups, search.LOW], kind="stable")]

    def least_over(self, wanted: Floats) -> float:
        """What the nearest group has over what is wanted, at most [mm]."""
        return float((self.found[:, self.HIGH] - wanted).min(initial=inf))

    def raise_limits(self, enough: Floats) -> None:
        """Go on until each group is known to be that far away, or settled."""
        from geometry.contact.compiled import search

        found = self.found
        again = (found[:, search.SETTLED] > 0.0) & (found[:, search.LOW] >= found[:, search.ENOUGH])
        again &= found[:, search.LOW] < enough
        found[again, search.ENOUGH], found[again, search.SETTLED] = enough[again], 0.0

    def answer(self) -> Closest:
        """What was found."""
        from geometry.contact.compiled import search

        found = self.found
        low, high = np.minimum(found[:, search.LOW], found[:, search.HIGH]), found[:, search.HIGH].copy()
        pose = np.column_stack([found[:, search.POSE :], np.full(len(found), self._width)])
        pair = found[:, search.PAIR].astype(np.intp)
        at = self._order[pair] if len(self._order) else pair
        return Closest(low, high, pose, at, low >= found[:, search.ENOUGH], found[:, search.SETTLED] > 0.0)


def first_crossing(
    scene: Scene,
    pairs: Pairs,
    groups: int,
    box: Box,
    *,
    tolerance: float = CLEARANCE,
    give_up: Callable[[], bool] | None = None,
) -> Crossing:
    """First contact of each group on the box's first way, see `geometry.contact.crossing.first_crossing`."""
    search = compiled_crossing if is_ready() and _covers_way(box) else plain_crossing.first_crossing
    return search(scene, pairs, groups, box, tolerance=tolerance, give_up=give_up)


def compiled_crossing(
    scene: Scene,
    pairs: Pairs,
    groups: int,
    box: Box,
    *,
    tolerance: float = CLEARANCE,
    give_up: Callable[[], bool] | None = None,
) -> Crossing:
    """`first_crossing` by the kernel, along travels or the width; `give_up` is asked before each group."""
    from geometry.contact.compiled import crossing, search

    order = np.argsort(pairs.group, kind="stable")
    middle = np.broadcast_to(box.middle, (groups, 4))
    first = np.broadcast_to(box.ways[..., 0, :], (groups, 4))
    others = box.size[1:] @ np.abs(box.ways if box.ways.ndim == 2 else box.ways[0])[1:] if groups else np.zeros(4)
    half = float(box.size[0])
    width = float(middle[0, 3]) if groups else 0.0
    tables = search.tables(scene, pairs.rows(order), groups, width, box.reach)
    rest = (float(others[0]), float(others[1]), float(others[2]))
    travels = scene.movers.pose_map
    low, step = (0.0, 1.0) if box.reach is None else (box.reach.low, box.reach.step)
    frame = search.Frame(float(travels.middle), float(travels.half), rest, rest, tolerance, 0.0, half, low, step)
    walks = np.column_stack([middle[:, :3], first[:, :2], first[:, 3]])
    widths, desk = crossing.rates(scene.movers, tables.solids), search.new_desk(tables)
    found = np.full((groups, 5), np.inf)
    found[:, [crossing.DOUBT_PAIR, crossing.MET_PAIR, crossing.SETTLED]] = 0.0, 0.0, 1.0
    left = MOST_CELLS
    for group in range(groups):
        most = 0 if give_up is not None and give_up() else left
        left -= crossing.walk_group(frame, tables, widths, desk, walks[group], found, group, most)
    doubt, met = (found[:, column] + half for column in (crossing.DOUBT, crossing.MET))
    pair = np.where(np.isfinite(met), found[:, crossing.MET_PAIR], found[:, crossing.DOUBT_PAIR]).astype(np.intp)
    at = order[pair] if len(order) else pair
    return Crossing(np.minimum(doubt, met), met, at, found[:, crossing.SETTLED] > 0.0)


def _covers_way(box: Box) -> bool:
    """Whether the first way changes either travels or the width, and the others are freedoms beside it, one by one."""
    ways = box.ways if box.ways.ndim == 3 else box.ways[None]
    first, others = ways[:, 0], ways[:, 1:]
    along = [bool(np.any(first[:, columns])) for columns in ([0, 1], [2], [3])]
    taken = 0 if along[2] else 1
    allowed = np.eye(4)[taken:3]
    plain_ways = all(np.any(np.all(allowed == way, axis=1)) for way in others.reshape(-1, 4))
    widths = np.unique(box.middle[..., 3])
    return along in ([True, False, False], [False, False, True]) and plain_ways and len(widths) <= 1


def _covers(box: Box) -> bool:
    """Whether the box lies along left, right and steer, at one width."""
    return box.middle.ndim == 1 and box.ways.ndim == 2 and np.array_equal(box.ways, np.eye(4)[: len(box.ways)])


def _share(asked: _Asked, give_up: Callable[[], bool] | None) -> None:
    """Search the unsettled groups, nearest first; when there is much to do, several threads take them by turns."""
    from geometry.contact.compiled import search

    frame, tables, found = asked.frame, asked.tables, asked.found

    def work(share: NDArray[np.intp], desk: Desk, stop: Callable[[], bool]) -> None:
        left = MOST_CELLS // THREADS
        for each in (FAIR, left):
            rest = share[found[share, search.SETTLED] == 0.0]
            for first in range(0, len(rest), CHUNK):
                if stop():
                    stopped.set()
                    return
                if left > 0:
                    left -= search.search_groups(frame, tables, desk, found, rest[first : first + CHUNK], each, left)

    stopped = Event()
    desk = search.new_desk(tables)
    search.search_groups(frame, tables, desk, found, asked.unsettled(), FIRST, min(FIRST, MOST_CELLS))
    rest = asked.unsettled()
    shares = [np.ascontiguousarray(rest[first::THREADS]) for first in range(min(THREADS, len(rest)))]
    others = [Thread(target=work, args=(share, search.new_desk(tables), stopped.is_set)) for share in shares[1:]]
    for other in others:
        other.start()
    if shares:
        work(shares[0], desk, give_up or stopped.is_set)
    for other in others:
        other.join()


if __name__ == "__main__":
    if hasattr(os, "nice"):
        os.nice(10)  # whoever asked goes on working meanwhile
    sys.exit(prepare(Path(sys.argv[1])) or None)
