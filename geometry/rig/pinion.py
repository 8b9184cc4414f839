"""Where the pinion lies in the axle's frame, and whether a driveshaft fits between it and the transfer case."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, degrees, radians, sin

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from geometry.errors import RigError
from geometry.rig.axle import Axle, Housing
from geometry.rig.driveline import Driveshaft, PinionChoice
from geometry.tolerances import COINCIDENT

Floats = NDArray[np.float64]


def facing(housing: Housing) -> float:
    """+1 with the pinion forward, −1 with it rearward: the sign of x towards the transfer case."""
    return 1.0 if housing.pinion_faces == "forward" else -1.0


def pinion_direction(housing: Housing) -> Floats:
    """Unit vector along the pinion, outward, at ride height, shape (3,)."""
    angle = radians(housing.pinion_angle_deg)
    return np.array([facing(housing) * cos(angle), 0.0, sin(angle)])


def pinion_base(housing: Housing) -> Floats:
    """The pinion axis's nearest point to the axle line, axle's frame, shape (3,) [mm]."""
    forward, _, up = pinion_direction(housing)
    way = facing(housing)
    above = np.array([-way * up, 0.0, way * forward])
    return np.array([0.0, housing.pinion_offset, 0.0]) + housing.pinion_rise * above


def pinion_joint(axle: Axle) -> Floats:
    """Middle of the driveshaft's joint at the pinion, axle's frame, shape (3,) [mm]."""
    yoke = axle.driveshaft.yoke_length if axle.driveshaft else 0.0
    joint: Floats = pinion_base(axle.housing) + (axle.housing.pinion_length + yoke) * pinion_direction(axle.housing)
    return joint


def output_direction(housing: Housing, shaft: Driveshaft) -> Floats | None:
    """Unit vector along the transfer case's output, towards the axle, shape (3,); None = not measured."""
    if shaft.output_angle_deg is None:
        return None
    up, left = radians(shaft.output_angle_deg), radians(shaft.output_plan_deg)
    return np.array([-facing(housing) * cos(up) * cos(left), cos(up) * sin(left), sin(up)])


def with_pinion(axle: Axle, choice: PinionChoice) -> Axle:
    """The axle with another centre section, everything else as it is."""
    names = ("pinion_rise", "pinion_offset", "pinion_length", "pinion_angle_deg", "centre_radius")
    chosen = {name: value for name in names if (value := getattr(choice, name)) is not None}
    return replace(axle, housing=replace(axle.housing, **chosen))


def check_driveline(axle: Axle, place: str) -> None:
    """Refuse a driveshaft that no shaft can be; also with each of the other centre sections.

    Raises
    ------
    RigError

    """
    shaft = axle.driveshaft
    if shaft is None:
        return
    rules = shaft.rules
    if rules.least_deg > rules.most_deg:
        raise RigError(
            f"{place}.driveshaft.rules.least_deg",
            f"the least working angle is {rules.least_deg:g} degrees and the largest {rules.most_deg:g} degrees; set "
            f"the least to {rules.most_deg:g} degrees or under",
        )
    if axle.build is None or axle.build.transfer_output is None:
        return
    for fitted, where in _fitted(axle, place):
        _check_shaft(fitted, shaft, np.array(axle.build.transfer_output), place, where)


def _fitted(axle: Axle, place: str) -> Iterator[tuple[Axle, str]]:
    yield axle, f"{place}.driveshaft"
    for index, choice in enumerate(axle.pinion_choices):
        yield with_pinion(axle, choice), f"{place}.pinion_choices[{index}]"


def _check_shaft(axle: Axle, shaft: Driveshaft, output: Floats, place: str, where: str) -> None:
    way = output - np.array([axle.station, 0.0, axle.height]) - pinion_joint(axle)
    length = float(np.linalg.norm(way))
    if length <= COINCIDENT:
        raise RigError(
            f"{place}.build.transfer_output",
            "the driveshaft has no length, both its joints lie at the same point; move one of them",
        )
    direction = output_direction(axle.housing, shaft)
    for along, shaft_way, name, end in (
        (pinion_direction(axle.housing), way, "pinion", where.replace("driveshaft", "build.transfer_output")),
        (direction, -way, "transfer case's output", f"{place}.driveshaft.output_angle_deg"),
    ):
        if along is not None and float(along @ shaft_way) <= 0.0:
            turned = degrees(np.arccos(np.clip(float(along @ shaft_way) / length, -1.0, 1.0)))
            raise RigError(
                end,
                f"the driveshaft would leave the {name} backwards, {turned:.0f} degrees off its axis; anything under "
                "90 degrees works: turn the pinion or the output round, or move the transfer case's joint",
            )
    if 2.0 * shaft.joint_room >= length:
        raise RigError(
            f"{place}.driveshaft.joint_room",
            f"joint room of {shaft.joint_room:g} mm at each end leaves nothing of a driveshaft {length:.1f} mm long; "
            f"make it less than {length / 2.0:.1f} mm",
        )
    _check_slip(shaft, length, place, where)


def _check_slip(shaft: Driveshaft, length: float, place: str, where: str) -> None:
    """A sleeve and the stub in it are each as long as the slip, at the least: pushed together the shaft holds both."""
    shorter, longer = shaft.slip_in or 0.0, shaft.slip_out or 0.0
    together = length - shorter
    if shorter + longer < together:
        return
    most = max((length - longer) / 2.0, 0.0)
    remedy = (
        f"make slip_in less than {most:.1f} mm"
        if shorter > most > 0.0
        else f"make slip_in 0 mm and slip_out less than {length:.1f} mm"
    )
    where = f"{place}.driveshaft.slip_in" if where.endswith("driveshaft") else where
    raise RigError(
        where,
        f"the driveshaft, {length:.1f} mm long at ride height, is {together:.1f} mm long pushed together, which is no "
        f"longer than its slip of {shorter + longer:.1f} mm in and out; {remedy}",
    )
