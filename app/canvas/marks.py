"""Marks of closest approaches: a shape and a colour for each verdict, a leader and the distance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from app.canvas.pens import at_point, font, pen, row, text_size
from app.canvas.scene import Drawing, Mark, is_selected_pair
from app.canvas.style import DrawStyle
from app.typeset import minus
from app.units import format_clearance
from geometry.contact.findings import Verdict
from geometry.outline.view import FRONT, View

SIZE: Final = 8.0
"""Half the height of a mark [points]."""

MERGE: Final = 1.5 * SIZE
"""Marks nearer to each other than this are shown as one [points]."""

MOST_LABELS: Final = 5
"""Places that get their distance written: the selected pair, then the worst. The rest keep their shape."""

LABEL_ROOM: Final = 40_000.0
"""Room of the view for each label [points²]: in a small view fewer are written, so that the rig stays to be seen."""

REACHES: Final = (30.0, 48.0, 72.0, 104.0, 144.0)
"""Distances at which a label is tried around its mark [points]."""

HOLLOW_SCALE: Final = 0.8
"""Size of the mark of another pose over that of the displayed one [-]."""

STALE_OPACITY: Final = 0.45
"""Opacity of marks that belong to an earlier state [-]: still to be seen, plainly not the answer."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A mark in a view.

    Attributes
    ----------
    mark : Mark
    place, other : QPointF
        Where the mark is set, and the closest point on the moving part [mm of the view].
    words : str
        Distance and what it is to, in which pose if not in this one, and how many more there are.
    selected : bool

    """

    mark: Mark
    place: QPointF
    other: QPointF
    words: str
    selected: bool


def paint_marks(
    painter: QPainter,
    view: View,
    drawing: Drawing,
    style: DrawStyle,
    pt: float,
    frame: QRectF,
    *,
    labelled: bool = True,
) -> None:
    """Paint all marks of a drawing, then the labels of the most telling ones where there is room for them.

    Without labels the marks alone: while something is drawn, labels would cover the work.
    """
    spots = [
        spot
        for spot in spots_of(view, drawing, pt)
        if frame.adjusted(SIZE * pt, SIZE * pt, -SIZE * pt, -SIZE * pt).contains(spot.place)
    ]
    painter.save()
    if not drawing.marks_current:
        painter.setOpacity(STALE_OPACITY)
    rooms = place_labels(spots, style, pt, frame) if labelled else [None] * len(spots)
    for spot, room in zip(spots, rooms, strict=True):
        if room is not None:
            painter.setPen(pen(style.colours.quiet, style.narrow, pt))
            painter.drawLine(spot.place, _nearest(room, spot.place))
    for spot in reversed(spots):
        _paint_spot(painter, spot, style, pt)
    for spot, room in zip(spots, rooms, strict=True):
        if room is not None:
            _paint_label(painter, spot, room, style, pt)
    painter.restore()


def spots_of(view: View, drawing: Drawing, pt: float) -> list[Spot]:
    """The marks in a view, selected first, then the worst.

    Marks that would lie on each other are one spot, which names the first and counts the others.
    """
    clusters: list[list[Spot]] = []
    for mark in drawing.marks:
        if view is FRONT and mark.approach.axle != drawing.active_axle:
            continue
        spot = _spot(mark, view, drawing)
        near = (group for group in clusters if _length(group[0].place - spot.place) < MERGE * pt)
        group = next(near, None)
        if group is None:
            clusters.append([spot])
        elif all(spot.words != other.words for other in group):
            group.append(spot)
    return [
        replace(group[0], words=f"{group[0].words}  +{len(group) - 1}") if len(group) > 1 else group[0]
        for group in clusters
    ]


def _spot(mark: Mark, view: View, drawing: Drawing) -> Spot:
    approach = mark.approach
    fixed, moving = (row(view.project(np.array(place))) for place in (mark.place, approach.on_moving))
    words = minus(f"{format_clearance(approach.low, drawing.unit)} {_target(mark, view)}")
    if not mark.displayed:
        words = f"worst: {words}"
    return Spot(mark, fixed, moving, words, is_selected_pair(approach, drawing.selection))


def _length(step: QPointF) -> float:
    return float(np.hypot(step.x(), step.y()))


def _target(mark: Mark, view: View) -> str:
    """What a distance is to; in the side view both sides of the rig coincide and the side is left out."""
    label = mark.approach.fixed.label
    return label.removesuffix(f", {mark.approach.fixed.side}") if view.key == "side" else label


def place_labels(spots: Sequence[Spot], style: DrawStyle, pt: float, frame: QRectF) -> list[QRectF | None]:
    """Room for each spot's label, in view coordinates [mm]; None = it gets none.

    Each label in turn takes the first place around its mark, near before far, that is inside the frame and covers
    neither a mark nor an earlier label.
    """
    marks = [_around(spot.place, SIZE * pt) for spot in spots]
    taken: list[QRectF] = []
    rooms: list[QRectF | None] = []
    face = font(style, bold=True)
    share = int(frame.width() * frame.height() / (LABEL_ROOM * pt * pt))
    for index, spot in enumerate(spots):
        if index >= min(max(share, 1), MOST_LABELS):
            rooms.append(None)
            continue
        size = text_size(spot.words, face)
        room = QRectF(0.0, 0.0, (size.width() + 12.0) * pt, (size.height() + 4.0) * pt)
        free = (each for each in _candidates(room, spot.place, pt) if frame.contains(each))
        found = next((each for each in free if not any(each.intersects(other) for other in (*marks, *taken))), None)
        if found is not None:
            taken.append(found.adjusted(-3.0 * pt, -3.0 * pt, 3.0 * pt, 3.0 * pt))
        rooms.append(found)
    return rooms


def _candidates(room: QRectF, place: QPointF, pt: float) -> Iterator[QRectF]:
    for reach in REACHES:
        for turn in np.radians([-35.0, -145.0, 35.0, 145.0, -80.0, -100.0, 80.0, 100.0, 0.0, 180.0]):
            toward = QPointF(float(np.cos(turn)), float(np.sin(turn)))
            centre = place + toward * reach * pt
            centre += QPointF(toward.x() * room.width() / 2.0, 0.0)
            yield QRectF(centre - QPointF(room.width() / 2.0, room.height() / 2.0), room.size())


def _around(place: QPointF, reach: float) -> QRectF:
    return QRectF(place.x() - reach, place.y() - reach, 2.0 * reach, 2.0 * reach)


def _nearest(room: QRectF, place: QPointF) -> QPointF:
    return QPointF(min(max(place.x(), room.left()), room.right()), min(max(place.y(), room.top()), room.bottom()))


def _paint_spot(painter: QPainter, spot: Spot, style: DrawStyle, pt: float) -> None:
    verdict = spot.mark.approach.verdict
    colour = style.colours.of_verdict(verdict)
    if spot.mark.displayed:
        painter.setPen(pen(style.colours.ink, style.wide, pt))
        painter.drawLine(spot.place, spot.other)
    with at_point(painter, spot.place, pt):
        if spot.selected:
            painter.setPen(QPen(style.colours.accent, 2.0 * style.wide))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(QPointF(), 2.0 * SIZE, 2.0 * SIZE)
        if not spot.mark.displayed:
            painter.scale(HOLLOW_SCALE, HOLLOW_SCALE)
        paint_glyph(painter, verdict, colour, style, hollow=not spot.mark.displayed)


def paint_glyph(painter: QPainter, verdict: Verdict, colour: QColor, style: DrawStyle, *, hollow: bool) -> None:
    """Paint a verdict's shape about the origin, in points: crossed circle, triangle, square with a query, ring.

    Hollow marks stand for another pose than the one displayed.
    """
    edge = QPen(colour if hollow else style.colours.ink, 2.2 if hollow else 1.0)
    edge.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(edge)
    painter.setBrush(QBrush(style.colours.sheet if hollow else colour))
    inner = QPen(colour if hollow else style.colours.on_verdict, 2.4)
    if verdict is Verdict.CONTACT:
        painter.drawEllipse(QPointF(), SIZE, SIZE)
        painter.setPen(inner)
        reach = 0.5 * SIZE
        painter.drawLine(QPointF(-reach, -reach), QPointF(reach, reach))
        painter.drawLine(QPointF(-reach, reach), QPointF(reach, -reach))
    elif verdict is Verdict.TIGHT:
        painter.drawPolygon([QPointF(0.0, -SIZE), QPointF(SIZE, 0.75 * SIZE), QPointF(-SIZE, 0.75 * SIZE)])
        painter.setPen(QPen(colour if hollow else style.colours.ink, 2.0))
        painter.drawLine(QPointF(0.0, -0.35 * SIZE), QPointF(0.0, 0.2 * SIZE))
        painter.drawPoint(QPointF(0.0, 0.52 * SIZE))
    elif verdict is Verdict.UNKNOWN:
        painter.drawRect(QRectF(-0.8 * SIZE, -0.8 * SIZE, 1.6 * SIZE, 1.6 * SIZE))
        painter.setPen(inner)
        painter.setFont(font(style, bold=True))
        painter.drawText(QRectF(-SIZE, -SIZE, 2.0 * SIZE, 2.0 * SIZE), Qt.AlignmentFlag.AlignCenter, "?")
    else:
        painter.setBrush(QBrush(style.colours.sheet))
        painter.setPen(QPen(colour, 2.4))
        painter.drawEllipse(QPointF(), 0.6 * SIZE, 0.6 * SIZE)


def _paint_label(painter: QPainter, spot: Spot, room: QRectF, style: DrawStyle, pt: float) -> None:
    colour = style.colours.of_verdict(spot.mark.approach.verdict)
    with at_point(painter, room.topLeft(), pt):
        box = QRectF(0.0, 0.0, room.width() / pt, room.height() / pt)
        here = spot.mark.displayed
        painter.setPen(QPen(colour, 1.2) if here else QPen(style.colours.line, 0.8))
        painter.setBrush(style.colours.sheet)
        painter.drawRoundedRect(box, 3.0, 3.0)
        painter.setFont(font(style, bold=here))
        painter.setPen(style.colours.ink if here else style.colours.quiet)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, spot.words)


def legend(view: View, drawing: Drawing) -> str:
    """What hollow marks mean, if the view has any; empty = it has none."""
    marks = (mark for mark in drawing.marks if view is not FRONT or mark.approach.axle == drawing.active_axle)
    return "" if all(mark.displayed for mark in marks) else "hollow mark: worst in another pose"


def summary(drawing: Drawing) -> str:
    """The marks in one sentence, for those who cannot see them."""
    if not drawing.marks:
        return "No clearance is marked."
    worst = min((mark.approach for mark in drawing.marks), key=lambda each: each.margin)
    verdicts = [mark.approach.verdict for mark in drawing.marks]
    counts = ", ".join(f"{verdicts.count(one)} {one}" for one in Verdict if one in verdicts)
    gap = format_clearance(worst.low, drawing.unit)
    return f"Marked places: {counts}; worst {worst.moving.label} to {worst.fixed.label}, {gap}."
