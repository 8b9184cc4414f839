"""What can be pointed at in a view of a drawing."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from app.canvas.scene import AxleParts, Chassis, Drawing
from geometry.outline.pick import Target, Targets
from geometry.outline.silhouette import cylinder_outline
from geometry.outline.view import FRONT, Floats, View
from geometry.rig.layout import BarPath


def chassis_targets(chassis: Chassis, view: View) -> Targets:
    """Bars and panels of the chassis."""
    bars = [_tube(bar, view) for bar in chassis.bars]
    panels = [
        Target(panel.part, view.project(facet), panel.radius, closed=True, depth=_depth(facet, view))
        for panel in chassis.panels
        for facet in panel.facets
    ]
    return Targets([*bars, *panels])


def axle_targets(drawing: Drawing, view: View) -> Targets:
    """Tires, links and housings; in the front view those of the axle that it is about."""
    shown = [axle for axle in drawing.axles if view is not FRONT or axle.axle == drawing.active_axle]
    return Targets([target for axle in shown for target in _axle(axle, view)])


def _axle(axle: AxleParts, view: View) -> Iterator[Target]:
    for tire in axle.tires:
        outline = cylinder_outline(tire.solid, view)
        yield Target(tire.part, outline, 0.0, closed=True, depth=_depth(tire.solid.centre, view))
    for tube in axle.tubes:
        yield _tube(tube, view)


def _tube(tube: BarPath, view: View) -> Target:
    return Target(tube.part, view.project(tube.points), tube.radius, closed=False, depth=_depth(tube.points, view))


def _depth(points: Floats, view: View) -> float:
    return float(np.mean(view.depth(points)))
