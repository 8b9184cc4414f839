"""Points that mean the same place: found by a grid, so that twenty thousand of them take no time."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from math import dist, floor

Point = tuple[float, float, float]


class Places:
    """Points, each of which stands for all those that came within reach of it later.

    Attributes
    ----------
    points : list of points
        The first that came to each place, unmoved [mm].
    farthest : float
        Largest distance over which a later one was taken to a place [mm].
    taken : int
        How many later ones lay elsewhere than their place.

    """

    def __init__(self, reach: float) -> None:
        self._reach = reach
        self._cells: dict[tuple[int, int, int], list[int]] = {}
        self.points: list[Point] = []
        self.farthest = 0.0
        self.taken = 0

    def add(self, point: Point) -> int:
        """The number of the place that the point belongs to, a new one if none is within reach."""
        found = self.find(point)
        if found is None:
            return self.put(point)
        apart = dist(self.points[found], point)
        self.taken += apart > 0.0
        self.farthest = max(self.farthest, apart)
        return found

    def put(self, point: Point) -> int:
        """The number of a new place, whatever is within reach."""
        self._cells.setdefault(self._cell(point), []).append(len(self.points))
        self.points.append(point)
        return len(self.points) - 1

    def find(self, point: Point) -> int | None:
        """The number of the nearest place within reach; None = there is none."""
        near = [index for index in self._around(point) if dist(self.points[index], point) <= self._reach]
        return min(near, key=lambda index: dist(self.points[index], point), default=None)

    def _around(self, point: Point) -> Iterator[int]:
        x, y, z = self._cell(point)
        for i, j, k in product((-1, 0, 1), repeat=3):
            yield from self._cells.get((x + i, y + j, z + k), ())

    def _cell(self, point: Point) -> tuple[int, int, int]:
        x, y, z = (floor(value / self._reach) for value in point)
        return x, y, z
