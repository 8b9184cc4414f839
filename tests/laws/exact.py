"""Distances in single poses straight from the rig: exact Newton poses and placed solids, no search tables."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.contact.distance import separation
from geometry.contact.findings import Approach
from geometry.contact.solids import TIE_ROD_ROOM, Pieces, bar_pieces, panel_pieces
from geometry.motion.carried import centre_section, housing_ends, pinion_tip, side_sign
from geometry.motion.linkage import AxlePoses, linkage_of, solve
from geometry.motion.pose_map import pose_map
from geometry.motion.steering import knuckle_rows, turns, wheel_turn
from geometry.rig.axle import Axle
from geometry.rig.layout import MIRROR, Floats, PartRef, Side
from geometry.rig.pinion import pinion_base, pinion_joint
from geometry.rig.rig import Rig
from geometry.rig.turn_law import turn_law
from geometry.rig.wheel import tire_dimensions


@dataclass(frozen=True)
class Placed:
    """A core in n poses: centre and axis of shape (n, 3), half length of shape (n,) or one, radius and skin [mm]."""

    centre: Floats
    axis: Floats
    half_length: Floats | float
    radius: float
    skin: float

    def rows(self, which: NDArray[np.intp]) -> Placed:
        """Some of the poses."""
        half = np.broadcast_to(self.half_length, len(self.centre))[which]
        return Placed(self.centre[which], self.axis[which], half, self.radius, self.skin)


def exact_poses(axle: Axle, left: Floats, right: Floats) -> AxlePoses:
    """Poses solved to the end of double precision."""
    linkage = linkage_of(axle)
    poses = solve(linkage, left, right, pose_map(linkage).start(left, right))
    assert poses.converged.all()
    return poses


def placed(axle: Axle, part: PartRef, poses: AxlePoses, steer: Floats) -> Placed:
    """One moving part in every pose."""
    turned = poses.rotation
    if part.kind == "tire":
        turn, tire = wheel_turn(axle, part.side), tire_dimensions(axle.tire)
        turned_by = turns(turn_law(axle), side_sign(part.side), steer)[0]
        basis = np.stack([np.ones_like(steer), np.cos(turned_by), np.sin(turned_by)], axis=1)
        centre = poses.centre + np.einsum("nij,nj->ni", turned, basis @ turn.centre)
        axis = np.einsum("nij,nj->ni", turned, basis @ turn.axis)
        shoulder = tire.shoulder_radius
        return Placed(centre, axis, tire.section_width / 2 - shoulder, tire.radius - shoulder, shoulder)
    if part.kind in {"tie rod", "ram"}:
        return _steering_part(axle, part, poses, steer)
    housing = axle.housing
    if part.kind == "link":
        rod = next(rod for rod in axle.rods if part.id == f"{axle.id}.{rod.id}")
        arm = np.array(rod.axle) - np.array([axle.station, 0.0, axle.height])
        start, end = np.tile(np.array(rod.chassis), (len(steer), 1)), poses.centre + turned @ arm
        along = (end - start) / np.linalg.norm(end - start, axis=1, keepdims=True)
        return _between(start + along * rod.joint_room, end - along * rod.joint_room, rod.od / 2)
    if part.kind == "housing":
        left, right = (poses.centre + turned @ end for end in housing_ends(axle))
        return _between(left, right, housing.tube_od / 2)
    middle = poses.centre + turned @ centre_section(axle)
    if part.kind == "pinion":
        base, tip = (poses.centre + turned @ end for end in (pinion_base(housing), pinion_tip(axle)))
        return _between(base, tip, housing.pinion_radius)
    return _between(middle, middle + turned[:, :, 1] * 1e-9, housing.centre_radius)


def _steering_part(axle: Axle, part: PartRef, poses: AxlePoses, steer: Floats) -> Placed:
    steering = axle.steering
    assert steering is not None
    if part.kind == "ram":
        assert steering.ram is not None
        ram, half = steering.ram, steering.ram.length / 2.0 - steering.ram.od / 2.0
        ends = [poses.centre + poses.rotation @ np.array([ram.forward, y, ram.up]) for y in (half, -half)]
        return _between(ends[0], ends[1], ram.od / 2.0)
    assert steering.tie_rod is not None
    balls = []
    sides: tuple[Side, Side] = ("left", "right")
    for side in sides:
        turned = turns(turn_law(axle), side_sign(side), steer)[0]
        basis = np.stack([np.ones_like(steer), np.cos(turned), np.sin(turned)], axis=1)
        ball = basis @ knuckle_rows(axle, steering, side, steering.tie_rod.arm)
        balls.append(poses.centre + np.einsum("nij,nj->ni", poses.rotation, ball))
    along = (balls[0] - balls[1]) / np.linalg.norm(balls[0] - balls[1], axis=1, keepdims=True)
    return _between(balls[0] - along * TIE_ROD_ROOM, balls[1] + along * TIE_ROD_ROOM, steering.tie_rod.od / 2.0)


class Chassis:
    """The rig's pieces by the part they belong to."""

    def __init__(self, rig: Rig) -> None:
        self._pieces: list[Pieces] = [bar_pieces(rig), panel_pieces(rig)]

    def of(self, part: PartRef) -> list[tuple[Floats, float]]:
        """Corners and radius of every piece of a part."""
        for pieces in self._pieces:
            if part in pieces.parts:
                rows = np.flatnonzero(pieces.part == pieces.parts.index(part))
                return [(pieces.corners[row], float(pieces.radius[row])) for row in rows]
        raise KeyError(part)


def clearances(rig: Rig, axle: Axle, approach: Approach, poses: AxlePoses, steer: Floats) -> Floats:
    """Exact clearance of the pair of an approach in every pose, shape (n,) [mm]."""
    moving = _pieces(axle, approach.moving, poses, steer)
    if approach.fixed.kind in {"bar", "panel"}:
        return np.min([_from_chassis(rig, each, approach, len(steer)) for each in moving], axis=0)
    others = _pieces(axle, approach.fixed, poses, steer)
    return np.min([from_link(each, other) for each in moving for other in others], axis=0)


def _pieces(axle: Axle, part: PartRef, poses: AxlePoses, steer: Floats) -> tuple[Placed, ...]:
    if part.kind == "shock":
        return shock_halves(axle, part, poses)
    return (driveshaft(axle, poses) if part.kind == "driveshaft" else placed(axle, part, poses, steer),)


def driveshaft(axle: Axle, poses: AxlePoses) -> Placed:
    """The whole shaft, as long as it is in every pose, less the room of its joints."""
    shaft, build = axle.driveshaft, axle.build
    assert shaft is not None
    assert build is not None
    joint = poses.centre + poses.rotation @ pinion_joint(axle)
    output = np.broadcast_to(np.array(build.transfer_output), joint.shape)
    along = (joint - output) / np.linalg.norm(joint - output, axis=1, keepdims=True)
    room = along * shaft.joint_room
    return _between(output + room, joint - room, shaft.diameter / 2.0)


def shock_halves(axle: Axle, part: PartRef, poses: AxlePoses) -> tuple[Placed, Placed]:
    """What goes with the eye on the chassis, and with that on the axle, in every pose."""
    shock = next(each for each in axle.shocks if part.id == f"{axle.id}.{each.id}")
    entered = "left" if shock.axle[1] > 0.0 else "right"
    flip = MIRROR if shock.mirrored and part.side != entered else np.ones(3)
    top = np.array(shock.chassis) * flip
    arm = (np.array(shock.axle) - np.array([axle.station, 0.0, axle.height])) * flip
    low = poses.centre + poses.rotation @ arm
    along = (low - top) / np.linalg.norm(low - top, axis=1, keepdims=True)
    room, body = shock.joint_room, shock.collapsed - shock.joint_room
    ends, widths = (body, shock.extended - body), (shock.body_od, shock.shaft_od)
    if shock.spring_od is not None:
        ends, widths = (shock.extended / 2, shock.extended / 2), (shock.spring_od, shock.spring_od)
    elif shock.body_at == "axle":
        ends, widths = ends[::-1], widths[::-1]
    start = np.broadcast_to(top, low.shape)
    return (
        _between(start + along * room, start + along * ends[0], widths[0] / 2),
        _between(low - along * room, low - along * ends[1], widths[1] / 2),
    )


def _from_chassis(rig: Rig, moving: Placed, approach: Approach, count: int) -> Floats:
    least = np.full(count, np.inf)
    for corners, radius in Chassis(rig).of(approach.fixed):
        every = np.broadcast_to(corners, (count, *corners.shape))
        least = np.minimum(least, gap(moving, every) - moving.skin - radius)
    return least


def from_link(moving: Placed, link: Placed) -> Floats:
    """Exact clearance of a moving part from a round bar of the same axle in every pose, shape (n,) [mm]."""
    reach = np.broadcast_to(link.half_length, len(link.centre))[:, None] * link.axis
    ends = np.stack([link.centre + reach, link.centre - reach], axis=1)
    return gap(moving, ends) - moving.skin - link.skin


def random_travel(axle: Axle, rng: np.random.Generator, count: int) -> tuple[Floats, Floats, Floats]:
    """Travels and steers spread over the whole box, its faces, edges and corners included."""
    low, high = -axle.droop, axle.bump
    limits = [(low, high), (low, high)]
    if axle.steering is not None:
        limits.append((-np.radians(axle.steering.lock_right_deg), np.radians(axle.steering.lock_left_deg)))
    else:
        limits.append((0.0, 0.0))
    values = [rng.uniform(a, b, count) for a, b in limits]
    for value, (a, b) in zip(values, limits, strict=True):
        ends = rng.uniform(size=count)
        value[ends < 0.2] = a
        value[ends > 0.8] = b
    return values[0], values[1], values[2]


def _between(start: Floats, end: Floats, radius: float) -> Placed:
    along = end - start
    length = np.linalg.norm(along, axis=1, keepdims=True)
    return Placed((start + end) / 2.0, along / length, length[:, 0] / 2.0, 0.0, radius)


def gap(core: Placed, corners: Floats) -> Floats:
    """Signed distances of a core in n poses from hulls of corners (n, v, 3), skins not taken off, shape (n,) [mm]."""
    count = len(core.centre)
    half, radius = np.broadcast_to(core.half_length, count), np.full(count, core.radius)
    return separation(core.axis, half, radius, corners - core.centre[:, None]).gap
