"""The solid axle: where it is, what locates it, how far it travels, what it carries."""

from __future__ import annotations

from typing import Annotated, Literal

from msgspec import Meta, Struct

from geometry.rig.build import Angle, AsBuilt, Build
from geometry.rig.driveline import Driveshaft, JointAngle, PinionChoice
from geometry.rig.leaf import LeafSprings
from geometry.rig.parts import Coordinate, Id, Label, Length, LengthOrZero, Point
from geometry.rig.steer_gear import Ackermann, DragLink, Ram, TieRod
from geometry.rig.stroke import BumpStops, Shocks, Straps
from geometry.rig.wheel import Tire, Wheel

Direction = Annotated[tuple[Coordinate, Coordinate, Coordinate], Meta(description="x forward, y left, z up.")]
MOST_TRIALS = 32
"""Widths on the trial list of an axle, at most: more than anybody compares."""

_RODS = {"anyOf": [{"maxItems": 0}, {"minItems": 4}]}

Lock = Annotated[float, Meta(ge=0.0, le=80.0, description="[degrees]")]


class Rod(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A two-jointed rod from chassis to axle: link, lateral bar, or one leg of a wishbone.

    Attributes
    ----------
    chassis, axle : Point
        Centres of its joints at ride height, both in the rig's frame [mm].
    od : float
        Outside diameter of the rod [mm].
    joint_room : float
        Length at each end taken up by joint and bracket, which the check leaves out, since a rod always meets
        the parts that it is bolted to [mm]. Common practice, no source.
    chassis_bolt, axle_bolt : direction or None
        Which way the bolt through that joint points at ride height, rig's frame, of any length; None = level and
        square to the rod, as brackets are welded that suit the rod.
    chassis_limit_deg, axle_limit_deg : float or None
        Largest misalignment of that joint, between its bolt and the bore of the rod's eye [degrees]; None = not known.

    """

    id: Id
    name: Label = ""
    chassis: Point
    axle: Point
    od: Length = 50.8
    joint_room: LengthOrZero = 100.0
    chassis_bolt: Direction | None = None
    axle_bolt: Direction | None = None
    chassis_limit_deg: JointAngle | None = None
    axle_limit_deg: JointAngle | None = None


class Housing(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Axle housing and centre section as solids.

    Attributes
    ----------
    tube_od : float
        Outside diameter of the housing tubes [mm].
    end_inset : float
        Wheel-mount face to the outer end of the tube that takes part in the check [mm].
    centre_radius : float
        Radius of the ball that stands for the centre section [mm].
    pinion_offset : float
        Pinion centreline to the axle's centre plane, left positive [mm].
    pinion_rise : float
        Pinion axis above the axle line, square to itself: of a raised pinion positive, of a low one negative [mm].
    pinion_length, pinion_radius : float
        Axle centre to the pinion's mounting face, and radius of the pinion's snout [mm]; length 0 = no snout.
    pinion_angle_deg : float
        Pinion axis above the level, up positive, at ride height [degrees].
    pinion_faces : str
        ``forward`` (usual for a rear axle) or ``rearward`` (usual for a front axle).

    """

    tube_od: Length = 76.2
    end_inset: LengthOrZero = 63.5
    centre_radius: Length = 140.0
    pinion_offset: Annotated[float, Meta(ge=-2000.0, le=2000.0, description="[mm]")] = 0.0
    pinion_rise: Annotated[float, Meta(ge=-500.0, le=500.0, description="[mm]")] = 0.0
    pinion_length: LengthOrZero = 280.0
    pinion_radius: Length = 60.0
    pinion_angle_deg: Angle = 0.0
    pinion_faces: Literal["forward", "rearward"] = "forward"


class Steering(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Steered wheels: each turns about its own kingpin axis, which the axle carries.

    Attributes
    ----------
    inclination_deg : float
        Kingpin inclination: top of the axis leans inboard, positive [degrees].
    caster_deg : float
        Side-view lean: top of the axis leans rearward, positive [degrees].
    kingpin : tuple
        A point of the left kingpin axis, measured from the centre of the left wheel-mount face with the axle
        level: forward, left, up [mm]. It moves with the wheel mount when the width changes.
    lock_left_deg, lock_right_deg : float
        Turn about the kingpin at the steering stops, for a left and a right turn, of the wheel on the side that is
        steered to [degrees]. The other wheel turns by the same angle where neither a tie rod nor a share is given.
    tie_rod : TieRod or None
        What ties the wheels.
    ackermann : Ackermann or None
        How the outer wheel turns, told instead of the tie rod.
    drag_link : DragLink or None
    ram : Ram or None
    joint_limit_deg : float or None
        Largest working angle of the joints in the axle's shafts [degrees]; None = not known, and no limit.

    """

    inclination_deg: Angle
    caster_deg: Angle
    kingpin: tuple[Coordinate, Coordinate, Coordinate]
    lock_left_deg: Lock
    lock_right_deg: Lock
    tie_rod: TieRod | None = None
    ackermann: Ackermann | None = None
    drag_link: DragLink | None = None
    ram: Ram | None = None
    joint_limit_deg: Lock | None = None


class Axle(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A solid axle on four rods, on five that share what they force on each other, or on two leaf springs.

    See geometry.motion.linkage and geometry.motion.leaf.

    Attributes
    ----------
    station, height : float
        x and z of the axle's centre at ride height [mm]; y is 0.
    width : float
        Wheel-mount width: mounting face to mounting face [mm].
    stop_station : float
        Distance from the centre plane of the two places on the axle line at which bump stops or shocks limit
        the travel [mm]. Travel is measured there, upward from ride height.
    bump, droop : float
        Travel up and down from ride height at the stop stations [mm].
    rods : tuple of four or five rods; empty on leaf springs
    leaf_springs : LeafSprings or None
        What locates it instead of rods.
    shocks, bump_stops, straps : tuple of Shock, BumpStop, Strap
        What limits the travel within bump and droop.
    driveshaft : Driveshaft or None
        The shaft to its pinion; None = nothing of it is known, or there is none.
    pinion_choices : tuple of PinionChoice
        Other centre sections to compare with.
    build : Build or None
        What turns the width into cuts; None = nothing of it is known.
    as_built : AsBuilt or None
        What was measured on the axle that was made.
    trial_widths : tuple of float
        Widths on the builder's trial list, to be compared [mm]; no answer depends on them.

    """

    id: Id
    name: Label = ""
    station: Coordinate
    height: Length
    width: Length
    stop_station: Length
    bump: LengthOrZero
    droop: LengthOrZero
    rods: Annotated[tuple[Rod, ...], Meta(max_length=5, extra_json_schema=_RODS)] = ()
    leaf_springs: LeafSprings | None = None
    tire: Tire
    wheel: Wheel
    housing: Housing = Housing()
    steering: Steering | None = None
    shocks: Shocks = ()
    bump_stops: BumpStops = ()
    straps: Straps = ()
    driveshaft: Driveshaft | None = None
    pinion_choices: Annotated[tuple[PinionChoice, ...], Meta(max_length=8)] = ()
    build: Build | None = None
    as_built: AsBuilt | None = None
    trial_widths: Annotated[tuple[Length, ...], Meta(max_length=MOST_TRIALS)] = ()
