"""How far the rig climbs a ramp with one front wheel while the other three tires stay on the ground.

Ramp travel index = 1000 · distance up the ramp / wheelbase: measured along the slope of 20° from its foot to below the
hub, a convention of clubs and magazines. Told from the height at which a wheel is lifted on the level it is 1000 ·
height / (wheelbase · sin 20°), which comes out higher, for on a slope the tire touches behind its hub.

Both axles stand at the ends of their crossed travel, which the linkage gives. Then the plane of the ground is sought
that the three tires stand on, as discs of loaded radius in the planes of the wheels. Whether springs and balance let
the rig get there is not asked, nor whether anything touches on the way.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin, sqrt
from typing import Final, Literal

import numpy as np

from geometry.errors import LinkageError
from geometry.motion.placement import PlacedTire, place
from geometry.motion.travel import TravelPose
from geometry.plan.amount import Amount, worked_out
from geometry.rig.axle import Axle
from geometry.rig.layout import Floats
from geometry.rig.rig import Rig
from geometry.tolerances import CLOSURE

RAMP_DEG: Final = 20.0
"""Slope of the ramp unless it is said [degrees]: the clubs' convention."""

ROUNDS: Final = 50
"""Most steps of Newton's method for the ground [-]; it takes some five."""


Corner = Literal["left", "right"]
SIDES: Final[tuple[Corner, Corner]] = ("left", "right")


@dataclass(frozen=True, slots=True)
class CornerTravel:
    """One front wheel as high as it gets.

    Attributes
    ----------
    side : str
    lift : Amount
        Height of its tire above the ground on which the others stand [mm].
    up_ramp : Amount
        Distance up the ramp, from its foot to below the hub [mm].
    index, index_by_lift : Amount
        Ramp travel index by either definition [-].

    """

    side: Corner
    lift: Amount
    up_ramp: Amount
    index: Amount
    index_by_lift: Amount


@dataclass(frozen=True, slots=True)
class RampTravel:
    """Ramp travel of both front corners.

    Attributes
    ----------
    ramp_deg : float
        Slope of the ramp [degrees].
    wheelbase : float or None
        Between the axles at ride height [mm]; None = the rig has not got two.
    index : Amount
        The lesser of both corners' [-].

    """

    ramp_deg: float
    wheelbase: float | None
    left: CornerTravel
    right: CornerTravel
    index: Amount


def ramp_index(up_ramp: float, wheelbase: float) -> float:
    """Ramp travel index of a distance up the ramp [-]: 1000 · distance / wheelbase."""
    return 1000.0 * up_ramp / wheelbase


def ramp_index_of_lift(lift: float, wheelbase: float, ramp_deg: float = RAMP_DEG) -> float:
    """Ramp travel index of a wheel lifted by so much [-]: 1000 · height / (wheelbase · sin of the ramp)."""
    return ramp_index(lift / sin(radians(ramp_deg)), wheelbase)


def ramp_travel(rig: Rig, ramp_deg: float = RAMP_DEG) -> RampTravel:
    """Ramp travel at the rig's own widths; unknown for a rig without two axles, or one that cannot cross up."""
    if len(rig.axles) != 2:
        unknown = Amount(None, ("axles",))
        left, right = (CornerTravel(side, unknown, unknown, unknown, unknown) for side in SIDES)
        return RampTravel(ramp_deg, None, left, right, unknown)
    rear, front = sorted(rig.axles, key=lambda axle: axle.station)
    wheelbase = front.station - rear.station
    left, right = (_corner(side, *_lifted(rear, front, side, ramp_deg), wheelbase, ramp_deg) for side in SIDES)
    return RampTravel(ramp_deg, wheelbase, left, right, worked_out(min, left.index, right.index))


def _corner(side: Corner, lift: Amount, up_ramp: Amount, wheelbase: float, ramp_deg: float) -> CornerTravel:
    return CornerTravel(
        side=side,
        lift=lift,
        up_ramp=up_ramp,
        index=up_ramp.turned_into(lambda distance: ramp_index(distance, wheelbase)),
        index_by_lift=lift.turned_into(lambda height: ramp_index_of_lift(height, wheelbase, ramp_deg)),
    )


def _lifted(rear: Axle, front: Axle, side: Corner, ramp_deg: float) -> tuple[Amount, Amount]:
    """Lift of a front wheel and how far up the ramp it is [mm]."""
    try:
        up, down = _tires(front, up=side)
        others = _tires(rear, up="right" if side == "left" else "left")
    except LinkageError as refused:
        unknown = Amount(None, (f"axles/{refused.axle}/rods",))
        return unknown, unknown
    discs = [(down, front.height), *((tire, rear.height) for tire in others)]
    found = _ground([tire for tire, _ in discs], np.array([radius for _, radius in discs]))
    if found is None:
        unknown = Amount(None, (f"axles/{front.id}/rods",))
        return unknown, unknown
    upward, offset = found
    hub = float(upward @ up.centre) - offset
    lift = hub - front.height * _reach(upward, up.axis)
    slope = radians(ramp_deg)
    forward = np.array([1.0, 0.0, 0.0]) - upward[0] * upward
    forward /= np.linalg.norm(forward)
    facing = cos(slope) * upward - sin(slope) * forward
    below = hub - front.height * _reach(facing, up.axis) / cos(slope)
    return Amount(max(lift, 0.0)), Amount(max(below, 0.0) / sin(slope))


def _tires(axle: Axle, *, up: Corner) -> tuple[PlacedTire, PlacedTire]:
    """The tire that is up in the crossed travel, and the other one."""
    pose = TravelPose(axle.bump, -axle.droop) if up == "left" else TravelPose(-axle.droop, axle.bump)
    left, right = place(axle, pose).tires
    return (left, right) if up == "left" else (right, left)


def _reach(normal: Floats, axis: Floats) -> float:
    """How far a disc of radius one reaches against a plane's normal from its centre, by its own axis [-]."""
    return sqrt(max(1.0 - float(normal @ axis) ** 2, 0.0))


def _ground(tires: list[PlacedTire], radius: Floats) -> tuple[Floats, float] | None:
    """The plane that three tires stand on: unit normal, upward, and its distance from the origin along it [mm].

    Newton on n · c − r √(1 − (n · a)²) = offset for every tire, with n's first two entries and the offset unknown.
    """
    centres, axes = np.array([tire.centre for tire in tires]), np.array([tire.axis for tire in tires])
    unknown = np.array([0.0, 0.0, float((centres[:, 2] - radius).mean())])
    for _ in range(ROUNDS):
        upright = 1.0 - unknown[0] ** 2 - unknown[1] ** 2
        if upright <= 0.0:
            return None
        normal = np.array([unknown[0], unknown[1], sqrt(upright)])
        lean = axes @ normal
        reach = np.sqrt(np.maximum(1.0 - lean**2, CLOSURE))
        off = centres @ normal - radius * reach - unknown[2]
        if np.abs(off).max() <= CLOSURE:
            return normal, float(unknown[2])
        by_normal = centres + (radius * lean / reach)[:, None] * axes
        by_two = by_normal[:, :2] - by_normal[:, 2:] * normal[:2] / normal[2]
        slope = np.column_stack([by_two, -np.ones(3)])
        try:
            unknown = unknown - np.linalg.solve(slope, off)
        except np.linalg.LinAlgError:
            return None
    return None
