"""What each axle carries, at rest on the level: mass · distance of the centre of gravity from the other / wheelbase."""

from __future__ import annotations

from dataclasses import dataclass
from operator import mul

from geometry.plan.amount import Amount, worked_out
from geometry.rig.rig import Rig
from geometry.stance.masses import MassState


@dataclass(frozen=True, slots=True)
class AxleLoad:
    """Load on one axle [kg] and its share of the whole [-]."""

    axle: str
    load: Amount
    share: Amount


def load_share(from_other: float, wheelbase: float) -> float:
    """Share of the mass that an axle carries, by the distance of the centre of gravity from the other axle [mm]."""
    return from_other / wheelbase


def axle_loads(rig: Rig, masses: MassState) -> tuple[AxleLoad, ...]:
    """Loads in the order of the rig's axles. What more than two axles carry their springs decide: it is unknown.

    A centre of gravity beyond an axle lifts the other one, whose load then is negative.
    """
    if len(rig.axles) == 1:
        return (AxleLoad(rig.axles[0].id, masses.mass, Amount(1.0)),)
    if len(rig.axles) > 2:
        unknown = Amount(None, ("axles",))
        return tuple(AxleLoad(axle.id, unknown, unknown) for axle in rig.axles)
    loads = []
    for axle, other in zip(rig.axles, reversed(rig.axles), strict=True):
        from_other = masses.x - Amount(other.station)
        share = worked_out(load_share, from_other, Amount(axle.station - other.station))
        loads.append(AxleLoad(axle.id, worked_out(mul, share, masses.mass), share))
    return tuple(loads)
