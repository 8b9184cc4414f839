"""From a drawing, and from what was chosen about it, to nodes, bars and panels with a report."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import dist
from typing import Final

import msgspec
import numpy as np
from numpy.typing import NDArray

from app.files.drawing import AXES, Arc, Choices, Drawing, Face, Halves, NamedBar, NamedPanel, Stroke
from app.files.dxf_mending import DAMAGED
from app.files.halves import centred, nodes_of, one_half, paired, refs_of
from app.files.imported import UNITS, Imported, ImportFileError, Link, came_in, count_words, shown
from app.files.joining import Places, Point
from app.files.wireframe import Lost, Skin, Tube, skins_of, tubes_of
from geometry.errors import RigError
from geometry.rig.check import check_chassis
from geometry.rig.layout import bar_paths
from geometry.rig.parts import Bar, Node, Panel
from geometry.rig.rig import Rig

MOVED: Final = 0.01
"""Distance from which a part that bears a name lies elsewhere than its nodes say [mm]: far above the rounding of files,
and far below what anyone moves on purpose."""

FARTHEST: Final = 20000.0
"""Largest coordinate of a rig [mm]."""


@dataclass(frozen=True, slots=True)
class Frame:
    """Maps points of a drawing to the rig's frame.

    Attributes
    ----------
    axes : array, shape (3, 3)
        Forward, left and up in the drawing's axes.
    hand : float
        1, or -1 when left and right are exchanged.
    size : Fraction
        One unit of the drawing [mm].
    shift : Point
        Where the drawing's origin lies [mm].

    """

    axes: NDArray[np.float64]
    hand: float
    size: Fraction
    shift: Point

    @classmethod
    def chosen(cls, choices: Choices) -> Frame:
        """The frame that was chosen; raises ImportFileError when forward and up are one axis."""
        forward, up = np.array(AXES[choices.forward]), np.array(AXES[choices.up])
        if not np.any(np.cross(up, forward)):
            raise ImportFileError("Forward and up are the same axis of the drawing; choose two different ones.")
        hand = -1.0 if choices.swapped else 1.0
        axes = np.array([forward, hand * np.cross(up, forward), up])
        return cls(axes, hand, UNITS[choices.unit], choices.shift)

    @property
    def keeps_centre(self) -> bool:
        """Whether the drawing's own centre plane, y = 0, is that of the rig."""
        return abs(self.axes[1, 1]) == 1.0 and self.shift[1] == 0.0

    def point(self, point: Point) -> Point:
        """A point [mm]; where nothing is scaled or shifted it keeps its last digit."""
        x, y, z = (
            sum(share * self._mm(value) for share, value in zip(row, point, strict=True) if share) + shift
            for row, shift in zip(self.axes.tolist(), self.shift, strict=True)
        )
        return x, y, z

    def _mm(self, value: float) -> float:
        """A coordinate [mm], rounded once: 28 in are 711.2 mm to the last digit."""
        return value if self.size == 1 else float(Fraction(repr(value)) * self.size)

    def stroke(self, stroke: Stroke) -> Stroke:
        """A line."""
        points = tuple(self.point(point) for point in stroke.points)
        return Stroke(stroke.layer, points, tuple(arc and self._arc(arc) for arc in stroke.arcs))

    def face(self, face: Face) -> Face:
        """A face."""
        return Face(face.layer, tuple(self.point(corner) for corner in face.corners))

    def _arc(self, arc: Arc) -> Arc:
        """An arc; an image turns about the normal the other way."""
        x, y, z = (self.hand * (self.axes @ np.array(arc.normal))).tolist()
        return Arc(self.point(arc.centre), (x, y, z), arc.turn, arc.backward)


def imported_from(drawing: Drawing, choices: Choices) -> Imported:
    """The chassis that a drawing holds.

    Raises
    ------
    ImportFileError
        When nothing of it can be used.

    """
    frame, layers = Frame.chosen(choices), choices.layers
    chosen = drawing if layers is None else _on_layers(drawing, layers)
    chosen = chosen if frame.keeps_centre else _unmirrored(chosen)
    lost, notes = Lost(), list[str]()
    places = Places(choices.join)
    names = {places.put(frame.point(node.at)): node.id for node in chosen.nodes}
    named = {name: Node(id=name, at=_near(places.points[place])) for place, name in names.items()}
    bars, moved = _named_bars(chosen.bars, named, frame, notes)
    panels, loose = _named_panels(chosen.panels, named, frame, notes)
    strokes, faces = [frame.stroke(stroke) for stroke in chosen.strokes], [frame.face(face) for face in chosen.faces]
    namer = _Namer(names, drawing)
    bars += [namer.bar(tube, choices) for tube in tubes_of(strokes + moved, places, lost, through=choices.through)]
    panels += [namer.panel(skin) for skin in skins_of(faces + loose, places, lost)]
    nodes = [Node(id=name, at=_near(places.points[place])) for place, name in names.items()]
    nodes, bars, panels = _sides(nodes, bars, panels, choices, notes)
    known = {node.id: node for node in nodes}
    bars = [bar for bar in bars if _sound(bar, known, notes)]
    panels = [panel for panel in panels if _sound(panel, known, notes)]
    used = nodes_of(bars, panels) | set(named)
    nodes = [node for node in nodes if node.id in used]
    links = tuple(_links(chosen, frame))
    report = _report(drawing, choices, places, lost, notes)
    if not (nodes or links):
        is_broken = drawing.is_cut or any(reason == DAMAGED for _, _, reason in drawing.skipped)
        raise ImportFileError(" ".join([BROKEN if is_broken else NOTHING, *report]))
    found = Imported(tuple(nodes), tuple(bars), tuple(panels), links, frozenset(namer.made))
    return replace(found, report=(came_in(found), *report))


def _on_layers(drawing: Drawing, layers: frozenset[str]) -> Drawing:
    """The drawing with what lies on some layers only."""
    return replace(
        drawing,
        strokes=tuple(stroke for stroke in drawing.strokes if stroke.layer in layers),
        faces=tuple(face for face in drawing.faces if face.layer in layers),
        nodes=tuple(node for node in drawing.nodes if node.layer in layers),
        bars=tuple(bar for bar in drawing.bars if bar.stroke.layer in layers),
        panels=tuple(panel for panel in drawing.panels if panel.face.layer in layers),
        links=tuple(link for link in drawing.links if link.stroke.layer in layers),
        images=tuple(image for image in drawing.images if image.layer in layers),
    )


def _unmirrored(drawing: Drawing) -> Drawing:
    """The drawing with all bars and panels as they are drawn, for where its centre plane is not that of the rig."""
    strokes = [image for image in drawing.images if isinstance(image, Stroke)]
    faces = [image for image in drawing.images if isinstance(image, Face)]
    return replace(
        drawing,
        strokes=(*drawing.strokes, *(bar.stroke for bar in drawing.bars), *strokes),
        faces=(*drawing.faces, *(panel.face for panel in drawing.panels), *faces),
        bars=(),
        panels=(),
    )


def _near(point: Point) -> Point:
    """A point that can be one of a rig."""
    if not max(map(abs, point)) <= FARTHEST:
        far = max(map(abs, point)) / 1000.0
        raise ImportFileError(
            f"A point lies {far:,.2f} m from the origin, and a rig has room for {FARTHEST / 1000.0:g} m; choose "
            "another unit, or set the origin nearer."
        )
    return point


# Parts that the drawing names


def _named_bars(
    bars: Iterable[NamedBar], named: Mapping[str, Node], frame: Frame, notes: list[str]
) -> tuple[list[Bar], list[Stroke]]:
    """Bars that lie where their nodes say, and the lines of the others."""
    kept, moved = [], []
    for one in bars:
        drawn = frame.stroke(one.stroke)
        if _lies(one.bar, named, drawn.points):
            kept.append(one.bar)
        else:
            moved.append(drawn)
            notes.append(
                f"Bar {one.bar.id} lies elsewhere than its nodes: it came in as it is drawn, under a new name."
            )
    return kept, moved


def _lies(bar: Bar, named: Mapping[str, Node], drawn: Sequence[Point]) -> bool:
    """Whether a bar along its nodes is the line that is drawn."""
    nodes = {ref.removesuffix("'") for ref in bar.nodes}
    if not nodes <= set(named):
        return False
    try:
        path = next(bar_paths(_chassis((named[node] for node in sorted(nodes)), bar))).points
    except RigError:
        return False
    return len(path) == len(drawn) and all(dist(one, other) <= MOVED for one, other in zip(path, drawn, strict=True))


def _named_panels(
    panels: Iterable[NamedPanel], named: Mapping[str, Node], frame: Frame, notes: list[str]
) -> tuple[list[Panel], list[Face]]:
    """Panels whose faces lie at their nodes, and the faces of the others."""
    faces: dict[str, list[Face]] = {}
    records: dict[str, Panel] = {}
    for one in panels:
        records[one.panel.id] = one.panel
        faces.setdefault(one.panel.id, []).append(frame.face(one.face))
    kept, loose = [], []
    for name, panel in records.items():
        if _covered(panel, named, [corner for face in faces[name] for corner in face.corners]):
            kept.append(panel)
        else:
            loose += faces[name]
            notes.append(f"Panel {name} lies elsewhere than its nodes: it came in as it is drawn, under a new name.")
    return kept, loose


def _covered(panel: Panel, named: Mapping[str, Node], drawn: Sequence[Point]) -> bool:
    """Whether the corners of a panel and those that are drawn are the same."""
    refs = set(refs_of(panel))
    if not {ref.removesuffix("'") for ref in refs} <= set(named):
        return False
    corners = [named[ref].at if ref in named else _image(named[ref[:-1]].at) for ref in refs]
    return all(min(dist(one, other) for other in drawn) <= MOVED for one in corners) and all(
        min(dist(one, other) for other in corners) <= MOVED for one in drawn
    )


def _image(point: Point) -> Point:
    return point[0], -point[1], point[2]


def _links(drawing: Drawing, frame: Frame) -> Iterator[Link]:
    for one in drawing.links:
        chassis, axle = (_near(frame.point(point)) for point in one.stroke.points)
        yield Link(axle=one.link.axle, rod=msgspec.structs.replace(one.link.rod, chassis=chassis, axle=axle))


# Parts that get names here


class _Namer:
    """Makes parts and gives them ids that the drawing does not have.

    Attributes
    ----------
    made : set of str
        Ids given, as in “bar bar-2”.

    """

    def __init__(self, names: dict[int, str], drawing: Drawing) -> None:
        self.made: set[str] = set()
        self._names = names
        self._counts: Counter[str] = Counter()
        self._taken = {
            *(f"node {node.id}" for node in drawing.nodes),
            *(f"bar {bar.bar.id}" for bar in drawing.bars),
            *(f"panel {panel.panel.id}" for panel in drawing.panels),
        }

    def bar(self, tube: Tube, choices: Choices) -> Bar:
        """The bar of a tube, of the size that its layer has."""
        od, wall = choices.tubes.get(tube.layer, choices.tube)
        nodes = tuple(self._node(place) for place in tube.places)
        return Bar(id=self._new("bar", "bar-"), nodes=nodes, od=od, wall=wall, bend_radius=tube.bend_radius)

    def panel(self, skin: Skin) -> Panel:
        """The panel of a skin."""
        facets = tuple(tuple(self._node(place) for place in loop) for loop in skin.facets)
        return Panel(id=self._new("panel", "panel-"), facets=facets)

    def _node(self, place: int) -> str:
        if place not in self._names:
            self._names[place] = self._new("node", "n")
        return self._names[place]

    def _new(self, kind: str, stem: str) -> str:
        while True:
            self._counts[kind] += 1
            name = f"{stem}{self._counts[kind]}"
            if f"{kind} {name}" not in self._taken:
                self.made.add(f"{kind} {name}")
                return name


# All parts


def _sides(
    nodes: list[Node], bars: list[Bar], panels: list[Panel], choices: Choices, notes: list[str]
) -> tuple[list[Node], list[Bar], list[Panel]]:
    """Parts mirrored as it was chosen."""
    if choices.halves is Halves.AS_DRAWN:
        return nodes, bars, panels
    before = _mirrored(bars, panels)
    nodes = centred(nodes, choices.join)
    if choices.halves is Halves.HALF:
        bars, panels = one_half(nodes, bars, panels)
    else:
        nodes, bars, panels, _ = paired(nodes, bars, panels, choices.join)
    count = _mirrored(bars, panels) - before
    words = "drawn on both sides came in once" if choices.halves is Halves.PAIRS else "drawn on one side came in"
    notes.append(f"Mirrored: {count_words(count, 'part')} {words}, and {'is' if count == 1 else 'are'} on both sides.")
    return nodes, bars, panels


def _mirrored(bars: Iterable[Bar], panels: Iterable[Panel]) -> int:
    return sum(bar.mirrored for bar in bars) + sum(panel.mirrored for panel in panels)


def _sound(part: Bar | Panel, nodes: Mapping[str, Node], notes: list[str]) -> bool:
    """Whether a part can be one of a rig; why not goes into the notes."""
    own = [nodes[ref] for ref in sorted({ref.removesuffix("'") for ref in refs_of(part)})]
    try:
        check_chassis(_chassis(own, part))
    except RigError as refused:
        notes.append(f"{type(part).__name__} {part.id} left out: {refused.problem}.")
        return False
    return True


def _chassis(nodes: Iterable[Node], part: Bar | Panel) -> Rig:
    """A rig of one part, for checks of that alone."""
    bars, panels = ((part,), ()) if isinstance(part, Bar) else ((), (part,))
    return Rig(name="", nodes=tuple(nodes), bars=bars, panels=panels, axles=())


# Report


NOTHING: Final = "There is nothing in it that can be a bar or a panel; draw centre lines as lines, arcs or polylines."

BROKEN: Final = (
    "The file is damaged or cut off, and no bar or panel in it is whole; save it again as DXF from the program it "
    "comes from."
)


def _report(drawing: Drawing, choices: Choices, places: Places, lost: Lost, notes: Iterable[str]) -> tuple[str, ...]:
    """What was read, joined and left out, a sentence each."""
    taken = choices.layers
    sentences = []
    for layer, kinds in sorted(drawing.layers.items()):
        words = ", ".join(f"{number:,} {kind}" for kind, number in sorted(kinds.items()))
        chosen = "Read" if taken is None or layer in taken else "Not chosen"
        sentences.append(f"{chosen}: layer “{shown(layer)}”, {words}.")
    if places.taken:
        sentences.append(f"Joined: {count_words(places.taken, 'end')}, at most {places.farthest:.2f} mm apart.")
    sentences += notes
    sentences += [
        f"Left out: {number:,} {kind} on layer “{shown(layer)}”, {reason}."
        for (kind, layer, reason), number in sorted(drawing.skipped.items())
        if taken is None or layer in taken or layer not in drawing.layers
    ]
    sentences += [
        f"Left out: {count_words(number, 'piece')} on layer “{shown(layer)}”, {reason}."
        for (reason, layer), number in sorted(lost.items())
    ]
    if drawing.is_cut:
        sentences.append("The file ends early: what came after is lost; compare the picture with what you know.")
    if drawing.repairs:
        faults = count_words(drawing.repairs, "fault")
        sentences.append(f"The file was damaged: {faults} mended on reading; compare the picture with what you know.")
    return tuple(sentences)
