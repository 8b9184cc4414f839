"""The rail pocket: the gap, seen from above, between the outermost tube and the tire's inner face.

A stump or a rock that is narrower than the pocket can lodge in it, between the rail and a tire that comes up behind.
The outermost tube is that which reaches farthest out between the axles, no higher than the top of the tire. Wheels
stand straight ahead, at ride height.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from geometry.plan.amount import Amount, worked_out
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef, Side, bar_paths
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions, track_width


@dataclass(frozen=True, slots=True)
class Rail:
    """The outermost tube on one side: how far out its outside is [mm], and where [mm] it is so first seen from behind.

    With nothing there `part` and `at` are None and `reach` is unknown.
    """

    side: Side
    reach: Amount
    part: PartRef | None
    at: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class SidePocket:
    """The pocket on one side [mm], and the tube that bounds it. At or below zero the tube covers the inner face."""

    rail: Rail
    gap: Amount


@dataclass(frozen=True, slots=True)
class RailPocket:
    """Rail pockets of one axle.

    Attributes
    ----------
    tire_face : float
        Centre plane to the tire's inner face [mm].
    left, right : SidePocket
    gap : Amount
        The larger of both [mm].

    """

    axle: str
    tire_face: float
    left: SidePocket
    right: SidePocket
    gap: Amount

    @property
    def governing(self) -> SidePocket:
        """The side with the larger pocket; the left one where they are equal or unknown."""
        left, right = self.left.gap.value, self.right.gap.value
        return self.right if left is not None and right is not None and right > left else self.left


def rail_pocket(rig: Rig, axle: Axle) -> RailPocket:
    """Rail pockets of an axle at its own width."""
    face = (track_width(axle.width, axle.wheel) - tire_dimensions(axle.tire).section_width) / 2.0
    left, right = (
        SidePocket(rail, rail.reach.turned_into(lambda reach: face - reach)) for rail in outermost_rails(rig, axle)
    )
    return RailPocket(axle.id, face, left, right, worked_out(max, left.gap, right.gap))


def outermost_rails(rig: Rig, axle: Axle) -> tuple[Rail, Rail]:
    """The outermost tube on the left and on the right of an axle's tires; the width is not part of it."""
    stations = [other.station for other in rig.axles]
    low, high = (min(stations), max(stations)) if len(stations) > 1 else (-np.inf, np.inf)
    top = axle.height + tire_dimensions(axle.tire).radius
    found = list(_reaching(rig, low, high, top))
    return _outermost("left", found), _outermost("right", found)


def _outermost(side: Side, found: list[tuple[PartRef, float, tuple[float, float, float]]]) -> Rail:
    sign = 1.0 if side == "left" else -1.0
    reaches = [(sign * at[1] + radius, part, at) for part, radius, at in found if sign * at[1] > 0.0]
    if not reaches:
        return Rail(side, Amount(None, ("bars",)), None, None)
    reach, part, at = max(reaches, key=lambda each: (each[0], -each[2][0]))
    return Rail(side, Amount(reach), part, at)


def _reaching(
    rig: Rig, low: float, high: float, top: float
) -> Iterator[tuple[PartRef, float, tuple[float, float, float]]]:
    """Tube, its radius, and both ends of every straight, cut to the stations and heights that count [mm]."""
    for path in bar_paths(rig):
        for start, end in pairwise(path.points):
            first, last = 0.0, 1.0
            for axis, least, most in ((0, low, high), (2, -np.inf, top)):
                leg = float(end[axis] - start[axis])
                if leg == 0.0:
                    first = first if least <= start[axis] <= most else np.inf
                    continue
                cuts = sorted(float(limit - start[axis]) / leg for limit in (least, most))
                first, last = max(first, cuts[0]), min(last, cuts[1])
            if first <= last:
                for share in (first, last):
                    x, y, z = (float(value) for value in start + share * (end - start))
                    yield path.part, path.radius, (x, y, z)
