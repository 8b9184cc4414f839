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
        Turn about its kingpin of the wheel on the side that is steered to, left turn positive [rad]; zero on an
        unsteered axle. Without a tie rod or a share of Ackermann both wheels turn by it.

    """

    left: float = 0.0
    right: float = 0.0
    steer: float = 0.0


RIDE_HEIGHT = TravelPose()


@dataclass(frozen=True, slots=True)
class TravelBox:
    """A box of poses of one axle; several of them make up a travel that is cut down.

    Attributes
    ----------
    left, right : (least, most)
        Travel at the stop stations [mm].
    steer : (least, most)
        Turn of the wheels [rad].

    """

    left: tuple[float, float]
    right: tuple[float, float]
    steer: tuple[float, float] = (0.0, 0.0)
