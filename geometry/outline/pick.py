"""What lies under a point of a view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from geometry.outline.view import Floats
from geometry.rig.layout import PartRef


@dataclass(frozen=True, slots=True)
class Target:
    """The flat image of one part.

    Attributes
    ----------
    part : PartRef
    points : array, shape (k, 2)
        Centre line of a tube, or outline of anything else [mm].
    radius : float
        Half the tube's diameter; 0 for outlines [mm].
    closed : bool
        Whether `points` is an outline whose inside belongs to the part.
    depth : float
        Nearness to the viewer [mm]; larger is nearer.

    """

    part: PartRef
    points: Floats
    radius: float
    closed: bool
    depth: float


class Targets:
    """The parts of one view, to be asked what lies at a point."""

    def __init__(self, targets: Sequence[Target]) -> None:
        self._targets = tuple(targets)
        self._shapes = np.array([_shape(target) for target in targets], dtype=object)
        self._radii = np.array([target.radius for target in targets])
        shapely.prepare(self._shapes)

    def at(self, point: tuple[float, float], reach: float) -> tuple[PartRef, ...]:
        """Parts within `reach` of a point [mm], the best first.

        Tubes come before outlines: an outline covers much of the view and would hide what is drawn across it.
        Among tubes the nearest to the point counts, among equals and among outlines the nearest to the viewer.
        """
        if not self._targets:
            return ()
        gaps = np.maximum(shapely.distance(self._shapes, shapely.Point(point)) - self._radii, 0.0)
        found = [index for index in range(len(self._targets)) if gaps[index] <= reach]
        return tuple(self._targets[index].part for index in sorted(found, key=lambda i: self._rank(i, float(gaps[i]))))

    def within(self, box: tuple[float, float, float, float]) -> tuple[PartRef, ...]:
        """Parts that lie wholly between left, upper, right and lower edge [mm], each once, in their order."""
        whole: dict[PartRef, bool] = {}
        for target, (left, top, right, bottom) in zip(self._targets, shapely.bounds(self._shapes), strict=True):
            fits = (
                left - target.radius >= box[0]
                and top - target.radius >= box[1]
                and right + target.radius <= box[2]
                and bottom + target.radius <= box[3]
            )
            whole[target.part] = fits and whole.get(target.part, True)
        return tuple(part for part, fits in whole.items() if fits)

    def _rank(self, index: int, gap: float) -> tuple[bool, float, float]:
        target = self._targets[index]
        return (target.closed, gap, -target.depth)


def _shape(target: Target) -> shapely.Geometry:
    return shapely.Polygon(target.points) if target.closed else shapely.LineString(target.points)
