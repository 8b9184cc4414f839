"""Axles whose wheels are tied, in every way that there is."""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from geometry.rig.axle import Axle
from geometry.rig.steer_gear import Ackermann, TieRod

TIES: Final = ("tie rod behind", "tie rod ahead", "share")


def tied(axle: Axle, tie: str) -> Axle:
    """A steered axle with its wheels tied."""
    steering = axle.steering
    assert steering is not None
    forward, left, up = steering.kingpin
    if tie == "share":
        return replace(axle, steering=replace(steering, ackermann=Ackermann(share_factor=0.8, turn_length=2500.0)))
    arm = {"tie rod behind": (forward - 160.0, left - 45.0, up + 30.0), "tie rod ahead": (forward + 170.0, left, up)}
    return replace(axle, steering=replace(steering, tie_rod=TieRod(arm=arm[tie])))
