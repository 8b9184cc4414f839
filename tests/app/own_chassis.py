"""A small chassis of a builder's own, mirrored: 30 bars as they stand, for every way in which one can be entered.

Points in mm in the rig's frame, of the left side or on the centre plane; an apostrophe names the image on the right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from msgspec.structs import replace

from geometry.rig.parts import Bar, Node
from geometry.rig.rig import Rig

OD: Final = 44.45
WALL: Final = 3.05


@dataclass(frozen=True)
class OwnBar:
    """A bar by the names of its nodes; mirrored = it stands on both sides."""

    id: str
    nodes: tuple[str, ...]
    mirrored: bool


@dataclass(frozen=True)
class OwnChassis:
    points: dict[str, tuple[float, float, float]]
    bars: tuple[OwnBar, ...]

    @property
    def standing(self) -> int:
        """Bars with their images."""
        return sum(2 if bar.mirrored else 1 for bar in self.bars)

    def on(self, rig: Rig) -> Rig:
        """The rig with this chassis and no other."""
        nodes = tuple(Node(id=name, at=at) for name, at in self.points.items())
        bars = tuple(Bar(id=b.id, nodes=b.nodes, od=OD, wall=WALL, mirrored=b.mirrored) for b in self.bars)
        return replace(rig, nodes=nodes, bars=bars, panels=())


CHASSIS: Final = OwnChassis(
    points={
        "n1": (500.0, 350.0, 560.0),
        "n2": (1100.0, 350.0, 560.0),
        "n3": (1800.0, 350.0, 560.0),
        "n4": (2300.0, 300.0, 620.0),
        "n5": (500.0, 400.0, 1000.0),
        "n6": (1100.0, 450.0, 1000.0),
        "n7": (1800.0, 420.0, 980.0),
        "n8": (2300.0, 320.0, 900.0),
        "n9": (1000.0, 400.0, 1600.0),
        "n10": (1600.0, 380.0, 1580.0),
    },
    bars=(
        OwnBar("bar-1", ("n1", "n2"), True),
        OwnBar("bar-2", ("n2", "n3"), True),
        OwnBar("bar-3", ("n3", "n4"), True),
        OwnBar("bar-4", ("n5", "n6"), True),
        OwnBar("bar-5", ("n6", "n7"), True),
        OwnBar("bar-6", ("n7", "n8"), True),
        OwnBar("bar-7", ("n1", "n5"), True),
        OwnBar("bar-8", ("n2", "n6", "n9"), True),
        OwnBar("bar-9", ("n3", "n7"), True),
        OwnBar("bar-10", ("n4", "n8"), True),
        OwnBar("bar-11", ("n9", "n10", "n7"), True),
        OwnBar("bar-12", ("n5", "n9"), True),
        OwnBar("bar-13", ("n1", "n1'"), False),
        OwnBar("bar-14", ("n2", "n2'"), False),
        OwnBar("bar-15", ("n3", "n3'"), False),
        OwnBar("bar-16", ("n9", "n9'"), False),
        OwnBar("bar-17", ("n10", "n10'"), False),
        OwnBar("bar-18", ("n8", "n8'"), False),
    ),
)
"""12 bars on both sides and 6 across: 30 as they stand."""
