"""Bars: drawn, split, joined, extended and bent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from geometry.errors import RigError
from geometry.rig.layout import PartRef, bar_paths, bend_setbacks
from geometry.rig.parts import Bar, Point
from geometry.rig.rig import Rig
from geometry.sketch.lookup import (
    Places,
    checked,
    coincide,
    entered,
    entered_once,
    flipped,
    item,
    mirror,
    part_of,
    points_of,
    refs_of,
    settled,
    with_item,
)
from geometry.sketch.names import copy_id, free_id
from geometry.tolerances import COINCIDENT

End = Literal[0, -1]
"""First or last node of a bar."""

PARALLEL: Final = 1e-9
"""Share of a straight's length [-] under which another straight's way across it is rounding: they are parallel."""

Floats = NDArray[np.float64]


def with_bar(
    rig: Rig,
    points: Sequence[Point],
    *,
    od: float,
    wall: float,
    bend_radius: float = 0.0,
    mirrored: bool = False,
    name: str = "",
) -> tuple[Rig, PartRef]:
    """The rig with a bar along points [mm], and the bar.

    Nodes that lie there already are used, images too. A bar that is its own mirror image is entered once, whatever
    `mirrored` says.

    Raises
    ------
    RigError
        When there are fewer than two points or the bar cannot be used.

    """
    if len(points) < 2:
        raise RigError("bars", "a bar needs two points at least; pick another one")
    places = Places(rig)
    bar = Bar(
        id=free_id({one.id for one in rig.bars}, "bar-"),
        name=name,
        nodes=tuple(places.ref(point) for point in points),
        od=od,
        wall=wall,
        bend_radius=bend_radius,
        mirrored=mirrored,
    )
    rig = replace(rig, nodes=places.nodes)
    bar = entered_once(rig, bar)
    rig = checked(replace(rig, bars=(*rig.bars, bar)))
    return rig, part_of(rig, bar)


def split(rig: Rig, bar_id: str, at: Point) -> tuple[Rig, PartRef]:
    """The rig with a bar cut in two at the place of its centre line that is nearest to a point, and the new bar.

    The first piece keeps the id. The cut is at an inner node or within a straight, where a node is put on the line
    between the corner nodes unless there is one. Of a mirrored bar the image is cut, too, and may be pointed at.

    Raises
    ------
    RigError
        When the place is an end of the bar or lies within a bend.

    """
    bar = item(rig.bars, bar_id, "bars")
    corners = np.array(points_of(rig, bar.nodes))
    cut = min(
        (_nearest(corners, point) for point in ((at, mirror(at)) if bar.mirrored else (at,))), key=lambda c: c.gap
    )
    places = Places(rig)
    first, second = _pieces(bar, corners, cut, places)
    rig = replace(rig, nodes=places.nodes)
    new = replace(bar, id=copy_id({one.id for one in rig.bars}, bar.id), nodes=second)
    kept, new = entered_once(rig, replace(bar, nodes=first)), entered_once(rig, new)
    rig = checked(replace(rig, bars=(*with_item(rig.bars, kept), new)))
    return rig, part_of(rig, new)


@dataclass(frozen=True, slots=True)
class _Cut:
    """A place on the straights of a bar: how far from what was pointed at [mm], on which straight, and where."""

    gap: float
    leg: int
    at: Floats


def _nearest(corners: Floats, point: Point) -> _Cut:
    legs = np.diff(corners, axis=0)
    along = np.einsum("ij,ij->i", np.array(point) - corners[:-1], legs) / np.einsum("ij,ij->i", legs, legs)
    feet = corners[:-1] + np.clip(along, 0.0, 1.0)[:, None] * legs
    gaps = np.linalg.norm(feet - np.array(point), axis=1)
    leg = int(gaps.argmin())
    return _Cut(float(gaps[leg]), leg, feet[leg])


def _pieces(bar: Bar, corners: Floats, cut: _Cut, places: Places) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The nodes of both pieces of a bar."""
    to_corners = np.linalg.norm(corners - cut.at, axis=1)
    corner = int(to_corners.argmin())
    if to_corners[corner] <= COINCIDENT:
        if corner in {0, len(corners) - 1}:
            raise RigError("bars", f"bar “{bar.id}” ends at “{bar.nodes[corner]}”; split it between its ends")
        return bar.nodes[: corner + 1], bar.nodes[corner:]
    for near in (cut.leg, cut.leg + 1):
        if to_corners[near] < bend_setbacks(corners, bar.bend_radius)[near]:
            raise RigError(
                "bars", f"bar “{bar.id}” is bent there; split it at node “{bar.nodes[near]}” or on a straight"
            )
    ref = places.ref(cut.at)
    return (*bar.nodes[: cut.leg + 1], ref), (ref, *bar.nodes[cut.leg + 1 :])


def joined(rig: Rig, first_id: str, second_id: str) -> Rig:
    """The rig with two bars that meet end to end made one, which keeps the id of the first.

    A mirrored bar that ends on the centre plane is joined with its own image by naming it twice.

    Raises
    ------
    RigError
        When they do not meet end to end, or differ in diameter, wall, bends or being mirrored.

    """
    first, second = item(rig.bars, first_id, "bars"), item(rig.bars, second_id, "bars")
    if first_id == second_id:
        return _joined_with_image(rig, first)
    _check_alike(first, second)
    for ahead, behind in ((first.nodes, nodes) for nodes in _ways_round(second)):
        nodes = _chained(rig, ahead, behind)
        if nodes:
            bars = tuple(bar for bar in rig.bars if bar.id != second_id)
            bend_radius = first.bend_radius if len(first.nodes) > 2 else second.bend_radius or first.bend_radius
            one = entered_once(rig, replace(first, nodes=nodes, bend_radius=bend_radius))
            return checked(replace(rig, bars=with_item(bars, one)))
    raise RigError(
        "bars", f"bars “{first_id}” and “{second_id}” do not meet end to end; extend one of them to the other first"
    )


def _joined_with_image(rig: Rig, bar: Bar) -> Rig:
    image = tuple(flipped(ref) for ref in bar.nodes)
    nodes = _chained(rig, bar.nodes, image) or _chained(rig, bar.nodes, image[::-1]) if bar.mirrored else ()
    if not nodes:
        raise RigError(
            "bars",
            f"bar “{bar.id}” cannot be joined with itself, only a mirrored bar that ends on the centre plane can",
        )
    return checked(replace(rig, bars=with_item(rig.bars, replace(bar, nodes=nodes, mirrored=False))))


def _check_alike(first: Bar, second: Bar) -> None:
    words = f"bars “{first.id}” and “{second.id}”"
    for field, what in (("od", "outside diameter"), ("wall", "wall"), ("bend_radius", "bend radius")):
        one, other = getattr(first, field), getattr(second, field)
        straight = field == "bend_radius" and 2 in {len(first.nodes), len(second.nodes)}
        if one != other and not straight:
            raise RigError("bars", f"{words} differ in {what}, {one:g} mm and {other:g} mm; make them alike first")
    if first.mirrored != second.mirrored:
        one, other = (first, second) if first.mirrored else (second, first)
        raise RigError("bars", f"bar “{one.id}” is mirrored and bar “{other.id}” is not; mirror both or neither first")


def _ways_round(bar: Bar) -> Iterator[tuple[str, ...]]:
    """The nodes of a bar from either end, and of its image."""
    yield bar.nodes
    yield bar.nodes[::-1]
    if bar.mirrored:
        image = tuple(flipped(ref) for ref in bar.nodes)
        yield image
        yield image[::-1]


def _chained(rig: Rig, one: tuple[str, ...], other: tuple[str, ...]) -> tuple[str, ...]:
    """Nodes of both in a row where they meet, the second before or behind the first; empty = they do not meet."""
    if coincide(*points_of(rig, (one[-1], other[0]))):
        return (*one, *other[1:])
    if coincide(*points_of(rig, (other[-1], one[0]))):
        return (*other[:-1], *one)
    return ()


def extended(rig: Rig, bar_id: str, end: End, by: float) -> Rig:
    """The rig with a bar made longer along its last straight, shorter where `by` is negative [mm].

    Others that share the end node stay where they are.

    Raises
    ------
    RigError
        When it would be cut by more than the last straight.

    """
    bar = item(rig.bars, bar_id, "bars")
    before, last = _last_straight(rig, bar, end)
    length = float(np.linalg.norm(last - before))
    if length + by <= COINCIDENT:
        raise RigError(
            "bars", f"the last straight of bar “{bar_id}” is {length:.1f} mm long; shorten it by less or remove its end"
        )
    return _with_end(rig, bar, end, settled(last + (last - before) / length * by))


def _last_straight(rig: Rig, bar: Bar, end: End) -> Floats:
    """Both corners of the first or last straight, outward [mm]."""
    return np.array(points_of(rig, bar.nodes[1::-1] if end == 0 else bar.nodes[-2:]))


def _with_end(rig: Rig, bar: Bar, end: End, at: Point) -> Rig:
    """The rig with an end of a bar elsewhere: its node goes there, unless others need it or there is one."""
    old = bar.nodes[end]
    name = old.removesuffix("'")
    others = [ref for one in entered(rig) if one is not bar for ref in refs_of(one)]
    own = bar.nodes[1:] if end == 0 else bar.nodes[:-1]
    alone = all(ref.removesuffix("'") != name for ref in (*others, *own))
    nodes = tuple(node for node in rig.nodes if node.id != name) if alone else rig.nodes
    places = Places(replace(rig, nodes=nodes))
    new = places.ref(at)
    if alone and len(places.nodes) > len(nodes):
        node = item(rig.nodes, name, "nodes")
        moved = replace(node, at=mirror(at) if old.endswith("'") else at)
        return checked(replace(rig, nodes=with_item(rig.nodes, moved)))
    refs = (new, *own) if end == 0 else (*own, new)
    rig = replace(rig, nodes=places.nodes)
    return checked(replace(rig, bars=with_item(rig.bars, entered_once(rig, replace(bar, nodes=refs)))))


def extended_to(rig: Rig, bar_id: str, end: End, other_id: str) -> Rig:
    """The rig with the end of a bar put on the centre line of another one, where the last straight meets it.

    The straight may pass by the other's centre line by as much as lets the tubes touch; the end then goes to the
    nearest point of that line. Images count as others; what is too long is cut back.

    Raises
    ------
    RigError
        When the straight passes by farther, with the distance.

    """
    bar, other = item(rig.bars, bar_id, "bars"), item(rig.bars, other_id, "bars")
    if bar_id == other_id:
        raise RigError("bars", f"bar “{bar_id}” cannot be extended to itself; choose another one")
    before, last = _last_straight(rig, bar, end)
    length = float(np.linalg.norm(last - before))
    meetings = [
        meeting
        for path in bar_paths(replace(rig, bars=(other,)))
        for one, next_one in pairwise(path.points)
        for meeting in _meetings(before, (last - before) / length, one, next_one)
    ]
    if not meetings:
        raise RigError("bars", f"the end of bar “{bar_id}” points away from bar “{other_id}”; extend its other end")
    touching = [meeting for meeting in meetings if meeting.gap <= (bar.od + other.od) / 2.0]
    if not touching:
        gap = min(meeting.gap for meeting in meetings)
        raise RigError(
            "bars",
            f"bar “{bar_id}” would pass bar “{other_id}” at {gap:.1f} mm from centre line to centre line, too far for "
            "the tubes to touch; move one of its nodes first",
        )
    best = min(touching, key=lambda meeting: abs(meeting.along - length))
    return _with_end(rig, bar, end, settled(best.at))


@dataclass(frozen=True, slots=True)
class _Meeting:
    """Where a line passes a straight: how far from it, how far along the line [mm], and the point of the straight."""

    gap: float
    along: float
    at: Floats


def _meetings(start: Floats, way: Floats, one: Floats, other: Floats) -> Iterator[_Meeting]:
    """The point of a straight nearest to a line, ahead of its start; of a parallel one both ends."""
    leg = other - one
    across, offset = leg - way * (leg @ way), (one - start) - way * ((one - start) @ way)
    if np.linalg.norm(across) <= PARALLEL * np.linalg.norm(leg):
        shares = [0.0, 1.0]
    else:
        shares = [min(max(-float(offset @ across) / float(across @ across), 0.0), 1.0)]
    for share in shares:
        at = one + share * leg
        along = float((at - start) @ way)
        if along > COINCIDENT:
            yield _Meeting(float(np.linalg.norm(at - start - along * way)), along, at)


def with_bend(rig: Rig, bar_id: str, bend_radius: float) -> Rig:
    """The rig with a bar bent to a centre-line radius [mm], 0 = mitred; raises RigError where it does not fit."""
    bar = item(rig.bars, bar_id, "bars")
    return checked(replace(rig, bars=with_item(rig.bars, replace(bar, bend_radius=bend_radius))))
