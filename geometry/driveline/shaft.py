"""The driveshaft over the travel: working angles at both ends and its length, each with proved extremes.

The joint at the transfer case stays, the one at the pinion goes with the axle. With s from the case's joint to the
pinion's, o along the output towards the axle and p along the pinion outward, the working angles are those between
s and o, and between −s and p, in space: a pinion offset and an output that points aside are in them exactly.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import radians

import numpy as np

from geometry.driveline.joints import equivalent_angle, fluctuation
from geometry.errors import LinkageError
from geometry.motion.asked import Asked
from geometry.motion.extremes import CarriedForms, Cells, Extremes, extremes, whole_travel
from geometry.motion.forms import Form, angle, constant, length
from geometry.motion.linkage import AxlePoses, Floats, Linkage, Place, linkage_of, solve
from geometry.motion.pose_map import pose_map
from geometry.motion.travel import RIDE_HEIGHT, TravelBox, TravelPose
from geometry.rig.axle import Axle
from geometry.rig.driveline import Driveshaft
from geometry.rig.pinion import output_direction, pinion_direction, pinion_joint
from geometry.tolerances import ANGLE_FOUND, LENGTH_FOUND


@dataclass(frozen=True)
class ShaftLine:
    """What a driveshaft runs between; independent of the axle's width.

    Attributes
    ----------
    output : tuple
        Middle of the joint at the transfer case, rig's frame [mm].
    output_axis : tuple or None
        Unit vector along the output, towards the axle, rig's frame; None = not measured.
    joint : tuple
        Middle of the joint at the pinion, axle's frame [mm].
    pinion_axis : tuple
        Unit vector along the pinion, outward, axle's frame.

    """

    output: Place
    output_axis: Place | None
    joint: Place
    pinion_axis: Place


@dataclass(frozen=True, slots=True)
class ShaftPose:
    """A driveshaft in one pose.

    Attributes
    ----------
    pose : TravelPose
    length : float
        From joint to joint [mm].
    slip : float
        What it is longer than at ride height [mm].
    pinion : float
        Working angle of the joint at the pinion [rad].
    case : float or None
        The same at the transfer case; None = the output's axis is not measured.
    residual : float or None
        Swing of the speed ratio that is left over the whole shaft [-]; a double joint turns evenly.

    """

    pose: TravelPose
    length: float
    slip: float
    pinion: float
    case: float | None
    residual: float | None


@dataclass(frozen=True, slots=True)
class ShaftTravel:
    """A driveshaft over a travel.

    Attributes
    ----------
    ride : ShaftPose
    length : Extremes
        [mm], to LENGTH_FOUND.
    pinion, case : Extremes
        Working angles [rad], to ANGLE_FOUND; None = the output's axis is not measured.
    asked : tuple of Asked
        Slip inward and outward [mm] and both joints [rad], each against what the shaft has.

    """

    ride: ShaftPose
    length: Extremes
    pinion: Extremes
    case: Extremes | None
    asked: tuple[Asked, ...]

    @property
    def slip_in(self) -> float:
        """Enough slip to shorten from ride height [mm]."""
        return self.ride.length - self.length.least.low

    @property
    def slip_out(self) -> float:
        """Enough slip to lengthen from ride height [mm]."""
        return self.length.most.high - self.ride.length


def driveshaft_of(axle: Axle) -> Driveshaft:
    """What is said of the axle's driveshaft, or a shaft of which nothing is known."""
    return axle.driveshaft or Driveshaft()


def missing_of_shaft(axle: Axle) -> tuple[str, ...]:
    """Places of what nobody gave and without which nothing is known of the shaft, or not all."""
    missing = []
    if axle.build is None or axle.build.transfer_output is None:
        missing.append(f"axles/{axle.id}/build/transfer_output")
    if driveshaft_of(axle).output_angle_deg is None:
        missing.append(f"axles/{axle.id}/driveshaft/output_angle_deg")
    return tuple(missing)


def shaft_line(axle: Axle) -> ShaftLine | None:
    """Between what the shaft runs; None = the transfer case's joint is not measured."""
    if axle.build is None or axle.build.transfer_output is None:
        return None
    along = output_direction(axle.housing, driveshaft_of(axle))
    return ShaftLine(
        output=axle.build.transfer_output,
        output_axis=None if along is None else _place(along),
        joint=_place(pinion_joint(axle)),
        pinion_axis=_place(pinion_direction(axle.housing)),
    )


def shaft_at(axle: Axle, poses: Iterable[TravelPose]) -> tuple[ShaftPose, ...] | None:
    """The driveshaft in poses within the travel; None = the transfer case's joint is not measured.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel, or not to one of the poses.

    """
    line = shaft_line(axle)
    if line is None:
        return None
    wanted = (RIDE_HEIGHT, *poses)
    shafts, pinions, cases, planes = _measured(line, _solved(linkage_of(axle), wanted))
    lengths = np.linalg.norm(shafts, axis=1)
    shaft = driveshaft_of(axle)
    return tuple(
        ShaftPose(
            pose=pose,
            length=float(lengths[at]),
            slip=float(lengths[at] - lengths[0]),
            pinion=float(pinions[at]),
            case=None if cases is None else float(cases[at]),
            residual=None if cases is None else _residual(shaft, float(cases[at]), float(pinions[at]), planes[at]),
        )
        for at, pose in enumerate(wanted)
    )[1:]


def shaft_travel(axle: Axle, boxes: Sequence[TravelBox] | None = None) -> ShaftTravel | None:
    """The driveshaft over all of the travel, or over boxes of it; None = the transfer case's joint is not measured.

    Raises
    ------
    LinkageError
        When the linkage cannot follow its travel.

    """
    line, rides = shaft_line(axle), shaft_at(axle, (RIDE_HEIGHT,))
    if line is None or rides is None:
        return None
    linkage = linkage_of(axle)
    lengths, pinion, case = _over(linkage, line, whole_travel(linkage) if boxes is None else tuple(boxes))
    shaft, ride = driveshaft_of(axle), rides[0]
    place = f"axles/{axle.id}/driveshaft"
    inward, outward = lengths.least, lengths.most
    asked = (
        Asked(f"{place}/slip_in", ride.length - inward.high, ride.length - inward.low, shaft.slip_in),
        Asked(f"{place}/slip_out", outward.low - ride.length, outward.high - ride.length, shaft.slip_out),
        *(
            Asked(f"{place}/{end}_joint/limit_deg", found.most.low, found.most.high, _radians(limit))
            for end, found, limit in (
                ("pinion", pinion, shaft.pinion_joint.limit_deg),
                ("case", case, shaft.case_joint.limit_deg),
            )
            if found is not None
        ),
    )
    return ShaftTravel(ride, lengths, pinion, case, asked)


@lru_cache(maxsize=64)  # a width is dragged above the same linkage and shaft
def _over(
    linkage: Linkage, line: ShaftLine, boxes: tuple[TravelBox, ...]
) -> tuple[Extremes, Extremes, Extremes | None]:
    table = pose_map(linkage)

    def shaft(cells: Cells) -> tuple[Form, Form]:
        """From the pinion's joint to the case's, and the pinion's axis."""
        carried = CarriedForms(table, cells)
        return np.array(line.output) - carried.point(line.joint), carried.direction(line.pinion_axis)

    def at_case(cells: Cells) -> Form:
        towards = -shaft(cells)[0]
        return angle(towards, constant(np.array(line.output_axis), towards))

    return (
        extremes(lambda cells: length(shaft(cells)[0]), boxes, LENGTH_FOUND, floor=0.0),
        extremes(lambda cells: angle(*shaft(cells)), boxes, ANGLE_FOUND, floor=0.0),
        None if line.output_axis is None else extremes(at_case, boxes, ANGLE_FOUND, floor=0.0),
    )


def _measured(line: ShaftLine, poses: AxlePoses) -> tuple[Floats, Floats, Floats | None, Floats]:
    """Shaft from case to pinion (n, 3), angles at pinion and case (n,), and between the joints' planes (n,)."""
    shafts = poses.centre + poses.rotation @ np.array(line.joint) - np.array(line.output)
    pinions = poses.rotation @ np.array(line.pinion_axis)
    at_pinion = _between(-shafts, pinions)
    if line.output_axis is None:
        return shafts, at_pinion, None, np.zeros(len(shafts))
    output = np.broadcast_to(np.array(line.output_axis), shafts.shape)
    planes = _between(np.cross(shafts, output), np.cross(shafts, pinions))
    return shafts, at_pinion, _between(shafts, output), planes


def _between(one: Floats, other: Floats) -> Floats:
    """Angle between two directions, shapes (n, 3), 0 to π [rad]; 0 where one of them vanishes."""
    across = np.linalg.norm(np.cross(one, other), axis=1)
    angles: Floats = np.arctan2(across, (one * other).sum(axis=1))
    return angles


def _residual(shaft: Driveshaft, case: float, pinion: float, planes: float) -> float:
    first = case if shaft.case_joint.kind == "single" else 0.0
    second = pinion if shaft.pinion_joint.kind == "single" else 0.0
    crossed = 0.0 if shaft.yokes_in_line else np.pi / 2.0
    return fluctuation(equivalent_angle(first, second, planes + crossed))


def _solved(linkage: Linkage, poses: Sequence[TravelPose]) -> AxlePoses:
    travels = np.array([(pose.left, pose.right) for pose in poses])
    found = solve(linkage, *travels.T)
    if not found.converged.all():
        at = poses[int(np.argmin(found.converged))]
        raise LinkageError(linkage.axle, f"axle {linkage.axle} cannot reach this pose", at.left, at.right)
    return found


def _place(values: Floats) -> Place:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _radians(angle_deg: float | None) -> float | None:
    return None if angle_deg is None else radians(angle_deg)
