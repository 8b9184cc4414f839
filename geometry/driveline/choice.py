"""Centre sections side by side: what a raised, a low or a shifted pinion costs the driveshaft and the ground."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from geometry.driveline.shaft import ShaftPose, ShaftTravel, shaft_at, shaft_travel
from geometry.motion.travel import TravelBox, TravelPose
from geometry.rig.axle import Axle
from geometry.rig.pinion import pinion_base, pinion_direction, with_pinion


@dataclass(frozen=True, slots=True)
class PinionCompared:
    """One centre section.

    Attributes
    ----------
    id, name : str
        Of the choice; both empty for the one that is drawn.
    axle : Axle
        The axle with it.
    travel : ShaftTravel or None
        None = the transfer case's joint is not measured.
    full_droop, full_bump : ShaftPose or None
        At both ends of straight travel.
    under_centre, under_pinion : float
        Ground to the lowest of the centre section and of the pinion's snout at ride height [mm]; without a snout the
        pinion counts as the centre section.

    """

    id: str
    name: str
    axle: Axle
    travel: ShaftTravel | None
    full_droop: ShaftPose | None
    full_bump: ShaftPose | None
    under_centre: float
    under_pinion: float

    @property
    def ground_clearance(self) -> float:
        """Ground to the lower of both [mm]."""
        return min(self.under_centre, self.under_pinion)


def compare_pinions(axle: Axle, boxes: Sequence[TravelBox] | None = None) -> tuple[PinionCompared, ...]:
    """The centre section that is drawn and then every other choice, over all of the travel or over boxes of it.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel.

    """
    drawn = _compared("", "", axle, boxes)
    others = (
        _compared(choice.id, choice.name or choice.id, with_pinion(axle, choice), boxes)
        for choice in axle.pinion_choices
    )
    return (drawn, *others)


def _compared(name_id: str, name: str, axle: Axle, boxes: Sequence[TravelBox] | None) -> PinionCompared:
    ends = shaft_at(axle, (TravelPose(-axle.droop, -axle.droop), TravelPose(axle.bump, axle.bump)))
    droop, bump = ends or (None, None)
    housing = axle.housing
    under_centre = axle.height - housing.centre_radius
    under_pinion = under_centre
    if housing.pinion_length > 0.0:
        base = float(pinion_base(housing)[2])
        tip = base + housing.pinion_length * float(pinion_direction(housing)[2])
        under_pinion = axle.height + min(base, tip) - housing.pinion_radius
    return PinionCompared(name_id, name, axle, shaft_travel(axle, boxes), droop, bump, under_centre, under_pinion)
