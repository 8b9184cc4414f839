"""Branch and bound over the whole travel, group by group: `geometry.contact.search` for a compiler.

Each group keeps its cells in a heap and always splits the one with the least lower value, so that no cell is looked
at that the answer does not need. When that least value is within the tolerance of the best distance met, or far
enough, the group is done, and it is the group's lower value.
"""

from __future__ import annotations

from math import ceil, floor, inf, sqrt
from typing import Final, NamedTuple

import numpy as np

from geometry.contact.compiled.bounds import Cell, cell_bound
from geometry.contact.compiled.distances import separated
from geometry.contact.compiled.jit import inner, kernel
from geometry.contact.compiled.poses import (
    AXIS_BEND,
    CENTRE_BEND,
    CENTRE_REACH,
    CURVING,
    END_REACH,
    HALF,
    RADIUS,
    STEERED,
    bend,
    bends,
    kept_poses,
    placed,
    pose_at,
    solid_rows,
)
from geometry.contact.compiled.vectors import (
    LEVEL,
    NOTHING,
    Floats,
    Indices,
    Vector,
    clipped,
    dot,
    length,
    path,
    plus,
    reach,
    row,
    steeper,
)
from geometry.contact.scene import Pairs, Scene
from geometry.contact.search import Box
from geometry.stroke.travel_set import HAIR, Counts, TravelSet

EVERYWHERE: Final = np.zeros((1, 1), dtype=np.int32)
"""`Tables.reach` of a travel that nothing limits."""

ROOM: Final = 256
"""Cells a heap has room for at first [-]; it grows."""

WORTH: Final = 0.02
"""Least fall of a distance towards a cell's corner for which it is taken there, too [mm]."""

MOVER, PIECE, SHRINK, AFAR, CARRIED = range(5)
"""Columns of pairs: rows of the moving solid and of the other one, what is taken off their distance, what the ball
round the core says of it over the whole box [mm], and 1 for two parts that the axle carries."""

LOW, HIGH, PAIR, SETTLED, ENOUGH, POSE = range(6)
"""Columns of answers: as in `geometry.contact.search.Closest`, with a row of the pairs, 1 for settled, the clearance
that need only be proved, and from POSE on left, right and steer."""
COLUMNS: Final = POSE + 3


class Frame(NamedTuple):
    """What is asked.

    Attributes
    ----------
    map_middle, map_half : float
        Of the pose map [mm].
    middle, size : vector
        The box: left, right, steer, and half its extent along them.
    tolerance, overlap_share : float
        As of `closest_approaches`.
    half_walk : float
        Half the length of a walk, see `crossing`.
    reach_low, reach_step : float
        Of the travel that is within reach, see `geometry.stroke.travel_set` [mm].

    """

    map_middle: float
    map_half: float
    middle: Vector
    size: Vector
    tolerance: float
    overlap_share: float
    half_walk: float = 0.0
    reach_low: float = 0.0
    reach_step: float = 1.0


class Tables(NamedTuple):
    """What is known.

    Attributes
    ----------
    coefficients : array, shape (n + 1, n + 1, 12) or, with shackles, (n + 1, n + 1, 16)
        Of the pose map.
    solids : array, shape (m, 103)
        See `poses`.
    corners : array, shape (p, v, 3)
        Of the pieces; of shape (0, 2, 3) when the pieces are solids of the same axle [mm].
    pairs : array, shape (n, 5)
        In the order of their groups.
    starts : array of int, shape (g + 1,)
        Where the pairs of each group begin.
    reach : array of int, shape (s + 1, s + 1)
        How many steps of the travel within reach lie before each row and column; of shape (1, 1) when all of it is.

    """

    coefficients: Floats
    solids: Floats
    corners: Floats
    pairs: Floats
    starts: Indices
    reach: Counts


class Desk(NamedTuple):
    """Room to work in: kept poses, see `poses`, and the hull's corners from the core's centre, shape (v, 3)."""

    kept: Floats
    hull: Floats


def tables(scene: Scene, pairs: Pairs, groups: int, width: float, reach: TravelSet | None) -> Tables:
    """All that is known of pairs in the order of their groups, at a change of width."""
    rows = np.column_stack([pairs.mover, pairs.piece, pairs.shrink, np.zeros(len(pairs.mover)), scene.carried(pairs)])
    corners = np.empty((0, 2, 3)) if scene.pieces is None else scene.pieces.corners
    return Tables(
        np.ascontiguousarray(scene.movers.tabled),
        solid_rows(scene.movers, width),
        np.ascontiguousarray(corners),
        np.ascontiguousarray(rows),
        np.searchsorted(pairs.group, np.arange(groups + 1)),
        EVERYWHERE if reach is None else reach.counts,
    )


def frame(scene: Scene, box: Box, limits: tuple[float, float]) -> Frame:
    """What is asked: a box along the first freedoms; tolerance and overlap's share."""
    left, right, steer, _ = (float(value) for value in box.middle)
    size = [*(float(value) for value in box.size), 0.0]
    travels = scene.movers.pose_map
    low, step = (0.0, 1.0) if box.reach is None else (box.reach.low, box.reach.step)
    return Frame(
        float(travels.middle),
        float(travels.half),
        (left, right, steer),
        (size[0], size[1], size[2]),
        *limits,
        reach_low=low,
        reach_step=step,
    )


def new_desk(tables: Tables) -> Desk:
    """A desk of one's own for each thread."""
    return Desk(kept_poses(len(tables.coefficients)), np.empty((tables.corners.shape[1], 3)))


@inner
def in_reach(frame: Frame, tables: Tables, middle: Vector, size: Vector, hair: float) -> bool:
    """Whether anything of a cell of travels is within reach: `TravelSet.meets` with HAIR, `holds` with -HAIR."""
    counts = tables.reach
    most = len(counts) - 1
    if most == 0:
        return True
    low, step = frame.reach_low, frame.reach_step
    a = min(max(floor((middle[0] - size[0] - low) / step + hair), 0), most - 1)
    b = min(max(ceil((middle[0] + size[0] - low) / step - hair), a + 1), most)
    c = min(max(floor((middle[1] - size[1] - low) / step + hair), 0), most - 1)
    d = min(max(ceil((middle[1] + size[1] - low) / step - hair), c + 1), most)
    some: bool = counts[b, d] - counts[a, d] - counts[b, c] + counts[a, c] > 0
    return some


@inner
def _limit(frame: Frame, found: Floats, group: int) -> float:
    """Lower value from which on a cell of a group needs no splitting."""
    high = float(found[group, HIGH])
    return min(high - max(frame.tolerance, -frame.overlap_share * high), float(found[group, ENOUGH]))


@inner
def first_cell(frame: Frame, tables: Tables, pair: int) -> tuple[Vector, Vector]:
    """The whole box from its middle, and half its extent; what does not move a pair is no freedom for it.

    What moves it with no travel is looked at at ride height, which is always within reach.
    """
    steered = tables.solids[int(tables.pairs[pair, MOVER]), STEERED] > 0.0
    if len(tables.corners) == 0:
        steered = steered or tables.solids[int(tables.pairs[pair, PIECE]), STEERED] > 0.0
    steer = frame.size[2] if steered else 0.0
    if tables.pairs[pair, CARRIED] > 0.0:
        return (-frame.middle[0], -frame.middle[1], 0.0), (0.0, 0.0, steer)
    return NOTHING, (frame.size[0], frame.size[1], steer)


@inner
def _see(
    frame: Frame,
    tables: Tables,
    desk: Desk,
    pair: int,
    u: Vector,
    size: Vector,
) -> Cell:
    """The pair over a cell round u, and its hull's corners on the desk."""
    solids, hull, kept = tables.solids, desk.hull, desk.kept
    mover, piece = int(tables.pairs[pair, MOVER]), int(tables.pairs[pair, PIECE])
    middle = plus(frame.middle, 1.0, u)
    slot = pose_at(tables.coefficients, frame.map_middle, frame.map_half, kept, middle[0], middle[1])
    own = placed(solids, mover, kept, slot, middle[2])
    slope = steeper(LEVEL, -1.0, own.centre_slope)
    rest = bends(solids, mover, CENTRE_BEND, size)
    lever, edge_slope, edge_rest = 0.0, LEVEL, NOTHING
    if len(tables.corners):
        for index in range(len(hull)):
            for part in range(3):
                hull[index, part] = tables.corners[piece, index, part] - own.centre[part]
    else:
        other = placed(solids, piece, kept, slot, middle[2])
        lever, edge_slope = solids[piece, HALF], other.axis_slope
        slope = steeper(other.centre_slope, -1.0, own.centre_slope)
        edge_rest = bends(solids, piece, AXIS_BEND, size)
        rest = plus(plus(rest, 1.0, bends(solids, piece, CENTRE_BEND, size)), lever, edge_rest)
        for part in range(3):
            reached = lever * other.axis[part]
            hull[0, part] = other.centre[part] - own.centre[part] - reached
            hull[1, part] = other.centre[part] - own.centre[part] + reached
    return Cell(
        own.axis,
        own.axis_slope,
        bends(solids, mover, AXIS_BEND, size),
        slope,
        rest,
        lever,
        edge_slope,
        edge_rest,
        size,
        solids[mover, HALF],
        solids[mover, RADIUS],
    )


@inner
def _from_afar(tables: Tables, hull: Floats, pair: int, cell: Cell) -> tuple[float, float]:
    """What the ball round the core says: lower value over the cell, and upper value in its middle."""
    moved = path(cell.slope, cell.size)
    curved = bend(tables.solids, int(tables.pairs[pair, MOVER]), CENTRE_REACH, cell.size)
    if len(tables.corners) == 0:
        ends = (steeper(cell.slope, -cell.lever, cell.edge_slope), steeper(cell.slope, cell.lever, cell.edge_slope))
        moved = max(path(ends[0], cell.size), path(ends[1], cell.size))
        curved += bend(tables.solids, int(tables.pairs[pair, PIECE]), END_REACH, cell.size)
    least, most = _hull_distance(hull)
    shrink = tables.pairs[pair, SHRINK]
    return least - sqrt(cell.half**2 + cell.radius**2) - moved - curved - shrink, most - shrink


@inner
def _hull_distance(hull: Floats) -> tuple[float, float]:
    """Distance of the origin from a straight; for more corners bounds of it, from the ball round them."""
    if len(hull) == 2:
        start = row(hull, 0)
        along = plus(row(hull, 1), -1.0, start)
        share = clipped(-dot(start, along) / max(dot(along, along), 1e-300), 0.0, 1.0)
        distance = length(plus(start, share, along))
        return distance, distance
    middle = NOTHING
    for index in range(len(hull)):
        middle = plus(middle, 1.0 / len(hull), row(hull, index))
    around = 0.0
    for index in range(len(hull)):
        around = max(around, length(plus(row(hull, index), -1.0, middle)))
    return length(middle) - around, length(middle)


@inner
def _note(frame: Frame, tables: Tables, found: Floats, group: int, pair: int, value: float, u: Vector) -> None:
    """Take note of a distance met in a pose."""
    if value < found[group, HIGH] and in_reach(frame, tables, plus(frame.middle, 1.0, u), NOTHING, -HAIR):
        found[group, HIGH], found[group, PAIR] = value, pair
        for freedom in range(3):
            found[group, POSE + freedom] = frame.middle[freedom] + u[freedom]


@inner
def _look(
    frame: Frame,
    tables: Tables,
    desk: Desk,
    found: Floats,
    group: int,
    pair: int,
    u: Vector,
    size: Vector,
    floor: float,
) -> float:
    """Lower value of a cell, at least `floor`, infinite out of reach; distances met on the way are noted."""
    if not in_reach(frame, tables, plus(frame.middle, 1.0, u), size, HAIR):
        return inf
    cell = _see(frame, tables, desk, pair, u, size)
    floor = max(floor, _from_afar(tables, desk.hull, pair, cell)[0])
    if floor >= _limit(frame, found, group):
        return floor
    shrink: float = tables.pairs[pair, SHRINK]
    gap, normal, edge = separated(cell.axis, cell.half, cell.radius, desk.hull)
    middle = gap - shrink
    _note(frame, tables, found, group, pair, middle, u)
    low, slope = cell_bound(cell, desk.hull, normal, edge)
    low = min(max(low - shrink, floor), middle)
    fall = reach(slope, size)
    if low < _limit(frame, found, group) and fall > WORTH and middle - fall < found[group, HIGH]:
        lowest = _lowest(u, size, slope)
        cell = _see(frame, tables, desk, pair, lowest, NOTHING)
        there = separated(cell.axis, cell.half, cell.radius, desk.hull)[0] - shrink
        _note(frame, tables, found, group, pair, there, lowest)
    return low


@inner
def _lowest(u: Vector, size: Vector, slope: Vector) -> Vector:
    """The corner of a cell towards which a slope falls."""
    return (u[0] - np.sign(slope[0]) * size[0], u[1] - np.sign(slope[1]) * size[1], u[2] - np.sign(slope[2]) * size[2])


@inner
def _widest(solids: Floats, mover: int, piece: int, size: Vector) -> int:
    """The freedom along which a cell is to be halved: where the pair's place curves most, else the longest.

    piece : row of a moving piece, or -1.
    """
    best, freedom = -1.0, 0
    for each in range(3):
        curving = solids[mover, CURVING + each]
        if piece >= 0:
            curving = max(curving, solids[piece, CURVING + each])
        extent = (curving + 1e-9) * size[each]
        if extent > best:
            best, freedom = extent, each
    return freedom


@inner
def _push(cells: Floats, order: Indices, count: int, pair: int, u: Vector, size: Vector, low: float) -> None:
    """Put a cell into a heap of `count` cells, `order` of which are the rows; rows beyond are free."""
    slot = order[count]
    cells[slot, 0], cells[slot, 1] = low, pair
    for freedom in range(3):
        cells[slot, 2 + freedom], cells[slot, 5 + freedom] = u[freedom], size[freedom]
    place = count
    while place and cells[order[(place - 1) // 2], 0] > low:
        order[place] = order[(place - 1) // 2]
        place = (place - 1) // 2
    order[place] = slot


@inner
def _pop(cells: Floats, order: Indices, count: int) -> int:
    """Take the row of the least cell out of a heap of `count`; its contents stay until the next push."""
    slot, last = int(order[0]), order[count - 1]
    low, place = cells[last, 0], 0
    while 2 * place + 1 < count - 1:
        child = 2 * place + 1
        if child + 1 < count - 1 and cells[order[child + 1], 0] < cells[order[child], 0]:
            child += 1
        if cells[order[child], 0] >= low:
            break
        order[place] = order[child]
        place = child
    order[place] = last
    order[count - 1] = slot
    return slot


@inner
def _search(frame: Frame, tables: Tables, desk: Desk, found: Floats, group: int, most: int) -> int:
    """Closest approach of one group; returns how many cells were looked at."""
    solids, pairs = tables.solids, tables.pairs
    first, last = tables.starts[group], tables.starts[group + 1]
    room = max(ROOM, 2 * (last - first))
    cells, order, count = np.empty((room, 8)), np.arange(room), 0
    done, spent = inf, 0
    for pair in range(first, last):
        if pairs[pair, AFAR] >= _limit(frame, found, group):
            done = min(done, pairs[pair, AFAR])
        else:
            u, size = first_cell(frame, tables, pair)
            low = _look(frame, tables, desk, found, group, pair, u, size, pairs[pair, AFAR])
            _push(cells, order, count, pair, u, size, low)
            count, spent = count + 1, spent + 1
    while spent < most and count and cells[order[0], 0] < _limit(frame, found, group):
        slot = _pop(cells, order, count)
        count -= 1
        low, pair = cells[slot, 0], int(cells[slot, 1])
        u, size = (cells[slot, 2], cells[slot, 3], cells[slot, 4]), (cells[slot, 5], cells[slot, 6], cells[slot, 7])
        piece = int(pairs[pair, PIECE]) if len(tables.corners) == 0 else -1
        way = _widest(solids, int(pairs[pair, MOVER]), piece, size)
        if count + 2 > len(order):
            cells, order = np.concatenate((cells, cells)), np.concatenate((order, order + len(order)))
        step = (size[0] * (way == 0) / 2.0, size[1] * (way == 1) / 2.0, size[2] * (way == 2) / 2.0)
        size = plus(size, -1.0, step)
        for side in (-1.0, 1.0):
            child = plus(u, side, step)
            value = _look(frame, tables, desk, found, group, pair, child, size, low)
            _push(cells, order, count, pair, child, size, value)
            count, spent = count + 1, spent + 1
    low = min(done, cells[order[0], 0] if count else inf, found[group, HIGH])
    found[group, LOW] = low
    found[group, SETTLED] = 1.0 if low >= _limit(frame, found, group) else 0.0
    return spent


@kernel
def first_look(frame: Frame, tables: Tables, desk: Desk, found: Floats) -> None:
    """What the balls round the cores say of the whole box, of the pairs and of their groups."""
    for group in range(len(found)):
        for pair in range(tables.starts[group], tables.starts[group + 1]):
            u, size = first_cell(frame, tables, pair)
            cell = _see(frame, tables, desk, pair, u, size)
            low, high = _from_afar(tables, desk.hull, pair, cell)
            tables.pairs[pair, AFAR] = low
            _note(frame, tables, found, group, pair, high, u)
            found[group, LOW] = min(found[group, LOW], low)
        found[group, SETTLED] = 1.0 if found[group, LOW] >= _limit(frame, found, group) else 0.0


@kernel
def search_groups(
    frame: Frame, tables: Tables, desk: Desk, found: Floats, groups: Indices, each: int, most: int
) -> int:
    """Closest approaches of some groups after `first_look`; returns how many cells were looked at.

    A group that would take more than `each`, or all together more than `most`, stays unsettled.
    """
    spent = 0
    for group in groups:
        spent += _search(frame, tables, desk, found, group, min(each, most - spent))
    return spent
