"""How much of a view a drawing covers, on screen and on paper."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from PySide6.QtCore import QPointF, QRectF

from app.canvas.scene import Drawing, locked_tires
from geometry.outline.silhouette import cylinder_outline
from geometry.outline.view import FRONT, Floats, View

EMPTY = QRectF(-1000.0, -1000.0, 2000.0, 2000.0)
"""Extent of a drawing with nothing in it [mm]."""


def bounds(drawing: Drawing, view: View) -> QRectF:
    """The piece of a view that holds the whole rig with its tires in any displayed or extreme pose [mm]."""
    corners = list(_outlines(drawing, view))
    if not corners:
        return QRectF(EMPTY)
    (left, top), (right, bottom) = (edge(np.vstack(corners), axis=0).tolist() for edge in (np.min, np.max))
    return QRectF(QPointF(left, top), QPointF(right, bottom))


def _outlines(drawing: Drawing, view: View) -> Iterator[Floats]:
    for bar in drawing.chassis.bars:
        yield view.project(bar.points)
    for panel in drawing.chassis.panels:
        yield from (view.project(facet) for facet in panel.facets)
    seen = view is FRONT and drawing.active is not None  # elsewhere they hardly stand out
    locked = locked_tires(drawing.active) if seen and drawing.active is not None else ()
    for tire in (*drawing.extremes, *locked, *(tire for axle in drawing.axles for tire in axle.tires)):
        yield cylinder_outline(tire.solid, view)
