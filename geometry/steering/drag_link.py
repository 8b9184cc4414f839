"""What the drag link does: the pitman arm's turn for a steer, and the steer that it makes as the axle travels.

The link keeps its length ℓ between the ball on the pitman arm, which turns by ψ about its shaft, and the one on the
knuckle, which turns by θ about the kingpin and travels with the axle: `geometry.rig.turn_law.meeting_turn` gives either
for the other. At ride height, straight ahead, both are 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from geometry.motion.carried import side_sign
from geometry.motion.linkage import AxlePoses, linkage_of, solve
from geometry.motion.pose_map import pose_map
from geometry.motion.steer_lock import steer_range
from geometry.motion.steering import at_steer, knuckle_rows, turns, wheel_turn
from geometry.rig.axle import Axle
from geometry.rig.layout import Side
from geometry.rig.steer_check import knuckle_straight
from geometry.rig.steer_gear import DragLink
from geometry.rig.turn_law import meeting_turn, turn_law

Floats = NDArray[np.float64]

SOLVED: Final = 1e-13
"""Steer at which a search for it stops [rad]."""


@dataclass(frozen=True, eq=False)
class BumpSteer:
    """What the axle's travel does to the steering while the pitman arm stands still; n poses.

    Attributes
    ----------
    left, right : array, shape (n,)
        Travels [mm].
    turn : array, shape (n,)
        Of the knuckle that the drag link goes to, about its kingpin, left positive [rad]; nan where it does not reach.
    axle_steer : array, shape (n,)
        Of the axle as a whole, left positive: its roll steer on crossed travels [rad].
    roll : array, shape (n,)
        Of the axle, left side up positive [rad].
    left_wheel, right_wheel : array, shape (n,)
        Steer of the wheels' planes against the rig [rad].

    """

    left: Floats
    right: Floats
    turn: Floats
    axle_steer: Floats
    roll: Floats
    left_wheel: Floats
    right_wheel: Floats


def pitman_turn(axle: Axle, steer: ArrayLike, left: float = 0.0, right: float = 0.0) -> Floats:
    """Turn of the pitman arm about its shaft, towards `shaft_end` seen as a right-handed screw, for steers [rad].

    Shape of `steer`; nan where the link does not reach, and everywhere without a drag link. left, right : travel [mm].
    """
    steer = np.asarray(steer, dtype=np.float64)
    if axle.steering is None or axle.steering.drag_link is None:
        return np.full(steer.shape, np.nan)
    link = axle.steering.drag_link
    side: Side = link.knuckle
    turn = turns(turn_law(axle), side_sign(side), steer)[0]
    rows = knuckle_rows(axle, axle.steering, side, link.arm)
    pose = _poses(axle, np.array([left]), np.array([right]))
    ball = np.stack([np.ones_like(turn), np.cos(turn), np.sin(turn)], axis=-1) @ rows
    placed = pose.centre[0] + ball @ pose.rotation[0].T
    pitman = _pitman_rows(link)
    return _turned(placed, pitman, _length(axle, link), _branch(knuckle_straight(link, axle), pitman))


def pitman_at(axle: Axle, knuckle_ball: Floats) -> Floats | None:
    """Ball on the pitman arm for one on the knuckle, rig's frame, both shape (3,) [mm]; None = it does not reach."""
    if axle.steering is None or axle.steering.drag_link is None:
        return None
    link = axle.steering.drag_link
    rows = _pitman_rows(link)
    turn = _turned(knuckle_ball, rows, _length(axle, link), _branch(knuckle_straight(link, axle), rows))
    return at_steer(rows, float(turn)) if np.isfinite(turn) else None


def steer_ratio(axle: Axle, steer: float) -> float:
    """Turn of the pitman arm for that of the steer, at ride height [-]; nan where there is none."""
    step = 1e-5
    ends = pitman_turn(axle, np.array([steer - step, steer + step]))
    return abs(float(ends[1] - ends[0])) / (2.0 * step)


def bump_steer(axle: Axle, left: ArrayLike, right: ArrayLike, pitman: float = 0.0) -> BumpSteer | None:
    """Steer that travel makes while the pitman arm stands at a turn [rad]; None without a drag link.

    Exact: the axle is solved in each pose and so is the link. Straight travel gives bump steer, crossed travel roll
    steer; a lateral bar of the link's length and slope takes it away.

    Raises
    ------
    LinkageError
        When the axle cannot follow its travel.

    """
    if axle.steering is None or axle.steering.drag_link is None:
        return None
    link, steering = axle.steering.drag_link, axle.steering
    left, right = (np.atleast_1d(each).astype(np.float64) for each in np.broadcast_arrays(left, right))
    poses = _poses(axle, left, right)
    ball = at_steer(_pitman_rows(link), pitman)
    rows = knuckle_rows(axle, steering, link.knuckle, link.arm)
    there = np.einsum("nij,ni->nj", poses.rotation, ball - poses.centre)
    turn = _turned(there, rows, _length(axle, link), _branch(np.array(link.pitman) - _centre(axle), rows))
    steer = np.array([_steer_for(axle, link.knuckle, each) for each in turn.tolist()])
    wheels = []
    for side in ("left", "right"):
        turned = turns(turn_law(axle), side_sign(side), steer)[0]
        axis = np.stack([np.ones_like(turned), np.cos(turned), np.sin(turned)], axis=-1) @ wheel_turn(axle, side).axis
        placed = np.einsum("nij,nj->ni", poses.rotation, axis)
        wheels.append(np.arctan2(-placed[:, 0], placed[:, 1]))
    across = poses.rotation[:, :, 1]
    return BumpSteer(
        left=left,
        right=right,
        turn=turn,
        axle_steer=np.arctan2(-across[:, 0], across[:, 1]),
        roll=np.arctan2(across[:, 2], np.hypot(across[:, 0], across[:, 1])),
        left_wheel=wheels[0],
        right_wheel=wheels[1],
    )


def link_range(axle: Axle, count: int = 41) -> tuple[float, float] | None:
    """Steers right and left within full lock that the drag link drives at every travel looked at; None without one.

    A grid of travels and `count` steers each way [-], so no proof: where the link does not reach, or an arm is on its
    dead centre, the ratio of the turns changes its sign or is not there.
    """
    if axle.steering is None or axle.steering.drag_link is None:
        return None
    low, high = steer_range(axle)
    ends = []
    for lock in (low, high):
        steers = np.linspace(0.0, lock, count)
        driven = np.ones(count, dtype=bool)
        for left, right in ((-axle.droop, -axle.droop), (0.0, 0.0), (axle.bump, axle.bump), (-axle.droop, axle.bump)):
            turn = pitman_turn(axle, steers, left, right)
            step = np.diff(turn, prepend=turn[0] - (turn[1] - turn[0]))
            driven &= np.isfinite(turn) & (np.sign(step) == np.sign(step[0]))
        ends.append(float(steers[-1] if driven.all() else steers[max(int(np.argmin(driven)) - 1, 0)]))
    return ends[0], ends[1]


def _poses(axle: Axle, left: Floats, right: Floats) -> AxlePoses:
    linkage = linkage_of(axle)
    return solve(linkage, left, right, pose_map(linkage).start(left, right))


def _centre(axle: Axle) -> Floats:
    centre: Floats = np.array([axle.station, 0.0, axle.height])
    return centre


def _pitman_rows(link: DragLink) -> Floats:
    """The ball on the pitman arm as it turns, rows for 1, cos and sin, rig's frame, shape (3, 3) [mm]."""
    shaft, ball = np.array(link.shaft), np.array(link.pitman)
    along = np.array(link.shaft_end) - shaft
    along /= np.linalg.norm(along)
    foot = shaft + along * float((ball - shaft) @ along)
    return np.array([foot, ball - foot, np.cross(along, ball - foot)])


def _length(axle: Axle, link: DragLink) -> float:
    return float(np.linalg.norm(knuckle_straight(link, axle) - np.array(link.pitman)))


def _branch(other: Floats, rows: Floats) -> float:
    """Sign of B where both balls are at ride height, straight ahead."""
    return float((other - rows[0]) @ rows[2])


def _turned(other: Floats, rows: Floats, length: float, branch: float) -> Floats:
    """Turn of a ball, by its rows, that is a length from other points, shape (..., 3)."""
    return meeting_turn(other - rows[0], rows[1], rows[2], length, branch)


def _steer_for(axle: Axle, side: Side, turn: float) -> float:
    """The steer at which a wheel turns by an angle, by halving; nan for nan or beyond what the law reaches."""
    law, sign = turn_law(axle), side_sign(side)
    if law is None or sign * turn >= 0.0 or not np.isfinite(turn):
        return turn
    low, high = 0.0, np.radians(law.end())
    if abs(turn) > float(law.outer(high)[0]):
        return float("nan")
    while high - low > SOLVED:
        middle = (low + high) / 2.0
        low, high = (middle, high) if float(law.outer(middle)[0]) < abs(turn) else (low, middle)
    return float(np.copysign((low + high) / 2.0, turn))
