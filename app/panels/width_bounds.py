"""The bounds of the width as lines, each with its words on the side that it allows, stacked so that none meet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.panels.axis import Axis
from app.theme import Colours
from app.units import LengthUnit, format_clearance
from app.wording import pair_words, short_name
from geometry.contact.findings import WidthCurve

if TYPE_CHECKING:
    from geometry.stance.rules import RuleKind, WidthRule

FLAG: Final = 7.0
"""Length of the flag that points from a bound's line to the side that it allows [px]."""

APART: Final = 10.0
"""Between two words in one row [px]."""

LEAST_ROOM: Final = 56.0
"""With less room for its words a bound has none, and is named in the list of rules only [px]."""

END: Final = "end of the range"
"""What bounds a window that no pair bounds."""

DASHES: Final[dict[RuleKind, tuple[float, ...]]] = {
    "contact": (),
    "trail limit": (6.0, 2.5),
    "stability": (6.0, 2.0, 1.0, 2.0),
    "rail pocket": (1.2, 2.0),
    "perch room": (6.0, 2.0, 1.0, 2.0, 1.0, 2.0),
}
"""Dashes and gaps by kind, in pen widths; none = solid."""


@dataclass(frozen=True, slots=True)
class Bound:
    """One edge of the widths that a rule allows: `is_low` = those above it are allowed [mm]."""

    kind: RuleKind
    name: str
    width: float
    is_low: bool

    def words(self, unit: LengthUnit) -> str:
        """Its width, rounded to the side that is allowed, and its name."""
        return f"{format_clearance(self.width, unit, up=self.is_low)}: {self.name}"


@dataclass(frozen=True, slots=True)
class Placed:
    """A bound with its line at `x`, and its words, elided, in a row counted from the plot upward; none = no room."""

    bound: Bound
    x: float
    row: int
    text: str
    left: float
    right: float

    def covers(self, x: float) -> bool:
        """Whether its words stand at `x`."""
        return self.left - 1.0 <= x <= self.right + 1.0 and bool(self.text)


def rule_bounds(rules: Iterable[WidthRule]) -> tuple[Bound, ...]:
    """The known bounds of some rules, by short names."""
    return tuple(
        Bound(rule.kind, short_name(rule), value, is_low)
        for rule in rules
        for bound, is_low in ((rule.low, True), (rule.high, False))
        if bound is not None and (value := bound.value) is not None
    )


def window_bounds(curve: WidthCurve) -> tuple[Bound, ...]:
    """The edges of the windows that clear."""
    return tuple(
        Bound("contact", END if bound.reason is None else pair_words(bound.reason), bound.width, is_low)
        for window in curve.windows
        for bound, is_low in ((window.low, True), (window.high, False))
    )


@lru_cache(maxsize=8)
def placed(bounds: tuple[Bound, ...], across: Axis, font: str, unit: LengthUnit, most_rows: int) -> tuple[Placed, ...]:
    """Where lines and words of the bounds within the axis go: innermost ones next to the plot, outer ones above.

    The `font` is written as Qt writes it. Kept, for no step of a drag changes anything of it.
    """
    written = QFont()
    written.fromString(font)
    metrics = QFontMetricsF(written)
    seen = [bound for bound in bounds if across.low <= bound.width <= across.high]
    lows = sorted((bound for bound in seen if bound.is_low), key=lambda bound: -bound.width)
    highs = sorted((bound for bound in seen if not bound.is_low), key=lambda bound: bound.width)
    rows: list[list[Placed]] = [[] for _ in range(most_rows)]
    order = sorted([*enumerate(lows), *enumerate(highs)], key=lambda each: (each[1].name == END, each[0]))
    return tuple(_place(bound, rows, across, metrics, unit) for _, bound in order)


def _place(bound: Bound, rows: list[list[Placed]], across: Axis, metrics: QFontMetricsF, unit: LengthUnit) -> Placed:
    x, words = across.place(bound.width), bound.words(unit)
    if bound.name == END:
        rows = [row for row in rows if row] or rows[:1]  # it is worth no row of its own
    needed = metrics.horizontalAdvance(words) + 4.0
    rooms = [_room(bound, x, row, across) for row in rows]
    row = next((row for row, room in enumerate(rooms) if room >= needed), None)
    if row is None:
        row = max(range(len(rows)), key=lambda each: rooms[each])
    room = min(rooms[row], needed)
    if room < LEAST_ROOM:
        return Placed(bound, x, 0, "", x, x)
    text = metrics.elidedText(words, Qt.TextElideMode.ElideRight, room - 3.0)
    left, right = (x, x + FLAG + room) if bound.is_low else (x - FLAG - room, x)
    made = Placed(bound, x, row, text, left, right)
    rows[row].append(made)
    return made


def _room(bound: Bound, x: float, row: list[Placed], across: Axis) -> float:
    """Room for words on the allowed side of a bound in a row [px]; negative = its line meets other words there."""
    if any(other.left - APART < x < other.right + APART for other in row):
        return -1.0
    if bound.is_low:
        return min([across.end, *(other.left - APART for other in row if other.left > x)]) - x - FLAG
    return x - FLAG - max([across.start, *(other.right + APART for other in row if other.right < x)])


def bound_pen(kind: RuleKind, names: Colours) -> QPen:
    """The line of a kind of bound: told apart by its dashes as well as by its colour."""
    colour = {
        "contact": names.clear,
        "trail limit": names.trail,
        "stability": names.stability,
        "rail pocket": names.pocket,
        "perch room": names.perch,
    }[kind]
    pen = QPen(colour, 2.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap)
    if DASHES[kind]:
        pen.setDashPattern(DASHES[kind])
    return pen


def draw_bounds(
    painter: QPainter, shown: Iterable[Placed], plot: QRectF, foot: float, line: float, names: Colours
) -> None:
    """Paint lines from their words down to `foot`, broken where words of others stand, and all words."""
    every = tuple(shown)
    for each in every:
        pen = bound_pen(each.bound.kind, names)
        top = plot.top() - line * (each.row + 0.5) if each.text else plot.top() + FLAG
        painter.setPen(pen)
        painter.drawLine(QLineF(each.x, plot.top(), each.x, foot))
        for row in range(each.row + 1 if each.text else 0):
            if not any(other.row == row and other is not each and other.covers(each.x) for other in every):
                low = plot.top() - line * row
                painter.drawLine(QLineF(each.x, max(low - line, top), each.x, low))
        way = 1.0 if each.bound.is_low else -1.0
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(pen.color())
        flag = [QPointF(0.0, -3.5), QPointF(way * (FLAG - 1.0), 0.0), QPointF(0.0, 3.5)]
        painter.drawPolygon(QPolygonF([corner + QPointF(each.x, top) for corner in flag]))
        if each.text:
            start = each.left + FLAG if each.bound.is_low else each.left
            box = QRectF(start, plot.top() - line * (each.row + 1), each.right - each.left - FLAG, line)
            side = Qt.AlignmentFlag.AlignLeft if each.bound.is_low else Qt.AlignmentFlag.AlignRight
            painter.setPen(names.ink)
            painter.drawText(box.adjusted(2.0, 0.0, -1.0, 0.0), side | Qt.AlignmentFlag.AlignVCenter, each.text)
