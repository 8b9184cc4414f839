"""Shocks, stops, straps, steering linkage and driveshaft as parts that are chosen: taken out, but moved by numbers."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Final

from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.axle import Axle
from geometry.rig.layout import PartKind, PartRef

LISTS: Final[dict[PartKind, str]] = {"shock": "shocks", "bump stop": "bump_stops", "strap": "straps"}
LINKAGE: Final[dict[PartKind, str]] = {"tie rod": "tie_rod", "drag link": "drag_link", "ram": "ram"}
HUNG: Final = frozenset({*LISTS, *LINKAGE, "driveshaft"})
"""Kinds of parts, and the fields of an axle or of its steering where they stand."""


def check_movable(parts: Collection[PartRef]) -> None:
    """Refuse to move nothing but such parts: each of their places is a number; raises RigError."""
    if parts and all(part.kind in HUNG for part in parts):
        label = next(iter(parts)).label
        raise RigError("axles", f"the {label} is moved by the places of its ends; change them in its form")


def without_hung(axle: Axle, parts: Iterable[PartRef]) -> Axle:
    """The axle without those of the parts that are its own; an image stands for its original."""
    for part in parts:
        if part.kind in LISTS and part.id.startswith(f"{axle.id}."):
            name = LISTS[part.kind]
            left = tuple(one for one in getattr(axle, name) if f"{axle.id}.{one.id}" != part.id)
            axle = replace(axle, **{name: left})
        elif part.id == axle.id and part.kind == "driveshaft":
            axle = replace(axle, driveshaft=None)
        elif part.id == axle.id and part.kind in LINKAGE and axle.steering is not None:
            axle = replace(axle, steering=replace(axle.steering, **{LINKAGE[part.kind]: None}))
    return axle
