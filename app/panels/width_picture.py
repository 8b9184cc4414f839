"""How the width strip looks: pure painting of one moment, from which the widget also reads where things lie."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QFont, QFontMetricsF, QPainter, QPalette, QPen, QPolygonF

from app.panels.axis import Axis, tick_text
from app.panels.width_bounds import Bound, draw_bounds, placed, window_bounds
from app.theme import Colours, colours
from app.typeset import minus
from app.units import LengthUnit, format_clearance, format_length, format_wanted
from app.width_rules import Span
from app.widths import is_known, sample_at, sample_verdict
from geometry.contact.findings import Verdict, WidthCurve, WidthSample
from geometry.rig.rig import Rig, WantedClearance
from geometry.tolerances import FAR

HANDLE: Final = (24.0, 28.0)
"""Width and height of the slider's handle [px]."""

LEAST_TOP: Final = 25.4
LEAST_BOTTOM: Final = -19.0
"""The clearance axis shows at least this much [mm]: an inch, and enough below the zero line to see it cross."""

DEEPEST: Final = 4.0
"""Overlap that the axis shows, over the clearance that it shows [-]: with more, zero and what is wanted would run
together. What lies deeper has an arrow and its number at the lower edge."""

HEADROOM: Final = 1.25
"""Range below the best width over its overlap [-], when not even that clears: some of the curve is always seen."""

PLACES: Final = (0.5, 0.25, 0.75, 0.1, 0.9)
"""Where along its stretch of the curve a name is tried [-]."""

WIDEST: Final = "−1 1/2"
"""The widest number on the scale of clearances."""

GAP: Final = 5.0
"""Between a curve and a word about it [px]."""

PAD: Final = 4.0

BAR: Final = 4.0
"""Height of the bars over and under the widths that satisfy all rules [px]."""

MOST_ROWS: Final = 6
"""Rows of words of the bounds above the plot, at most."""

LEAST_HEIGHT: Final = 84.0
"""Height that such rows leave to the plot [px]."""


@dataclass(frozen=True, slots=True)
class WidthScene:
    """What is to be drawn: the rig with the width as shown, the curve if there is one, the range of widths [mm].

    Attributes
    ----------
    rules : tuple of Bound
        Bounds beside clearance.
    together : tuple of Span
        Widths that satisfy all rules, where there are rules beside clearance.
    clearance : bool
        Also show what clearance bounds.
    trials : tuple of float
        Widths on the trial list [mm].

    """

    rig: Rig
    axle: str
    curve: WidthCurve | None
    low: float
    high: float
    unit: LengthUnit
    problem: str
    focused: bool
    rules: tuple[Bound, ...] = ()
    together: tuple[Span, ...] = ()
    clearance: bool = True
    trials: tuple[float, ...] = ()

    @property
    def width(self) -> float:
        """Wheel-mount width as shown [mm]."""
        return self.rig.axle(self.axle).width


class WidthPicture:
    """The strip laid out for one rectangle.

    Attributes
    ----------
    across, up : Axis
        Width to x, clearance to y.
    plot, track, handle : QRectF
    bounds : tuple of Placed
        Bounds of the width, with their words above the plot.
    words : list
        Words drawn inside the plot, each with its room.

    """

    def __init__(self, scene: WidthScene, area: QRectF, font: QFont, palette: QPalette) -> None:
        self.scene = scene
        self.names: Colours = colours(palette)
        self.font = font
        self.bold = QFont(font)
        self.bold.setBold(True)
        self.metrics = QFontMetricsF(font)
        self.line = line = self.metrics.height() + 2.0
        left = area.left() + self.metrics.horizontalAdvance(WIDEST) + line + 3.0 * PAD
        self.across = Axis(scene.low, max(scene.high, scene.low + 1.0), left, area.right() - 14.0)
        bottom = area.bottom() - 2.0 * line - HANDLE[1] - 2.0 * PAD
        most_rows = max(1, min(MOST_ROWS, int((bottom - area.top() - line - LEAST_HEIGHT) / line)))
        self.bounds = placed(self._all_bounds(), self.across, font.toString(), scene.unit, most_rows)
        top = area.top() + (2 + max((each.row for each in self.bounds), default=0)) * line
        self.head = area.top()
        self.plot = QRectF(QPointF(left, top), QPointF(self.across.end, max(bottom, top + 20.0)))
        self.track = QRectF(self.plot.left(), self.plot.bottom() + PAD, self.plot.width(), HANDLE[1])
        self.up = Axis(*clearance_range(scene.curve, scene.rig.wanted), self.plot.bottom(), self.plot.top())
        self.handle = QRectF(0.0, 0.0, *HANDLE)
        self.handle.moveCenter(QPointF(self.across.place(scene.width), self.track.center().y()))
        self.words: list[tuple[str, QRectF]] = []

    def draw(self, painter: QPainter) -> None:
        """Paint everything."""
        self.draw_ground(painter)
        self.draw_current(painter)

    def draw_ground(self, painter: QPainter) -> None:
        """Paint all that stays where it is while the handle moves."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self.font)
        painter.fillRect(self.plot, self.names.sheet)
        self._draw_windows(painter)
        self._draw_together(painter)
        self._draw_scales(painter)
        curve = self.scene.curve
        if curve is None or not any(map(is_known, curve.samples)):
            self._draw_empty(painter)
        else:
            painter.save()
            painter.setClipRect(self.plot.adjusted(-1.0, 0.0, 1.0, 1.0))
            self._draw_curve(painter, curve)
            painter.restore()
        self._draw_track(painter)
        draw_bounds(painter, self.bounds, self.plot, self.track.bottom() - 4.0, self.line, self.names)
        if curve is not None:
            self._draw_depth(painter, curve)
            if curve.complete:
                self._place_pair_names(curve)
        self._draw_words(painter)

    def _draw_windows(self, painter: QPainter) -> None:
        curve = self.scene.curve
        if curve is None or not self.scene.clearance or not (curve.complete or curve.windows):
            return
        if curve.complete:
            painter.fillRect(self.plot, QBrush(self.names.grid, Qt.BrushStyle.BDiagPattern))
        for window in curve.windows:
            painter.fillRect(self._band((window.low.width, window.high.width)), self.names.window_fill)

    def _draw_together(self, painter: QPainter) -> None:
        """The widths that satisfy all rules: a shade of its own between two bars."""
        for span in self.scene.together:
            band = self._band(span)
            painter.fillRect(band, self.names.together)
            for edge in (band.top(), band.bottom() - BAR):
                painter.fillRect(QRectF(band.left(), edge, band.width(), BAR), self.names.stability)

    def _band(self, span: Span) -> QRectF:
        left, right = self.across.place(span[0]), self.across.place(span[1])
        return QRectF(left, self.plot.top(), max(right - left, 1.0), self.plot.height())

    def _draw_scales(self, painter: QPainter) -> None:
        unit = self.scene.unit
        step = self.across.step(unit, 2.2 * self.metrics.horizontalAdvance("0000"))
        below = self.track.bottom() + PAD
        height = self.metrics.height()
        for width in self.across.ticks(step):
            x = self.across.place(width)
            painter.setPen(QPen(self.names.grid, 1.0))
            painter.drawLine(QLineF(x, self.plot.top(), x, self.plot.bottom()))
            painter.setPen(self.names.quiet)
            painter.drawLine(QLineF(x, self.track.bottom() - 3.0, x, self.track.bottom() + 3.0))
            box = QRectF(x - 40.0, below, 80.0, height)
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, tick_text(width, unit))
        step = self.up.step(unit, height + 2.0)
        for clearance in self.up.ticks(step):
            y = self.up.place(clearance)
            painter.setPen(QPen(self.names.grid, 1.0))
            painter.drawLine(QLineF(self.plot.left(), y, self.plot.right(), y))
            painter.setPen(self.names.quiet)
            box = QRectF(self.plot.left() - 80.0 - PAD, y - height / 2.0, 80.0, height)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight, tick_text(clearance, unit))
        self._draw_titles(painter)

    def _draw_titles(self, painter: QPainter) -> None:
        unit = self.scene.unit.sign
        height = self.metrics.height()
        axle = self.scene.rig.axle(self.scene.axle)
        painter.setPen(self.names.ink)
        below = QRectF(self.plot.left(), self.track.bottom() + PAD + height, self.plot.width(), height + 2.0)
        title = f"wheel-mount width, {(axle.name or axle.id).lower()}, {unit}"
        painter.drawText(below, Qt.AlignmentFlag.AlignHCenter, title)
        painter.save()
        painter.translate(self.plot.left() - self.metrics.horizontalAdvance(WIDEST) - 2.0 * PAD, self.plot.bottom())
        painter.rotate(-90.0)
        room = self.plot.height() + 2.0 * height
        title = f"closest approach, {unit}"
        if self.metrics.horizontalAdvance(title) > room:
            title = f"closest, {unit}"
        painter.drawText(QRectF(0.0, -height, room, height), Qt.AlignmentFlag.AlignLeft, title)
        painter.restore()
        painter.setPen(QPen(self.names.line, 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(self.plot)

    def _draw_empty(self, painter: QPainter) -> None:
        painter.setPen(self.names.quiet)
        words = empty_words(self.scene.curve, self.scene.problem)
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(self.plot.adjusted(PAD, 0.0, -PAD, 0.0), flags, words)

    def _draw_curve(self, painter: QPainter, curve: WidthCurve) -> None:
        names = self.names
        zero = self.up.place(0.0)
        painter.setPen(QPen(names.ink, 2.0))
        painter.drawLine(QLineF(self.plot.left(), zero, self.plot.right(), zero))
        self._label(self._label_box("touching", self.plot.right() - PAD, zero + GAP, right=True), "touching")
        for known in _stretches(curve):
            band = [self._point(s.width, s.low) for s in known] + [
                self._point(s.width, s.high) for s in reversed(known)
            ]
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(names.line)
            painter.drawPolygon(QPolygonF(band))
            self._draw_wanted(painter, known)
            style = Qt.PenStyle.SolidLine if curve.complete else Qt.PenStyle.DotLine
            painter.setPen(QPen(names.ink, 2.0, style, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
            painter.drawPolyline(QPolygonF([self._point(s.width, s.low) for s in known]))

    def _draw_wanted(self, painter: QPainter, known: tuple[WidthSample, ...]) -> None:
        """The clearance wanted of the nearest pair; it steps where another kind of pair becomes the nearest."""
        wanted = self.scene.rig.wanted
        heights = [getattr(wanted, s.nearest.kind) if s.nearest else None for s in known]
        painter.setPen(QPen(self.names.quiet, 1.2, Qt.PenStyle.DashLine))
        last = None
        for (one, two), height in zip(pairwise(known), heights, strict=False):
            if height is not None:
                painter.drawLine(QLineF(self._point(one.width, height), self._point(two.width, height)))
                last = height
        if last is not None:
            words = f"wanted {format_wanted(last, self.scene.unit)}"
            top = max(self.up.place(last) - GAP - self.metrics.height(), self.plot.top() + 1.0)
            box = self._label_box(words, self.plot.right() - PAD, top, right=True)
            beside = [other.left() for _, other in self.words if box.intersects(other)]
            self._label(box.translated(min(beside) - GAP - box.right(), 0.0) if beside else box, words)

    def _place_pair_names(self, curve: WidthCurve) -> None:
        """Which part is the nearest, beside each stretch of the curve that has room for its name."""
        for name, group in groupby(curve.samples, key=nearest_words):
            part = list(group)
            left, right = self.across.place(part[0].width), self.across.place(part[-1].width)
            room = self.metrics.horizontalAdvance(name)
            if name and room <= right - left:
                starts = [left + share * (right - left - room) for share in PLACES]
                boxes = [box for start in starts for box in self._beside_curve(curve, name, start)]
                box = next((box for box in boxes if not self._crossed(box)), boxes[0] if boxes else None)
                if box is not None:
                    self._label(box, name)

    def _crossed(self, box: QRectF) -> bool:
        """Whether the line of the width that is set or of a bound runs through a word."""
        lines = (self.across.place(self.scene.width), *(each.x for each in self.bounds))
        return any(box.left() - 2.0 < x < box.right() + 2.0 for x in lines)

    def _beside_curve(self, curve: WidthCurve, name: str, left: float) -> list[QRectF]:
        """Room for a name above the curve and below it, where that is clear of the curve and of other words.

        The name of a stretch that runs off the lower edge goes with the piece that is seen.
        """
        width = self.metrics.horizontalAdvance(name)
        samples = [sample_at(curve, self.across.length(left + share * width)) for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
        heights = [self.up.place(sample.low) for sample in samples if sample is not None]
        if len(heights) < len(samples):
            return []
        above = self._label_box(name, left, min(heights) - GAP - self.metrics.height())
        below = self._label_box(name, left, max(heights) + GAP)
        free = (box for box in (above, below) if self.plot.contains(box))
        return [box for box in free if not any(box.intersects(other) for _, other in self.words)]

    def _label_box(self, text: str, x: float, top: float, *, right: bool = False) -> QRectF:
        width = self.metrics.horizontalAdvance(text) + 4.0
        return QRectF(x - width if right else x - 2.0, top, width, self.metrics.height())

    def _label(self, box: QRectF, text: str) -> None:
        self.words.append((text, box))

    def _draw_words(self, painter: QPainter) -> None:
        """Words on patches of ground of their own, after all lines, so that none runs through them."""
        for text, box in self.words:
            painter.fillRect(box, self.names.sheet)
            painter.setPen(self.names.quiet)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def _draw_depth(self, painter: QPainter, curve: WidthCurve) -> None:
        """How deep the curve goes where it runs off the lower edge: at the width that is set, and at the deepest."""
        deepest = min(filter(is_known, curve.samples), key=lambda sample: sample.low, default=None)
        for sample in (sample_at(curve, self.scene.width), deepest):
            if sample is None or sample.low >= self.up.low:
                continue
            words = minus(format_clearance(sample.low, self.scene.unit))
            x = self.across.place(sample.width)
            left = min(max(x + 2.0 * GAP, self.plot.left() + 3.0 * GAP), self.plot.right())
            box = self._label_box(words, left, self.plot.bottom() - self.metrics.height() - 1.0)
            if box.right() > self.plot.right():
                box.moveRight(min(x - 2.0 * GAP, self.plot.right() - 3.0 * GAP))
            if any(box.intersects(other) for _, other in self.words):
                continue
            self._label(box, words)
            self._draw_arrow(painter, min(max(x, self.plot.left() + GAP), self.plot.right() - GAP))

    def _draw_arrow(self, painter: QPainter, x: float) -> None:
        tip = QPointF(x, self.plot.bottom() - 1.0)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.names.ink)
        painter.drawPolygon(QPolygonF([tip, tip + QPointF(-4.5, -9.0), tip + QPointF(4.5, -9.0)]))

    def _point(self, width: float, clearance: float) -> QPointF:
        return QPointF(self.across.place(width), self.up.place(min(max(clearance, -10.0 * FAR), FAR)))

    def _draw_track(self, painter: QPainter) -> None:
        """The slider's groove, coloured by what each width gives; contact is hatched as well."""
        groove = QRectF(self.track.left(), self.track.center().y() - 5.0, self.track.width(), 10.0)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.fillRect(groove, self.names.grid)
        curve = self.scene.curve
        if curve is not None:
            for left, right, verdict in verdict_stretches(curve):
                start, end = self.across.place(left), self.across.place(right)
                piece = QRectF(start, groove.top(), end - start, groove.height())
                painter.fillRect(piece, self.names.of_verdict(verdict))
                if verdict is Verdict.CONTACT:
                    painter.fillRect(piece, QBrush(self.names.sheet, Qt.BrushStyle.BDiagPattern))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self.names.line, 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(groove)

    def _all_bounds(self) -> tuple[Bound, ...]:
        curve = self.scene.curve
        edges = window_bounds(curve) if curve is not None and self.scene.clearance else ()
        return (*edges, *self.scene.rules)

    def draw_current(self, painter: QPainter) -> None:
        """Paint the handle, its line, and what the curve says there."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self.font)
        self._draw_trials(painter)
        names, x = self.names, self.handle.center().x()
        painter.setPen(QPen(names.accent, 2.0))
        painter.drawLine(QLineF(x, self.plot.top() - 2.0, x, self.handle.top()))
        curve = self.scene.curve
        sample = sample_at(curve, self.scene.width) if curve is not None else None
        if sample is not None:
            y = min(max(self.up.place(sample.low), self.plot.top()), self.plot.bottom())
            painter.setBrush(names.sheet)
            painter.drawEllipse(QPointF(x, y), 5.0, 5.0)
        if self.scene.focused:
            painter.setPen(QPen(names.ink, 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(self.handle.adjusted(-3.0, -3.0, 3.0, 3.0), 6.0, 6.0)
        painter.setPen(QPen(names.sheet, 1.0))
        painter.setBrush(names.accent)
        painter.drawRoundedRect(self.handle, 4.0, 4.0)
        painter.setPen(QPen(names.on_accent, 1.5))
        for shift in (-4.0, 0.0, 4.0):
            painter.drawLine(QLineF(x + shift, self.handle.top() + 8.0, x + shift, self.handle.bottom() - 8.0))
        self._draw_current_text(painter, sample)

    def _draw_trials(self, painter: QPainter) -> None:
        """A small triangle under the groove for each width on the trial list."""
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self.names.ink)
        for width in self.scene.trials:
            if self.across.low <= width <= self.across.high:
                tip = QPointF(self.across.place(width), self.track.center().y() + 6.0)
                painter.drawPolygon(QPolygonF([tip, tip + QPointF(-4.5, 8.0), tip + QPointF(4.5, 8.0)]))

    def _draw_current_text(self, painter: QPainter, sample: WidthSample | None) -> None:
        words = format_length(self.scene.width, self.scene.unit)
        if sample is not None:
            words += f": {closest_words(sample, self.scene.unit)}"
        painter.setFont(self.bold)
        room = QFontMetricsF(self.bold).horizontalAdvance(words) + 2.0
        left = min(max(self.handle.center().x() - room / 2.0, self.plot.left()), self.plot.right() - room)
        painter.setPen(self.names.ink)
        painter.drawText(QPointF(left, self.head + self.metrics.ascent()), words)
        painter.setFont(self.font)


def empty_words(curve: WidthCurve | None, problem: str) -> str:
    """What stands where there is no curve to draw."""
    if problem:
        return problem
    if curve is not None and curve.complete:
        return "At none of these widths is it established how close everything comes."
    return "Searching how close everything comes at each width…"


def nearest_words(sample: WidthSample) -> str:
    """What comes closest, without its side, for left and right mostly do so together; empty = nothing within reach."""
    if sample.nearest is None:
        return ""
    fixed = sample.nearest.fixed
    return fixed.label.removesuffix(f", {fixed.side}")


def closest_words(sample: WidthSample, unit: LengthUnit) -> str:
    """The closest approach of a sample in words."""
    if sample.low >= FAR or sample.nearest is None:
        return f"nothing within {format_clearance(FAR, unit)}"
    return minus(f"closest {format_clearance(sample.low, unit)}, {nearest_words(sample)}")


def clearance_range(curve: WidthCurve | None, wanted: WantedClearance) -> tuple[float, float]:
    """Clearances that the strip shows [mm]: what is wanted, and all of the curve that can be read on one scale."""
    known = [s for s in curve.samples if is_known(s)] if curve is not None else []
    if not known:
        return -1.2 * FAR / 2.0, 0.6 * FAR
    asked = (getattr(wanted, s.nearest.kind) for s in known if s.nearest is not None)
    top = max(LEAST_TOP, 1.15 * max(*(min(s.high, FAR) for s in known), *asked))
    bottom = min(LEAST_BOTTOM, 1.1 * min(s.low for s in known))
    return max(bottom, min(-DEEPEST * top, HEADROOM * max(s.low for s in known))), top


def _stretches(curve: WidthCurve) -> Iterator[tuple[WidthSample, ...]]:
    for known, group in groupby(curve.samples, key=is_known):
        if known:
            yield tuple(group)


def verdict_stretches(curve: WidthCurve) -> Iterator[tuple[float, float, Verdict]]:
    """Widths from, to, and the verdict between; where two samples differ the curve's crossing divides them."""
    for one, two in pairwise(curve.samples):
        if not (is_known(one) and is_known(two)):
            continue
        cuts = sorted({0.0, 1.0, *_crossings(one.low, two.low), *_crossings(one.margin_low, two.margin_low)})
        for start, end in pairwise(cuts):
            middle = sample_at(
                WidthCurve(curve.axle, (one, two), (), complete=True), _mix(one, two, (start + end) / 2.0)
            )
            if middle is not None:
                yield _mix(one, two, start), _mix(one, two, end), sample_verdict(middle)


def _mix(one: WidthSample, two: WidthSample, share: float) -> float:
    return one.width + share * (two.width - one.width)


def _crossings(before: float, after: float) -> tuple[float, ...]:
    return (before / (before - after),) if before * after < 0.0 else ()
