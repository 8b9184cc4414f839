"""The kinds of records that stand in lists: how one is made, what can be entered, and what a new one is asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec import Struct

from app.panels.records.axle_items import PERCH
from app.panels.records.driveline_items import JOINT, PINION
from app.panels.records.items import Group
from app.panels.records.rig_items import LIMIT, MASS
from app.panels.records.stroke_items import SHOCK, STOP, STRAP
from app.panels.records.topics import TopicKind
from geometry.rig.axle import Rod
from geometry.rig.build import Perch
from geometry.rig.driveline import PinionChoice
from geometry.rig.mass import MassPart
from geometry.rig.rules import WidthLimit
from geometry.rig.stroke import BumpStop, Shock, Strap

ASKED: Final[dict[TopicKind, tuple[Callable[..., Struct], tuple[Group, ...], tuple[str, ...]]]] = {
    "perch": (Perch, PERCH, ("name", "at", "width")),
    "mass": (MassPart, MASS, ("name", "mass_kg")),
    "limit": (WidthLimit, LIMIT, ("name", "measure", "most")),
    "shock": (Shock, SHOCK, ("name", "collapsed", "extended", "chassis", "axle", "mirrored")),
    "stop": (BumpStop, STOP, ("name", "height", "compressed", "chassis", "axle", "mirrored")),
    "strap": (Strap, STRAP, ("name", "length", "chassis", "axle", "mirrored")),
    "pinion": (PinionChoice, PINION, ("name", "pinion_rise")),
    "joint": (Rod, JOINT, ()),
}
"""For each kind of list its record, its groups, and the fields that are asked for."""
