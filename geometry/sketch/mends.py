"""What notes offer to do: each makes a new rig that is not checked yet."""

from __future__ import annotations

from math import dist

from msgspec.structs import replace

from geometry.rig.axle import Rod
from geometry.rig.parts import Bar, Panel, Point
from geometry.rig.rig import Rig
from geometry.tolerances import COINCIDENT


def at_point(rig: Rig, ref: str, point: Point) -> Rig:
    """The rig with the node under a reference moved so that the reference lies at a point [mm]."""
    node_id = ref.removesuffix("'")
    x, y, z = point
    at = (x, (-y if ref != node_id else y) + 0.0, z)
    return replace(rig, nodes=tuple(replace(node, at=at) if node.id == node_id else node for node in rig.nodes))


def on_node(rig: Rig, bar_id: str, old: str, new: str) -> Rig:
    """The rig with a bar on another node instead of one of its own, which goes if nothing else is on it."""

    def change(bar: Bar) -> Bar:
        return replace(bar, nodes=tuple(new if ref == old else ref for ref in bar.nodes))

    changed = replace(rig, bars=tuple(change(bar) if bar.id == bar_id else bar for bar in rig.bars))
    return _without_node(changed, old.removesuffix("'"))


def merged(rig: Rig, kept: str, given_up: str) -> Rig:
    """The rig with one node for two; bars that are left without length go."""

    def named(ref: str) -> str:
        return {given_up: kept, f"{given_up}'": f"{kept}'"}.get(ref, ref)

    def loop(refs: tuple[str, ...]) -> tuple[str, ...]:
        new = [named(ref) for ref in refs]
        return tuple(ref for before, ref in zip([new[-1], *new], new, strict=False) if ref != before)

    def bar(one: Bar) -> Bar:
        new = [named(ref) for ref in one.nodes]
        kept_refs = [ref for before, ref in zip([None, *new], new, strict=False) if ref != before]
        return replace(one, nodes=tuple(kept_refs))

    def panel(one: Panel) -> Panel:
        return replace(one, facets=tuple(facet for refs in one.facets if len(facet := loop(refs)) > 2))

    return replace(
        rig,
        nodes=tuple(node for node in rig.nodes if node.id != given_up),
        bars=tuple(new for one in rig.bars if len((new := bar(one)).nodes) > 1),
        panels=tuple(skin for each in rig.panels if (skin := panel(each)).facets),
    )


def joint_at(rig: Rig, old: Point, new: Point) -> Rig:
    """The rig with every joint of a link that lies at a point moved to another one [mm]."""

    def moved(rod: Rod) -> Rod:
        chassis, axle = (new if dist(at, old) <= COINCIDENT else at for at in (rod.chassis, rod.axle))
        return replace(rod, chassis=chassis, axle=axle)

    return replace(rig, axles=tuple(replace(one, rods=tuple(map(moved, one.rods))) for one in rig.axles))


def without_bar(rig: Rig, bar_id: str) -> Rig:
    """The rig without a bar and without the nodes that only it was on."""
    refs = next(bar.nodes for bar in rig.bars if bar.id == bar_id)
    changed = replace(rig, bars=tuple(bar for bar in rig.bars if bar.id != bar_id))
    for ref in refs:
        changed = _without_node(changed, ref.removesuffix("'"))
    return changed


def scaled(rig: Rig, by: float) -> Rig:
    """The rig with all coordinates of its nodes times a number."""

    def times(point: Point) -> Point:
        x, y, z = point
        return (x * by, y * by, z * by)

    return replace(rig, nodes=tuple(replace(node, at=times(node.at)) for node in rig.nodes))


def _without_node(rig: Rig, node_id: str) -> Rig:
    """The rig without a node, unless something is on it."""
    loops = (*(bar.nodes for bar in rig.bars), *(facet for panel in rig.panels for facet in panel.facets))
    if any(ref.removesuffix("'") == node_id for refs in loops for ref in refs):
        return rig
    return replace(rig, nodes=tuple(node for node in rig.nodes if node.id != node_id))
