"""Parts of the small rig by the words that a test says, and where its nodes and joints lie."""

from __future__ import annotations

from typing import Literal

from geometry.rig.layout import PartRef
from geometry.rig.naming import housing_part, joint_part, link_part, node_part, tire_part
from geometry.rig.parts import Bar, Panel, Point
from geometry.rig.rig import Rig
from geometry.sketch.lookup import part_of


def node(rig: Rig, ref: str) -> PartRef:
    return node_part(next(one for one in rig.nodes if one.id == ref.removesuffix("'")), image=ref.endswith("'"))


def bar(rig: Rig, ref: str) -> PartRef:
    return part_of(rig, bar_record(rig, ref.removesuffix("'")), image=ref.endswith("'"))


def panel(rig: Rig, ref: str) -> PartRef:
    return part_of(rig, panel_record(rig, ref.removesuffix("'")), image=ref.endswith("'"))


def link(rig: Rig, number: int, axle: int = 0) -> PartRef:
    return link_part(rig.axles[axle], rig.axles[axle].rods[number])


def joint(rig: Rig, number: int, end: Literal["chassis", "axle"], axle: int = 0) -> PartRef:
    return joint_part(rig.axles[axle], rig.axles[axle].rods[number], end)


def tire(rig: Rig, side: Literal["left", "right"], axle: int = 0) -> PartRef:
    return tire_part(rig.axles[axle], side)


def housing(rig: Rig, axle: int = 0) -> PartRef:
    return housing_part(rig.axles[axle])


def bar_record(rig: Rig, name: str) -> Bar:
    return next(one for one in rig.bars if one.id == name)


def panel_record(rig: Rig, name: str) -> Panel:
    return next(one for one in rig.panels if one.id == name)


def at(rig: Rig, name: str) -> Point:
    return next(one.at for one in rig.nodes if one.id == name)
