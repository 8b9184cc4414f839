"""Where the chassis parts lie: node references resolved, mirror images made, bends laid out as straights."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import acos, atan2, ceil
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from geometry.errors import RigError
from geometry.rig.parts import Bar, Panel
from geometry.rig.rig import Rig
from geometry.tolerances import ARC_SAGITTA, COINCIDENT

Side = Literal["left", "right", ""]
SolidKind = Literal[
    "bar",
    "panel",
    "tire",
    "link",
    "housing",
    "centre section",
    "pinion",
    "tie rod",
    "ram",
    "shock",
    "leaf spring",
    "shackle",
    "driveshaft",
]
PartKind = Literal[SolidKind, "node", "joint", "bump stop", "strap", "drag link"]
Floats = NDArray[np.float64]

MIRROR: Final[Floats] = np.array([1.0, -1.0, 1.0])
"""Image across the vehicle's centre plane (y = 0)."""


@dataclass(frozen=True, slots=True)
class PartRef:
    """Names one thing of the rig: its kind, the id of the part it belongs to, its side, and words for people.

    Nodes and joints (the ends of links) are points without a body: they can be chosen and moved, but touch nothing.
    Bump stops and straps only limit the travel.
    """

    kind: PartKind
    id: str
    side: Side
    label: str


@dataclass(frozen=True, slots=True)
class BarPath:
    """One tube as it lies: its straights as a polyline (bends broken into chords).

    Attributes
    ----------
    points : array, shape (k, 3) [mm]
    radius : float
        Half the outside diameter [mm].
    slack : float
        Largest rise of a bend's arc over its chords; radius + slack covers the true tube [mm].

    """

    part: PartRef
    points: Floats
    radius: float
    slack: float


@dataclass(frozen=True, slots=True)
class PanelFacets:
    """One fitted panel as it lies: corner loops, each array of shape (k, 3) [mm], and half its thickness [mm]."""

    part: PartRef
    facets: tuple[Floats, ...]
    radius: float


def node_points(rig: Rig) -> Mapping[str, Floats]:
    """Position of every node reference, mirror images under the id with an apostrophe behind it [mm]."""
    points: dict[str, Floats] = {}
    for node in rig.nodes:
        at = np.array(node.at, dtype=np.float64)
        points[node.id] = at
        points[node.id + "'"] = at * MIRROR
    return points


def bar_paths(rig: Rig) -> Iterator[BarPath]:
    """Every tube of the chassis, mirror images included."""
    nodes = node_points(rig)
    for index, bar in enumerate(rig.bars):
        corners = np.array([nodes[ref] for ref in bar.nodes])
        points, slack = bent(corners, bar.bend_radius, f"bars[{index}]")
        for side, flip in _copies(bar, corners):
            part = PartRef("bar", bar.id, side, _label(bar, side))
            yield BarPath(part, points * MIRROR if flip else points, bar.od / 2.0, slack)


def panel_facets(rig: Rig) -> Iterator[PanelFacets]:
    """Every fitted panel of the chassis, mirror images included."""
    nodes = node_points(rig)
    for panel in rig.panels:
        if not panel.fitted:
            continue
        loops = [np.array([nodes[ref] for ref in loop]) for loop in panel.facets]
        for side, flip in _copies(panel, np.concatenate(loops)):
            part = PartRef("panel", panel.id, side, _label(panel, side))
            facets = tuple(loop * MIRROR if flip else loop for loop in loops)
            yield PanelFacets(part, facets, panel.thickness / 2.0)


def parts_of(item: Bar | Panel, corners: Floats) -> tuple[PartRef, ...]:
    """What a bar or panel with these corners is called, and behind it its image if it is mirrored."""
    kind: PartKind = "bar" if isinstance(item, Bar) else "panel"
    return tuple(PartRef(kind, item.id, side, _label(item, side)) for side, _ in _copies(item, corners))


def entered_side(corners: Floats) -> Side:
    """The side on which a bar or panel with these corners was entered; its image is on the other."""
    return "left" if float(corners[:, 1].mean()) >= 0.0 else "right"


def _copies(item: Bar | Panel, corners: Floats) -> tuple[tuple[Side, bool], ...]:
    """The sides on which an item exists, and whether it is the image there."""
    entered = entered_side(corners)
    if item.mirrored:
        return ((entered, False), ("right" if entered == "left" else "left", True))
    off_centre = np.all(corners[:, 1] > COINCIDENT) or np.all(corners[:, 1] < -COINCIDENT)
    return ((entered if off_centre else "", False),)


def _label(item: Bar | Panel, side: Side) -> str:
    name = item.name or item.id
    return f"{name}, {side}" if side else name


def bend_setbacks(corners: Floats, bend_radius: float) -> Floats:
    """How far before and behind each corner of a tube its bend begins and ends, zero at both ends, shape (k,) [mm]."""
    legs = np.diff(corners, axis=0)
    return _setbacks(_turns(legs / np.linalg.norm(legs, axis=1)[:, None]), bend_radius)


def _setbacks(turns: Sequence[float], bend_radius: float) -> Floats:
    return np.array([0.0, *(bend_radius * np.tan(turn / 2.0) for turn in turns), 0.0])


def _turns(directions: Floats) -> list[float]:
    """Angle at each inner corner [rad]."""
    return [atan2(float(np.linalg.norm(np.cross(a, b))), float(a @ b)) for a, b in pairwise(directions)]


def bent(corners: Floats, bend_radius: float, place: str) -> tuple[Floats, float]:
    """Polyline of a tube bent at its inner corners, array of shape (k, 3), and the slack of its chords [mm].

    A bend of centre-line radius r and angle φ starts r · tan(φ / 2) before its corner. Split into n chords its
    arc rises r · (1 − cos(φ / 2n)) over each of them.

    Raises
    ------
    RigError
        Where the bends do not fit on the straights of the tube at `place`.

    """
    if bend_radius <= 0.0 or len(corners) < 3:
        return corners, 0.0
    legs = np.diff(corners, axis=0)
    lengths = np.linalg.norm(legs, axis=1)
    directions = legs / lengths[:, None]
    turns = _turns(directions)
    setbacks = _setbacks(turns, bend_radius)
    for leg, length in enumerate(lengths):
        if setbacks[leg] + setbacks[leg + 1] > length + COINCIDENT:
            raise RigError(
                f"{place}.bend_radius",
                f"the bends need {setbacks[leg] + setbacks[leg + 1]:.0f} mm of straight number {leg + 1}, which is "
                f"{length:.0f} mm long; make the radius smaller or the straight longer",
            )
    points = [corners[0]]
    slack = 0.0
    for index, turn in enumerate(turns):
        before, after = directions[index], directions[index + 1]
        start = corners[index + 1] - before * setbacks[index + 1]
        if turn * min(lengths[index], lengths[index + 1]) <= COINCIDENT:
            continue
        inward = after - before * float(before @ after)
        inward /= np.linalg.norm(inward)
        chords = max(1, ceil(turn / (2.0 * acos(1.0 - min(1.0, ARC_SAGITTA / bend_radius)))))
        angles = np.linspace(0.0, turn, chords + 1)[:, None]
        points.extend(start + bend_radius * (np.sin(angles) * before + (1.0 - np.cos(angles)) * inward))
        slack = max(slack, bend_radius * (1.0 - np.cos(turn / (2.0 * chords))))
    points.append(corners[-1])
    path = np.array(points)
    # Where a bend uses up its straight, that straight is a point and no part of the tube.
    apart = np.linalg.norm(np.diff(path, axis=0), axis=1) > COINCIDENT
    return path[np.concatenate([[True], apart])], float(slack)
