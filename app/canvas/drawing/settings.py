"""What is drawn with: tube, bend, mirror, grid, and the work planes that give the depth a view does not show."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from PySide6.QtCore import QObject, Signal

from app.document import Document
from app.units import LengthUnit, format_length
from geometry.outline.view import VIEWS, View
from geometry.rig.wheel import INCH
from geometry.sketch.snapping import Grid

INCH_STEPS: Final = (INCH / 16.0, INCH / 8.0, INCH / 2.0, INCH)
MM_STEPS: Final = (1.0, 5.0, 10.0, 25.0)
"""Steps of the grid that can be chosen [mm]."""

FIRST_STEP: Final = 2
"""Which of the steps is on at first: half an inch, or ten millimetres."""

FIRST_OD: Final = 1.75 * INCH
FIRST_WALL: Final = 0.120 * INCH
"""The tube at first [mm]: the usual one for a cage. Common practice, no source."""


class DrawingSettings(QObject):
    """What is drawn with, until it is set otherwise; no part of any rig.

    Attributes
    ----------
    od, wall, bend_radius : float
        Of the next tube [mm].
    mirrored : bool
        Whether what is drawn stands on both sides.
    planes : mapping of view key to float
        Work plane of each view: distance left of the centre plane, station, height [mm].

    Signals
    -------
    changed

    """

    changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._step: int | None = FIRST_STEP
        self.od = FIRST_OD
        self.wall = FIRST_WALL
        self.bend_radius = 0.0
        self.mirrored = True
        self.planes: Mapping[str, float] = MappingProxyType({view.key: 0.0 for view in VIEWS})
        document.unit_changed.connect(self.changed)

    def set_tube(self, *, od: float | None = None, wall: float | None = None, bend_radius: float | None = None) -> None:
        """Draw with another tube [mm], None = as it is; ValueError with a sentence when there is no such tube."""
        new_od, new_wall = self.od if od is None else od, self.wall if wall is None else wall
        new_bend = self.bend_radius if bend_radius is None else bend_radius
        if new_od <= 0.0:
            raise ValueError("The diameter must be more than zero.")
        if not 0.0 < new_wall <= new_od / 2.0:
            raise ValueError("The wall must be more than zero and at most half the diameter.")
        if new_bend < 0.0:
            raise ValueError("The bend radius cannot be negative; zero is a mitred joint.")
        self.od, self.wall, self.bend_radius = new_od, new_wall, new_bend
        self.changed.emit()

    def set_mirrored(self, mirrored: bool) -> None:
        """Draw on both sides, or on one."""
        self.mirrored = mirrored
        self.changed.emit()

    def set_plane(self, view: View, depth: float) -> None:
        """Draw on another work plane in a view [mm]."""
        self.planes = MappingProxyType({**self.planes, view.key: depth})
        self.changed.emit()

    @property
    def steps(self) -> tuple[float, ...]:
        """Steps of the grid in the unit of the screen [mm]."""
        return MM_STEPS if self._document.unit is LengthUnit.MM else INCH_STEPS

    @property
    def step(self) -> int | None:
        """Which of the steps is on; None = no grid."""
        return self._step

    def set_step(self, step: int | None) -> None:
        """Turn another step of the grid on, or the grid off."""
        self._step = step
        self.changed.emit()

    @property
    def grid(self) -> Grid | None:
        """The grid that is on."""
        if self._step is None:
            return None
        step = self.steps[self._step]
        return Grid(step, f"{self.step_words(self._step)} grid")

    def step_words(self, step: int) -> str:
        """What a step is called: ``1/2 in``."""
        words = format_length(self.steps[step], self._document.unit)
        return words.replace(".0 mm", " mm").replace(".500 in", ".5 in").replace(".000 in", " in")
