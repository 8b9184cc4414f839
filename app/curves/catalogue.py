"""All quantities of an axle, and their curves."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from typing import Final

import numpy as np

from app.curves import travelling, turning
from app.curves.quantity import STEER, TRAVEL, Against, Curve, Curves, Found, Quantity
from app.curves.way import Poses, places, poses_at, poses_of
from geometry.contact.free_lock import FreeLock, free_lock
from geometry.errors import LinkageError
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

COUNT: Final = 121
"""Places along a way [-]: a few millimetres of travel apart, under a pixel of any plot's height from its line."""

Family = Callable[[Rig, Axle, Poses], Iterator[Found]]

FAMILIES: Final[dict[str, tuple[Family, tuple[Against, ...]]]] = {
    "stroke": (travelling.strokes, TRAVEL),
    "shaft": (travelling.shaft, TRAVEL),
    "joint": (travelling.joints, TRAVEL),
    "links": (travelling.links, TRAVEL),
    "squat": (travelling.squat, TRAVEL),
    "caster": (travelling.caster, TRAVEL),
    "bump": (turning.bumped, TRAVEL),
    "wheel": (turning.wheels, STEER),
    "agree": (turning.agreeing, STEER),
    "gear": (turning.gear, STEER),
}
"""By the first word of their keys, and over what they change."""

LOCK: Final = "lock"
"""The family of the free lock, which is searched for."""


def quantities(rig: Rig, axle: Axle, against: Against) -> tuple[Quantity, ...]:
    """The catalogue of an axle over a way, group by group."""
    found = values_at(rig, axle, against, RIDE_HEIGHT)
    groups = dict.fromkeys(each.quantity.group for each in found)
    return tuple(each.quantity for group in groups for each in found if each.quantity.group == group)


def curve(rig: Rig, axle: Axle, quantity: Quantity, against: Against, count: int = COUNT) -> Curve:
    """One quantity over a way; KeyError when the axle has none of its key there."""
    family = quantity.key.partition("/")[0]
    return curves(rig, axle, against, count, families=(family,)).curve(quantity.key)


def curves(
    rig: Rig,
    axle: Axle,
    against: Against,
    count: int = COUNT,
    *,
    families: Collection[str] | None = None,
    lock: FreeLock | None = None,
) -> Curves:
    """All quantities over a way, or those of some families; what is known of the free lock need not be searched."""
    at = places(axle, against, count)
    poses = poses_at(axle, against, at)
    if lock is None and against != "steer" and (families is None or LOCK in families):
        lock = _searched(rig, axle, poses)
    found = tuple(_found(rig, axle, against, poses, families, lock))
    return Curves(
        axle.id, against, at, poses.left, poses.right, poses.steer, poses.reached, found, problem=poses.problem
    )


def values_at(
    rig: Rig,
    axle: Axle,
    against: Against,
    pose: TravelPose,
    *,
    families: Collection[str] | None = None,
    lock: FreeLock | None = None,
) -> tuple[Found, ...]:
    """The same in one pose, each with one value; of the free lock only what is known is told."""
    poses = poses_of(axle, against, (pose,))
    return tuple(_found(rig, axle, against, poses, families, lock))


def _found(
    rig: Rig, axle: Axle, against: Against, poses: Poses, families: Collection[str] | None, lock: FreeLock | None
) -> Iterator[Found]:
    for name, (family, over) in FAMILIES.items():
        if against in over and (families is None or name in families):
            yield from family(rig, axle, poses)
    if against != "steer" and (families is None or LOCK in families):
        yield from turning.free(axle, poses, lock, poses.problem)


def _searched(rig: Rig, axle: Axle, poses: Poses) -> FreeLock | None:
    """The free lock, unless the linkage cannot follow its travel."""
    if poses.problem or not np.any(poses.reached):
        return None
    try:
        return free_lock(rig, axle)
    except LinkageError:
        return None
