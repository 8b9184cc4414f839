"""What the shares that the rods carry of squat, lift and dive rest on, as far as the rig says it."""

from __future__ import annotations

from geometry.links.squat import ALL, AssumedMasses
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.stance.masses import MassState


def assumed_masses(
    rig: Rig, axle: Axle, masses: MassState, *, drive_share: float | None = ALL, brake_share: float | None = None
) -> AssumedMasses:
    """Wheelbase to the farthest other axle and height of gravity of the rig empty or loaded, taken as one mass.

    The shares are whatever is asked about: by itself an axle is taken to drive alone, and brakes are unknown.
    """
    others = [abs(other.station - axle.station) for other in rig.axles if other.id != axle.id]
    return AssumedMasses(
        wheelbase=max(others, default=None),
        gravity_height=masses.z.value,
        drive_share=drive_share,
        brake_share=brake_share,
        missing=masses.z.missing if others else ("axles", *masses.z.missing),
    )
