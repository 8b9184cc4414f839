"""The dimensioned drawing of an axle for its cut sheet, seen from behind, not to scale. Lengths on paper in points.

Lines follow ISO 128: continuous wide for visible outlines, continuous narrow for dimensions, dashed narrow for tube
inside a casting, long-dash dotted narrow for centrelines; wide to narrow as 2 to 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import count
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.report.cut_sheet_records import PerchRow, SideRow
from app.report.cut_sheet_words import Told, Wording, side_words
from app.report.sheet import SMALL, face
from app.typeset import typeset

POINT: Final = 25.4 / 72.0
"""A point [mm]."""

WIDE: Final = 0.5 / POINT
NARROW: Final = 0.25 / POINT
"""Line widths of ISO 128, the wide one twice the narrow one."""

CENTRE_LINE: Final = [24.0, 3.0, 0.5, 3.0]
HIDDEN: Final = [12.0, 3.0]
"""Dashes and gaps of ISO 128 in widths of the line."""

CUT_LETTERS: Final = 3.5
"""Height of the letters of what is cut by [mm]: legible at arm's length."""
LETTERS: Final = 2.5
"""Height of the letters of other dimensions [mm]."""

INK: Final = QColor("#000000")
PAPER: Final = QColor("#FFFFFF")
BODY: Final = QColor("#ECECEC")

FACE, INNER, END, OUTER, MOUNT = 0.27, 0.13, 0.69, 0.85, 1.0
"""Where along a half things stand that have no scale: face of the centre section, inner end of the tube in it, face of
the end, outer end of the tube in it, wheel mounting face."""

ARROW: Final = 6.5
TUBE: Final = 11.0
"""Half the height of the tube."""
BALL: Final = 29.0
PERCH: Final = 11.0
GAP: Final = 2.0


@dataclass(frozen=True, slots=True)
class Levels:
    """Heights of the drawing's lines below its top."""

    width: float = 20.0
    halves: float = 37.0
    chain: float = 62.0
    axle: float = 112.0
    insertion: float = 148.0
    tube: float = 179.0
    cut: float = 197.0

    @property
    def height(self) -> float:
        """Of the whole drawing."""
        return self.cut + 8.0


LEVELS: Final = Levels()


@lru_cache(maxsize=16)
def lettering(mm: float, *, bold: bool = False) -> QFont:
    """The report's font with capitals and digits at least that high [mm]."""
    wanted = mm / POINT
    return next(font for size in count(1) if QFontMetricsF(font := face(size, bold=bold)).capHeight() >= wanted)


class AxleDrawing:
    """Paints one axle; `painter` counts in points."""

    def __init__(self, painter: QPainter, area: QRectF, words: Wording) -> None:
        self.painter = painter
        self.area = area
        self.words = words
        self.sheet = words.sheet
        self.reach = area.width() / 2.0 - 12.0

    def paint(self) -> None:
        """Everything, centrelines last so that outlines do not cover them."""
        self.painter.save()
        self._heading()
        self._centre_section()
        for side in self.sheet.sides:
            self._tube(side)
            self._end(side)
        self._centre_lines()
        for perch in self.sheet.perches:
            self._perch(perch)
        self._finished()
        for side in self.sheet.sides:
            self._as_cut(side)
        self.painter.restore()

    # Places

    def _x(self, side: str, share: float) -> float:
        sense = -1.0 if side == "left" else 1.0
        return self.area.center().x() + sense * share * self.reach

    def _y(self, level: float) -> float:
        return self.area.top() + level

    def _share(self, side: SideRow, from_pinion: float) -> float | None:
        """Where along a half a distance from the pinion stands; None = the parts that it stands between are unknown."""
        centre, showing = side.centre_half.mm, side.showing.mm
        if not centre or not showing:
            return None
        if from_pinion <= centre:
            return FACE * from_pinion / centre
        return FACE + (END - FACE) * min((from_pinion - centre) / showing, 1.0)

    def _inner(self, side: SideRow) -> float:
        return FACE if side.insertion_centre.mm == 0.0 else INNER

    def _outer(self, side: SideRow) -> float:
        return END if side.insertion_end.mm == 0.0 else OUTER

    # The axle

    def _pen(self, width: float, dashes: list[float] | None = None) -> None:
        pen = QPen(INK, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin)
        if dashes is not None:
            pen.setDashPattern(dashes)
        self.painter.setPen(pen)
        self.painter.setBrush(Qt.BrushStyle.NoBrush)

    def _solid(self, points: list[tuple[float, float]]) -> None:
        """An outlined part."""
        self._pen(WIDE)
        self.painter.setBrush(BODY)
        self.painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in points]))

    def _centre_section(self) -> None:
        y, left, right = self._y(LEVELS.axle), self._x("left", FACE), self._x("right", FACE)
        middle, snout = self.area.center().x(), TUBE + 5.0
        body = [(left, y - snout), (middle - BALL, y - BALL + 6.0), (middle - BALL + 8.0, y - BALL)]
        upper = [*body, *((2.0 * middle - x, at) for x, at in reversed(body[1:])), (right, y - snout)]
        self._solid([*upper, *((x, 2.0 * y - at) for x, at in reversed(upper))])
        self.painter.drawEllipse(QPointF(middle, y), 12.0, 12.0)

    def _tube(self, side: SideRow) -> None:
        y = self._y(LEVELS.axle)
        casting, end = self._x(side.side, FACE), self._x(side.side, END)
        self._pen(WIDE)
        self.painter.setBrush(PAPER)
        self.painter.drawRect(QRectF(min(casting, end), y - TUBE, abs(end - casting), 2.0 * TUBE))
        self._welds(casting, y, -1.0 if side.side == "left" else 1.0)
        self._welds(end, y, 1.0 if side.side == "left" else -1.0)

    def _welds(self, x: float, y: float, outward: float) -> None:
        """Fillets round the tube."""
        self._pen(NARROW)
        self.painter.setBrush(INK)
        for up in (-1.0, 1.0):
            at = y + up * TUBE
            corners = [QPointF(x, at), QPointF(x + outward * 4.0, at), QPointF(x, at + up * 4.0)]
            self.painter.drawPolygon(QPolygonF(corners))

    def _end(self, side: SideRow) -> None:
        y = self._y(LEVELS.axle)
        casting, mount = self._x(side.side, END), self._x(side.side, MOUNT)
        sense = 1.0 if mount > casting else -1.0
        neck = mount - sense * 14.0
        upper = [(casting, y - 16.0), (neck, y - 19.0), (neck, y - 26.0), (mount, y - 26.0)]
        self._solid([*upper, *((x, 2.0 * y - at) for x, at in reversed(upper))])
        self._pen(NARROW, HIDDEN)
        for at, edge in ((self._x(side.side, FACE), self._inner(side)), (casting, self._outer(side))):
            inside = self._x(side.side, edge)
            if inside != at:
                self.painter.drawRect(QRectF(min(at, inside), y - TUBE, abs(at - inside), 2.0 * TUBE))
        self._label(QPointF((casting + neck) / 2.0, y - 24.0), side.end)
        if side.end == "knuckle":
            self._pen(NARROW, CENTRE_LINE)
            pivot = mount - sense * 26.0
            self.painter.drawLine(QPointF(pivot - sense * 3.6, y - 20.0), QPointF(pivot + sense * 5.4, y + 30.0))

    def _centre_lines(self) -> None:
        y, middle = self._y(LEVELS.axle), self.area.center().x()
        self._pen(NARROW, CENTRE_LINE)
        self.painter.drawLine(QPointF(self.area.left() + 2.0, y), QPointF(self.area.right() - 2.0, y))
        self.painter.drawLine(QPointF(middle, self._y(LEVELS.halves - 5.0)), QPointF(middle, self._y(LEVELS.cut + 5.0)))
        offset = self.sheet.pinion_offset_mm
        side = self.sheet.right if offset > 0.0 else self.sheet.left
        share = self._share(side, abs(offset)) if offset else None
        if share is not None:
            x = self._x(side.side, share)
            self.painter.drawLine(QPointF(x, y - 27.0), QPointF(x, y + 27.0))
            self._label(QPointF(x, y - 30.5), "vehicle's centre")

    def _perch(self, perch: PerchRow) -> None:
        side = self.sheet.left if perch.side == "left" else self.sheet.right
        share = None if perch.from_pinion.mm is None else self._share(side, perch.from_pinion.mm)
        if share is None:
            return
        x, y = self._x(perch.side, share), self._y(LEVELS.axle) - TUBE
        box = QRectF(x - PERCH / 2.0, y - PERCH - 2.0, PERCH, PERCH + 2.0)
        self._pen(WIDE)
        self.painter.setBrush(PAPER)
        self.painter.drawRect(box)
        self.painter.setFont(face(SMALL, bold=True))
        self.painter.drawText(box, Qt.AlignmentFlag.AlignCenter, self.words.perch_letters()[perch.perch])

    # Dimensions

    def _heading(self) -> None:
        top, sheet = QRectF(self.area.left(), self.area.top(), self.area.width(), 12.0), self.sheet
        font = face(13, bold=True)
        self.painter.setPen(INK)
        self.painter.setFont(font)
        for side, flag in zip(sheet.sides, (Qt.AlignmentFlag.AlignLeft, Qt.AlignmentFlag.AlignRight), strict=True):
            self.painter.drawText(top, flag | Qt.AlignmentFlag.AlignTop, side_words(side))
        offset = sheet.pinion_offset_mm
        place = f"{self.words.told(abs(offset)).first} {'left' if offset > 0.0 else 'right'} of" if offset else "on"
        self._label(
            QPointF(self.area.center().x(), self.area.top() + 6.0),
            f"Seen from behind, not to scale: finished above, as cut below. Pinion {place} centre.",
        )

    def _finished(self) -> None:
        """Above the axle: what it measures when it is welded."""
        mount = self._y(LEVELS.axle - 26.0)
        ends = (self._x("left", MOUNT), self._x("right", MOUNT))
        self._inline(ends, LEVELS.width, self.words.told(self.sheet.width_mm), mount)
        middle = self.area.center().x()
        for side in self.sheet.sides:
            casting, end, mount_x = (self._x(side.side, share) for share in (FACE, END, MOUNT))
            self._inline((middle, mount_x), LEVELS.halves, self.words.told(side.half.mm), mount)
            tops = (self._y(LEVELS.axle - BALL), *(self._y(LEVELS.axle - high) for high in (17.0, 17.0, 26.0)))
            places = (middle, casting, end, mount_x)
            for number, value in enumerate((side.centre_half, side.showing, side.end_addition)):
                span, below = places[number : number + 2], tops[number : number + 2]
                self._dimension(span, LEVELS.chain, self.words.told(value.mm), below)

    def _as_cut(self, side: SideRow) -> None:
        """Below the axle: what is cut and marked before the welds pull."""
        words, tube = self.words, self._y(LEVELS.axle + TUBE)
        inner, casting, end, outer = (
            self._x(side.side, share) for share in (self._inner(side), FACE, END, self._outer(side))
        )
        names = {LEVELS.tube: "tube", LEVELS.cut: "cut"} if self.sheet.datum != "tube-end" else {LEVELS.tube: "cut"}
        # the larger dimensions first, so that the words of the smaller ones stand over the lines that they come from
        if self.sheet.datum != "tube-end":
            start = self.area.center().x() if self.sheet.datum == "pinion" else casting
            self._inline((start, outer), LEVELS.cut, words.told(side.cut.rounded.mm), tube, origin=True)
        self._inline((inner, outer), LEVELS.tube, words.told(side.tube_cut.mm), tube)
        for span, value in (((inner, casting), side.insertion_centre), ((end, outer), side.insertion_end)):
            if value.mm != 0.0:
                self._dimension(span, LEVELS.insertion, words.told(value.mm), (tube, tube), below=True)
        for level, name in names.items():
            self._text(
                QPointF((outer + self._x(side.side, MOUNT)) / 2.0, self._y(level) + 4.0), name, face(11, bold=True)
            )

    def _inline(self, span: tuple[float, float], level: float, told: Told, tip: float, *, origin: bool = False) -> None:
        """A dimension whose words interrupt its line, what is cut by in large letters."""
        y = self._y(level)
        self._extensions(span, y, (tip, tip))
        self._line(span, y, origin=origin)
        large, small = lettering(CUT_LETTERS, bold=True), lettering(LETTERS)
        words = [(told.first, large)]
        if told.second != told.first:
            words.append((f"({told.second})", small))
        widths = [QFontMetricsF(font).horizontalAdvance(typeset(text)) for text, font in words]
        if sum(widths) + 4.0 > abs(span[1] - span[0]) - 3.0 * ARROW:
            words, widths = words[:1], widths[:1]  # the table of marks has both
        high = QFontMetricsF(large).capHeight()
        x = (span[0] + span[1] - sum(widths) - 4.0 * (len(words) - 1)) / 2.0
        self.painter.fillRect(QRectF(x - 1.0, y - 1.0, span[0] + span[1] - 2.0 * x + 2.0, 2.0), PAPER)
        for (text, font), width in zip(words, widths, strict=True):
            self._text(QPointF(x + width / 2.0, y + high / 2.0), text, font)
            x += width + 4.0

    def _dimension(
        self, span: tuple[float, ...], level: float, told: Told, tips: tuple[float, ...], *, below: bool = False
    ) -> None:
        """A dimension with the one system above its line and the other below; `below` has both below it."""
        y, font = self._y(level), lettering(LETTERS)
        high = QFontMetricsF(font).capHeight()
        self._extensions(span, y, tips)
        self._line(span, y)
        middle = (span[0] + span[1]) / 2.0
        lines = [told.first] if told.first == told.second else [told.first, told.second]
        first = y + high + GAP + 2.0 if below else y - GAP - 1.0
        step = high + GAP + 1.5 if below else high + 2.0 * GAP + 2.0
        for number, line in enumerate(lines):
            self._text(QPointF(middle, first + number * step), line, font)

    def _extensions(self, span: tuple[float, ...], y: float, tips: tuple[float, ...]) -> None:
        self._pen(NARROW)
        for x, tip in zip(span, tips, strict=True):
            away = 2.0 if y > tip else -2.0
            self.painter.drawLine(QPointF(x, tip + away), QPointF(x, y + away))

    def _line(self, span: tuple[float, ...], y: float, *, origin: bool = False) -> None:
        """A dimension line, its arrows inside where there is room; a circle stands at the tape's zero."""
        self._pen(NARROW)
        start, end = span[0], span[1]
        inside = abs(end - start) > 4.0 * ARROW
        sense = (1.0 if end > start else -1.0) * (1.0 if inside else -1.0)
        over = 0.0 if inside else 1.5 * ARROW * (1.0 if end > start else -1.0)
        self.painter.drawLine(QPointF(start - over, y), QPointF(end + over, y))
        if origin:
            self.painter.setBrush(PAPER)
            self.painter.drawEllipse(QPointF(start, y), 2.4, 2.4)
        for x, way in ((start, sense), (end, -sense)):
            if x == start and origin:
                continue
            self.painter.setBrush(INK)
            tip = [QPointF(x, y), QPointF(x + way * ARROW, y - 1.3), QPointF(x + way * ARROW, y + 1.3)]
            self.painter.drawPolygon(QPolygonF(tip))

    def _label(self, middle: QPointF, text: str) -> None:
        font = face(SMALL)
        high = QFontMetricsF(font).capHeight()
        self._text(middle + QPointF(0.0, high / 2.0), text, font)

    def _text(self, base: QPointF, text: str, font: QFont) -> None:
        """Words over the middle of their base line, on white, so that lines do not cross them."""
        words, metrics = typeset(text), QFontMetricsF(font)
        width, high = metrics.horizontalAdvance(words), metrics.capHeight()
        self.painter.fillRect(
            QRectF(base.x() - width / 2.0 - 1.0, base.y() - high - 1.0, width + 2.0, high + 2.0), PAPER
        )
        self.painter.setPen(INK)
        self.painter.setFont(font)
        self.painter.drawText(QPointF(base.x() - width / 2.0, base.y()), words)
