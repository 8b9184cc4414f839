"""From lines to the tubes that they are the centre lines of, and from faces to skins; all in the rig's frame, mm."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from math import acos, atan2, ceil, cos, dist, radians, sin
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.files.drawing import Arc, Face, Stroke
from app.files.joining import Places, Point
from geometry.tolerances import ARC_SAGITTA, COINCIDENT, FLAT

STRAIGHT_ON: Final = radians(0.5)
"""Largest turn between two lines that run on in one direction [rad]: 1 mm in 115, within what ends are joined by."""

TANGENT: Final = radians(1.0)
"""Largest turn between a line and an arc that goes on from it [rad]: an arc's short ends point less exactly."""

STEEPEST_BEND: Final = radians(175.0)
"""Largest turn of an arc that is taken for a bend about one corner [rad]; beyond, the corner runs away."""

SAME_RADIUS: Final = 0.5
"""Largest difference of radii within one bent bar [mm]; a bender's dies differ by far more."""

MOST_NODES: Final = 64
"""Nodes of a bar at most; a longer line becomes several."""

MOST_FACETS: Final = 64
"""Facets of a panel at most; more of them become several."""

Floats = NDArray[np.float64]
Lost = Counter[tuple[str, str]]
"""What was left out: (reason, layer) and how often."""


@dataclass(frozen=True, slots=True)
class Tube:
    """A tube along places (their numbers), bent at the inner ones."""

    layer: str
    places: tuple[int, ...]
    bend_radius: float


@dataclass(frozen=True, slots=True)
class Skin:
    """Facets that share edges, each a loop of places."""

    layer: str
    facets: tuple[tuple[int, ...], ...]


@dataclass(slots=True, eq=False)
class _Stretch:
    """A piece of a line between two places.

    Attributes
    ----------
    inward : tuple of unit vectors
        Directions into the piece at its start and its end.
    next : list
        What the piece runs on into at its start and its end: a piece and which of its ends, None = nothing.

    """

    layer: str
    ends: tuple[int, int]
    arc: Arc | None
    inward: tuple[Floats, Floats]
    next: list[tuple[_Stretch, int] | None] = field(default_factory=lambda: [None, None])

    def reversed(self) -> _Stretch:
        """The same piece the other way."""
        arc = self.arc
        turned = None if arc is None else Arc(arc.centre, arc.normal, arc.turn, not arc.backward)
        return _Stretch(self.layer, self.ends[::-1], turned, self.inward[::-1])


# Tubes


def tubes_of(strokes: Sequence[Stroke], places: Places, lost: Lost, *, through: bool) -> list[Tube]:
    """The tubes that lines are the centre lines of.

    Parameters
    ----------
    places : Places
        Where ends meet; it takes in all points of the lines.
    lost : Counter
        Takes in what is left out.
    through : bool
        Lines that run on straight, or into an arc, become one tube; a line with corners always is one.

    """
    stretches = [stretch for stroke in strokes for stretch in _stretches(stroke, places, lost)]
    stretches = _without_doubles(stretches, lost)
    if through:
        _run_on(stretches)
    tubes: list[Tube] = []
    for chain in _chains(stretches):
        bent = _bent(chain, places)
        tubes += _pieces(chain[0].layer, *(bent or (_broken(chain, places), 0.0)))
    return tubes


def _stretches(stroke: Stroke, places: Places, lost: Lost) -> Iterator[_Stretch]:
    """The pieces of one line, which run on into one another."""
    numbers = [places.add(point) for point in stroke.points]
    before: _Stretch | None = None
    for (start, end), arc, (p, q) in zip(pairwise(numbers), stroke.arcs, pairwise(stroke.points), strict=True):
        if start == end:
            lost["shorter than the distance at which ends are joined", stroke.layer] += 1
            continue
        stretch = _Stretch(stroke.layer, (start, end), arc, _inward(p, q, arc))
        if before is not None and before.ends[1] == start:
            before.next[1], stretch.next[0] = (stretch, 0), (before, 1)
        yield stretch
        before = stretch


def _inward(start: Point, end: Point, arc: Arc | None) -> tuple[Floats, Floats]:
    """Unit vectors into a piece at its two ends."""
    if arc is None:
        along = _unit(np.subtract(end, start))
        return along, -along
    normal = np.array(arc.normal) * (-1.0 if arc.backward else 1.0)
    ahead, back = (_unit(np.cross(normal, np.subtract(point, arc.centre))) for point in (start, end))
    return ahead, -back


def _without_doubles(stretches: list[_Stretch], lost: Lost) -> list[_Stretch]:
    """Each straight piece once."""
    seen: set[frozenset[int]] = set()
    kept = []
    for stretch in stretches:
        key = frozenset(stretch.ends)
        if stretch.arc is None and key in seen:
            lost["drawn twice", stretch.layer] += 1
            for end, following in enumerate(stretch.next):
                if following is not None:
                    following[0].next[following[1]] = None
                    stretch.next[end] = None
            continue
        seen |= {key} if stretch.arc is None else set()
        kept.append(stretch)
    return kept


def _run_on(stretches: list[_Stretch]) -> None:
    """Let pieces of one layer that meet in one direction run on into one another, the straightest pairs first."""
    loose: dict[tuple[str, int], list[tuple[_Stretch, int]]] = defaultdict(list)
    for stretch in stretches:
        for end in (0, 1):
            if stretch.next[end] is None:
                loose[stretch.layer, stretch.ends[end]].append((stretch, end))
    for meeting in loose.values():
        if not 2 <= len(meeting) <= MOST_NODES:
            continue
        turns = [
            (_angle(-one[0].inward[one[1]], other[0].inward[other[1]]), one, other)
            for one, other in combinations(meeting, 2)
            if one[0] is not other[0]
        ]
        for turn, (one, i), (other, j) in sorted(turns, key=lambda each: each[0]):
            most = STRAIGHT_ON if one.arc is None and other.arc is None else TANGENT
            if turn <= most and one.next[i] is None and other.next[j] is None:
                one.next[i], other.next[j] = (other, j), (one, i)


def _chains(stretches: list[_Stretch]) -> Iterator[list[_Stretch]]:
    """Pieces that run on into one another, in order and all the same way; first those with ends, then rings."""
    done: set[int] = set()
    ends = [stretch for stretch in stretches if None in stretch.next]
    for first in (*ends, *stretches):
        if id(first) in done:
            continue
        chain: list[_Stretch] = []
        here: tuple[_Stretch, int] | None = (first, 0 if first.next[0] is None or None not in first.next else 1)
        while here is not None and id(here[0]) not in done:
            stretch, entered = here
            done.add(id(stretch))
            chain.append(stretch if entered == 0 else stretch.reversed())
            here = stretch.next[1 - entered]
        yield chain


def _bent(chain: list[_Stretch], places: Places) -> tuple[list[int], float] | None:
    """Places and bend radius of a chain whose arcs are bends between straights; None = it is no such chain."""
    radii = [_radius(stretch.arc, places.points[stretch.ends[0]]) for stretch in chain if stretch.arc is not None]
    if not radii or max(radii) - min(radii) > SAME_RADIUS or chain[0].arc or chain[-1].arc:
        return None
    if any(stretch.arc is not None and stretch.arc.turn > STEEPEST_BEND for stretch in chain):
        return None
    for before, after in pairwise(chain):
        if _angle(-before.inward[1], after.inward[0]) > TANGENT or (before.arc and after.arc):
            return None
    numbers = [chain[0].ends[0]]
    for before, after in pairwise(chain):
        if after.arc is not None:
            numbers.append(places.put(_corner(after, after.arc, places)))
        elif before.arc is None:
            numbers.append(before.ends[1])
    return [*numbers, chain[-1].ends[1]], radii[0]


def _corner(stretch: _Stretch, arc: Arc, places: Places) -> Point:
    """Where the tangents at both ends of an arc meet."""
    start, end = (np.array(places.points[number]) for number in stretch.ends)
    reach = float(np.linalg.norm(end - start)) / 2.0 / cos(arc.turn / 2.0)
    x, y, z = ((start + reach * stretch.inward[0] + end + reach * stretch.inward[1]) / 2.0).tolist()
    return x, y, z


def _broken(chain: list[_Stretch], places: Places) -> list[int]:
    """The places of a chain with its arcs broken into chords."""
    numbers = [chain[0].ends[0]]
    for stretch in chain:
        if stretch.arc is not None:
            numbers += [places.put(point) for point in _on_arc(stretch.arc, places.points[stretch.ends[0]])]
        numbers.append(stretch.ends[1])
    return numbers


def _on_arc(arc: Arc, start: Point) -> Iterator[Point]:
    """Points between the ends of an arc, so near that it rises over its chords by no more than a bend may."""
    radius = _radius(arc, start)
    count = ceil(arc.turn / (2.0 * acos(1.0 - min(1.0, ARC_SAGITTA / max(radius, COINCIDENT)))))
    spoke = np.subtract(start, arc.centre)
    aside = np.cross(np.array(arc.normal) * (-1.0 if arc.backward else 1.0), spoke)
    for index in range(1, count):
        turn = arc.turn * index / count
        x, y, z = (np.array(arc.centre) + cos(turn) * spoke + sin(turn) * aside).tolist()
        yield x, y, z


def _pieces(layer: str, numbers: list[int], bend_radius: float) -> Iterator[Tube]:
    """A tube, or several where there are more nodes than one can have."""
    for start in range(0, len(numbers) - 1, MOST_NODES - 1):
        yield Tube(layer, tuple(numbers[start : start + MOST_NODES]), bend_radius)


# Skins


def skins_of(faces: Sequence[Face], places: Places, lost: Lost) -> list[Skin]:
    """The skins that faces make: those of one layer that share an edge are one."""
    loops = [(face.layer, loop) for face in faces for loop in _loops(face, places, lost)]
    group = list(range(len(loops)))

    def root(index: int) -> int:
        while group[index] != index:
            group[index] = group[group[index]]
            index = group[index]
        return index

    first: dict[tuple[str, frozenset[int]], int] = {}
    for index, (layer, loop) in enumerate(loops):
        for edge in zip(loop, (*loop[1:], loop[0]), strict=True):
            group[root(index)] = root(first.setdefault((layer, frozenset(edge)), index))
    together: dict[int, list[tuple[int, ...]]] = defaultdict(list)
    for index, (_, loop) in enumerate(loops):
        together[root(index)].append(loop)
    return [
        Skin(loops[index][0], tuple(facets[start : start + MOST_FACETS]))
        for index, facets in together.items()
        for start in range(0, len(facets), MOST_FACETS)
    ]


def _loops(face: Face, places: Places, lost: Lost) -> Iterator[tuple[int, ...]]:
    """The corners of a face without those that are one place; two triangles where four do not lie in one plane."""
    numbers = [places.add(point) for point in face.corners]
    loop = tuple(number for index, number in enumerate(numbers) if number != numbers[index - 1])
    if len(set(loop)) < max(3, len(loop)):
        lost["a face without area", face.layer] += 1
    elif len(loop) == 4 and not _flat(np.array([places.points[number] for number in loop])):
        yield loop[:3]
        yield (loop[0], *loop[2:])
    else:
        yield loop


def _flat(corners: Floats) -> bool:
    """Whether four corners lie in one plane and the loop turns one way all round."""
    normal = _unit(np.cross(corners[2] - corners[0], corners[3] - corners[1]))
    edges = np.roll(corners, -1, axis=0) - corners
    turns = np.cross(edges, np.roll(edges, -1, axis=0)) @ normal
    heights = (corners - corners.mean(axis=0)) @ normal
    return bool(np.abs(heights).max() <= FLAT and np.all(turns > 0.0))


# Vectors


def _unit(vector: Floats) -> Floats:
    length = float(np.linalg.norm(vector))
    return vector / length if length > 0.0 else vector


def _angle(one: Floats, other: Floats) -> float:
    return atan2(float(np.linalg.norm(np.cross(one, other))), float(one @ other))


def _radius(arc: Arc, on_it: Point) -> float:
    return dist(arc.centre, on_it)
