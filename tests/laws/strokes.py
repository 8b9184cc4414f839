"""Random shocks, bump stops and straps on random axles, all of which fit at ride height."""

from __future__ import annotations

from math import dist

import numpy as np
from msgspec.structs import replace

from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.rig.stroke import BumpStop, Shock, Strap
from tests.laws.random_rigs import varied_rig


def limited_rig(seed: int) -> Rig:
    """A rig of two axles, both of them limited by something in some corner of their travel at least."""
    rig, rng = varied_rig(seed), np.random.default_rng([seed, 2])
    return replace(rig, name=f"limited {seed}", axles=tuple(limited(axle, rng) for axle in rig.axles))


def limited(axle: Axle, rng: np.random.Generator) -> Axle:
    """The axle with a pair of shocks, a bump stop on either side and a strap in the middle or on one side."""
    across, ahead = axle.stop_station * rng.uniform(0.5, 1.0), float(rng.uniform(-150, 150))
    low = (axle.station + ahead, float(across), axle.height + float(rng.uniform(-60, 60)))
    top = (
        axle.station + ahead * 0.5,
        float(across * rng.uniform(0.5, 1.0)),
        axle.height + float(rng.uniform(350, 550)),
    )
    span = dist(low, top)
    shock = Shock(
        id="shock",
        chassis=top,
        axle=low,
        collapsed=span - float(rng.uniform(0.5, 1.1)) * axle.bump,
        extended=span + float(rng.uniform(0.5, 1.1)) * axle.droop,
        mirrored=True,
        body_at="chassis" if rng.uniform() < 0.5 else "axle",
        spring_od=100.0 if rng.uniform() < 0.3 else None,
    )
    seat = (axle.station, axle.stop_station, axle.height + 60.0 + axle.bump + 40.0)
    pad = (axle.station + float(rng.uniform(-20, 20)), axle.stop_station, axle.height + 60.0)
    left = float(rng.uniform(0.6, 1.2)) * axle.bump
    stop = BumpStop(
        id="stop", chassis=seat, axle=pad, height=dist(seat, pad) - left + 30.0, compressed=dist(seat, pad) - left,
        mirrored=True,
    )  # fmt: skip
    side = float(rng.choice([0.0, 250.0, -250.0]))
    hook = (axle.station - 80.0, side, axle.height + 300.0)
    ring = (axle.station, side, axle.height + 40.0)
    strap = Strap(
        id="strap", chassis=hook, axle=ring, length=dist(hook, ring) + float(rng.uniform(0.5, 1.1)) * axle.droop
    )
    return replace(axle, shocks=(shock,), bump_stops=(stop,), straps=(strap,))
