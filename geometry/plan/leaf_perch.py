"""Where a leaf spring's perch is welded to the axle tube, and at which angles.

A perch's seat lies in the line of the pack at its centre bolt, the axle at ride height. On the bench there is no ride
height: there the seat is set against what the axle has itself, its pinion, and on a steered axle its kingpins. With
angles above the level, forward end up positive, the pinion stands at `to_pinion` to the seat whatever way the housing
lies (perch angle = pinion angle − seat angle), and caster, the kingpin's lean from square to the seat, follows alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

from geometry.rig.axle import Axle
from geometry.rig.leaf import seat_angle
from geometry.rig.pinion import facing


@dataclass(frozen=True, slots=True)
class LeafPerch:
    """The left perch; the right one is its mirror image.

    Attributes
    ----------
    at : float
        Its middle to the left of the centre plane, not of the pinion [mm].
    over : bool
        The spring lies over the tube.
    forward : float
        Centre bolt ahead of the axle line [mm].
    height : float
        Tube's skin to the pack's face at the centre bolt [mm].
    seat_angle : float
        Seat above the level at ride height, forward end up positive [rad].
    to_pinion : float
        Pinion's nose up from the seat's line on its side of the axle [rad].
    to_kingpin : float or None
        Kingpin's lean rearward from square to the seat [rad]; None on an unsteered axle.

    """

    at: float
    over: bool
    forward: float
    height: float
    seat_angle: float
    to_pinion: float
    to_kingpin: float | None


def leaf_perch(axle: Axle) -> LeafPerch | None:
    """The perch of an axle's leaf springs; None where there are none."""
    springs = axle.leaf_springs
    if springs is None:
        return None
    x, across, z = springs.seat
    rise, lean = z - axle.height, seat_angle(springs)
    steering = axle.steering
    return LeafPerch(
        at=across,
        over=rise > 0.0,
        forward=x - axle.station,
        height=abs(rise) - springs.thickness / 2.0 - axle.housing.tube_od / 2.0,
        seat_angle=lean,
        to_pinion=radians(axle.housing.pinion_angle_deg) - facing(axle.housing) * lean,
        to_kingpin=None if steering is None else radians(steering.caster_deg) - lean,
    )
