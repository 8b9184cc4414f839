"""The poses that have names, and the way through all of them that play follows."""

from __future__ import annotations

from enum import StrEnum
from itertools import pairwise
from math import cos, pi
from typing import Final

from app.document import locks
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.rig.axle import Axle
from geometry.stroke.ends import travel_ends

CYCLE_SECONDS: Final = 12.0
"""One way through the whole cycle [s]: slow enough to see where it gets close."""


class NamedPose(StrEnum):
    """Poses with a button, by the words on it."""

    RIDE_HEIGHT = "Ride height"
    FULL_STUFF = "Full stuff"
    FULL_DROOP = "Full droop"
    CROSSED_LEFT = "Crossed, left up"
    CROSSED_RIGHT = "Crossed, right up"


def named_pose(name: NamedPose, axle: Axle, steer: float = 0.0) -> TravelPose:
    """A named pose of an axle within the travel that it has, wheels turned by `steer` [rad]."""
    ends = travel_ends(axle)
    left, right = {
        NamedPose.RIDE_HEIGHT: (RIDE_HEIGHT.left, RIDE_HEIGHT.right),
        NamedPose.FULL_STUFF: (ends.bump, ends.bump),
        NamedPose.FULL_DROOP: (-ends.droop, -ends.droop),
        NamedPose.CROSSED_LEFT: ends.left_up,
        NamedPose.CROSSED_RIGHT: ends.right_up,
    }[name]
    return TravelPose(left, right, steer)


def cycle_pose(axle: Axle, share: float) -> TravelPose:
    """Where play is after a share of the cycle, 0 to 1; it starts and ends at ride height and never jumps."""
    stops = _stops(axle)
    place = (share % 1.0) * (len(stops) - 1)
    index = min(int(place), len(stops) - 2)
    one, two = list(pairwise(stops))[index]
    ease = (1.0 - cos(pi * (place - index))) / 2.0
    return TravelPose(
        one.left + ease * (two.left - one.left),
        one.right + ease * (two.right - one.right),
        one.steer + ease * (two.steer - one.steer),
    )


def _stops(axle: Axle) -> tuple[TravelPose, ...]:
    order = (
        NamedPose.RIDE_HEIGHT,
        NamedPose.FULL_STUFF,
        NamedPose.FULL_DROOP,
        NamedPose.RIDE_HEIGHT,
        NamedPose.CROSSED_LEFT,
        NamedPose.CROSSED_RIGHT,
        NamedPose.RIDE_HEIGHT,
    )
    stops = [named_pose(name, axle) for name in order]
    lock_left, lock_right = locks(axle)
    if lock_left or lock_right:
        stuff = NamedPose.FULL_STUFF
        stops += [
            named_pose(stuff, axle, lock_left),
            named_pose(stuff, axle, -lock_right),
            named_pose(NamedPose.RIDE_HEIGHT, axle, -lock_right),
            named_pose(NamedPose.RIDE_HEIGHT, axle, lock_left),
            RIDE_HEIGHT,
        ]
    return tuple(stops)
