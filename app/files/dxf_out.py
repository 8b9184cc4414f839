"""The frame as a drawing in three dimensions, DXF of the release R2010, in millimetres.

Nodes are points, bars and links centre lines, panels faces; mirror images are drawn as well. Extended data keep the
names and sizes of parts, so that reading the drawing gives the same chassis. The library that writes is loaded when a
drawing is written.
"""

from __future__ import annotations

import io
import json
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

import msgspec
import numpy as np
from numpy.typing import NDArray

from app.files.dxf import APPLICATION, IMAGE, TIRE
from app.files.imported import Link
from geometry.errors import LinkageError
from geometry.motion.placement import place
from geometry.motion.travel import RIDE_HEIGHT
from geometry.rig.layout import MIRROR, bar_paths, node_points
from geometry.rig.rig import Rig

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

LAYERS: Final = {
    "nodes": (8, "CONTINUOUS"),
    "bars": (7, "CONTINUOUS"),
    "panels": (5, "CONTINUOUS"),
    "links": (3, "CENTER"),
    "tires": (9, "PHANTOM"),
}
"""Layers with their colour (by its number in the format) and line type."""

TEXT: Final = 250
"""Longest piece of text in extended data [characters]; the format allows 255."""

CORNERS: Final = 72
"""Corners of a tire's outline: within 0.5 mm of the circle at a radius of 500 mm."""

SCALE: Final = 25.4
"""Size of the dashes of line types, which are an inch at a scale of 1 [-]."""

Floats = NDArray[np.float64]


def drawing_bytes(rig: Rig) -> bytes:
    """The text of the DXF file of a rig; the same rig gives the same bytes."""
    from ezdxf.filemanagement import new

    with _repeatable():
        document = new("R2010", setup=["linetypes"], units=4)
        document.header["$MEASUREMENT"] = 1
        document.header["$LTSCALE"] = SCALE
        document.appids.new(APPLICATION)
        for name, (colour, linetype) in LAYERS.items():
            document.layers.add(name, color=colour, linetype=linetype)
        pen = _Pen(document)
        for draw in (_draw_nodes, _draw_bars, _draw_panels, _draw_links, _draw_tires):
            draw(pen, rig)
        text = io.StringIO()
        document.write(text)
    return document.encode(text.getvalue())


@contextmanager
def _repeatable() -> Iterator[None]:
    """Let the library write neither the time nor random numbers."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


class _Pen:
    """Draws into the model space, with extended data on each piece."""

    def __init__(self, document: Document) -> None:
        self._space = document.modelspace()

    def point(self, at: Sequence[float], layer: str, *data: str) -> None:
        """A point."""
        self._mark(self._space.add_point(at, {"layer": layer}), *data)

    def line(self, points: Floats, layer: str, *data: str, closed: bool = False) -> None:
        """A line through points, shape (k, 3)."""
        rows = points.tolist()
        if len(rows) == 2:
            self._mark(self._space.add_line(rows[0], rows[1], {"layer": layer}), *data)
        else:
            self._mark(self._space.add_polyline3d(rows, close=closed, dxfattribs={"layer": layer}), *data)

    def faces(self, loop: Floats, layer: str, *data: str) -> None:
        """A loop, shape (k, 3), as faces of three or four corners."""
        rows = loop.tolist()
        for start in range(1, len(rows) - 2 + len(rows) % 2, 2):
            self._mark(self._space.add_3dface([rows[0], *rows[start : start + 3]], {"layer": layer}), *data)

    def _mark(self, entity: Any, *data: str) -> None:
        entity.set_xdata(APPLICATION, [(1000, text) for text in data])


def _texts(what: str, part: object) -> Iterable[str]:
    """What kind of part it is, and its fields as JSON in pieces.

    Blanks and backslashes are escaped: readers of the format trim the first and have a meaning of their own for some
    of the others.
    """
    text = json.dumps(msgspec.to_builtins(part), separators=(",", ":"))
    text = text.replace("\\\\", "\\u005c").replace(" ", "\\u0020")
    return (what, *(text[start : start + TEXT] for start in range(0, len(text), TEXT)))


def _draw_nodes(pen: _Pen, rig: Rig) -> None:
    for node in rig.nodes:
        pen.point(node.at, "nodes", *_texts("node", node.id))


def _draw_bars(pen: _Pen, rig: Rig) -> None:
    bars = {bar.id: bar for bar in rig.bars}
    drawn: set[str] = set()
    for path in bar_paths(rig):
        name = path.part.id
        pen.line(path.points, "bars", *((IMAGE,) if name in drawn else _texts("bar", bars[name])))
        drawn.add(name)


def _draw_panels(pen: _Pen, rig: Rig) -> None:
    """All panels, those that are off as well."""
    nodes = node_points(rig)
    for panel in rig.panels:
        loops = [np.array([nodes[ref] for ref in loop]) for loop in panel.facets]
        for loop in loops:
            pen.faces(loop, "panels", *_texts("panel", panel))
        for loop in loops if panel.mirrored else []:
            pen.faces(loop * MIRROR, "panels", IMAGE)


def _draw_links(pen: _Pen, rig: Rig) -> None:
    for axle in rig.axles:
        for rod in axle.rods:
            pen.line(np.array([rod.chassis, rod.axle]), "links", *_texts("link", Link(axle=axle.id, rod=rod)))


def _draw_tires(pen: _Pen, rig: Rig) -> None:
    """Circles around the two shoulders and the middle of each tire at ride height, if its axle can stand there."""
    turns = np.linspace(0.0, 2.0 * np.pi, CORNERS, endpoint=False)[:, None]
    for axle in rig.axles:
        try:
            tires = place(axle, RIDE_HEIGHT).tires
        except LinkageError:
            continue
        for tire in tires:
            across = np.cross(tire.axis, [0.0, 0.0, 1.0])
            spokes = np.cos(turns) * across + np.sin(turns) * np.cross(across, tire.axis)
            shoulder = tire.radius - tire.shoulder_radius
            for share, radius in ((-0.5, shoulder), (0.0, tire.radius), (0.5, shoulder)):
                centre = tire.centre + share * tire.section_width * tire.axis
                pen.line(centre + radius * spokes, "tires", TIRE, closed=True)
