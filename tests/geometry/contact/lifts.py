"""An axle that every travel lifts straight up without turning or swaying, so that clearances are known in closed form.

No rods could do that; its pose map is written down: height rises by the mean of both travels.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from msgspec.structs import replace

from geometry.contact.movers import Movers, Solid
from geometry.contact.scene import Pairs, Scene, make_pairs
from geometry.contact.solids import Pieces, bar_pieces, housing_solids, panel_pieces, tire_solids
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import PoseMap
from geometry.rig.axle import Axle, Rod
from geometry.rig.parts import Bar, Node, Panel, Point
from geometry.rig.rig import Rig
from geometry.rig.wheel import Tire
from tests.geometry.motion.axles import axle

BUMP, DROOP = 120.0, 80.0
RADIUS, SECTION, HEIGHT, TRACK = 460.0, 320.0, 470.0, 1650.0
OD = 50.0


def lifted_axle(**changes: Any) -> Axle:
    """Tires of RADIUS and SECTION, their centres TRACK apart at HEIGHT above the origin; width 1600 mm."""
    tire = Tire(size="37x12.50R17", diameter=2.0 * RADIUS, section_width=SECTION, shoulder_radius=30.0)
    return replace(axle(station=0.0, height=HEIGHT, bump=BUMP, droop=DROOP, tire=tire), **changes)


def lift(drawn: Axle) -> PoseMap:
    coefficients = np.zeros((2, 2, 12))
    middle, half = (drawn.bump - drawn.droop) / 2.0, (drawn.bump + drawn.droop) / 2.0
    coefficients[0, 0] = [0.0, 0.0, drawn.height + middle, *np.eye(3).ravel()]
    coefficients[1, 0, 2] = coefficients[0, 1, 2] = half / 2.0
    return PoseMap(linkage_of(drawn), coefficients, middle, half, 0.0, 0.0, 0.0, 0.0)


def movers(drawn: Axle, reach: float = 200.0) -> Movers:
    """Left tire, right tire, housing, centre section, pinion."""
    solids: list[Solid] = [*tire_solids(drawn), *housing_solids(drawn)]
    return Movers(solids, lift(drawn), reach)


def bars(*ends: tuple[Point, Point]) -> Pieces:
    """Straight tubes of diameter OD."""
    nodes = tuple(Node(id=f"n{row}.{end}", at=at) for row, pair in enumerate(ends) for end, at in enumerate(pair))
    tubes = (Bar(id=f"bar{row}", nodes=(f"n{row}.0", f"n{row}.1"), od=OD, wall=3.0) for row in range(len(ends)))
    return bar_pieces(Rig(name="", nodes=nodes, bars=tuple(tubes), axles=(lifted_axle(),)))


def panel(*corners: Point, thickness: float = 2.0) -> Pieces:
    nodes = tuple(Node(id=f"n{row}", at=at) for row, at in enumerate(corners))
    skin = Panel(id="skin", facets=(tuple(node.id for node in nodes),), thickness=thickness)
    return panel_pieces(Rig(name="", nodes=nodes, panels=(skin,), axles=(lifted_axle(),)))


def wall(y: float) -> Pieces:
    """A large upright panel lengthwise at y, without thickness to speak of."""
    return panel((-900.0, y, 0.0), (900.0, y, 0.0), (900.0, y, 1500.0), (-900.0, y, 1500.0), thickness=1e-9)


def scene(drawn: Axle, pieces: Pieces, which: tuple[int, ...] = (0,)) -> tuple[Scene, Pairs, int]:
    """The solids `which` against the pieces, and how many groups that makes."""
    made = movers(drawn)
    pairs, groups = make_pairs(made, which, pieces)
    return Scene(made, pieces), pairs, len(groups)


def long_axle(**changes: Any) -> Axle:
    """The same axle on real links of ten metres, so that rising in step it goes all but straight up."""
    joints: tuple[tuple[Point, Point], ...] = (
        ((10_000.0, 300.0, 420.0), (0.0, 300.0, 420.0)),
        ((10_000.0, -300.0, 420.0), (0.0, -300.0, 420.0)),
        ((10_000.0, 1_500.0, 650.0), (0.0, 100.0, 650.0)),
        ((10_000.0, -1_500.0, 650.0), (0.0, -100.0, 650.0)),
    )
    # so much room that no rod comes near the axle
    rods = tuple(
        Rod(id=f"rod{index}", chassis=one, axle=other, joint_room=500.0) for index, (one, other) in enumerate(joints)
    )
    return lifted_axle(rods=rods, **changes)


def still_axle(**changes: Any) -> Axle:
    """An axle without travel, so that its width alone decides."""
    return long_axle(bump=0.0, droop=0.0, **changes)
