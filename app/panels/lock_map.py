"""The free lock over the travel as a picture for the pad: one cell a pixel, each proved."""

from __future__ import annotations

from math import degrees, isfinite
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QImage

from app.panels.ramp import ramp
from app.units import format_angle
from geometry.motion.travel import TravelPose

if TYPE_CHECKING:
    from geometry.contact.free_lock import FreeLock


def lock_image(found: FreeLock) -> QImage:
    """The lesser share of the full lock that is free, upper row = most travel on the right; transparent = no pose."""
    count = len(found.edges) - 1
    image = QImage(count, count, QImage.Format.Format_ARGB32)
    image.fill(Qt.GlobalColor.transparent)
    left, right = np.array(found.left) / found.lock_left, np.array(found.right) / found.lock_right
    for row, shares in enumerate(np.minimum(left, right).tolist()):
        for column, share in enumerate(shares):
            if isfinite(share):
                image.setPixelColor(column, count - 1 - row, ramp(share))
    return image


def cells_locked(found: FreeLock) -> list[QRectF]:
    """Cells in which not even straight ahead is free, as rectangles of travel [mm], top = least right travel."""
    edges = found.edges
    least = np.minimum(np.array(found.left), np.array(found.right))
    return [
        QRectF(edges[column], edges[row], edges[column + 1] - edges[column], edges[row + 1] - edges[row])
        for row, column in np.argwhere(least <= 0.0).tolist()
    ]


def lock_words(found: FreeLock, pose: TravelPose) -> str:
    """The free lock round a pose: “free lock 22.7° left, 31° right”, or “… each way”; empty where no pose is."""
    edges = np.array(found.edges)
    column, row = (
        int(np.clip(np.searchsorted(edges, travel, side="right") - 1, 0, len(edges) - 2))
        for travel in (pose.left, pose.right)
    )
    if not isfinite(found.left[row][column]):
        return ""
    left, right = (format_angle(degrees(way[row][column])) for way in (found.left, found.right))
    return f"free lock {left} each way" if left == right else f"free lock {left} left, {right} right"
