"""Drawings in DXF: what is in them, as lines and faces. The library that reads them is loaded when one is read.

It repairs what it can and lets errors of many kinds out where it cannot; none of them leaves this module.
"""

from __future__ import annotations

import io
import logging
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import dist, radians, tau
from typing import TYPE_CHECKING, Any, Final

import msgspec

from app.files.drawing import Arc, Drawing, Face, NamedBar, NamedLink, NamedNode, NamedPanel, Stroke
from app.files.dxf_mending import Mended, mended
from app.files.imported import LARGEST, MOST_PIECES, ImportFileError, Link
from app.files.joining import Point
from geometry.rig.parts import Bar, Id, Panel

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.entities.insert import Insert

APPLICATION: Final = "WHEELROOM"
"""Under this name our own drawings keep the names of parts (DXF extended data)."""

IMAGE: Final = "image"
TIRE: Final = "tire"
"""What our own drawings say about mirror images, which come with their parts, and about tires, which are not read."""

FARTHEST: Final = 1e9
"""Largest coordinate that is looked at, in any unit: what is larger, or no number at all, is damage."""

DEEPEST: Final = 16
"""Blocks within blocks beyond which nothing is read; drawings of people go three deep."""

MOST_RECORDS: Final = 5 * MOST_PIECES
"""Records of a file beyond which it is not even opened: the vertices of old polylines are records, too."""

MOST_LINES: Final = 2_500_000
"""Lines of a file beyond which it is not opened, for each takes some hundred bytes: twice those of MOST_PIECES of our
own."""

INSUNITS: Final = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""Units by the code of the header variable $INSUNITS (DXF reference); of any other code people are asked."""

_CURVE = "a curve; draw it as lines and arcs"
_SOLID = "a body or a mesh; draw the centre lines of its tubes"
_REASONS: Final = {
    "CIRCLE": "a circle, and no tube is closed",
    "ELLIPSE": _CURVE,
    "SPLINE": _CURVE,
    "HELIX": _CURVE,
    "3DSOLID": _SOLID,
    "BODY": _SOLID,
    "REGION": _SOLID,
    "SURFACE": _SOLID,
    "MESH": _SOLID,
    "POINT": "a point without lines",
    "XLINE": "a line without ends",
    "RAY": "a line without ends",
}
"""Why kinds of entities are left out; any other is no line."""

_RECORD = re.compile(rb"(?:^|[\r\n])[ \t]*0[ \t]*\r?\n")
_BINARY_RECORD = re.compile(rb"\0\0[A-Z0-9_]{3,}\0")
_BINARY = b"AutoCAD Binary DXF"


def read_drawing(data: bytes) -> Drawing:
    """What a DXF file holds, in its own axes and unit.

    Raises
    ------
    ImportFileError
        With what to do, when it cannot be used.

    """
    _refuse_early(data)
    try:
        whole = Mended(data) if data.startswith(_BINARY) else mended(data)
        found = _Reader(*_opened(whole.data)).drawing()
        skipped = Counter(found.skipped) + whole.dropped
        return replace(found, is_cut=whole.is_cut, skipped=skipped, repairs=found.repairs + whole.repairs)
    except ImportFileError:
        raise
    except Exception as error:
        raise ImportFileError(
            "The drawing is damaged or cut off and cannot be read; save it again as DXF from the program it comes from."
        ) from error


def _refuse_early(data: bytes) -> None:
    """Refuse what no reader need look at."""
    if not data.strip():
        raise ImportFileError("There is nothing in the file; save the drawing again.")
    if len(data) > LARGEST:
        raise ImportFileError(f"The file is larger than {LARGEST // 1_000_000} MB; save only the frame as DXF.")
    if data.startswith(b"AC10"):
        raise ImportFileError("This is a DWG file; save the drawing as DXF and choose that file.")
    binary = data.startswith(_BINARY)
    if not binary and b"\0" in data[:1000]:
        raise ImportFileError("This is no DXF file; save the drawing as DXF and choose that file.")
    if not binary and b"SECTION" not in data:
        raise ImportFileError(
            "There is no section in the file, and a DXF file has some; save the drawing again as DXF."
        )
    records = sum(1 for _ in (_BINARY_RECORD if binary else _RECORD).finditer(data))
    if records > MOST_RECORDS or data.count(b"\n") > MOST_LINES:
        raise _too_many()


def _too_many() -> ImportFileError:
    return ImportFileError(f"There are more than {MOST_PIECES:,} pieces in the drawing; save only the frame as DXF.")


def _opened(data: bytes) -> tuple[Document, int]:
    """The library's document, and how many faults it mended."""
    from ezdxf import recover

    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)  # what it mends is told in the report
    document, auditor = recover.read(io.BytesIO(data))
    return document, len(auditor.fixes) + len(auditor.errors)


class _Reader:
    """Goes through one document."""

    def __init__(self, document: Document, repairs: int) -> None:
        self._document = document
        self._repairs = repairs
        self._pieces = 0
        self._strokes: list[Stroke] = []
        self._faces: list[Face] = []
        self._nodes: list[NamedNode] = []
        self._bars: list[NamedBar] = []
        self._panels: list[NamedPanel] = []
        self._links: list[NamedLink] = []
        self._images: list[Stroke | Face] = []
        self._layers: dict[str, Counter[str]] = defaultdict(Counter)
        self._skipped: Counter[tuple[str, str, str]] = Counter()

    def drawing(self) -> Drawing:
        """Everything in the model space."""
        for entity in self._document.modelspace():
            self._visit(entity, "0", 0)
        hidden = (layer for layer in self._document.layers if layer.is_off() or layer.is_frozen())
        return Drawing(
            tuple(self._strokes),
            tuple(self._faces),
            tuple(self._nodes),
            tuple(self._bars),
            tuple(self._panels),
            tuple(self._links),
            tuple(self._images),
            INSUNITS.get(self._document.header.get("$INSUNITS", 0)),
            {layer: dict(kinds) for layer, kinds in self._layers.items()},
            frozenset(layer.dxf.name for layer in hidden),
            self._skipped,
            self._repairs,
        )

    def _visit(self, entity: DXFEntity, outer: str, depth: int) -> None:
        """Take an entity in; `outer` is the layer of the block that it is in."""
        self._count()
        kind = entity.dxftype()
        layer = str(entity.dxf.get("layer", "0"))
        layer = outer if layer == "0" else layer
        if entity.dxf.get("invisible", 0):
            self._skip(kind, layer, "invisible")
        elif kind == "INSERT":
            self._insert(entity, layer, depth)  # type: ignore[arg-type]
        elif depth == 0 and self._own(entity, layer):
            pass
        elif kind == "3DFACE":
            self._face(entity, layer)
        elif kind in {"LINE", "ARC", "LWPOLYLINE", "POLYLINE"}:
            self._line(entity, kind, layer)
        else:
            self._skip(kind, layer, _REASONS.get(kind, "no line"))

    def _count(self, pieces: int = 1) -> None:
        self._pieces += pieces
        if self._pieces > MOST_PIECES:
            raise _too_many()

    def _skip(self, kind: str, layer: str, reason: str) -> None:
        self._skipped[kind, layer, reason] += 1

    def _insert(self, insert: Insert, layer: str, depth: int) -> None:
        """What a block holds, where it is inserted."""
        if depth >= DEEPEST:
            self._skip("INSERT", layer, f"blocks within blocks, more than {DEEPEST} deep")
        elif insert.block() is None:
            self._skip("INSERT", layer, "its block is missing")
        elif insert.mcount > 1:
            self._count(insert.mcount)
            for one in insert.multi_insert():
                self._insert(one, layer, depth)
        else:
            self._layers[layer]["INSERT"] += 1
            lost = lambda entity, why: self._skip(entity.dxftype(), layer, why)  # noqa: E731
            for entity in insert.virtual_entities(skipped_entity_callback=lost):
                self._visit(entity, layer, depth + 1)

    # Lines and faces

    def _line(self, entity: Any, kind: str, layer: str) -> None:
        if kind == "POLYLINE" and (entity.is_polygon_mesh or entity.is_poly_face_mesh):
            for face in entity.virtual_entities():
                self._count()
                self._face(face, layer)
            return
        stroke = _stroke(entity, kind, layer, self._count)
        if stroke is None:
            self._skip(kind, layer, "fewer than two points, or points that are no numbers")
        else:
            self._layers[layer][kind] += 1
            self._strokes.append(stroke)

    def _face(self, entity: Any, layer: str) -> None:
        corners = tuple(_point(corner) for corner in entity.wcs_vertices())
        if _usable(corners):
            self._layers[layer]["3DFACE"] += 1
            self._faces.append(Face(layer, corners))
        else:
            self._skip("3DFACE", layer, "corners that are no numbers")

    # Our own

    def _own(self, entity: DXFEntity, layer: str) -> bool:
        """Take in an entity that names what it is; False when it does not."""
        if not entity.has_xdata(APPLICATION):
            return False
        texts = [str(tag.value) for tag in entity.get_xdata(APPLICATION) if tag.code == 1000]
        what, text = texts[0] if texts else "", "".join(texts[1:])
        try:
            taken = self._named(entity, layer, what, text)
        except (msgspec.MsgspecError, ValueError, IndexError):
            return False
        if taken and what not in {IMAGE, TIRE}:
            self._layers[layer][entity.dxftype()] += 1
        return taken

    def _named(self, entity: Any, layer: str, what: str, text: str) -> bool:
        kind = entity.dxftype()
        if what == TIRE:
            return True
        if kind == "3DFACE":
            return self._named_face(entity, layer, what, text)
        if what == "node" and kind == "POINT" and _usable([_point(entity.dxf.location)]):
            self._nodes.append(NamedNode(layer, msgspec.json.decode(text, type=Id), _point(entity.dxf.location)))
        elif what in {"bar", "link", IMAGE} and (stroke := _stroke(entity, kind, layer, self._count)) is not None:
            if what == IMAGE:
                self._images.append(stroke)
            elif what == "bar":
                self._bars.append(NamedBar(msgspec.json.decode(text, type=Bar), stroke))
            else:
                self._links.append(NamedLink(msgspec.json.decode(text, type=Link), stroke))
        else:
            return False
        return True

    def _named_face(self, entity: Any, layer: str, what: str, text: str) -> bool:
        face = Face(layer, tuple(_point(corner) for corner in entity.wcs_vertices()))
        if not _usable(face.corners) or what not in {IMAGE, "panel"}:
            return False
        if what == IMAGE:
            self._images.append(face)
        else:
            self._panels.append(NamedPanel(msgspec.json.decode(text, type=Panel), face))
        return True


def _stroke(entity: Any, kind: str, layer: str, count: Any) -> Stroke | None:
    """The line that an entity is; None = it is none."""
    if kind == "POLYLINE" and entity.is_3d_polyline:
        frame = 16  # flag of a vertex that only steers a curve
        points = [_point(vertex.dxf.location) for vertex in entity.vertices if not vertex.dxf.flags & frame]
        points += points[:1] if entity.is_closed else []
        count(max(len(points) - 2, 0))
        arcs: list[Arc | None] = [None] * (len(points) - 1)
    else:
        pieces = [entity] if kind in {"LINE", "ARC"} else _counted(entity.virtual_entities(), count)
        points, arcs = _strung([_piece(piece) for piece in pieces])
    if len(points) < 2 or not _usable(points):
        return None
    if not all(arc is None or (_usable([arc.centre, arc.normal]) and 0.0 < arc.turn < tau) for arc in arcs):
        return None
    return Stroke(layer, tuple(points), tuple(arcs))


def _counted(entities: Iterable[DXFGraphic], count: Any) -> Iterator[DXFGraphic]:
    for entity in entities:
        count()
        yield entity


def _piece(entity: Any) -> tuple[Point, Point, Arc | None]:
    """Start, end and arc of a line or an arc."""
    if entity.dxftype() == "LINE":
        return _point(entity.dxf.start), _point(entity.dxf.end), None
    turn = radians(entity.dxf.end_angle - entity.dxf.start_angle) % tau
    centre, normal = _point(entity.ocs().to_wcs(entity.dxf.center)), _point(entity.dxf.extrusion.normalize())
    return _point(entity.start_point), _point(entity.end_point), Arc(centre, normal, turn)


def _strung(pieces: list[tuple[Point, Point, Arc | None]]) -> tuple[list[Point], list[Arc | None]]:
    """Pieces of one line, each beginning where the one before it ends: some arcs run backward."""
    points: list[Point] = []
    arcs: list[Arc | None] = []
    for index, (start, end, arc) in enumerate(pieces):
        if arc is not None:
            before = points[-1] if points else None
            after = pieces[index + 1][:2] if index + 1 < len(pieces) else ()
            if _is_backward(start, end, before, after):
                start, end, arc = end, start, Arc(arc.centre, arc.normal, arc.turn, backward=True)  # noqa: PLW2901
        points += [start] if not points else []
        points.append(end)
        arcs.append(arc)
    return points, arcs


def _is_backward(start: Point, end: Point, before: Point | None, after: tuple[Point, ...]) -> bool:
    """Whether an arc is run through from its end, by what comes before it or, if it is the first, after it."""
    if before is not None:
        return dist(end, before) < dist(start, before)
    return bool(after) and min(dist(start, point) for point in after) < min(dist(end, point) for point in after)


def _point(vector: Any) -> Point:
    return float(vector.x), float(vector.y), float(vector.z)


def _usable(points: Iterable[Point]) -> bool:
    """Whether points are made of numbers that can be reckoned with."""
    return all(abs(value) <= FARTHEST for point in points for value in point)
