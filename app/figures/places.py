"""Places of values in words: ``axles/rear/build/left/end_addition`` is “left end addition of the rear axle”."""

from __future__ import annotations

import re
from typing import Final

from app.figures.figure import perch_words
from app.figures.wheels import OUTER
from geometry.rig.rig import Rig

SIDE: Final = {
    "end_addition": "{} end addition",
    "centre_half": "{} half of the centre section",
    "insertion_centre": "{} tube in the centre section",
    "insertion_end": "{} tube in its end",
    "shrink": "{} weld shrink",
    "shaft/flange": "flange of the {} axle shaft",
    "shaft/gear_face": "side gear of the {} axle shaft, from the pinion",
    "shaft/engagement": "spline engagement of the {} axle shaft",
    "shaft/spline_length": "spline length of the {} axle shaft",
    "shaft/end_play": "end play of the {} axle shaft",
}
"""Values of a half of the axle; the side goes into the braces."""

BUILD: Final = {
    "kerf": "saw cut",
    "separation_deg": "caster and pinion angle as the welds hold them",
    "transfer_output": "joint of the driveshaft at the transfer case",
    "rim_inside_radius": "radius inside the rim",
    "brake_radius": "radius of the brake",
    "knuckle_inset": "wheel mount to knuckle",
    "rounding": "rounding of the cuts",
    "mockup/sleeve_left": "left sleeve of the mock-up",
    "mockup/sleeve_right": "right sleeve of the mock-up",
    "mockup/slider_left": "left slider of the mock-up",
    "mockup/slider_right": "right slider of the mock-up",
    "mockup/least_overlap": "least overlap of the mock-up",
}

AXLE: Final = {
    "width": "width",
    "rods": "links that reach the ends of the crossed travel",
    "housing/pinion_offset": "pinion offset",
    "housing/pinion_angle_deg": "pinion angle",
    "steering/caster_deg": "caster",
    "steering/drag_link": "drag link",
    "driveshaft/output_angle_deg": "angle of the transfer case's output",
    "wheel/offset": "wheel offset",
}

RIG: Final = {
    OUTER: "an outer width to compare at",
    "axles": "two axles, no more and no fewer",
    "bars": "bars of the chassis there",
    "steering/fixed": "an axle that does not steer",
    "gears": "gears of transmission, transfer case and axle",
    "gears/transmission": "ratios of the transmission",
    "gears/axle": "ratio of ring and pinion",
    "masses/parts": "list of what the rig carries and weighs",
    "masses/aboard": "people and what else is aboard only when it is loaded",
    "masses/measured/raised": "which axle was raised for weighing",
    "masses/measured/lift": "lift of the axle that was raised",
    "masses/measured/resting_kg": "load on the resting axle while the other was raised",
    "masses/measured/rear_left_kg": "load on the left rear tire",
    "masses/measured/front_left_kg": "load on the left front tire",
}

PERCH: Final = {"weld_leg": "weld leg", "angle_deg": "seat angle"}
PART: Final = {"mass_kg": "mass", "at": "centre of gravity"}


def place_words(rig: Rig, place: str, axle_id: str = "") -> str:
    """What stands at a place of the rig; that it is of the axle `axle_id` goes without saying.

    A place that has no words of its own is spelt out.
    """
    if place in RIG:
        return RIG[place]
    if found := re.fullmatch(r"masses/parts/(.+)/(mass_kg|at)", place):
        names = {part.id: part.name or part.id for part in (rig.masses.parts if rig.masses else ())}
        return f"{PART[found[2]]} of “{names.get(found[1], found[1])}”"
    if found := re.fullmatch(r"axles/([^/]+)/(.+)", place):
        of_axle = "" if found[1] == axle_id else f" of the {axle_words(rig, found[1])}"
        return f"{_axle_place(rig, found[1], found[2])}{of_axle}"
    return _spelt(place)


def axle_words(rig: Rig, axle_id: str) -> str:
    """An axle's name as it stands within a sentence."""
    name = next((axle.name for axle in rig.axles if axle.id == axle_id), "") or axle_id
    return name if "axle" in name.lower() else f"{name} axle"


def _axle_place(rig: Rig, axle_id: str, place: str) -> str:
    if place in AXLE:
        return AXLE[place]
    if found := re.fullmatch(r"build/(left|right)/(.+)", place):
        return SIDE.get(found[2], f"{{}} {_spelt(found[2])}").format(found[1])
    if found := re.fullmatch(r"build/perches/([^/]+)(?:/(.+))?", place):
        what = PERCH.get(found[2] or "", _spelt(found[2] or ""))
        perch = next((f"perch {perch_words(axle, found[1])}" for axle in rig.axles if axle.id == axle_id), "a perch")
        return f"{what} of {perch}" if what else perch
    name = place.removeprefix("build/")
    return BUILD.get(name, _spelt(name))


def _spelt(place: str) -> str:
    return place.replace("_deg", "").replace("_kg", "").replace("_", " ").replace("/", ", ")
