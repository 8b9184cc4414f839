"""Painting a drawing in one view, on any device: the canvas, PDF and SVG all come through here.

The painter's coordinates are the view's (u right, v down) in mm of the rig. Line widths, text and marks are given in
points of the drawing; `pt` says how many mm of the rig one point spans at the painter's scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, pi, sqrt
from typing import Final

import numpy as np
from msgspec.structs import replace
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPolygonF

from app.canvas.dimension import paint_width
from app.canvas.furniture import paint_ground, paint_sheet_signs
from app.canvas.marks import paint_marks
from app.canvas.pens import pen, polygon, region
from app.canvas.scene import AxleParts, Chassis, Drawing, TireShape, chosen_keys, part_key
from app.canvas.style import DrawStyle
from geometry.outline.silhouette import (
    CORNERS,
    RoundedCylinder,
    circle,
    cylinder_outline,
    disc_outline,
    tube_outline,
)
from geometry.outline.view import FRONT, SIDE, TOP, Floats, View
from geometry.rig.layout import BarPath, PartRef

TREAD_LINES: Final = (-0.5, 0.0, 0.5)
"""Lines around the tread, as shares of its half width [-]: they show which way a tire points."""

SIDEWALL_SEEN: Final = 0.5
"""Share of the axle direction that points at the viewer from which a tire shows its sidewall, not its tread [-]."""

SELECTED_ALPHA: Final = 110
"""Opacity of the chosen parts' colour [of 255]: what they touch stays to be seen."""

FAR_ALPHA: Final = 150
"""Opacity of the outline of tires that lie behind [of 255]."""

STILL: Final = 0.05
"""A point that moves by less than this stands still [points]."""

WIRE: Final = 4.0
"""Thickness from which a spring's wire is drawn with its edges [points]."""

RODS: Final = frozenset({"link", "tie rod", "drag link", "shock"})
RUBBER: Final = frozenset({"bump stop", "strap"})
"""Kinds of parts that are filled as rods are, and as rubber is."""

HUB: Final = 0.3
"""Hub circle over rim circle [-]."""

SMOOTH: Final = 0.05
"""Largest rise of a circle over its chords [points]."""

EXTREME_DASHES: Final = [14.0, 3.0, 1.5, 3.0, 1.5, 3.0]
"""Long dash, double dot: extreme positions of moving parts (ISO 128-2, line type 05) [line widths]."""


def draw_view(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float, frame: QRectF) -> None:
    """Paint one view of a drawing.

    Parameters
    ----------
    painter : QPainter
        Its coordinates are view coordinates [mm].
    pt : float
        Size of a point of the drawing [mm of the rig].
    frame : QRectF
        The piece that is seen, in view coordinates [mm]: signs and labels keep inside it.

    """
    paint_backdrop(painter, view, drawing, style, pt, frame)
    paint_far(painter, view, drawing, style, pt)
    paint_middle(painter, view, drawing, style, pt)
    paint_near(painter, view, drawing, style, pt)
    paint_over(painter, view, drawing, style, pt, frame)
    paint_sheet_signs(painter, view, drawing, style, pt, frame)


def paint_backdrop(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float, frame: QRectF) -> None:
    """Paint the ground, and of all axles but the active one what lies behind the chassis."""
    paint_ground(painter, view, drawing, style, pt, frame)
    if view is not FRONT:
        _paint_extremes(painter, view, other_extremes(drawing), style, pt)
    for axle in _by_depth(other_axles(drawing), view):
        _paint_far_axle(painter, view, axle, drawing, style, pt)


def paint_far(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float) -> None:
    """Paint what lies behind the chassis of the active axle: extreme tires, rods, and the outlines of far tires."""
    others = other_extremes(drawing)
    _paint_extremes(painter, view, [tire for tire in drawing.extremes if tire not in others], style, pt)
    for axle in _active(drawing):
        _paint_far_axle(painter, view, axle, drawing, style, pt)


def paint_middle(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float) -> None:
    """Paint the chassis, and over it the near tires of all axles but the active one."""
    paint_chassis(painter, view, drawing.chassis, style, pt)
    for axle in _by_depth(other_axles(drawing), view):
        _paint_near_axle(painter, view, axle, drawing, style, pt)


def paint_near(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float) -> None:
    """Paint what of the active axle lies over the chassis: its near tires."""
    for axle in _active(drawing):
        _paint_near_axle(painter, view, axle, drawing, style, pt)


def paint_over(
    painter: QPainter,
    view: View,
    drawing: Drawing,
    style: DrawStyle,
    pt: float,
    frame: QRectF,
    *,
    labelled: bool = True,
) -> None:
    """Paint what lies over everything: the selection, marks, with or without their labels, and, in front, the width."""
    if view is FRONT:
        paint_width(painter, view, drawing, style, pt)
    paint_selection(painter, view, drawing, style, pt)
    paint_marks(painter, view, drawing, style, pt, frame, labelled=labelled)


def seen_of_active(drawing: Drawing, view: View, pt: float) -> tuple[object, ...]:
    """What a view shows of the active axle and of its extreme tires: while this is equal, so is the picture."""
    tires = [tire.solid for tire in drawing.extremes if tire.part.id == drawing.active_axle]
    lines: list[Floats] = []
    for axle in _active(drawing):
        tires += [tire.solid for tire in axle.tires]
        lines += [*(tube.points for tube in axle.tubes), *axle.kingpins]
    ends = [end for tire in tires for end in (tire.centre, tire.centre + tire.radius * tire.axis)]
    points = np.vstack([*ends, *lines, np.zeros(3)])
    places = (np.round(view.project(points) / (STILL * pt)) + 0.0).tobytes()  # no negative zeros
    described = None if drawing.active is None else replace(drawing.active, width=1.0)
    return (described, tuple(map(len, lines)), places)


def other_axles(drawing: Drawing) -> tuple[AxleParts, ...]:
    """All axles but the active one: they stand still while that one is worked on."""
    return tuple(axle for axle in drawing.axles if axle.axle != drawing.active_axle)


def other_extremes(drawing: Drawing) -> tuple[TireShape, ...]:
    """The extreme tires of all axles but the active one."""
    return tuple(tire for tire in drawing.extremes if tire.part.id != drawing.active_axle)


def paint_chassis(painter: QPainter, view: View, chassis: Chassis, style: DrawStyle, pt: float) -> None:
    """Paint bars and panels, the farthest first."""
    tube, panel = pen(style.tube_edge, style.narrow, pt), pen(style.panel_edge, style.narrow, pt)
    for path, is_bar in _chassis_paths(chassis, view):
        painter.setPen(tube if is_bar else panel)
        painter.setBrush(style.tube if is_bar else style.panel)
        painter.drawPath(path)


@lru_cache(maxsize=8)
def _chassis_paths(chassis: Chassis, view: View) -> tuple[tuple[QPainterPath, bool], ...]:
    """Outlines of bars and panels in a view, the farthest first, and whether each is a bar's."""
    depths = _depths([bar.points for bar in chassis.bars], view)
    bars = [(depth, _tube_path(bar, view), True) for depth, bar in zip(depths, chassis.bars, strict=True)]
    panels = [
        (_depth(facet, view), region([view.project(facet)]), False)
        for panel in chassis.panels
        for facet in panel.facets
    ]
    return tuple((path, is_bar) for _, path, is_bar in sorted(bars + panels, key=lambda each: each[0]))


def _paint_extremes(painter: QPainter, view: View, tires: Iterable[TireShape], style: DrawStyle, pt: float) -> None:
    """Paint tires at full stuff and full droop as the standard shows extreme positions."""
    line = pen(style.ghost, style.narrow, pt)
    line.setDashPattern(EXTREME_DASHES)
    painter.setPen(line)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for tire in tires:
        painter.drawPolygon(_tire_outline(tire, view, pt))


def _paint_far_axle(
    painter: QPainter, view: View, axle: AxleParts, drawing: Drawing, style: DrawStyle, pt: float
) -> None:
    painter.setPen(pen(style.tire_edge, style.narrow, pt, alpha=FAR_ALPHA))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for tire in axle.tires:
        if not _is_near(tire, view, drawing):
            painter.drawPolygon(_tire_outline(tire, view, pt))
    if view is not FRONT or axle.axle == drawing.active_axle:
        _paint_axle(painter, view, axle, style, pt)


def _paint_near_axle(
    painter: QPainter, view: View, axle: AxleParts, drawing: Drawing, style: DrawStyle, pt: float
) -> None:
    for tire in axle.tires:
        if _is_near(tire, view, drawing):
            _paint_tire(painter, view, tire, style, pt)
    if view is not FRONT or axle.axle == drawing.active_axle:
        _paint_kingpins(painter, view, axle, style, pt)


def paint_selection(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float) -> None:
    """Paint the chosen parts again, over everything, in the accent colour with a wide edge."""
    accent = style.colours.accent
    edge = pen(accent, 2.0 * style.wide, pt)
    fill = QColor(accent)
    fill.setAlpha(SELECTED_ALPHA)
    painter.setPen(edge)
    painter.setBrush(fill)
    taken = chosen_keys(drawing)
    if not taken:
        return
    for tube in (*drawing.chassis.bars, *(tube for axle in drawing.axles for tube in axle.tubes)):
        if part_key(tube.part) in taken:
            painter.drawPath(_tube_path(tube, view))
    for panel in drawing.chassis.panels:
        if part_key(panel.part) in taken:
            for facet in panel.facets:
                painter.drawPolygon(polygon(view.project(facet)))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for tire in (tire for axle in drawing.axles for tire in axle.tires):
        if part_key(tire.part) in taken:
            painter.drawPolygon(_tire_outline(tire, view, pt))


def _paint_axle(painter: QPainter, view: View, axle: AxleParts, style: DrawStyle, pt: float) -> None:
    painter.setPen(pen(style.tube_edge, style.narrow, pt))
    depths = _depths([tube.points for tube in axle.tubes], view)
    for _, tube in sorted(zip(depths, axle.tubes, strict=True), key=lambda each: each[0]):
        painter.setBrush(_fill_of(tube.part, style))
        painter.drawPath(_tube_path(tube, view))
    _paint_coils(painter, view, axle, style, pt)


def _fill_of(part: PartRef, style: DrawStyle) -> QColor:
    if part.kind in RUBBER:
        return style.ghost
    return style.link if part.kind in RODS else style.axle


def _paint_coils(painter: QPainter, view: View, axle: AxleParts, style: DrawStyle, pt: float) -> None:
    """Springs: a wide line with a narrower one over it looks like a wire with edges; from afar it is a thin line."""
    for coil in axle.coils:
        wire, thick, edge = polygon(view.project(coil.points)), 2.0 * coil.radius / pt, style.narrow
        lines = (
            ((style.tube_edge, thick), (style.link, thick - 2.0 * edge)) if thick > WIRE else ((style.tube_edge, edge),)
        )
        for colour, width in lines:
            line = pen(colour, width, pt)
            line.setCapStyle(Qt.PenCapStyle.RoundCap)
            line.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
            painter.setPen(line)
            painter.drawPolyline(wire)


def _tube_path(tube: BarPath, view: View) -> QPainterPath:
    return _outlined(tube.points.tobytes(), tube.radius, view)


@lru_cache(maxsize=256)
def _outlined(points: bytes, radius: float, view: View) -> QPainterPath:
    """Outline of a tube; kept by its coordinates, for rods stand still while the width is dragged."""
    return region(tube_outline(np.frombuffer(points).reshape(-1, 3), radius, view))


def _paint_tire(painter: QPainter, view: View, tire: TireShape, style: DrawStyle, pt: float) -> None:
    outline = _tire_outline(tire, view, pt)
    _fill(painter, outline, style.tire)
    painter.setPen(pen(style.tire_edge, style.wide, pt))
    painter.drawPolygon(outline)
    painter.setPen(pen(style.tire_edge, style.narrow, pt, alpha=130))
    at = view.project(tire.solid.centre).tolist()
    face = _face(tire, view, pt)
    for line in face.lines:
        painter.drawPolyline(line.translated(*at))
    for disc in face.discs:
        painter.drawPolygon(disc.translated(*at))
    for disc in face.discs[1:]:
        _fill(painter, disc.translated(*at), style.rim)


def _fill(painter: QPainter, shape: QPolygonF, colour: QColor) -> None:
    """Fill a shape and leave the painter without a brush: filling and edging in one go takes half as long again."""
    edge = painter.pen()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawPolygon(shape)
    painter.setPen(edge)
    painter.setBrush(Qt.BrushStyle.NoBrush)


@dataclass(frozen=True, slots=True)
class _Face:
    """What is seen of a tire in a view, about its centre: its outline, and tread lines or discs, the largest first."""

    outline: QPolygonF
    lines: tuple[QPolygonF, ...]
    discs: tuple[QPolygonF, ...]


def _tire_outline(tire: TireShape, view: View, pt: float) -> QPolygonF:
    return _face(tire, view, pt).outline.translated(*view.project(tire.solid.centre).tolist())


def _face(tire: TireShape, view: View, pt: float) -> _Face:
    solid = tire.solid
    sizes = (solid.half_width, solid.radius, solid.rounding)
    return _face_of(solid.axis.tobytes(), sizes, tire.rim_radius, view, _corners(solid.radius, pt))


@lru_cache(maxsize=128)
def _face_of(axis: bytes, sizes: tuple[float, float, float], rim: float, view: View, corners: int) -> _Face:
    """What is seen of a tire; kept by its direction, for that stays while the width is dragged."""
    solid = RoundedCylinder(np.zeros(3), np.frombuffer(axis), *sizes)
    outline = polygon(cylinder_outline(solid, view, corners))
    facing = float(view.depth(solid.axis))
    core = solid.half_width - solid.rounding
    if abs(facing) < SIDEWALL_SEEN:
        lines = tuple(_tread_line(view, solid, share * core, corners) for share in TREAD_LINES)
        return _Face(outline, lines, ())
    outward = np.sign(facing) * solid.axis
    radii = (solid.radius - solid.rounding, rim, HUB * rim)
    return _Face(
        outline, (), tuple(polygon(disc_outline(core * outward, outward, radius, view, corners)) for radius in radii)
    )


def _tread_line(view: View, solid: RoundedCylinder, along: float, corners: int) -> QPolygonF:
    """The visible half of a circle around the tread."""
    loop = circle(solid.centre + along * solid.axis, solid.axis, solid.radius, corners)
    near = view.depth(loop - solid.centre) >= 0.0
    start = int(np.argmax(near & ~np.roll(near, 1)))
    visible = np.roll(loop, -start, axis=0)[: int(near.sum())]
    return polygon(view.project(visible))


def _corners(radius: float, pt: float) -> int:
    """Corners that a circle needs to look round: its chords rise by less than SMOOTH."""
    return min(max(4 * ceil(pi * sqrt(radius / (2.0 * SMOOTH * pt)) / 4.0), 32), CORNERS)


def _paint_kingpins(painter: QPainter, view: View, axle: AxleParts, style: DrawStyle, pt: float) -> None:
    line = pen(style.colours.accent, style.narrow, pt)
    line.setDashPattern([14.0, 3.0, 1.5, 3.0])
    painter.setPen(line)
    for kingpin in axle.kingpins:
        (u0, v0), (u1, v1) = view.project(kingpin)
        painter.drawLine(QPointF(u0, v0), QPointF(u1, v1))


def _is_near(tire: TireShape, view: View, drawing: Drawing) -> bool:
    """Whether a tire is painted in full and over the chassis.

    In the side view that is the left one, in the front view those of the axle that it is about, in the top view all.
    """
    if view is SIDE:
        return tire.part.side == "left"
    return view is TOP or tire.part.id == drawing.active_axle


def _depths(lines: Sequence[Floats], view: View) -> list[float]:
    """Mean depth of each of some lines; at once, for a drag asks it of all that an axle carries at each step."""
    counts = np.array([len(line) for line in lines], dtype=np.int64)
    if not len(counts):
        return []
    depths: list[float] = (np.add.reduceat(view.depth(np.vstack(lines)), counts.cumsum() - counts) / counts).tolist()
    return depths


def _depth(points: Floats, view: View) -> float:
    return float(view.depth(points).mean())


def _active(drawing: Drawing) -> tuple[AxleParts, ...]:
    return tuple(axle for axle in drawing.axles if axle.axle == drawing.active_axle)


def _by_depth(axles: Iterable[AxleParts], view: View) -> list[AxleParts]:
    return sorted(axles, key=lambda axle: float(view.depth(axle.mounts).mean()))
