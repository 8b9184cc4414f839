"""The driveshaft of an axle, other centre sections to compare with, and the gears between engine and tire.

The joint at the transfer case lies at the axle's ``build.transfer_output``. Rules of working angles differ from maker
to maker, so they are settings.
"""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, Struct

from geometry.errors import RigError
from geometry.rig.build import Angle
from geometry.rig.parts import Id, Label, Length, LengthOrZero
from geometry.rig.wheel import read_size

JointAngle = Annotated[float, Meta(gt=0.0, le=90.0, description="[degrees]")]
JointAngleOrZero = Annotated[float, Meta(ge=0.0, le=90.0, description="[degrees]")]
Ratio = Annotated[float, Meta(gt=0.0, le=200.0, description="[-]")]
Revs = Annotated[float, Meta(gt=0.0, le=20000.0, description="[1/min]")]


class ShaftJoint(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The joint at one end of a driveshaft.

    Attributes
    ----------
    kind : str
        ``single`` cross, or ``double``: two crosses, or balls, that turn evenly at any angle.
    limit_deg : float or None
        Largest working angle before it binds [degrees]; None = not known.

    """

    kind: Literal["single", "double"] = "single"
    limit_deg: JointAngle | None = None


class AngleRules(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is asked of a driveshaft at ride height; the defaults are the commonest of published rules that disagree.

    Attributes
    ----------
    least_deg, most_deg : float
        Working angle of a single joint; a little keeps its needles moving [degrees].
    apart_deg : float
        Largest difference of the working angles of two single joints [degrees].
    double_most_deg : float
        Largest working angle of a double joint [degrees].
    fluctuation : float
        Largest swing of the speed ratio that is left over the whole shaft [-].
    shaft_rpm : float or None
        Fastest turn of the shaft; None = not known, and no limit follows from it [1/min].
    acceleration : float
        Peak of a joint's angular acceleration allowed at those revolutions [rad/s²].

    """

    least_deg: JointAngleOrZero = 0.5
    most_deg: JointAngle = 3.0
    apart_deg: JointAngleOrZero = 1.0
    double_most_deg: JointAngle = 10.0
    fluctuation: Annotated[float, Meta(ge=0.0, le=10.0, description="[-]")] = 0.0027
    shaft_rpm: Revs | None = None
    acceleration: Annotated[float, Meta(gt=0.0, le=1e6, description="[rad/s²]")] = 1000.0


class Driveshaft(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The shaft between the transfer case and the pinion.

    Attributes
    ----------
    output_angle_deg : float or None
        The output's axis seen from the transfer case towards the axle, up positive [degrees]; None = not measured.
    output_plan_deg : float
        The same axis in plan, towards the left positive [degrees].
    case_joint, pinion_joint : ShaftJoint
    yokes_in_line : bool
        The shaft's own two yokes lie in one plane, as they should with two single joints; else they are 90 degrees
        apart.
    yoke_length : float
        Pinion's mounting face to the middle of the joint [mm]; 0 = the pinion's length reaches there.
    slip_in, slip_out : float or None
        What the shaft can still shorten and lengthen by at ride height [mm].
    diameter : float
        Outside diameter of its tube [mm].
    joint_room : float
        Length at each end taken up by joint and yoke, which a check of the tube leaves out [mm]. Common practice,
        no source.
    rules : AngleRules

    """

    output_angle_deg: Angle | None = None
    output_plan_deg: Angle = 0.0
    case_joint: ShaftJoint = ShaftJoint()
    pinion_joint: ShaftJoint = ShaftJoint()
    yokes_in_line: bool = True
    yoke_length: LengthOrZero = 0.0
    slip_in: LengthOrZero | None = None
    slip_out: LengthOrZero | None = None
    diameter: Length = 76.2
    joint_room: LengthOrZero = 100.0
    rules: AngleRules = AngleRules()


class PinionChoice(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Another centre section to compare with the one that is drawn; what is None is as on the housing.

    Attributes
    ----------
    pinion_rise, pinion_offset, pinion_length, centre_radius : float or None
        As in Housing [mm].
    pinion_angle_deg : float or None
        As in Housing [degrees].

    """

    id: Id
    name: Label = ""
    pinion_rise: Annotated[float, Meta(ge=-500.0, le=500.0, description="[mm]")] | None = None
    pinion_offset: Annotated[float, Meta(ge=-2000.0, le=2000.0, description="[mm]")] | None = None
    pinion_length: LengthOrZero | None = None
    pinion_angle_deg: Angle | None = None
    centre_radius: Length | None = None


class Gears(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What stands between the engine's revolutions and the tire's.

    Attributes
    ----------
    transmission : tuple of ratios
        Lowest gear first, as in 6.32, 3.09, 1.69, 1.0; empty = not known.
    transfer : tuple of ratios
        High range first; empty = there is no transfer case, or it only passes on.
    crawl_box : float or None
        Low ratio of another box; None = there is none.
    axle : float or None
        Ring and pinion; None = not known.
    hub : float
        Reduction in the hubs; 1 = none.
    rpm : tuple of revolutions
        At which road speeds are told [1/min].
    rolling_share : float
        Rolling radius of the tire over its free radius [-]: 0.9717 is the mean of 19 sizes of two makers' tables of
        revolutions per mile, 0.9696 to 0.9747.
    rolling_radius : float or None
        The same, measured on the rig's own tire [mm]; counts instead.
    tires : tuple of tire sizes
        Others to compare with.

    """

    transmission: Annotated[tuple[Ratio, ...], Meta(max_length=24)] = ()
    transfer: Annotated[tuple[Ratio, ...], Meta(max_length=8)] = ()
    crawl_box: Ratio | None = None
    axle: Ratio | None = None
    hub: Ratio = 1.0
    rpm: Annotated[tuple[Revs, ...], Meta(max_length=32)] = ()
    rolling_share: Annotated[float, Meta(gt=0.5, le=1.0, description="[-]")] = 0.9717
    rolling_radius: Length | None = None
    tires: Annotated[tuple[Annotated[str, Meta(min_length=1, max_length=40)], ...], Meta(max_length=16)] = ()


def check_gears(gears: Gears | None, place: str) -> None:
    """Refuse gears out of their order and sizes that are none.

    Raises
    ------
    RigError

    """
    if gears is None:
        return
    for field, falling, words in (
        ("transmission", True, "the lowest gear comes first, so that ratios fall"),
        ("transfer", False, "the high range comes first, so that ratios rise"),
    ):
        ratios: tuple[float, ...] = getattr(gears, field)
        ordered = tuple(sorted(set(ratios), reverse=falling))
        if ratios != ordered:
            listed = ", ".join(f"{ratio:g}" for ratio in ordered)
            raise RigError(f"{place}.{field}", f"{words}, and each is there once; write {listed}")
    for index, size in enumerate(gears.tires):
        if read_size(size) is None:
            raise RigError(
                f"{place}.tires[{index}]",
                f"“{size}” is no tire size that can be read; write it as in 37x12.50R17 or LT315/75R16",
            )
