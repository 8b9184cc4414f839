"""A level axle with shocks, bump stops and a strap whose numbers are easy to check."""

from __future__ import annotations

from typing import Any

from geometry.rig.axle import Axle, Rod
from geometry.rig.stroke import BumpStop, Shock, Strap
from geometry.rig.wheel import Tire, Wheel

RODS = tuple(
    Rod(id=f"{name}{side}", chassis=(800.0, side * across, up), axle=(0.0, side * on_axle, up))
    for name, across, on_axle, up in (("lower", 350.0, 480.0, 400.0), ("upper", 400.0, 100.0, 650.0))
    for side in (1, -1)
)
"""Four level rods: at ride height the axle moves straight up."""

SHOCK = Shock(id="a", chassis=(0.0, 400.0, 950.0), axle=(0.0, 400.0, 450.0), collapsed=400.0, extended=610.0)
"""Upright, 500 mm long at ride height."""
STOP = BumpStop(
    id="b", chassis=(0.0, 500.0, 610.0), axle=(0.0, 500.0, 460.0), height=100.0, compressed=60.0, mirrored=True
)
"""On the line on which the travel is measured: touched after 50 mm of bump, and at its end after 90 mm."""
STRAP = Strap(id="c", chassis=(0.0, 0.0, 900.0), axle=(0.0, 0.0, 550.0), length=430.0)
"""Taut after some 80 mm of droop."""


def stroked(**changes: Any) -> Axle:
    """A rear axle that goes 140 mm up and 120 mm down, with nothing that limits it but what is given."""
    given = {
        "id": "rear", "station": 0.0, "height": 460.0, "width": 1600.0, "stop_station": 500.0, "bump": 140.0,
        "droop": 120.0, "rods": RODS, "tire": Tire(size="37x12.50R17", loaded_radius=450.0),
        "wheel": Wheel(rim_width=228.6, offset=-25.0),
    }  # fmt: skip
    return Axle(**(given | changes))
