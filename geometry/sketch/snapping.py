"""Snapping: the exact place that a pointer near something in a view means."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from geometry.outline.view import View
from geometry.rig.layout import MIRROR, PartRef, bend_setbacks, parts_of
from geometry.rig.naming import joint_part, node_part
from geometry.rig.parts import Bar, Point
from geometry.rig.rig import Rig
from geometry.sketch.lookup import flipped, node_refs, positions, settled
from geometry.tolerances import COINCIDENT

SnapKind = Literal[
    "node", "bar end", "joint", "midpoint", "on bar", "level", "upright", "along bar", "mirror plane", "grid", "free"
]
Floats = NDArray[np.float64]

FORESHORTENED: Final = 1e-3
"""Share of its length [-] under which a straight is seen from its end and no place along it can be pointed at."""


@dataclass(frozen=True, slots=True)
class Snap:
    """A place that is meant.

    Attributes
    ----------
    point : tuple
        In the rig's frame, exact to what it snapped to [mm].
    kind : str
        ``free`` = to nothing: where the pointer is, on the work plane.
    words : str
        What it snapped to, for people; empty for ``free``.

    """

    point: Point
    kind: SnapKind
    words: str


@dataclass(frozen=True, slots=True)
class Grid:
    """Places at whole steps from the origin of the rig [mm], and what the grid is called: ``1/2 in grid``."""

    step: float
    words: str


@dataclass(frozen=True, slots=True)
class _Spots:
    """Points to snap to: array of shape (n, 3) [mm], and kind and words of each."""

    points: Floats
    kinds: tuple[SnapKind, ...]
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Straights:
    """Straights to snap to: start and end without what the bends take, arrays of shape (n, 3) [mm], and their words."""

    starts: Floats
    ends: Floats
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Candidates:
    """What a rig has to snap to, as arrays; made once by `candidates` and asked at every move of the pointer."""

    nodes: _Spots
    midpoints: _Spots
    straights: _Straights


def candidates(rig: Rig, moving: Iterable[PartRef] = ()) -> Candidates:
    """What a rig has to snap to, without parts that are being moved and without what hangs on them."""
    moving = tuple(moving)
    away = {ref.removesuffix("'") for part in moving for ref in node_refs(rig, part)}
    links = {part.id.rpartition(".")[0] if part.kind == "joint" else part.id for part in moving}
    at = positions(rig)
    starts: list[Floats] = []
    ends: list[Floats] = []
    names: list[str] = []
    mids: dict[str, list[Floats]] = {}
    for bar in rig.bars:
        if any(ref.removesuffix("'") in away for ref in bar.nodes):
            continue
        for corners, words in _runs(bar, at):
            for start, end, middle in _straights(corners, bar.bend_radius):
                starts.append(start)
                ends.append(end)
                names.append(words)
                mids.setdefault(f"middle of {words}", []).extend([] if middle is None else [middle])
    middles: list[tuple[Floats, SnapKind, str]] = [
        (point, "midpoint", words) for words, points in mids.items() for point in points
    ]
    return Candidates(
        _node_spots(rig, away, links), _spots(middles), _Straights(_array(starts), _array(ends), tuple(names))
    )


def _spots(rows: Sequence[tuple[Iterable[float], SnapKind, str]]) -> _Spots:
    return _Spots(
        _array(point for point, _, _ in rows), tuple(kind for _, kind, _ in rows), tuple(words for *_, words in rows)
    )


def _array(points: Iterable[Iterable[float]]) -> Floats:
    return np.array(list(points), dtype=np.float64).reshape(-1, 3)


def _runs(bar: Bar, at: dict[str, Point]) -> Iterator[tuple[Floats, str]]:
    """The corners of a bar and of its image, with their words."""
    corners = np.array([at[ref] for ref in bar.nodes])
    for part, flip in zip(parts_of(bar, corners), (1.0, MIRROR), strict=False):
        yield corners * flip, _inside(part.label)


def _inside(label: str) -> str:
    """A label as it stands inside a sentence."""
    return label if label[:2].isupper() else label[:1].lower() + label[1:]


def _straights(corners: Floats, bend_radius: float) -> Iterator[tuple[Floats, Floats, Floats | None]]:
    """Start and end of each straight without what the bends take, and its middle unless a bend takes that."""
    setbacks = bend_setbacks(corners, bend_radius)
    for index in range(len(corners) - 1):
        leg = corners[index + 1] - corners[index]
        length = float(np.linalg.norm(leg))
        first, last = setbacks[index] / length, 1.0 - setbacks[index + 1] / length
        middle = corners[index] + 0.5 * leg if first <= 0.5 <= last else None
        yield corners[index] + first * leg, corners[index] + max(first, last) * leg, middle


def _node_spots(rig: Rig, away: set[str], links: set[str]) -> _Spots:
    ends: dict[str, list[str]] = {}
    for bar in rig.bars:
        for ref in (bar.nodes[0], bar.nodes[-1]):
            ends.setdefault(ref, []).append(bar.name or bar.id)
            if bar.mirrored:
                ends.setdefault(flipped(ref), []).append(bar.name or bar.id)
    spots: list[tuple[Iterable[float], SnapKind, str]] = []
    at = positions(rig)
    for node in rig.nodes:
        images = (False, True) if abs(node.at[1]) > COINCIDENT else (False,)
        for image in images if node.id not in away else ():
            ref = flipped(node.id) if image else node.id
            bars = dict.fromkeys(ends.get(ref, ()))
            words = node_part(node, image=image).label
            words = f"{words}, end of {_inside(next(iter(bars)))}" if len(bars) == 1 else words
            spots.append((at[ref], "bar end" if bars else "node", words))
    for axle in rig.axles:
        for rod in axle.rods:
            if f"{axle.id}.{rod.id}" not in links:
                spots.append((rod.chassis, "joint", joint_part(axle, rod, "chassis").label))
                spots.append((rod.axle, "joint", joint_part(axle, rod, "axle").label))
    return _spots(spots)


def snap(
    found: Candidates,
    view: View,
    pointer: tuple[float, float],
    *,
    reach: float,
    depth: float,
    last: Point | None = None,
    grid: Grid | None = None,
) -> Snap:
    """The place that is meant by a pointer in a view.

    In this order: nodes, ends of bars and joints, the nearest of them; middles of straights; anywhere on a straight;
    level with or upright over the last point, or on with a bar that ends there; the centre plane; the grid. Of what
    lies behind each other in the view, the nearest to the work plane is meant, then the nearest to the viewer. What
    was snapped to also gives the depth that the view does not show; where it has none the work plane does.

    Parameters
    ----------
    found : Candidates
    view : View
    pointer : tuple
        View coordinates (u, v) [mm].
    reach : float
        Largest distance in the view from the pointer to what it means [mm].
    depth : float
        Work plane: nearness to the viewer, as in `View.depth` [mm].
    last : tuple or None
        The point drawn before, in the rig's frame [mm].
    grid : Grid or None

    """
    at = np.array(pointer, dtype=np.float64)
    near = _Near(view, at, reach, depth)
    for spots in (found.nodes, found.midpoints):
        index = near.spot(spots.points)
        if index is not None:
            x, y, z = spots.points[index].tolist()
            return Snap((x, y, z), spots.kinds[index], spots.words[index])
    hit = near.straight(found.straights.starts, found.straights.ends)
    if hit is not None:
        return Snap(settled(hit[1]), "on bar", f"on {found.straights.words[hit[0]]}")
    if last is not None:
        aligned = _aligned(found, near, last, grid)
        if aligned is not None:
            return aligned
    return _on_plane(near, grid)


@dataclass(frozen=True, slots=True)
class _Near:
    """The surroundings of a pointer."""

    view: View
    pointer: Floats
    reach: float
    depth: float

    def spot(self, points: Floats) -> int | None:
        """Index of the point that is meant, if any is within reach."""
        gaps = np.linalg.norm(self.view.project(points) - self.pointer, axis=1)
        return self._best(gaps, self.view.depth(points))

    def straight(self, starts: Floats, ends: Floats) -> tuple[int, Floats] | None:
        """Index of the straight that is meant, if any is within reach, and the point of it."""
        legs = ends - starts
        flat = self.view.project(legs)
        squares = np.einsum("ij,ij->i", flat, flat)
        seen = squares > FORESHORTENED**2 * np.einsum("ij,ij->i", legs, legs)
        along = np.einsum("ij,ij->i", self.pointer - self.view.project(starts), flat) / np.where(seen, squares, 1.0)
        feet = starts + np.clip(along, 0.0, 1.0)[:, None] * legs
        gaps = np.where(seen, np.linalg.norm(self.view.project(feet) - self.pointer, axis=1), np.inf)
        index = self._best(gaps, self.view.depth(feet))
        return None if index is None else (index, feet[index])

    def _best(self, gaps: Floats, depths: Floats) -> int | None:
        within = np.flatnonzero(gaps <= self.reach)
        if not len(within):
            return None
        ties = within[gaps[within] <= gaps[within].min() + COINCIDENT]
        return int(min(ties, key=lambda index: (abs(depths[index] - self.depth), -depths[index])))

    def place(self, u: float, v: float, depth: float) -> Point:
        """The point of the rig at view coordinates and a depth [mm]."""
        return settled(
            u * np.array(self.view.rightward) + v * np.array(self.view.downward) + depth * np.array(self.view.nearward)
        )

    def on_line(self, value: float, axis: int, grid: Grid | None) -> tuple[float, str]:
        """A free view coordinate, on the centre plane or the grid where it is within reach, and words for that."""
        if self.view.axes[1, axis] and abs(value) <= self.reach:
            return 0.0, ", on the centre plane"
        if grid is not None:
            stepped = round(value / grid.step) * grid.step
            if abs(stepped - value) <= self.reach:
                return stepped, f", {grid.words}"
        return value, ""


def _aligned(found: Candidates, near: _Near, last: Point, grid: Grid | None) -> Snap | None:
    """The place level with or upright over the last point, or on with a bar that ends there; the nearest of them."""
    u, v = near.view.project(np.array(last)).tolist()
    gaps = np.abs(near.pointer - (u, v))
    depth = float(near.view.depth(np.array(last)))
    name = _name_at(found, last)
    flat = near.view.nearward[2] != 0.0  # from above, nothing is level or upright
    choices: list[tuple[float, Snap]] = []
    if gaps[1] <= near.reach:
        free, more = near.on_line(float(near.pointer[0]), 0, grid)
        words = f"{'straight along from' if flat else 'level with'} {name}{more}"
        choices.append((float(gaps[1]), Snap(near.place(free, v, depth), "level", words)))
    if gaps[0] <= near.reach:
        free, more = near.on_line(float(near.pointer[1]), 1, grid)
        words = f"{'straight across from' if flat else 'upright over'} {name}{more}"
        choices.append((float(gaps[0]), Snap(near.place(u, free, depth), "upright", words)))
    along = _along(found.straights, near, last)
    if along is not None:
        choices.append(along)
    return min(choices, key=lambda choice: choice[0])[1] if choices else None


def _along(straights: _Straights, near: _Near, last: Point) -> tuple[float, Snap] | None:
    """The nearest place on with a straight that ends at the last point, and its distance from the pointer [mm]."""
    choices: list[tuple[float, Snap]] = []
    for ends, others in ((straights.ends, straights.starts), (straights.starts, straights.ends)):
        for index in np.flatnonzero(np.all(np.abs(ends - last) <= COINCIDENT, axis=1)):
            way = ends[index] - others[index]
            flat = near.view.project(way)
            square = float(flat @ flat)
            if square <= FORESHORTENED**2 * float(way @ way):
                continue
            share = max(0.0, float((near.pointer - near.view.project(np.array(last))) @ flat) / square)
            at = np.array(last) + share * way
            gap = float(np.linalg.norm(near.view.project(at) - near.pointer))
            if share > 0.0 and gap <= near.reach:
                choices.append((gap, Snap(settled(at), "along bar", f"on with {straights.words[index]}")))
    return min(choices, key=lambda choice: choice[0], default=None)


def _name_at(found: Candidates, last: Point) -> str:
    """What the last point is called: the id of its node, if it is at one."""
    for index in np.flatnonzero(np.all(np.abs(found.nodes.points - last) <= COINCIDENT, axis=1)):
        if found.nodes.kinds[index] != "joint":
            return found.nodes.words[index].removeprefix("node ").partition(",")[0]
    return "the last point"


def _on_plane(near: _Near, grid: Grid | None) -> Snap:
    """The place on the work plane: on the centre plane, at a grid point, or just there."""
    u, v = near.pointer.tolist()
    for axis, other in ((0, 1), (1, 0)):
        if near.view.axes[1, axis] and abs(near.pointer[axis]) <= near.reach:
            free, more = near.on_line(float(near.pointer[other]), other, grid)
            place = near.place(*((0.0, free) if axis == 0 else (free, 0.0)), near.depth)
            return Snap(place, "mirror plane", f"on the centre plane{more}")
    if grid is not None:
        stepped = np.round(near.pointer / grid.step) * grid.step
        if float(np.linalg.norm(stepped - near.pointer)) <= near.reach:
            return Snap(near.place(float(stepped[0]), float(stepped[1]), near.depth), "grid", grid.words)
    return Snap(near.place(u, v, near.depth), "free", "")
