"""How far the rods alone hold the chassis up against squat, lift and dive.

For a solid axle all torque of drive and brakes is taken by the axle itself. Then the force at the contact patch acts
along the line to the instant centre, and of the load that moves between the axles, F h / L, the rods carry

    share × lean × L / h,

1 when the line meets the height of the centre of gravity above the other axle's patches. The lean counts upward from
the patch towards the other axle; `share` is the axle's part of all drive or brake force. D. C. Barton and
J. D. Fieldhouse, Automotive Chassis Engineering, eqs 3.63 to 3.69; the anti-dive example of a glossary of suspension
terms has the same form.

Drive: a rear axle resists squat, a driven front axle the lift of the nose. Brakes: a front axle resists the dive of the
nose, a rear axle the lift of the tail.

With the axle's own mass m apart from the sprung mass M, the line starts m R / M below the patch and h is the height of
the sprung mass; both are told then.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from geometry.links.motion import LinkPose

ALL: Final = 1.0
"""Share of an axle that alone drives or brakes [-]."""


@dataclass(frozen=True, slots=True)
class AssumedMasses:
    """What the percentages rest on.

    Attributes
    ----------
    wheelbase : float or None
        To the other axle [mm]; None = there is none.
    gravity_height : float or None
        Centre of gravity above the ground [mm], of the whole or, with `unsprung`, of the sprung mass; None = unknown.
    drive_share, brake_share : float or None
        The axle's part of all drive and brake force [-]; None = unknown.
    unsprung : float
        Axle's mass over the sprung mass [-]; 0 = the whole is taken as one.
    missing : tuple of str
        Places of what nobody gave.

    """

    wheelbase: float | None
    gravity_height: float | None
    drive_share: float | None = None
    brake_share: float | None = None
    unsprung: float = 0.0
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Antis:
    """Shares that the rods carry, 1 = all [-]; None = unknown.

    Attributes
    ----------
    drive : float or None
        Anti-squat of a rear axle, anti-lift of a front axle.
    brake : float or None
        Anti-lift of a rear axle, anti-dive of a front axle.
    assumed : AssumedMasses

    """

    drive: float | None
    brake: float | None
    assumed: AssumedMasses


def antis(found: LinkPose, assumed: AssumedMasses, *, front: bool, loaded_radius: float) -> Antis:
    """The shares at one pose of an axle that lies in front or at the rear of the other one; loaded radius [mm]."""
    wheelbase, height = assumed.wheelbase, assumed.gravity_height
    if not wheelbase or not height:
        return Antis(None, None, assumed)
    lean = _lean(found, assumed.unsprung * loaded_radius)
    whole = (-lean if front else lean) * wheelbase / height
    return Antis(
        drive=None if assumed.drive_share is None else assumed.drive_share * whole,
        brake=None if assumed.brake_share is None else assumed.brake_share * whole,
        assumed=assumed,
    )


def _lean(found: LinkPose, below: float) -> float:
    """Lean of the line that starts below the patch; an instant centre that is far away sees no difference."""
    if below == 0.0 or found.instant_centre is None:
        return found.lean
    ahead, above = found.instant_centre
    return (above + below) / ahead
