"""The three freedoms of an axle: travel left, travel right, steer."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TravelPose:
    """One pose of one axle.

    Attributes
    ----------
    left, right : float
        Travel at the left and right stop station, bump positive, ride height zero [mm].
    steer : float
        Turn of both wheels about their kingpins, left turn positive [rad]; zero on an unsteered axle.

    """

    left: float = 0.0
    right: float = 0.0
    steer: float = 0.0


RIDE_HEIGHT = TravelPose()
