"""Cut sheets as a PDF: one page an axle, with the drawing, the marks, the proof, and room for what was measured.

The title block has the fields that ISO 7200 asks for; what the rig does not say is left blank to be written in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import Final

import msgspec
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt, QUuid
from PySide6.QtGui import QFont, QFontMetricsF, QGuiApplication, QPageSize, QPen

from app.files.saving import save_bytes
from app.report.axle_drawing import CUT_LETTERS, INK, LEVELS, NARROW, POINT, WIDE, AxleDrawing, lettering
from app.report.cut_sheet_records import CutSheets
from app.report.cut_sheet_words import ACROSS, CAUTIONS, Block, Grid, Pair, Wording
from app.report.pdf import letterhead
from app.report.sheet import A4, LETTER, SMALL, WRAP, Letterhead, Sheet, face, text_height
from app.typeset import typeset
from app.units import LengthUnit
from geometry.rig.rig import Rig

KIND: Final = "Cut sheet"
NAMESPACE: Final = QUuid("{8c3f1f4e-2f57-4b0f-93a6-7b5a4f1d20c9}")
"""Our own, so that equal sheets carry equal document ids."""

EDGE: Final = 26.0
"""Free edge of the paper [points]: what any printer leaves free."""
LEAST: Final = 4.0
"""Space between parts of the page [points]."""
GUTTER: Final = 14.0
"""Space between columns."""
MARKS: Final = 0.76
"""Share of the table of marks in the page's width."""
ROW: Final = 15.5
"""Height of a row of marks: its letters are 3.5 mm high."""
HAND: Final = 16.5
"""Height of a box to write in."""
TINY: Final = 7
"""Smallest letters, of what would not fit otherwise."""
LINE: Final = 10.0
"""Height of a row of the proof and of small tables."""
FIELD: Final = 22.0
"""Height of a field of the title block."""
BAR_MM: Final = 100.0
BAR_IN: Final = 4.0
PAPERS: Final = {"a4": A4, "letter": LETTER}


def write_cut_sheets(
    path: Path,
    rig: Rig,
    sheets: CutSheets,
    unit: LengthUnit,
    *,
    paper: str = "",
    rig_file: str = "",
    when: datetime | None = None,
) -> None:
    """Write cut sheets; the file appears whole or not at all.

    Parameters
    ----------
    paper : str
        ``a4`` or ``letter``; if left out, A4 goes with mm and Letter with inches.
    rig_file : str
        Name of the rig file as it stands in the title block.
    when : datetime
        Date of issue; now, if left out.

    Raises
    ------
    FileSaveError
        When it cannot be written; what stood there is as it was.

    """
    _app = QGuiApplication.instance() or QGuiApplication(["wheelroom", "-platform", "offscreen"])
    head = letterhead(rig, KIND, unit, rig_file, when)
    size = PAPERS[paper] if paper else A4 if unit is LengthUnit.MM else LETTER
    uid = QUuid.createUuidV5(NAMESPACE, msgspec.json.encode(sheets) + f"{unit} {paper}".encode())
    pages = 0
    for _ in range(2):  # once to count the pages, and once for good
        pdf, pages = _filled(rig, sheets, unit, head, size, uid, pages)
    save_bytes(path, pdf)


def _filled(
    rig: Rig,
    sheets: CutSheets,
    unit: LengthUnit,
    head: Letterhead,
    size: QPageSize,
    uid: QUuid,
    pages: int,
) -> tuple[bytes, int]:
    paper = _Paper(size, head, pages, uid)
    try:
        for number, sheet in enumerate(sheets.sheets):
            if number:
                paper.new_page()
            _Page(paper, Wording(rig, sheet, unit), head, pages).fill()
    finally:
        pdf = paper.end()
    return pdf, paper.page


class _Paper(Sheet):
    """Pages without head and foot, for the title block has what stands there."""

    def _dress(self) -> None:
        self.body = self.paper.adjusted(EDGE, EDGE, -EDGE, -EDGE)
        self.y = self.body.top()


@dataclass(frozen=True, slots=True)
class Field:
    """A field of the title block: its name, what stands in it (empty = to be filled in), its share of the width."""

    name: str
    text: str
    share: float


@dataclass(frozen=True, slots=True)
class _Rest:
    """What has not found its place yet: the proof, small tables, and tables over the width of the page."""

    proof: bool
    blocks: list[Block]
    grids: list[Grid]

    @property
    def any(self) -> bool:
        """Whether there is something."""
        return self.proof or bool(self.blocks) or bool(self.grids)


class _Page:
    """The page of one axle, filled from above and from below towards the two columns in its middle."""

    def __init__(self, paper: Sheet, words: Wording, head: Letterhead, pages: int) -> None:
        self.paper = paper
        self.painter = paper.painter
        self.words = words
        self.sheet = words.sheet
        self.head = head
        self.pages = pages
        self.box = QRectF(paper.body)
        """What is still free on the page."""

    def fill(self) -> None:
        """Everything on the page; small tables for which there is no room go on a page behind it."""
        self._banners()
        self._drawing()
        aside = self._marks()
        self._frame_below()
        left = self._between(
            [aside, *self._halves()], _Rest(True, list(self.words.blocks()), list(self.words.mock_up()))
        )
        while left.any:
            self.paper.new_page()
            self.box = QRectF(self.paper.body)
            self._title_block()
            warned = " – INCOMPLETE" if not self.sheet.complete else ""
            self._words(self.box, f"{self._name()}, continued{warned}", face(9, bold=True))
            self.box.setTop(self.box.top() + 13.0)
            columns = self._halves()
            blocks = [part for block in left.blocks for part in self._parts(block, columns[0])]
            left = self._between(columns, _Rest(left.proof, blocks, left.grids))

    def _halves(self) -> list[QRectF]:
        """The right and the left half of what is free."""
        half = (self.box.width() - GUTTER) / 2.0
        right, left = QRectF(self.box), QRectF(self.box)
        right.setLeft(self.box.right() - half)
        left.setWidth(half)
        return [right, left]

    def _name(self) -> str:
        return self.sheet.name.capitalize() or f"Axle {self.sheet.axle}"

    # From above

    def _banners(self) -> None:
        for banner in self.words.banners():
            self._banner(banner.title, banner.words)

    def _banner(self, title: str, words: str) -> None:
        bold, plain, width = lettering(4.0, bold=True), face(SMALL + 1), self.box.width() - 12.0
        rest = text_height(words, plain, width)
        frame = QRectF(self.box.left(), self.box.top(), self.box.width(), 22.0 + rest)
        self.painter.setPen(QPen(INK, 2.0 * WIDE))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawRect(frame.adjusted(1.5, 1.5, -1.5, -1.5))
        self._words(
            QRectF(frame.left() + 6.0, frame.top() + 3.0, width, 16.0), title, bold, Qt.AlignmentFlag.AlignHCenter
        )
        self._words(QRectF(frame.left() + 6.0, frame.top() + 19.0, width, rest), words, plain)
        self.box.setTop(frame.bottom() + LEAST)

    def _drawing(self) -> None:
        area = QRectF(self.box.left(), self.box.top(), self.box.width(), LEVELS.height)
        AxleDrawing(self.painter, area, self.words).paint()
        self.box.setTop(area.bottom() + LEAST)

    def _marks(self) -> QRectF:
        """The table of marks in letters that are read at arm's length; returns what is free beside it."""
        left, width, top = self.box.left(), MARKS * self.box.width(), self.box.top()
        self._words(QRectF(left, top, self.box.width(), 12.0), self.words.marks_title(), face(9, bold=True))
        top += 13.0
        stops = [left + share * width for share in (0.0, 0.28, 0.64)]
        for x, text in zip(stops[1:], ("LEFT", "RIGHT"), strict=True):
            self._words(QRectF(x, top, 120.0, LINE), text, face(SMALL, bold=True))
        y = top + LINE
        self._rule(y, WIDE, width)
        for number, (label, one, other) in enumerate(self.words.mark_rows()):
            # the cut and the tube's length go to the saw; all else is scribed
            bold = number == 0 or label.startswith("TUBE")
            large = lettering(CUT_LETTERS, bold=bold)
            base = y + (ROW + QFontMetricsF(large).capHeight()) / 2.0
            self._base(left, base, label, face(10, bold=bold))
            for x, told in zip(stops[1:], (one, other), strict=True):
                self._base(x, base, told.first, large)
                if told.second != told.first:
                    end = x + stops[2] - stops[1] - 8.0
                    room = end - x - 2.0 - QFontMetricsF(large).horizontalAdvance(typeset(told.first))
                    self._right(end, base, told.second, self._fitting(told.second, room, face(SMALL)))
            y += ROW
            self._rule(y, NARROW / 2.0, width)
        self.painter.drawLine(QPointF(stops[2] - 4.0, top + LINE), QPointF(stops[2] - 4.0, y))
        self.box.setTop(y + LEAST)
        return QRectF(left + width + GUTTER, top, self.box.width() - width - GUTTER, y - top)

    # From below

    def _frame_below(self) -> None:
        """What stands at the foot of the page; nothing is built by a sheet that is not complete."""
        self._title_block()
        self._bar()
        self._cautions()
        if self.sheet.complete:
            self._as_built()

    def _title_block(self) -> None:
        foot, height = 12.0, 2.0 * FIELD
        top = self.box.bottom() - height - foot
        self.painter.setPen(QPen(INK, WIDE))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawRect(QRectF(self.box.left(), top, self.box.width(), height))
        for row, fields in enumerate(self._fields()):
            self._fields_row(top + row * FIELD, fields)
        words = self.head.foot.rpartition("  ·  ")[0]  # without the unit of lengths: here each bears its own
        self._words(QRectF(self.box.left(), top + height + 2.0, self.box.width(), foot), words, face(SMALL))
        self.box.setBottom(top - LEAST)

    def _fields(self) -> tuple[tuple[Field, ...], tuple[Field, ...]]:
        title = f"{self._name()} of {self.words.rig.name}"
        page = f"{self.paper.page} of {self.pages}"
        return (
            (
                Field("Legal owner", "", 1.2),
                Field("Title", title, 2.4),
                Field("Document type", KIND, 0.8),
                Field("Identification number", self.sheet.identification, 1.25),
            ),
            (
                Field("Created by", "", 1.2),
                Field("Approved by", "", 1.2),
                Field("Date of issue", f"{self.head.when:%Y-%m-%d}", 0.85),
                Field("Revision", "", 0.6),
                Field("Scale", "not to scale", 0.75),
                Field("Sheet", page, 0.6),
            ),
        )

    def _fields_row(self, top: float, fields: Sequence[Field]) -> None:
        each, x = self.box.width() / sum(field.share for field in fields), self.box.left()
        for field in fields:
            width = field.share * each
            self.painter.setPen(QPen(INK, NARROW))
            self.painter.drawRect(QRectF(x, top, width, FIELD))
            self._words(QRectF(x + 3.0, top + 1.0, width - 4.0, 9.0), field.name, face(7))
            font = self._fitting(field.text, width - 6.0, face(11))
            text = QFontMetricsF(font).elidedText(field.text, Qt.TextElideMode.ElideRight, width - 6.0)
            self._base(x + 3.0, top + FIELD - 4.0, text, font)
            x += width

    def _fitting(self, text: str, width: float, largest: QFont) -> QFont:
        """Letters no larger than that in which a text fits on one line."""
        sizes = range(largest.pixelSize(), TINY, -1)
        fonts = (face(size, bold=largest.bold()) for size in sizes)
        fit = (font for font in fonts if QFontMetricsF(font).horizontalAdvance(text) <= width)
        return next(fit, face(TINY, bold=largest.bold()))

    def _bar(self) -> None:
        """A bar of known length with both scales, to see whether the paper was printed at full size."""
        height = 30.0
        top, left = self.box.bottom() - height, self.box.left() + 2.0
        middle, metric, inches = top + height / 2.0, BAR_MM / POINT, BAR_IN * 72.0
        self.painter.setPen(QPen(INK, NARROW))
        lines = [QLineF(left, middle, left + inches, middle)]
        for tick in range(int(BAR_MM / 5.0) + 1):
            high = 7.0 if tick % 2 == 0 else 4.0
            lines.append(QLineF(left + tick * 5.0 / POINT, middle, left + tick * 5.0 / POINT, middle - high))
        for tick in range(int(BAR_IN * 8.0) + 1):
            low = 7.0 if tick % 8 == 0 else 5.0 if tick % 4 == 0 else 3.0
            lines.append(QLineF(left + tick * 9.0, middle, left + tick * 9.0, middle + low))
        self.painter.drawLines(lines)
        font = face(SMALL)
        for tick in (0, 50, 100):
            self._middle(left + tick / POINT, middle - 9.0, str(tick) if tick < BAR_MM else "100 mm", font, least=left)
        for tick in range(5):
            self._middle(left + tick * 72.0, middle + 15.0, str(tick) if tick < BAR_IN else "4 in", font, least=left)
        words = (
            f"Measure me: {BAR_MM:g} mm and {BAR_IN:g} in. If the bar has another length, the sheet was not printed at "
            "full size; its numbers hold all the same, nothing else is to scale."
        )
        x = left + max(metric, inches) + 22.0
        self._words(QRectF(x, top, self.box.right() - x, height), words, face(SMALL))
        self.box.setBottom(top - LEAST)

    def _cautions(self) -> None:
        font, width = face(SMALL), self.box.width()
        text = " ".join((self.words.check_line(), *CAUTIONS)).strip()
        height = text_height(text, font, width)
        self._words(QRectF(self.box.left(), self.box.bottom() - height, width, height), text, font)
        self.box.setBottom(self.box.bottom() - height - LEAST)

    def _as_built(self) -> None:
        """Boxes for what was measured, once tacked and once welded, with initials and date."""
        checks = list(self.words.check_columns())
        head = 4.0 * LINE
        top = self.box.bottom() - head - 2.0 * HAND
        first, last = 44.0, 84.0
        each = (self.box.width() - first - last) / len(checks)
        stops = [self.box.left() + first + number * each for number in range(len(checks) + 1)]
        for number, title in enumerate(("As built", "tacked at", "welded at", "allowed")):
            font = face(9, bold=True) if number == 0 else face(SMALL)
            self._base(self.box.left(), top + (number + 1) * LINE - 3.0, title, font)
        for x, texts in zip(stops, checks, strict=False):
            for number, text in enumerate(texts):
                font = self._fitting(text, each - 3.0, face(SMALL, bold=number == 0))
                self._base(x + 1.0, top + (number + 1) * LINE - 3.0, text, font)
        self._base(stops[-1] + 1.0, top + LINE - 3.0, "initials, date", face(SMALL, bold=True))
        for number, title in enumerate(("tacked", "welded")):
            y = top + head + number * HAND
            self._base(self.box.left(), y + 13.0, title, face(SMALL, bold=True))
            self.painter.setPen(QPen(INK, NARROW))
            for left, right in pairwise([*stops, self.box.right()]):
                self.painter.drawRect(QRectF(left, y, right - left, HAND))
        self.box.setBottom(top - LEAST)

    # Between both

    def _between(self, columns: list[QRectF], rest: _Rest) -> _Rest:
        """The proof in the last column, small tables in the first that has room; returns what found none."""
        first = columns[-1]
        proof = rest.proof
        if proof and self._proof_height() <= first.height():
            first.setTop(self._proof(first) + LEAST)
            proof = False
        blocks = []
        for block in rest.blocks:
            column = next((c for c in columns if self._block_height(block, c.width()) <= c.height()), None)
            if column is None:
                blocks.append(block)
            else:
                column.setTop(column.top() + self._block(column, block) + LEAST)
        y, grids = max(column.top() for column in columns), list(rest.grids)
        while grids and y + 13.0 + len(grids[0].rows) * LINE <= self.box.bottom():
            y = self._grid(y, grids.pop(0)) + LEAST
        return _Rest(proof, blocks, grids)

    def _grid(self, y: float, grid: Grid) -> float:
        self._words(QRectF(self.box.left(), y, self.box.width(), 12.0), grid.title, face(9, bold=True))
        y += 13.0
        each = (self.box.width() - 44.0) / ACROSS
        for number, (label, *cells) in enumerate(grid.rows):
            self._rule(y, NARROW / 2.0, self.box.width())
            y += LINE
            self._base(self.box.left(), y - 2.5, label, face(SMALL, bold=True))
            for place, cell in enumerate(cells):
                font = self._fitting(cell, each - 4.0, face(SMALL, bold=number == 0))
                self._base(self.box.left() + 44.0 + place * each, y - 2.5, cell, font)
        return y

    def _proof(self, area: QRectF) -> float:
        """Each part in a column, and what they add up to; returns where it ends."""
        stops = [area.left() + share * area.width() for share in (0.57, 0.715, 0.86, 1.0)]
        title = "Proof of the sum, added up in full, printed rounded"
        self._words(QRectF(area.left(), area.top(), area.width(), 12.0), title, face(9, bold=True))
        y = area.top() + 13.0
        for (one, other), title in zip((stops[:2], stops[2:]), ("as planned", "as cut"), strict=True):
            self._right(other, y + 7.0, title, face(SMALL, bold=True))
            self._right(one, y + 7.0 + LINE, "in", face(SMALL))
            self._right(other, y + 7.0 + LINE, "mm", face(SMALL))
        y += 2.0 * LINE - 1.0
        for rows, font in ((self.words.proof_rows(), face(SMALL)), (self.words.proof_totals(), face(SMALL, bold=True))):
            self.painter.setPen(QPen(INK, NARROW))
            self.painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            y += 1.0
            for label, *cells in rows:
                base = y + LINE - 2.5
                self._base(area.left(), base, label, font)
                for x, cell in zip(stops, cells, strict=True):
                    self._right(x, base, cell, face(SMALL))
                y += LINE
        return y

    def _proof_height(self) -> float:
        rows = len(list(self.words.proof_rows())) + len(list(self.words.proof_totals()))
        return 14.0 + (rows + 2.0) * LINE

    def _block_height(self, block: Block, width: float) -> float:
        stop = self._stop(block, width)
        return 13.0 + sum(self._pair_height(pair, stop, width) for pair in block.pairs)

    def _parts(self, block: Block, column: QRectF) -> list[Block]:
        """A small table as one or more that are no higher than a whole column."""
        if self._block_height(block, column.width()) <= column.height():
            return [block]
        half = len(block.pairs) // 2
        halves = (Block(block.title, block.pairs[:half]), Block(block.title, block.pairs[half:]))
        return [part for each in halves for part in self._parts(each, column)]

    def _stop(self, block: Block, width: float) -> float:
        """Where what stands beside the labels begins."""
        wide = max((QFontMetricsF(face(SMALL)).horizontalAdvance(pair.label) for pair in block.pairs), default=0.0)
        return min(wide + 8.0, 0.5 * width)

    def _pair_height(self, pair: Pair, stop: float, width: float) -> float:
        font = face(10, bold=True) if pair.strong else face(SMALL)
        label, text = text_height(pair.label, face(SMALL), stop - 4.0), text_height(pair.text, font, width - stop)
        return max(label, text) + 1.0

    def _block(self, area: QRectF, block: Block) -> float:
        """A small table at the top of a column; returns its height."""
        self._words(QRectF(area.left(), area.top(), area.width(), 12.0), block.title, face(9, bold=True))
        y, stop = area.top() + 13.0, self._stop(block, area.width())
        self.painter.setPen(QPen(INK, NARROW))
        self.painter.drawLine(QPointF(area.left(), y - 0.5), QPointF(area.right(), y - 0.5))
        for pair in block.pairs:
            height = self._pair_height(pair, stop, area.width())
            font = face(10, bold=True) if pair.strong else face(SMALL)
            self._words(QRectF(area.left(), y, stop - 4.0, height), pair.label, face(SMALL))
            self._words(QRectF(area.left() + stop, y, area.width() - stop, height), pair.text, font)
            y += height
        return y - area.top()

    # Words and lines

    def _words(self, box: QRectF, text: str, font: QFont, align: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignLeft) -> None:
        self.painter.setFont(font)
        self.painter.setPen(INK)
        self.painter.drawText(box, WRAP if align == Qt.AlignmentFlag.AlignLeft else align, typeset(text))

    def _base(self, x: float, y: float, text: str, font: QFont) -> None:
        self.painter.setFont(font)
        self.painter.setPen(INK)
        self.painter.drawText(QPointF(x, y), typeset(text))

    def _right(self, x: float, y: float, text: str, font: QFont) -> None:
        self._base(x - QFontMetricsF(font).horizontalAdvance(typeset(text)), y, text, font)

    def _middle(self, x: float, y: float, text: str, font: QFont, *, least: float) -> None:
        width = QFontMetricsF(font).horizontalAdvance(text)
        self._base(max(x - width / 2.0, least), y, text, font)

    def _rule(self, y: float, thick: float, width: float) -> None:
        self.painter.setPen(QPen(INK, thick))
        self.painter.drawLine(QPointF(self.box.left(), y), QPointF(self.box.left() + width, y))
