"""Rigs to stand on their tires: the small rig weighed, and what becomes of a rig in a mirror or at another scale."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from geometry.rig.rig import Rig
from geometry.rig.structure import plain_from_rig, rig_from_plain
from tests.geometry.rig.rigs import plain_rig, small_rig

PARTS = [
    {"id": "engine", "mass_kg": 300.0, "at": [1900.0, 20.0, 750.0]},
    {"id": "wheels", "mass_kg": 60.0, "at": [1300.0, 800.0, 450.0], "mirrored": True},
    {"id": "driver", "mass_kg": 80.0, "at": [1200.0, 300.0, 900.0], "aboard": "loaded"},
]


def weighed_rig(**fields: Any) -> Rig:
    """The small rig with a list of parts and one passenger; fields of the whole can be others."""
    return small_rig(**({"masses": {"parts": PARTS}} | fields))


def straight_rig(**fields: Any) -> Rig:
    """The same without a bend, so that every number of it scales."""
    bars = [bar | {"bend_radius": 0.0} for bar in plain_rig()["bars"]]
    tire = {"size": "any", "diameter": 940.0, "section_width": 318.0, "rim_diameter": 431.8, "loaded_radius": 450.0}
    axles = [axle | {"tire": tire} for axle in plain_rig()["axles"]]
    return weighed_rig(**({"bars": bars, "axles": axles} | fields))


def mirrored(rig: Rig) -> Rig:
    """The rig seen in a mirror: left is right."""
    axles = tuple(
        replace(
            axle,
            rods=tuple(replace(rod, chassis=_flipped(rod.chassis), axle=_flipped(rod.axle)) for rod in axle.rods),
            housing=replace(axle.housing, pinion_offset=-axle.housing.pinion_offset),
        )
        for axle in rig.axles
    )
    masses = rig.masses
    if masses is not None:
        parts = tuple(part if part.at is None else replace(part, at=_flipped(part.at)) for part in masses.parts)
        masses = replace(masses, parts=parts)
    nodes = tuple(replace(node, at=_flipped(node.at)) for node in rig.nodes)
    return replace(rig, nodes=nodes, axles=axles, masses=masses)


def scaled(rig: Rig, by: float) -> Rig:
    """The rig with every length larger, and what it weighs with it."""

    def larger(value: Any, name: str = "") -> Any:
        if isinstance(value, dict):
            return {key: larger(inside, key) for key, inside in value.items()}
        if isinstance(value, list | tuple):
            return [larger(inside, name) for inside in value]
        if not isinstance(value, float) or name.endswith(("_deg", "_factor")):
            return value
        return value * (by**3 if name.endswith("_kg") else by)

    return rig_from_plain(larger(plain_from_rig(rig)))


def _flipped(at: tuple[float, float, float]) -> tuple[float, float, float]:
    return (at[0], -at[1], at[2])
