"""Rear axles of every layout of rods."""

from __future__ import annotations

from typing import Any

from geometry.rig.axle import Axle, Rod
from geometry.rig.wheel import Tire, Wheel
from tests.geometry.motion.linkages import CENTRE, LAYOUTS, Rods


def linked(layout: str, **changes: Any) -> Axle:
    """A rear axle at x = 0 on the rods of a layout."""
    return on_rods(LAYOUTS[layout], **changes)


def on_rods(rods: Rods, **changes: Any) -> Axle:
    """A rear axle at x = 0 on rods."""
    given: dict[str, Any] = {
        "id": "rear", "station": 0.0, "height": CENTRE[2], "width": 1600.0, "stop_station": 500.0,
        "bump": 150.0, "droop": 150.0, "tire": Tire(size="37x12.50R17", loaded_radius=450.0),
        "wheel": Wheel(rim_width=228.6, offset=-25.0),
        "rods": tuple(Rod(id=f"rod{at}", chassis=chassis, axle=joint) for at, (chassis, joint) in enumerate(rods)),
    }  # fmt: skip
    return Axle(**(given | changes))
