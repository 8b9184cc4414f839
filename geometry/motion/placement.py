"""One axle in one pose, exactly: for drawings, reports and closest points."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from geometry.errors import LinkageError
from geometry.motion.binding import check_travel
from geometry.motion.carried import centre_section, housing_ends, kingpin_place, pinion_tip
from geometry.motion.linkage import AxlePoses, Floats, Linkage, linkage_of, solve
from geometry.motion.pose_map import pose_map
from geometry.motion.steering import at_steer, kingpin_axis, wheel_steer, wheel_turn
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle
from geometry.rig.layout import MIRROR, Side
from geometry.rig.wheel import tire_dimensions

_SIDES: tuple[Side, Side] = ("left", "right")


@dataclass(frozen=True, eq=False)
class PlacedTire:
    """A tire where it is.

    Attributes
    ----------
    side : str
    centre, axis, mount : array, shape (3,)
        Centre [mm]; unit vector along the wheel's axis, pointing left with the wheels straight; centre of the
        wheel-mount face [mm].
    radius, section_width, shoulder_radius : float
        Of the unloaded tire [mm].

    """

    side: Side
    centre: Floats
    axis: Floats
    mount: Floats
    radius: float
    section_width: float
    shoulder_radius: float


@dataclass(frozen=True, eq=False)
class PlacedKingpin:
    """A kingpin axis where it is: a point [mm] and the unit vector up along it, each of shape (3,)."""

    side: Side
    point: Floats
    axis: Floats


@dataclass(frozen=True, eq=False)
class PlacedLeaf:
    """A leaf spring where it is.

    Attributes
    ----------
    side : str
    spring : array, shape (4, 3)
        Fixed eye, the model's two pivots on the seat, shackle's eye [mm].
    shackle : array, shape (2, 3)
        Shackle's eye and pivot [mm].

    """

    side: Side
    spring: Floats
    shackle: Floats


@dataclass(frozen=True, eq=False)
class PlacedAxle:
    """An axle and all that it carries, rig's frame.

    Attributes
    ----------
    axle : str
    pose : TravelPose
    centre, rotation : array, shape (3,) and (3, 3)
        Axle centre [mm] and axle's frame to rig's frame.
    tires : tuple of two PlacedTire
        Left, right.
    rods : tuple of pairs of arrays
        Joint on the chassis and joint on the axle of each rod [mm].
    housing_ends : array, shape (2, 3)
        Left and right tube end [mm].
    centre_section, pinion_tip : array, shape (3,)
        Centre of the ball and of the pinion's mounting face [mm].
    kingpins : tuple of PlacedKingpin
        Left, right; empty on an unsteered axle.
    leaves : tuple of PlacedLeaf
        Left, right; empty on rods.
    residual, give : float
        As in AxlePoses [mm].

    """

    axle: str
    pose: TravelPose
    centre: Floats
    rotation: Floats
    tires: tuple[PlacedTire, PlacedTire]
    rods: tuple[tuple[Floats, Floats], ...]
    housing_ends: Floats
    centre_section: Floats
    pinion_tip: Floats
    kingpins: tuple[PlacedKingpin, ...]
    residual: float
    give: float
    leaves: tuple[PlacedLeaf, ...] = ()

    def to_rig(self, p_axle: Floats) -> Floats:
        """Points of shape (..., 3) from the axle's frame to the rig's [mm]."""
        placed: Floats = self.centre + p_axle @ self.rotation.T
        return placed


def place(axle: Axle, pose: TravelPose, *, mapped: bool = True) -> PlacedAxle:
    """The axle in one pose, closed to CLOSURE.

    Parameters
    ----------
    mapped : bool
        Start from the pose map, which pays from the tenth pose of a linkage on; else the pose is followed from ride
        height.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel, or not to this pose.

    """
    linkage = linkage_of(axle)
    poses = _solved(linkage, pose.left, pose.right, mapped)
    if not poses.converged[0]:
        raise LinkageError(axle.id, f"axle {axle.id} cannot reach this pose", pose.left, pose.right)
    centre, rotation = poses.centre[0], poses.rotation[0]
    rods = zip(linkage.anchors, centre + linkage.arms[:-2] @ rotation.T, strict=True) if axle.rods else ()
    return PlacedAxle(
        axle=axle.id,
        pose=pose,
        centre=centre,
        rotation=rotation,
        tires=(_tire(axle, "left", pose, centre, rotation), _tire(axle, "right", pose, centre, rotation)),
        rods=tuple(rods),
        housing_ends=centre + housing_ends(axle) @ rotation.T,
        centre_section=centre + rotation @ centre_section(axle),
        pinion_tip=centre + rotation @ pinion_tip(axle),
        kingpins=_kingpins(axle, centre, rotation),
        residual=float(poses.residual[0]),
        give=float(poses.give[0]),
        leaves=_leaves(linkage, poses),
    )


def _leaves(linkage: Linkage, poses: AxlePoses) -> tuple[PlacedLeaf, ...]:
    """Both springs in the first of the poses."""
    leaves = linkage.leaves
    if leaves is None:
        return ()
    fixed, shackle = (poses.centre[0] + arms @ poses.rotation[0].T for arms in (linkage.arms[:2], leaves.arms))
    eyes = leaves.eyes
    eyes[:, ::2] = poses.eyes[0].reshape(2, 2)
    ends = zip(_SIDES, linkage.anchors, fixed, shackle, eyes, leaves.pivots, strict=True)
    return tuple(PlacedLeaf(side, np.array(spring), np.array([spring[3], pivot])) for side, *spring, pivot in ends)


@lru_cache(maxsize=256)
def _solved(linkage: Linkage, left: float, right: float, mapped: bool) -> AxlePoses:
    """The one pose of a linkage; kept, for the same poses are drawn at each step of a drag of the width."""
    travels = np.array([left]), np.array([right])
    inside = all(-linkage.droop <= travel <= linkage.bump for travel in (left, right))
    if inside:
        check_travel(linkage)
    away = left != 0.0 or right != 0.0
    return solve(linkage, *travels, pose_map(linkage).start(*travels) if inside and mapped and away else None)


def _tire(axle: Axle, side: Side, pose: TravelPose, centre: Floats, rotation: Floats) -> PlacedTire:
    turn, steer = wheel_turn(axle, side), wheel_steer(axle, side, pose.steer)
    size = tire_dimensions(axle.tire)
    return PlacedTire(
        side=side,
        centre=centre + rotation @ at_steer(turn.centre, steer),
        axis=rotation @ at_steer(turn.axis, steer),
        mount=centre + rotation @ at_steer(turn.mount, steer),
        radius=size.radius,
        section_width=size.section_width,
        shoulder_radius=size.shoulder_radius,
    )


def _kingpins(axle: Axle, centre: Floats, rotation: Floats) -> tuple[PlacedKingpin, ...]:
    if axle.steering is None:
        return ()
    axis = kingpin_axis(axle.steering)
    placed = []
    for side, up in zip(_SIDES, (axis, axis * MIRROR), strict=True):
        point = kingpin_place(axle, side)
        if point is not None:
            placed.append(PlacedKingpin(side, centre + rotation @ point, rotation @ up))
    return tuple(placed)
