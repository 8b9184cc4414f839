"""The rig as solids: the chassis in convex pieces, and the parts that each axle moves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.movers import Solid
from geometry.motion.carried import centre_section, pinion_tip, side_sign
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.motion.steering import knuckle_rows, wheel_turn
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef, Side, bar_paths, panel_facets
from geometry.rig.naming import (
    centre_section_part,
    housing_part,
    link_part,
    pinion_part,
    ram_part,
    tie_rod_part,
    tire_part,
)
from geometry.rig.pinion import pinion_base, pinion_direction
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from geometry.stroke.spans import shocks_of

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

ACROSS: Final[Floats] = np.array([0.0, 1.0, 0.0])
TIE_ROD_ROOM: Final = 60.0
"""Length at each end of a tie rod taken up by its joint and the arm that it is bolted to, which the check leaves out
[mm]. Common practice, no source."""

SIDES: Final[tuple[Side, Side]] = ("left", "right")


@dataclass(frozen=True)
class Pieces:
    """Convex pieces, each the hull of its corners swept by a ball.

    Attributes
    ----------
    parts : tuple of PartRef
    part : array of int, shape (p,)
        Which part a piece belongs to.
    corners : array, shape (p, v, 3)
        Two for a straight of a bar; for a facet its loop, the last corner repeated to fill up [mm].
    radius : array, shape (p,)
        Radius of the ball [mm].

    """

    parts: tuple[PartRef, ...]
    part: Indices
    corners: Floats
    radius: Floats


def bar_pieces(rig: Rig) -> Pieces:
    """Every straight of every bar; a bend's chords are thickened by their sagitta, which is on the safe side."""
    parts: list[PartRef] = []
    owner: list[int] = []
    ends: list[tuple[Floats, Floats]] = []
    radii: list[float] = []
    for path in bar_paths(rig):
        for start, end in pairwise(path.points):
            owner.append(len(parts))
            ends.append((start, end))
            radii.append(path.radius + path.slack)
        parts.append(path.part)
    corners = np.array(ends).reshape(-1, 2, 3)
    return Pieces(tuple(parts), np.array(owner, dtype=np.intp), corners, np.array(radii))


def panel_pieces(rig: Rig) -> Pieces:
    """Every facet of every fitted panel, laid flat and thickened by as much as its corners lay off the plane."""
    parts: list[PartRef] = []
    owner: list[int] = []
    loops: list[Floats] = []
    radii: list[float] = []
    for placed in panel_facets(rig):
        for loop in placed.facets:
            flat, off = _flat(loop)
            owner.append(len(parts))
            loops.append(flat)
            radii.append(placed.radius + off)
        parts.append(placed.part)
    most = max((len(loop) for loop in loops), default=3)
    corners = np.array([np.vstack([loop, np.repeat(loop[-1:], most - len(loop), axis=0)]) for loop in loops])
    return Pieces(tuple(parts), np.array(owner, dtype=np.intp), corners.reshape(-1, most, 3), np.array(radii))


def _flat(loop: Floats) -> tuple[Floats, float]:
    """A facet's corners laid into the plane across Newell's normal through their middle, and the farthest way there.

    The distance to a polygon and its bounds over a cell agree on flat ones only: on others no search would close.
    """
    spokes = loop - loop.mean(axis=0)
    normal = np.cross(spokes, np.roll(spokes, -1, axis=0)).sum(axis=0)
    normal /= np.linalg.norm(normal)
    heights = spokes @ normal
    return loop - heights[:, None] * normal, float(np.abs(heights).max())


def tire_solids(axle: Axle) -> Iterator[Solid]:
    """Both tires: a cylinder of free radius and section width with rounded shoulders, turning with the steering."""
    tire = tire_dimensions(axle.tire)
    for side in SIDES:
        turn = wheel_turn(axle, side)
        yield Solid(
            part=tire_part(axle, side),
            half_length=tire.section_width / 2.0 - tire.shoulder_radius,
            core_radius=tire.radius - tire.shoulder_radius,
            skin=tire.shoulder_radius,
            place=np.vstack([np.zeros(3), turn.centre, side_sign(side) / 2.0 * ACROSS]),
            place_scale=1.0,
            axis=np.vstack([np.zeros(3), turn.axis]),
            axis_scale=0.0,
            wheel=side_sign(side),
        )


def housing_solids(axle: Axle) -> Iterator[Solid]:
    """The housing tubes as one, which grows with the width; the centre section as a ball; and the pinion's snout."""
    housing = axle.housing
    half = axle.width / 2.0 - housing.end_inset
    tube = _capsule(housing_part(axle), np.zeros(3), ACROSS, half, housing.tube_od / 2.0)
    yield replace(tube, half_by_width=0.5)
    centre = centre_section(axle)
    yield _capsule(centre_section_part(axle), centre, ACROSS, 0.0, housing.centre_radius)
    if housing.pinion_length > 0.0:
        middle = (pinion_base(housing) + pinion_tip(axle)) / 2.0
        along = pinion_direction(housing)
        yield _capsule(pinion_part(axle), middle, along, housing.pinion_length / 2.0, housing.pinion_radius)


def steering_solids(axle: Axle) -> Iterator[Solid]:
    """The tie rod, between the room of its joints, and the body of a ram; nothing where neither is told."""
    steering = axle.steering
    if steering is not None and steering.tie_rod is not None:
        left, right = (knuckle_rows(axle, steering, side, steering.tie_rod.arm) for side in SIDES)
        length = axle.width + 2.0 * steering.tie_rod.arm[1]
        place, axis = (left + right) / 2.0, (left - right) / length
        yield Solid(
            part=tie_rod_part(axle),
            half_length=max(length / 2.0 - TIE_ROD_ROOM, 0.0),
            core_radius=0.0,
            skin=steering.tie_rod.od / 2.0,
            place=np.vstack([np.zeros(3), place[0], left[1:] / 2.0, np.zeros(3)]),
            place_scale=1.0,
            axis=np.vstack([np.zeros(3), axis[0], left[1:] / length]),
            axis_scale=0.0,
            half_by_width=0.5,
            wheel=1.0,
            across=np.vstack([right[1:] / 2.0, -right[1:] / length]),
            length=length,
        )
    if steering is not None and steering.ram is not None:
        ram = steering.ram
        yield _capsule(
            ram_part(axle), np.array([ram.forward, 0.0, ram.up]), ACROSS, ram.length / 2.0 - ram.od / 2.0, ram.od / 2.0
        )


def link_solids(axle: Axle) -> Iterator[Solid]:
    """Every rod less the room of its joints.

    With X the rod's joint on the axle, C the one on the chassis and L its length, its middle is (C + X) / 2 and its
    direction that of (X − C) / L. Where a fifth rod makes the rods give, by g at most, the bushings take it up: either
    end of the rod then lies on the line through C and X, within g of where a rod of length L round that middle ends,
    so g added to the radius covers it.
    """
    if not axle.rods:
        return
    linkage = linkage_of(axle)
    give = pose_map(linkage).give
    for rod, on_axle in zip(axle.rods, np.array(linkage.axle_points), strict=True):
        chassis = np.array(rod.chassis)
        length = float(np.linalg.norm(np.array(rod.axle) - chassis))
        place, axis = np.zeros((5, 3)), np.zeros((4, 3))
        place[0], place[1] = chassis / 2.0, on_axle / 2.0
        axis[0], axis[1] = -chassis / length, on_axle / length
        yield Solid(
            part=link_part(axle, rod),
            half_length=length / 2.0 - rod.joint_room,
            core_radius=0.0,
            skin=rod.od / 2.0 + give,
            place=place,
            place_scale=0.5,
            axis=axis,
            axis_scale=1.0 / length,
        )


def shock_solids(axle: Axle) -> Iterator[Solid]:
    """Every shock in two halves of fixed length that slide into each other, less the room of its eyes.

    Its body reaches from the eye that carries it as far as the other eye lets it when collapsed, its shaft from the
    other eye to the body's end when extended. A spring is told as two halves of its length extended, which slide into
    each other, too.
    """
    for shock, span in shocks_of(axle):
        chassis, on_axle = np.array(span.chassis), np.array(span.axle)
        drawn = float(np.linalg.norm(np.array(shock.axle) - np.array(shock.chassis)))
        body = shock.collapsed - shock.joint_room
        ends, widths = (body, shock.extended - body), (shock.body_od, shock.shaft_od)
        if shock.spring_od is not None:
            ends, widths = (shock.extended / 2.0,) * 2, (shock.spring_od,) * 2
        elif shock.body_at == "axle":
            ends, widths = ends[::-1], widths[::-1]
        axis = np.zeros((4, 3))
        axis[0], axis[1] = -chassis / drawn, on_axle / drawn
        for half, (end, width) in enumerate(zip(ends, widths, strict=True)):
            place = np.zeros((5, 3))
            place[half] = on_axle if half else chassis
            yield Solid(
                part=span.part,
                half_length=(end - shock.joint_room) / 2.0,
                core_radius=0.0,
                skin=width / 2.0,
                place=place,
                place_scale=float(half),
                axis=axis,
                axis_scale=1.0 / drawn,
                along=(end + shock.joint_room) / 2.0 * (-1.0 if half else 1.0),
            )


def _capsule(part: PartRef, middle: Floats, along: Floats, half_length: float, radius: float) -> Solid:
    """A line swept by a ball that the axle carries rigidly."""
    place, axis = np.zeros((5, 3)), np.zeros((4, 3))
    place[1], axis[1] = middle, along
    return Solid(part, half_length, 0.0, radius, place, 1.0, axis, 0.0)
