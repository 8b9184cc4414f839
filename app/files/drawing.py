"""A drawing as it was read, before it is known how its lines become bars: lines, faces, and parts that bear names."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from app.files.imported import UNITS, Link
from app.files.joining import Point
from geometry.rig.parts import Bar, Panel

JOIN: Final = 1.0
"""Distance up to which ends of lines are taken to meet, unless another is chosen [mm]: more than a drawing's rounding,
and less than the thinnest wall."""

USUAL_TUBE: Final = (44.45, 3.048)
"""Outside diameter and wall of a tube that neither a layer nor a person gives [mm]: 1 3/4 in by 0.120 in."""


class Halves(StrEnum):
    """What the two sides of a drawing are to each other."""

    AS_DRAWN = "as drawn"
    PAIRS = "both sides"
    HALF = "one side"


@dataclass(frozen=True, slots=True)
class Arc:
    """A round stretch: from its start by `turn` [rad, positive] about `normal` through `centre`, or back that way."""

    centre: Point
    normal: Point
    turn: float
    backward: bool = False


@dataclass(frozen=True, slots=True)
class Stroke:
    """One line of a drawing: its points, and for each stretch between them the arc, None = it is straight."""

    layer: str
    points: tuple[Point, ...]
    arcs: tuple[Arc | None, ...]


@dataclass(frozen=True, slots=True)
class Face:
    """A flat or folded piece with three or four corners."""

    layer: str
    corners: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class NamedNode:
    """A node that the drawing names."""

    layer: str
    id: str
    at: Point


@dataclass(frozen=True, slots=True)
class NamedBar:
    """A bar that the drawing names, with its centre line as it is drawn; its sizes are in mm."""

    bar: Bar
    stroke: Stroke


@dataclass(frozen=True, slots=True)
class NamedPanel:
    """One facet of a panel that the drawing names."""

    panel: Panel
    face: Face


@dataclass(frozen=True, slots=True)
class NamedLink:
    """A link that the drawing names, with its joints as they are drawn."""

    link: Link
    stroke: Stroke


@dataclass(frozen=True, slots=True)
class Drawing:
    """What was read, in the drawing's own axes and unit.

    Attributes
    ----------
    images : tuple of Stroke and Face
        Mirror images of bars and panels with names.
    unit : str
        A key of UNITS; None = the drawing does not say.
    layers : mapping of layer to how much lies on it, by kind of entity
    hidden : frozenset of layers that are switched off or frozen
    skipped : mapping of (kind, layer, reason) to how many
    repairs : int
        How many faults were mended on reading.
    is_cut : bool
        Whether the file ends before its end.

    """

    strokes: tuple[Stroke, ...]
    faces: tuple[Face, ...]
    nodes: tuple[NamedNode, ...] = ()
    bars: tuple[NamedBar, ...] = ()
    panels: tuple[NamedPanel, ...] = ()
    links: tuple[NamedLink, ...] = ()
    images: tuple[Stroke | Face, ...] = ()
    unit: str | None = None
    layers: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    hidden: frozenset[str] = frozenset()
    skipped: Mapping[tuple[str, str, str], int] = field(default_factory=Counter)
    repairs: int = 0
    is_cut: bool = False


@dataclass(frozen=True, slots=True)
class Choices:
    """How a drawing becomes a chassis.

    Attributes
    ----------
    unit : str
        A key of UNITS.
    forward, up : str
        Axes of the drawing that point forward and up: ``x``, ``-x``, ``y``, ``-y``, ``z`` or ``-z``.
    swapped : bool
        Left and right are exchanged.
    shift : Point
        Where the drawing's origin lies in the rig [mm].
    layers : frozenset of str
        Layers to take; None = all.
    join : float
        Distance up to which ends meet [mm].
    tube : tuple
        Outside diameter and wall of bars whose layer is not in `tubes` [mm].
    tubes : mapping of layer to the same
    halves : Halves
    through : bool
        Lines that run on in the same direction become one bar.

    """

    unit: str
    forward: str = "x"
    up: str = "z"
    swapped: bool = False
    shift: Point = (0.0, 0.0, 0.0)
    layers: frozenset[str] | None = None
    join: float = JOIN
    tube: tuple[float, float] = USUAL_TUBE
    tubes: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    halves: Halves = Halves.AS_DRAWN
    through: bool = True


AXES: Final[Mapping[str, tuple[float, float, float]]] = {
    "x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}
"""Directions of a drawing by name."""

_TUBE = re.compile(
    r"(?<![\d.,/])(?:(?P<whole>\d+)[- ])?(?P<od>\d+/\d+|\d*[.,]?\d+)\s*(?P<u1>mm|in|\")?\s*[x×]\s*"
    r"(?P<wall>\d*[.,]?\d+)\s*(?P<u2>mm|in|\")?",
    re.IGNORECASE,
)


def tube_of_layer(layer: str, unit: str) -> tuple[float, float] | None:
    """Outside diameter and wall that a layer's name gives, as in ``tube 1.75x0.120`` or ``44.5 x 3 mm`` [mm].

    `unit` is that of the drawing, and counts where the name bears none. None = the name gives no size.
    """
    found = _TUBE.search(layer)
    if found is None:
        return None
    sign = found["u1"] or found["u2"]
    size = float(UNITS["in" if sign == '"' else sign.lower() if sign else unit])
    above, _, below = found["od"].partition("/")
    od = float(above.replace(",", ".")) / float(below or 1) if float(below or 1) else 0.0
    od, wall = (od + float(found["whole"] or 0)) * size, float(found["wall"].replace(",", ".")) * size
    return (od, wall) if 0.0 < 2.0 * wall <= od else None


def usual_choices(drawing: Drawing, unit: str) -> Choices:
    """What is chosen about a drawing until someone chooses otherwise: all layers that are on, sizes by their names."""
    layers = frozenset(drawing.layers) - drawing.hidden
    sizes = {layer: size for layer in layers if (size := tube_of_layer(layer, unit)) is not None}
    return Choices(unit, layers=layers, tubes=sizes)
