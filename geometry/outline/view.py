"""The three views of the rig, in third-angle projection.

Third angle (ISO 5456-2): each view is drawn on the side from which it looks. The side view looks from the left with
the front of the rig pointing left; the front view, placed to its left, looks from the front, so that the rig's left
lies on the viewer's right; the top view, placed above it, looks from above with the front pointing left.

View coordinates are (u, v): u to the viewer's right, v **down**, as on screen and paper, in mm of the rig.
Worked case: a point 100 forward, 200 left and 300 up is at (-100, -300) in the side view, at (200, -300) in the
front view and at (-100, 200) in the top view.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class View:
    """One orthographic view.

    Attributes
    ----------
    key, title : str
        Short name for settings and tests; what stands on the sheet.
    rightward, downward, nearward : tuple
        Unit vectors in the rig's frame: to the viewer's right, down, and toward the viewer.

    """

    key: str
    title: str
    rightward: tuple[float, float, float]
    downward: tuple[float, float, float]
    nearward: tuple[float, float, float]

    @cached_property
    def axes(self) -> Floats:
        """Matrix that maps points of the rig to view coordinates by ``points @ axes``, shape (3, 2)."""
        return np.array([self.rightward, self.downward]).T

    def project(self, points: Floats) -> Floats:
        """View coordinates (u, v) of points, shape (..., 3) to (..., 2) [mm]."""
        return points @ self.axes

    def unproject(self, u: float, v: float, depth: float = 0.0) -> tuple[float, float, float]:
        """The point of the rig at view coordinates and a height toward the viewer [mm]."""
        x, y, z = (
            u * right + v * down + depth * near
            for right, down, near in zip(self.rightward, self.downward, self.nearward, strict=True)
        )
        return (x, y, z)

    def depth(self, points: Floats) -> Floats:
        """Height of points toward the viewer, shape (..., 3) to (...) [mm]; larger is nearer."""
        depth: Floats = points @ self._near
        return depth

    @cached_property
    def _near(self) -> Floats:
        return np.array(self.nearward)


SIDE: Final = View("side", "Side view", (-1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0))
FRONT: Final = View("front", "Front view", (0.0, 1.0, 0.0), (0.0, 0.0, -1.0), (1.0, 0.0, 0.0))
TOP: Final = View("top", "Top view", (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))

VIEWS: Final = (SIDE, FRONT, TOP)
