"""What all drawing modes share: they snap, show what to, and say why something cannot be done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from msgspec import structs
from PySide6.QtGui import QPainter

from app.canvas.drawing.painting import paint_grid, paint_path, paint_plane, paint_sign, paint_words, spot
from app.canvas.drawing.settings import DrawingSettings
from app.canvas.modes import Pointer
from app.canvas.moving import refusal
from app.canvas.style import DrawStyle
from app.document import Document
from app.edits import change_rig
from app.typeset import minus
from app.units import LengthUnit, format_angle, format_length
from geometry.errors import RigError
from geometry.outline.view import FRONT, SIDE, View
from geometry.rig.parts import Point
from geometry.rig.rig import Rig
from geometry.sketch.lookup import coincide, settled
from geometry.sketch.snapping import Candidates, Snap, candidates, snap


class Snapping:
    """A mode that takes points; what becomes of them is for those that follow it.

    Attributes
    ----------
    name : str
    gridded : bool
        Whether it takes any place, on a grid; else only nodes and bars that are there.
    points : list of Point
        Those taken so far [mm].

    """

    name = ""
    gridded = True

    def __init__(self, document: Document, settings: DrawingSettings) -> None:
        self._document = document
        self._settings = settings
        self._found: tuple[Rig, Candidates] | None = None
        self._pointer: Pointer | None = None
        self._problem = ""
        self._planes: Mapping[str, float] = settings.planes
        self.points: list[Point] = []

    @property
    def words(self) -> str:
        """What comes next, or why the last click or the end was not taken."""
        return self._problem or f"{self.name}: {self.prompt}"

    @property
    def prompt(self) -> str:
        """What comes next."""
        raise NotImplementedError

    def snap_at(self, pointer: Pointer) -> Snap:
        """What a pointer means."""
        depth = self._settings.planes[pointer.view.key]
        at = (pointer.at.x(), pointer.at.y())
        if pointer.free:
            return Snap(settled(pointer.view.unproject(*at, depth)), "free", "")
        last = self.points[-1] if self.points else None
        grid = self._settings.grid if self.gridded else None
        meant = snap(self._candidates(), pointer.view, at, reach=pointer.reach, depth=depth, last=last, grid=grid)
        if meant.kind in {"level", "upright"} and depth != self._planes.get(pointer.view.key):
            # A work plane chosen since the last point says where to go on, though level with that point.
            u, v = pointer.view.project(np.array(meant.point)).tolist()
            return replace(meant, point=settled(pointer.view.unproject(u, v, depth)))
        return meant

    def _candidates(self) -> Candidates:
        rig = self._document.shown_rig
        if self._found is None or self._found[0] is not rig:
            # Ends of links stand before bars; for what is done to bars and nodes they would be in the way.
            self._found = (rig, candidates(rig if self.gridded else structs.replace(rig, axles=())))
        return self._found[1]

    def hover(self, pointer: Pointer | None) -> None:
        """Follow the pointer."""
        self._pointer = pointer

    def click(self, pointer: Pointer) -> None:
        """Take what the pointer means."""
        self._pointer, self._problem = pointer, ""
        self.take(self.snap_at(pointer))
        self._planes = self._settings.planes

    def take(self, meant: Snap) -> None:
        """Take a place."""
        raise NotImplementedError

    def finish(self) -> bool:
        """There is nothing to make an end of."""
        return False

    def back(self) -> bool:
        """Take the last point back."""
        self._problem = ""
        return bool(self.points and self.points.pop())

    def change(self, rig: Rig, text: str) -> None:
        """Make `rig` the document's as one undo step; raises RigError as `change_rig`."""
        change_rig(self._document, rig, text)

    def refuse(self, refused: RigError) -> None:
        """Say why something cannot be done; what was taken so far stays."""
        self._problem = refusal(refused, self._document.unit)

    def say(self, sentence: str) -> None:
        """Say why a click was not taken."""
        self._problem = sentence

    def pointer_words(self, meant: Snap) -> tuple[str, ...]:
        """What stands at the pointer: what it snapped to, way from the last point, and the depth."""
        pointer, unit = self._pointer, self._document.unit
        lines = [f"{meant.words[:1].upper()}{meant.words[1:]}" or "Free"]
        if self.gridded and self.points and pointer is not None and not coincide(self.points[-1], meant.point):
            lines.append(way_words(pointer.view, self.points[-1], meant.point, unit))
        if pointer is not None:
            depth = float(pointer.view.depth(np.array(meant.point)))
            on_plane = abs(depth - self._settings.planes[pointer.view.key]) < unit.in_mm * 1e-3
            lines.append(f"{depth_words(pointer.view, depth, unit)}{', work plane' if on_plane else ''}")
        return tuple(map(minus, lines))

    def paint(self, painter: QPainter, view: View, style: DrawStyle, pt: float) -> None:
        """Paint grid, points so far and what the pointer means."""
        pointer, grid = self._pointer, self._settings.grid
        if grid is not None and self.gridded:
            paint_grid(painter, grid.step, style, pt)
        meant = self.snap_at(pointer) if pointer is not None else None
        self.paint_taken(painter, view, meant, style, pt)
        if pointer is None or meant is None:
            return
        if view is not pointer.view:
            if self.gridded:
                paint_plane(painter, view, pointer.view, self._settings.planes[pointer.view.key], style, pt)
            paint_sign(painter, spot(view, meant.point), meant.kind, style, pt)
            return
        paint_sign(painter, spot(view, meant.point), meant.kind, style, pt)
        words = self.pointer_words(meant)
        if words:
            paint_words(painter, pointer.at, words, style, pt)

    def paint_taken(self, painter: QPainter, view: View, meant: Snap | None, style: DrawStyle, pt: float) -> None:
        """Paint what was taken so far."""
        paint_path(painter, view, self.points, None if meant is None else meant.point, style, pt)


def way_words(view: View, start: Point, end: Point, unit: LengthUnit) -> str:
    """True length and, in a view, angle from one point to another: ``24 1/8 in, 37.5°``; up and right are positive."""
    step = np.subtract(end, start)
    u, v = view.project(step).tolist()
    length = format_length(float(np.linalg.norm(step)), unit)
    if not (u or v):
        return f"{length} long"
    return f"{length} long, {format_angle(float(np.degrees(np.arctan2(-v, u))))}"


def depth_words(view: View, depth: float, unit: LengthUnit) -> str:
    """The coordinate that a view does not show: ``13 3/4 in left of centre``."""
    if view is SIDE:
        if abs(depth) < unit.in_mm * 1e-3:
            return "on the centre plane"
        return f"{format_length(abs(depth), unit)} {'left' if depth > 0.0 else 'right'} of centre"
    return f"{'station' if view is FRONT else 'height'} {format_length(depth, unit)}"
