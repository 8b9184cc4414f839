"""Steered wheels: each turns about its own kingpin axis, which the axle carries."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, sin

import numpy as np
from numpy.typing import ArrayLike

from geometry.motion.carried import kingpin_place, mount_face, side_sign, tire_centre
from geometry.motion.linkage import Floats
from geometry.rig.axle import Axle, Steering
from geometry.rig.layout import MIRROR, Side
from geometry.rig.steer_gear import OnKnuckle
from geometry.rig.turn_law import TurnLaw, kingpin_up, turn_law
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

    Each wheel turns about the upward direction of its own kingpin, left positive; by how much, `turns` says.
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


def knuckle_rows(axle: Axle, steering: Steering, side: Side, arm: OnKnuckle) -> Floats:
    """A place on a knuckle as it turns, axle's frame: rows for 1, cos and sin, shape (3, 3) [mm].

    arm : the place, told as on the left knuckle.
    """
    place = mount_face(axle, "left") + np.array(steering.kingpin)
    rows = _turn(np.subtract(arm, steering.kingpin), kingpin_axis(steering))
    rows[0] += place
    # A turn to the left about the right kingpin is the mirror image of one to the right about the left kingpin.
    return rows if side == "left" else rows * MIRROR * np.array([[1.0], [1.0], [-1.0]])


def turns(law: TurnLaw | None, wheel: ArrayLike, steer: ArrayLike, wider: ArrayLike = 0.0) -> tuple[Floats, ...]:
    """Turn of wheels about their kingpins, and its slopes by steer and by width, each of the common shape.

    Parameters
    ----------
    law : TurnLaw or None
        None = both wheels turn by the steer.
    wheel : array
        +1 = left, −1 = right; 0 = what turns by the steer itself.
    steer : array
        Turn of the wheel on the side that is steered to, left positive [rad].
    wider : array
        Change of width from that of the law [mm].

    """
    wheel, steer, wider = np.broadcast_arrays(*(np.asarray(each, dtype=np.float64) for each in (wheel, steer, wider)))
    if law is None:
        return steer, np.ones_like(steer), np.zeros_like(steer)
    leads = wheel * steer >= 0.0
    turn, rate, by_width = law.outer(np.abs(steer), wider)
    sign = np.sign(steer)
    return np.where(leads, steer, sign * turn), np.where(leads, 1.0, rate), np.where(leads, 0.0, sign * by_width)


def wheel_steer(axle: Axle, side: Side, steer: float) -> float:
    """Turn of one wheel of an axle about its kingpin at a steer [rad]."""
    if steer == 0.0:
        return 0.0
    return float(turns(turn_law(axle), side_sign(side), steer)[0])


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
