"""Motion ratio: how much of the travel at the stop station reaches a shock, and what it makes of a spring."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from geometry.motion.linkage import Floats
from geometry.motion.pose_map import PoseMap
from geometry.stroke.spans import Span


@dataclass(frozen=True, slots=True)
class RatioCurve:
    """A span along a straight line through ride height.

    Attributes
    ----------
    travel : tuple of float
        Of the wheel that leads [mm].
    length : tuple of float
        [mm]
    ratio : tuple of float
        By how much the length falls per travel of the wheel that leads, −dL/dt [-].

    """

    travel: tuple[float, ...]
    length: tuple[float, ...]
    ratio: tuple[float, ...]

    @property
    def change(self) -> float:
        """Largest less smallest ratio on the curve [-]."""
        return max(self.ratio) - min(self.ratio)


def ratio_curve(table: PoseMap, span: Span, by_left: float, by_right: float, travel: Floats) -> RatioCurve:
    """Length and motion ratio of a span at travels of the wheel that leads, shape (n,) [mm].

    by_left, by_right : travel of each wheel per mm of the one that leads; 1 and 1 for both together, 1 and 0 for the
    left one alone, 1 and -1 for roll. Ratios are those of the interpolated poses.
    """
    values, *slopes = table.evaluate(by_left * travel, by_right * travel)
    reach = _point(values, span) - np.array(span.chassis)
    speed = by_left * _point(slopes[0], span) + by_right * _point(slopes[1], span)
    if span.along is None:
        length = np.linalg.norm(reach, axis=1)
        rate = np.einsum("ni,ni->n", reach, speed) / length
    else:
        length, rate = reach @ np.array(span.along), speed @ np.array(span.along)
    return RatioCurve(tuple(travel.tolist()), tuple(length.tolist()), tuple((-rate).tolist()))


def wheel_rate(spring_rate: float, ratio: float) -> float:
    """Rate of a spring as felt where the travel is measured, k r², for small travel and the spring's own part only."""
    return spring_rate * ratio**2


def roll_rate(rate: float, spacing: float) -> float:
    """Rate of two springs against roll, k s² / 2, on a solid axle [rate · mm² per radian]: at their own spacing."""
    return rate * spacing**2 / 2.0


def _point(entries: Floats, span: Span) -> Floats:
    return np.asarray(entries[:, :3] + entries[:, 3:].reshape(-1, 3, 3) @ np.array(span.axle))
