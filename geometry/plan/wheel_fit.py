"""Where wheels and tires end up, and what the same outer width costs when housing or wheel offset makes it.

backspacing = rim width / 2 + flange + offset;  track = width − 2 offset;  outer width = track + section width.
The kingpin moves with the wheel mount, so that a wider housing keeps the scrub radius while a wheel with less offset
adds what it moves the tire out.
"""

from __future__ import annotations

from dataclasses import dataclass

from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.motion.steering import ground_offsets
from geometry.plan.amount import Amount, given
from geometry.plan.half import SUM, at_least, at_most, build_of
from geometry.rig.axle import Axle
from geometry.rig.limits import LEAST_BACKSPACING
from geometry.rig.wheel import Wheel, outer_width, tire_dimensions, track_width, wheel_offset


@dataclass(frozen=True, slots=True)
class WheelFit:
    """Wheels and tires of an axle at a width [mm].

    Attributes
    ----------
    offset, backspacing : float
        Rim centre plane to mounting face, positive with the face outboard; mounting face to the rim's inner edge.
    inner_width : float
        Inside of one tire to inside of the other.
    inner_face, outer_face, rim_edge : float
        Centre plane of the vehicle to the tire's inner and outer face and to the inner edge of the rim.
    loaded_radius : float
        Axle line to the ground, on which scrub radius and trail rest.
    scrub, trail : float or None
        Positive with the kingpin axis inboard and ahead of the contact centre; None on an unsteered axle.
    brake_clearance : Amount
        Inside of the rim to the brake, in radius.
    knuckle_clearance : Amount
        Inner edge of the rim to the knuckle or its arms, along the axle line.

    """

    width: float
    offset: float
    backspacing: float
    track: float
    outer_width: float
    inner_width: float
    inner_face: float
    outer_face: float
    rim_edge: float
    loaded_radius: float
    scrub: float | None
    trail: float | None
    brake_clearance: Amount
    knuckle_clearance: Amount


def backspacing_of(wheel: Wheel) -> float:
    """Mounting face to the rim's inner edge [mm]: rim width / 2 + flange + offset."""
    return wheel.rim_width / 2.0 + wheel.flange + wheel_offset(wheel)


def wheel_fit(axle: Axle) -> WheelFit:
    """Wheels and tires of an axle at its own width."""
    tire, wheel, build = tire_dimensions(axle.tire), axle.wheel, build_of(axle)
    place = f"axles/{axle.id}/build"
    track, backspacing = track_width(axle.width, wheel), backspacing_of(wheel)
    ground = ground_offsets(axle)
    rim = given(build.rim_inside_radius, f"{place}/rim_inside_radius")
    return WheelFit(
        width=axle.width,
        offset=wheel_offset(wheel),
        backspacing=backspacing,
        track=track,
        outer_width=outer_width(axle.width, wheel, tire),
        inner_width=track - tire.section_width,
        inner_face=(track - tire.section_width) / 2.0,
        outer_face=(track + tire.section_width) / 2.0,
        rim_edge=axle.width / 2.0 - backspacing,
        loaded_radius=tire.loaded_radius,
        scrub=None if ground is None else ground.scrub,
        trail=None if ground is None else ground.trail,
        brake_clearance=rim - given(build.brake_radius, f"{place}/brake_radius"),
        knuckle_clearance=given(build.knuckle_inset, f"{place}/knuckle_inset") - Amount(backspacing),
    )


def by_housing(axle: Axle, outer: float) -> WheelFit:
    """The outer width [mm] reached by the housing: wheel-mount width = outer width − section width + 2 offset.

    Raises
    ------
    PlanError
        When the tires would meet in the middle.

    """
    section = tire_dimensions(axle.tire).section_width
    _check_outer(axle, outer, section)
    width = outer - section + 2.0 * wheel_offset(axle.wheel)
    if width <= SUM:
        least = at_least(section - 2.0 * wheel_offset(axle.wheel))
        raise PlanError(
            f"axles/{axle.id}/width",
            f"an outer width of {outer:.1f} mm leaves no housing between these wheels; it must be more than "
            f"{least:.1f} mm",
            by=-width,
        )
    return wheel_fit(replace(axle, width=width))


def by_offset(axle: Axle, outer: float) -> WheelFit:
    """The outer width [mm] reached by the wheels: offset = (wheel-mount width + section width − outer width) / 2.

    Raises
    ------
    PlanError
        When the tires would meet in the middle, or no wheel has such a backspacing.

    """
    section = tire_dimensions(axle.tire).section_width
    _check_outer(axle, outer, section)
    offset = (axle.width + section - outer) / 2.0
    wheel = replace(axle.wheel, offset=offset, backspacing=None)
    _check_backspacing(axle, wheel, outer, section)
    return wheel_fit(replace(axle, wheel=wheel))


def _check_outer(axle: Axle, outer: float, section: float) -> None:
    if outer <= 2.0 * section + SUM:
        raise PlanError(
            f"axles/{axle.id}/width",
            f"with an outer width of {outer:.1f} mm two tires of {section:.1f} mm meet in the middle, "
            f"{2.0 * section - outer:.1f} mm too narrow; it must be more than {at_least(2.0 * section):.1f} mm",
            by=2.0 * section - outer,
        )


def _check_backspacing(axle: Axle, wheel: Wheel, outer: float, section: float) -> None:
    """Refuse a backspacing that no wheel of this rim width has."""
    backspacing, most = backspacing_of(wheel), wheel.rim_width + 2.0 * wheel.flange
    nearest = min(max(backspacing, LEAST_BACKSPACING), most)
    if abs(backspacing - nearest) <= SUM:
        return
    middle = wheel.rim_width / 2.0 + wheel.flange
    widths = sorted(axle.width + section - 2.0 * (edge - middle) for edge in (LEAST_BACKSPACING, most))
    raise PlanError(
        f"axles/{axle.id}/wheel/offset",
        f"an outer width of {outer:.1f} mm at a wheel-mount width of {axle.width:.1f} mm takes a backspacing of "
        f"{backspacing:.1f} mm, {abs(backspacing - nearest):.1f} mm beyond what a rim of {wheel.rim_width:.1f} mm can "
        f"have; wheels reach outer widths from {at_least(widths[0]):.1f} mm to {at_most(widths[1]):.1f} mm",
        by=abs(backspacing - nearest),
        nearest=((f"axles/{axle.id}/wheel/offset", nearest - middle),),
    )
