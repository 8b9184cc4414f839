"""Where on a way contact starts first, group by group: `geometry.contact.crossing` for a compiler.

Each group keeps its cells in a heap and always splits the one that starts first on the way. A change of width moves
no point of a solid by more than a known share of it, so a cell over several widths is one at the middle width that
loses so much; travel along the way is a direction of its own in the bounds.
"""

from __future__ import annotations

from math import inf
from typing import NamedTuple

import numpy as np

from geometry.contact.compiled.bounds import Cell, cell_bound
from geometry.contact.compiled.distances import separated
from geometry.contact.compiled.jit import inner, kernel
from geometry.contact.compiled.poses import ARMS, CURVING, HALF, LAW, RADIUS, SPREAD, TIED
from geometry.contact.compiled.search import (
    MOVER,
    PIECE,
    ROOM,
    SHRINK,
    Desk,
    Frame,
    Tables,
    _from_afar,
    _lowest,
    _pop,
    _push,
    _see,
    first_cell,
    in_reach,
)
from geometry.contact.compiled.vectors import NOTHING, Floats, Slopes, Vector, plus, times
from geometry.contact.crossing import STEP
from geometry.contact.movers import WIDTH, Movers
from geometry.stroke.travel_set import HAIR

DOUBT, MET, DOUBT_PAIR, MET_PAIR, SETTLED = range(5)
"""Columns of answers: first place in doubt, first one in contact, each with a row of the pairs, and 1 for settled."""

MIDDLE, WAY, WIDENING = 0, 3, 5
"""Columns of walks: left, right and steer in the middle; left and right per mm of the way; width per mm of the way."""

BASE, BY_WIDTH, HALF_BASE, HALF_BY_WIDTH, RATE, SPREAD_BASE, LEAN_BASE = 0, 3, 6, 7, 8, 9, 10
"""Columns of rates: a solid's P in the middle of the way and Pʷ, its half length there and what that gains per mm of
width, how far a point of the solid moves at most per mm of width, and the spread and the y of A in the middle."""

FLOOR, PLACE, EXTENT = 8, 9, 10
"""Columns of a cell in the heap beyond those of the search: lower value, place on the way, half the extent there."""


class Spot(NamedTuple):
    """A cell: place on the way and half the extent there, the other freedoms from the middle and half their extent."""

    place: float
    extent: float
    u: Vector
    size: Vector


def rates(movers: Movers, solids: Floats) -> Floats:
    """What the width does to solids whose rows are those at the middle of the way, shape (m, 11)."""
    by_width = np.array([each.place[WIDTH + 1] for each in movers.solids])
    gain = movers.half_by_width[:, None]
    rate = np.sqrt((by_width**2).sum(axis=1, keepdims=True)) + gain
    # a wheel also turns with the width, about its kingpin: Pᶜ reaches from there to its centre
    arm = np.sqrt((solids[:, ARMS + 6 : ARMS + 9] ** 2).sum(axis=1)) + np.hypot(solids[:, HALF], solids[:, RADIUS])
    rate += (movers.bounds.by_width * np.abs(solids[:, LAW]) * arm)[:, None]
    # either end of a tie rod moves by half the width, and both turn round a kingpin
    ties = solids[:, TIED] > 0.0
    arm = np.sqrt((movers.across[:, 0] ** 2).sum(axis=1)) * 2.0
    rate[ties] = 1.0 + 4.0 * movers.bounds.by_width * arm[ties, None]
    base = solids[:, [HALF, SPREAD, ARMS + 16]]
    return np.concatenate([solids[:, ARMS + 3 : ARMS + 6], by_width, base[:, :1], gain, rate, base[:, 1:]], axis=1)


@inner
def _spot_in_reach(frame: Frame, tables: Tables, walk: Floats, spot: Spot, hair: float) -> bool:
    """Whether anything of a spot is within reach."""
    way = (walk[WAY], walk[WAY + 1], 0.0)
    spread = (abs(way[0]) * spot.extent, abs(way[1]) * spot.extent, 0.0)
    middle = plus(frame.middle, 1.0, plus(spot.u, spot.place, way))
    reached: bool = in_reach(frame, tables, middle, plus(spot.size, 1.0, spread), hair)
    return reached


@inner
def _spot_seen(frame: Frame, tables: Tables, widths: Floats, desk: Desk, walk: Floats, pair: int, spot: Spot) -> Cell:
    """The pair over a spot at its middle width, by freedoms, and its hull's corners on the desk."""
    wider = walk[WIDENING] * spot.place
    _widen(tables, widths, int(tables.pairs[pair, MOVER]), wider)
    if len(tables.corners) == 0:
        _widen(tables, widths, int(tables.pairs[pair, PIECE]), wider)
    way = (walk[WAY], walk[WAY + 1], 0.0)
    spread = (abs(way[0]) * spot.extent, abs(way[1]) * spot.extent, 0.0)
    return _see(frame, tables, desk, pair, plus(spot.u, spot.place, way), plus(spot.size, 1.0, spread))


@inner
def _widen(tables: Tables, widths: Floats, which: int, wider: float) -> None:
    """Put a solid where it is when the axle is wider than in the middle of the way."""
    for part in range(3):
        tables.solids[which, ARMS + 3 + part] = widths[which, BASE + part] + wider * widths[which, BY_WIDTH + part]
    tables.solids[which, HALF] = widths[which, HALF_BASE] + wider * widths[which, HALF_BY_WIDTH]
    tables.solids[which, SPREAD] = widths[which, SPREAD_BASE] + wider
    tables.solids[which, ARMS + 16] = widths[which, LEAN_BASE] + wider * tables.solids[which, TIED]


@inner
def _rate(tables: Tables, widths: Floats, pair: int) -> float:
    """How far a pair's points move towards each other at most per mm of width."""
    rate: float = widths[int(tables.pairs[pair, MOVER]), RATE]
    if len(tables.corners) == 0:
        rate += widths[int(tables.pairs[pair, PIECE]), RATE]
    return rate


@inner
def _along(slopes: Slopes, walk: Floats) -> Slopes:
    """Slopes along the way instead of those by left travel."""
    return (plus(times(walk[WAY], slopes[0]), walk[WAY + 1], slopes[1]), slopes[1], slopes[2])


@inner
def _by_ways(cell: Cell, walk: Floats, spot: Spot) -> Cell:
    """The same with the way as the first direction, if it is one of travel."""
    if walk[WAY] == 0.0 and walk[WAY + 1] == 0.0:
        return cell
    return Cell(
        cell.axis,
        _along(cell.axis_slope, walk),
        cell.axis_rest,
        _along(cell.slope, walk),
        cell.rest,
        cell.lever,
        _along(cell.edge_slope, walk),
        cell.edge_rest,
        (spot.extent, spot.size[1], spot.size[2]),
        cell.half,
        cell.radius,
    )


@inner
def _note(found: Floats, group: int, at: int, pair: int, place: float) -> None:
    """Take note of the first place of a kind."""
    if place < found[group, at]:
        found[group, at], found[group, at + 2] = place, pair


@inner
def _limit(found: Floats, group: int) -> float:
    """Where a cell has to start before to matter."""
    met: float = found[group, MET]
    return min(found[group, DOUBT], met) if met <= found[group, DOUBT] + STEP else met


@inner
def _look(
    frame: Frame,
    tables: Tables,
    widths: Floats,
    desk: Desk,
    walk: Floats,
    found: Floats,
    group: int,
    pair: int,
    spot: Spot,
    floor: float,
) -> float:
    """Lower value of a cell that has to be split, infinite for others; what is met on the way is noted."""
    start, shrink = spot.place - spot.extent, tables.pairs[pair, SHRINK]
    if start >= _limit(found, group) or not _spot_in_reach(frame, tables, walk, spot, HAIR):
        return inf
    there = _spot_in_reach(frame, tables, walk, Spot(spot.place, 0.0, spot.u, NOTHING), -HAIR)
    cell = _spot_seen(frame, tables, widths, desk, walk, pair, spot)
    loss = _rate(tables, widths, pair) * abs(walk[WIDENING]) * spot.extent
    floor = max(floor, _from_afar(tables, desk.hull, pair, cell)[0] - loss)
    if floor >= 0.0:
        return inf
    cell = _by_ways(cell, walk, spot)
    gap, normal, edge = separated(cell.axis, cell.half, cell.radius, desk.hull)
    middle = gap - shrink
    if middle < 0.0 and there:
        _note(found, group, MET, pair, spot.place)
    low, slope = cell_bound(cell, desk.hull, normal, edge)
    low = min(max(low - shrink - loss, floor), middle)
    if low >= 0.0 or start >= found[group, MET]:
        return inf
    lowest = _lowest_spot(walk, spot, slope, middle < 0.0 and there)
    cell = _spot_seen(frame, tables, widths, desk, walk, pair, lowest)
    if separated(cell.axis, cell.half, cell.radius, desk.hull)[0] < shrink and _spot_in_reach(
        frame, tables, walk, lowest, -HAIR
    ):
        _note(found, group, MET, pair, lowest.place)
    close = low >= -frame.tolerance and middle <= frame.tolerance
    if there and spot.extent <= STEP / 2.0 and (close or middle < 0.0):
        _note(found, group, DOUBT, pair, start)
        return inf
    return low if start < found[group, MET] else inf


@inner
def _lowest_spot(walk: Floats, spot: Spot, slope: Vector, touching: bool) -> Spot:
    """Where the distance is least by its slope; what touches in the middle is looked at where the cell starts."""
    travels = walk[WAY] != 0.0 or walk[WAY + 1] != 0.0
    place = spot.place
    if touching:
        place -= spot.extent
    elif travels:
        place -= np.sign(slope[0]) * spot.extent
    return Spot(place, 0.0, _lowest(spot.u, spot.size, slope), NOTHING)


@inner
def _direction(frame: Frame, tables: Tables, widths: Floats, walk: Floats, pair: int, spot: Spot) -> int:
    """What a cell is halved along: the freedom, or 3 for the way, along which its bound loses most."""
    solids, mover = tables.solids, int(tables.pairs[pair, MOVER])
    best, chosen, along = 0.0, 3, 0.0
    for freedom in range(3):
        curving = solids[mover, CURVING + freedom]
        if len(tables.corners) == 0:
            curving = max(curving, solids[int(tables.pairs[pair, PIECE]), CURVING + freedom])
        loss = (curving * spot.size[freedom]) ** 2
        if freedom < 2:
            along += curving * abs(walk[WAY + freedom]) * spot.extent
        if loss > best:
            best, chosen = loss, freedom
    along = along * along + _rate(tables, widths, pair) * abs(walk[WIDENING]) * spot.extent
    wide = spot.extent > STEP / 2.0
    return 3 if along >= best or (wide and best < frame.tolerance / 2.0) else chosen


@inner
def _halves(spot: Spot, way: int) -> tuple[Spot, Spot]:
    """Both halves of a cell, the first one first."""
    u, size = spot.u, spot.size
    if way == 3:
        half = spot.extent / 2.0
        return Spot(spot.place - half, half, u, size), Spot(spot.place + half, half, u, size)
    step = (size[0] * (way == 0) / 2.0, size[1] * (way == 1) / 2.0, size[2] * (way == 2) / 2.0)
    size = plus(size, -1.0, step)
    place, extent = spot.place, spot.extent
    return Spot(place, extent, plus(u, -1.0, step), size), Spot(place, extent, plus(u, 1.0, step), size)


@inner
def _taken(cells: Floats, slot: int) -> Spot:
    """The cell in a row of the heap."""
    u, size = (cells[slot, 2], cells[slot, 3], cells[slot, 4]), (cells[slot, 5], cells[slot, 6], cells[slot, 7])
    return Spot(cells[slot, PLACE], cells[slot, EXTENT], u, size)


@inner
def _put(cells: Floats, order: Floats, count: int, pair: int, spot: Spot, low: float) -> None:
    """Put a cell into the heap."""
    slot = order[count]
    cells[slot, FLOOR], cells[slot, PLACE], cells[slot, EXTENT] = low, spot.place, spot.extent
    _push(cells, order, count, pair, spot.u, spot.size, spot.place - spot.extent)  # type: ignore[arg-type]


@kernel
def walk_group(
    frame: Frame, tables: Tables, widths: Floats, desk: Desk, walk: Floats, found: Floats, group: int, most: int
) -> int:
    """First contact of one group on its walk of half length frame.half_walk; returns how many cells were looked at.

    A group that would take more than `most` stays unsettled. Places are given from the middle of the way.
    """
    frame = Frame(
        frame.map_middle,
        frame.map_half,
        (walk[MIDDLE], walk[MIDDLE + 1], walk[MIDDLE + 2]),
        frame.size,
        frame.tolerance,
        frame.overlap_share,
        frame.half_walk,
        frame.reach_low,
        frame.reach_step,
    )
    first, last = tables.starts[group], tables.starts[group + 1]
    room = max(ROOM, 2 * (last - first))
    cells, order, count, spent = np.empty((room, 11)), np.arange(room), 0, 0
    for pair in range(first, last):
        u, size = first_cell(frame, tables, pair)
        if walk[WAY] != 0.0 or walk[WAY + 1] != 0.0:  # travel is the way, and none of the others
            u = NOTHING
        spot = Spot(0.0, frame.half_walk, u, size)
        low = _look(frame, tables, widths, desk, walk, found, group, pair, spot, -inf)
        spent += 1
        if low < 0.0:
            _put(cells, order, count, pair, spot, low)
            count += 1
    most += spent
    while spent < most and count and cells[order[0], 0] < _limit(found, group):
        slot = _pop(cells, order, count)
        count -= 1
        pair, floor, spot = int(cells[slot, 1]), cells[slot, FLOOR], _taken(cells, slot)
        end = min(spot.place + spot.extent, found[group, MET])
        start = spot.place - spot.extent
        spot = Spot((start + end) / 2.0, (end - start) / 2.0, spot.u, spot.size)
        if count + 2 > len(order):
            cells, order = np.concatenate((cells, cells)), np.concatenate((order, order + len(order)))
        for half in _halves(spot, _direction(frame, tables, widths, walk, pair, spot)):
            low = _look(frame, tables, widths, desk, walk, found, group, pair, half, floor)
            spent += 1
            if low < 0.0:
                _put(cells, order, count, pair, half, low)
                count += 1
    if count and cells[order[0], 0] < _limit(found, group):
        found[group, SETTLED] = 0.0
        _note(found, group, DOUBT, int(cells[order[0], 1]), cells[order[0], 0])
    return spent
