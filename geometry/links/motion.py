"""About what an axle moves: its pose, its instant centre, its roll centre and roll axis, at any pose of the travel.

Both velocities of the axle, of its centre v and about it ω, follow from the linkage's own derivatives for any rates of
travel; nothing is drawn on paper, so that every layout of rods is treated alike.

* Straight motion (both stops up at one rate) stands still in side view at the **instant centre**, in the rig's centre
  plane. The **lean** of the line to it from the contact patch is −vₓ / v_z of the patch, which stays finite when the
  instant centre runs away.
* Roll (one stop up, the other down at one rate) has its **roll centre** in the transverse plane through the axle's
  centre, at the height at which a point of the centre plane has no sideways velocity: v_y / ωₓ above it. A sideways
  force on the chassis there does not roll it (virtual work). Such points make up the **roll axis**, of slope ω_z / ωₓ,
  and as the axle rolls it steers by that slope: **roll steer**. With a lateral bar the roll centre is where the bar's
  line crosses the centre plane.

Heights count from the ground under the tires in the same pose: loaded radius below the axle's centre. Definitions of
instant centre and roll axis as in D. C. Barton and J. D. Fieldhouse, Automotive Chassis Engineering, and in SAE texts
on the four-link axle, whose construction by converging pairs gives the same points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import atan

import numpy as np

from geometry.errors import LinkageError
from geometry.motion.extremes import CarriedForms, Cells, Extremes, Quantity, extremes, whole_travel
from geometry.motion.forms import Form, bearing
from geometry.motion.linkage import AxlePoses, Floats, Linkage, Place, jacobian, linkage_of, solve, travel_rates
from geometry.motion.pose_map import pose_map
from geometry.motion.travel import TravelBox, TravelPose
from geometry.rig.axle import Axle
from geometry.rig.pinion import facing, pinion_direction
from geometry.rig.wheel import tire_dimensions
from geometry.tolerances import ANGLE_FOUND, LENGTH_FOUND, STILL


@dataclass(frozen=True, slots=True)
class LinkPose:
    """What the rods make of one pose.

    Attributes
    ----------
    pose : TravelPose
    side_shift : float
        Axle's centre to the left of the centre plane [mm].
    forward_shift : float
        Axle's centre ahead of where it is at ride height [mm]; of a rear axle the wheelbase is shorter by as much, of
        a front axle longer.
    pinion_angle : float
        Pinion above the level [rad].
    steer : float
        Turn of the whole axle seen from above, left positive [rad].
    roll : float
        Left end up positive [rad].
    instant_centre : (x, z) or None
        Ahead of the axle's centre, and above the ground [mm]; None = the axle does not turn as it goes up and down.
    lean : float
        Of the line from the contact patch to the instant centre, upward to the front positive [-].
    roll_centre : float
        Above the ground [mm].
    roll_axis : float
        Of the roll axis above the level, upward to the front positive [rad].
    roll_steer : float
        Turn to the left per roll with the left end up [-].

    """

    pose: TravelPose
    side_shift: float
    forward_shift: float
    pinion_angle: float
    steer: float
    roll: float
    instant_centre: tuple[float, float] | None
    lean: float
    roll_centre: float
    roll_axis: float
    roll_steer: float


@dataclass(frozen=True, slots=True)
class LinkTravel:
    """Proved extremes over a travel; fields as in LinkPose, to LENGTH_FOUND and ANGLE_FOUND."""

    side_shift: Extremes
    forward_shift: Extremes
    pinion_angle: Extremes
    steer: Extremes


def link_poses(axle: Axle, poses: Sequence[TravelPose]) -> tuple[LinkPose, ...]:
    """What the rods make of poses of the travel.

    Raises
    ------
    LinkageError
        When the linkage does not reach one of them.

    """
    if not poses:
        return ()
    linkage = linkage_of(axle)
    solved = solve(linkage, *np.array([(pose.left, pose.right) for pose in poses]).T)
    if not solved.converged.all():
        at = poses[int(np.argmin(solved.converged))]
        raise LinkageError(axle.id, f"axle {axle.id} cannot reach this pose", at.left, at.right)
    straight, rolling = (axle_motion(linkage, solved, 1.0, way) for way in (1.0, -1.0))
    return tuple(
        _pose(axle, pose, (solved.centre[at], solved.rotation[at]), _row(straight, at), _row(rolling, at))
        for at, pose in enumerate(poses)
    )


def link_travel(axle: Axle, boxes: Sequence[TravelBox] | None = None) -> LinkTravel:
    """The extremes over all of the travel, or over boxes of it.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel.

    """
    linkage = linkage_of(axle)
    along = pinion_direction(axle.housing)
    over = whole_travel(linkage) if boxes is None else tuple(boxes)
    return _over(linkage, (float(along[0]), 0.0, float(along[2])), facing(axle.housing), over)


def axle_motion(linkage: Linkage, poses: AxlePoses, left: float, right: float) -> tuple[Floats, Floats]:
    """Velocity of the axle's centre and angular velocity, each of shape (n, 3), at rates of travel [mm/mm, rad/mm]."""
    rows = jacobian(linkage, poses)
    rates = travel_rates(linkage, poses, left, right)
    found: Floats = np.linalg.solve(rows, rates[..., None])[..., 0].astype(np.float64)
    return found[:, :3], found[:, 3:6] / linkage.lever


def is_front(axle: Axle, stations: Sequence[float]) -> bool:
    """Whether an axle lies ahead of the middle of all axles' stations [mm]."""
    return axle.station > 0.5 * (min(stations) + max(stations))


def understeer(roll_steer: float, *, front: bool) -> float:
    """Roll steer as understeer: how far the axle turns out of a bend per roll of the body, positive = understeer [-].

    In a bend to the left the body leans to the right, and the axle under it has its left end down. A rear axle makes
    for understeer when it then turns left, a front axle when it turns right.
    """
    return roll_steer if front else -roll_steer


def _row(motion: tuple[Floats, Floats], at: int) -> tuple[Floats, Floats]:
    return motion[0][at], motion[1][at]


def _pose(
    axle: Axle,
    pose: TravelPose,
    placed: tuple[Floats, Floats],
    straight: tuple[Floats, Floats],
    rolling: tuple[Floats, Floats],
) -> LinkPose:
    centre, rotation = placed
    radius = tire_dimensions(axle.tire).loaded_radius
    pinion = rotation @ pinion_direction(axle.housing)
    patch = straight[0] + np.cross(straight[1], (0.0, -centre[1], -radius))
    speed, spin = rolling
    slope = float(spin[2] / spin[0])
    return LinkPose(
        pose=pose,
        side_shift=float(centre[1]),
        forward_shift=float(centre[0]) - axle.station,
        pinion_angle=float(np.arctan2(pinion[2], facing(axle.housing) * pinion[0])),
        steer=float(np.arctan2(-rotation[0, 1], rotation[1, 1])) + 0.0,  # without a minus sign before zero
        roll=float(np.arctan2(rotation[2, 1], np.hypot(rotation[0, 1], rotation[1, 1]))),
        instant_centre=_instant_centre(straight, float(centre[1]), radius),
        lean=-float(patch[0] / patch[2]),
        roll_centre=radius + float(speed[1] / spin[0]),
        roll_axis=atan(slope),
        roll_steer=slope,
    )


def _instant_centre(straight: tuple[Floats, Floats], aside: float, radius: float) -> tuple[float, float] | None:
    """Where the centre plane, −aside from the axle's centre, stands still in its own plane."""
    (ahead, _, up), (roll, pitch, yaw) = straight
    if abs(pitch) < STILL:
        return None
    return float((up - roll * aside) / pitch), radius - float((ahead + yaw * aside) / pitch)


@lru_cache(maxsize=64)  # a width is dragged above the same linkage
def _over(linkage: Linkage, pinion: Place, forward: float, over: tuple[TravelBox, ...]) -> LinkTravel:
    table = pose_map(linkage)

    def centre(part: int) -> Quantity:
        return lambda cells: CarriedForms(table, cells).point((0.0, 0.0, 0.0)).part(part) - linkage.centre[part]

    def pinion_angle(cells: Cells) -> Form:
        along = CarriedForms(table, cells).direction(pinion)
        return bearing(along.part(2), along.part(0) * forward)

    def steer(cells: Cells) -> Form:
        across = CarriedForms(table, cells).direction((0.0, 1.0, 0.0))
        return bearing(-across.part(0), across.part(1))

    return LinkTravel(
        side_shift=extremes(centre(1), over, LENGTH_FOUND),
        forward_shift=extremes(centre(0), over, LENGTH_FOUND),
        pinion_angle=extremes(pinion_angle, over, ANGLE_FOUND),
        steer=extremes(steer, over, ANGLE_FOUND),
    )
