"""What is drawn with: tube, bend, mirror, grid, and the work planes that give the depth a view does not show."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from PySide6.QtCore import QObject, Signal

from app.document import Document
from app.units import LengthUnit, format_length
from geometry.outline.view import FRONT, SIDE, TOP, View
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH, tire_dimensions
from geometry.sketch.snapping import Grid

INCH_STEPS: Final = (INCH / 16.0, INCH / 8.0, INCH / 2.0, INCH)
MM_STEPS: Final = (1.0, 5.0, 10.0, 25.0)
"""Steps of the grid that can be chosen [mm]."""

FIRST_STEP: Final = 2
"""Which of the steps is on at first: half an inch, or ten millimetres."""

FIRST_OD: Final = 1.75 * INCH
FIRST_WALL: Final = 0.120 * INCH
"""The tube at first [mm]: the usual one for a cage. Common practice, no source."""


def first_planes(rig: Rig, step: float) -> dict[str, float]:
    """Work planes to start from in each view [mm]: where there is something to draw.

    The centre plane; the middle between the outer axles; the height of the lowest node, and without nodes that of the
    loaded tires' middle. What is not given by nodes keeps to a step [mm].
    """
    stations = [axle.station for axle in rig.axles] or [0.0]
    lowest = min((node.at[2] for node in rig.nodes), default=None)
    if lowest is None:
        hubs = [tire_dimensions(axle.tire).loaded_radius for axle in rig.axles]
        lowest = _rounded(min(hubs, default=0.0), step)
    return {
        SIDE.key: 0.0,
        FRONT.key: _rounded((min(stations) + max(stations)) / 2.0, step),
        TOP.key: lowest,
    }


def _rounded(value: float, step: float) -> float:
    return round(value / step) * step


class DrawingSettings(QObject):
    """What is drawn with, until it is set otherwise; no part of any rig.

    Attributes
    ----------
    od, wall, bend_radius : float
        Of the next tube [mm].
    mirrored : bool
        Whether what is drawn stands on both sides.
    planes : mapping of view key to float
        Work plane of each view: distance left of the centre plane, station, height [mm]; as `first_planes` of the rig
        until it is set.

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
        self._set_planes: dict[str, float] = {}
        self.planes: Mapping[str, float] = MappingProxyType({})
        self._place_planes()
        document.unit_changed.connect(self._follow)
        for signal in (
            document.rig_changed,
            document.undo_stack.indexChanged,
        ):  # the end of a drag says only the latter
            signal.connect(self._follow_rig)

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
        self._set_planes[view.key] = depth
        self._place_planes()
        self.changed.emit()

    def _place_planes(self) -> bool:
        """Put the work planes that were not set where the rig is; whether one of them moved."""
        before, self._rig = self.planes, self._document.rig
        found = {**first_planes(self._rig, self.steps[FIRST_STEP]), **self._set_planes}
        self.planes = MappingProxyType(found)
        return found != before

    def _follow(self) -> None:
        self._place_planes()
        self.changed.emit()

    def _follow_rig(self) -> None:
        """What is only tried out, in a drag, moves nothing."""
        if self._document.rig is not self._rig and self._place_planes():
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
