"""Paper: pages with a head and a foot, filled from above with words, tables and pictures. Lengths in points."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from PySide6.QtCore import QBuffer, QHashSeed, QIODevice, QMarginsF, QPointF, QRectF, Qt, QUuid
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPageSize, QPainter, QPdfWriter, QPen

from app.theme import LIGHT
from app.typeset import typeset

DPI: Final = 1440
"""Device dots per inch: 20 a point, so that thin lines and letters sit where they are meant."""
POINTS: Final = 72
"""Points in an inch."""
MARGIN: Final = 46.0
"""Free edge of the paper: wide enough for a binder's holes and for any printer."""
HEAD: Final = 20.0
"""Room for the head and for the foot inside the margins."""
GAP: Final = 6.0
"""Space between things."""

HAND: Final = 19.0
"""Least height of a row that is written in by hand [points]: a quarter of an inch."""

TEXT: Final = 9
SMALL: Final = 8
"""Letter heights in pixels of a point each."""

WRAP: Final = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
LETTER: Final = QPageSize(QPageSize.PageSizeId.Letter)
A4: Final = QPageSize(QPageSize.PageSizeId.A4)


@dataclass(frozen=True, slots=True)
class Letterhead:
    """What stands on every page: head left and right, foot left; the page number is set by the sheet.

    Attributes
    ----------
    when : datetime
        The date of the paper, which the file gives for its own as well.

    """

    head: str
    kind: str
    foot: str
    when: datetime


@dataclass(frozen=True, slots=True)
class Column:
    """A table's column: its title and its share of the table's width."""

    title: str
    share: float


def dated(pdf: bytes, when: datetime) -> bytes:
    """A PDF with its own dates put to `when`, so that the same paper is the same file; Qt writes the time of day.

    The table of places at its end follows where dates become shorter: Qt adds the time zone where it is not UTC
    (PDF 32000-1, 7.5.4 and 7.9.4).
    """
    utc = when.astimezone(UTC)
    iso = rf'\g<1>{utc:%Y-%m-%dT%H:%M:%S}+00:00"'.encode()
    pdf = re.sub(rb'(xmp:\w+Date=")\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d"', iso, pdf)
    found = list(re.finditer(rb"(?<=Date \(D:)[^)]*(?=\))", pdf))
    date = f"{utc:%Y%m%d%H%M%S}Z".encode()
    kept = [0, *(edge for each in found for edge in each.span()), len(pdf)]
    whole = date.join(pdf[start:end] for start, end in zip(kept[::2], kept[1::2], strict=True))
    shorter = [(each.end(), each.end() - each.start() - len(date)) for each in found]

    def moved(place: int) -> int:
        return place - sum(by for end, by in shorter if end <= place)

    body, table, rest = whole.rpartition(b"\nxref\n")
    rest = re.sub(rb"^\d{10}(?= \d{5} n)", lambda each: b"%010d" % moved(int(each[0])), rest, flags=re.MULTILINE)
    return body + table + re.sub(rb"(?<=startxref\n)\d+", lambda each: b"%d" % moved(int(each[0])), rest)


class Sheet:
    """Pages being filled.

    Attributes
    ----------
    painter : QPainter
        Its coordinates are points from the upper left corner of the paper.
    body : QRectF
        What may be filled on a page.
    y : float
        Where the next thing goes.
    page : int
        Number of the page being filled.

    """

    def __init__(self, paper: QPageSize, letterhead: Letterhead, pages: int, uid: QUuid) -> None:
        QHashSeed.setDeterministicGlobalSeed()  # the order of embedded fonts goes by it
        self._file = QBuffer()
        self._file.open(QIODevice.OpenModeFlag.WriteOnly)
        self._writer = QPdfWriter(self._file)
        self._writer.setResolution(DPI)
        self._writer.setPageSize(paper)
        self._writer.setPageMargins(QMarginsF())
        self._writer.setTitle(f"{letterhead.kind}: {letterhead.head}")
        self._writer.setCreator("Wheelroom")
        self._writer.setDocumentId(uid)
        self._letterhead = letterhead
        self._pages = pages
        size = paper.sizePoints()
        self.paper = QRectF(0.0, 0.0, size.width(), size.height())
        self.body = self.paper.adjusted(MARGIN, MARGIN + HEAD, -MARGIN, -MARGIN - HEAD)
        self.page = 1
        self.y = self.body.top()
        self.painter = QPainter(self._writer)
        self.painter.scale(DPI / POINTS, DPI / POINTS)
        self._dress()

    def end(self) -> bytes:
        """Finish the last page; returns the PDF. Nothing can be added afterwards."""
        self.painter.end()
        del self.painter, self._writer  # the writer must go before the buffer it writes to
        QHashSeed.resetRandomGlobalSeed()
        return dated(bytes(self._file.data().data()), self._letterhead.when)

    def new_page(self) -> None:
        """Start another page."""
        self._writer.newPage()
        self.page += 1
        self.y = self.body.top()
        self._dress()

    def need(self, height: float) -> None:
        """Start another page when less than `height` is left on this one."""
        if self.y + height > self.body.bottom() and self.y > self.body.top():
            self.new_page()

    @property
    def left(self) -> float:
        """Height that is left on this page."""
        return self.body.bottom() - self.y

    def heading(self, text: str, *, room: float = 60.0) -> None:
        """A heading that stays with at least `room` of what follows."""
        self.need(room + 20.0)
        if self.y > self.body.top():
            self.y += GAP
        self.words(text, face(12, bold=True))
        self.y += 1.0

    def words(self, text: str, font: QFont | None = None, *, indent: float = 0.0) -> None:
        """A paragraph over the body's width, broken into lines."""
        font = font or face(TEXT)
        box = QRectF(self.body.left() + indent, 0.0, self.body.width() - indent, 10_000.0)
        height = text_height(text, font, box.width())
        self.need(height)
        box.moveTop(self.y)
        self._text(box, text, font)
        self.y += height + GAP / 2.0

    def points(self, sentences: Sequence[str]) -> None:
        """Sentences as a list with bullets."""
        font = face(TEXT)
        for sentence in sentences:
            self.need(text_height(sentence, font, self.body.width() - 12.0))
            self._text(QRectF(self.body.left() + 2.0, self.y, 10.0, 20.0), "•", font)
            self.words(sentence, font, indent=12.0)

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        *,
        symbol: Callable[[int, QRectF], None] | None = None,
        blanks: int = 0,
    ) -> None:
        """A table that goes on over pages, its titles on each of them.

        Parameters
        ----------
        symbol : callable
            Paints the sign of a row, given its number, into a square at the head of the row's first cell.
        blanks : int
            Number of last columns that are boxes to be filled in by hand; rows are high enough to write in then.

        """
        widths = [self.body.width() * column.share / sum(each.share for each in columns) for column in columns]
        titles = [column.title for column in columns]
        fresh = True
        for number, row in enumerate(rows):
            inset = 12.0 if symbol is not None else 0.0
            height = max(self._row_height(row, widths, inset), HAND if blanks else 0.0)
            if self.y + height + (30.0 if fresh else 0.0) > self.body.bottom():
                self.new_page()
                fresh = True
            if fresh:
                self._row(titles, widths, inset, bold=True)
                self._rule(LIGHT.ink, 0.8)
                fresh = False
            if symbol is not None:
                symbol(number, QRectF(self.body.left(), self.y + 2.0, 9.0, 9.0))
            top = self.y
            self._row(row, widths, inset)
            self.y = top + height
            self._rule(LIGHT.line if blanks else LIGHT.grid, 0.5)
            for box in range(len(widths) - blanks, len(widths) + bool(blanks)):
                x = self.body.left() + sum(widths[:box]) - (GAP / 2.0 if box < len(widths) else 0.0)
                self.painter.drawLine(QPointF(x, top), QPointF(x, self.y))
        self.y += GAP

    def picture(self, height: float, paint: Callable[[QPainter, QRectF], None]) -> None:
        """A picture over the body's width."""
        self.need(height)
        area = QRectF(self.body.left(), self.y, self.body.width(), height)
        self.painter.save()
        paint(self.painter, area)
        self.painter.restore()
        self.y += height + GAP

    def _row_height(self, row: Sequence[str], widths: Sequence[float], inset: float, *, bold: bool = False) -> float:
        insets = [inset, *[0.0] * (len(row) - 1)]
        font = face(SMALL, bold=bold)
        heights = [
            text_height(text, font, width - GAP - extra) for text, width, extra in zip(row, widths, insets, strict=True)
        ]
        return max(heights) + 4.0

    def _row(self, row: Sequence[str], widths: Sequence[float], inset: float, *, bold: bool = False) -> None:
        height = self._row_height(row, widths, inset, bold=bold)
        x = self.body.left()
        for number, (text, width) in enumerate(zip(row, widths, strict=True)):
            extra = inset if number == 0 else 0.0
            self._text(QRectF(x + extra, self.y + 2.0, width - GAP - extra, height), text, face(SMALL, bold=bold))
            x += width
        self.y += height

    def _rule(self, colour: QColor, width: float) -> None:
        self.painter.setPen(QPen(colour, width))
        self.painter.drawLine(QPointF(self.body.left(), self.y), QPointF(self.body.right(), self.y))

    def _text(self, box: QRectF, text: str, font: QFont) -> None:
        self.painter.setFont(font)
        self.painter.setPen(LIGHT.ink)
        self.painter.drawText(box, WRAP, typeset(text))

    def _dress(self) -> None:
        """Head, foot and page number."""
        head, font = self._letterhead, face(SMALL)
        row = QRectF(self.body.left(), MARGIN - 6.0, self.body.width(), 12.0)
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop
        self._text(row, head.head, font)
        self.painter.drawText(row, right, head.kind)
        row.moveTop(self.body.bottom() + 10.0)
        self._text(row, head.foot, font)
        self.painter.drawText(row, right, f"page {self.page} of {self._pages}")
        self.painter.setPen(QPen(LIGHT.line, 0.5))
        for y in (self.body.top() - 8.0, self.body.bottom() + 6.0):
            self.painter.drawLine(QPointF(self.body.left(), y), QPointF(self.body.right(), y))


def face(height: int, *, bold: bool = False) -> QFont:
    """The report's font, `height` points high; unhinted for paper has no pixels, without ligatures to read back."""
    font = QFont()
    font.setPixelSize(height)
    font.setBold(bold)
    font.setFeature(QFont.Tag("liga"), 0)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


def text_height(text: str, font: QFont, width: float) -> float:
    """Height of a text broken into lines of a width."""
    return QFontMetricsF(font).boundingRect(QRectF(0.0, 0.0, width, 10_000.0), WRAP, typeset(text)).height()
