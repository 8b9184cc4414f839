"""Moving what is chosen, by drag or by arrow keys."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import count
from math import inf
from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, Qt
from PySide6.QtGui import QPainter

from app.canvas.drawing.painting import paint_sign, spot
from app.canvas.style import DrawStyle
from app.canvas.viewport import Viewport
from app.document import Document
from app.edits import Gesture
from app.typeset import minus
from app.units import LengthUnit, format_length, in_unit
from geometry.errors import RigError
from geometry.motion.travel import RIDE_HEIGHT
from geometry.outline.view import View
from geometry.rig.layout import PartRef
from geometry.rig.parts import Point
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from geometry.sketch.lookup import node_refs, points_of, rod_of, settled
from geometry.sketch.moves import moved
from geometry.sketch.snapping import Snap, candidates, snap

STEPS: Final = {LengthUnit.FRACTION: INCH / 8.0, LengthUnit.INCH: INCH / 10.0, LengthUnit.MM: 1.0}
"""Way of one press of an arrow key, and what a drag keeps to, in each unit [mm]."""

SNAP_REACH: Final = 12.0
"""A point that is dragged snaps to what is this near [pixels]."""

_DIGITS: Final = 6
"""Digits kept of a way [mm]: an eighth of an inch has four."""

_AXES: Final = ("x", "y", "z")
_RUNS = count(1_000_000)
"""Numbers of runs of arrow keys, far from those of the width slider."""


def move_text(parts: tuple[PartRef, ...]) -> str:
    """What the menu calls a move."""
    return f"Move {parts[0].label}" if len(parts) == 1 else f"Move {len(parts)} parts"


def way_words(by: Point, unit: LengthUnit) -> str:
    """The parts of a way that are not zero: ``x +1 1/2 in, z -1/4 in``."""
    steps = [(axis, value) for axis, value in zip(_AXES, by, strict=True) if value]
    if not steps:
        return "not moved"
    return minus(", ".join(f"{axis} {'+' if value > 0.0 else ''}{format_length(value, unit)}" for axis, value in steps))


class MoveTool:
    """Drags what is chosen in the plane of the view; a point that is held snaps, what cannot be is not gone to."""

    cursor = Qt.CursorShape.SizeAllCursor

    def __init__(self, document: Document, view: View, viewport: Viewport, pixel: QPointF) -> None:
        self._document = document
        self._view = view
        self._viewport = viewport
        self._start = pixel
        self._parts = document.chosen
        self._by: Point = (0.0, 0.0, 0.0)
        self._problem = ""
        at_ride_height(document)
        self._gesture = Gesture(document, move_text(self._parts))
        self._found = candidates(self._gesture.base, self._parts)
        self._grabbed = _grabbed(self._gesture.base, self._parts, view, viewport, pixel)
        self._snap: Snap | None = None

    @property
    def words(self) -> str:
        """How far it has been moved and what it snapped to, or why it cannot go where the pointer is."""
        to = f"\n{self._snap.words}" if self._snap is not None else ""
        return self._problem or f"{way_words(self._by, self._document.unit)}{to}"

    def move(self, pixel: QPointF, *, free: bool) -> Viewport | None:
        """Preview the move to the pointer."""
        way = (pixel - self._start) / self._viewport.scale
        self._snap = None if free else self._snapped(way)
        if self._snap is not None and self._grabbed is not None:
            # What the view does not show stays: a point is moved in its own plane.
            u, v = self._view.project(np.subtract(self._snap.point, self._grabbed)).tolist()
            self._by = settled(self._view.unproject(u, v))
        else:
            self._by = stepped(self._view.unproject(way.x(), way.y()), 0.0 if free else STEPS[self._document.unit])
        try:
            self._gesture.preview(moved(self._gesture.base, self._parts, self._by))
        except RigError as refused:
            self._problem = refusal(refused, self._document.unit)
        else:
            self._problem = ""
        return None

    def _snapped(self, way: QPointF) -> Snap | None:
        """What the point that is held would snap to; None when no point is held or nothing is near."""
        if self._grabbed is None:
            return None
        u, v = self._view.project(np.array(self._grabbed)).tolist()
        depth = float(self._view.depth(np.array(self._grabbed)))
        reach = SNAP_REACH / self._viewport.scale
        meant = snap(self._found, self._view, (u + way.x(), v + way.y()), reach=reach, depth=depth)
        return None if meant.kind == "free" else meant

    def paint(self, painter: QPainter, view: View, style: DrawStyle, pt: float) -> None:
        """Paint the sign of what the point snapped to."""
        if self._snap is not None:
            paint_sign(painter, spot(view, self._snap.point), self._snap.kind, style, pt)

    def commit(self) -> None:
        """Make one undo step of it."""
        self._gesture.commit()

    def cancel(self) -> Viewport | None:
        """Back to where it was."""
        self._gesture.cancel()
        return None


def _grabbed(rig: Rig, parts: Iterable[PartRef], view: View, viewport: Viewport, pixel: QPointF) -> Point | None:
    """The chosen node or end of a link that is held at a pixel, the nearest one."""
    start = viewport.to_view(pixel)
    held = []
    for part in parts:
        point = place_of(rig, part)
        if point is not None:
            u, v = view.project(np.array(point)).tolist()
            held.append((QLineF(start, QPointF(u, v)).length(), point))
    gap, point = min(held, default=(inf, None))
    return point if gap <= SNAP_REACH / viewport.scale else None


def place_of(rig: Rig, part: PartRef) -> Point | None:
    """Where a node or an end of a link is; None for other parts."""
    if part.kind == "node":
        return points_of(rig, node_refs(rig, part))[0]
    if part.kind != "joint":
        return None
    _, rod = rod_of(rig, part)
    return rod.chassis if part.id.endswith(".chassis") else rod.axle


class Nudges:
    """Moves of what is chosen by arrow keys; those that follow each other on the same parts are one undo step.

    Attributes
    ----------
    words : str
        How far the run has come, or why it cannot go on; empty between runs.

    """

    def __init__(self, document: Document) -> None:
        self._document = document
        self._run = 0
        self._base = self._reached = document.rig
        self._by: Point = (0.0, 0.0, 0.0)
        self.words = ""
        for signal in (document.selection_changed, document.rig_replaced, document.rig_changed):
            signal.connect(self._look)

    def step(self, view: View, way: QPointF, times: float) -> None:
        """Move by `times` the step of the unit, along one direction of a view."""
        document = self._document
        if document.rig is not self._reached or not self._run:
            at_ride_height(document)
            self._run, self._base, self._by = next(_RUNS), document.rig, (0.0, 0.0, 0.0)
        length = times * STEPS[document.unit]
        x, y, z = (round(old + length * new, _DIGITS) for old, new in zip(self._by, self._lift(view, way), strict=True))
        try:
            self._reached = moved(self._base, document.chosen, (x, y, z))
            gesture = Gesture(document, move_text(document.chosen))
            gesture.preview(self._reached)
        except RigError as refused:
            self._reached = document.rig
            self.words = refusal(refused, document.unit)
            return
        self._by = (x, y, z)
        gesture.commit(self._run)
        self._reached = document.rig
        self.words = way_words(self._by, document.unit)

    def _lift(self, view: View, way: QPointF) -> Point:
        return view.unproject(way.x(), way.y())

    def _look(self) -> None:
        """End the run when something else is chosen or somebody else changed the rig."""
        if self._document.shown_rig is not self._reached:
            self.end()

    def end(self) -> None:
        """Let the next step begin a new run."""
        self._run, self.words = 0, ""


def at_ride_height(document: Document) -> None:
    """Show the axles as drawn when one of their parts is to be moved: the drawing is what changes."""
    moving = {part.id.split(".")[0] for part in document.chosen if part.kind not in {"bar", "panel", "node"}}
    for axle in document.rig.axles:
        if axle.id in moving or any(part.id.startswith(f"{axle.id}.") for part in document.chosen):
            document.set_pose(axle.id, RIDE_HEIGHT)


def stepped(by: Point, step: float) -> Point:
    """A way in whole steps along each axis; as it is where there is no step [mm]."""
    if step <= 0.0:
        return by
    x, y, z = (round(round(value / step) * step, _DIGITS) for value in by)
    return (x, y, z)


def refusal(refused: RigError, unit: LengthUnit) -> str:
    """Why something cannot be done, as a sentence in the unit of the screen."""
    words = minus(in_unit(refused.problem, unit))
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."
