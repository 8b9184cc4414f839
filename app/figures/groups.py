"""All groups of numbers in the order of the work, and which of them take time."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from app.figures import angles, cuts, driveline, mockup, perches, rods, shafts, stance, steering, strokes, wheels
from app.figures.figure import Group
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig


@dataclass(frozen=True, slots=True)
class Subject:
    """One group that can be made.

    Attributes
    ----------
    takes_time : bool
        More than some milliseconds: not to be made at every step of a drag.
    by_width : bool
        The widths of axles are part of it.

    """

    key: str
    title: str
    make: Callable[[Rig, Axle, float | None], Group]
    takes_time: bool = False
    by_width: bool = True


def _plain(make: Callable[[Rig, Axle], Group]) -> Callable[[Rig, Axle, float | None], Group]:
    return lambda rig, axle, _outer: make(rig, axle)


SUBJECTS: Final = (
    Subject("cuts", "Cuts", _plain(cuts.cuts)),
    Subject("proof", "Proof of the sum", _plain(cuts.proof)),
    Subject("mockup", "Mock-up axle", _plain(mockup.mockup)),
    Subject("perches", "Perch room", _plain(perches.perches)),
    Subject("angles", "Caster and pinion", _plain(angles.angles), by_width=False),
    Subject("travel", "Caster and pinion over the travel", _plain(angles.travel), takes_time=True, by_width=False),
    Subject("wheels", "Wheel fit", _plain(wheels.wheels)),
    Subject("compare", "Same outer width, two ways", lambda _rig, axle, outer: wheels.compare(axle, outer)),
    Subject("shafts", "Axle shafts", _plain(shafts.shafts)),
    Subject("strokes", "Shocks and straps", _plain(strokes.strokes), takes_time=True, by_width=False),
    Subject("steering", "Steering", _plain(steering.steering), takes_time=True),
    Subject("free_lock", "Steering: free lock", _plain(steering.free), takes_time=True),
    Subject("driveline", "Driveshaft", _plain(driveline.driveline), takes_time=True, by_width=False),
    Subject("pinions", "Pinion choices", _plain(driveline.pinions), takes_time=True, by_width=False),
    Subject("gears", "Gears and tires", _plain(driveline.gears), by_width=False),
    Subject("rods", "Links and bars", _plain(rods.rods), takes_time=True, by_width=False),
    Subject("masses", "Stance: weight and tipping", _plain(stance.masses)),
    Subject("under", "Stance: under the rig", _plain(stance.under), takes_time=True, by_width=False),
    Subject("ramp", "Stance: ramp travel", _plain(stance.ramp), takes_time=True),
    Subject("pocket", "Stance: rail pocket", _plain(stance.pocket)),
)


def subject(key: str) -> Subject:
    """The subject of a key; KeyError when there is none."""
    return {each.key: each for each in SUBJECTS}[key]


def group(rig: Rig, axle_id: str, key: str, outer: float | None = None) -> Group:
    """One group for an axle; `outer` is the outer width to compare at [mm]."""
    return replace(subject(key).make(rig, rig.axle(axle_id), outer), axle=axle_id)


def groups(rig: Rig, axle_id: str, outer: float | None = None) -> Iterator[Group]:
    """All groups for an axle."""
    return (group(rig, axle_id, each.key, outer) for each in SUBJECTS)
