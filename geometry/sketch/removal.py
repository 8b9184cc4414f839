"""Taking parts out, and what hangs on them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import pairwise
from typing import Final, TypeVar

from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef
from geometry.rig.naming import link_part
from geometry.rig.parts import Bar, Panel
from geometry.rig.rig import Rig
from geometry.sketch.hung import HUNG, without_hung
from geometry.sketch.lookup import AXLE_KINDS, checked, entered, item, refs_of, rod_of

Item = TypeVar("Item", Bar, Panel)

FEWEST_LINKS: Final = 4
"""Links that hold an axle [-]."""


def without(rig: Rig, parts: Iterable[PartRef], *, nodes_too: bool = True) -> Rig:
    """The rig without parts; an image stands for its original, housing, pinion or tire of an axle for the axle.

    Bars run straight through where a node of theirs goes, and go where fewer than two are left; facets of panels go
    with fewer than three corners, panels with no facet.

    Parameters
    ----------
    nodes_too : bool
        Nodes that only removed bars and panels used go as well.

    Raises
    ------
    RigError
        When an axle would be left with fewer than four links or the rig without an axle, when the end of a link is
        meant, or when a part is not there.

    """
    chosen = tuple(parts)
    gone = _ids(rig, (part for part in chosen if part.kind not in HUNG))
    bars = _trimmed(rig.bars, gone["bar"], lambda bar: _bar_without(bar, gone["node"]))
    panels = _trimmed(rig.panels, gone["panel"], lambda panel: _panel_without(panel, gone["node"]))
    lonely = _names(rig) - _names(replace(rig, bars=bars, panels=panels)) if nodes_too else set()
    nodes = tuple(node for node in rig.nodes if node.id not in gone["node"] | lonely)
    left = (axle for axle in rig.axles if axle.id not in gone["axle"])
    axles = tuple(without_hung(_axle_without(axle, gone["link"]), chosen) for axle in left)
    if not axles:
        raise RigError("axles", "a rig has one axle at least; add another one before this one goes")
    return checked(replace(rig, nodes=nodes, bars=bars, panels=panels, axles=axles))


def _ids(rig: Rig, parts: Iterable[PartRef]) -> dict[str, set[str]]:
    """Ids of what is to go, by kind; RigError where something is not there."""
    gone: dict[str, set[str]] = {"node": set(), "bar": set(), "panel": set(), "link": set(), "axle": set()}
    for part in parts:
        if part.kind == "joint":
            raise RigError("axles", f"the {part.label}, cannot go alone; choose the link instead")
        if part.kind in AXLE_KINDS:
            gone["axle"].add(item(rig.axles, part.id, "axles").id)
        elif part.kind == "link":
            gone["link"].add(link_part(*rod_of(rig, part)).id)
        elif part.kind == "node":
            gone["node"].add(item(rig.nodes, part.id, "nodes").id)
        elif part.kind == "bar":
            gone["bar"].add(item(rig.bars, part.id, "bars").id)
        else:
            gone["panel"].add(item(rig.panels, part.id, "panels").id)
    return gone


def _trimmed(items: tuple[Item, ...], gone: set[str], trim: Callable[[Item], Item | None]) -> tuple[Item, ...]:
    """The records without those that go, each as `trim` leaves it."""
    left = (trim(one) for one in items if one.id not in gone)
    return tuple(one for one in left if one is not None)


def _names(rig: Rig) -> set[str]:
    """Ids of the nodes that bars and panels use."""
    return {ref.removesuffix("'") for one in entered(rig) for ref in refs_of(one)}


def _bar_without(bar: Bar, nodes: set[str]) -> Bar | None:
    """The bar straight through where nodes go; None with fewer than two left."""
    if not any(ref.removesuffix("'") in nodes for ref in bar.nodes):
        return bar
    left = [ref for ref in bar.nodes if ref.removesuffix("'") not in nodes]
    refs = tuple(left[:1]) + tuple(ref for before, ref in pairwise(left) if ref != before)
    return replace(bar, nodes=refs) if len(refs) > 1 else None


def _panel_without(panel: Panel, nodes: set[str]) -> Panel | None:
    """The panel without corners; None when no facet has three left."""
    if not any(ref.removesuffix("'") in nodes for ref in refs_of(panel)):
        return panel
    loops = (tuple(ref for ref in loop if ref.removesuffix("'") not in nodes) for loop in panel.facets)
    facets = tuple(loop for loop in loops if len(loop) > 2)
    return replace(panel, facets=facets) if facets else None


def _axle_without(axle: Axle, links: set[str]) -> Axle:
    rods = tuple(rod for rod in axle.rods if link_part(axle, rod).id not in links)
    if len(rods) == len(axle.rods):
        return axle
    if len(rods) < FEWEST_LINKS:
        raise RigError(
            "axles",
            f"the {axle.name or axle.id} axle needs four links at least, and {len(rods)} would be left; "
            "add another link first or move one instead",
        )
    return replace(axle, rods=rods)
