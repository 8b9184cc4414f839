"""What lies at a point: its node, and the bars whose centre lines run through it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.rig.layout import MIRROR
from geometry.rig.parts import Bar, Point
from geometry.rig.rig import Rig
from geometry.sketch.bars import End
from geometry.sketch.lookup import coincide, points_of, positions, settled

ON: Final = 1e-3
"""Distance from a bar's centre line under which a point lies on it [mm]: what snapping rounds, with room."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BarSpot:
    """A place on a bar or its image: the bar's id, which of its ends is nearer along it, and whether it is there."""

    bar: str
    end: End
    at_end: bool


def node_at(rig: Rig, point: Point) -> str | None:
    """Reference to the node at a point [mm], those that are no images first; None when there is none."""
    found = [ref for ref, at in positions(rig).items() if coincide(at, point)]
    return min(found, key=lambda ref: ref.endswith("'"), default=None)


def bars_at(rig: Rig, point: Point) -> tuple[BarSpot, ...]:
    """The bars whose centre lines, or whose images' centre lines, run through a point [mm]."""
    found = []
    for bar in rig.bars:
        corners = np.array(points_of(rig, bar.nodes))
        for line in (corners, corners * MIRROR) if bar.mirrored else (corners,):
            spot = _spot(bar.id, line, np.array(point))
            if spot is not None:
                found.append(spot)
                break
    return tuple(found)


def middle_of(rig: Rig, bar: Bar) -> Point:
    """The point half way along a bar, from corner to corner [mm]."""
    corners = np.array(points_of(rig, bar.nodes))
    ways = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    return settled(float(np.interp(ways[-1] / 2.0, ways, along)) for along in corners.T)


def _spot(bar: str, corners: Floats, point: Floats) -> BarSpot | None:
    legs = np.diff(corners, axis=0)
    lengths = np.linalg.norm(legs, axis=1)
    along = np.clip(np.einsum("ij,ij->i", point - corners[:-1], legs) / lengths**2, 0.0, 1.0)
    gaps = np.linalg.norm(corners[:-1] + along[:, None] * legs - point, axis=1)
    leg = int(gaps.argmin())
    if gaps[leg] > ON:
        return None
    way = float(lengths[:leg].sum() + along[leg] * lengths[leg])
    total = float(lengths.sum())
    return BarSpot(bar, 0 if way <= total / 2.0 else -1, at_end=min(way, total - way) <= ON)
