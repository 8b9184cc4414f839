"""Measuring between two points."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PySide6.QtGui import QPainter

from app.canvas.drawing.painting import paint_path, paint_words, spot
from app.canvas.drawing.settings import DrawingSettings
from app.canvas.drawing.snapping import Snapping
from app.canvas.moving import place_of
from app.canvas.style import DrawStyle
from app.document import Document
from app.typeset import minus
from app.units import LengthUnit, format_length
from geometry.outline.view import View
from geometry.rig.parts import Point
from geometry.sketch.snapping import Snap


class MeasureMode(Snapping):
    """Takes two points, those that are chosen if two are, and says how far they are apart; changes nothing."""

    name = "Measure"

    def __init__(self, document: Document, settings: DrawingSettings) -> None:
        super().__init__(document, settings)
        self._taken_in: View | None = None
        chosen = [place_of(document.rig, part) for part in document.chosen]
        if len(chosen) == 2:
            self.points = [place for place in chosen if place is not None]

    @property
    def prompt(self) -> str:
        """What comes next, or the distance."""
        if len(self.points) == 2:
            distance, parts = distance_words(self.points, self._document.unit)
            return f"{distance}\n{parts}"
        return "click one point" if not self.points else "click the other point"

    def take(self, meant: Snap) -> None:
        """Take a point; the third one is the first of the next distance."""
        if len(self.points) == 2:
            self.points.clear()
        self.points.append(meant.point)
        self._taken_in = None if self._pointer is None else self._pointer.view

    def finish(self) -> bool:
        """Let the distance go."""
        done = len(self.points) == 2
        if done:
            self.points.clear()
        return done

    def back(self) -> bool:
        """Take the points back, both when they are there."""
        if len(self.points) == 2:
            self.points.clear()
            return True
        return super().back()

    def pointer_words(self, meant: Snap) -> tuple[str, ...]:
        """What stands at the pointer; nothing beside a distance that is complete."""
        return super().pointer_words(meant) if len(self.points) < 2 else ()

    def paint_taken(self, painter: QPainter, view: View, meant: Snap | None, style: DrawStyle, pt: float) -> None:
        """Paint the distance with its words at the middle."""
        if len(self.points) != 2:
            super().paint_taken(painter, view, meant, style, pt)
            return
        paint_path(painter, view, self.points, None, style, pt)
        if view is not self._taken_in:
            return
        middle = (spot(view, self.points[0]) + spot(view, self.points[1])) / 2.0
        paint_words(painter, middle, distance_words(self.points, self._document.unit), style, pt)


def distance_words(ends: Sequence[Point], unit: LengthUnit) -> tuple[str, str]:
    """The distance of two points, and its three parts without signs: along, across and up."""
    one, other = ends
    step = np.abs(np.subtract(other, one)).tolist()
    along, across, up = (format_length(value, unit) for value in step)
    distance = format_length(float(np.linalg.norm(step)), unit)
    return minus(f"{distance} apart"), f"along {along}, across {across}, up {up}"
