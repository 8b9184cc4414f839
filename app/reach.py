"""How far from an axle's width others are looked at."""

from __future__ import annotations

from typing import Final

from geometry.rig.axle import Axle
from geometry.rig.check import least_width

WIDTH_REACH: Final = 254.0
"""How far to both sides of an axle's width others are worth looking at [mm]: ten inches, more than is ever cut off."""


def usual_widths(axle: Axle) -> tuple[float, float]:
    """Widths that are worth looking at when nobody says which [mm]: ten inches to both sides, never near the least."""
    return max(axle.width - WIDTH_REACH, (least_width(axle) + axle.width) / 2.0), axle.width + WIDTH_REACH
