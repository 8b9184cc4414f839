"""A complete rig from a few numbers: a plain tub of bars between two axles, with link points that work.

Everything is laid out from three lengths: the tire's free radius, the room between the tires' inner faces, and the
height of the belly. Proportions are common practice, no source; each value that the builder did not give is marked
as unconfirmed. The tub stands clear of the tires fore and aft, its links start on its cross bars, its rails pass over
the axles at full bump.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from msgspec.structs import replace

from geometry.rig.axle import Axle, Housing, Rod, Steering
from geometry.rig.check import check_rig
from geometry.rig.parts import Bar, Node, Point
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH, Tire, TireDimensions, Wheel, tire_dimensions
from geometry.sketch.start_numbers import (
    Locating,
    StartNumbers,
    check_numbers,
    link_length,
    room_beside,
    rounded,
    stop_station,
)

TUBE: Final = (44.45, 3.048)
STAY: Final = (38.1, 3.048)
"""Outside diameter and wall of main bars and of stays [mm]: 1 3/4 and 1 1/2 by 0.120 in. Common practice, no source."""

AHEAD: Final = 3.0 * INCH
"""How far the lower links sit from the upper ones towards the tub, at both ends alike [mm]."""

LOCK_DEG: Final = 32.0
"""Steering lock of a steered front axle [degrees]."""


def start_rig(numbers: StartNumbers) -> Rig:
    """A complete rig of these numbers; all that is ours in it is marked as unconfirmed.

    Raises
    ------
    RigError
        With the name of the field as its place, and the nearest value that works.

    """
    check_numbers(numbers)
    tire = tire_dimensions(Tire(size=numbers.tire_size))
    ends = _ends(numbers, tire)
    sheet = _chassis(*ends)
    axles = tuple(_axle(numbers, end) for end in ends)
    rig = Rig(name=numbers.name, nodes=tuple(sheet.nodes), bars=tuple(sheet.bars), axles=axles)
    check_rig(rig)
    return replace(rig, unconfirmed=tuple(_defaults(rig)))


# Layout


@dataclass(frozen=True, slots=True, kw_only=True)
class _End:
    """Where things are at one end of the rig [mm]; `way` points from the axle to the tub along x.

    Attributes
    ----------
    room : float
        Centre plane to the tires' inner faces.
    hoop, joint, tip, lateral : float
        x of the hoop, of the lower links on the tub, of the end of the rails, of the lateral bar.
    floor, upper, rail, shoulder : float
        z of the floor tubes, of the cross bar of the upper links, of the rails over the axle, of the hoop's shoulder.
    half, belly, rails, lower : float
        y of the tub's sides, of its belly rails, of the rails over the axle, of the lower links on the axle.

    """

    side: str
    way: float
    station: float
    height: float
    width: float
    locating: Locating
    steered: bool
    room: float
    hoop: float
    joint: float
    tip: float
    lateral: float
    floor: float
    upper: float
    rail: float
    shoulder: float
    half: float
    belly: float
    rails: float
    lower: float

    @property
    def has_lateral_bar(self) -> bool:
        """Whether a lateral bar locates the axle."""
        return self.locating in {Locating.PARALLEL, Locating.THREE_LINK}

    @property
    def mount(self) -> Point:
        """Joint of the lateral bar on the chassis."""
        return (self.lateral, -self.rails, rounded(self.height + 4.25 * INCH))


def _ends(numbers: StartNumbers, tire: TireDimensions) -> tuple[_End, _End]:
    """Rear and front end."""
    rooms = [room_beside(numbers, tire, width) for width in (numbers.rear_width, numbers.front_width)]
    half = rounded(0.85 * min(rooms))
    rear = _end(numbers, tire, "rear", rooms[0], half)
    return rear, _end(numbers, tire, "front", rooms[1], half)


def _end(numbers: StartNumbers, tire: TireDimensions, side: str, room: float, half: float) -> _End:
    is_rear = side == "rear"
    way, station = (1.0, 0.0) if is_rear else (-1.0, numbers.wheelbase)
    steered = numbers.steered and not is_rear
    link, height = link_length(tire.radius), tire.loaded_radius
    floor_z = numbers.belly + 0.5 * TUBE[0]
    upper = floor_z + rounded(0.45 * height)
    rail = max(upper + 5.0 * INCH, rounded(height + numbers.bump + 6.5 * INCH))
    return _End(
        side=side,
        way=way,
        station=station,
        height=height,
        width=numbers.rear_width if is_rear else numbers.front_width,
        locating=numbers.rear if is_rear else numbers.front,
        steered=steered,
        room=room,
        hoop=station + way * link,
        joint=station + way * (link + AHEAD),
        tip=station - way * rounded(0.9 * tire.radius),
        lateral=station - way * rounded(0.4 * tire.radius),
        floor=floor_z,
        upper=upper,
        rail=rail,
        shoulder=max(floor_z + 23.0 * INCH, rail + 7.0 * INCH),
        half=half,
        belly=rounded(0.5 * half),
        rails=rounded(min((0.42 if steered else 0.6) * room, 0.8 * half)),
        lower=rounded((0.5 if steered else 0.68) * room),
    )


# Chassis


class _Sheet:
    """Collects nodes by where they lie, and bars."""

    def __init__(self) -> None:
        self.nodes: list[Node] = []
        self.bars: list[Bar] = []
        self._refs: dict[Point, str] = {}

    def node(self, node_id: str, at: Point) -> str:
        """Reference to a point, by the id given first to it or to its image."""
        if at not in self._refs:
            self.nodes.append(Node(id=node_id, at=at))
            self._refs[at] = node_id
            self._refs.setdefault((at[0], -at[1], at[2]), f"{node_id}'")
        return self._refs[at]

    def bar(
        self, name: str, *refs: str, tube: tuple[float, float] = TUBE, bend: float = 0.0, both: bool = False
    ) -> None:
        """Add a bar along nodes."""
        bar_id = name.replace(",", "").replace(" ", "-")
        od, wall = tube
        self.bars.append(Bar(id=bar_id, name=name, nodes=refs, od=od, wall=wall, bend_radius=bend, mirrored=both))


def _chassis(rear: _End, front: _End) -> _Sheet:
    sheet = _Sheet()
    for end in (rear, front):
        _lay_floor(sheet, end)
    middle = rounded(0.5 * (rear.joint + front.joint))
    _lay_tub(sheet, rear, front, middle)
    _lay_rub_rail(sheet, rear, front, middle)
    for end in (rear, front):
        _lay_rails(sheet, end)
        if end.has_lateral_bar:
            _hang_lateral_bar(sheet, end)
    return sheet


def _lay_floor(sheet: _Sheet, end: _End) -> None:
    """Cross bars on which the links of one axle start, and the legs that carry them."""
    side = end.side
    foot = sheet.node(f"{side}-foot", (end.hoop, end.half, end.floor))
    sill = sheet.node(f"{side}-sill", (end.joint, end.half, end.floor))
    belly = sheet.node(f"{side}-belly", (end.joint, end.belly, end.floor))
    post = sheet.node(f"{side}-post", (end.hoop, end.half, end.upper))
    sheet.bar(f"floor cross, {side}", sill, belly, _image(belly), _image(sill))
    sheet.bar(f"foot brace, {side}", foot, belly, tube=STAY, both=True)
    sheet.bar(f"link cross, {side}", post, _image(post))


def _lay_tub(sheet: _Sheet, rear: _End, front: _End, middle: float) -> None:
    sill = sheet.node("middle-sill", (middle, rear.half, rear.floor))
    belly = sheet.node("middle-belly", (middle, rear.belly, rear.floor))
    sheet.bar("floor rail", "rear-foot", "rear-sill", sill, "front-sill", "front-foot", both=True)
    sheet.bar("belly rail", "rear-belly", belly, "front-belly", both=True)
    sheet.bar("floor cross, middle", sill, belly, _image(belly), _image(sill))
    lean = rounded(0.2 * (front.hoop - rear.hoop))
    tops = [_raise_hoop(sheet, rear, 0.0), _raise_hoop(sheet, front, lean)]
    sheet.bar("roof rail", *tops, both=True)
    sheet.bar("shoulder bar", "rear-shoulder", _image("rear-shoulder"), tube=STAY)
    sheet.bar("dash bar", "front-shoulder", _image("front-shoulder"), tube=STAY)
    for end in (rear, front):
        sheet.bar(f"side brace, {end.side}", f"{end.side}-shoulder", sill, tube=STAY, both=True)


def _raise_hoop(sheet: _Sheet, end: _End, lean: float) -> str:
    """A hoop over the tub; returns the node at its upper left corner."""
    side = end.side
    rail = sheet.node(f"{side}-rail-post", (end.hoop, end.half, end.rail))
    shoulder = sheet.node(f"{side}-shoulder", (end.hoop, end.half, end.shoulder))
    top = sheet.node(f"{side}-roof", (end.hoop - lean, rounded(0.75 * end.half), end.shoulder + 20.0 * INCH))
    leg = (f"{side}-foot", f"{side}-post", rail, shoulder, top)
    sheet.bar(f"{side} hoop", *leg, *(_image(ref) for ref in reversed(leg)), bend=4.5 * INCH)
    return top


def _lay_rub_rail(sheet: _Sheet, rear: _End, front: _End, middle: float) -> None:
    out = rounded(0.97 * min(rear.room, front.room))
    inset = 5.0 * INCH
    places = (("rear", rear.hoop + inset), ("middle", middle), ("front", front.hoop - inset))
    rub = [sheet.node(f"{name}-rub", (x, out, rear.upper)) for name, x in places]
    sheet.bar("rub rail", "rear-post", *rub, "front-post", bend=3.0 * INCH, both=True)
    sheet.bar("rub rail stay", "middle-sill", rub[1], tube=STAY, both=True)


def _lay_rails(sheet: _Sheet, end: _End) -> None:
    """Rails over one axle, and what ties them to the tub."""
    side, is_rear = end.side, end.side == "rear"
    start = sheet.node(f"{side}-rail", (end.hoop, end.rails, end.rail))
    tip = sheet.node(f"{side}-tip", (end.tip, end.rails, end.rail))
    post = f"{side}-rail-post"
    sheet.bar(f"rail cross, {side}", post, start, _image(start), _image(post))
    sheet.bar(f"{side} rail", start, tip, both=True)
    stay_from = "rear-roof" if is_rear else sheet.node("cowl", (end.hoop, end.rails, end.shoulder))
    sheet.bar("back stay" if is_rear else "hood rail", stay_from, tip, tube=STAY, both=True)
    sheet.bar("tail cross" if is_rear else "nose cross", tip, _image(tip), tube=STAY)


def _hang_lateral_bar(sheet: _Sheet, end: _End) -> None:
    side = end.side
    hanger = sheet.node(f"{side}-hanger", (end.lateral, -end.rails, end.rail))
    mount = sheet.node(f"{side}-mount", end.mount)
    sheet.bar(f"lateral bar mount, {side}", hanger, mount, tube=STAY)
    sheet.bar(f"lateral bar brace, {side}", mount, _image(f"{side}-tip"), tube=STAY)


def _image(ref: str) -> str:
    return f"{ref}'"


# Axles


def _axle(numbers: StartNumbers, end: _End) -> Axle:
    return Axle(
        id=end.side,
        name=f"{end.side} axle",
        station=end.station,
        height=end.height,
        width=end.width,
        stop_station=stop_station(end.room),
        bump=numbers.bump,
        droop=numbers.droop,
        rods=tuple(_rods(end)),
        tire=Tire(size=numbers.tire_size),
        wheel=Wheel(rim_width=numbers.rim_width, offset=numbers.offset),
        housing=Housing(
            end_inset=139.7 if end.steered else 63.5,
            pinion_angle_deg=8.0,
            pinion_faces="forward" if end.way > 0.0 else "rearward",
        ),
        steering=_steering() if end.steered else None,
    )


def _steering() -> Steering:
    return Steering(
        inclination_deg=8.0,
        caster_deg=6.0,
        kingpin=(0.0, -4.25 * INCH, 0.0),
        lock_left_deg=LOCK_DEG,
        lock_right_deg=LOCK_DEG,
    )


def _rods(end: _End) -> Iterator[Rod]:
    """Lower links from the floor cross, then what the locating asks for.

    Parallel links are alike, for then the fifth rod asks little of the bushings.
    """
    low = rounded(end.height - 1.5 * INCH)
    high = low + end.upper - end.floor
    lower = end.belly if end.locating is Locating.PARALLEL else end.lower
    yield from _pair("lower", (end.joint, end.belly, end.floor), (end.station + end.way * AHEAD, lower, low))
    upper: Point = (end.hoop, end.belly, end.upper)
    if end.locating is Locating.TRIANGULATED:
        yield from _pair("upper", upper, (end.station, rounded(0.13 * end.room), high))
    elif end.locating is Locating.WISHBONE:
        yield from _pair("wishbone", upper, (end.station, 0.0, high))
    elif end.locating is Locating.PARALLEL:
        yield from _pair("upper", upper, (end.station, end.belly, high))
    else:
        yield Rod(id="upper", name="upper link", chassis=(end.hoop, 0.0, end.upper), axle=(end.station, 0.0, high))
    if end.has_lateral_bar:
        x, _, z = end.mount
        at_axle = (x, rounded(0.55 * end.room), z - INCH)
        yield Rod(id="lateral", name="lateral bar", chassis=end.mount, axle=at_axle, od=STAY[0])


def _pair(stem: str, chassis: Point, axle: Point) -> Iterator[Rod]:
    """A rod on the left and its image."""
    word = stem if stem == "wishbone" else f"{stem} link"
    for side, sign in (("left", 1.0), ("right", -1.0)):
        ends = ((x, sign * y, z) for x, y, z in (chassis, axle))
        yield Rod(id=f"{stem}-{side}", name=f"{word}, {side}", chassis=next(ends), axle=next(ends))


# What is ours


def _defaults(rig: Rig) -> Iterator[str]:
    """Places of all values that no StartNumbers give."""
    yield from (f"nodes/{node.id}/at" for node in rig.nodes)
    for bar in rig.bars:
        yield from (f"bars/{bar.id}/{field}" for field in ("od", "wall"))
        if bar.bend_radius:
            yield f"bars/{bar.id}/bend_radius"
    for axle in rig.axles:
        place = f"axles/{axle.id}"
        yield from (f"{place}/{field}" for field in ("height", "stop_station"))
        yield from (f"{place}/tire/{field}" for field in ("loaded_radius", "shoulder_radius"))
        for rod in axle.rods:
            yield from (f"{place}/rods/{rod.id}/{field}" for field in ("chassis", "axle", "od", "joint_room"))
        yield from (f"{place}/housing/{field}" for field in axle.housing.__struct_fields__)
        if axle.steering is not None:
            yield from (f"{place}/steering/{field}" for field in axle.steering.__struct_fields__)
    yield from (f"wanted/{field}" for field in rig.wanted.__struct_fields__)
