"""Points that can be taken hold of: nodes of the chassis, and the ends of links where they are in the picture."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from app.canvas.pens import at_point, pen
from app.canvas.scene import Drawing
from app.canvas.style import DrawStyle
from geometry.outline.view import Floats, View
from geometry.rig.layout import MIRROR, PartRef
from geometry.rig.naming import joint_part, link_part, node_part
from geometry.rig.rig import Rig

HALF: Final = 3.5
"""Half the side of a handle [points]."""


PartKey = tuple[str, str]
"""Kind and id of a part: left and right share their points."""


@dataclass(frozen=True, eq=False, slots=True)
class Handle:
    """A point of the rig: what it is, where it is in the picture [mm], and the parts that it belongs to."""

    part: PartRef
    at: Floats
    owners: frozenset[PartKey]


def key_of(part: PartRef) -> PartKey:
    """Kind and id of a part."""
    return (part.kind, part.id)


def shown_handles(
    nodes: Iterable[Handle], rig: Rig, drawing: Drawing, chosen: Collection[PartRef], *, every_node: bool
) -> tuple[Handle, ...]:
    """The points to show: those that are chosen or belong to what is chosen, and with `every_node` all nodes."""
    wanted = {key_of(part) for part in chosen}
    found = [handle for handle in nodes if every_node or handle.owners & wanted]
    if any(kind in {"link", "joint"} for kind, _ in wanted):
        found += [handle for handle in _joint_handles(rig, drawing) if handle.owners & wanted]
    return tuple(found)


def node_handles(rig: Rig) -> tuple[Handle, ...]:
    """All nodes, and of their mirror images those that something is built on."""
    owners: dict[str, set[PartKey]] = {node.id: {("node", node.id)} for node in rig.nodes}
    uses = [(("bar", bar.id), bar.nodes, bar.mirrored) for bar in rig.bars]
    uses += [(("panel", panel.id), loop, panel.mirrored) for panel in rig.panels for loop in panel.facets]
    for owner, refs, mirrored in uses:
        for ref in refs:
            for each in (ref, _flipped(ref)) if mirrored else (ref,):
                owners.setdefault(each, {("node", each.removesuffix("'"))}).add(owner)
    made = []
    for node in rig.nodes:
        made.append(Handle(node_part(node), np.array(node.at), frozenset(owners[node.id])))
        image = owners.get(f"{node.id}'")
        if image is not None and node.at[1] != 0.0:
            made.append(Handle(node_part(node, image=True), np.array(node.at) * MIRROR, frozenset(image)))
    return tuple(made)


def _flipped(ref: str) -> str:
    return ref.removesuffix("'") if ref.endswith("'") else f"{ref}'"


def _joint_handles(rig: Rig, drawing: Drawing) -> Iterator[Handle]:
    lines = {tube.part.id: tube.points for axle in drawing.axles for tube in axle.tubes if tube.part.kind == "link"}
    for axle in rig.axles:
        for rod in axle.rods:
            link = link_part(axle, rod)
            if link.id in lines:
                for end, at in (("chassis", lines[link.id][0]), ("axle", lines[link.id][-1])):
                    part = joint_part(axle, rod, end)  # type: ignore[arg-type]
                    yield Handle(part, at, frozenset({key_of(part), key_of(link)}))


def paint_handles(
    painter: QPainter, view: View, handles: Iterable[Handle], chosen: Collection[PartRef], style: DrawStyle, pt: float
) -> None:
    """Paint points as squares, the chosen ones filled."""
    taken = {key_of(part) for part in chosen}
    for handle in handles:
        own = key_of(handle.part) in taken
        painter.setBrush(style.colours.accent if own else style.colours.sheet)
        u, v = view.project(handle.at)
        with at_point(painter, QPointF(u, v), pt):
            painter.setPen(pen(style.colours.accent, style.wide if own else style.narrow, 1.0))
            painter.drawRect(QRectF(-HALF, -HALF, 2.0 * HALF, 2.0 * HALF))


def handles_at(handles: Iterable[Handle], view: View, at: QPointF, reach: float) -> tuple[PartRef, ...]:
    """Points within `reach` of a place of a view [mm], the nearest first, among equals the nearest to the viewer."""
    place = np.array([at.x(), at.y()])
    found = [
        (float(np.linalg.norm(view.project(handle.at) - place)), -float(view.depth(handle.at)), handle.part)
        for handle in handles
    ]
    near = sorted((each for each in found if each[0] <= reach), key=lambda each: each[:2])
    return tuple(part for _, _, part in near)
