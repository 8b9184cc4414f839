"""Shocks, bump stops and straps as spans: one length each, over the travel, and between which values it may lie."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import dist, inf
from typing import Final, Literal

import numpy as np

from geometry.motion.extremes import CarriedForms, Cells
from geometry.motion.forms import Form, dot, length
from geometry.motion.linkage import AxlePoses, Floats, Linkage, Place, ride_height
from geometry.motion.pose_map import PoseMap
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef, Side
from geometry.rig.parts import Point
from geometry.rig.stroke import BumpStop, Shock, Strap

End = Literal["short", "long"]
"""Which end of its range a span is at: short = shock collapsed, stop compressed; long = shock extended, strap taut."""

SPAN_ERROR: Final = 0.25
"""Tolerance of a shortest or longest length over the travel [mm]. A hundredth of an inch: under any tape."""

_KINDS: Final[dict[type, Literal["shock", "bump stop", "strap"]]] = {
    Shock: "shock",
    BumpStop: "bump stop",
    Strap: "strap",
}


@dataclass(frozen=True, slots=True)
class Span:
    """One of them on one side.

    Attributes
    ----------
    part : PartRef
    chassis : tuple
        End on the chassis, rig's frame [mm].
    axle : tuple
        End on the axle, axle's frame [mm].
    along : tuple or None
        Unit vector, rig's frame, along which the way from end to end is measured; None = from one to the other.
    shortest, longest : float
        Between which the length must stay [mm]; 0 and infinity where nothing limits it.
    touched : float
        Length under which a bump stop is touched [mm]; 0 for others.

    """

    part: PartRef
    chassis: Place
    axle: Place
    along: Place | None
    shortest: float
    longest: float
    touched: float = 0.0

    def form(self, pose_map: PoseMap, cells: Cells) -> Form:
        """The length over cells of the travel [mm]."""
        reach = CarriedForms(pose_map, cells).point(self.axle) - np.array(self.chassis)
        return length(reach) if self.along is None else dot(reach, np.array(self.along))

    def at_ride_height(self, linkage: Linkage) -> float:
        """The length at ride height [mm]."""
        return float(self.at(ride_height(linkage))[0])

    def at(self, poses: AxlePoses) -> Floats:
        """The length in exact poses, shape (n,) [mm]."""
        reach = poses.centre + poses.rotation @ np.array(self.axle) - np.array(self.chassis)
        lengths: Floats = np.linalg.norm(reach, axis=1) if self.along is None else reach @ np.array(self.along)
        return lengths


@dataclass(frozen=True, slots=True)
class Limit:
    """One end of a span's range, as what limits the travel."""

    span: Span
    end: End

    @property
    def value(self) -> float:
        """Length at which the travel ends [mm]."""
        return self.span.shortest if self.end == "short" else self.span.longest

    def excess(self, pose_map: PoseMap, cells: Cells) -> Form:
        """By how much the length is beyond the limit [mm]; positive = out of reach."""
        form = self.span.form(pose_map, cells)
        return self.value - form if self.end == "short" else form - self.value


def spans_of(axle: Axle) -> tuple[Span, ...]:
    """All shocks, bump stops and straps of an axle, mirror images included, in the rig's order."""
    parts: tuple[Shock | BumpStop | Strap, ...] = (*axle.shocks, *axle.bump_stops, *axle.straps)
    return tuple(_span(axle, part, side, flip) for part in parts for side, flip in _copies(part))


def shocks_of(axle: Axle) -> tuple[tuple[Shock, Span], ...]:
    """All shocks of an axle, mirror images included, each with its span."""
    return tuple((shock, _span(axle, shock, side, flip)) for shock in axle.shocks for side, flip in _copies(shock))


def limits_of(spans: tuple[Span, ...]) -> tuple[Limit, ...]:
    """What limits the travel of some spans."""
    ends: tuple[End, End] = ("short", "long")
    every = (Limit(span, end) for span in spans for end in ends)
    return tuple(limit for limit in every if 0.0 < limit.value < inf)


def _copies(part: Shock | BumpStop | Strap) -> Iterator[tuple[Side, bool]]:
    across = part.axle[1] or part.chassis[1]
    entered: Side = "left" if across > 0.0 else "right"
    if part.mirrored:
        yield entered, False
        yield ("right" if entered == "left" else "left"), True
    else:
        yield (entered if across else ""), False


def _span(axle: Axle, part: Shock | BumpStop | Strap, side: Side, flip: bool) -> Span:
    chassis, on_axle = (_flipped(part.chassis), _flipped(part.axle)) if flip else (part.chassis, part.axle)
    kind = _KINDS[type(part)]
    words = (side if part.mirrored else "", axle.id, part.name or f"{kind} {part.id}")
    ref = PartRef(kind, f"{axle.id}.{part.id}", side, " ".join(word for word in words if word))
    arm = (on_axle[0] - axle.station, on_axle[1], on_axle[2] - axle.height)
    if isinstance(part, Shock):
        return Span(ref, chassis, arm, None, part.collapsed, part.extended)
    if isinstance(part, Strap):
        return Span(ref, chassis, arm, None, 0.0, part.length)
    room = dist(chassis, on_axle)
    x, y, z = ((b - a) / room for a, b in zip(chassis, on_axle, strict=True))
    return Span(ref, chassis, arm, (x, y, z), part.compressed, inf, part.height)


def _flipped(point: Point) -> Point:
    return (point[0], -point[1], point[2])
