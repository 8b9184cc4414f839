"""A block of texts, as a spreadsheet gives it, on its way into a table and out of one."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from io import StringIO
from typing import Final

from app.files.columns import titles_of
from app.files.imported import shown
from app.panels.entry_field import refusal_words
from app.panels.tables.changes import TableError, Typed, new_part, says_the_same, with_text
from app.panels.tables.sheets import ID, LinkSheet, PartSheet, Sheet, plain_title, with_value
from app.units import LengthUnit
from geometry.errors import RigError
from geometry.rig.check import check_rig
from geometry.rig.rig import Rig

Block = Sequence[Sequence[str]]

MOST_ROWS: Final = 20_000
"""Most rows of a block: as many as a rig may have nodes."""


def read_block(text: str) -> list[list[str]]:
    """Rows of cells from tab-separated text, a cell in quotation marks as spreadsheets set them.

    Raises
    ------
    TableError
        When it is no table, or too long a one.

    """
    if "\0" in text:
        raise TableError("What was copied is no table; copy cells of a spreadsheet")
    try:
        block = list(csv.reader(StringIO(text), "excel-tab"))
    except csv.Error:
        raise TableError("What was copied is no table; copy cells of a spreadsheet") from None
    if not any(cell.strip() for row in block for cell in row):
        raise TableError("Nothing was copied; copy cells of a spreadsheet first")
    if len(block) > MOST_ROWS:
        raise TableError(f"What was copied has {len(block)} rows, over {MOST_ROWS}; paste it in pieces")
    return block


def written_block(block: Block) -> str:
    """Tab-separated text of rows of cells."""
    text = StringIO()
    csv.writer(text, "excel-tab", lineterminator="\n").writerows(block)
    return text.getvalue()


_COMMA: Final = re.compile(r"\s*[-+−]?\d*,\d+\s*")
_TWO_WAYS: Final = re.compile(r"\s*[-+−]?[1-9]\d{0,2}[.,]\d{3}\s*")
_PLAIN: Final = re.compile(r"\s*[-+−]?[.,]?\d[\d.,/'\"]*(?:\s+\d+/\d+)?\s*")
_NUMBER: Final = re.compile(_PLAIN.pattern + r"(?:mm|cm|m|in|ft|[\"'])?\s*")
_UNITS: Final = {"mm": LengthUnit.MM, "in": LengthUnit.INCH}


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a column of the block goes, None = nowhere; in which unit, and what else to write behind its numbers."""

    column: int | None
    unit: LengthUnit
    sign: str = ""


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of the block: its number, the row that it is for, what it says by column."""

    number: int
    row: int
    typed: dict[int, Typed]


class Paste:
    """A block of texts to be put into a table.

    With a first line of headings, columns go by their names, and a unit in a heading counts for its column. Rows go by
    their id if that is among the columns. Whole parts without an id, put into the first column, are new ones. Else the
    block goes where it is put, and lines beyond the last row become new parts. No id is changed.
    Where one number of the block has a comma that can only be a decimal one, all of them have.

    Attributes
    ----------
    left_out : list of str
        A sentence for each column that nothing is known about.

    """

    def __init__(
        self, rig: Rig, sheet: Sheet, block: Block, rows: Sequence[int], columns: Sequence[int], unit: LengthUnit
    ) -> None:
        """`rows` and `columns` are those on screen, from the place on where the block is put."""
        self._rig = rig
        self._sheet = sheet
        self._unit = unit
        self._rows = rows
        self._there = sheet.rows(rig)
        self.left_out: list[str] = []
        headed = self._headings(block)
        self._body = block[1:] if headed else block
        self._first = 2 if headed else 1
        self._columns = headed or self._bare(columns)
        pairs = (pair for texts in self._body for pair in zip(texts, self._columns, strict=False))
        numbers = (text for text, place in pairs if self._is_number(place.column))
        self._comma = any(_COMMA.fullmatch(text) and not _TWO_WAYS.fullmatch(text) for text in numbers)
        used = {place.column for place in self._columns[: max(map(len, self._body))]}
        self._by_key = set(sheet.keys) <= used
        from_first = not columns or columns[0] == 0
        self._all_new = isinstance(sheet, PartSheet) and not self._by_key and from_first and sheet.needed <= used

    def result(self) -> Rig:
        """The rig with the whole block in it.

        Raises
        ------
        TableError
            With row and column of the first text that cannot be used.

        """
        lines = self._lines()
        old, new = ([line for line in lines if (line.row < self._there) is known] for known in (True, False))
        rig = self._with_new(self._with_values(old), new)
        for line in old:
            for column in self._id_columns(line):
                with self._telling(line, column):
                    self._refuse_rename(line, column)
        try:
            check_rig(rig)
        except RigError as refused:
            raise self._placed(refused, lines) from None
        return rig

    # What the block says

    def _headings(self, block: Block) -> list[_Place]:
        """Where each column goes, when the first line is one of headings."""
        if not any(text.strip() for row in block[1:] for text in row):
            return []
        if self._sheet.kind == "axle":
            headings = self._sheet.headings(self._rig, self._unit)
            titles = {plain_title(text)[0]: column for column, text in enumerate(headings)}
            named = [plain_title(text) for text in block[0]]
            there = all(title in titles for title, _ in named)
            return [_Place(titles[title], unit or self._unit) for title, unit in named] if there else []
        places = self._named_places(block[0])
        filled = [(text, place) for text, place in zip(block[0], places, strict=True) if text.strip()]
        known = [place.column for _, place in filled if place.column is not None]
        unknown = [shown(text.strip()) for text, place in filled if place.column is None]
        if any(_NUMBER.fullmatch(text) for text in block[0]):
            return []
        if len(known) < max(len(unknown), 1):
            self._refuse_titles(block, unknown)
            return []
        twice = next((c for c in known if known.count(c) > 1 and not self._holds_nodes(c)), None)
        if twice is not None:
            raise TableError(f"Row 1: the column “{self._title(twice)}” is there twice; remove one.")
        kind = self._sheet.kind
        self.left_out += [f"Column “{title}” of the {kind}s left out: its title is not known." for title in unknown]
        return places

    def _named_places(self, titles: Sequence[str]) -> list[_Place]:
        """Where columns of these titles go; the same titles as in files are understood."""
        if self._sheet.kind == "axle":
            return []
        own = {self._title(column): column for column in range(self._sheet.columns(self._rig))}
        return [
            _Place(own[column.title] if column else None, _UNITS.get(unit, self._unit), "" if unit in _UNITS else unit)
            for column, unit in titles_of(self._sheet.kind, titles)
        ]

    def _refuse_titles(self, block: Block, unknown: Sequence[str]) -> None:
        """Refuse a first line of words above numbers: a builder's headings that nothing is known of."""
        above = [text.strip() and not _NUMBER.fullmatch(text) for text in block[0]]
        pairs = (zip(above[1:], texts[1:], strict=False) for texts in block[1:])
        if any(words and _NUMBER.fullmatch(text) for pair in pairs for words, text in pair):
            own = ", ".join(self._title(column) for column in range(self._sheet.columns(self._rig)))
            raise TableError(
                f"The first line is not understood as headings; unknown: {', '.join(unknown)}. Write {own}."
            )

    def _bare(self, columns: Sequence[int]) -> list[_Place]:
        """Where columns without headings go: on from the current one, or those of whole parts from the first on."""
        sheet, width = self._sheet, max(map(len, self._body))
        if isinstance(sheet, PartSheet) and (width == len(sheet.fields) or not columns or columns[0] == 0):
            columns = range(len(sheet.fields))
            if sheet.kind == "node" and self._are_points():
                columns = columns[1:]
        return [_Place(column, self._unit) for column in columns]

    def _are_points(self) -> bool:
        """Whether each line is three numbers, the first of which is not an id that is there."""
        ids = self._sheet.named(self._rig)
        lines = [texts for texts in self._body if any(text.strip() for text in texts)]
        numbers = all(len(texts) == len("xyz") and all(map(_NUMBER.fullmatch, texts)) for texts in lines)
        return numbers and not all(texts[0].strip() in ids for texts in lines)

    def _title(self, column: int) -> str:
        return plain_title(self._sheet.headings(self._rig, self._unit)[column])[0]

    def _holds_nodes(self, column: int) -> bool:
        return self._sheet.kind == "bar" and self._title(column) == "nodes"

    def _lines(self) -> list[_Line]:
        known = {self._sheet.key(self._rig, row): row for row in range(self._there)} if self._by_key else {}
        seen: set[tuple[str, ...]] = set()
        lines: list[_Line] = []
        new = self._there
        for number, texts in enumerate(self._body):
            if not any(text.strip() for text in texts):
                continue
            typed = self._typed(number + self._first, texts)
            if self._by_key:
                key = self._sheet.key_of([typed[column].text for column in self._sheet.keys if column in typed])
                if key in seen and all(key):
                    raise TableError(f"Row {number + self._first}: {' '.join(key)} is there twice; remove one.")
                seen.add(key)
                row = known.get(key, self._there)
            elif self._all_new:
                row = self._there
            else:
                row = self._rows[number] if number < len(self._rows) else self._there
            lines.append(_Line(number + self._first, row if row < self._there else new, typed))
            new += row >= self._there
        return lines

    def _typed(self, number: int, texts: Sequence[str]) -> dict[int, Typed]:
        """The texts of a line by the column that they are for."""
        if any(text.strip() for text in texts[len(self._columns) :]):
            raise TableError(f"Row {number} has more columns than there is room for; start further to the left")
        across = self._sheet.across and self._columns[0].column == 0
        named = plain_title(texts[0])[1] if across else None
        typed: dict[int, Typed] = {}
        for text, place in zip(texts, self._columns, strict=False):
            if (column := place.column) is not None:
                pointed = self._pointed(number, column, text)
                if place.sign and _PLAIN.fullmatch(pointed):
                    pointed = f"{pointed.strip()} {place.sign}"
                both = f"{typed[column].text} {pointed}" if column in typed else pointed  # the two ends of a bar
                typed[column] = Typed(both, named or place.unit)
        return typed

    def _is_number(self, column: int | None) -> bool:
        sheet = self._sheet
        if column is None or not isinstance(sheet, (PartSheet, LinkSheet)):
            return False
        return sheet.fields[column].cell.is_number

    def _pointed(self, number: int, column: int, text: str) -> str:
        """A number with a decimal point, where all of the block have decimal commas."""
        if not self._comma or not self._is_number(column) or not (_COMMA.fullmatch(text) or _TWO_WAYS.fullmatch(text)):
            return text
        if "." in text:
            raise TableError(
                f"Row {number}, {self._title(column)}: “{text.strip()}” can be read two ways, for other numbers have "
                f"decimal commas; write “{text.strip().replace('.', ',')}” or “{text.strip().replace('.', '')}”."
            )
        return text.replace(",", ".")

    @property
    def count(self) -> int:
        """Lines that say something, without that of the headings."""
        return sum(any(text.strip() for text in texts) for texts in self._body)

    # The rig with it

    def _id_columns(self, line: _Line) -> list[int]:
        sheet, rig = self._sheet, self._rig
        return [c for c in line.typed if sheet.field(rig, line.row, c) and sheet.path(rig, line.row, c)[-1] == ID]

    def _refuse_rename(self, line: _Line, column: int) -> None:
        if not says_the_same(self._rig, self._sheet, line.row, column, line.typed[column]):
            raise TableError("an id is not changed by pasting; type the new one into its cell")

    def _with_values(self, lines: Sequence[_Line]) -> Rig:
        """The rig with all but ids changed, since rows are known by their ids until then."""
        rig, sheet = self._rig, self._sheet
        parts = list(sheet.parts(rig)) if isinstance(sheet, PartSheet) else []
        for line in lines:
            for column, typed in line.typed.items():
                with self._telling(line, column):
                    if column in self._id_columns(line) or says_the_same(self._rig, sheet, line.row, column, typed):
                        continue
                    if parts:
                        self._change(parts, line.row, column, typed)
                    else:
                        rig = with_text(rig, sheet, line.row, column, typed)
        return sheet.with_parts(rig, parts) if isinstance(sheet, PartSheet) else rig

    def _change(self, parts: list[object], row: int, column: int, typed: Typed) -> None:
        """Change one part of many in place, for a rig made anew for each of thousands of cells takes minutes."""
        field = self._sheet.field(self._rig, row, column)
        if field is not None:
            parts[row] = with_value(parts[row], field.path, field.cell.read(typed.text, typed.unit))

    def _with_new(self, rig: Rig, lines: Sequence[_Line]) -> Rig:
        sheet = self._sheet
        if not lines:
            return rig
        if not isinstance(sheet, PartSheet):
            named = "is not in this table" if self._by_key else "lies below the last row"
            raise TableError(f"Row {lines[0].number} {named}; {sheet.name.lower()} cannot be added by pasting")
        parts = list(sheet.parts(rig))
        given = {line.typed[0].text.strip() for line in lines if 0 in line.typed}
        free = sheet.free_ids({*given, *(part.id for part in parts)})
        for line in lines:
            own = line.typed[0].text.strip() if 0 in line.typed else ""
            try:
                parts.append(new_part(sheet, parts, line.typed, own or next(free)))
            except ValueError as refused:
                raise TableError(f"Row {line.number}, {self._plain(refused)}.") from None
        return sheet.with_parts(rig, parts)

    # Words

    @contextmanager
    def _telling(self, line: _Line, column: int) -> Iterator[None]:
        try:
            yield
        except ValueError as refused:
            raise TableError(f"Row {line.number}, {self._title(column)}: {self._plain(refused)}.") from None

    def _placed(self, refused: RigError, lines: Sequence[_Line]) -> TableError:
        """Why the whole rig was refused, with the line of the block that did it as far as that is known."""
        words = refusal_words(refused, self._unit)
        group, _, rest = refused.place.partition("[")
        at = [line.number for line in lines if rest.partition("]")[0] == str(line.row)]
        own = isinstance(self._sheet, PartSheet) and group == self._sheet.group and at
        return TableError(f"Row {at[0]}: {words}" if own else words)

    def _plain(self, refused: ValueError) -> str:
        words = refusal_words(refused, self._unit).rstrip(".")
        return f"{words[:1].lower()}{words[1:]}" if words[:2] != words[:2].upper() else words
