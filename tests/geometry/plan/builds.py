"""An axle with everything that a plan needs, in inches, whose every number can be another."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from geometry.rig.axle import Axle
from geometry.rig.build import Build, BuildSide, MockUp, Shaft
from geometry.rig.wheel import INCH
from tests.geometry.motion.axles import STEERING, axle


def side(**inches: float | None) -> BuildSide:
    """A side of an axle whose tubes are butted and whose welds pull nothing, lengths [in]."""
    lengths = {"end_addition": 10.25, "centre_half": 6.5, "insertion_centre": 0.0, "insertion_end": 0.0, "shrink": 0.0}
    return BuildSide(**{name: None if value is None else value * INCH for name, value in (lengths | inches).items()})


def shaft(**inches: float | None) -> Shaft:
    """A shaft of a flanged axle, lengths [in]."""
    lengths = {"flange": 0.0, "gear_face": 3.0, "engagement": 1.5, "spline_length": 3.0, "end_play": 0.03125}
    return Shaft(**{name: None if value is None else value * INCH for name, value in (lengths | inches).items()})


def built(width_in: float = 72.0, offset_in: float = 0.0, **fields: Any) -> Axle:
    """A steered front axle, width and pinion offset [in]; fields of its build can be others."""
    made = axle(steering=STEERING, width=width_in * INCH)
    housing = replace(made.housing, pinion_offset=offset_in * INCH)
    given = {"left": side(), "right": side(), "kerf": 0.125 * INCH, "mockup": mockup()} | fields
    return replace(made, housing=housing, build=Build(**given))


def mockup(**inches: float | None) -> MockUp:
    """A sleeve of 20 in on each side with sliders of 24 in, 6 in of which must stay in it."""
    lengths = {
        "sleeve_left": 20.0, "sleeve_right": 20.0, "slider_left": 24.0, "slider_right": 24.0, "least_overlap": 6.0
    }  # fmt: skip
    return MockUp(**{name: None if value is None else value * INCH for name, value in (lengths | inches).items()})


def mirrored(made: Axle) -> Axle:
    """The axle seen in a mirror: left is right, the pinion on the other side."""
    assert made.build is not None
    housing = replace(made.housing, pinion_offset=-made.housing.pinion_offset)
    perches = tuple(replace(perch, at=-perch.at) for perch in made.build.perches)
    build = replace(made.build, left=made.build.right, right=made.build.left, perches=perches)
    return replace(made, housing=housing, build=build)
