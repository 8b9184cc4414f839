"""Approach, departure and ramp angle, belly height and axle clearance at ride height on level ground.

Approach is the smallest angle, in side view, between the ground and the line that touches the front tire's loaded
radius and the underside ahead of it; departure the same behind the rear tire. The ramp (breakover) angle is that of the
sharpest crest which passes below: the smallest sum of the angles of two lines, tangent to the rear and to the front
tire, that meet on the underside (40 CFR 86.084-2; the ramp angle of 87/403/EEC). Belly height is the ground to the
lowest bar or panel between the axles; axle clearance the ground to the lowest of centre section and housing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import pi
from typing import Final

import numpy as np

from geometry.plan.amount import Amount
from geometry.rig.axle import Axle
from geometry.rig.layout import Floats, PartRef
from geometry.rig.naming import centre_section_part, housing_part
from geometry.rig.rig import Rig
from geometry.stance.tangents import least_crest, tangent_angle
from geometry.stance.underside import Underside, between, chassis_pieces, hanging_pieces

WALL: Final = pi / 2.0
"""Angle from which the tire itself meets the slope first [rad]: that of a wall."""

Place = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Governed:
    """An angle [rad] or a height [mm], the part that bounds it and where, rig's frame [mm].

    `part` and `at` are None where no part bounds it, as where the tire is the foremost: the angle is then that of a
    wall.
    """

    value: Amount
    part: PartRef | None = None
    at: Place | None = None


@dataclass(frozen=True, slots=True)
class ClearanceAngles:
    """What the rig passes over.

    Attributes
    ----------
    approach, departure, ramp : Governed
        Angles [rad]; `ramp` is the smallest between any two neighbouring axles.
    belly : Governed
        Lowest bar or panel between the outermost axles [mm].
    axles : tuple of Governed
        Clearance under each axle, in the order of the rig's axles [mm].

    """

    approach: Governed
    departure: Governed
    ramp: Governed
    belly: Governed
    axles: tuple[Governed, ...]


def clearance_angles(rig: Rig) -> ClearanceAngles:
    """All of it; unknown where there is no chassis to touch, or no second axle."""
    axles = sorted(rig.axles, key=lambda axle: axle.station)
    chassis, pieces = chassis_pieces(rig), hanging_pieces(rig)
    undrawn = () if len(chassis.part) else ("bars",)
    single = () if len(axles) > 1 else ("axles",)
    unknown = Governed(Amount(None, undrawn))
    alone = Governed(Amount(None, (*undrawn, *single)))
    crests = () if undrawn else tuple(_ramp(pieces, *pair) for pair in pairwise(axles))
    return ClearanceAngles(
        approach=unknown if undrawn else _outward(pieces, axles[-1], 1.0),
        departure=unknown if undrawn else _outward(pieces, axles[0], -1.0),
        ramp=min(crests, key=_value) if crests else alone,
        belly=alone if undrawn or single else _belly(chassis, axles[0].station, axles[-1].station),
        axles=tuple(_axle_clearance(axle) for axle in rig.axles),
    )


def _value(found: Governed) -> float:
    return np.inf if found.value.value is None else found.value.value


def _outward(pieces: Underside, axle: Axle, sign: float) -> Governed:
    """Approach (sign +1) or departure (−1) angle. A piece is bounded by its ends, since it is convex."""
    points, radius = pieces.ends.reshape(-1, 3), np.repeat(pieces.radius, 2)
    ahead = sign * (points[:, 0] - axle.station)
    angles = np.where(ahead > 0.0, tangent_angle(ahead, points[:, 2], axle.height, radius), np.inf)
    best = int(angles.argmin()) if len(angles) else 0
    if not len(angles) or angles[best] >= WALL:
        return Governed(Amount(WALL))
    angle = float(angles[best])
    touched = points[best] + radius[best] * np.array([sign * np.sin(angle), 0.0, -np.cos(angle)])
    return Governed(Amount(angle), pieces.parts[pieces.part[best // 2]], _place(touched))


def _ramp(pieces: Underside, rear: Axle, front: Axle) -> Governed:
    """Ramp angle between two neighbouring axles."""
    base = front.station - rear.station
    reachable = _outside(_outside(between(pieces, rear.station, front.station), rear), front)
    if not len(reachable.part):
        return Governed(Amount(None, ("bars",)))
    ends = reachable.ends[:, :, [0, 2]] - np.array([rear.station, 0.0])
    angles, crests = least_crest(ends, reachable.radius, base, rear.height, front.height)
    best = int(angles.argmin())
    crest = crests[best]
    leg = ends[best, 1] - ends[best, 0]
    length = float(leg @ leg)
    share = float(np.clip((crest - ends[best, 0]) @ leg / length, 0.0, 1.0)) if length > 0.0 else 0.0
    y = reachable.ends[best, 0, 1] * (1.0 - share) + reachable.ends[best, 1, 1] * share
    at = (float(crest[0] + rear.station), float(y), float(crest[1]))
    return Governed(Amount(float(angles[best])), reachable.parts[reachable.part[best]], at)


def _outside(pieces: Underside, axle: Axle) -> Underside:
    """The pieces as far as their balls stick out of the silhouette of an axle's tires."""
    rows: list[int] = []
    kept: list[Floats] = []
    centre = np.array([axle.station, axle.height])
    for row, (ends, radius) in enumerate(zip(pieces.ends, pieces.radius, strict=True)):
        for low, high in _shares_outside(ends[:, [0, 2]] - centre, axle.height - float(radius)):
            rows.append(row)
            kept.append(ends[0] + np.array([[low], [high]]) * (ends[1] - ends[0]))
    return pieces.rows(np.array(rows, dtype=np.intp), np.array(kept).reshape(-1, 2, 3))


def _shares_outside(ends: Floats, radius: float) -> Iterator[tuple[float, float]]:
    """From where to where a straight lies outside of a circle round the origin, as shares of it."""
    leg = ends[1] - ends[0]
    square, along = float(leg @ leg), float(ends[0] @ leg)
    start = float(ends[0] @ ends[0]) - radius * radius
    root = along * along - square * start
    if radius <= 0.0 or (square > 0.0 and root <= 0.0) or (square == 0.0 and start >= 0.0):
        yield (0.0, 1.0)
        return
    if square == 0.0:
        return
    enters, leaves = (-along - root**0.5) / square, (-along + root**0.5) / square
    if enters > 0.0:
        yield (0.0, min(enters, 1.0))
    if leaves < 1.0:
        yield (max(leaves, 0.0), 1.0)


def _belly(chassis: Underside, low: float, high: float) -> Governed:
    inside = between(chassis, low, high)
    if not len(inside.part):
        return Governed(Amount(None, ("bars",)))
    points, radius = inside.ends.reshape(-1, 3), np.repeat(inside.radius, 2)
    heights = points[:, 2] - radius
    best = int(heights.argmin())
    touched = points[best] - np.array([0.0, 0.0, radius[best]])
    return Governed(Amount(float(heights[best])), inside.parts[inside.part[best // 2]], _place(touched))


def _axle_clearance(axle: Axle) -> Governed:
    housing = axle.housing
    ball = housing.centre_radius >= housing.tube_od / 2.0
    below = axle.height - (housing.centre_radius if ball else housing.tube_od / 2.0)
    across = housing.pinion_offset if ball else 0.0
    part = centre_section_part(axle) if ball else housing_part(axle)
    return Governed(Amount(below), part, (axle.station, across, below))


def _place(point: Floats) -> Place:
    x, y, z = (float(value) for value in point)
    return (x, y, z)
