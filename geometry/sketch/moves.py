"""Moving: nodes and what hangs on them, joints and links, axles and tires, the whole chassis."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Final, Literal, TypeVar

from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.axle import Axle, Rod
from geometry.rig.layout import PartRef
from geometry.rig.leaf import BOLTS
from geometry.rig.parts import Node, Point
from geometry.rig.rig import Rig
from geometry.rig.stroke import BumpStop, Shock, Strap
from geometry.sketch.hung import check_movable
from geometry.sketch.lookup import (
    AXLE_KINDS,
    checked,
    coincide,
    is_node_image,
    item,
    mirror,
    node_refs,
    rod_of,
    shifted,
    with_item,
)
from geometry.tolerances import COINCIDENT

End = Literal["chassis", "axle"]
Joint = tuple[str, str, End]
"""Axle id, rod id and end."""

Stroke = TypeVar("Stroke", Shock, BumpStop, Strap)

STILL: Final = (0.0, 0.0, 0.0)

JOINT_ENDS: tuple[End, End] = ("chassis", "axle")


def moved(rig: Rig, parts: Iterable[PartRef], by: Point, *, both_sides: bool = True, off_centre: bool = False) -> Rig:
    """The rig with parts moved by an offset [mm].

    Nodes move themselves, bars and panels by all their nodes, links by both joints. Of an axle, whichever of its parts
    is given, station and height change, and the links' joints on it and the ends of shocks, stops and straps go along;
    a tire also changes the width by twice its way across. An image moves its original the mirrored way, and where
    original and image are moved at once they go along and up, but not across. Each point moves once, however many of
    the parts it belongs to.

    Parameters
    ----------
    both_sides : bool
        A joint at the mirror image of a moved one, on the same axle, goes the mirrored way.
    off_centre : bool
        Points on the centre plane may leave it; else they move along it.

    Raises
    ------
    RigError
        When a part is not there, the result cannot be used, or nothing is chosen but what numbers place.

    """
    chosen = tuple(parts)
    check_movable(chosen)
    ways: dict[str, set[bool]] = {}
    for part in chosen:
        for ref in node_refs(rig, part):
            ways.setdefault(ref.removesuffix("'"), set()).add(ref.endswith("'"))
    nodes = tuple(_moved_node(node, by, ways.get(node.id), off_centre=off_centre) for node in rig.nodes)
    joints = _joint_ways(rig, chosen, by, both_sides=both_sides, off_centre=off_centre)
    axles = tuple(_moved_axle(axle, chosen, by, joints) for axle in _known_axles(rig, chosen))
    return checked(replace(rig, nodes=nodes if ways else rig.nodes, axles=axles))


def _moved_node(node: Node, by: Point, images: Collection[bool] | None, *, off_centre: bool) -> Node:
    """The node, moved as it and its image are asked to: by both at once, across is no way to go."""
    if not images:
        return node
    way = _along(by) if len(images) > 1 else mirror(by) if True in images else by
    return replace(node, at=shifted(node.at, _kept(node.at, way, off_centre=off_centre)))


def _kept(at: Point, by: Point, *, off_centre: bool) -> Point:
    """The way of a point, which keeps it on the centre plane if it is there and may not leave."""
    return _along(by) if abs(at[1]) <= COINCIDENT and not off_centre else by


def _along(by: Point) -> Point:
    return (by[0], 0.0, by[2])


def _known_axles(rig: Rig, parts: Iterable[PartRef]) -> tuple[Axle, ...]:
    for part in parts:
        if part.kind in AXLE_KINDS:
            item(rig.axles, part.id, "axles")
    return rig.axles


def _joint_ways(
    rig: Rig, parts: Iterable[PartRef], by: Point, *, both_sides: bool, off_centre: bool
) -> dict[Joint, Point]:
    """The way of each joint that is moved: those that are meant, those at the same place, and their images."""
    meant: dict[Joint, Point] = {}
    for part in parts:
        if part.kind in {"link", "joint"}:
            axle, rod = rod_of(rig, part)
            for end in JOINT_ENDS if part.kind == "link" else (_end_of(part),):
                meant[axle.id, rod.id, end] = _kept(_at(rod, end), by, off_centre=off_centre)
    ways = dict(meant)
    for (axle_id, rod_id, end), way in meant.items():
        axle = rig.axle(axle_id)
        at = next(_at(rod, end) for rod in axle.rods if rod.id == rod_id)
        for rod in axle.rods:
            if coincide(_at(rod, end), at):  # one joint, as at the tip of a wishbone
                ways.setdefault((axle_id, rod.id, end), way)
            elif both_sides and coincide(_at(rod, end), mirror(at)):
                ways.setdefault((axle_id, rod.id, end), mirror(way))
    return ways


def _end_of(part: PartRef) -> End:
    return "chassis" if part.id.endswith(".chassis") else "axle"


def _at(rod: Rod, end: End) -> Point:
    return rod.chassis if end == "chassis" else rod.axle


def _moved_axle(axle: Axle, parts: Iterable[PartRef], by: Point, ways: dict[Joint, Point]) -> Axle:
    kinds = {(part.kind, part.side) for part in parts if part.kind in AXLE_KINDS and part.id == axle.id}
    whole = bool(kinds)
    rods = tuple(_moved_rod(axle, rod, by, ways, whole=whole) for rod in axle.rods)
    if not whole:
        return (
            replace(axle, rods=rods) if any(new is not old for new, old in zip(rods, axle.rods, strict=True)) else axle
        )
    station, _, height = shifted((axle.station, 0.0, axle.height), _along(by))
    outward = by[1] * ((("tire", "left") in kinds) - (("tire", "right") in kinds))
    width, _, _ = shifted((axle.width, 0.0, 0.0), (2.0 * outward, 0.0, 0.0))
    carried = _springs_moved(_strokes_moved(axle, on_axle=_along(by)), _along(by), ("seat", *BOLTS))
    return replace(carried, station=station, height=height, width=width, rods=rods)


def _springs_moved(axle: Axle, by: Point, which: Iterable[str]) -> Axle:
    """The axle with some places of its leaf springs moved; all go with the axle, for a spring has its length."""
    springs = axle.leaf_springs
    if springs is None:
        return axle
    return replace(axle, leaf_springs=replace(springs, **{name: shifted(getattr(springs, name), by) for name in which}))


def _strokes_moved(axle: Axle, *, chassis: Point = STILL, on_axle: Point = STILL) -> Axle:
    """The axle with the ends of its shocks, bump stops and straps moved along."""

    def along(part: Stroke) -> Stroke:
        return replace(part, chassis=shifted(part.chassis, chassis), axle=shifted(part.axle, on_axle))

    return replace(
        axle,
        shocks=tuple(along(each) for each in axle.shocks),
        bump_stops=tuple(along(each) for each in axle.bump_stops),
        straps=tuple(along(each) for each in axle.straps),
    )


def _moved_rod(axle: Axle, rod: Rod, by: Point, ways: dict[Joint, Point], *, whole: bool) -> Rod:
    chassis = ways.get((axle.id, rod.id, "chassis"))
    on_axle = ways.get((axle.id, rod.id, "axle"), _along(by) if whole else None)
    if chassis is None and on_axle is None:
        return rod
    return replace(
        rod,
        chassis=shifted(rod.chassis, chassis) if chassis else rod.chassis,
        axle=shifted(rod.axle, on_axle) if on_axle else rod.axle,
    )


def placed(rig: Rig, part: PartRef, at: Point) -> Rig:
    """The rig with one node or joint put at a point [mm], wherever that is; raises RigError as `moved`."""
    if part.kind == "node":
        node = item(rig.nodes, part.id, "nodes")
        moved_node = replace(node, at=mirror(at) if is_node_image(part) else at)
        return checked(replace(rig, nodes=with_item(rig.nodes, moved_node)))
    if part.kind != "joint":
        raise RigError(part.kind, f"only nodes and ends of links can be put at a point; move {part.label} by an offset")
    axle, rod = rod_of(rig, part)
    moved_rod = replace(rod, chassis=at) if _end_of(part) == "chassis" else replace(rod, axle=at)
    rods = tuple(moved_rod if one is rod else one for one in axle.rods)
    return checked(replace(rig, axles=with_item(rig.axles, replace(axle, rods=rods))))


def lifted(rig: Rig, by: float) -> Rig:
    """The rig with another ride height: nodes and chassis joints go up, axles stay [mm]; raises RigError as `moved`."""
    up = (0.0, 0.0, by)
    nodes = tuple(replace(node, at=shifted(node.at, up)) for node in rig.nodes)
    axles = tuple(
        replace(
            _springs_moved(_strokes_moved(axle, chassis=up), up, BOLTS),
            rods=tuple(replace(rod, chassis=shifted(rod.chassis, up)) for rod in axle.rods),
        )
        for axle in rig.axles
    )
    return checked(replace(rig, nodes=nodes, axles=axles))
