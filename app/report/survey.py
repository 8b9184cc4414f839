"""What to measure on a rig, and how: the survey sheet in words and rows, planned values beside blanks to fill in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from app.units import LengthUnit, fine_unit, format_angle, format_length
from geometry.rig.axle import Axle
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
        "Measure one side and check the other. Where left and right differ by more than you would let pass in welding, "
        "note both: the drawing takes what is entered once as the same on both sides."
    ),
    (
        "Write down what the tape shows and in which unit. Leave blank what could not be measured, and do not fill in "
        "a guess."
    ),
)
"""How to set up, common practice, no source."""

SHOCK_COLUMNS: Final = ("Place", "x", "y", "z", "Length now", "Collapsed", "Extended")

SHOCK_PLACES: Final = tuple(
    f"{axle} {side}, {end}"
    for axle in ("front", "rear")
    for side in ("left", "right")
    for end in ("chassis eye", "axle eye")
)

AFTER: Final = (
    "Enter the figures in the tables of the program (View, Panels, Tables): nodes, bars, links and axles. Each field "
    "takes fractions, feet and inches, and millimetres. The rig file holds no shocks, stops or straps; keep that table "
    "with the rig."
)


@dataclass(frozen=True, slots=True)
class PointRow:
    """One point to measure: its number in the drawing, its name, its place in the rig's frame [mm], its words."""

    number: int
    name: str
    at: tuple[float, float, float]

    def cells(self, unit: LengthUnit) -> tuple[str, ...]:
        """The row's planned cells."""
        return (str(self.number), self.name, *(format_length(value, unit) for value in self.at))


def node_rows(rig: Rig) -> tuple[PointRow, ...]:
    """The nodes of the chassis, in the order of the rig."""
    return tuple(PointRow(number, node.id, node.at) for number, node in enumerate(rig.nodes, start=1))


def joint_rows(rig: Rig) -> tuple[PointRow, ...]:
    """Both joints of every link, numbered on from the nodes."""
    joints = (
        (f"{axle.id} {rod.name or rod.id}, {end} end", at)
        for axle in rig.axles
        for rod in axle.rods
        for end, at in (("chassis", rod.chassis), ("axle", rod.axle))
    )
    return tuple(PointRow(number, name, at) for number, (name, at) in enumerate(joints, start=len(rig.nodes) + 1))


def axle_rows(rig: Rig, unit: LengthUnit) -> tuple[tuple[str, str, str, str], ...]:
    """Sizes of the axles: axle, what, how to measure it, planned value."""
    return tuple((axle.id, *row) for axle in rig.axles for row in _axle_rows(axle, unit))


def _axle_rows(axle: Axle, unit: LengthUnit) -> Iterator[tuple[str, str, str]]:
    tire, housing = tire_dimensions(axle.tire), axle.housing
    lengths = (
        ("station", "cross line to below the axle's centre", axle.station),
        ("height", "floor to the axle's centre line, mean of left and right", axle.height),
        ("width", "wheel mounting face to wheel mounting face", axle.width),
        ("free diameter", "off the ground: tape once round the tread, divided by 3.1416", 2.0 * tire.radius),
        ("section width", "widest place of the side walls, lettering not counted", tire.section_width),
        ("loaded radius", "floor to wheel centre, at ride height and trail pressure", tire.loaded_radius),
        ("rim width", "between the bead seats, not the outer edges", axle.wheel.rim_width),
        ("offset", "rim's centre plane to the mounting face, outboard positive", wheel_offset(axle.wheel)),
        ("bump", "axle rise at the stop, ride height to stop fully squeezed", axle.bump),
        ("droop", "axle drop at the stop, ride height to shock or strap at its end", axle.droop),
        ("stop station", "centre line to the stop or shock that ends the travel", axle.stop_station),
        ("tube diameter", "caliper across the housing tube", housing.tube_od),
        ("pinion offset", "centre line to the pinion, left positive", housing.pinion_offset),
    )
    angles = [("pinion angle", "level on the mounting face, pointing up positive", housing.pinion_angle_deg)]
    if (steering := axle.steering) is not None:
        plates = "turn plates under both wheels; the smaller of the two angles"
        angles += [
            ("caster", "gauge on the knuckle, top rearward positive", steering.caster_deg),
            ("inclination", "gauge on the knuckle, top inboard positive", steering.inclination_deg),
            ("lock, left turn", plates, steering.lock_left_deg),
            ("lock, right turn", plates, steering.lock_right_deg),
        ]
    yield "tire size", "as moulded on the side", axle.tire.size
    yield from ((what, how, format_length(value, unit)) for what, how, value in lengths)
    yield from ((what, how, format_angle(value)) for what, how, value in angles)


def tube_rows(rig: Rig, unit: LengthUnit) -> tuple[tuple[str, ...], ...]:
    """Tubes and links with their diameters: name, along which points, planned diameter and wall."""
    fine = fine_unit(unit)
    bars = (
        (bar.name or bar.id, " – ".join(bar.nodes), format_length(bar.od, unit), format_length(bar.wall, fine))
        for bar in rig.bars
    )
    links = (
        (f"{axle.id} {rod.name or rod.id}", "joint to joint", format_length(rod.od, unit), "")
        for axle in rig.axles
        for rod in axle.rods
    )
    return (*bars, *links)
