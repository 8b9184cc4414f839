"""How far the wheels steer: to the stop, to the end of the ram's stroke, or to what the shafts' joints bear.

The joint of a steered axle's shaft sits on the kingpin. Its working angle is that between the axle's y axis and the
wheel's, which the turn θ about the kingpin k makes: cos β = cos θ + k_y² (1 − cos θ).

The ram slides along y on the axle, its rod's eye tied by a link of fixed length to a ball on the steering arm. With the
ball at (x, y, z) from the eye's place straight ahead and the link's length l the rod has gone y ∓ √(l² − x² − z²).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import acos, cos, degrees, radians
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from geometry.motion.carried import side_sign
from geometry.motion.steering import knuckle_rows, turns
from geometry.rig.axle import Axle
from geometry.rig.layout import Side
from geometry.rig.turn_law import kingpin_up, turn_law

Floats = NDArray[np.float64]
LockBy = Literal["stop", "ram", "joint"]

ROUNDS: Final = 60
"""Halvings with which a lock is found [-]: to the last digit."""


@dataclass(frozen=True)
class SteerLock:
    """Full lock to one way.

    Attributes
    ----------
    steer : float
        Turn of the wheel on the side that is steered to, positive to either side [rad].
    by : str
        What ends it: the steering ``stop``, the stroke of the ``ram``, or the angle of a shaft's ``joint``.

    """

    steer: float
    by: LockBy

    @property
    def steer_deg(self) -> float:
        """The same in degrees."""
        return degrees(self.steer)


def steer_lock(axle: Axle, way: Side) -> SteerLock | None:
    """What ends the steering to one way first; None on an unsteered axle."""
    steering = axle.steering
    if steering is None:
        return None
    sign = side_sign(way)
    stop = radians(steering.lock_left_deg if way == "left" else steering.lock_right_deg)
    lock = SteerLock(stop, "stop")
    if steering.ram is not None and steering.ram.stroke / 2.0 < _farthest(axle, sign * stop):
        half = steering.ram.stroke / 2.0
        lock = SteerLock(_first(lambda steer: _farthest(axle, sign * steer) <= half, lock.steer), "ram")
    if steering.joint_limit_deg is not None:
        limit = radians(steering.joint_limit_deg)
        if shaft_joint_angles(axle, sign * lock.steer).max() > limit:
            lock = SteerLock(
                _first(lambda steer: float(shaft_joint_angles(axle, sign * steer).max()) <= limit, lock.steer), "joint"
            )
    return lock


def steer_range(axle: Axle) -> tuple[float, float]:
    """Steer at full right and full left lock [rad]; both zero on an unsteered axle."""
    right, left = steer_lock(axle, "right"), steer_lock(axle, "left")
    return (0.0, 0.0) if right is None or left is None else (-right.steer, left.steer)


def shaft_joint_angles(axle: Axle, steer: float) -> Floats:
    """Working angle of the left and right shaft's joint at a steer, shape (2,) [rad]; zeros on an unsteered axle."""
    if axle.steering is None:
        return np.zeros(2)
    lean = float(kingpin_up(axle.steering)[1]) ** 2
    both = turns(turn_law(axle), np.array([1.0, -1.0]), steer)[0]
    return np.array([acos(min(1.0, cos(turn) + lean * (1.0 - cos(turn)))) for turn in both.tolist()])


def ram_travel(axle: Axle, steer: ArrayLike, side: Side = "left") -> Floats:
    """Way of the ram's rod from the middle, left positive, as the knuckle of one side moves it [mm].

    Shape of `steer`; nan where its link does not reach, and everywhere without a ram.
    """
    steer = np.asarray(steer, dtype=np.float64)
    if axle.steering is None or axle.steering.ram is None:
        return np.full(steer.shape, np.nan)
    ram, sign = axle.steering.ram, side_sign(side)
    rows = knuckle_rows(axle, axle.steering, side, ram.arm)
    turn = turns(turn_law(axle), sign, steer)[0]
    ball = np.stack([np.ones_like(turn), np.cos(turn), np.sin(turn)], axis=-1) @ rows
    straight = rows[0] + rows[1]
    eye = np.array([ram.forward, sign * ram.eyes / 2.0, ram.up])
    apart = straight - eye
    length2 = float(apart @ apart)
    with np.errstate(invalid="ignore"):
        along = np.sqrt(length2 - (ball[..., 0] - eye[0]) ** 2 - (ball[..., 2] - eye[2]) ** 2)
    moved: Floats = ball[..., 1] - eye[1] - np.copysign(along, apart[1])
    return moved


def _farthest(axle: Axle, steer: float) -> float:
    """Longest way of the ram's rod that either knuckle asks for at a steer [mm]; infinite where a link fails."""
    ways = np.abs([float(ram_travel(axle, steer, "left")), float(ram_travel(axle, steer, "right"))])
    return float(ways.max()) if np.isfinite(ways).all() else np.inf


def _first(allowed: Callable[[float], bool], refused: float) -> float:
    """Steer from 0 up at which what is allowed ends, from its safe side for whoever covers every pose: just beyond."""
    good = 0.0
    for _ in range(ROUNDS):
        middle = (good + refused) / 2.0
        if allowed(middle):
            good = middle
        else:
            refused = middle
    return refused
