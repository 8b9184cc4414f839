"""Ways through the travel, and the poses on them: where the axle goes, and where it cannot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Final

import numpy as np

from app.curves.quantity import Against, Flags, Floats
from geometry.errors import LinkageError
from geometry.motion.linkage import AxlePoses, Linkage, linkage_of, solve
from geometry.motion.pose_map import pose_map
from geometry.motion.steer_lock import steer_range
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle
from geometry.stroke.spans import spans_of
from geometry.stroke.travel_set import travel_set

ON_WAY: Final = 0.5
"""Travel within which a pose counts as on a way [mm]: less than a mark on any stop."""


@dataclass(frozen=True, eq=False)
class Poses:
    """n poses of one axle, solved.

    Attributes
    ----------
    left, right, steer : array, shape (n,)
        [mm], [rad]
    by_left, by_right : array, shape (n,)
        Change of both travels along the way [-].
    solved : AxlePoses
    reached : array of bool, shape (n,)
        The linkage closes there, and shocks, stops and straps let go as far.
    problem : str
        Why the linkage cannot follow all of its travel; empty = it can.

    """

    left: Floats
    right: Floats
    steer: Floats
    by_left: Floats
    by_right: Floats
    solved: AxlePoses
    reached: Flags
    problem: str

    def travels(self) -> tuple[TravelPose, ...]:
        """The poses that are reached."""
        rows = np.column_stack([self.left, self.right, self.steer])[self.reached]
        return tuple(TravelPose(*row) for row in rows.tolist())

    def spread(self, values: Floats | Sequence[float | None]) -> Floats:
        """Values of the poses that are reached over all poses, shape (n,); NaN elsewhere and for None."""
        spread = np.full(len(self.left), np.nan)
        spread[self.reached] = np.array(values, dtype=np.float64)
        return spread

    @property
    def closed(self) -> AxlePoses:
        """The solved poses that are reached."""
        return AxlePoses(**{each.name: getattr(self.solved, each.name)[self.reached] for each in fields(self.solved)})

    @property
    def nothing(self) -> Floats:
        """No value in any pose."""
        return np.full(len(self.left), np.nan)


def span_of(axle: Axle, against: Against) -> tuple[float, float]:
    """Ends of a way: travel [mm], of the left wheel where crossed, or steer [rad]."""
    return steer_range(axle) if against == "steer" else (-axle.droop, axle.bump)


def travels_at(axle: Axle, against: Against, at: Floats) -> tuple[Floats, Floats]:
    """Left and right travel at places on a way, shape (n,) [mm].

    Crossed, one wheel is up by as much of its bump as the other one is down of its droop.
    """
    if against == "steer":
        return np.zeros_like(at), np.zeros_like(at)
    if against == "straight":
        return at, at
    return at, at * _fall(axle, at)


def place_on(axle: Axle, against: Against, pose: TravelPose) -> tuple[float, bool]:
    """The place on a way that is nearest to a pose, and whether the pose is on the way."""
    if against == "steer":
        return pose.steer, max(abs(pose.left), abs(pose.right)) <= ON_WAY
    if against == "straight":
        return (pose.left + pose.right) / 2.0, abs(pose.left - pose.right) <= ON_WAY
    low, high = span_of(axle, against)
    both = np.array([pose.left, pose.right])
    nearest, off = 0.0, float(np.linalg.norm(both))
    for end in (low, high):
        corner = np.array(travels_at(axle, against, np.array([end])))[:, 0]
        size = float(corner @ corner)
        share = min(max(float(both @ corner) / size, 0.0), 1.0) if size else 0.0
        apart = float(np.linalg.norm(both - share * corner))
        if apart < off:
            nearest, off = share * end, apart
    return nearest, off <= ON_WAY


def pose_at(axle: Axle, against: Against, at: float, before: TravelPose) -> TravelPose:
    """The pose at a place of a way, with all that the way does not say as it was before."""
    if against == "steer":
        return TravelPose(before.left, before.right, at)
    left, right = travels_at(axle, against, np.array([at]))
    return TravelPose(float(left[0]), float(right[0]), before.steer)


def places(axle: Axle, against: Against, count: int) -> Floats:
    """About count places along a way, with both of its ends and with ride height, or straight ahead."""
    low, high = span_of(axle, against)
    if high <= low:
        return np.zeros(1)
    below = min(max(round((count - 1) * -low / (high - low)), 1 if low < 0.0 else 0), count - 1)
    under = np.linspace(low, 0.0, below + 1)[:-1]
    over = np.linspace(0.0, high, max(count - below, 2 if high > 0.0 else 1))
    return np.concatenate([under, over])


def poses_at(axle: Axle, against: Against, at: Floats) -> Poses:
    """The poses at places of a way."""
    left, right = travels_at(axle, against, at)
    steer = at if against == "steer" else np.zeros_like(at)
    return _solved(axle, against, left, right, steer)


def poses_of(axle: Axle, against: Against, poses: Sequence[TravelPose]) -> Poses:
    """Any poses; the way says along what they change."""
    left, right, steer = np.array([(each.left, each.right, each.steer) for each in poses], dtype=np.float64).T
    return _solved(axle, against, left, right, steer)


def _solved(axle: Axle, against: Against, left: Floats, right: Floats, steer: Floats) -> Poses:
    linkage = linkage_of(axle)
    solved = solve(linkage, left, right)
    kept, problem = _kept(axle, linkage, left, right)
    ones, zeros = np.ones_like(left), np.zeros_like(left)
    by_left = zeros if against == "steer" else ones
    by_right = {"straight": ones, "steer": zeros}.get(against)
    if by_right is None:
        by_right = _fall(axle, left)
    return Poses(left, right, steer, by_left, by_right, solved, solved.converged & kept, problem)


def _kept(axle: Axle, linkage: Linkage, left: Floats, right: Floats) -> tuple[Flags, str]:
    """Which poses shocks, stops and straps leave; without a proved travel nobody knows, and then all of them."""
    try:
        pose_map(linkage)
        return travel_set(linkage, spans_of(axle)).holds(left, right), ""
    except LinkageError as error:
        return np.ones(len(left), dtype=np.bool_), str(error)


def _fall(axle: Axle, left: Floats) -> Floats:
    """Change of the right travel per left travel on the crossed way [-]."""
    if not axle.bump or not axle.droop:
        return np.zeros_like(left)
    return np.where(left < 0.0, -axle.bump / axle.droop, -axle.droop / axle.bump)
