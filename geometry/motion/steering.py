"""Steered wheels: each turns about its own kingpin axis, which the axle carries."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, sin

import numpy as np

from geometry.motion.carried import kingpin_place, mount_face, side_sign, tire_centre
from geometry.motion.linkage import Floats
from geometry.rig.axle import Axle, Steering
from geometry.rig.layout import MIRROR, Side
from geometry.rig.turn_law import kingpin_up
from geometry.rig.wheel import tire_dimensions

_ACROSS: Floats = np.array([0.0, 1.0, 0.0])


@dataclass(frozen=True, eq=False)
class WheelTurn:
    """How a wheel turns with the steering, axle's frame; each row goes with 1, cos(steer) and sin(steer).

    Attributes
    ----------
    centre : array, shape (3, 3)
        Centre of the tire [mm].
    mount : array, shape (3, 3)
        Centre of the wheel-mount face [mm].
    axis : array, shape (3, 3)
        Unit vector along the wheel's axis, pointing left with the wheels straight.

    """

    centre: Floats
    mount: Floats
    axis: Floats


@dataclass(frozen=True)
class WheelAngles:
    """How a wheel stands to the frame that its axis is given in.

    Attributes
    ----------
    steer : float
        Left positive [rad].
    camber : float
        Top outboard positive [rad].

    """

    steer: float
    camber: float


@dataclass(frozen=True)
class GroundOffsets:
    """Where the kingpin axis meets the ground, from the contact centre, wheels straight.

    Attributes
    ----------
    scrub : float
        Scrub radius, positive when the axis meets the ground inboard [mm].
    trail : float
        Positive when it meets the ground ahead [mm].

    """

    scrub: float
    trail: float


def kingpin_axis(steering: Steering) -> Floats:
    """Unit vector along the left kingpin axis, pointing up, axle's frame, shape (3,).

    Inclination and caster are its lean in front and in side view: direction (−tan caster, −tan inclination, 1).
    """
    return kingpin_up(steering)


def wheel_turn(axle: Axle, side: Side) -> WheelTurn:
    """The turn of one wheel at the axle's own width; on an unsteered axle only the first rows are not zero.

    Both wheels turn by the same angle about the upward direction of their own kingpin, left positive.
    """
    centre, mount = tire_centre(axle, side), mount_face(axle, side)
    place = kingpin_place(axle, side)
    if axle.steering is None or place is None:
        still = np.zeros((3, 3))
        still[0] = 1.0
        return WheelTurn(centre=still * centre, mount=still * mount, axis=still * _ACROSS)
    axis = kingpin_axis(axle.steering)
    if side == "right":
        axis = axis * MIRROR
    pivot = np.array([place, np.zeros(3), np.zeros(3)])
    return WheelTurn(
        centre=pivot + _turn(centre - place, axis), mount=pivot + _turn(mount - place, axis), axis=_turn(_ACROSS, axis)
    )


def at_steer(rows: Floats, steer: float) -> Floats:
    """One row of a WheelTurn at an angle: rows[0] + rows[1] cos(steer) + rows[2] sin(steer), shape (3,)."""
    turned: Floats = np.array([1.0, cos(steer), sin(steer)]) @ rows
    return turned


def wheel_angles(axis: Floats, side: Side) -> WheelAngles:
    """Steer and camber of a wheel from the unit vector along its axis that points left."""
    return WheelAngles(
        steer=atan2(-float(axis[0]), float(axis[1])), camber=-side_sign(side) * asin(float(np.clip(axis[2], -1.0, 1.0)))
    )


def ground_offsets(axle: Axle) -> GroundOffsets | None:
    """Scrub radius and trail at ride height on the loaded radius; None on an unsteered axle.

    With the kingpin's point at hub height these are o − R tan σ and R tan τ (offset o, loaded radius R, inclination σ,
    caster τ); the formulas are here taken from the axis in space.
    """
    place = kingpin_place(axle, "left")
    if axle.steering is None or place is None:
        return None
    radius = tire_dimensions(axle.tire).loaded_radius
    axis = kingpin_axis(axle.steering)
    ground = place - axis * ((place[2] + radius) / axis[2])
    contact = tire_centre(axle, "left")
    return GroundOffsets(scrub=float(contact[1] - ground[1]), trail=float(ground[0] - contact[0]))


def _turn(arm: Floats, axis: Floats) -> Floats:
    """Rodrigues' formula as rows for 1, cos and sin: along the axis, across it, and their cross product."""
    (x, y, z), (u, v, w) = axis.tolist(), arm.tolist()
    along = u * x + v * y + w * z
    a, b, c = x * along, y * along, z * along
    # Written out, for numpy takes twenty times as long to cross two single vectors, and a drag does so all the time.
    return np.array([[a, b, c], [u - a, v - b, w - c], [y * w - z * v, z * u - x * w, x * v - y * u]])
