"""The driveshaft from the pinion to the transfer case at ride height: what a pinion offset costs it.

Angles are those between the shaft and the pinion's axis: in plan, in side view, and in space. The one in space is the
joint's working angle; C² = T² + S² is its approximation for small angles, the angle between both directions is exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, hypot, radians, sin

import numpy as np
from msgspec.structs import replace

from geometry.plan.amount import Amount
from geometry.plan.half import build_of
from geometry.rig.axle import Axle
from geometry.rig.pinion import pinion_joint


@dataclass(frozen=True, slots=True)
class Driveshaft:
    """How the shaft runs at a pinion offset.

    Attributes
    ----------
    offset : float
        Pinion offset, left positive [mm].
    plan : Amount
        Seen from above, between shaft and pinion axis [rad]; positive with the transfer case's end to the left.
    side : Amount
        In side view [rad]; positive with that end above the pinion's axis.
    joint : Amount
        Working angle of the joint at the pinion [rad].
    length : Amount
        Joint at the pinion to the joint at the transfer case [mm].

    """

    offset: float
    plan: Amount
    side: Amount
    joint: Amount
    length: Amount


def driveshaft(axle: Axle, offset: float | None = None) -> Driveshaft:
    """The driveshaft at the axle's own pinion offset or at another one [mm]; unknown without the other end's place."""
    at = axle.housing.pinion_offset if offset is None else offset
    output = build_of(axle).transfer_output
    if output is None:
        unknown = Amount(None, (f"axles/{axle.id}/build/transfer_output",))
        return Driveshaft(at, unknown, unknown, unknown, unknown)
    housing = replace(axle.housing, pinion_offset=at)
    tip = np.array([axle.station, 0.0, axle.height]) + pinion_joint(replace(axle, housing=housing))
    facing, angle = (1.0 if housing.pinion_faces == "forward" else -1.0), radians(housing.pinion_angle_deg)
    shaft = np.array(output) - tip
    ahead, left, up = float(facing * shaft[0]), float(shaft[1]), float(shaft[2])
    length = float(np.linalg.norm(shaft))
    if length == 0.0:
        none = Amount(None, (f"axles/{axle.id}/build/transfer_output",))
        return Driveshaft(at, none, none, none, Amount(0.0))
    along, across = ahead * cos(angle) + up * sin(angle), up * cos(angle) - ahead * sin(angle)
    return Driveshaft(
        offset=at,
        plan=Amount(atan2(left, ahead)),
        side=Amount(atan2(up, ahead) - angle),
        joint=Amount(atan2(hypot(across, left), along)),
        length=Amount(length),
    )
