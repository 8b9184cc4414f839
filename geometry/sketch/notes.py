"""Notes on a rig: what can be meant but seldom is. Nothing is changed unless a note's mend is asked for.

Bars count as straight from node to node here, which errs on the side of fewer notes: an end at the corner of a bend
is taken as held.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, partial
from itertools import chain
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from geometry.plan.doubts import doubts
from geometry.rig.axle import Axle
from geometry.rig.layout import MIRROR, PartRef, parts_of
from geometry.rig.naming import housing_part, joint_part, link_part, node_part
from geometry.rig.parts import Bar, Node, Point
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from geometry.sketch.mends import at_point, joint_at, merged, on_node, scaled, without_bar
from geometry.tolerances import COINCIDENT

NEAR_MISS: Final = 50.8
"""Gap between the end of a bar and another bar up to which they are taken to be meant to meet [mm]: two inches."""

SAME_NODE: Final = 3.0
"""Distance of two nodes under which one is meant [mm]: less than anybody places two tubes apart."""

OFF_MIRROR: Final = 5.0
"""Distance from the centre plane, or from an image, under which the exact place is meant [mm]: a tape's slip."""

BRACKET: Final = 100.0
"""How far a link's joint may be from the skin of a bar [mm]: the reach of a bracket, as `joint_room` has it."""

TINY: Final = 0.2
"""Extent of all nodes over the wheelbase under which they are in another unit [-]: inches make it 0.04 to 0.08."""

FAR_OUT: Final = 2.0
"""Distance before the front or behind the rear axle, over the wheelbase, from which a node is far off [-]."""

UNITS: Final = {"inches": INCH, "centimetres": 10.0, "metres": 1000.0}
"""Units that coordinates in mm are mistaken for [mm]."""

_ASKEW: Final = (0.568, 0.327, 0.755)
"""A direction of unit length along which square frames have few points side by side [-]."""

_ENDS: Final[tuple[Literal["chassis", "axle"], ...]] = ("chassis", "axle")

Floats = NDArray[np.float64]


class NoteKind(StrEnum):
    """What a note is about."""

    LOOSE_END = "loose end"
    NEAR_MISS = "near miss"
    SAME_NODE = "nodes that nearly meet"
    DOUBLED = "doubled bar"
    OFF_MIRROR = "off the mirror"
    LINK = "link without a bar"
    UNIT = "wrong unit"


@dataclass(frozen=True, slots=True)
class Note:
    """One thing to look at.

    Attributes
    ----------
    problem : str
        A sentence without its capital and full stop; every length in it stands as a number and `` mm``.
    parts : tuple of PartRef
        What it is about.
    at : Point
        Where to look [mm].
    mend : function from rig to rig, or None
        What would mend it; None = it takes the builder.
    mend_words : str
        What the mend does, as on a button; empty without one.

    """

    kind: NoteKind
    problem: str
    parts: tuple[PartRef, ...]
    at: Point
    mend: Callable[[Rig], Rig] | None = None
    mend_words: str = ""


def find_notes(rig: Rig) -> tuple[Note, ...]:
    """Notes on a rig that passes check_rig, by kind, in the order of its parts."""
    units = tuple(_unit_notes(rig))
    if any(note.kind is NoteKind.UNIT and len(note.parts) == len(rig.nodes) for note in units):
        return units  # in the wrong unit everything is near to everything
    frame = _Frame(rig)
    found = (units, _end_notes(frame), _node_notes(frame), _doubled_notes(frame), _link_notes(frame), _joint_notes(rig))
    return tuple(chain(chain.from_iterable(found), _build_notes(rig)))


@dataclass(frozen=True)
class _Frame:
    """A rig's bars as straights, images included, in arrays.

    Attributes
    ----------
    at : dict
        Place of every node reference [mm].
    copies : list of (bar, is image)
    owner : array of int, shape (n,)
        Copy that each straight belongs to.

    """

    rig: Rig

    @cached_property
    def at(self) -> dict[str, Point]:
        at = {node.id: node.at for node in self.rig.nodes}
        return at | {f"{name}'": (x, -y, z) for name, (x, y, z) in at.items()}

    @cached_property
    def copies(self) -> list[tuple[Bar, bool]]:
        return [(bar, image) for bar in self.rig.bars for image in ((False, True) if bar.mirrored else (False,))]

    @cached_property
    def paths(self) -> list[Floats]:
        """Corners of each copy, shape (k, 3) [mm]."""
        entered = {bar.id: np.array([self.at[ref] for ref in bar.nodes]) for bar in self.rig.bars}
        return [entered[bar.id] * MIRROR if image else entered[bar.id] for bar, image in self.copies]

    @cached_property
    def starts(self) -> Floats:
        return np.concatenate([path[:-1] for path in self.paths]) if self.paths else np.empty((0, 3))

    @cached_property
    def legs(self) -> Floats:
        return np.concatenate([np.diff(path, axis=0) for path in self.paths]) if self.paths else np.empty((0, 3))

    @cached_property
    def owner(self) -> NDArray[np.int_]:
        return np.repeat(np.arange(len(self.paths)), [len(path) - 1 for path in self.paths])

    @cached_property
    def radii(self) -> Floats:
        return np.array([bar.od / 2.0 for bar, _ in self.copies])[self.owner]

    def spots(self, points: Floats, legs: NDArray[np.int_]) -> tuple[Floats, Floats]:
        """Distance of points, shape (k, 3), to the axis of a straight each [mm], and where along it that is [-]."""
        leg, way = self.legs[legs], points - self.starts[legs]
        share = np.clip(np.einsum("ki,ki->k", way, leg) / np.einsum("ki,ki->k", leg, leg), 0.0, 1.0)
        return np.linalg.norm(way - share[:, None] * leg, axis=1), share

    def near(self, points: Floats, reach: Floats) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
        """Numbers of points and of straights into whose boxes, widened by the points' reach [mm], they fall."""
        ends = self.starts + self.legs
        low, high = np.minimum(self.starts, ends), np.maximum(self.starts, ends)
        here = points[:, 0, None]
        point, leg = np.nonzero((here >= low[:, 0] - reach[:, None]) & (here <= high[:, 0] + reach[:, None]))
        for axis in (1, 2):
            here, room = points[point, axis], reach[point]
            inside = (here >= low[leg, axis] - room) & (here <= high[leg, axis] + room)
            point, leg = point[inside], leg[inside]
        return point, leg

    def part(self, bar: Bar, *, image: bool = False) -> PartRef:
        return parts_of(bar, np.array([self.at[ref] for ref in bar.nodes]))[int(image)]


# Ends of bars


def _end_notes(frame: _Frame) -> Iterator[Note]:
    ends = _free_ends(frame)
    if not ends:
        return
    points = np.array([frame.at[ref] for _, ref in ends])
    radii = np.array([bar.od / 2.0 for bar, _ in ends])
    end, leg = frame.near(points, NEAR_MISS + radii + frame.radii.max())
    numbers = {bar.id: number for number, (bar, image) in enumerate(frame.copies) if not image}
    other = frame.owner[leg] != np.array([numbers[bar.id] for bar, _ in ends])[end]
    end, leg = end[other], leg[other]
    away, share = frame.spots(points[end], leg)
    gaps = away - frame.radii[leg] - radii[end]
    order = np.lexsort((gaps, end))
    first = order[np.unique(end[order], return_index=True)[1]]
    nearest = dict(zip(end[first].tolist(), first.tolist(), strict=True))
    for number, (bar, ref) in enumerate(ends):
        best = nearest.get(number)
        if best is None or gaps[best] > NEAR_MISS:
            yield _loose(frame, bar, ref)
        elif gaps[best] > 0.0:
            yield _near_miss(frame, bar, ref, int(leg[best]), float(share[best]), float(gaps[best]))


def _free_ends(frame: _Frame) -> list[tuple[Bar, str]]:
    """Ends of bars on no node of another bar and at no link: bar and reference to its node."""
    places = {ref: tuple(round(value, 3) + 0.0 for value in at) for ref, at in frame.at.items()}
    uses = Counter(places[_flip(ref) if image else ref] for bar, image in frame.copies for ref in bar.nodes)
    ends = [(bar, ref) for bar in frame.rig.bars for ref in (bar.nodes[0], bar.nodes[-1]) if uses[places[ref]] == 1]
    if not ends:
        return []
    joints = np.array([at for axle in frame.rig.axles for at in _bracket_places(axle)])
    away = np.linalg.norm(np.array([frame.at[ref] for _, ref in ends])[:, None] - joints, axis=2).min(axis=1)
    return [end for end, gap in zip(ends, away.tolist(), strict=True) if gap > BRACKET]


def _bracket_places(axle: Axle) -> Iterator[Point]:
    """Where an axle's links or leaf springs are bolted to the chassis."""
    yield from (rod.chassis for rod in axle.rods)
    if axle.leaf_springs is not None:
        for x, y, z in (axle.leaf_springs.fixed_eye, axle.leaf_springs.shackle_pivot):
            yield from ((x, y, z), (x, -y, z))


def _loose(frame: _Frame, bar: Bar, ref: str) -> Note:
    part = frame.part(bar)
    problem = f"“{part.label}” ends loose at node {ref}: no other bar is within {NEAR_MISS:g} mm of it"
    return Note(NoteKind.LOOSE_END, problem, (part, _node_of(frame, ref)), frame.at[ref])


def _near_miss(frame: _Frame, bar: Bar, ref: str, leg: int, share: float, gap: float) -> Note:
    copy = int(frame.owner[leg])
    other, image = frame.copies[copy]
    first = int(np.flatnonzero(frame.owner == copy)[0])
    refs = tuple(map(_flip, other.nodes)) if image else other.nodes
    start, end = refs[leg - first], refs[leg - first + 1]
    spot = frame.starts[leg] + share * frame.legs[leg]
    mend: Callable[[Rig], Rig]
    if other.id == bar.id:
        x, _, z = frame.at[ref]
        mend = partial(at_point, ref=ref, point=(x, 0.0, z))
    elif share in {0.0, 1.0}:
        mend = partial(on_node, bar_id=bar.id, old=ref, new=start if share == 0.0 else end)
    else:
        mend = partial(at_point, ref=ref, point=(float(spot[0]), float(spot[1]), float(spot[2])))
    part, beside = frame.part(bar), frame.part(other, image=image)
    problem = f"“{part.label}” misses “{beside.label}” by {gap:.1f} mm at node {ref}"
    parts = (part, beside, _node_of(frame, ref))
    return Note(NoteKind.NEAR_MISS, problem, parts, frame.at[ref], mend, "Bring the end there")


def _flip(ref: str) -> str:
    return ref.removesuffix("'") if ref.endswith("'") else f"{ref}'"


def _node_of(frame: _Frame, ref: str) -> PartRef:
    node_id = ref.removesuffix("'")
    return node_part(next(node for node in frame.rig.nodes if node.id == node_id), image=ref != node_id)


# Nodes


def _node_notes(frame: _Frame) -> Iterator[Note]:
    """Nodes that nearly meet each other, their own image, or another one's image."""
    nodes = frame.rig.nodes
    if not nodes:
        return
    at = np.array([node.at for node in nodes])
    given_up: set[int] = set()
    for one, other in _near_pairs(at, SAME_NODE):
        if one not in given_up and other not in given_up:
            given_up.add(other)
            yield _same_node(nodes[one], nodes[other], float(np.linalg.norm(at[one] - at[other])))
    for number in np.flatnonzero((np.abs(at[:, 1]) > COINCIDENT) & (np.abs(at[:, 1]) <= OFF_MIRROR)):
        yield _off_centre(nodes[number])
    for one, other, away in _off_images(at):
        yield _off_image(nodes[other], nodes[one], away)


def _off_images(at: Floats) -> Iterator[tuple[int, int, float]]:
    """Numbers of two points of which the second is a little off the first one's mirror image, and by how much [mm]."""
    aside = np.flatnonzero(np.abs(at[:, 1]) > OFF_MIRROR)
    folded = at[aside] * np.where(at[aside, 1:2] < 0.0, MIRROR, 1.0)
    for one, other in _near_pairs(folded, OFF_MIRROR):
        first, second = int(aside[one]), int(aside[other])
        away = float(np.linalg.norm(folded[one] - folded[other]))
        if away > COINCIDENT and at[first, 1] * at[second, 1] < 0.0:
            yield first, second, away


def _near_pairs(points: Floats, reach: float) -> Iterator[tuple[int, int]]:
    """Numbers of two points no farther apart than `reach` [mm], the lower one first, in their order.

    Points are sorted along a direction askew to all that is built square, so that few lie within reach along it.
    """
    along = points @ np.array(_ASKEW)
    order = np.argsort(along, kind="stable")
    found: list[tuple[int, int]] = []
    for step in range(1, len(points)):
        close = along[order[step:]] - along[order[:-step]] <= reach
        if not close.any():
            break
        one, other = order[:-step][close], order[step:][close]
        met = np.linalg.norm(points[one] - points[other], axis=1) <= reach
        found += zip(np.minimum(one, other)[met].tolist(), np.maximum(one, other)[met].tolist(), strict=True)
    return iter(sorted(found))


def _same_node(one: Node, other: Node, away: float) -> Note:
    where = f"lie {away:.2g} mm apart" if away > COINCIDENT else "lie at the same place"
    parts = (node_part(one), node_part(other))
    mend = partial(merged, kept=one.id, given_up=other.id)
    problem = f"nodes {one.id} and {other.id} {where}"
    return Note(NoteKind.SAME_NODE, problem, parts, one.at, mend, f"Keep {one.id} for both")


def _off_centre(node: Node) -> Note:
    x, y, z = node.at
    problem = f"node {node.id} lies {abs(y):.2g} mm off the centre plane"
    mend = partial(at_point, ref=node.id, point=(x, 0.0, z))
    return Note(NoteKind.OFF_MIRROR, problem, (node_part(node),), node.at, mend, "Put it on the centre plane")


def _off_image(node: Node, original: Node, away: float) -> Note:
    x, y, z = original.at
    problem = f"node {node.id} lies {away:.2g} mm off the mirror image of node {original.id}"
    mend = partial(at_point, ref=node.id, point=(x, -y, z))
    parts = (node_part(node), node_part(original))
    return Note(NoteKind.OFF_MIRROR, problem, parts, node.at, mend, "Move it to the mirror image")


# Doubled bars


def _doubled_notes(frame: _Frame) -> Iterator[Note]:
    """Bars of which every corner lies on the same corner of another one."""
    ends = np.array([[path[0], path[-1]] for path in frame.paths]).reshape(-1, 2, 3)
    said: set[frozenset[str]] = set()
    for one, other in _near_pairs(ends.sum(axis=1), 2.0 * SAME_NODE):
        first, second = frame.copies[one][0], frame.copies[other][0]
        pair = frozenset((first.id, second.id))
        if len(pair) == 1 or pair in said or not _same_path(frame.paths[one], frame.paths[other]):
            continue
        said.add(pair)
        gone, kept = (first, second) if second.mirrored and not first.mirrored else (second, first)
        parts = (frame.part(gone), frame.part(kept))
        problem = f"“{parts[0].label}” lies on “{parts[1].label}” over its whole length"
        mend = partial(without_bar, bar_id=gone.id)
        x, y, z = frame.paths[one].mean(axis=0).tolist()
        yield Note(NoteKind.DOUBLED, problem, parts, (x, y, z), mend, f"Remove “{parts[0].label}”")


def _same_path(one: Floats, other: Floats) -> bool:
    if one.shape != other.shape:
        return False
    return any(bool(np.all(np.linalg.norm(one - way, axis=1) <= SAME_NODE)) for way in (other, other[::-1]))


# Links


def _link_notes(frame: _Frame) -> Iterator[Note]:
    """Links whose joint on the chassis is out of a bracket's reach."""
    rods = [(axle, rod) for axle in frame.rig.axles for rod in axle.rods]
    if not len(frame.starts) or not rods:
        return
    count = len(frame.starts)
    points = np.repeat([rod.chassis for _, rod in rods], count, axis=0)
    away, _ = frame.spots(points, np.tile(np.arange(count), len(rods)))
    gaps = (away.reshape(-1, count) - frame.radii).min(axis=1)
    for (axle, rod), gap in zip(rods, gaps.tolist(), strict=True):
        if gap > BRACKET:
            part = link_part(axle, rod)
            problem = f"the chassis end of “{part.label}” lies {gap:.0f} mm from the nearest bar"
            yield Note(NoteKind.LINK, problem, (part, joint_part(axle, rod, "chassis")), rod.chassis)


def _joint_notes(rig: Rig) -> Iterator[Note]:
    """Joints of links a little off the centre plane, or off the mirror image of another one of their axle."""
    for axle in rig.axles:
        for end in _ENDS:
            joints = {getattr(rod, end): joint_part(axle, rod, end) for rod in axle.rods}
            places = list(joints)
            yield from (_off_centre_joint(joints[at], at) for at in places if COINCIDENT < abs(at[1]) <= OFF_MIRROR)
            for one, other, away in _off_images(np.array(places).reshape(-1, 3)):
                yield _off_image_joint(joints[places[other]], places[other], joints[places[one]], places[one], away)


def _off_centre_joint(part: PartRef, at: Point) -> Note:
    x, y, z = at
    problem = f"“{part.label}” lies {abs(y):.2g} mm off the centre plane"
    mend = partial(joint_at, old=at, new=(x, 0.0, z))
    return Note(NoteKind.OFF_MIRROR, problem, (part,), at, mend, "Put it on the centre plane")


def _off_image_joint(part: PartRef, at: Point, original: PartRef, there: Point, away: float) -> Note:
    x, y, z = there
    problem = f"“{part.label}” lies {away:.2g} mm off the mirror image of “{original.label}”"
    mend = partial(joint_at, old=at, new=(x, -y, z))
    return Note(NoteKind.OFF_MIRROR, problem, (part, original), at, mend, "Move it to the mirror image")


# Numbers for the saw

_BUILD_WORDS: Final = {
    "kerf": "saw kerf",
    "insertion_centre": "depth of the tube in the centre section",
    "insertion_end": "depth of the tube in the end",
    "shrink": "weld shrinkage",
    "end_play": "end play of the shaft",
}


def _build_notes(rig: Rig) -> Iterator[Note]:
    """Values for the cut plan over what is usual."""
    for axle in rig.axles:
        for doubt in doubts(axle):
            side, field = (re.findall(r"/(left|right)/", doubt.place) or [""])[0], doubt.place.rpartition("/")[2]
            words = f"the {axle.id} axle's {side} {_BUILD_WORDS[field]}".replace("  ", " ")
            problem = (
                f"{words} is {doubt.value:g} mm, and over {doubt.usual:g} mm is seldom met: is it in the right unit"
            )
            yield Note(NoteKind.UNIT, problem, (housing_part(axle),), (axle.station, 0.0, axle.height))


# Units


def _unit_notes(rig: Rig) -> Iterator[Note]:
    stations = [axle.station for axle in rig.axles]
    base = max(stations) - min(stations)
    if not rig.nodes or base <= 0.0:
        return
    at = np.array([node.at for node in rig.nodes])
    extent = float((at.max(axis=0) - at.min(axis=0)).max())
    if len(rig.nodes) > 1 and extent < TINY * base:
        unit = min(UNITS, key=lambda name: abs(np.log(max(extent, COINCIDENT) * UNITS[name] / base)))
        problem = f"all nodes lie within {extent:.0f} mm, the axles {base:.0f} mm apart: the nodes look like {unit}"
        parts = tuple(node_part(node) for node in rig.nodes)
        yield Note(
            NoteKind.UNIT, problem, parts, rig.nodes[0].at, partial(scaled, by=UNITS[unit]), f"Read them as {unit}"
        )
        return
    low, high = min(stations) - FAR_OUT * base, max(stations) + FAR_OUT * base
    reach = max(FAR_OUT * base, *(axle.width for axle in rig.axles))
    for node in rig.nodes:
        x, y, z = node.at
        if not low <= x <= high or abs(y) > reach or abs(z) > reach:
            problem = f"node {node.id} lies far off everything else; its coordinates look like another unit"
            yield Note(NoteKind.UNIT, problem, (node_part(node),), node.at)
