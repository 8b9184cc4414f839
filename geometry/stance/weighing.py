"""The centre of gravity from axle loads: level for where it is fore and aft, one axle raised for how high.

With wheelbase L, load W, loaded radius r on both axles, one axle raised by H and the other one's load grown by ΔW: tan
θ = H / √(L² − H²), h = r + L ΔW / (W tan θ) (ISO 10392, suspension locked, tires hard, nothing rolling). Axles of
unequal height are taken as they are: the moments about the resting axle's centre balance before and after the turn by
θ.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, hypot, sin

from geometry.plan.amount import Amount, given, total, worked_out
from geometry.rig.axle import Axle
from geometry.rig.mass import Weighing
from geometry.rig.wheel import track_width


@dataclass(frozen=True, slots=True)
class WeighedCentre:
    """Mass [kg] and centre of gravity in the rig's frame [mm], as far as the scales tell."""

    mass: float
    x: Amount
    y: Amount
    z: Amount


def weighed_centre(weighing: Weighing, rear: Axle, front: Axle) -> WeighedCentre:
    """What the scales under two axles tell."""
    mass = weighing.rear_kg + weighing.front_kg
    x = (weighing.rear_kg * rear.station + weighing.front_kg * front.station) / mass
    return WeighedCentre(mass, Amount(x), _across(weighing, rear, front), _height(weighing, rear, front, x))


def raised_height(to_resting: float, base: float, step: float, lift: float, lifted_share: float) -> float | None:
    """Height of the centre of gravity over the centre of the axle that rests [mm].

    Parameters
    ----------
    to_resting : float
        Level distance from the resting axle to the centre of gravity, towards the other axle [mm].
    base, step : float
        Distance between the axles' centres along the ground, and by how much the raised one was higher before [mm].
    lift : float
        By how much the centre of the raised axle was raised [mm].
    lifted_share : float
        Load that the raised axle still carries, over all [-].

    Returns
    -------
    float or None
        None where no rig can be raised so far.

    """
    between = hypot(base, step)
    if step + lift >= between or step + lift == step:
        return None
    raised = asin((step + lift) / between)
    turn = raised - asin(step / between)
    return (to_resting * cos(turn) - lifted_share * between * cos(raised)) / sin(turn)


def _height(weighing: Weighing, rear: Axle, front: Axle, x: float) -> Amount:
    place = "masses/measured"
    if weighing.raised is None or weighing.lift is None or weighing.resting_kg is None:
        return Amount(None, tuple(f"{place}/{name}" for name in ("raised", "lift", "resting_kg")))
    resting, lifted = (rear, front) if weighing.raised == "front" else (front, rear)
    share = 1.0 - weighing.resting_kg / (weighing.rear_kg + weighing.front_kg)
    base = abs(front.station - rear.station)
    above = raised_height(abs(x - resting.station), base, lifted.height - resting.height, weighing.lift, share)
    if above is None:
        return Amount(None, (f"{place}/lift",))
    height = resting.height + above
    # The scales of one axle were misread where they put the centre of gravity under the ground.
    return Amount(height) if height > 0.0 else Amount(None, (f"{place}/resting_kg",))


def _across(weighing: Weighing, rear: Axle, front: Axle) -> Amount:
    mass = weighing.rear_kg + weighing.front_kg
    moments = []
    for axle, load, left, name in (
        (rear, weighing.rear_kg, weighing.rear_left_kg, "rear_left_kg"),
        (front, weighing.front_kg, weighing.front_left_kg, "front_left_kg"),
    ):
        half = track_width(axle.width, axle.wheel) / 2.0
        share = given(left, f"masses/measured/{name}")
        moments.append(worked_out(lambda on_left, half=half, load=load: half * (2.0 * on_left - load), share))
    return total(moments).turned_into(lambda moment: moment / mass)
