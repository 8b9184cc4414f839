"""The kinds of records that stand in lists: how one is made, what can be entered, and what a new one is asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec import Struct

from app.panels.records.axle_items import PERCH
from app.panels.records.items import Group
from app.panels.records.rig_items import LIMIT, MASS
from app.panels.records.topics import TopicKind
from geometry.rig.build import Perch
from geometry.rig.mass import MassPart
from geometry.rig.rules import WidthLimit

ASKED: Final[dict[TopicKind, tuple[Callable[..., Struct], tuple[Group, ...], tuple[str, ...]]]] = {
    "perch": (Perch, PERCH, ("name", "at", "width")),
    "mass": (MassPart, MASS, ("name", "mass_kg")),
    "limit": (WidthLimit, LIMIT, ("name", "measure", "most")),
}
"""For each kind of list its record, its groups, and the values that are asked for."""
