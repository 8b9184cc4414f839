"""What lies under the pointer in one view, and what a box encloses."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QPointF, QRectF

from app.canvas.handles import HALF, Handle, handles_at, shown_handles
from app.canvas.live import LiveDrawing
from app.canvas.scene import Chassis, Drawing
from app.canvas.targets import axle_targets, chassis_targets
from geometry.outline.pick import Targets
from geometry.outline.view import SIDE, View
from geometry.rig.layout import PartRef

GRIP: Final = HALF + 4.0
"""A drag takes hold of a shown point that is this near [pixels]: its square and a few pixels around it."""

POINTS: Final = frozenset({"node", "joint"})
"""Kinds of parts that are points."""

_OUTLINES: Final = ("tire", "panel")


class Pointing:
    """Knows where the parts are in a view; looks again when the drawing changed.

    Attributes
    ----------
    every_node : bool
        Whether all nodes are shown, and can be picked, not only those of what is chosen.

    """

    def __init__(self, live: LiveDrawing, view: View) -> None:
        self._live = live
        self._view = view
        self._chassis: tuple[Chassis, Targets] | None = None
        self._axles: tuple[Drawing, Targets] | None = None
        self._handles: tuple[tuple[object, ...], tuple[Handle, ...]] | None = None
        self.every_node = False

    def handles(self) -> tuple[Handle, ...]:
        """The points that are shown."""
        document, drawing, nodes = self._live.document, self._live.drawing, self._live.nodes
        key = (nodes, drawing.axles, document.chosen, self.every_node)
        if self._handles is None or self._handles[0] != key:
            rig, chosen = document.shown_rig, document.chosen
            self._handles = (key, shown_handles(nodes, rig, drawing, chosen, every_node=self.every_node))
        return self._handles[1]

    def parts_at(self, at: QPointF, reach: float) -> tuple[PartRef, ...]:
        """Parts within `reach` of a place [mm], the best first: points, tubes and links, then tires, then panels."""
        place = (at.x(), at.y())
        found = [*self._chassis_targets().at(place, reach), *self._axle_targets().at(place, reach)]
        found.sort(key=lambda part: part.kind in _OUTLINES and 1 + _OUTLINES.index(part.kind))
        return (*handles_at(self.handles(), self._view, at, reach), *found)

    def held_at(self, at: QPointF, reach: float) -> tuple[PartRef, ...]:
        """Points that are shown within `reach` of a place [mm], the nearest first."""
        return handles_at(self.handles(), self._view, at, reach)

    def parts_in(self, box: QRectF) -> tuple[PartRef, ...]:
        """Parts that lie wholly in a box [mm]."""
        corners = (box.left(), box.top(), box.right(), box.bottom())
        spots = ((handle.part, self._view.project(handle.at).tolist()) for handle in self.handles())
        points = [part for part, spot in spots if box.contains(QPointF(*spot))]
        return (*self._chassis_targets().within(corners), *self._axle_targets().within(corners), *points)

    def tire_at(self, at: QPointF) -> PartRef | None:
        """The tire at a place that can be dragged sideways in this view."""
        if self._view is SIDE:
            return None
        inside = self._axle_targets().at((at.x(), at.y()), 0.0)
        return next((part for part in inside if part.kind == "tire"), None)

    def _chassis_targets(self) -> Targets:
        chassis = self._live.drawing.chassis
        if self._chassis is None or self._chassis[0] is not chassis:
            self._chassis = (chassis, chassis_targets(chassis, self._view))
        return self._chassis[1]

    def _axle_targets(self) -> Targets:
        drawing = self._live.drawing
        if self._axles is None or self._axles[0] is not drawing:
            self._axles = (drawing, axle_targets(drawing, self._view))
        return self._axles[1]


class Turns:
    """Which of the parts under the pointer a click takes: the best, and on the same place each other one in turn."""

    def __init__(self) -> None:
        self._taken: tuple[PartRef, ...] = ()
        self._pixel = QPointF()

    def next(self, parts: Sequence[PartRef], selected: object, pixel: QPointF, slack: float) -> PartRef:
        """The part to take of some, the best first; another one than what is selected, if there is another.

        Parameters
        ----------
        slack : float
            Clicks this near to each other are on the same place [pixels].

        """
        same = (pixel - self._pixel).manhattanLength() <= slack and self._taken[-1:] == (selected,)
        taken = self._taken if same else ()
        left = [part for part in parts if part not in taken and part != selected]
        if not left:  # all had their turn
            taken, left = (), [part for part in parts if part != selected] or list(parts)
        if not taken and isinstance(selected, PartRef):
            taken = (selected,)
        self._taken, self._pixel = (*taken, left[0]), pixel
        return left[0]
