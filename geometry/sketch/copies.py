"""Copies: across the centre plane and by an offset."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.naming import link_part, node_part
from geometry.rig.parts import Bar, Panel, Point
from geometry.rig.rig import Rig
from geometry.sketch.lookup import (
    Places,
    checked,
    coincide,
    entered,
    flipped,
    is_node_image,
    is_own_image,
    item,
    mirror,
    node_refs,
    part_of,
    points_of,
    positions,
    record_of,
    refs_of,
    rod_of,
    with_item,
    with_refs,
)
from geometry.sketch.names import copy_id, copy_name
from geometry.tolerances import COINCIDENT

MOST_LINKS: Final = 5
"""Links that an axle can have [-]."""

LIE_DECIMALS: Final = 5
"""Decimals of a mm to which parts are compared that may lie on each other: some more than COINCIDENT."""

Lie = object
"""Where a part lies, to be compared: equal for parts that lie exactly on each other."""


def mirrored(rig: Rig, parts: Iterable[PartRef], *, own: bool = False) -> tuple[Rig, tuple[PartRef, ...]]:
    """The rig with bars and panels on the other side, too, and what is new there.

    Parameters
    ----------
    own : bool
        Make parts of their own with nodes of their own (where there is none yet), which then go their own ways; a
        mirrored part is taken apart that way. Else parts are only marked as mirrored and stay alike. Nodes have
        images anyway and are copied only with `own`; links are always copied.

    Raises
    ------
    RigError
        When none of the parts can be mirrored: its image is there already, or it is its own image.

    """
    new: list[PartRef] = []
    refused: list[str] = []
    lies = _lies(rig)
    for part in {(part.kind, part.id): part for part in parts}.values():
        try:
            rig, image = _mirrored_one(rig, part, lies, own=own)
        except _NothingToMirrorError as error:
            refused.append(str(error))
        else:
            new.append(image)
    if not new:
        raise RigError("", refused[0] if refused else "nothing is chosen; choose what is to be mirrored")
    return checked(rig), tuple(new)


class _NothingToMirrorError(ValueError):
    """Why a part gets no image, and what to do."""


def _mirrored_one(rig: Rig, part: PartRef, lies: dict[Lie, str], *, own: bool) -> tuple[Rig, PartRef]:
    if part.kind == "node":
        return _node_mirrored(rig, part, own=own)
    if part.kind == "link":
        return _link_mirrored(rig, part)
    if part.kind not in {"bar", "panel"}:
        raise _NothingToMirrorError(f"the {part.label} cannot be mirrored; choose bars, panels or links")
    old = record_of(rig, part)
    words = f"{part.kind} “{old.id}”"
    if old.mirrored and not own:
        raise _NothingToMirrorError(f"{words} is mirrored already; make its image a part of its own, or leave it")
    if is_own_image(rig, old):
        raise _NothingToMirrorError(f"{words} is its own mirror image; choose one that is off the centre plane")
    image_points = [mirror(point) for point in points_of(rig, refs_of(old))]
    there = lies.get(_lie(old, image_points), old.id)
    if there != old.id:
        raise _NothingToMirrorError(f"the image of {words} is there already, it is “{there}”; remove that one first")
    if not own:
        changed = replace(old, mirrored=True)
        return _with(rig, changed), part_of(rig, changed, image=True)
    places = Places(rig)
    image = _on_points(rig, old, image_points, places, images=False)
    rig = _with(replace(rig, nodes=places.nodes), replace(old, mirrored=False))
    return _added(rig, replace(image, mirrored=False))


def _node_mirrored(rig: Rig, part: PartRef, *, own: bool) -> tuple[Rig, PartRef]:
    node = item(rig.nodes, part.id, "nodes")
    if abs(node.at[1]) <= COINCIDENT:
        raise _NothingToMirrorError(f"node “{node.id}” lies on the centre plane and is its own mirror image; move it")
    if not own:
        raise _NothingToMirrorError(f"node “{node.id}” has its image already, “{flipped(node.id)}”; use that one")
    places = Places(rig)
    image = places.ref(mirror(node.at), images=False)
    if places.nodes is rig.nodes:
        raise _NothingToMirrorError(f"the image of node “{node.id}” is there already, it is “{image}”; use that one")
    return replace(rig, nodes=places.nodes), node_part(places.nodes[-1])


def _link_mirrored(rig: Rig, part: PartRef) -> tuple[Rig, PartRef]:
    axle, rod = rod_of(rig, part)
    chassis, on_axle = mirror(rod.chassis), mirror(rod.axle)
    for one in axle.rods:
        if coincide(one.chassis, chassis) and coincide(one.axle, on_axle):
            raise _NothingToMirrorError(
                f"the image of link “{rod.id}” is there already, it is “{one.id}”; move that one"
            )
    if len(axle.rods) == MOST_LINKS:
        raise _NothingToMirrorError(f"{axle.name or axle.id} has five links, the most there can be; remove one first")
    ids, names = {one.id for one in axle.rods}, {one.name for one in axle.rods}
    bolts = {
        end: bolt and mirror(bolt) for end, bolt in (("chassis_bolt", rod.chassis_bolt), ("axle_bolt", rod.axle_bolt))
    }
    named = {"id": copy_id(ids, rod.id), "name": copy_name(names, rod.name)}
    new = replace(rod, **named, chassis=chassis, axle=on_axle, **bolts)
    changed = replace(axle, rods=(*axle.rods, new))
    return replace(rig, axles=with_item(rig.axles, changed)), link_part(changed, new)


def copied(rig: Rig, parts: Iterable[PartRef], by: Point, *, count: int = 1) -> tuple[Rig, tuple[PartRef, ...]]:
    """The rig with copies of nodes, bars and panels at an offset, twice the offset and so on [mm], and the copies.

    Copies get nodes of their own unless there is one at that place. An image is copied as its original, the mirrored
    way.

    Raises
    ------
    RigError
        When a copy would lie exactly on a part that is there, or a part is none that can be copied.

    """
    chosen = tuple(dict.fromkeys(parts))
    for part in chosen:
        if part.kind not in {"node", "bar", "panel"}:
            raise RigError("", f"the {part.label} cannot be copied; choose nodes, bars or panels")
    originals, lies = rig, _lies(rig)
    copies: list[PartRef] = []
    for number in range(1, count + 1):
        for part in chosen:
            way = (by[0] * number, by[1] * number, by[2] * number)
            rig, copy = (_node_copied if part.kind == "node" else _copied_one)(rig, originals, part, way, lies)
            copies.append(copy)
    return checked(rig), tuple(copies)


def _node_copied(rig: Rig, originals: Rig, part: PartRef, way: Point, _lies: dict[Lie, str]) -> tuple[Rig, PartRef]:
    node = item(originals.nodes, part.id, "nodes")
    places = Places(rig)
    name = places.ref(np.add(node.at, mirror(way) if is_node_image(part) else way), images=False)
    rig = replace(rig, nodes=places.nodes)
    return rig, node_part(item(rig.nodes, name, "nodes"))


def _copied_one(rig: Rig, originals: Rig, part: PartRef, way: Point, lies: dict[Lie, str]) -> tuple[Rig, PartRef]:
    old = record_of(originals, part)
    refs = refs_of(old)
    if node_refs(originals, part) != refs:
        way = mirror(way)
    places = Places(rig)
    copy = _on_points(rig, old, [np.add(point, way) for point in points_of(originals, refs)], places, images=True)
    rig = replace(rig, nodes=places.nodes)
    if copy.mirrored and is_own_image(rig, copy):
        copy = replace(copy, mirrored=False)
    for lie in _lies_of(copy, points_of(rig, refs_of(copy))):
        if lie in lies:
            raise RigError(
                "", f"a copy of {part.kind} “{old.id}” would lie exactly on “{lies[lie]}”; choose another offset"
            )
        lies[lie] = copy.id
    return _added(rig, copy)


# Records and where they lie


def _with(rig: Rig, changed: Bar | Panel) -> Rig:
    if isinstance(changed, Bar):
        return replace(rig, bars=with_item(rig.bars, changed))
    return replace(rig, panels=with_item(rig.panels, changed))


def _added(rig: Rig, new: Bar | Panel) -> tuple[Rig, PartRef]:
    rig = replace(rig, bars=(*rig.bars, new)) if isinstance(new, Bar) else replace(rig, panels=(*rig.panels, new))
    return rig, part_of(rig, new)


def _on_points(
    rig: Rig, old: Bar | Panel, points: Iterable[Iterable[float]], places: Places, *, images: bool
) -> Bar | Panel:
    """A copy under an id and a name of its own, on nodes at points that stand for its node references in a row."""
    others = rig.bars if isinstance(old, Bar) else rig.panels
    refs = {ref: places.ref(point, images=images) for ref, point in zip(refs_of(old), points, strict=True)}
    copy = with_refs(old, refs.__getitem__)
    ids, names = {one.id for one in others}, {one.name for one in others}
    return replace(copy, id=copy_id(ids, old.id), name=copy_name(names, old.name))


def _lies(rig: Rig) -> dict[Lie, str]:
    """Ids of bars and panels by where they and their images lie."""
    at = positions(rig)
    return {lie: one.id for one in entered(rig) for lie in _lies_of(one, [at[ref] for ref in refs_of(one)])}


def _lies_of(one: Bar | Panel, points: Sequence[Point]) -> tuple[Lie, ...]:
    lie = _lie(one, points)
    return (lie, _lie(one, [mirror(point) for point in points])) if one.mirrored else (lie,)


def _lie(one: Bar | Panel, points: Iterable[Point]) -> Lie:
    dusted = tuple(tuple(round(value, LIE_DECIMALS) + 0.0 for value in point) for point in points)
    return min(dusted, dusted[::-1]) if isinstance(one, Bar) else frozenset(dusted)
