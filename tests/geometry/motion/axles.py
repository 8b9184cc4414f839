"""An axle of the rig on triangulated links, to place and to steer."""

from __future__ import annotations

from typing import Any

from geometry.rig.axle import Axle, Housing, Rod, Steering
from geometry.rig.wheel import Tire, Wheel
from tests.geometry.motion.linkages import TRIANGULATED

STEERING = Steering(
    inclination_deg=8.5, caster_deg=6.0, kingpin=(0.0, -100.0, 20.0), lock_left_deg=38.0, lock_right_deg=36.0
)


def axle(**changes: Any) -> Axle:
    """A front axle at x = 2500, its links trailing rearward to the chassis."""
    rods = tuple(
        Rod(id=f"rod{index}", chassis=(2500.0 - chassis[0], *chassis[1:]), axle=(2500.0 - joint[0], *joint[1:]))
        for index, (chassis, joint) in enumerate(TRIANGULATED)
    )
    given = {
        "id": "front", "station": 2500.0, "height": 470.0, "width": 1600.0, "stop_station": 500.0,
        "bump": 150.0, "droop": 120.0, "rods": rods, "tire": Tire(size="37x12.50R17", loaded_radius=450.0),
        "wheel": Wheel(rim_width=228.6, offset=-25.0), "housing": Housing(pinion_offset=150.0, pinion_faces="rearward"),
    }  # fmt: skip
    return Axle(**(given | changes))
