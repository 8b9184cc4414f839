"""How curves look: pure painting of one moment, from which the widget also reads where things lie."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import takewhile
from typing import Final

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPalette, QPen, QPolygonF

from app.curves.quantity import Against, Curves, Floats, Found, Limit
from app.panels.axis import Axis
from app.panels.plots.scale import Scale, range_of, shown, sign_of, value_words
from app.theme import Colours, colours
from app.typeset import typeset
from app.units import LengthUnit, format_length

PAD: Final = 4.0
DOT: Final = 4.0
"""Half a dot at the current pose [px]."""

NAMES_SHARE: Final = 0.36
"""Part of the width that names at line ends take at most [-]."""

LEAST_PLOT: Final = 60.0
"""Width and height that the plot keeps [px]."""

DASHES: Final = (
    Qt.PenStyle.SolidLine,
    Qt.PenStyle.DashLine,
    Qt.PenStyle.DotLine,
    Qt.PenStyle.DashDotLine,
    Qt.PenStyle.DashDotDotLine,
)

OVER: Final[dict[Against, tuple[str, str]]] = {
    "straight": ("travel of both wheels", "both wheels"),
    "crossed": ("travel of the left wheel, crossed", "left wheel"),
    "steer": ("steer, left positive", "steer"),
}
"""Title of the way, and what its value is called."""


@dataclass(frozen=True, slots=True)
class PlotScene:
    """What is to be drawn.

    Attributes
    ----------
    curves : Curves
    lines : tuple of Found
        Those that are shown, all of one unit.
    unit : LengthUnit
    at : float
        Place of the current pose on the way [mm] or [rad].
    on_way : bool
        The pose is on the way; else it is told beside it.
    values : tuple of float
        Of the lines in the current pose.
    hover : float or None
        Place under the pointer.
    focused, faded : bool
        Faded = about the rig as it was.

    """

    curves: Curves
    lines: tuple[Found, ...]
    unit: LengthUnit
    at: float
    on_way: bool
    values: tuple[float, ...]
    hover: float | None
    focused: bool
    faded: bool


class PlotPicture:
    """Curves laid out for one rectangle.

    Attributes
    ----------
    plot : QRectF
    across, up : Scale

    """

    def __init__(self, scene: PlotScene, area: QRectF, font: QFont, palette: QPalette) -> None:
        self.scene = scene
        self.names: Colours = colours(palette)
        self.font = font
        self.metrics = QFontMetricsF(font)
        line = self.line = self.metrics.height() + 1.0
        quantity = scene.lines[0].quantity
        self._values = [shown(each.values, quantity.unit) for each in scene.lines]
        self.limits = joined_limits(scene.lines)
        bounds = [float(shown(np.array([limit.value]), quantity.unit)[0]) for limit in self.limits]
        low, high = range_of(self._values, bounds, quantity.unit)
        self._reading = line * (1.0 if len(scene.lines) == 1 else 2.0)
        top, bottom = area.top() + 2.0 * self._reading + PAD, area.bottom() - 2.0 * line - PAD
        up = Scale(Axis(low, high, max(bottom, top + LEAST_PLOT), top), quantity.unit, scene.unit)
        self._up_ticks = up.ticks(1.6 * line)
        widest = max((self.metrics.horizontalAdvance(words) for _, words in self._up_ticks), default=0.0)
        left = area.left() + line + widest + 3.0 * PAD
        longest = max(self.metrics.horizontalAdvance(each.quantity.line) for each in scene.lines) + 3.0 * PAD
        right = max(area.right() - min(longest, NAMES_SHARE * area.width()), left + LEAST_PLOT)
        self.names_room = area.right() - right - 2.0 * PAD
        at = shown(scene.curves.at, "rad" if scene.curves.against == "steer" else "mm")
        self.across = Scale(
            Axis(float(at[0]), max(float(at[-1]), float(at[0]) + 1e-6), left, right),
            "rad" if scene.curves.against == "steer" else "mm",
            scene.unit,
        )
        self.up = up
        self.plot = QRectF(QPointF(left, up.axis.end), QPointF(right, up.axis.start))
        self.area = area

    # Painting

    def draw_ground(self, painter: QPainter) -> None:
        """Paint all that stays while the pose moves."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self.font)
        painter.fillRect(self.plot, self.names.sheet)
        self._draw_out_of_reach(painter)
        self._draw_scales(painter)
        painter.save()
        painter.setClipRect(self.plot.adjusted(-1.0, -1.0, 1.0, 1.0))
        painter.setOpacity(0.4 if self.scene.faded else 1.0)
        for index, values in enumerate(self._values):
            painter.setPen(self.pen(index))
            for stretch in self._stretches(values):
                painter.drawPolyline(stretch)
        painter.restore()
        self._draw_limits(painter)
        self._draw_names(painter)
        self._draw_title(painter)

    def draw_current(self, painter: QPainter) -> None:
        """Paint the pose, what the curves say there, and what the pointer reads."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(self.font)
        self._draw_hover(painter)
        names, scene = self.names, self.scene
        x = self.across.place(scene.at)
        style = Qt.PenStyle.SolidLine if scene.on_way else Qt.PenStyle.DashLine
        painter.setPen(QPen(names.accent, 2.0, style))
        painter.drawLine(QLineF(x, self.plot.top() - PAD, x, self.plot.bottom() + PAD))
        self._draw_dots(painter, x)
        if scene.focused:
            painter.setPen(QPen(names.accent, 2.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.plot.adjusted(-2.0, -2.0, 2.0, 2.0))
        painter.setPen(names.ink)
        self._write_reading(painter, self.area.top(), reading_words(scene, scene.at, scene.values))

    def pen(self, index: int) -> QPen:
        """The pen of a line: colours come again with another dash."""
        names = self.names
        inks = (names.accent, names.pocket, names.stability, names.trail, names.ink)
        pen = QPen(inks[index % len(inks)], 2.2, DASHES[(index % len(inks) + index // len(inks)) % len(DASHES)])
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        return pen

    def reading_rows(self, words: str) -> tuple[str, ...]:
        """What the lines say, in the rows there are for it: one for a single line, two for several."""
        room = self.area.width() - 2.0 * PAD
        if self._reading <= self.line or self.metrics.horizontalAdvance(words) <= room:
            rows: tuple[str, ...] = (words,)
        else:
            parts = words.split(" ")
            heads = [" ".join(parts[:count]) for count in range(1, len(parts) + 1)]
            head = max(
                (each for each in heads if self.metrics.horizontalAdvance(each) <= room), key=len, default=heads[0]
            )
            rows = (head, words[len(head) + 1 :])
        return tuple(self.metrics.elidedText(row, Qt.TextElideMode.ElideRight, room) for row in rows)

    def _write_reading(self, painter: QPainter, top: float, words: str) -> None:
        for index, row in enumerate(self.reading_rows(words)):
            box = QRectF(self.area.left() + PAD, top + index * self.line, self.area.width() - 2.0 * PAD, self.line)
            painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, row)

    def _write(self, painter: QPainter, box: QRectF, words: str) -> None:
        fitting = self.metrics.elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, fitting)

    def _stretches(self, values: Floats) -> Iterator[QPolygonF]:
        at = shown(self.scene.curves.at, self.across.unit)
        known = np.isfinite(values)
        edges = np.flatnonzero(np.diff(known.astype(np.int8), prepend=0, append=0))
        for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            across, up = self.across.axis, self.up.axis
            yield QPolygonF([QPointF(across.place(at[k]), up.place(values[k])) for k in range(first, last)])

    def _draw_out_of_reach(self, painter: QPainter) -> None:
        """Hatch the way where the axle cannot go."""
        at = self.scene.curves.at
        out = ~self.scene.curves.reached
        edges = np.flatnonzero(np.diff(out.astype(np.int8), prepend=0, append=0))
        for first, last in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            left = self.across.place(float(at[max(first - 1, 0)]))
            right = self.across.place(float(at[min(last, len(at) - 1)]))
            band = QRectF(left, self.plot.top(), right - left, self.plot.height())
            painter.fillRect(band, self.names.ground)
            painter.fillRect(band, QBrush(self.names.line, Qt.BrushStyle.BDiagPattern))

    def _draw_scales(self, painter: QPainter) -> None:
        height = self.metrics.height()
        room = 2.0 * self.metrics.horizontalAdvance("−00")
        for x, words in self.across.ticks(room):
            painter.setPen(QPen(self.names.grid, 1.0))
            painter.drawLine(QLineF(x, self.plot.top(), x, self.plot.bottom()))
            painter.setPen(self.names.quiet)
            box = QRectF(x - 40.0, self.plot.bottom() + PAD, 80.0, height)
            painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, words)
        for y, words in self._up_ticks:
            painter.setPen(QPen(self.names.grid, 1.0))
            painter.drawLine(QLineF(self.plot.left(), y, self.plot.right(), y))
            painter.setPen(self.names.quiet)
            box = QRectF(self.plot.left() - 80.0 - PAD, y - height / 2.0, 80.0, height)
            painter.drawText(box, Qt.AlignmentFlag.AlignRight, words)
        low, high = self.up.axis.low, self.up.axis.high
        if low < 0.0 < high:
            painter.setPen(QPen(self.names.line, 1.4))
            painter.drawLine(
                QLineF(self.plot.left(), self.up.axis.place(0.0), self.plot.right(), self.up.axis.place(0.0))
            )
        painter.setPen(QPen(self.names.line, 1.0))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(self.plot)

    def _draw_title(self, painter: QPainter) -> None:
        scene, height = self.scene, self.metrics.height()
        painter.setPen(self.names.ink)
        sign = sign_of(self.across.unit, scene.unit)
        below = QRectF(self.area.left(), self.plot.bottom() + PAD + height, self.area.width(), height + 1.0)
        painter.drawText(below, Qt.AlignmentFlag.AlignHCenter, f"{OVER[scene.curves.against][0]}, {sign}")
        painter.save()
        painter.translate(self.area.left(), self.plot.bottom())
        painter.rotate(-90.0)
        room = self.plot.height() + self.line
        words = self.metrics.elidedText(title_of(scene.lines, scene.unit), Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(0.0, 0.0, room, height), Qt.AlignmentFlag.AlignLeft, words)
        painter.restore()

    def _draw_limits(self, painter: QPainter) -> None:
        taken: list[QRectF] = []
        for limit in self.limits:
            y = self.up.place(limit.value)
            inside = self.plot.top() <= y <= self.plot.bottom()
            words = limit.words
            if inside:
                painter.setPen(QPen(self.names.problem, 1.6, Qt.PenStyle.DashLine))
                painter.drawLine(QLineF(self.plot.left(), y, self.plot.right(), y))
            else:
                value = value_words(limit.value, self.up.unit, self.scene.unit)
                words = f"{'↑' if y < self.plot.top() else '↓'} {words}: {value}"
            words = self.metrics.elidedText(words, Qt.TextElideMode.ElideRight, self.plot.width() - 4.0 * PAD)
            width = self.metrics.horizontalAdvance(words) + 2.0 * PAD
            above = y - self.metrics.height() - 1.0
            top = above if above >= self.plot.top() else y + 1.0
            top = min(max(top, self.plot.top() + 1.0), self.plot.bottom() - self.metrics.height() - 1.0)
            box = QRectF(self.plot.left() + PAD, top, width, self.metrics.height())
            while any(box.intersects(other) for other in taken) and box.right() + width < self.plot.right():
                box.translate(width, 0.0)
            if any(box.intersects(other) for other in taken):
                continue
            taken.append(box)
            painter.fillRect(box, self.names.sheet)
            painter.setPen(self.names.problem)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)

    def _draw_names(self, painter: QPainter) -> None:
        """Each line's name beside its end, moved apart where they would meet."""
        ends = [(self._end(values), index) for index, values in enumerate(self._values)]
        known = sorted((y, index) for y, index in ends if y is not None)
        height = self.metrics.height()
        tops = spaced([y - height / 2.0 for y, _ in known], height, self.plot.top(), self.plot.bottom() + height)
        for top, (y, index) in zip(tops, known, strict=True):
            painter.setPen(QPen(self.pen(index).color(), 1.0))
            left = self.plot.right() + 2.0 * PAD
            painter.drawLine(QLineF(self.plot.right() + 1.0, y, left - 1.0, top + height / 2.0))
            painter.setPen(self.pen(index).color())
            self._write(painter, QRectF(left, top, self.names_room, height), self.scene.lines[index].quantity.line)

    def _end(self, values: Floats) -> float | None:
        known = np.flatnonzero(np.isfinite(values))
        return self.up.axis.place(float(values[known[-1]])) if len(known) else None

    def _draw_dots(self, painter: QPainter, x: float) -> None:
        marks = [(self.up.place(value), index) for index, value in enumerate(self.scene.values) if np.isfinite(value)]
        marks = sorted(mark for mark in marks if self.plot.top() - DOT <= mark[0] <= self.plot.bottom() + DOT)
        marks = list({round(y): (y, index) for y, index in marks}.values())  # what lies on top of each other is one
        height = self.metrics.height()
        tops = spaced([y - height - 2.0 for y, _ in marks], height, self.plot.top() + 1.0, self.plot.bottom() - 1.0)
        for top, (y, index) in zip(tops, marks, strict=True):
            painter.setPen(QPen(self.pen(index).color(), 2.0))
            painter.setBrush(self.names.sheet)
            painter.drawEllipse(QPointF(x, y), DOT, DOT)
            words = value_words(self.scene.values[index], self.up.unit, self.scene.unit)
            width = self.metrics.horizontalAdvance(words) + PAD
            left = x + 2.0 * PAD if x + 2.0 * PAD + width <= self.plot.right() else x - 2.0 * PAD - width
            box = QRectF(left, top, width, height)
            ground = QColor(self.names.sheet)
            ground.setAlpha(220)
            painter.fillRect(box, ground)
            painter.setPen(self.names.ink)
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)

    def _draw_hover(self, painter: QPainter) -> None:
        scene = self.scene
        if scene.hover is None:
            return
        x = self.across.place(scene.hover)
        painter.setPen(QPen(self.names.quiet, 1.0))
        painter.drawLine(QLineF(x, self.plot.top(), x, self.plot.bottom()))
        values = [read_at(scene.curves, each.values, scene.hover) for each in scene.lines]
        for index, value in enumerate(values):
            y = self.up.place(value) if np.isfinite(value) else np.nan
            if self.plot.top() <= y <= self.plot.bottom():
                painter.setPen(Qt.PenStyle.NoPen)
                painter.setBrush(self.pen(index).color())
                painter.drawEllipse(QPointF(x, y), DOT - 1.0, DOT - 1.0)
        painter.setPen(self.names.quiet)
        below = self.area.top() + self._reading
        self._write_reading(painter, below, f"pointer: {reading_words(scene, scene.hover, values)}")


def read_at(found: Curves, values: Floats, at: float) -> float:
    """Value of a curve between its places; NaN where it is not known on both sides."""
    place = int(np.clip(np.searchsorted(found.at, at), 1, max(len(found.at) - 1, 1)))
    if len(found.at) < 2:
        return float(values[0])
    low, high = found.at[place - 1], found.at[place]
    share = min(max((at - low) / (high - low), 0.0), 1.0)
    if share in {0.0, 1.0}:
        return float(values[place - 1 if share == 0.0 else place])
    return float(values[place - 1] + share * (values[place] - values[place - 1]))


def place_words(against: Against, at: float, unit: LengthUnit) -> str:
    """A place on a way in words: “both wheels 1 1/4 in”, “steer 12°”."""
    words = value_words(at, "rad", unit) if against == "steer" else typeset(format_length(at, unit))
    return f"{OVER[against][1]} {words}"


def reading_words(scene: PlotScene, at: float, values: Iterable[float]) -> str:
    """What the lines say at a place, or in the pose beside the way."""
    where = place_words(scene.curves.against, at, scene.unit) if scene.on_way or at != scene.at else "this pose"
    told = (
        f"{each.quantity.line} {value_words(value, each.quantity.unit, scene.unit)}"
        for each, value in zip(scene.lines, values, strict=True)
    )
    return f"{where}: {', '.join(told)}"


def title_of(lines: tuple[Found, ...], unit: LengthUnit) -> str:
    """Title of the axis: the quantity, or the group of several, and the unit."""
    first = lines[0].quantity
    groups = dict.fromkeys(each.quantity.group for each in lines)
    words = first.label if len(lines) == 1 else " and ".join(groups)
    sign = sign_of(first.unit, unit)
    return f"{words}, {sign}" if sign else words


def joined_limits(lines: tuple[Found, ...]) -> tuple[Limit, ...]:
    """Limits of all lines; those at one value become one, by what their words have in common."""
    by_value: dict[float, list[str]] = {}
    for each in lines:
        for limit in each.limits:
            by_value.setdefault(round(limit.value, 6), []).append(limit.words)
    return tuple(Limit(value, _common(list(dict.fromkeys(words)))) for value, words in by_value.items())


def _common(words: list[str]) -> str:
    """The first or last words that all have, or else all of them."""
    split = [each.split(" ") for each in words]
    ahead = _same(split)
    behind = _same([each[::-1] for each in split])[::-1]
    return " ".join(ahead if len(ahead) >= len(behind) else behind) or ", ".join(words)


def _same(lists: list[list[str]]) -> list[str]:
    """How all lists begin."""
    columns = takewhile(lambda column: len(set(column)) == 1, zip(*lists, strict=False))
    return [column[0] for column in columns]


def spaced(tops: list[float], height: float, low: float, high: float) -> list[float]:
    """Rising places moved apart by a height, and kept between two ends as far as there is room."""
    placed: list[float] = []
    for top in tops:
        placed.append(max(top, placed[-1] + height if placed else low))
    over = placed[-1] + height - high if placed else 0.0
    if over > 0.0:
        placed[-1] -= over
        for index in range(len(placed) - 2, -1, -1):
            placed[index] = min(placed[index], placed[index + 1] - height)
    return placed
