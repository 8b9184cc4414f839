"""How well both wheels agree in a turn, and how wide it is.

Correct steering: cot φ − cot θ = j / b for the outer and the inner wheel, with the kingpins' distance on the ground
j = s − 2 r₀ (track s, scrub radius r₀) and the wheelbase b. Percent Ackermann, of several definitions in use:
(θ − φ) / (θ_correct − φ) × 100, θ_correct the inner wheel's turn that suits the outer one's.

Turning circle: the radius is that of the contact centre of the outer steered wheel round the turn's centre
(SAE J695), b / sin φ + r₀ with correct steering, and less by 50 mm for each degree that the outer wheel turns beyond
it, which is a rule of experience. Kerb to kerb adds half the tire's section; wall to wall what of tires and chassis
reaches farthest out.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, inf, nan, sin, tan
from typing import Final

import numpy as np

from geometry.motion.steering import ground_offsets
from geometry.rig.axle import Axle
from geometry.rig.layout import bar_paths, panel_facets
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions, track_width
from geometry.steering.in_turn import wheel_in_turn

ERROR_GAIN: Final = 50.0
"""What the turning radius loses for each degree of steering error, in the published formula [mm]."""

STRAIGHT: Final = 1e-6
"""Turn under which a wheel runs straight ahead [rad]: its circle would be a thousand kilometres wide."""


@dataclass(frozen=True)
class Agreement:
    """Both wheels of a steered axle at one steer, seen from above.

    Attributes
    ----------
    inner, outer : float
        Steer of the wheel on the inside and on the outside of the turn, positive [rad].
    correct_outer : float
        What the outer one should have for the inner one [rad].
    percent : float
        Ackermann, as defined in the module [%]; nan straight ahead.

    """

    inner: float
    outer: float
    correct_outer: float
    percent: float

    @property
    def error(self) -> float:
        """How far the outer wheel turns beyond what is correct [rad]."""
        return self.outer - self.correct_outer


@dataclass(frozen=True)
class TurningCircle:
    """How wide a turn is; radii [mm].

    Attributes
    ----------
    steer : float
        As of `TravelPose.steer` [rad].
    radius : float
        Centre of the turn to the outer steered wheel's contact centre, by that wheel's steer.
    by_rule : float
        The same after the rule of experience for steering errors.
    kerb, wall : float
        To the outside of the outer tire's tread; to the farthest point of tires and chassis seen from above.

    """

    steer: float
    radius: float
    by_rule: float
    kerb: float
    wall: float


def correct_outer(inner: float, kingpins: float, length: float) -> float:
    """Turn of the outer wheel with correct steering [rad].

    Parameters
    ----------
    inner : float
        Turn of the inner wheel [rad].
    kingpins, length : float
        Their distance on the ground, and axle to the line that it turns about [mm].

    """
    return atan2(sin(inner), cos(inner) + kingpins / length * sin(inner))


def correct_inner(outer: float, kingpins: float, length: float) -> float:
    """The inverse of `correct_outer`."""
    return atan2(sin(outer), cos(outer) - kingpins / length * sin(outer))


def turn_length(rig: Rig, axle: Axle) -> float | None:
    """From a steered axle back to the middle of those that do not steer [mm]; None where all of them do."""
    fixed = [other.station for other in rig.axles if other.steering is None]
    return axle.station - sum(fixed) / len(fixed) if fixed else None


def agreement(axle: Axle, steer: float, length: float) -> Agreement | None:
    """How both wheels agree at a steer; None on an unsteered axle.

    length : from the axle back to the line that it turns about, negative where that is ahead [mm].
    """
    left, right = wheel_in_turn(axle, "left", steer), wheel_in_turn(axle, "right", steer)
    ground = ground_offsets(axle)
    if left is None or right is None or ground is None:
        return None
    kingpins = track_width(axle.width, axle.wheel) - 2.0 * ground.scrub
    left_is_inner = (steer >= 0.0) == (length > 0.0)
    inner, outer = (abs(each.steer) for each in ((left, right) if left_is_inner else (right, left)))
    wanted = correct_inner(outer, kingpins, abs(length)) - outer
    percent = (inner - outer) / wanted * 100.0 if abs(wanted) > STRAIGHT else nan
    return Agreement(inner, outer, correct_outer(inner, kingpins, abs(length)), percent)


def turning_circle(rig: Rig, axle: Axle, steer: float) -> TurningCircle | None:
    """How wide the turn is at a steer, all the rig at ride height; None where nothing of it is established.

    That is on an unsteered axle and where every axle steers. Straight ahead all radii are infinite.
    """
    length = turn_length(rig, axle)
    both = None if length is None else agreement(axle, steer, length)
    ground = ground_offsets(axle)
    if length is None or both is None or ground is None:
        return None
    if both.outer < STRAIGHT:
        return TurningCircle(steer, inf, inf, inf, inf)
    tire = tire_dimensions(axle.tire)
    radius = abs(length) / sin(both.outer) + ground.scrub
    kingpins = track_width(axle.width, axle.wheel) - 2.0 * ground.scrub
    to_left = 1.0 if (steer > 0.0) == (length > 0.0) else -1.0
    centre = np.array([axle.station - length, to_left * (abs(length) / tan(both.outer) - kingpins / 2.0)])
    kerb = radius + tire.section_width / 2.0
    wall = max(hypot(kerb, tire.radius), _farthest(rig, centre))
    return TurningCircle(steer, radius, radius - ERROR_GAIN * degrees(both.error), kerb, wall)


def _farthest(rig: Rig, centre: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> float:
    """Farthest point of bars and fitted panels from a place, seen from above [mm]."""
    reach = 0.0
    for path in bar_paths(rig):
        reach = max(reach, float(np.linalg.norm(path.points[:, :2] - centre, axis=1).max()) + path.radius)
    for placed in panel_facets(rig):
        for loop in placed.facets:
            reach = max(reach, float(np.linalg.norm(loop[:, :2] - centre, axis=1).max()) + placed.radius)
    return reach
