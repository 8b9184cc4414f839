"""An axle on leaf springs to test with, and random ones."""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec.structs import replace

from geometry.motion.linkage import Floats
from geometry.rig.axle import Axle
from geometry.rig.leaf import LeafSprings
from tests.geometry.rig.rigs import small_rig

SPRINGS = {
    "fixed_eye": (620.0, 430.0, 520.0),
    "shackle_eye": (-640.0, 430.0, 545.0),
    "shackle_pivot": (-610.0, 430.0, 655.0),
    "seat": (0.0, 430.0, 525.0),
}


def leaf_axle(**changes: Any) -> Axle:
    """The small rig's rear axle on leaf springs over it; fields of axle and springs can be others."""
    axle = small_rig().axles[0]
    own = {name: value for name, value in changes.items() if name in LeafSprings.__struct_fields__}
    others = {name: value for name, value in changes.items() if name not in own}
    plain = {"bump": 90.0, "droop": 100.0, "stop_station": 460.0} | others
    return replace(axle, rods=(), leaf_springs=LeafSprings(**(SPRINGS | own)), **plain)


def random_springs(seed: int) -> dict[str, Any]:
    """Fields of springs of another make: lengths, arch, shackle, offset of the seat, load."""
    rng = np.random.default_rng(seed)
    fixed, shackle = rng.uniform(450.0, 700.0, 2)
    up, arch = rng.uniform(65.0, 110.0), rng.uniform(-40.0, 60.0)
    eye = np.array([-shackle, 430.0, 450.0 + up + arch + rng.uniform(-15.0, 15.0)])
    length, lean = rng.uniform(80.0, 140.0), rng.uniform(0.0, 0.4)
    return {
        "fixed_eye": (fixed, 430.0, 450.0 + up + arch),
        "shackle_eye": tuple(eye.tolist()),
        "shackle_pivot": tuple((eye + length * np.array([np.sin(lean), 0.0, np.cos(lean)])).tolist()),
        "seat": (float(rng.uniform(-30.0, 30.0)), 430.0, 450.0 + up),
        "clamp": float(rng.uniform(80.0, 140.0)),
        "leaf_factor": float(rng.uniform(0.75, 0.83)),
        "sag": float(rng.uniform(60.0, 140.0)),
        "wind_up_deg": float(rng.choice([0.0, 3.0])),
    }


def travels(axle: Axle, seed: int, count: int) -> Floats:
    """Random travels of an axle, shape (2, count) [mm]."""
    return np.random.default_rng(seed).uniform(-axle.droop, axle.bump, (2, count))
