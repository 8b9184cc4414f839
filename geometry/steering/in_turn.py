"""How a steered wheel stands in a turn: steer, camber, caster, inclination, scrub radius and trail.

Everything at ride height, the axle level, in the terms of ISO 8855 (clauses 7.2): with k the kingpin axis, h the level
direction that the wheel heads and l the level one to its left, caster is the lean of k against h and inclination that
towards the middle of the rig, both as the turned wheel has them; scrub radius and trail lead from the contact centre,
the lowest point of the tilted wheel on its loaded radius, to where k meets the ground there, across and along h.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, hypot

import numpy as np

from geometry.motion.carried import kingpin_place, side_sign
from geometry.motion.steering import at_steer, kingpin_axis, wheel_angles, wheel_steer, wheel_turn
from geometry.rig.axle import Axle
from geometry.rig.layout import MIRROR, Side
from geometry.rig.wheel import tire_dimensions


@dataclass(frozen=True)
class WheelInTurn:
    """One wheel at one steer.

    Attributes
    ----------
    turn : float
        About its kingpin, left positive [rad].
    steer : float
        Of its plane, seen from above, left positive [rad].
    camber, caster, inclination : float
        Top outboard, kingpin's top rearward and inboard positive [rad].
    scrub, trail : float
        Positive where the kingpin meets the ground inboard and ahead of the contact centre [mm].
    rise : float
        What the turn lifts the contact centre by, against straight ahead [mm]; it lifts the rig when negative.

    """

    turn: float
    steer: float
    camber: float
    caster: float
    inclination: float
    scrub: float
    trail: float
    rise: float


def wheel_in_turn(axle: Axle, side: Side, steer: float) -> WheelInTurn | None:
    """A wheel at a steer [rad], as of `TravelPose.steer`; None on an unsteered axle."""
    place = kingpin_place(axle, side)
    if axle.steering is None or place is None:
        return None
    sign, turn = side_sign(side), wheel_steer(axle, side, steer)
    up = kingpin_axis(axle.steering) * (1.0 if side == "left" else MIRROR)
    rows = wheel_turn(axle, side)
    axis = at_steer(rows.axis, turn)
    level = hypot(float(axis[0]), float(axis[1]))
    left = np.array([axis[0] / level, axis[1] / level, 0.0])
    heading = np.array([left[1], -left[0], 0.0])
    # down in the wheel's plane
    down = np.array([axis[0] * axis[2], axis[1] * axis[2], -(level**2)]) / level
    radius = tire_dimensions(axle.tire).loaded_radius
    contact = at_steer(rows.centre, turn) + radius * down
    ground = place + up * ((contact[2] - place[2]) / up[2])
    angles = wheel_angles(axis, side)
    return WheelInTurn(
        turn=turn,
        steer=angles.steer,
        camber=angles.camber,
        caster=atan2(-float(up @ heading), float(up[2])),
        inclination=atan2(-sign * float(up @ left), float(up[2])),
        scrub=sign * float((contact - ground) @ left),
        trail=float((ground - contact) @ heading),
        rise=float(contact[2] - (at_steer(rows.centre, 0.0)[2] - radius)),
    )
