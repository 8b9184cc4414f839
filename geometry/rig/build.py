"""What the builder measures and chooses to turn a width into cuts, and what was measured on the welded axle.

Everything is optional. A value that is not given stays unknown, and so does what depends on it: nothing is taken for
zero because nobody wrote it down.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from msgspec import Meta, Struct

from geometry.errors import RigError
from geometry.rig.parts import Coordinate, Id, Label, Length, LengthOrZero, Point

Angle = Annotated[float, Meta(ge=-90.0, le=90.0, description="[degrees]")]
Day = Annotated[str, Meta(pattern=r"^\d{4}-\d{2}-\d{2}(?!\n)$", description="Year, month, day, as in 2026-05-31.")]
Datum = Literal["pinion", "centre-face", "tube-end"]
Rounding = Literal["none", "1/16 in", "1/32 in", "0.5 mm"]
WeldClass = Literal["A", "B", "C", "D"]


class Shaft(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One axle shaft, or the inner shaft of a steered axle, in the builder's own numbers.

    Attributes
    ----------
    flange : float or None
        Wheel mounting face to the shaft's outer end, outboard positive [mm]: the face of its flange, or, with a minus
        sign, the centre of the joint in the knuckle.
    gear_face : float or None
        Pinion centreline to the outer end of the side gear's splines [mm].
    engagement : float or None
        How far the shaft goes into those splines [mm].
    spline_length : float or None
        Length of the splines on the shaft [mm].
    end_play : float or None
        Room that is left at its end, taken off the length [mm].
    stock : tuple of float
        Lengths that can be bought [mm].

    """

    flange: Coordinate | None = None
    gear_face: LengthOrZero | None = None
    engagement: LengthOrZero | None = None
    spline_length: Length | None = None
    end_play: LengthOrZero | None = None
    stock: Annotated[tuple[Length, ...], Meta(max_length=64)] = ()


class BuildSide(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The left or the right half of the axle, along the axle line.

    Attributes
    ----------
    end_addition : float or None
        What the assembled end adds: from its face that the tube meets to the wheel mounting face [mm].
    centre_half : float or None
        Pinion centreline to the face of the centre section that the tube goes into [mm].
    insertion_centre, insertion_end : float or None
        How deep the tube goes into the centre section and into the end; 0 = butted [mm].
    shrink : float or None
        By how much the welds that are still to come make this side shorter [mm].

    """

    end_addition: LengthOrZero | None = None
    centre_half: LengthOrZero | None = None
    insertion_centre: LengthOrZero | None = None
    insertion_end: LengthOrZero | None = None
    shrink: LengthOrZero | None = None
    shaft: Shaft = Shaft()


class Perch(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A perch or bracket on the bare tube, placed from the vehicle's centre and not from the pinion.

    Attributes
    ----------
    at : float
        Its middle from the centre plane, left positive [mm].
    width : float
        Along the tube, without its welds [mm].
    weld_leg : float or None
        Leg of the weld on either side of it [mm].
    angle_deg : float or None
        Its seat above the level at ride height, forward end up positive [degrees].
    mirrored : bool
        There is another one on the other side.

    """

    id: Id
    name: Label = ""
    at: Coordinate
    width: Length
    weld_leg: LengthOrZero | None = None
    angle_deg: Angle | None = None
    mirrored: bool = False


class MockUp(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A light axle to try widths with: a sleeve in the middle, and a slider on each side that carries a wheel mount.

    Attributes
    ----------
    sleeve_left, sleeve_right : float or None
        Pinion centreline to the mouth of the sleeve [mm].
    slider_left, slider_right : float or None
        Inner end of the slider to its wheel mounting face [mm].
    least_overlap : float or None
        How much of a slider must stay in the sleeve [mm].

    """

    sleeve_left: Length | None = None
    sleeve_right: Length | None = None
    slider_left: Length | None = None
    slider_right: Length | None = None
    least_overlap: LengthOrZero | None = None


class Build(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """From the width to the saw.

    Attributes
    ----------
    datum : str
        Where the tape's zero is: ``pinion`` centreline, ``centre-face`` (face of the centre section), ``tube-end``.
    rounding : str
        Step to which what is measured from there is rounded.
    rounding_limit : float or None
        Largest error of the width that rounding may make [mm]; None = whatever it makes.
    kerf : float or None
        What the saw takes [mm].
    separation_deg : float or None
        Caster and pinion angle together, as the welds hold them (see geometry.plan.caster) [degrees].
    transfer_output : Point or None
        Centre of the driveshaft's joint at the transfer case, rig's frame [mm].
    rim_inside_radius, brake_radius : float or None
        Radius inside the rim's barrel, and the largest of the brake from the axle line [mm].
    knuckle_inset : float or None
        Wheel mounting face to the nearest part of the knuckle or its arms that the rim's edge could meet, inboard
        positive [mm].
    tolerance_class : str or None
        Class of ISO 13920 to which the welded axle is held.
    tolerance, tolerance_deg : float or None
        Own tolerance of lengths [mm] and of angles [degrees], which counts instead of the class.

    """

    datum: Datum = "pinion"
    rounding: Rounding = "none"
    rounding_limit: LengthOrZero | None = None
    kerf: LengthOrZero | None = None
    left: BuildSide = BuildSide()
    right: BuildSide = BuildSide()
    perches: Annotated[tuple[Perch, ...], Meta(max_length=64)] = ()
    separation_deg: Annotated[float, Meta(ge=-180.0, le=180.0, description="[degrees]")] | None = None
    transfer_output: Point | None = None
    rim_inside_radius: Length | None = None
    brake_radius: Length | None = None
    knuckle_inset: Coordinate | None = None
    mockup: MockUp = MockUp()
    tolerance_class: WeldClass | None = None
    tolerance: LengthOrZero | None = None
    tolerance_deg: Annotated[float, Meta(ge=0.0, le=90.0, description="[degrees]")] | None = None


class AsBuilt(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What was measured on the tacked or welded axle, and when.

    Attributes
    ----------
    half_left, half_right : float or None
        Pinion centreline to the wheel mounting face [mm].
    mark_left, mark_right : float or None
        What the plan has to be measured from its datum, as it was found [mm].

    """

    date: Day
    stage: Literal["tacked", "welded"]
    by: Label = ""
    note: Annotated[str, Meta(max_length=4000)] = ""
    width: Length | None = None
    half_left: Length | None = None
    half_right: Length | None = None
    pinion_offset: Annotated[float, Meta(ge=-2000.0, le=2000.0, description="[mm]")] | None = None
    mark_left: Length | None = None
    mark_right: Length | None = None
    caster_deg: Angle | None = None
    pinion_angle_deg: Angle | None = None
    tire_diameter: Length | None = None
    section_width: Length | None = None
    loaded_radius: Length | None = None


def check_as_built(record: AsBuilt | None, place: str) -> None:
    """Refuse a date that no calendar has.

    Raises
    ------
    RigError

    """
    if record is None:
        return
    try:
        date.fromisoformat(record.date)
    except ValueError:
        raise RigError(f"{place}.date", f"there is no day {record.date}; write year, month and day") from None
