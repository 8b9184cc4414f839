"""Leaf springs: what the builder tells of the pair that locates an axle, and the arms that follow.

Each spring is taken as the three-link equivalent of SAE HS 788: a rod from each eye to a pivot, and between the pivots
the part of the spring that turns with its seat. With an arm's free length l, from eye to the end of the clamp, the
pivot lies r l from the eye, the rest (1 − r) l in line with the seat. r is the **leaf factor**: 0.75 for a pack of
graduated leaves (each arm bends to a circle), 0.83 for a single leaf of one section (`beam` theory).

With the seat's middle at o, half the clamped length c/2 and the seat's direction d towards an eye at o + v, the free
length follows from |v − (c/2 + (1 − r) l) d| = r l, which is (2r − 1) l² + 2 (1 − r)(w·d) l − |w|² = 0 in
w = v − (c/2) d.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, cos, radians, sin, sqrt
from typing import Annotated, Final, Literal

import numpy as np
from msgspec import Meta, Struct
from numpy.typing import NDArray

from geometry.rig.parts import Length, LengthOrZero, Point

Floats = NDArray[np.float64]

LeafFactor = Annotated[float, Meta(ge=0.6, le=1.0, description="[-]")]
SeatAngle = Annotated[float, Meta(ge=-45.0, le=45.0, description="[degrees]")]
WindUp = Annotated[float, Meta(ge=-20.0, le=20.0, description="[degrees]")]


class LeafSprings(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The two leaf springs that locate an axle; told for the left one, the right one is its mirror image.

    All places are at ride height, in the rig's frame.

    Attributes
    ----------
    fixed_eye : Point
        Centre of the eye that is bolted to the chassis [mm].
    shackle_eye, shackle_pivot : Point
        Centres of the shackle's bolts: in the spring's other eye, and on the chassis [mm].
    seat : Point
        Middle of the pack at its centre bolt [mm]; above the axle's centre = spring over, below = spring under.
    seat_deg : float or None
        The pack at its centre bolt above the level, forward end up positive [degrees]; None = along the line through
        both eyes.
    clamp : float
        Length of the pack that its U-bolts hold straight [mm].
    leaf_factor : float
        Pivot's share of an arm's free length, from the eye [-]: 0.75 for graduated leaves, 0.83 for a single leaf.
    sag : float
        How far the load at ride height has pressed the spring: load over rate [mm]. Common practice, no source.
    width : float
        Of the leaves [mm].
    thickness : float
        Of the whole pack at its centre bolt [mm].
    eye_room, shackle_room : float
        Length at each eye, and at the shackle's pivot, taken up by bushing and bracket, which the check leaves out,
        since they always meet the parts that they are bolted to [mm]. Common practice, no source.
    wind_up_deg : float
        How far torque turns the axle on its springs, forward side up positive [degrees].

    """

    fixed_eye: Point
    shackle_eye: Point
    shackle_pivot: Point
    seat: Point
    seat_deg: SeatAngle | None = None
    clamp: LengthOrZero = 100.0
    leaf_factor: LeafFactor = 0.75
    sag: Length = 100.0
    width: Length = 63.5
    thickness: Length = 45.0
    eye_room: LengthOrZero = 75.0
    shackle_room: LengthOrZero = 50.0
    wind_up_deg: WindUp = 0.0


SpringBolt = Literal["fixed_eye", "shackle_eye", "shackle_pivot"]
BOLTS: Final[Mapping[SpringBolt, str]] = {
    "fixed_eye": "fixed eye",
    "shackle_eye": "shackle's bolt in the spring",
    "shackle_pivot": "shackle's bolt on the chassis",
}
"""Bolts of a spring, and what they are called."""


@dataclass(frozen=True)
class LeafArm:
    """One half of a spring in side view.

    Attributes
    ----------
    free : float
        Length from eye to the end of the clamp [mm].
    pivot : (x, z)
        Where the equivalent rod is hinged to the seat, rig's frame at ride height [mm].
    bend : float
        Angle between the rod and the seat's line [rad].

    """

    free: float
    pivot: tuple[float, float]
    bend: float


def seat_angle(springs: LeafSprings) -> float:
    """The pack at its centre bolt above the level, forward end up positive [rad]."""
    if springs.seat_deg is not None:
        return radians(springs.seat_deg)
    (x, _, z), (u, _, w) = springs.fixed_eye, springs.shackle_eye
    return atan2(z - w, x - u) if x > u else atan2(w - z, u - x)


def leaf_arms(springs: LeafSprings) -> tuple[LeafArm, LeafArm]:
    """The arm to the fixed eye and the one to the shackle."""
    lean = seat_angle(springs)
    forward = np.array([cos(lean), sin(lean)])
    towards = 1.0 if springs.fixed_eye[0] > springs.shackle_eye[0] else -1.0
    return (
        _arm(springs, springs.fixed_eye, towards * forward),
        _arm(springs, springs.shackle_eye, -towards * forward),
    )


def _arm(springs: LeafSprings, eye: Point, along: Floats) -> LeafArm:
    seat, r = np.array([springs.seat[0], springs.seat[2]]), springs.leaf_factor
    way = np.array([eye[0], eye[2]]) - seat
    rest = way - springs.clamp / 2.0 * along
    half = (1.0 - r) * float(rest @ along)
    free = (sqrt(half**2 + (2.0 * r - 1.0) * float(rest @ rest)) - half) / (2.0 * r - 1.0)
    pivot = seat + (springs.clamp / 2.0 + (1.0 - r) * free) * along
    rod = seat + way - pivot
    bend = atan2(float(along[0] * rod[1] - along[1] * rod[0]), float(along @ rod))
    return LeafArm(free=free, pivot=(float(pivot[0]), float(pivot[1])), bend=bend)
