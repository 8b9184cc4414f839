"""What a chosen part means: its records, its nodes as seen from its side, and its place in the rig."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Final, TypeVar

import numpy as np
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.axle import Axle, Rod
from geometry.rig.check import check_rig
from geometry.rig.layout import MIRROR, PartRef, entered_side, parts_of
from geometry.rig.naming import link_part
from geometry.rig.parts import Bar, Node, Panel, Point
from geometry.rig.rig import Rig
from geometry.sketch.names import free_id
from geometry.tolerances import COINCIDENT

DECIMALS: Final = 9
"""Decimals of a mm to which sums of coordinates are rounded: snapping is exact to as many, and 812.8 stays 812.8."""

AXLE_KINDS: Final = ("tire", "housing", "centre section", "pinion")
"""Kinds of parts that are an axle or firmly on it."""

Named = TypeVar("Named", Node, Bar, Panel, Axle)


def checked(rig: Rig) -> Rig:
    """The rig, if it can be used; raises RigError as `check_rig`."""
    check_rig(rig)
    return rig


def item(items: Sequence[Named], item_id: str, place: str) -> Named:
    """The record of that id; RigError when there is none."""
    for one in items:
        if one.id == item_id:
            return one
    raise RigError(place, f"there is no {place.removesuffix('s')} “{item_id}” in the rig; choose another one")


def with_item(items: tuple[Named, ...], changed: Named) -> tuple[Named, ...]:
    """The records with one changed, found by its id."""
    return tuple(changed if one.id == changed.id else one for one in items)


def rod_of(rig: Rig, part: PartRef) -> tuple[Axle, Rod]:
    """The link that is meant, or of which a joint is, and its axle; RigError when there is none."""
    link = part.id.rpartition(".")[0] if part.kind == "joint" else part.id
    for axle in rig.axles:
        for rod in axle.rods:
            if link_part(axle, rod).id == link:
                return axle, rod
    raise RigError("axles", f"there is no link “{link}” in the rig; choose another one")


def node_refs(rig: Rig, part: PartRef) -> tuple[str, ...]:
    """References of the nodes under a node, bar or panel, as seen from its side; none for other kinds.

    Raises
    ------
    RigError
        When there is no such part.

    """
    if part.kind == "node":
        item(rig.nodes, part.id, "nodes")
        return (flipped(part.id) if is_node_image(part) else part.id,)
    if part.kind not in {"bar", "panel"}:
        return ()
    one = record_of(rig, part)
    refs = refs_of(one)
    if not one.mirrored or not part.side or part.side == entered_side(np.array(points_of(rig, refs))):
        return refs
    return tuple(flipped(ref) for ref in refs)


def is_node_image(part: PartRef) -> bool:
    """Whether the image of a node is meant; its words tell, since on the centre plane both are on no side."""
    return part.label.endswith("'")


def entered(rig: Rig) -> tuple[Bar | Panel, ...]:
    """Everything that hangs on nodes."""
    return (*rig.bars, *rig.panels)


def refs_of(one: Bar | Panel) -> tuple[str, ...]:
    """The node references of a bar in order, or of all facets of a panel."""
    return one.nodes if isinstance(one, Bar) else tuple(ref for loop in one.facets for ref in loop)


def record_of(rig: Rig, part: PartRef) -> Bar | Panel:
    """The bar or panel that is meant; RigError when there is none."""
    return item(rig.bars, part.id, "bars") if part.kind == "bar" else item(rig.panels, part.id, "panels")


def with_refs(one: Bar | Panel, change: Callable[[str], str]) -> Bar | Panel:
    """A bar or panel on other nodes."""
    if isinstance(one, Bar):
        return replace(one, nodes=tuple(change(ref) for ref in one.nodes))
    return replace(one, facets=tuple(tuple(change(ref) for ref in loop) for loop in one.facets))


def flipped(ref: str) -> str:
    """The reference to the mirror image of what a reference names."""
    return ref.removesuffix("'") if ref.endswith("'") else f"{ref}'"


def mirror(point: Point) -> Point:
    """The mirror image of a point across the centre plane."""
    return (point[0], -point[1] + 0.0, point[2])


def part_of(rig: Rig, one: Bar | Panel, *, image: bool = False) -> PartRef:
    """What a bar or panel of the rig, or its image, is called."""
    return parts_of(one, np.array(points_of(rig, refs_of(one))))[int(image)]


def positions(rig: Rig) -> dict[str, Point]:
    """Where every node reference lies, images included [mm]."""
    at = {node.id: node.at for node in rig.nodes}
    return at | {f"{name}'": mirror(point) for name, point in at.items()}


def points_of(rig: Rig, refs: Iterable[str]) -> tuple[Point, ...]:
    """Where node references lie [mm]; RigError when one names no node."""
    at = positions(rig)
    refs = tuple(refs)
    for ref in refs:
        if ref not in at:
            raise RigError("nodes", f"there is no node “{ref}” in the rig; choose another one")
    return tuple(at[ref] for ref in refs)


def coincide(one: Sequence[float], other: Sequence[float]) -> bool:
    """Whether two points are the same."""
    return all(abs(a - b) <= COINCIDENT for a, b in zip(one, other, strict=True))


def settled(point: Iterable[float]) -> Point:
    """A computed point as it is entered: without the dust of sums, and on the centre plane where it is next to it."""
    x, y, z = (round(float(value), DECIMALS) + 0.0 for value in point)
    return (x, 0.0 if abs(y) <= COINCIDENT else y, z)


def shifted(at: Point, by: Point) -> Point:
    """A point moved by an offset; coordinates that do not move keep every digit."""
    moved = settled(np.add(at, by))
    x, y, z = (new if way else old for old, way, new in zip(at, by, moved, strict=True))
    return (x, y, z)


def is_own_image(rig: Rig, one: Bar | Panel) -> bool:
    """Whether the mirror image of a bar or panel would lie on itself."""
    points = np.array(points_of(rig, refs_of(one)))
    if isinstance(one, Bar):
        return any(bool(np.all(np.abs(points - other * MIRROR) <= COINCIDENT)) for other in (points, points[::-1]))
    gaps = np.linalg.norm(points[:, None] - points * MIRROR, axis=2)
    return bool(np.all(gaps.min(axis=1) <= COINCIDENT))


def entered_once(rig: Rig, bar: Bar) -> Bar:
    """A bar, not mirrored where its image would be itself."""
    return replace(bar, mirrored=False) if bar.mirrored and is_own_image(rig, bar) else bar


class Places:
    """The nodes of a rig by where they lie, to be found or added.

    Attributes
    ----------
    nodes : tuple of Node
        Those of the rig and the new ones behind them.

    """

    def __init__(self, rig: Rig) -> None:
        self.nodes = rig.nodes
        self._points = np.array([node.at for node in rig.nodes]).reshape(-1, 3)
        self._ids = {node.id for node in rig.nodes}

    def ref(self, point: Iterable[float], *, images: bool = True) -> str:
        """Reference to the node at a point [mm], which is added if there is none; images count if wanted."""
        at = settled(point)
        found = self._node_at(at)
        if found is not None:
            return found
        image = self._node_at(mirror(at)) if images else None
        return f"{image}'" if image is not None else self.added(at)

    def added(self, at: Point) -> str:
        """Id of a new node at a point [mm]."""
        node = Node(id=free_id(self._ids, "n"), at=at)
        self.nodes = (*self.nodes, node)
        self._points = np.vstack([self._points, at])
        self._ids.add(node.id)
        return node.id

    def _node_at(self, at: Point) -> str | None:
        found = np.flatnonzero(np.all(np.abs(self._points - at) <= COINCIDENT, axis=1))
        return self.nodes[found[0]].id if len(found) else None
