"""Random rigs with realistic proportions: axles of any layout in a cage of bars and panels that they partly meet."""

from __future__ import annotations

from math import acos, tan

import numpy as np
from msgspec.structs import replace

from geometry.rig.axle import Axle, Housing, Rod, Steering
from geometry.rig.parts import Bar, Node, Panel, Point
from geometry.rig.rig import Rig
from geometry.rig.wheel import Tire, Wheel

RADIUS = 480.0
WHEELBASE = 2800.0
LAYOUTS = ("triangulated", "lateral bar", "wishbone")
EVERY_LAYOUT = (*LAYOUTS, "five rods")

Joints = list[tuple[tuple[float, float, float], tuple[float, float, float]]]


def random_rig(seed: int, *, bars: int = 24, panels: int = 3) -> Rig:
    """A rig whose every number follows from the seed."""
    rng = np.random.default_rng(seed)
    cage = _cage(rng, bars, panels)
    return replace(cage, name=f"random {seed}", axles=(random_axle(rng, LAYOUTS[seed % 3], steered=bool(seed % 2)),))


def varied_rig(seed: int) -> Rig:
    """Two axles of any two layouts with all kinds of steering, bent bars, and panels of one facet or of two."""
    rng = np.random.default_rng([seed, 1])
    rear_cage, front_cage = _cage(rng, 14, 3), _in_front(_cage(rng, 14, 3))
    bars = tuple(_bent(bar, rear_cage) for bar in rear_cage.bars) + front_cage.bars
    panels = tuple(_folded(panel) for panel in rear_cage.panels) + front_cage.panels
    layouts = EVERY_LAYOUT[seed % 4], EVERY_LAYOUT[(seed // 4 + seed) % 4]
    rear = random_axle(rng, layouts[0], steered=seed % 3 == 0)
    front = _facing_back(random_axle(rng, layouts[1], steered=seed % 5 != 4))
    nodes = rear_cage.nodes + front_cage.nodes
    return Rig(name=f"varied {seed}", nodes=nodes, bars=bars, panels=panels, axles=(rear, front))


def _in_front(cage: Rig) -> Rig:
    """A cage turned to the front and set round the front axle, under names of its own."""
    nodes = tuple(Node(id=f"f{node.id}", at=_facing(node.at)) for node in cage.nodes)
    bars = tuple(replace(bar, id=f"f{bar.id}", nodes=tuple(f"f{name}" for name in bar.nodes)) for bar in cage.bars)
    panels = tuple(
        replace(panel, id=f"f{panel.id}", facets=tuple(tuple(f"f{name}" for name in loop) for loop in panel.facets))
        for panel in cage.panels
    )
    return replace(cage, nodes=nodes, bars=bars, panels=panels)


def _facing_back(axle: Axle) -> Axle:
    rods = tuple(replace(rod, chassis=_facing(rod.chassis), axle=_facing(rod.axle)) for rod in axle.rods)
    return replace(
        axle, id="front", station=WHEELBASE, rods=rods, housing=replace(axle.housing, pinion_faces="rearward")
    )


def _facing(point: Point) -> Point:
    return (WHEELBASE - point[0], point[1], point[2])


def _bent(bar: Bar, cage: Rig) -> Bar:
    """A bar of two straights with a bend that takes up to a third of the shorter one."""
    if len(bar.nodes) != 3:
        return bar
    at = {node.id: np.array(node.at) for node in cage.nodes}
    start, corner, end = (at[name] for name in bar.nodes)
    legs = [float(np.linalg.norm(leg)) for leg in (corner - start, end - corner)]
    turn = acos(float((corner - start) @ (end - corner)) / (legs[0] * legs[1]))
    radius = min(4.0 * bar.od, min(legs) / 3.0 / tan(turn / 2.0))
    return replace(bar, bend_radius=radius) if radius >= bar.od else bar


def _folded(panel: Panel) -> Panel:
    """A panel of four corners as two triangles."""
    one, two, three, four = panel.facets[0]
    return replace(panel, facets=((one, two, three), (one, three, four)))


def _cage(rng: np.random.Generator, bars: int, panels: int) -> Rig:
    """Bars and panels round the rear axle; the axle itself is for the caller to add."""
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
    return Rig(name="", nodes=tuple(nodes), bars=tuple(made_bars), panels=tuple(made_panels), axles=())


def random_axle(rng: np.random.Generator, layout: str, *, steered: bool) -> Axle:
    """An axle on four rods or five with its centre at x = 0."""
    travel = 1.0
    joints: Joints = [((850, side * 330, 460), (0, side * 480, 400)) for side in (1, -1)]
    if layout == "triangulated":
        joints += [((750, side * 400, 660), (0, side * 100, 700)) for side in (1, -1)]
    elif layout == "wishbone":
        joints += [((750, side * 350, 660), (0, 0, 720)) for side in (1, -1)]
    elif layout == "five rods":
        travel = 0.8  # what the bushings of a fifth rod let through
        joints += [((850, side * 400, 640), (0, side * 430, 600)) for side in (1, -1)]
        joints += [((-150, 420, 560), (-150, -420, 530))]
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
        bump=travel * float(rng.uniform(100, 160)),
        droop=travel * float(rng.uniform(100, 160)),
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
