"""Where the travel ends that shocks, stops and straps leave: its named ends, and the pose in it nearest to another."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from geometry.errors import LinkageError
from geometry.motion.linkage import linkage_of
from geometry.rig.axle import Axle
from geometry.stroke.spans import spans_of
from geometry.stroke.travel_set import TravelSet, travel_set

Travels = tuple[float, float]
"""Left and right [mm]."""

KEPT: Final = 16
"""Axles of which it is kept [-]: a table asks it of the same axle for each of its lines."""


@dataclass(frozen=True, slots=True)
class TravelEnds:
    """The ends of an axle's travel that have names.

    Attributes
    ----------
    bump, droop : float
        Straight up and straight down from ride height, both positive [mm].
    crossed_bump : float
        Bump of the wheel that leads on the crossed way up, whichever wheel gets farther [mm].
    left_up, right_up : tuple
        Poses nearest to full bump of one wheel and full droop of the other.
    is_cut : bool
        Whether anything ends the travel within bump and droop.

    """

    bump: float
    droop: float
    crossed_bump: float
    left_up: Travels
    right_up: Travels
    is_cut: bool


@lru_cache(maxsize=KEPT)
def reach_of(axle: Axle) -> TravelSet | None:
    """The travel that an axle's shocks, stops and straps leave; None where they leave all of it, or none is known."""
    if not (axle.shocks or axle.bump_stops or axle.straps):
        return None
    try:
        left = travel_set(linkage_of(axle), spans_of(axle))
    except LinkageError:
        return None
    return None if left.is_whole or not left.kept.any() else left


def nearest(reach: TravelSet | None, left: float, right: float) -> Travels:
    """The pose in a travel set that is nearest to one within bump and droop."""
    if reach is None or reach.holds(np.array([left]), np.array([right]))[0]:
        return left, right
    a, b, c, d = reach.rectangles.T
    at_left, at_right = np.clip(left, a, b), np.clip(right, c, d)
    best = int(np.argmin((at_left - left) ** 2 + (at_right - right) ** 2))
    return float(at_left[best]), float(at_right[best])


@lru_cache(maxsize=KEPT)
def travel_ends(axle: Axle) -> TravelEnds:
    """The named ends of an axle's travel."""
    reach, bump, droop = reach_of(axle), axle.bump, axle.droop
    if reach is None:
        return TravelEnds(bump, droop, bump, (bump, -droop), (-droop, bump), is_cut=False)
    fall = -droop / bump if bump else 0.0
    return TravelEnds(
        bump=reach.way_out(1.0, 1.0, bump),
        droop=reach.way_out(-1.0, -1.0, droop),
        crossed_bump=max(reach.way_out(1.0, fall, bump), reach.way_out(fall, 1.0, bump)),
        left_up=nearest(reach, bump, -droop),
        right_up=nearest(reach, -droop, bump),
        is_cut=True,
    )
