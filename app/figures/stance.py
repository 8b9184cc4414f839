"""Stance: masses, stability, what the rig passes over, ramp travel and the rail pocket."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from app.figures.figure import Figure, Group
from app.wording import part_words
from geometry.plan.amount import Amount
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig
from geometry.stance.axle_loads import axle_loads
from geometry.stance.clearance_angles import WALL, Governed, clearance_angles
from geometry.stance.masses import MassState, RigMasses, rig_masses
from geometry.stance.rail_pocket import SidePocket, rail_pocket
from geometry.stance.ramp_travel import CornerTravel, ramp_travel
from geometry.stance.stability import AxleStability, Stability, stability

SIDES: Final = ("left", "right")
STATES: Final = ("empty", "loaded")

CFR: Final = "Definition of 40 CFR 86.084-2."
SCALES: Final = "On the scales, or by the list of what the rig carries with its tubes weighed from the drawing."
SAME_INDEX: Final = 0.05
"""Indices that look the same with one decimal, as they are told [-]."""

FACTOR: Final = "Half the track over the height of the centre of gravity (NHTSA's rollover rating)."


def masses(rig: Rig, _axle: Axle) -> Group:
    """What the rig weighs, when it tips, what each axle carries; empty and loaded."""
    found = rig_masses(rig)
    remark = "A rigid rig on rigid tires: springs and tires give way, so that a real one tips sooner."
    return Group("masses", "Stance: weight and tipping", STATES, tuple(_masses(rig, found)), remark)


def under(rig: Rig, _axle: Axle) -> Group:
    """Angles and heights of clearance; takes time, and no width is part of it."""
    remark = "At ride height on level ground, on the loaded radius."
    return Group("under", "Stance: under the rig", (), tuple(_under(rig)), remark)


def ramp(rig: Rig, _axle: Axle) -> Group:
    """Ramp travel of both front corners, from the linkages; takes time."""
    found = ramp_travel(rig)
    figures = (
        Figure(
            "index", "Ramp travel index", found.index, "index",
            "1000 times the distance up a 20° ramp over the wheelbase, the lesser corner (a convention of clubs and "
            "magazines).", note=_corner_words(found.left, found.right),
        ),
        *(figure for corner in (found.left, found.right) for figure in _corner(corner)),
    )  # fmt: skip
    remark = "Both axles crossed up as far as their links and stops let them; springs and contact are not asked."
    return Group("ramp", "Stance: ramp travel", SIDES, figures, remark)


def pocket(rig: Rig, axle: Axle) -> Group:
    """The rail pocket on both sides of an axle."""
    found = rail_pocket(rig, axle)
    words = "Seen from above: outside of the outermost tube to the tire's inner face, where a stump can lodge. "
    figures = (
        *(figure for side in (found.left, found.right) for figure in _pocket(side, words)),
        Figure(
            "tire_face", "Inner face of a tire", Amount(found.tire_face), "length",
            "From the centre plane of the vehicle, wheels straight ahead.",
        ),
        Figure("larger", "Larger pocket", found.gap, "length", f"{words}Common practice, no source."),
    )  # fmt: skip
    remark = "At or below zero the tube covers the tire's inner face."
    return Group("pocket", "Stance: rail pocket", SIDES, figures, remark)


def _masses(rig: Rig, found: RigMasses) -> Iterator[Figure]:
    yield Figure(
        "tubes", "Chassis tubes", Amount(found.tubes.mass), "mass",
        "Weighed from the drawing: developed lengths, 7850 kg/m³ as in Eurocode 3; nothing is taken off at joints.",
    )  # fmt: skip
    stood = [(state, stability(rig, state)) for state in found.states]
    for state in found.states:
        yield from _centre(state)
    for state, stands in stood:
        yield Figure(
            "factor", "Stability factor of the rig", stands.factor, "factor",
            "Centre of gravity to the nearer line through the contact centres, over its height.", state.state,
        )  # fmt: skip
        yield Figure(
            "tip", "Rig tips at", stands.tip, "angle", "Side slope: the arc tangent of that factor.", state.state
        )
    for state, stands in stood:
        yield from _of_axles(rig, state, stands)


def _centre(state: MassState) -> Iterator[Figure]:
    column, note = state.state, f"{state.state} on the scales" if "mass" in state.measured else ""
    yield Figure("mass", "Mass", state.mass, "mass", SCALES, column, note)
    for key, label, amount, words in (
        ("x", "Centre of gravity, ahead of the rear axle", state.x, "Station of the centre of gravity in the rig."),
        ("y", "Centre of gravity, to the left", state.y, "From the centre plane, left positive."),
        (
            "z",
            "Centre of gravity, height",
            state.z,
            "Above the ground at ride height (ISO 10392 where it was weighed).",
        ),
    ):
        note = f"{column} on the scales" if key in state.measured else ""
        yield Figure(key, label, amount, "length", words, column, note)


def _of_axles(rig: Rig, state: MassState, stands: Stability) -> Iterator[Figure]:
    loads = axle_loads(rig, state)
    for axle, stand, load in zip(rig.axles, stands.axles, loads, strict=True):
        yield from _tipping(axle, stand, state.state)
        yield Figure(
            f"{axle.id}/load", f"{_name(axle)}: load", load.load, "mass",
            "Moments about the other axle, level and at rest; beyond an axle it lifts the other one.", state.state,
        )  # fmt: skip
        yield Figure(
            f"{axle.id}/share", f"{_name(axle)}: share", load.share, "share", "Of the whole mass.", state.state
        )


def _tipping(axle: Axle, stand: AxleStability, column: str) -> Iterator[Figure]:
    name = _name(axle)
    yield Figure(f"{axle.id}/factor", f"{name}: stability factor", stand.factor, "factor", FACTOR, column)
    yield Figure(f"{axle.id}/tip", f"{name}: tips at", stand.tip, "angle", "Arc tangent of that factor.", column)
    yield Figure(
        f"{axle.id}/tip_outer", f"{name}: tips at, tread edge", stand.tip_outer, "angle",
        "About the outer edges of the treads, which no rig gets beyond.", column,
    )  # fmt: skip


def _under(rig: Rig) -> Iterator[Figure]:
    found = clearance_angles(rig)
    approach = f"Smallest angle between ground and a line from the front tire to the underside ahead of it. {CFR}"
    departure = "The same behind the rear tire."
    crest = f"The sharpest crest that passes between two axles, of lines tangent to both tires. {CFR}"
    yield _governed("approach", "Approach angle", found.approach, approach)
    yield _governed("departure", "Departure angle", found.departure, departure)
    yield _governed("ramp", "Breakover (ramp) angle", found.ramp, crest)
    yield _governed("belly", "Belly height", found.belly, "Ground to the lowest bar or panel between the axles.")
    words = f"Ground to the lowest of centre section and housing. {CFR}"
    for axle, clearance in zip(rig.axles, found.axles, strict=True):
        yield _governed(f"{axle.id}/clearance", f"{_name(axle)}: ground clearance", clearance, words)


def _governed(key: str, label: str, found: Governed, words: str) -> Figure:
    is_height = key == "belly" or key.endswith("/clearance")
    note = _at(found.part)
    if found.part is None and found.value.value == WALL:
        note = "nothing stands out: the tire meets a wall first"
    return Figure(key, label, found.value, "clearance" if is_height else "angle", words, note=note)


def _at(part: PartRef | None) -> str:
    return "" if part is None else f"at {part_words(part)}"


def _corner_words(left: CornerTravel, right: CornerTravel) -> str:
    one, other = left.index.value, right.index.value
    if one is None or other is None:
        return ""
    if abs(one - other) <= SAME_INDEX:
        return "the same at both corners"
    return f"{'left' if one < other else 'right'} front wheel up"


def _corner(corner: CornerTravel) -> Iterator[Figure]:
    side = corner.side
    yield Figure(
        "corner", "Index, this wheel up", corner.index, "index", "1000 × distance up the ramp / wheelbase.", side
    )
    yield Figure(
        "up_ramp", "Distance up the ramp", corner.up_ramp, "length",
        "Along the slope of 20° from its foot to below the hub.", side,
    )  # fmt: skip
    yield Figure(
        "lift", "Lift of the wheel", corner.lift, "length",
        "Height of its tire above the ground that the other three stand on.", side,
    )  # fmt: skip
    yield Figure(
        "by_lift", "Index by that lift", corner.index_by_lift, "index",
        "1000 × lift / (wheelbase × sin 20°), a club's page; higher: on a slope the tire touches behind its hub.", side,
    )  # fmt: skip


def _pocket(side: SidePocket, words: str) -> Iterator[Figure]:
    column = side.rail.side
    note = "" if side.rail.part is None else part_words(side.rail.part)
    yield Figure("gap", "Rail pocket", side.gap, "length", f"{words}Common practice, no source.", column, note)
    yield Figure(
        "reach", "Outermost tube", side.rail.reach, "length",
        "Outside of the outermost tube between the axles, no higher than the tire, from the centre plane.", column,
    )  # fmt: skip


def _name(axle: Axle) -> str:
    name = axle.name or axle.id
    return f"{name[:1].upper()}{name[1:]}"
