"""What to measure on a rig, and how: the survey sheet in words and rows, planned values beside blanks to fill in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Final

from app.units import LengthUnit, fine_unit, format_angle, format_length
from geometry.rig.axle import Axle
from geometry.rig.leaf import BOLTS
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions, wheel_offset

PREPARE: Final = (
    (
        "Park the rig on a level, hard floor at ride height, with fuel, spares and the usual people or their weight in "
        "it, tires at trail pressure, wheels straight ahead."
    ),
    "Chock the wheels. Never reach under a rig that only a jack holds: use stands, and leave springs loaded.",
    "Ground line: the floor. All heights z are measured straight up from it, with a level and a plumb.",
    (
        "Cross line: snap a chalk line on the floor below the centre of the rear axle, square to the rig. All lengths "
        "x are measured forward from it; behind it they carry a minus sign."
    ),
    (
        "Centre line: drop a plumb bob from both ends of the chassis half way between equal points left and right, and "
        "snap a line through the marks. All widths y are measured to the left of it; to the right they carry a minus "
        "sign."
    ),
    (
        "Drop a plumb bob from each point to the floor, mark it with its number, and measure x and y on the floor and "
        "z along the string. Tubes are measured to their centre line: to the edge, and half the diameter added."
    ),
    (
        "A point called a bend lies out in the air, where the centre lines of the straights to both sides would meet: "
        "lay a straight edge along each, measure where they cross, and measure the radius of the bend apart."
    ),
    (
        "Measure one side and check the other. Where left and right differ by more than you would let pass in welding, "
        "note both: the drawing takes what is entered once as the same on both sides."
    ),
    (
        "Write down what the tape shows and in which unit. Leave blank what could not be measured, and do not fill in "
        "a guess."
    ),
)
"""How to set up, common practice, no source."""

MARK: Final = " ?"
"""Stands behind a planned figure that nobody has confirmed."""

MARK_WORDS: Final = (
    "A ? behind a planned figure says that the program has filled it in: nobody has measured or confirmed it."
)

CAUTIONS: Final = (
    (
        "Steering, brakes, axles and welds carry lives. A sheet of lengths says nothing of strength, welds, handling "
        "or brakes."
    ),
    "Rules for altered vehicles differ from place to place; work that the law gives to licensed people is theirs.",
)

SHOCK_COLUMNS: Final = ("Place", "x", "y", "z", "Length now", "Collapsed", "Extended")

SHOCK_PLACES: Final = tuple(
    f"{axle} {side}, {end}"
    for axle in ("front", "rear")
    for side in ("left", "right")
    for end in ("chassis eye", "axle eye")
)

AFTER: Final = (
    "Enter the figures in the tables of the program (View, Panels, Tables): nodes, bars, links and axles. Each field "
    "takes fractions, feet and inches, and millimetres. Shocks, stops and straps go into the rig file, which then ends "
    "the travel where they do."
)


@dataclass(frozen=True, slots=True)
class PointRow:
    """One point to measure: number in the drawing, name, place in the rig's frame [mm], whether nobody confirmed it."""

    number: int
    name: str
    at: tuple[float, float, float]
    marked: bool = False

    def cells(self, unit: LengthUnit) -> tuple[str, ...]:
        """The row's planned cells; those that nobody has confirmed with a mark."""
        mark = MARK if self.marked else ""
        return (str(self.number), self.name, *(f"{format_length(value, unit)}{mark}" for value in self.at))


def node_rows(rig: Rig) -> tuple[PointRow, ...]:
    """The nodes of the chassis, in the order of the rig; where a tube bends, its name says so."""
    bends = {ref.removesuffix("'") for bar in rig.bars if bar.bend_radius > 0.0 for ref in bar.nodes[1:-1]}
    marked = frozenset(rig.unconfirmed)
    return tuple(
        PointRow(number, f"{node.id}, bend" if node.id in bends else node.id, node.at, f"nodes/{node.id}/at" in marked)
        for number, node in enumerate(rig.nodes, start=1)
    )


def joint_rows(rig: Rig) -> tuple[PointRow, ...]:
    """Both joints of every link, numbered on from the nodes."""
    marked = frozenset(rig.unconfirmed)
    joints = (
        (f"{axle.id} {rod.name or rod.id}, {end} end", at, f"axles/{axle.id}/rods/{rod.id}/{end}" in marked)
        for axle in rig.axles
        for rod in axle.rods
        for end, at in (("chassis", rod.chassis), ("axle", rod.axle))
    )
    bolts = (
        (
            f"{axle.id} leaf spring, {words}",
            getattr(axle.leaf_springs, bolt),
            f"axles/{axle.id}/leaf_springs/{bolt}" in marked,
        )
        for axle in rig.axles
        if axle.leaf_springs is not None
        for bolt, words in (("seat", "middle of its seat"), *BOLTS.items())
    )
    rows = chain(joints, bolts)
    return tuple(PointRow(number, *joint) for number, joint in enumerate(rows, start=len(rig.nodes) + 1))


def axle_rows(rig: Rig, unit: LengthUnit) -> tuple[tuple[str, str, str, str], ...]:
    """Sizes of the axles: axle, what, how to measure it, planned value."""
    marked = frozenset(rig.unconfirmed)
    return tuple(
        (axle.id, what, how, f"{planned}{MARK if f'axles/{axle.id}/{place}' in marked else ''}")
        for axle in rig.axles
        for what, how, planned, place in _axle_rows(axle, unit)
    )


def _axle_rows(axle: Axle, unit: LengthUnit) -> Iterator[tuple[str, str, str, str]]:
    """What, how to measure it, the planned value, and the value's place within the axle."""
    tire, housing = tire_dimensions(axle.tire), axle.housing
    lengths = (
        ("station", "cross line to below the axle's centre", axle.station, "station"),
        ("height", "floor to the axle's centre line, mean of left and right", axle.height, "height"),
        ("width", "wheel mounting face to wheel mounting face", axle.width, "width"),
        (
            *("free diameter", "off the ground: tape once round the tread, divided by 3.1416"),
            *(2.0 * tire.radius, "tire/diameter"),
        ),
        (
            *("section width", "widest place of the side walls, lettering not counted"),
            *(tire.section_width, "tire/section_width"),
        ),
        (
            *("loaded radius", "floor to wheel centre, at ride height and trail pressure"),
            *(tire.loaded_radius, "tire/loaded_radius"),
        ),
        ("rim width", "between the bead seats, not the outer edges", axle.wheel.rim_width, "wheel/rim_width"),
        (
            *("offset", "rim's centre plane to the mounting face, outboard positive"),
            *(wheel_offset(axle.wheel), "wheel/offset"),
        ),
        ("bump", "axle rise at the stop, ride height to stop fully squeezed", axle.bump, "bump"),
        ("droop", "axle drop at the stop, ride height to shock or strap at its end", axle.droop, "droop"),
        ("stop station", "centre line to the stop or shock that ends the travel", axle.stop_station, "stop_station"),
        ("tube diameter", "caliper across the housing tube", housing.tube_od, "housing/tube_od"),
        ("pinion offset", "centre line to the pinion, left positive", housing.pinion_offset, "housing/pinion_offset"),
    )
    yield "tire size", "as moulded on the side", axle.tire.size, "tire/size"
    yield from ((what, how, format_length(value, unit), place) for what, how, value, place in lengths)
    yield from ((what, how, format_angle(value), place) for what, how, value, place in _angles(axle))


def _angles(axle: Axle) -> Iterator[tuple[str, str, float, str]]:
    angle = axle.housing.pinion_angle_deg
    yield "pinion angle", "level on the mounting face, pointing up positive", angle, "housing/pinion_angle_deg"
    if (steering := axle.steering) is not None:
        plates = "turn plates under both wheels; the smaller of the two angles"
        yield "caster", "gauge on the knuckle, top rearward positive", steering.caster_deg, "steering/caster_deg"
        yield (
            "inclination",
            "gauge on the knuckle, top inboard positive",
            steering.inclination_deg,
            ("steering/inclination_deg"),
        )
        yield "lock, left turn", plates, steering.lock_left_deg, "steering/lock_left_deg"
        yield "lock, right turn", plates, steering.lock_right_deg, "steering/lock_right_deg"


def tube_rows(rig: Rig, unit: LengthUnit) -> tuple[tuple[str, ...], ...]:
    """Tubes and links: name, along which points by number, planned diameter, wall and bend radius."""
    fine, marked = fine_unit(unit), frozenset(rig.unconfirmed)

    def told(value: float, as_unit: LengthUnit, place: str) -> str:
        return f"{format_length(value, as_unit)}{MARK if place in marked else ''}"

    bars = (
        (
            bar.name or bar.id,
            f"{along(rig, bar.nodes)}{', left and right' if bar.mirrored else ''}",
            told(bar.od, unit, f"bars/{bar.id}/od"),
            told(bar.wall, fine, f"bars/{bar.id}/wall"),
            told(bar.bend_radius, unit, f"bars/{bar.id}/bend_radius") if len(bar.nodes) > 2 else "",
        )
        for bar in rig.bars
    )
    links = (
        (
            f"{axle.id} {rod.name or rod.id}",
            "end to end",
            told(rod.od, unit, f"axles/{axle.id}/rods/{rod.id}/od"),
            "",
            "",
        )
        for axle in rig.axles
        for rod in axle.rods
    )
    return (*bars, *links)


def panel_rows(rig: Rig, unit: LengthUnit) -> tuple[tuple[str, ...], ...]:
    """Panels: name, corners of each facet by number, whether fitted, planned thickness."""
    return tuple(
        (
            panel.name or panel.id,
            "; ".join(along(rig, loop) for loop in panel.facets) + (", left and right" if panel.mirrored else ""),
            "fitted" if panel.fitted else "off",
            format_length(panel.thickness, fine_unit(unit)),
        )
        for panel in rig.panels
    )


def along(rig: Rig, refs: Sequence[str]) -> str:
    """Points by their numbers in the drawing, an apostrophe for the mirror image: ``1 – 2 – 2'``."""
    numbers = {node.id: number for number, node in enumerate(rig.nodes, start=1)}
    return " – ".join(f"{numbers[ref.removesuffix(chr(39))]}{chr(39) if ref.endswith(chr(39)) else ''}" for ref in refs)
