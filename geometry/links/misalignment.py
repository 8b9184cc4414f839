"""How far the joints of every rod lean over the travel, proved.

The eye of a rod turns freely on its bolt; what leans is its bore. Let e be the direction of the rod, a₁ and a₂ those
of the bolts, a₁ fixed in the chassis and a₂ in the axle. A rod whose bores are square to it and that turns freely about
itself leans by asin |e · aᵢ| at either end, taken by itself. Both bores sit in one rod, however, so that both ends
agree on its turn only up to the **twist** τ, by which the parts of a₁ and a₂ across e turn against each other since
ride height (roll of the axle twists a link that runs fore and aft by as much). A joint that leans by m and may lean by
L takes acos(cos L / cos m) of it. The rod binds where both ends together do not take it all.

Two rods that share their joint on the axle are one arm: it hinges on the line through both joints on the chassis, its
bores sit in it as the bolts point at ride height, and each joint leans by the angle between bore and bolt.

Spherical joints whose eyes are drawn straight on; no source that fits, the geometry is own work.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import acos, cos, radians

import numpy as np

from geometry.motion.asked import Asked, Verdict
from geometry.motion.extremes import CarriedForms, Cells, Extreme, Extremes, extremes, greatest, whole_travel
from geometry.motion.forms import Floats, Form, angle, arc_sine, bearing, constant, cross, dot, unit
from geometry.motion.linkage import Linkage, Place, linkage_of
from geometry.motion.pose_map import PoseMap, pose_map
from geometry.motion.travel import TravelBox, TravelPose
from geometry.rig.axle import Axle, Rod
from geometry.tolerances import ANGLE_FOUND, COINCIDENT

_UP: Floats = np.array([0.0, 0.0, 1.0])
_AHEAD: Floats = np.array([1.0, 0.0, 0.0])


@dataclass(frozen=True, slots=True)
class RodJoints:
    """The joints of one rod over a travel.

    Attributes
    ----------
    rod : str
        Its id.
    arm_with : str
        Id of the rod that it makes one arm with; empty = it is a rod of its own.
    chassis, axle : Extreme
        Greatest lean of either joint by itself [rad].
    twist : Extreme or None
        Greatest twist between both ends [rad]; None in an arm, which has none.
    asked : tuple of Asked
        The lean of both joints against their limits [rad].
    twist_verdict : str
        Whether both joints together take the twist; of an arm it always holds.
    bolts_assumed : bool
        One bolt at least is taken to lie level and square to the rod, for nobody said how it lies.

    """

    rod: str
    arm_with: str
    chassis: Extreme
    axle: Extreme
    twist: Extreme | None
    asked: tuple[Asked, Asked]
    twist_verdict: Verdict
    bolts_assumed: bool


@dataclass(frozen=True, slots=True)
class Leans:
    """The joints of one rod in one pose [rad]; fields as in RodJoints."""

    chassis: float
    axle: float
    twist: float | None


@dataclass(frozen=True)
class _Ends:
    """One rod with unit vectors along its bolts at ride height, and the other leg's chassis joint of an arm."""

    at: int
    chassis_bolt: Place
    axle_bolt: Place
    other: int | None


def rod_joints(axle: Axle, boxes: Sequence[TravelBox] | None = None) -> tuple[RodJoints, ...]:
    """The joints of each rod, in the order of the rods, over all of the travel or over boxes of it.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel.

    """
    linkage = linkage_of(axle)
    over = whole_travel(linkage) if boxes is None else tuple(boxes)
    return tuple(_joints_of(axle, linkage, at, over) for at in range(len(axle.rods)))


def joint_leans(axle: Axle, poses: Sequence[TravelPose]) -> tuple[tuple[Leans, ...], ...]:
    """For each rod, in the order of the rods, its leans in each of the poses.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel.

    """
    linkage = linkage_of(axle)
    return tuple(tuple(_at_poses(linkage, _ends_of(axle, at), poses)) for at in range(len(axle.rods)))


def bolt_of(rod: Rod, end: str) -> Floats:
    """Unit vector along the bolt at the chassis or axle end as drawn; level and square to the rod if not given."""
    given: tuple[float, float, float] | None = getattr(rod, f"{end}_bolt")
    along = np.subtract(rod.axle, rod.chassis)
    bolt: Floats = np.array(given) if given is not None else np.cross(_UP, along)
    size = float(np.linalg.norm(bolt))
    return bolt / size if size > COINCIDENT else _AHEAD


def twist_room(limit: float, lean: float) -> float:
    """How much twist a joint takes that may lean by `limit` and does by `lean`, 0 if it already leans too far [rad]."""
    return acos(min(cos(limit) / max(cos(lean), COINCIDENT), 1.0)) if lean < limit else 0.0


def _joints_of(axle: Axle, linkage: Linkage, at: int, over: tuple[TravelBox, ...]) -> RodJoints:
    rod, ends = axle.rods[at], _ends_of(axle, at)
    chassis, on_axle, twist = _over(linkage, ends, over)
    place = f"axles/{axle.id}/rods/{rod.id}"
    limits = tuple(None if limit is None else radians(limit) for limit in (rod.chassis_limit_deg, rod.axle_limit_deg))
    asked = (
        Asked(f"{place}/chassis_limit_deg", chassis.low, chassis.high, limits[0]),
        Asked(f"{place}/axle_limit_deg", on_axle.low, on_axle.high, limits[1]),
    )
    return RodJoints(
        rod=rod.id,
        arm_with="" if ends.other is None else axle.rods[ends.other].id,
        chassis=chassis,
        axle=on_axle,
        twist=twist,
        asked=asked,
        twist_verdict=_twist_verdict(linkage, ends, asked, twist),
        bolts_assumed=rod.chassis_bolt is None or rod.axle_bolt is None,
    )


def _twist_verdict(linkage: Linkage, ends: _Ends, asked: tuple[Asked, Asked], twist: Extreme | None) -> Verdict:
    """Holds when the worst leans leave room for the worst twist; fails when they do not in the twist's own pose."""
    if twist is None:
        return "holds"
    one, other = (each.limit for each in asked)
    if one is None or other is None:
        return "unknown"
    if twist.high <= twist_room(one, asked[0].high) + twist_room(other, asked[1].high):
        return "holds"
    there = _at_poses(linkage, ends, (twist.pose,))[0]
    return "fails" if twist.low > twist_room(one, there.chassis) + twist_room(other, there.axle) else "unknown"


def _ends_of(axle: Axle, at: int) -> _Ends:
    rod = axle.rods[at]
    shared = (
        index
        for index, each in enumerate(axle.rods)
        if index != at and float(np.linalg.norm(np.subtract(each.axle, rod.axle))) <= COINCIDENT
    )
    other = next(shared, None)
    bolts = {}
    for end in ("chassis", "axle"):
        bolt = bolt_of(rod, end)
        if other is not None and getattr(rod, f"{end}_bolt") is None:
            bolt = _hinge(np.array(rod.chassis), np.array(axle.rods[other].chassis))
        bolts[end] = (float(bolt[0]), float(bolt[1]), float(bolt[2]))
    return _Ends(at, bolts["chassis"], bolts["axle"], other)


def _hinge(one: Floats, other: Floats) -> Floats:
    along: Floats = other - one
    return along / max(float(np.linalg.norm(along)), COINCIDENT)


@lru_cache(maxsize=256)  # a width is dragged above the same linkage
def _over(linkage: Linkage, ends: _Ends, over: tuple[TravelBox, ...]) -> tuple[Extreme, Extreme, Extreme | None]:
    table = pose_map(linkage)

    def most(part: Callable[[_Leans], Form]) -> Extreme:
        def lean(cells: Cells) -> Form:
            return part(_Leans(table, ends, cells))

        if ends.other is not None:  # an angle has no sign
            return greatest(lean, over, ANGLE_FOUND)
        return _size(extremes(lean, over, ANGLE_FOUND))

    twist = None if ends.other is not None else most(_Leans.twist)
    return most(_Leans.at_chassis), most(_Leans.at_axle), twist


def _size(found: Extremes) -> Extreme:
    """The greatest absolute value of what is known with its sign."""
    least, most = found.least, found.most
    low, high = max(-least.high, most.low), max(-least.low, most.high)
    pose = most.pose if most.low >= -least.high else least.pose
    return Extreme(max(low, 0.0), high, pose, settled=least.settled and most.settled)


def _at_poses(linkage: Linkage, ends: _Ends, poses: Sequence[TravelPose]) -> list[Leans]:
    middle = np.array([(pose.left, pose.right, 0.0) for pose in poses]).reshape(-1, 3)
    with np.errstate(all="ignore"):  # where a form has no bound, see geometry.motion.forms
        leans = _Leans(pose_map(linkage), ends, Cells(middle, np.zeros_like(middle)))
        chassis, axle = (np.abs(form.value).tolist() for form in (leans.at_chassis(), leans.at_axle()))
        twist = [None] * len(poses) if ends.other is not None else np.abs(leans.twist().value).tolist()
    return [Leans(*each) for each in zip(chassis, axle, twist, strict=True)]


class _Leans:
    """The leans of one rod's joints as forms over cells, with a sign as far as they have one."""

    def __init__(self, table: PoseMap, ends: _Ends, cells: Cells) -> None:
        linkage, carried = table.linkage, CarriedForms(table, cells)
        self._ends, self._anchors = ends, linkage.anchors
        self._ride = unit_of(linkage.rods[ends.at])
        self._rod = carried.point(linkage.axle_points[ends.at]) - self._anchors[ends.at]
        self._along = unit(self._rod)
        self._axle_bolt = carried.direction(ends.axle_bolt)
        self._chassis_bolt = constant(np.array(ends.chassis_bolt), self._rod)

    def at_chassis(self) -> Form:
        if self._ends.other is not None:
            return angle(self._bore(self._ends.chassis_bolt, self._ends.other), self._chassis_bolt)
        return arc_sine(dot(self._along, self._chassis_bolt))

    def at_axle(self) -> Form:
        if self._ends.other is not None:
            return angle(self._bore(self._ends.axle_bolt, self._ends.other), self._axle_bolt)
        return arc_sine(dot(self._along, self._axle_bolt))

    def twist(self) -> Form:
        """From sin τ ~ e · (a₁ × a₂) and cos τ ~ a₁ · a₂ − (a₁ · e)(a₂ · e), turned back by what it is as drawn."""
        one, other, along = self._chassis_bolt, self._axle_bolt, self._along
        up = dot(along, cross(one, other))
        ahead = dot(one, other) - dot(along, one) * dot(along, other)
        first, second = np.array(self._ends.chassis_bolt), np.array(self._ends.axle_bolt)
        across = float(self._ride @ np.cross(first, second))
        level = float(first @ second - (first @ self._ride) * (second @ self._ride))
        return bearing(up * level - ahead * across, ahead * level + up * across)

    def _bore(self, bolt: Place, other: int) -> Form:
        """A bore that points like its bolt at ride height and then turns with the arm about its hinge."""
        hinge = _hinge(self._anchors[self._ends.at], self._anchors[other])
        square = unit(self._rod - _spread(dot(self._rod, hinge), hinge))
        drawn = unit_of(self._ride - (self._ride @ hinge) * hinge)
        given, upward = np.array(bolt), np.cross(hinge, drawn)
        turned = cross(constant(hinge, square), square)
        return square * float(given @ drawn) + turned * float(given @ upward) + hinge * float(given @ hinge)


def unit_of(vector: Floats) -> Floats:
    """Unit vector along a vector of shape (3,)."""
    return np.asarray(vector / np.linalg.norm(vector))


def _spread(size: Form, along: Floats) -> Form:
    """A size along a fixed direction."""
    return Form(
        size.value[:, None] * along,
        size.slope[:, None, :] * along[:, None],
        size.rest[:, None] * np.abs(along),
        size.size,
    )
