"""Whether a driveshaft turns evenly enough at ride height: its layout, and the rules of the builder's choice."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, degrees, radians
from typing import Literal

import numpy as np

from geometry.driveline.joints import angle_within, fluctuation, peak_acceleration
from geometry.driveline.shaft import ShaftPose, driveshaft_of, shaft_at, shaft_line
from geometry.motion.travel import RIDE_HEIGHT
from geometry.rig.axle import Axle
from geometry.rig.wheel import INCH

Layout = Literal["parallel", "intersecting", "neither", "one double", "two double", "unknown"]
End = Literal["case", "pinion", ""]
RuleName = Literal["least_deg", "most_deg", "apart_deg", "double_most_deg", "fluctuation", "acceleration"]


@dataclass(frozen=True, slots=True)
class RuleFound:
    """One rule at ride height.

    Attributes
    ----------
    rule : str
        Its name in AngleRules.
    end : str
        The joint that it is about; empty = both together.
    value, limit : float or None
        In the unit of the rule, [degrees], [-] or [rad/s²]; a value of None is unknown.
    holds : bool or None
        None = unknown.

    """

    rule: RuleName
    end: End
    value: float | None
    limit: float
    holds: bool | None


@dataclass(frozen=True, slots=True)
class LayoutFound:
    """The layout at ride height.

    Attributes
    ----------
    layout : str
        ``parallel``: both axes point the same way to within what the ends may be apart; ``intersecting``: they do
        not, but the working angles are equal to within that, and what is left of the swing is allowed; ``one double``
        and ``two double`` joints; ``unknown`` = the output's axis is not measured.
    axes_apart : float or None
        Angle between the output's axis and the pinion's [rad].
    ride : ShaftPose or None
        None = the transfer case's joint is not measured.
    rules : tuple of RuleFound
    most_at_speed : float or None
        Largest working angle at the revolutions given [rad]; None = they are not.

    """

    layout: Layout
    axes_apart: float | None
    ride: ShaftPose | None
    rules: tuple[RuleFound, ...]
    most_at_speed: float | None


def most_by_length(length: float, layout: Layout) -> float | None:
    """Largest working angle by the length of the shaft [mm], a driveline shop's rule [rad]; None = it says nothing.

    In degrees it is the length in inches over 5 with parallel axes, over 10 with intersecting ones.
    """
    share = {"parallel": 5.0, "intersecting": 10.0}.get(layout)
    return None if share is None else radians(length / INCH / share)


def layout_at_ride_height(axle: Axle) -> LayoutFound:
    """The driveshaft's layout and how it stands to the rules."""
    shaft = driveshaft_of(axle)
    rules = shaft.rules
    fastest = None if rules.shaft_rpm is None else angle_within(rules.acceleration, rules.shaft_rpm)
    found = shaft_at(axle, (RIDE_HEIGHT,))
    if found is None:
        return LayoutFound("unknown", None, None, (), fastest)
    line, ride = shaft_line(axle), found[0]
    axes_apart = None
    if line is not None and line.output_axis is not None:
        axes_apart = acos(float(np.clip(-np.dot(line.output_axis, line.pinion_axis), -1.0, 1.0)))
    judged = (*_of_joint(axle, "case", ride.case), *_of_joint(axle, "pinion", ride.pinion), *_of_both(axle, ride))
    return LayoutFound(_layout(axle, ride, axes_apart), axes_apart, ride, judged, fastest)


def _layout(axle: Axle, ride: ShaftPose, axes_apart: float | None) -> Layout:
    shaft = driveshaft_of(axle)
    doubles = (shaft.case_joint.kind, shaft.pinion_joint.kind).count("double")
    if doubles:
        return "one double" if doubles == 1 else "two double"
    if axes_apart is None or ride.case is None or ride.residual is None:
        return "unknown"
    allowed = radians(shaft.rules.apart_deg)
    if axes_apart <= allowed:
        return "parallel"
    equal = abs(ride.case - ride.pinion) <= allowed and ride.residual <= shaft.rules.fluctuation
    return "intersecting" if equal else "neither"


def _of_joint(axle: Axle, end: Literal["case", "pinion"], angle: float | None) -> tuple[RuleFound, ...]:
    shaft = driveshaft_of(axle)
    rules = shaft.rules
    joint = shaft.case_joint if end == "case" else shaft.pinion_joint
    value = None if angle is None else degrees(angle)
    if joint.kind == "double":
        return (_most("double_most_deg", end, value, rules.double_most_deg),)
    found = [
        RuleFound("least_deg", end, value, rules.least_deg, None if value is None else value >= rules.least_deg),
        _most("most_deg", end, value, rules.most_deg),
    ]
    if rules.shaft_rpm is not None:
        peak = None if angle is None else peak_acceleration(angle, rules.shaft_rpm)
        found.append(_most("acceleration", end, peak, rules.acceleration))
    return tuple(found)


def _of_both(axle: Axle, ride: ShaftPose) -> tuple[RuleFound, ...]:
    shaft = driveshaft_of(axle)
    kinds = shaft.case_joint.kind, shaft.pinion_joint.kind
    if "double" not in kinds:
        apart = None if ride.case is None else degrees(abs(ride.case - ride.pinion))
        return (
            _most("apart_deg", "", apart, shaft.rules.apart_deg),
            _most("fluctuation", "", ride.residual, shaft.rules.fluctuation),
        )
    left = ride.residual
    if kinds[0] == "double":  # what is left is the pinion's alone, and needs no output
        left = fluctuation(ride.pinion) if kinds[1] == "single" else 0.0
    return (_most("fluctuation", "", left, shaft.rules.fluctuation),)


def _most(rule: RuleName, end: End, value: float | None, limit: float) -> RuleFound:
    return RuleFound(rule, end, value, limit, None if value is None else value <= limit)
