"""Whether what locates an axle can do so: how many rods, and what leaf springs and shackles must be together."""

from __future__ import annotations

from math import asin, atan2, cos, degrees, hypot, pi, sin
from typing import Final

import numpy as np

from geometry.errors import RigError
from geometry.rig.axle import Axle
from geometry.rig.leaf import Floats, LeafArm, LeafSprings, leaf_arms
from geometry.rig.limits import check_least
from geometry.rig.parts import Point
from geometry.tolerances import COINCIDENT

LEAST_RODS: Final = 4
"""Rods that an axle needs to be located by them [-]."""

LEAST_ARM: Final = 150.0
"""Shortest free arm of a leaf spring [mm]: half a trailer's smallest. Common practice, no source."""

LEAST_SHACKLE: Final = 40.0
"""Shortest shackle, bolt to bolt [mm]: its bushings need as much. Common practice, no source."""

MOST_BEND: Final = 0.6
"""Largest angle between an arm's rod and its seat at ride height [rad]: over twice the bend of any usual arch, and the
three-link model is made for less."""

LEAST_SWING: Final = 0.2
"""Least sine of the angle between shackle and arm at ride height [-]: below it the shackle is about to snap through.
Common practice, no source."""

LEAST_LEAF: Final = 20.0
"""Narrowest leaf [mm]. Common practice, no source."""

LEAST_PACK: Final = 5.0
"""Thinnest pack [mm]. Common practice, no source."""


def check_located(axle: Axle, place: str) -> None:
    """Raise what is wrong with how an axle is located, if anything.

    Raises
    ------
    RigError
        With the place of the first fault, and the nearest value that works.

    """
    springs, count = axle.leaf_springs, len(axle.rods)
    if springs is None:
        if count < LEAST_RODS:
            raise RigError(
                f"{place}.rods",
                f"has {count} entries and must have at least {LEAST_RODS}, or none where there are leaf_springs",
            )
        return
    if count:
        raise RigError(
            f"{place}.rods",
            f"leaf springs locate this axle, and {count} rods would hold it a second time; remove the rods or the "
            "leaf_springs",
        )
    place = f"{place}.leaf_springs"
    _check_sizes(springs, place)
    _check_sides(springs, place)
    _check_seat(springs, axle, place)
    fixed, shackle = leaf_arms(springs)
    _check_arm(springs, fixed, "fixed_eye", place)
    _check_arm(springs, shackle, "shackle_eye", place)
    _check_shackle(springs, shackle, place)


def _check_sizes(springs: LeafSprings, place: str) -> None:
    check_least(springs.width, LEAST_LEAF, f"{place}.width", "width", "leaf")
    check_least(springs.thickness, LEAST_PACK, f"{place}.thickness", "thickness", "pack of leaves")


def _check_sides(springs: LeafSprings, place: str) -> None:
    """All of it is told for the left spring."""
    for field in ("fixed_eye", "shackle_eye", "shackle_pivot", "seat"):
        at: Point = getattr(springs, field)
        if at[1] - springs.width / 2.0 < 0.0:
            raise RigError(
                f"{place}.{field}",
                f"lies {at[1]:.1f} mm to the left of the centre plane, and the left spring needs half its width; make "
                f"the second number at least {springs.width / 2.0:.1f} mm",
            )


def _check_seat(springs: LeafSprings, axle: Axle, place: str) -> None:
    """The pack lies over or under the tube, and between the eyes."""
    low, high = sorted((springs.fixed_eye[0], springs.shackle_eye[0]))
    x, _, z = springs.seat
    if not low < x < high:
        raise RigError(
            f"{place}.seat",
            f"lies at x = {x:.1f} mm and must lie between the eyes, at {low:.1f} mm and {high:.1f} mm; move it there",
        )
    needed = (axle.housing.tube_od + springs.thickness) / 2.0
    off = hypot(x - axle.station, z - axle.height)
    if off < needed - COINCIDENT:
        nearest = axle.height + (needed if z >= axle.height else -needed)
        raise RigError(
            f"{place}.seat",
            f"the pack lies inside the axle tube, its middle {off:.1f} mm from the axle's centre where tube and pack "
            f"take {needed:.1f} mm; set the third number to {nearest:.1f} mm or beyond",
        )


def _check_arm(springs: LeafSprings, arm: LeafArm, field: str, place: str) -> None:
    if abs(arm.bend) > MOST_BEND:
        raise RigError(
            f"{place}.{field}",
            f"this arm leaves the seat at {degrees(abs(arm.bend)):.0f} degrees, and no leaf bends so far; "
            f"{degrees(MOST_BEND):.0f} degrees is the most, move the eye or set seat_deg",
        )
    if arm.free < LEAST_ARM:
        eye: Point = getattr(springs, field)
        away = 1.0 if eye[0] > springs.seat[0] else -1.0
        nearest = eye[0] + away * (LEAST_ARM - arm.free)
        raise RigError(
            f"{place}.{field}",
            f"leaves an arm of {arm.free:.0f} mm beside the clamp, and a leaf spring's is at least {LEAST_ARM:g} mm; "
            f"move the eye to x = {nearest:.1f} mm or make the clamp shorter",
        )


def _check_shackle(springs: LeafSprings, arm: LeafArm, place: str) -> None:
    eye = np.array([springs.shackle_eye[0], springs.shackle_eye[2]])
    pivot = np.array([springs.shackle_pivot[0], springs.shackle_pivot[2]])
    shackle, rod = eye - pivot, eye - np.array(arm.pivot)
    length = float(np.linalg.norm(shackle))
    if length < LEAST_SHACKLE:
        raise RigError(
            f"{place}.shackle_pivot",
            f"leaves a shackle of {length:.1f} mm, and its two bolts need {LEAST_SHACKLE:g} mm; move the pivot away "
            "from the eye",
        )
    swing = float(rod[0] * shackle[1] - rod[1] * shackle[0]) / (length * float(np.linalg.norm(rod)))
    if abs(swing) < LEAST_SWING:
        nearest = _pivot_nearby(eye, rod, shackle, length)
        raise RigError(
            f"{place}.shackle_pivot",
            f"shackle and spring stand nearly in line, {degrees(asin(abs(swing))):.0f} degrees apart, and the shackle "
            f"would snap through; move the pivot to x = {nearest[0]:.1f} mm, z = {nearest[1]:.1f} mm or beyond",
        )


def _pivot_nearby(eye: Floats, rod: Floats, shackle: Floats, length: float) -> tuple[float, float]:
    """Where the pivot of a shackle of that length comes out of line."""
    line = atan2(float(rod[1]), float(rod[0]))
    lean = atan2(float(shackle[1]), float(shackle[0])) - line
    lean = (lean + pi) % (2.0 * pi) - pi
    least = asin(LEAST_SWING) * 1.02
    away = least if abs(lean) < pi / 2.0 else pi - least
    turned = line + (away if lean >= 0.0 else -away)
    return float(eye[0]) - length * cos(turned), float(eye[1]) - length * sin(turned)
