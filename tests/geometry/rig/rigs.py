"""A small whole rig to test with, as plain values so that one of them can be put wrong, and as a record."""

from __future__ import annotations

import re
from typing import Any

from geometry.rig.rig import Rig
from geometry.rig.structure import rig_from_plain

REMOVED = object()
"""Put in place of a value that is to be taken out."""


def plain_rig() -> dict[str, Any]:
    """Two axles under a short frame; every kind of part is there."""
    return {
        "name": "Test rig",
        "nodes": [
            {"id": "a", "at": [800.0, 600.0, 500.0]},
            {"id": "b", "at": [1800.0, 600.0, 500.0]},
            {"id": "c", "at": [1800.0, 500.0, 1500.0]},
            {"id": "d", "at": [800.0, 600.0, 900.0]},
            {"id": "e", "at": [1800.0, 600.0, 900.0]},
            {"id": "m", "at": [1200.0, 0.0, 500.0]},
            {"id": "n", "at": [1200.0, 0.0, 1500.0]},
        ],
        "bars": [
            {"id": "rail", "nodes": ["a", "b", "c"], "od": 44.45, "wall": 3.05, "bend_radius": 150.0, "mirrored": True},
            {"id": "cross", "nodes": ["a", "a'"], "od": 38.1, "wall": 2.4},
            {"id": "post", "name": "Middle post", "nodes": ["m", "n"], "od": 38.1, "wall": 2.4},
        ],
        "panels": [{"id": "side", "facets": [["a", "b", "e", "d"]], "mirrored": True}],
        "axles": [plain_axle("rear", 0.0), plain_axle("front", 2600.0)],
    }


def plain_axle(name: str, station: float) -> dict[str, Any]:
    """A triangulated four-link axle; the one in front steers."""
    ahead = -1.0 if station > 0.0 else 1.0
    joints = [
        ([915.0, 380.0, 455.0], [0.0, 510.0, 395.0]),
        ([915.0, -380.0, 455.0], [0.0, -510.0, 395.0]),
        ([760.0, 405.0, 660.0], [0.0, 100.0, 700.0]),
        ([760.0, -405.0, 660.0], [0.0, -100.0, 700.0]),
    ]
    rods = [
        {
            "id": f"rod{index}",
            "chassis": [station + ahead * chassis[0], *chassis[1:]],
            "axle": [station + ahead * axle[0], *axle[1:]],
        }
        for index, (chassis, axle) in enumerate(joints)
    ]
    steering = {
        "inclination_deg": 8.5,
        "caster_deg": 6.0,
        "kingpin": [0.0, -100.0, 0.0],
        "lock_left_deg": 35.0,
        "lock_right_deg": 35.0,
    }
    return {
        "id": name,
        "station": station,
        "height": 450.0,
        "width": 1600.0,
        "stop_station": 500.0,
        "bump": 120.0,
        "droop": 150.0,
        "rods": rods,
        "tire": {"size": "37x12.50R17"},
        "wheel": {"rim_width": 228.6, "offset": -38.0},
        "steering": steering if station > 0.0 else None,
    }


def small_rig(**fields: Any) -> Rig:
    """The rig above; fields of the whole can be others."""
    return rig_from_plain(plain_rig() | fields)


def with_value(plain: dict[str, Any], place: str, value: object) -> dict[str, Any]:
    """Put a value at a place like ``axles[1].rods[2].chassis``, or take it out."""
    steps = [int(index) if index else name for name, index in re.findall(r"\.?([\w']+)|\[(\d+)\]", place)]
    holder: Any = plain
    for step in steps[:-1]:
        holder = holder[step]
    if value is REMOVED:
        del holder[steps[-1]]
    else:
        holder[steps[-1]] = value
    return plain
