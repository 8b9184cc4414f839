"""What a drawing shows: the parts of the rig where they are in the displayed poses, and the places that matter.

Plain values in the rig's frame, made once and painted in any view.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from typing import Final

import numpy as np

from app.document import Selection, locks
from app.units import LengthUnit
from geometry.contact.findings import Approach, Verdict
from geometry.errors import LinkageError
from geometry.motion.placement import PlacedAxle, PlacedTire, place
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.outline.hung import Coil, hung_parts
from geometry.outline.silhouette import RoundedCylinder
from geometry.outline.view import Floats
from geometry.rig.axle import Axle
from geometry.rig.layout import BarPath, PanelFacets, PartRef, bar_paths, panel_facets
from geometry.rig.naming import centre_section_part, housing_part, link_part, pinion_part, tire_part
from geometry.rig.pinion import pinion_base
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from geometry.stroke.ends import travel_ends

MOST_MARKS: Final = 16
"""Places marked at once: more would hide the drawing; the touch list has them all."""

SAME_POSE: Final = 0.05
"""Poses less apart than this look the same [mm]: a fraction of a pixel at any zoom at which a tire is seen."""

STEER_LEVER: Final = 500.0
"""Lever on which steering counts as travel there [mm]: about a tire's radius."""

KINGPIN_REACH: Final = 260.0
"""Half the length of a kingpin axis as drawn [mm]: it shows beyond the rim."""


@dataclass(frozen=True, eq=False)
class Chassis:
    """What does not move: bars and fitted panels, mirror images included."""

    bars: tuple[BarPath, ...]
    panels: tuple[PanelFacets, ...]


@dataclass(frozen=True, eq=False)
class TireShape:
    """One tire: its solid and the radius of its rim [mm]."""

    part: PartRef
    solid: RoundedCylinder
    rim_radius: float


@dataclass(frozen=True, eq=False)
class AxleParts:
    """One axle in one pose.

    Attributes
    ----------
    axle : str
        Id of the axle.
    tires : tuple of TireShape, left and right
    tubes : tuple of BarPath
        Rods, housing tubes and pinion snout, shocks, stops, straps, steering linkage and driveshaft; a ball is a tube
        of no length (centre section).
    coils : tuple of Coil
        Springs round the shocks.
    kingpins : tuple of array, shape (2, 3)
        A piece of each kingpin axis [mm].
    mounts : array, shape (2, 3)
        Centres of the wheel-mount faces, left and right [mm].
    ground : float
        Height of the ground at ride height under this axle [mm].
    station : float
        x of the axle's centre at ride height [mm].

    """

    axle: str
    tires: tuple[TireShape, ...]
    tubes: tuple[BarPath, ...]
    coils: tuple[Coil, ...]
    kingpins: tuple[Floats, ...]
    mounts: Floats
    ground: float
    station: float


@dataclass(frozen=True, eq=False, slots=True)
class Mark:
    """A place to point out.

    Attributes
    ----------
    approach : Approach
    displayed : bool
        Whether the displayed pose of the axle is the one in which the approach was found.
    place : array, shape (3,)
        Closest point on the fixed part [mm]; on a link, which moves as well, where it is in the displayed pose.

    """

    approach: Approach
    displayed: bool
    place: Floats


@dataclass(frozen=True, eq=False)
class Drawing:
    """Everything that a view of the rig shows.

    Attributes
    ----------
    chassis : Chassis
    axles : tuple of AxleParts
        In their displayed poses; an axle that cannot get there is missing and its `problems` entry says why.
    extremes : tuple of TireShape
        Tires at full stuff and full droop.
    marks : tuple of Mark
        Worst first.
    marks_current : bool
        False when the marks belong to an earlier state of the rig.
    selection : Selection
        The last thing that was chosen.
    chosen : tuple of PartRef
        All chosen parts.
    active_axle : str
    active : Axle or None
        The active axle as described; a fitted view has room for its tires at both full locks.
    active_name : str
        What the active axle is called.
    width : float
        Wheel-mount width of the active axle [mm].
    unit : LengthUnit
    problems : tuple of str

    """

    chassis: Chassis
    axles: tuple[AxleParts, ...]
    extremes: tuple[TireShape, ...] = ()
    marks: tuple[Mark, ...] = ()
    marks_current: bool = True
    selection: Selection = None
    chosen: tuple[PartRef, ...] = ()
    active_axle: str = ""
    active: Axle | None = None
    active_name: str = ""
    width: float = 0.0
    unit: LengthUnit = LengthUnit.FRACTION
    problems: tuple[str, ...] = ()


def chassis_of(rig: Rig) -> Chassis:
    """The fixed parts of a rig."""
    return Chassis(tuple(bar_paths(rig)), tuple(panel_facets(rig)))


def drawing_of(
    rig: Rig,
    poses: Mapping[str, TravelPose] | None = None,
    *,
    approaches: Iterable[Approach] = (),
    approaches_current: bool = True,
    selection: Selection = None,
    chosen: tuple[PartRef, ...] = (),
    active_axle: str = "",
    unit: LengthUnit = LengthUnit.FRACTION,
    chassis: Chassis | None = None,
) -> Drawing:
    """The drawing of a rig.

    Parameters
    ----------
    poses : mapping of axle id to pose
        Axles that are not in it stand at ride height.
    approaches : iterable of Approach
        Of these the places worth marking are marked, see `worth_marking`.
    active_axle : str
        Axle that the front view is about; empty = the first.
    chassis : Chassis
        From `chassis_of`, when it is at hand.

    """
    poses = poses or {}
    active = rig.axle(active_axle) if active_axle else rig.axles[0]
    placed: list[AxleParts] = []
    problems: list[str] = []
    for axle in rig.axles:
        try:
            placed.append(axle_parts(axle, poses.get(axle.id, RIDE_HEIGHT)))
        except LinkageError as refused:
            problems.append(str(refused))
    shown = {parts.axle: parts for parts in placed}
    marks = tuple(
        _mark(approach, same_pose(approach.pose, poses.get(approach.axle, RIDE_HEIGHT)), shown.get(approach.axle))
        for approach in worth_marking(approaches, selection)
    )
    return Drawing(
        chassis=chassis or chassis_of(rig),
        axles=tuple(placed),
        extremes=tuple(shape for axle in rig.axles for shape in extreme_tires(axle)),
        marks=marks,
        marks_current=approaches_current,
        selection=selection,
        chosen=chosen,
        active_axle=active.id,
        active=active,
        active_name=active.name or f"{active.id} axle",
        width=active.width,
        unit=unit,
        problems=tuple(problems),
    )


@lru_cache(maxsize=16)
def axle_parts(axle: Axle, pose: TravelPose) -> AxleParts:
    """An axle and what it carries in one pose; raises LinkageError when it cannot get there."""
    placed = place(axle, pose)
    half = axle.width / 2.0
    hung = hung_parts(axle, placed)
    return AxleParts(
        axle=axle.id,
        tires=tuple(_tire_shape(axle, tire) for tire in placed.tires),
        tubes=(*_housing(axle, placed), *_links(axle, placed), *hung.tubes),
        coils=hung.coils,
        kingpins=tuple(pin.point + np.outer([-KINGPIN_REACH, KINGPIN_REACH], pin.axis) for pin in placed.kingpins),
        mounts=placed.to_rig(np.array([[0.0, half, 0.0], [0.0, -half, 0.0]])),
        ground=axle.height - tire_dimensions(axle.tire).loaded_radius,
        station=axle.station,
    )


@lru_cache(maxsize=32)
def extreme_tires(axle: Axle) -> tuple[TireShape, ...]:
    """Tires at full stuff and full droop, wheels straight; none where the axle cannot get there."""
    try:
        left = travel_ends(axle)
        ends = [place(axle, TravelPose(travel, travel), mapped=False) for travel in (left.bump, -left.droop)]
    except LinkageError:
        return ()
    return tuple(_tire_shape(axle, tire) for placed in ends for tire in placed.tires)


@lru_cache(maxsize=32)
def locked_tires(axle: Axle) -> tuple[TireShape, ...]:
    """Tires at ride height, turned to full lock either way; none on an unsteered axle."""
    left, right = locks(axle)
    try:
        ends = [place(axle, TravelPose(steer=steer)) for steer in (left, -right) if steer]
    except LinkageError:
        return ()
    return tuple(_tire_shape(axle, tire) for placed in ends for tire in placed.tires)


def _tire_shape(axle: Axle, tire: PlacedTire) -> TireShape:
    return TireShape(
        part=tire_part(axle, tire.side),
        solid=RoundedCylinder(tire.centre, tire.axis, tire.section_width / 2.0, tire.radius, tire.shoulder_radius),
        rim_radius=tire_dimensions(axle.tire).rim_diameter / 2.0,
    )


def _housing(axle: Axle, placed: PlacedAxle) -> Iterator[BarPath]:
    housing = axle.housing
    yield BarPath(housing_part(axle), placed.housing_ends, housing.tube_od / 2.0, 0.0)
    centre = placed.centre_section
    if housing.pinion_length > 0.0:
        snout = np.array([placed.to_rig(pinion_base(housing)), placed.pinion_tip])
        yield BarPath(pinion_part(axle), snout, housing.pinion_radius, 0.0)
    yield BarPath(centre_section_part(axle), np.array([centre, centre]), housing.centre_radius, 0.0)


def _links(axle: Axle, placed: PlacedAxle) -> Iterator[BarPath]:
    for rod, ends in zip(axle.rods, placed.rods, strict=True):
        yield BarPath(link_part(axle, rod), np.array(ends), rod.od / 2.0, 0.0)


def _mark(approach: Approach, displayed: bool, parts: AxleParts | None) -> Mark:
    """The mark of an approach; one on a link goes with the link, at the same share of its length."""
    place = np.array(approach.on_fixed)
    tubes = () if displayed or parts is None else parts.tubes
    link = next((tube for tube in tubes if tube.part.kind == "link" and same_part(tube.part, approach.fixed)), None)
    if link is None:
        return Mark(approach, displayed, place)
    chassis, axle = link.points
    # The chassis end stands still, so the share follows from it alone; the point lies on the link's surface.
    along = sqrt(max(float((place - chassis) @ (place - chassis)) - link.radius**2, 0.0))
    share = along / float(np.linalg.norm(axle - chassis))
    return Mark(approach, displayed, chassis + min(share, 1.0) * (axle - chassis))


def worth_marking(approaches: Iterable[Approach], selection: Selection) -> tuple[Approach, ...]:
    """What is selected, what is not clear, and of each axle the closest of the clear ones; worst first."""
    chosen: list[Approach] = []
    others: list[Approach] = []
    seen: set[str] = set()
    near = (each for each in approaches if not each.beyond or is_selected_pair(each, selection))
    for approach in sorted(near, key=lambda each: each.margin):
        if is_selected_pair(approach, selection):
            chosen.append(approach)
        elif approach.verdict is not Verdict.CLEAR:
            others.append(approach)
        elif approach.axle not in seen:
            seen.add(approach.axle)
            others.append(approach)
    return tuple(chosen + others)[:MOST_MARKS]


def is_selected_pair(approach: Approach, selection: Selection) -> bool:
    """Whether the selection is this approach's pair."""
    if selection is None or isinstance(selection, PartRef):
        return False
    return same_part(approach.moving, selection.moving) and same_part(approach.fixed, selection.fixed)


def same_pose(one: TravelPose, other: TravelPose) -> bool:
    """Whether two poses look the same."""
    apart = max(abs(one.left - other.left), abs(one.right - other.right), STEER_LEVER * abs(one.steer - other.steer))
    return apart < SAME_POSE


def same_part(one: PartRef, other: PartRef) -> bool:
    """Whether two names mean the same solid, whatever people call it; a link's id is enough without its side."""
    return part_key(one) == part_key(other)


def part_key(part: PartRef) -> tuple[str, str, str]:
    """What makes a part itself: kind, id and side; a link has none but its own."""
    return (part.kind, part.id, "" if part.kind == "link" else part.side)


def chosen_keys(drawing: Drawing) -> frozenset[tuple[str, str, str]]:
    """Keys of all parts that are chosen, alone, together or as a pair."""
    last = drawing.selection
    alone = (last,) if isinstance(last, PartRef) else () if last is None else (last.moving, last.fixed)
    return frozenset(map(part_key, (*alone, *drawing.chosen)))
