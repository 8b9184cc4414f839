"""When the rig tips over on a side slope, as a rigid body on rigid tires.

The static stability factor is half the track over the height of the centre of gravity, and the slope at which the rig
tips is its arc tangent (US rollover rating). It is told for each axle's own track, since a rig on solid axles may have
two, and once for the rig: there the lines through the contact centres on either side are taken at the station of the
centre of gravity and its distance from the centre plane is taken off. Springs and tires give way, so that a rig tips
sooner.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations_with_replacement
from math import atan

from geometry.plan.amount import Amount, worked_out
from geometry.rig.axle import Axle
from geometry.rig.mass import State
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions, track_width
from geometry.stance.masses import MassState


@dataclass(frozen=True, slots=True)
class AxleStability:
    """Stability by the track of one axle.

    Attributes
    ----------
    track : float
        Tire centre plane to tire centre plane [mm].
    factor : Amount
        Static stability factor, track / 2h [-].
    tip : Amount
        Side slope at which it tips about the middle of the tires, atan of the factor [rad].
    tip_outer : Amount
        The same about the outer edges of the treads, which no rig gets beyond [rad].
    factor_by_width, tip_by_width : Amount
        By how much factor [1/mm] and tip angle [rad/mm] grow with the wheel-mount width.

    """

    axle: str
    track: float
    factor: Amount
    tip: Amount
    tip_outer: Amount
    factor_by_width: Amount
    tip_by_width: Amount


@dataclass(frozen=True, slots=True)
class Stability:
    """Stability of the rig, empty or loaded.

    Attributes
    ----------
    axles : tuple of AxleStability
        In the order of the rig's axles.
    factor, tip : Amount
        Of the rig, about the side that it tips to first; zero where the centre of gravity is not above the ground
        between the tires.

    """

    state: State
    axles: tuple[AxleStability, ...]
    factor: Amount
    tip: Amount


def stability_factor(track: float, height: float) -> float:
    """Static stability factor [-] of a track and a height of the centre of gravity: track / 2h."""
    return track / (2.0 * height)


def tread_width(axle: Axle) -> float:
    """Outer edge of one tread to that of the other [mm]: outer width less both shoulders."""
    tire = tire_dimensions(axle.tire)
    return track_width(axle.width, axle.wheel) + tire.section_width - 2.0 * tire.shoulder_radius


def stability(rig: Rig, masses: MassState) -> Stability:
    """Stability at the rig's own widths."""
    factor = worked_out(lambda x, y, z: _room(rig, x, y) / z, masses.x, masses.y, masses.z)
    axles = tuple(_by_axle(axle, masses.z) for axle in rig.axles)
    return Stability(masses.state, axles, factor, factor.turned_into(atan))


def _by_axle(axle: Axle, height: Amount) -> AxleStability:
    track = track_width(axle.width, axle.wheel)

    def told(formula: Callable[[float], float]) -> Amount:
        return height.turned_into(formula)

    return AxleStability(
        axle=axle.id,
        track=track,
        factor=told(lambda h: stability_factor(track, h)),
        tip=told(lambda h: atan(stability_factor(track, h))),
        tip_outer=told(lambda h: atan(stability_factor(tread_width(axle), h))),
        factor_by_width=told(lambda h: stability_factor(1.0, h)),
        tip_by_width=told(lambda h: stability_factor(1.0, h) / (1.0 + stability_factor(track, h) ** 2)),
    )


def _room(rig: Rig, x: float, y: float) -> float:
    """Centre of gravity, seen from above, to the nearer line through contact centres [mm]; none = 0."""
    feet = sorted((axle.station, track_width(axle.width, axle.wheel) / 2.0) for axle in rig.axles)
    reach = 0.0
    for (behind, narrow), (ahead, wide) in combinations_with_replacement(feet, 2):
        if behind <= x <= ahead:
            share = (x - behind) / (ahead - behind) if ahead > behind else 0.0
            reach = max(reach, narrow + share * (wide - narrow))
    return max(reach - abs(y), 0.0)
