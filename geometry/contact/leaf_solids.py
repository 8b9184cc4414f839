"""Leaf springs as solids: arms, pack and shackle, each in straights of the three-link model.

The leaves of an arm bend, and its rod is straight. Where the leaf, tangent to the seat at the clamp's end, bends to a
circle (x the share of the free length from there, δ the eye's way out of the seat's line, leaf factor r), it leaves rod
and seat by (x − (1 − r)) δ / r − x² δ at most, which is (1 / 4r² − (1 − r) / r) δ at x = 1 / 2r: **bow**. It is added
to the arms' thickness with the largest δ of straight travel. A leaf that is built bent otherwise leaves them farther.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from typing import Final

import numpy as np

from geometry.contact.movers import Floats, Solid
from geometry.contact.solids import SIDES
from geometry.motion.leaf import Leaves, most_bend
from geometry.motion.linkage import Linkage, linkage_of
from geometry.rig.axle import Axle
from geometry.rig.layout import MIRROR, PartRef, Side
from geometry.rig.leaf import LeafSprings
from geometry.rig.naming import leaf_part, shackle_part

STRIPS: Final = 2
"""Capsules side by side that cover the width of a spring [-]: one would stand out over and under it by half of that."""

PLATE: Final = 8.0
"""Thickness of a shackle's plates, one on either side of the spring [mm]. Common practice, no source."""

PLATE_DEPTH: Final = 50.0
"""Depth of a shackle's plates [mm]. Common practice, no source."""


def leaf_solids(axle: Axle) -> Iterator[Solid]:
    """Both springs and their shackles, less the room of eyes and pivots; nothing where rods locate the axle."""
    springs, linkage = axle.leaf_springs, linkage_of(axle)
    if springs is None or linkage.leaves is None:
        return
    bows = _bows(linkage, linkage.leaves)
    for side in SIDES:
        for strip in np.linspace(-1.0, 1.0, 2 * STRIPS + 1)[1::2]:
            aside = np.array([0.0, strip * springs.width / 2.0, 0.0])
            yield from _spring(leaf_part(axle, side), side, springs, linkage, bows, aside)
        yield _shackle(shackle_part(axle, side), side, springs, linkage.leaves)


def _bows(linkage: Linkage, leaves: Leaves) -> tuple[float, float]:
    """How far fixed and shackle arm leave their rods at the most [mm]."""
    r = leaves.factor
    share = 1.0 / (4.0 * r * r) - (1.0 - r) / r
    reach = linkage.travel_half
    middle = (linkage.bump - linkage.droop) / 2.0
    bends = most_bend(leaves, linkage.centre, middle - reach, middle + reach)
    fixed, shackle = (share * r * free * np.sin(bend) for free, bend in zip(leaves.free, bends, strict=True))
    return float(fixed), float(shackle)


def _spring(
    part: PartRef, side: Side, springs: LeafSprings, linkage: Linkage, bows: tuple[float, float], aside: Floats
) -> Iterator[Solid]:
    """One strip of a spring: its fixed arm, its pack on the axle, its shackle arm."""
    leaves = linkage.leaves
    if leaves is None:
        return
    flip = MIRROR if side == "right" else np.ones(3)
    fixed_eye, shackle_eye = (np.array(at) * flip + aside for at in (leaves.fixed_eye, leaves.shackle_eye))
    fixed, shackle = (np.array(at) * flip + aside for at in (leaves.fixed_arm, leaves.shackle_arm))
    radius = hypot(springs.width / STRIPS, springs.thickness) / 2.0
    room, centre = springs.eye_room, np.array(linkage.centre)

    length = float(np.linalg.norm(centre + fixed - fixed_eye))
    share = (1.0 + room / length) / 2.0
    yield Solid(
        part=part,
        half_length=max(length - room, 0.0) / 2.0,
        core_radius=0.0,
        skin=radius + bows[0],
        place=np.vstack([(1.0 - share) * fixed_eye, share * fixed, np.zeros((3, 3))]),
        place_scale=share,
        axis=np.vstack([-fixed_eye / length, fixed / length, np.zeros((2, 3))]),
        axis_scale=1.0 / length,
    )
    way = fixed - shackle
    pack = float(np.linalg.norm(way))
    yield Solid(
        part=part,
        half_length=pack / 2.0,
        core_radius=0.0,
        skin=radius,
        place=np.vstack([np.zeros(3), (fixed + shackle) / 2.0, np.zeros((3, 3))]),
        place_scale=1.0,
        axis=np.vstack([np.zeros(3), way / pack, np.zeros((2, 3))]),
        axis_scale=0.0,
    )
    across = shackle_eye * [0.0, 1.0, 0.0]
    length = float(np.linalg.norm(centre + shackle - shackle_eye))
    share = (1.0 - room / length) / 2.0
    yield Solid(
        part=part,
        half_length=max(length - room, 0.0) / 2.0,
        core_radius=0.0,
        skin=radius + bows[1],
        place=np.vstack([share * across, (1.0 - share) * shackle, np.zeros((3, 3))]),
        place_scale=1.0 - share,
        axis=np.vstack([-across / length, shackle / length, np.zeros((2, 3))]),
        axis_scale=1.0 / length,
        eye=SIDES.index(side),
        place_eye=share,
        axis_eye=-1.0 / length,
    )


def _shackle(part: PartRef, side: Side, springs: LeafSprings, leaves: Leaves) -> Solid:
    flip = MIRROR if side == "right" else np.ones(3)
    pivot, eye = np.array(leaves.shackle_pivot) * flip, np.array(leaves.shackle_eye) * flip
    across = eye * [0.0, 1.0, 0.0]
    length = float(np.linalg.norm(eye - pivot))
    room = min(springs.shackle_room, length)
    share = (1.0 + room / length) / 2.0
    return Solid(
        part=part,
        half_length=(length - room) / 2.0,
        core_radius=0.0,
        skin=hypot(springs.width / 2.0 + PLATE, PLATE_DEPTH / 2.0),
        place=np.vstack([(1.0 - share) * pivot + share * across, np.zeros((4, 3))]),
        place_scale=0.0,
        axis=np.vstack([(across - pivot) / length, np.zeros((3, 3))]),
        axis_scale=0.0,
        eye=SIDES.index(side),
        place_eye=share,
        axis_eye=1.0 / length,
    )
