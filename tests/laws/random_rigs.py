"""Random rigs with realistic proportions: one axle of any layout in a cage of bars and panels that it partly meets."""

from __future__ import annotations

import numpy as np

from geometry.rig.axle import Axle, Housing, Rod, Steering
from geometry.rig.parts import Bar, Node, Panel, Point
from geometry.rig.rig import Rig
from geometry.rig.wheel import Tire, Wheel

RADIUS = 480.0
LAYOUTS = ("triangulated", "lateral bar", "wishbone")

Joints = list[tuple[tuple[float, float, float], tuple[float, float, float]]]


def random_rig(seed: int, *, bars: int = 24, panels: int = 3) -> Rig:
    """A rig whose every number follows from the seed."""
    rng = np.random.default_rng(seed)
    nodes: list[Node] = []
    made_bars, made_panels = [], []
    for index in range(bars):
        count = int(rng.integers(2, 4))
        corners = [_near(rng) for _ in range(count)]
        ids = [f"b{index}.{corner}" for corner in range(count)]
        nodes += [Node(id=name, at=at) for name, at in zip(ids, corners, strict=True)]
        made_bars.append(
            Bar(id=f"bar{index}", nodes=tuple(ids), od=float(rng.uniform(32, 60)), wall=3.0, mirrored=bool(index % 3))
        )
    for index in range(panels):
        origin, along = np.array(_near(rng)), rng.normal(size=3)
        across = np.cross(along, rng.normal(size=3))
        steps = [np.zeros(3), along, along + across, across]
        size = float(rng.uniform(150, 400))
        ids = [f"p{index}.{corner}" for corner in range(4)]
        for name, step in zip(ids, steps, strict=True):
            spread = step * size / max(float(np.linalg.norm(along)), float(np.linalg.norm(across)))
            nodes.append(Node(id=name, at=_point(origin + spread)))
        made_panels.append(Panel(id=f"panel{index}", facets=(tuple(ids),)))
    return Rig(
        name=f"random {seed}",
        nodes=tuple(nodes),
        bars=tuple(made_bars),
        panels=tuple(made_panels),
        axles=(random_axle(rng, LAYOUTS[seed % 3], steered=bool(seed % 2)),),
    )


def random_axle(rng: np.random.Generator, layout: str, *, steered: bool) -> Axle:
    """An axle on four rods with its centre at x = 0."""
    joints: Joints = [((850, side * 330, 460), (0, side * 480, 400)) for side in (1, -1)]
    if layout == "triangulated":
        joints += [((750, side * 400, 660), (0, side * 100, 700)) for side in (1, -1)]
    elif layout == "wishbone":
        joints += [((750, side * 350, 660), (0, 0, 720)) for side in (1, -1)]
    else:
        joints += [((750, -200, 660), (0, -200, 700)), ((-150, 420, 640), (-150, -420, 620))]
    rods = tuple(
        Rod(id=f"rod{index}", chassis=_point(rng.normal(a, 15.0)), axle=_point(rng.normal(b, 15.0)))
        for index, (a, b) in enumerate(joints)
    )
    steering = Steering(
        inclination_deg=float(rng.uniform(5, 10)),
        caster_deg=float(rng.uniform(2, 8)),
        kingpin=(0.0, float(rng.uniform(-140, -80)), 0.0),
        lock_left_deg=float(rng.uniform(25, 40)),
        lock_right_deg=float(rng.uniform(25, 40)),
    )
    return Axle(
        id="rear",
        station=0.0,
        height=460.0,
        width=float(rng.uniform(1500, 1800)),
        stop_station=float(rng.uniform(380, 520)),
        bump=float(rng.uniform(100, 160)),
        droop=float(rng.uniform(100, 160)),
        rods=rods,
        tire=Tire(size="37x12.50R17", shoulder_radius=float(rng.uniform(10, 40))),
        wheel=Wheel(rim_width=215.9, offset=float(rng.uniform(-50, 20))),
        housing=Housing(pinion_offset=float(rng.uniform(-150, 150)), pinion_angle_deg=8.0),
        steering=steering if steered else None,
    )


def _near(rng: np.random.Generator) -> Point:
    """A point in the room round the left wheel, some of them within the tire's sweep."""
    return _point(rng.uniform((-800.0, 150.0, 350.0), (800.0, 900.0, 1300.0)))


def _point(values: np.ndarray) -> Point:
    x, y, z = (float(value) for value in values)
    return (x, y, z)
