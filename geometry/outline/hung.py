"""Leaf springs, shocks, stops, straps, steering linkage and driveshaft where they are in a pose, as tubes to draw.

Sizes that no record has, as that of a bump stop or of a strap's webbing, are drawn as they usually are; nothing
measures on them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi, sqrt
from typing import Final

import numpy as np

from geometry.driveline.shaft import shaft_line
from geometry.motion.carried import side_sign
from geometry.motion.placement import PlacedAxle
from geometry.motion.steer_lock import ram_travel
from geometry.motion.steering import at_steer, knuckle_rows, wheel_steer
from geometry.outline.view import Floats
from geometry.rig.axle import Axle, Steering
from geometry.rig.layout import BarPath, PartRef, Side
from geometry.rig.naming import drag_link_part, driveshaft_part, leaf_part, ram_part, shackle_part, tie_rod_part
from geometry.rig.steer_gear import DragLink, OnKnuckle, Ram
from geometry.rig.stroke import BumpStop, Shock
from geometry.steering.drag_link import pitman_at
from geometry.stroke.spans import Span, spans_of
from geometry.tolerances import COINCIDENT

SIDES: Final[tuple[Side, Side]] = ("left", "right")

STOP_RADIUS: Final = 30.0
"""Radius of a bump stop as drawn [mm]: the usual two inches and a half across."""

PAD_RADIUS: Final = 14.0
"""Radius of the pad that a bump stop meets, as drawn [mm]."""

WEBBING: Final = 7.0
"""Half the thickness of a strap as drawn [mm]."""

ROD_SHARE: Final = 0.3
"""Thickness of a ram's rod over that of its body, as drawn [-]."""

JOINT_SHARE: Final = 0.6
"""Radius of a driveshaft's joints over the diameter of its tube, as drawn [-]."""

SHACKLE_RADIUS: Final = 13.0
"""Half the width of a shackle as drawn [mm]."""

LEAF_POINTS: Final = 9
"""Points of each arm of a leaf spring: it looks bent."""

TURNS: Final = 8
"""Turns of a spring as drawn."""

PER_TURN: Final = 16
"""Points of each turn: its outline looks round."""

SEATS: Final = (0.16, 0.84)
"""Where along a coil-over its spring sits, as drawn [-]."""

SLACK_POINTS: Final = 9
"""Points of a slack strap: it hangs in a bow."""

DEEPEST: Final = 0.3
"""Largest rise of a slack strap's bow over the way between its ends, as drawn [-]."""


@dataclass(frozen=True, eq=False)
class Coil:
    """A spring: points along its wire, shape (n, 3), and half the wire's thickness [mm]."""

    part: PartRef
    points: Floats
    radius: float


@dataclass(frozen=True, eq=False)
class Hung:
    """All of them on one axle in one pose."""

    tubes: tuple[BarPath, ...] = ()
    coils: tuple[Coil, ...] = ()


def hung_parts(axle: Axle, placed: PlacedAxle) -> Hung:
    """What of them an axle has, in the pose of a placed one; a link that does not reach is left out."""
    tubes: list[BarPath] = []
    coils: list[Coil] = []
    shocks = {f"{axle.id}.{shock.id}": shock for shock in axle.shocks}
    stops = {f"{axle.id}.{stop.id}": stop for stop in axle.bump_stops}
    tubes += _leaf_springs(axle, placed)
    for span in spans_of(axle):
        part, start, end = span.part, np.array(span.chassis), placed.to_rig(np.array(span.axle))
        if part.kind == "shock":
            tubes += _shock(part, shocks[part.id], start, end)
            coils += _coil(part, shocks[part.id], start, end)
        elif part.kind == "bump stop":
            tubes += _stop(span, stops[part.id], end)
        else:
            tubes.append(BarPath(part, _strap(start, end, span.longest), WEBBING, 0.0))
    steering = axle.steering
    return Hung((*tubes, *_linkage(axle, steering, placed), *_driveshaft(axle, placed)), tuple(coils))


def _leaf_springs(axle: Axle, placed: PlacedAxle) -> Iterator[BarPath]:
    """Both springs, each arm bent from its seat to its eye, and their shackles."""
    if axle.leaf_springs is None:
        return
    for leaf in placed.leaves:
        (fixed, first, second, eye), ends = leaf.spring, axle.leaf_springs
        share = np.linspace(1.0, 0.0, LEAF_POINTS)[:, None]
        seat = (first + second) / 2.0
        # a parabola that leaves the seat in its line and ends in the eye
        arms = [(1.0 - share) ** 2 * seat + 2.0 * share * (1.0 - share) * way + share**2 * end
                for way, end in ((first, fixed), (second, eye))]  # fmt: skip
        path = np.vstack([arms[0], arms[1][::-1][1:]])
        yield BarPath(leaf_part(axle, leaf.side), path, ends.thickness / 2.0, 0.0)
        yield BarPath(shackle_part(axle, leaf.side), leaf.shackle, SHACKLE_RADIUS, 0.0)


def _shock(part: PartRef, shock: Shock, chassis: Floats, axle: Floats) -> list[BarPath]:
    """Body and shaft: the body takes in the whole stroke, and both ends have as much left over."""
    start, end = (chassis, axle) if shock.body_at == "chassis" else (axle, chassis)
    along = _unit(end - start)
    thick, thin = shock.body_od / 2.0, shock.shaft_od / 2.0
    mouth = start + along * max(shock.extended / 2.0 - thick, thick)
    return [
        BarPath(part, np.array([mouth, end]), thin, 0.0),
        BarPath(part, np.array([start + along * thick, mouth]), thick, 0.0),
    ]


def _coil(part: PartRef, shock: Shock, chassis: Floats, axle: Floats) -> Iterator[Coil]:
    if shock.spring_od is None:
        return
    along = axle - chassis
    first = _unit(np.cross(along, [0.0, 1.0, 0.0] if abs(along[1]) < abs(along[2]) else [1.0, 0.0, 0.0]))
    second = np.cross(_unit(along), first)
    wire = (shock.spring_od - shock.body_od) / 4.0
    share = np.linspace(*SEATS, TURNS * PER_TURN + 1)[:, None]
    angle = 2.0 * pi / PER_TURN * np.arange(TURNS * PER_TURN + 1)[:, None]
    around = (shock.spring_od / 2.0 - wire) * (np.cos(angle) * first + np.sin(angle) * second)
    yield Coil(part, chassis + share * along + around, wire)


def _stop(span: Span, stop: BumpStop, pad: Floats) -> list[BarPath]:
    """The stop, as high as the pad lets it be, and the pad."""
    seat, along = np.array(span.chassis), np.array(span.along)
    height = min(max(float((pad - seat) @ along), stop.compressed), stop.height)
    radius = min(STOP_RADIUS, height / 2.5)
    return [
        BarPath(span.part, seat + np.outer([radius, height - radius], along), radius, 0.0),
        BarPath(span.part, np.array([pad, pad]), PAD_RADIUS, 0.0),
    ]


def _strap(chassis: Floats, axle: Floats, length: float) -> Floats:
    """A strap's middle line: straight when it is taut, else a flat bow of about its length."""
    way = axle - chassis
    apart = float(np.linalg.norm(way))
    # a parabola's length is about d + 8 s² / 3 d
    rise = min(sqrt(max(0.375 * apart * (length - apart), 0.0)), DEEPEST * apart)
    if rise < 1.0:
        return np.array([chassis, axle])
    x, y, z = way.tolist()
    # across the way and y, and across the way and x
    aside = _unit(np.array([-z, 0.0, x])) + 0.5 * _unit(np.array([0.0, z, -y]))
    share = np.linspace(0.0, 1.0, SLACK_POINTS)[:, None]
    return np.asarray(chassis + share * way + 4.0 * share * (1.0 - share) * rise * _unit(aside))


def _linkage(axle: Axle, steering: Steering | None, placed: PlacedAxle) -> Iterator[BarPath]:
    if steering is None:
        return
    if steering.tie_rod is not None:
        balls = [_ball(axle, steering, side, steering.tie_rod.arm, placed) for side in SIDES]
        yield BarPath(tie_rod_part(axle), np.array(balls), steering.tie_rod.od / 2.0, 0.0)
    if steering.drag_link is not None:
        yield from _drag_link(axle, steering, steering.drag_link, placed)
    if steering.ram is not None:
        yield from _ram(axle, steering, steering.ram, placed)


def _ball(axle: Axle, steering: Steering, side: Side, arm: OnKnuckle, placed: PlacedAxle) -> Floats:
    """A ball joint on a knuckle, rig's frame, shape (3,) [mm]."""
    return placed.to_rig(at_steer(knuckle_rows(axle, steering, side, arm), wheel_steer(axle, side, placed.pose.steer)))


def _drag_link(axle: Axle, steering: Steering, link: DragLink, placed: PlacedAxle) -> Iterator[BarPath]:
    """The link, and the pitman arm that it hangs on."""
    ball = _ball(axle, steering, link.knuckle, link.arm, placed)
    pitman = pitman_at(axle, ball)
    if pitman is None:
        return
    part, radius = drag_link_part(axle), link.od / 2.0
    shaft = np.array(link.shaft)
    along = _unit(np.subtract(link.shaft_end, shaft))
    foot = shaft + along * float((pitman - shaft) @ along)
    yield BarPath(part, np.array([foot, pitman]), radius, 0.0)
    yield BarPath(part, np.array([pitman, ball]), radius, 0.0)


def _ram(axle: Axle, steering: Steering, ram: Ram, placed: PlacedAxle) -> Iterator[BarPath]:
    """The body, the rod as far out as the left knuckle moves it, and its links."""
    part, thick = ram_part(axle), ram.od / 2.0
    moved = float(ram_travel(axle, placed.pose.steer))
    if np.isfinite(moved):
        eyes = [placed.to_rig(np.array([ram.forward, sign * ram.eyes / 2.0 + moved, ram.up])) for sign in (1.0, -1.0)]
        balls = [_ball(axle, steering, side, ram.arm, placed) for side in SIDES]
        yield BarPath(part, np.array([balls[0], *eyes, balls[1]]), ROD_SHARE * thick, 0.0)
    half = max(ram.length / 2.0 - thick, 0.0)
    ends = np.array([[ram.forward, side_sign(side) * half, ram.up] for side in SIDES])
    yield BarPath(part, placed.to_rig(ends), thick, 0.0)


def _driveshaft(axle: Axle, placed: PlacedAxle) -> Iterator[BarPath]:
    """The tube between both joints, once the shaft is described and its far end is measured."""
    line = shaft_line(axle)
    if line is None or axle.driveshaft is None:
        return
    part, diameter = driveshaft_part(axle), axle.driveshaft.diameter
    case, pinion = np.array(line.output), placed.to_rig(np.array(line.joint))
    yield BarPath(part, np.array([case, pinion]), diameter / 2.0, 0.0)
    for joint in (case, pinion):
        yield BarPath(part, np.array([joint, joint]), JOINT_SHARE * diameter, 0.0)


def _unit(way: Floats) -> Floats:
    return np.asarray(way / max(float(np.linalg.norm(way)), COINCIDENT))
