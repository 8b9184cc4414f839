"""Painting a drawing in one view, on any device: the canvas, PDF and SVG all come through here.

The painter's coordinates are the view's (u right, v down) in mm of the rig. Line widths, text and marks are given in
points of the drawing; `pt` says how many mm of the rig one point spans at the painter's scale.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen

from app.canvas.dimension import paint_width
from app.canvas.furniture import paint_ground, paint_sheet_signs
from app.canvas.marks import paint_marks
from app.canvas.pens import pen, polygon, row
from app.canvas.scene import AxleParts, Chassis, Drawing, TireShape, is_selected
from app.canvas.style import DrawStyle
from geometry.outline.silhouette import circle, cylinder_outline, disc_outline
from geometry.outline.view import FRONT, View
from geometry.rig.layout import BarPath, PanelFacets

TREAD_LINES: Final = (-0.5, 0.0, 0.5)
"""Lines around the tread, as shares of its half width [-]: they show which way a tire points."""

NO_LENGTH: Final = 0.01
"""A tube seen shorter than this is painted as a circle [mm]: Qt strokes no line without a length."""

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
    paint_ground(painter, view, drawing, style, pt, frame)
    paint_far(painter, view, drawing, style, pt)
    paint_chassis(painter, view, drawing.chassis, style, pt)
    paint_near(painter, view, drawing, style, pt, frame)
    paint_sheet_signs(painter, view, drawing, style, pt, frame)


def paint_far(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float) -> None:
    """Paint what lies behind the chassis: extreme tires, axles with their rods, and the tires on the far side."""
    paint_extremes(painter, view, drawing, style, pt)
    for axle in _by_depth(drawing.axles, view):
        if view is FRONT and axle.axle != drawing.active_axle:
            _outline_tires(painter, view, axle.tires, style, pt)
            continue
        for tire in axle.tires:
            if not _is_near(tire, view):
                _paint_tire(painter, view, tire, style, pt)
        _paint_axle(painter, view, axle, style, pt)


def paint_chassis(painter: QPainter, view: View, chassis: Chassis, style: DrawStyle, pt: float) -> None:
    """Paint bars and panels, the farthest first."""
    parts: list[BarPath | PanelFacets] = [*chassis.bars, *chassis.panels]
    edge = pen(style.tube_edge, style.narrow, pt)
    for part in sorted(parts, key=lambda each: _depth(each, view)):
        if isinstance(part, BarPath):
            _paint_tube(painter, view, part, style.tube, edge)
        else:
            painter.setPen(pen(style.panel_edge, style.narrow, pt))
            painter.setBrush(style.panel)
            for facet in part.facets:
                painter.drawPolygon(polygon(view.project(facet)))


def paint_near(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float, frame: QRectF) -> None:
    """Paint what lies over the chassis: near tires, the selection, marks and, in the front view, the width."""
    for axle in _by_depth(drawing.axles, view):
        if view is FRONT and axle.axle != drawing.active_axle:
            continue
        for tire in axle.tires:
            if _is_near(tire, view):
                _paint_tire(painter, view, tire, style, pt)
        _paint_kingpins(painter, view, axle, style, pt)
        if view is FRONT:
            paint_width(painter, view, axle, drawing, style, pt)
    paint_selection(painter, view, drawing, style, pt)
    paint_marks(painter, view, drawing, style, pt, frame)


def paint_extremes(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float) -> None:
    """Paint the tires at full stuff and full droop as the standard shows extreme positions."""
    line = pen(style.ghost, style.narrow, pt)
    line.setDashPattern(EXTREME_DASHES)
    painter.setPen(line)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for tire in drawing.extremes:
        if view is not FRONT or tire.part.id == drawing.active_axle:
            painter.drawPolygon(polygon(cylinder_outline(tire.solid, view)))


def paint_selection(painter: QPainter, view: View, drawing: Drawing, style: DrawStyle, pt: float) -> None:
    """Paint the chosen parts again, over everything, in the accent colour with a wide edge."""
    accent = style.colours.accent
    edge = pen(accent, 2.0 * style.wide, pt)
    fill = QColor(accent)
    fill.setAlpha(70)
    tubes = [*drawing.chassis.bars, *(tube for axle in drawing.axles for tube in axle.tubes)]
    for tube in tubes:
        if is_selected(tube.part, drawing.selection):
            _paint_tube(painter, view, tube, accent, edge)
    painter.setPen(edge)
    painter.setBrush(fill)
    for panel in drawing.chassis.panels:
        if is_selected(panel.part, drawing.selection):
            for facet in panel.facets:
                painter.drawPolygon(polygon(view.project(facet)))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for tire in (tire for axle in drawing.axles for tire in axle.tires):
        if is_selected(tire.part, drawing.selection):
            painter.drawPolygon(polygon(cylinder_outline(tire.solid, view)))


def _paint_axle(painter: QPainter, view: View, axle: AxleParts, style: DrawStyle, pt: float) -> None:
    edge = pen(style.tube_edge, style.narrow, pt)
    for tube in sorted(axle.tubes, key=lambda each: _depth(each, view)):
        _paint_tube(painter, view, tube, style.link if tube.part.kind == "link" else style.axle, edge)


def _paint_tube(painter: QPainter, view: View, tube: BarPath, fill: QColor, edge: QPen) -> None:
    """A tube's outline in a view is its centre line, swept by a circle: one wide stroke and a narrower one on it."""
    centre_line = view.project(tube.points)
    if np.ptp(centre_line, axis=0).max() < NO_LENGTH:
        painter.setPen(edge)
        painter.setBrush(fill)
        inner = tube.radius - edge.widthF() / 2.0
        painter.drawEllipse(row(centre_line[0]), inner, inner)
        return
    line = QPainterPath()
    line.addPolygon(polygon(centre_line))
    width = 2.0 * tube.radius
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.strokePath(line, _round(edge.color(), width))
    if width > 2.0 * edge.widthF():
        painter.strokePath(line, _round(fill, width - 2.0 * edge.widthF()))


def _round(colour: QColor, width: float) -> QPen:
    return QPen(QBrush(colour), width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)


def _paint_tire(painter: QPainter, view: View, tire: TireShape, style: DrawStyle, pt: float) -> None:
    painter.setPen(pen(style.tire_edge, style.wide, pt))
    painter.setBrush(style.tire)
    painter.drawPolygon(polygon(cylinder_outline(tire.solid, view)))
    painter.setPen(pen(style.tire_edge, style.narrow, pt, alpha=130))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    solid = tire.solid
    facing = float(view.depth(solid.axis))
    if abs(facing) > 0.5:
        side = np.sign(facing) * solid.axis
        face = solid.centre + side * (solid.half_width - solid.rounding)
        painter.drawPolygon(polygon(disc_outline(face, side, solid.radius - solid.rounding, view)))
        painter.setBrush(style.rim)
        painter.drawPolygon(polygon(disc_outline(face, side, tire.rim_radius, view)))
        painter.drawPolygon(polygon(disc_outline(face, side, 0.3 * tire.rim_radius, view)))
    else:
        for share in TREAD_LINES:
            _paint_tread_line(painter, view, tire, share * (solid.half_width - solid.rounding))


def _paint_tread_line(painter: QPainter, view: View, tire: TireShape, along: float) -> None:
    """The visible half of a circle around the tread."""
    solid = tire.solid
    loop = circle(solid.centre + along * solid.axis, solid.axis, solid.radius)
    near = view.depth(loop - solid.centre) >= 0.0
    start = int(np.argmax(near & ~np.roll(near, 1)))
    visible = np.roll(loop, -start, axis=0)[: int(near.sum())]
    painter.drawPolyline(polygon(view.project(visible)))


def _outline_tires(painter: QPainter, view: View, tires: Iterable[TireShape], style: DrawStyle, pt: float) -> None:
    painter.setPen(pen(style.ghost, style.narrow, pt))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for tire in tires:
        painter.drawPolygon(polygon(cylinder_outline(tire.solid, view)))


def _paint_kingpins(painter: QPainter, view: View, axle: AxleParts, style: DrawStyle, pt: float) -> None:
    line = pen(style.colours.accent, style.narrow, pt)
    line.setDashPattern([14.0, 3.0, 1.5, 3.0])
    painter.setPen(line)
    for kingpin in axle.kingpins:
        (u0, v0), (u1, v1) = view.project(kingpin)
        painter.drawLine(QPointF(u0, v0), QPointF(u1, v1))


def _is_near(tire: TireShape, view: View) -> bool:
    """Whether a tire is painted over the chassis: all but those on the far side of the side view."""
    return tire.part.side == "left" or view.key != "side"


def _depth(part: BarPath | PanelFacets, view: View) -> float:
    points = part.points if isinstance(part, BarPath) else np.concatenate(part.facets)
    return float(view.depth(points).mean())


def _by_depth(axles: Iterable[AxleParts], view: View) -> list[AxleParts]:
    return sorted(axles, key=lambda axle: float(view.depth(axle.mounts).mean()))
