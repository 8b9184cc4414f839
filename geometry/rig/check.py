"""Whether a rig can be used: everything that its parts must be together, told with place and remedy.

A linkage that cannot assemble or that binds is found later, by motion; a tire that touches a bar is no error at all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from itertools import combinations, pairwise
from typing import Final, Protocol

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from geometry.errors import RigError
from geometry.rig.axle import Axle, Rod
from geometry.rig.build import check_as_built
from geometry.rig.driveline import check_gears
from geometry.rig.layout import MIRROR, bent
from geometry.rig.leaf_check import check_located
from geometry.rig.limits import LEAST_TUBE, LEAST_WALL, check_axle_sizes, check_least
from geometry.rig.mass import check_weighing
from geometry.rig.parts import Bar, Panel, Point
from geometry.rig.pinion import check_driveline
from geometry.rig.rig import Rig
from geometry.rig.steer_check import check_steering
from geometry.rig.stroke import check_bump_stop, check_shock, check_strap
from geometry.rig.structure import did_you_mean, ids_at, plain_from_rig, rig_from_plain
from geometry.rig.underlay import check_file
from geometry.rig.wheel import tire_dimensions, track_width, wheel_offset
from geometry.tolerances import COINCIDENT, FLAT

Floats = NDArray[np.float64]
Corners = tuple[Point, ...]

PARTS_KEPT: Final = 2**14
"""Bars, and panels, of which it is kept that they are sound, so that a drag looks only at what it moves [-]: more
than the largest rig has."""


class _Named(Protocol):
    @property
    def id(self) -> str: ...


def check_rig(rig: Rig) -> None:
    """Raise what is wrong with a rig, if anything.

    Raises
    ------
    RigError
        With the place of the first fault, as in ``axles[1].rods[2].chassis``, and what to do about it.

    """
    plain = plain_from_rig(rig)
    rig = rig_from_plain(plain)
    try:
        check_chassis(replace(rig, name="", note="", axles=(), masses=None, rules=None, underlays=(), unconfirmed=()))
        _check_ids(rig.axles, "axles")
        for index, axle in enumerate(rig.axles):
            _check_axle(axle, f"axles[{index}]")
        _check_stations(rig.axles)
        if rig.masses is not None:
            _check_ids(rig.masses.parts, "masses.parts")
            check_weighing(rig.masses.measured, len(rig.axles), "masses.measured")
        if rig.rules is not None:
            _check_ids(rig.rules.widths, "rules.widths")
        check_gears(rig.gears, "gears")
        _check_ids(rig.underlays, "underlays")
        for index, underlay in enumerate(rig.underlays):
            check_file(underlay.file, f"underlays[{index}].file")
    except RigError as refused:
        refused.ids = ids_at(refused.place, plain)
        raise


def least_width(axle: Axle) -> float:
    """Wheel-mount width [mm] that an axle must exceed for the rest of its description to make sense."""
    return max(2.0 * axle.stop_station, *(limit for limit, _, _ in _width_limits(axle, "")))


def _check_ids(items: Iterable[_Named], place: str) -> None:
    first: dict[str, int] = {}
    for index, item in enumerate(items):
        if item.id in first:
            raise RigError(
                f"{place}[{index}].id",
                f"the id “{item.id}” is taken by {place}[{first[item.id]}]; give one of them another id",
            )
        first[item.id] = index


# Chassis


@lru_cache(maxsize=2)  # a width is dragged through hundreds of values above the same chassis
def check_chassis(rig: Rig) -> None:
    """Raise what is wrong with nodes, bars and panels; the values by themselves are taken to be in their ranges."""
    for kind, items in (("nodes", rig.nodes), ("bars", rig.bars), ("panels", rig.panels)):
        _check_ids(items, kind)
    nodes = _places(rig)
    for index, bar in enumerate(rig.bars):
        _check_bar(bar, _corners(bar.nodes, nodes, f"bars[{index}].nodes"), f"bars[{index}]")
    for index, panel in enumerate(rig.panels):
        place = f"panels[{index}]"
        loops = tuple(_corners(refs, nodes, f"{place}.facets[{at}]") for at, refs in enumerate(panel.facets))
        _check_panel(panel, loops, place)


def _places(rig: Rig) -> Mapping[str, Point]:
    """Position of every node reference [mm]."""
    places = {node.id: node.at for node in rig.nodes}
    return places | {f"{name}'": (at[0], -at[1], at[2]) for name, at in places.items()}


def _corners(refs: Iterable[str], nodes: Mapping[str, Point], place: str) -> Corners:
    for index, ref in enumerate(refs):
        if ref not in nodes:
            meant = did_you_mean(ref, nodes)
            raise RigError(f"{place}[{index}]", f"there is no node “{ref}”{meant}; add it to nodes or name another one")
    return tuple(nodes[ref] for ref in refs)


@lru_cache(maxsize=PARTS_KEPT)
def _check_bar(bar: Bar, corners: Corners, place: str) -> None:
    points = np.array(corners)
    legs = np.diff(points, axis=0)
    for index, leg in enumerate(legs):
        if np.linalg.norm(leg) <= COINCIDENT:
            raise RigError(f"{place}.nodes[{index + 1}]", _no_length(bar, *bar.nodes[index : index + 2]))
    for index, (leg, after) in enumerate(pairwise(legs)):
        if float(leg @ after) < 0.0 and np.linalg.norm(np.cross(leg, after)) <= COINCIDENT * np.linalg.norm(leg):
            raise RigError(f"{place}.nodes[{index + 1}]", f"bar “{bar.id}” turns back on itself here; split it in two")
    _check_tube(bar, place)
    bent(points, bar.bend_radius, place)  # raises where the bends do not fit
    if bar.mirrored and (_same(points, points * MIRROR) or _same(points, points[::-1] * MIRROR)):
        raise RigError(
            f"{place}.mirrored", f"bar “{bar.id}” is its own mirror image and would be there twice; set it to false"
        )


def _check_tube(bar: Bar, place: str) -> None:
    check_least(bar.od, LEAST_TUBE, f"{place}.od", "od", "tube")
    check_least(bar.wall, LEAST_WALL, f"{place}.wall", "wall", "wall of a tube")
    if 2.0 * bar.wall > bar.od:
        raise RigError(
            f"{place}.wall",
            f"the wall of {bar.wall:g} mm is more than half the outside diameter, {bar.od / 2.0:g} mm; make it thinner",
        )
    if 0.0 < bar.bend_radius < bar.od / 2.0:
        raise RigError(
            f"{place}.bend_radius",
            f"the centre line cannot bend tighter than half the outside diameter, {bar.od / 2.0:g} mm; "
            "enlarge it, or write 0 for mitred corners",
        )


def _no_length(bar: Bar, one: str, other: str) -> str:
    if one.removesuffix("'") == other.removesuffix("'") and one != other:
        node = one.removesuffix("'")
        return (
            f"bar “{bar.id}” has no length here: “{node}” lies on the centre line and is its own mirror image; "
            f"name it once, without an apostrophe"
        )
    return f"bar “{bar.id}” has no length here, both ends lie at the same point; name another node or remove it"


def _same(points: Floats, others: Floats) -> bool:
    return bool(np.all(np.abs(points - others) <= COINCIDENT))


@lru_cache(maxsize=PARTS_KEPT)
def _check_panel(panel: Panel, facets: tuple[Corners, ...], place: str) -> None:
    loops = [np.array(corners) for corners in facets]
    for index, (points, refs) in enumerate(zip(loops, panel.facets, strict=True)):
        _check_facet(points, refs, f"{place}.facets[{index}]")
    corners = np.concatenate(loops)
    gaps = np.linalg.norm(corners[:, None] - corners * MIRROR, axis=2)
    if panel.mirrored and bool(np.all(gaps.min(axis=1) <= COINCIDENT)):
        raise RigError(
            f"{place}.mirrored", f"panel “{panel.id}” is its own mirror image and would be there twice; set it to false"
        )


def _check_facet(points: Floats, refs: tuple[str, ...], place: str) -> None:
    """A facet is a flat, convex loop of three or more different points."""
    for index, edge in enumerate(np.roll(points, -1, axis=0) - points):
        if np.linalg.norm(edge) <= COINCIDENT:
            raise RigError(f"{place}[{index}]", f"“{refs[index]}” lies at the same point as the next corner; remove it")
    centre = points.mean(axis=0)
    # Newell's normal: its length is twice the area of the loop.
    normal = np.cross(points - centre, np.roll(points, -1, axis=0) - centre).sum(axis=0)
    size = float(np.linalg.norm(normal))
    if size <= 2.0 * COINCIDENT * float(np.linalg.norm(points - centre, axis=1).max()):
        raise RigError(place, "the corners enclose no area: they lie on one line, or their edges cross; put them right")
    normal /= size
    heights = (points - centre) @ normal
    worst = int(np.abs(heights).argmax())
    if abs(heights[worst]) > FLAT:
        raise RigError(
            f"{place}[{worst}]",
            f"“{refs[worst]}” lies {abs(heights[worst]):.1f} mm out of the plane of the other corners, {FLAT:g} mm is "
            "allowed; move the node or split the facet into triangles",
        )
    _check_convex(points - heights[:, None] * normal, normal, refs, place)


def _check_convex(points: Floats, normal: Floats, refs: tuple[str, ...], place: str) -> None:
    edges = np.roll(points, -1, axis=0) - points
    inward = np.cross(normal, edges)
    inward /= np.maximum(np.linalg.norm(inward, axis=1), COINCIDENT)[:, None]
    for index, (before, after) in enumerate(zip(np.roll(edges, 1, axis=0), inward, strict=True)):
        if float(before @ after) > COINCIDENT:
            raise RigError(
                f"{place}[{index}]", f"the facet turns inwards at “{refs[index]}”; split it into facets without notches"
            )
    # Turning one way all the time and still leaving the inside of an edge means going round more than once.
    if float(np.einsum("ei,pei->pe", inward, points[:, None] - points).min()) < -COINCIDENT:
        raise RigError(place, "the edges cross each other; name the corners in their order round the facet")


# Axles


def _check_axle(axle: Axle, place: str) -> None:
    check_axle_sizes(axle, place)
    wheel_offset(axle.wheel, f"{place}.wheel")
    _check_ids(axle.rods, f"{place}.rods")
    for index, rod in enumerate(axle.rods):
        _check_rod(rod, f"{place}.rods[{index}]")
    _check_joints(axle.rods, f"{place}.rods")
    check_located(axle, place)
    check_steering(axle, place)
    _check_strokes(axle, place)
    _check_ids(axle.pinion_choices, f"{place}.pinion_choices")
    check_driveline(axle, place)
    if axle.build is not None:
        _check_ids(axle.build.perches, f"{place}.build.perches")
    check_as_built(axle.as_built, f"{place}.as_built")
    for limit, where, problem in _width_limits(axle, place):
        if axle.width <= limit:
            raise RigError(
                where, f"{problem} from a width of {limit:.1f} mm downwards, and this is {axle.width:.1f} mm"
            )
    if 2.0 * axle.stop_station > axle.width:
        raise RigError(
            f"{place}.stop_station",
            f"the stop station, {axle.stop_station:.1f} mm from the centre plane, lies beyond the wheel-mount face at "
            f"half the width, {axle.width / 2.0:.1f} mm; widen the axle or move the stops inboard",
        )
    if axle.bump + axle.droop >= 2.0 * axle.stop_station:
        raise RigError(
            f"{place}.bump",
            f"bump and droop together, {axle.bump + axle.droop:.1f} mm, must be less than the distance between the "
            f"stop stations, {2.0 * axle.stop_station:.1f} mm, or the axle would stand on end; shorten the travel",
        )


def _width_limits(axle: Axle, place: str) -> list[tuple[float, str, str]]:
    """Widths [mm] at and under which something makes no sense, where, and what."""
    tire = tire_dimensions(axle.tire, f"{place}.tire")
    meeting = axle.width - track_width(axle.width, axle.wheel) + tire.section_width
    limits = [
        (meeting, f"{place}.width", "the left and right tire meet in the middle"),
        (2.0 * axle.housing.end_inset, f"{place}.housing.end_inset", "nothing is left of the housing tubes"),
    ]
    if axle.steering is not None:
        inboard = -2.0 * axle.steering.kingpin[1]
        limits.append((inboard, f"{place}.steering.kingpin", "the left kingpin lies on the right-hand side"))
    return limits


def _check_rod(rod: Rod, place: str) -> None:
    length = float(np.linalg.norm(np.subtract(rod.axle, rod.chassis)))
    if length <= COINCIDENT:
        raise RigError(f"{place}.chassis", f"rod “{rod.id}” has no length, both joints lie at the same point; move one")
    if 2.0 * rod.joint_room >= length:
        raise RigError(
            f"{place}.joint_room",
            f"joint room of {rod.joint_room:g} mm at each end leaves nothing of a rod {length:.1f} mm long; "
            "make it smaller",
        )
    for field in ("chassis_bolt", "axle_bolt"):
        bolt: tuple[float, float, float] | None = getattr(rod, field)
        if bolt is None:
            continue
        if np.linalg.norm(bolt) <= COINCIDENT:
            raise RigError(f"{place}.{field}", "a bolt needs a direction, as in [0, 1, 0] for one straight across")
        way = np.subtract(rod.axle, rod.chassis)
        if np.linalg.norm(np.cross(bolt, way)) <= COINCIDENT * np.linalg.norm(bolt) * length:
            raise RigError(
                f"{place}.{field}",
                f"the bolt points along rod “{rod.id}” itself, and no eye turns on it; turn it square to the rod",
            )


def _check_joints(rods: tuple[Rod, ...], place: str) -> None:
    chassis, axle = np.array([rod.chassis for rod in rods]), np.array([rod.axle for rod in rods])
    for one, other in combinations(range(len(rods)), 2):
        if _same(chassis[one], chassis[other]) and _same(axle[one], axle[other]):
            raise RigError(
                f"{place}[{other}]",
                f"rod “{rods[other].id}” lies exactly on {place}[{one}] and holds nothing more; move one of its joints",
            )
    for ends, where in ((chassis, "chassis"), (axle, "axle")) if rods else ():
        if _same(ends, ends[0]):
            raise RigError(
                f"{place}[0].{where}", "all rods share this joint and leave the axle loose; move some of them"
            )


def _check_strokes(axle: Axle, place: str) -> None:
    for kind, items in (("shocks", axle.shocks), ("bump_stops", axle.bump_stops), ("straps", axle.straps)):
        _check_ids(items, f"{place}.{kind}")
    for index, shock in enumerate(axle.shocks):
        check_shock(shock, f"{place}.shocks[{index}]")
    for index, stop in enumerate(axle.bump_stops):
        check_bump_stop(stop, f"{place}.bump_stops[{index}]")
    for index, strap in enumerate(axle.straps):
        check_strap(strap, f"{place}.straps[{index}]")


def _check_stations(axles: tuple[Axle, ...]) -> None:
    for one, other in combinations(range(len(axles)), 2):
        if abs(axles[one].station - axles[other].station) <= COINCIDENT:
            raise RigError(
                f"axles[{other}].station", f"the station is the same as that of axles[{one}]; move one of the axles"
            )
