"""Tables of nodes, bars, panels and links as text: CSV files, and what is copied to and from a spreadsheet.

A table is known by its header row, in which lengths bear their unit, as in ``x [in]``; a file holds one table or
several, one below another. Commas, semicolons or tabs part the cells. What can be read two ways is refused.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Context, Decimal
from fractions import Fraction
from typing import Any, Final

from app.files.columns import COLUMNS, TITLES, Column, Columns, Row, TableKind, columns_of
from app.files.imported import (
    LARGEST,
    MOST_PIECES,
    UNITS,
    Imported,
    ImportFileError,
    Link,
    UnitMissingError,
    came_in,
    one_line,
    shown,
)
from app.units import LengthError, LengthUnit, parse_length
from geometry.errors import RigError
from geometry.rig.parts import Bar, Node, Panel
from geometry.rig.rig import Rig
from geometry.rig.structure import part_from_plain

_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?", re.ASCII)
_COMMA = re.compile(r"[-+]?\d*,\d+", re.ASCII)
_TWO_WAYS = re.compile(r"[-+]?[1-9]\d{0,2}[.,]\d{3}", re.ASCII)
_POINT = re.compile(r"[-+]?\d*\.\d+", re.ASCII)
_NOT_IN_IDS = re.compile(r"[^A-Za-z0-9_.-]+")
_FORMULA = re.compile(r"'*[=+\-@\t\r]")
"""What a spreadsheet would take for a formula; an apostrophe before it keeps it a text."""

MOST_LINES: Final = 4 * MOST_PIECES
"""Ends of lines beyond which no table is looked at: two to a row, as some systems have them, and as many blank ones."""

MOST_TABLES: Final = 1000
"""Tables in one file: each header takes a while to be understood."""

_BETWEEN: Final = ',;"'
"""What a text may hold, beside blanks, without there being anything in its cells."""

_LONGEST_NUMBER: Final = 100
_FLOAT_DIGITS: Final = 17
_MOST_DIGITS: Final = 25
"""Digits beyond which no length in inches needs to go to be the same length in mm again; 17 are mostly enough."""

_YES: Final = {"yes", "y", "true", "1", "x", "ja", "oui", "si", "sí"}
_NO: Final = {"no", "n", "false", "0", "nein", "non"}


# Reading


def read_table(text: str, kind: TableKind, unit: str | None = None) -> tuple[Row, ...]:
    """The rows of one table, as it is pasted: Node, Bar, Panel or Link by its kind.

    The header may be missing; the columns then stand in the order of COLUMNS, and nodes need no names.

    Parameters
    ----------
    unit : str
        Unit of plain numbers where the header names none, a key of UNITS; None = it must.

    Raises
    ------
    UnitMissingError
        When the header names no unit and none is given.
    ImportFileError
        With line and column of what cannot be used.

    """
    tables = _tables(text, kind)
    for table in tables:
        if table.kind != kind:
            raise ImportFileError(f"Line {table.line}: this is a table of {table.kind}s, not of {kind}s.")
    return tuple(row for table in tables for row in table.rows(unit))


def read_tables(data: bytes, unit: str | None = None) -> Imported:
    """What a CSV file holds: one table, or several one below another. Parameters and errors as for `read_table`."""
    tables = _tables(_decoded(data), None)
    rows: dict[TableKind, list[Any]] = {kind: [] for kind in COLUMNS}
    lines: dict[str, int] = {}
    for table in tables:
        parts = table.rows(unit)
        rows[table.kind] += parts
        lines |= {f"{table.kind} {part.id}": line for part, (line, _) in zip(parts, table.cells, strict=True)}
    for kind, parts in rows.items():
        _refuse_twice(kind, parts)
    nodes, bars, panels, links = (tuple(rows[kind]) for kind in COLUMNS)
    if not (nodes or bars or panels or links):
        raise ImportFileError("There is a header but no row below it; add rows, or choose another file.")
    made = frozenset(name for table in tables for name in table.made)
    found = Imported(nodes, bars, panels, links, made, lines=lines)
    return replace(found, report=(came_in(found), *(line for table in tables for line in table.left_out())))


def _decoded(data: bytes) -> str:
    if len(data) > LARGEST:
        raise ImportFileError(f"The file is larger than {LARGEST // 1_000_000} MB; export fewer rows.")
    wide = data[:2] in {b"\xff\xfe", b"\xfe\xff"}
    if not wide and b"\0" in data[:LARGEST]:
        raise ImportFileError("This is no table of text; save it as CSV and choose that file.")
    try:
        return data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise ImportFileError(f"Line {line}: this is not UTF-8 text; save the file as “CSV UTF-8”.") from None


@dataclass(slots=True)
class _Table:
    """One table as it stands in the file.

    Attributes
    ----------
    columns : list of (Column or None, unit or "") for each cell of the header
    cells : list of (line, cells)
    comma : bool
        Commas are decimal commas.
    made : set of str
        Ids that rows without one were given, as in “node n1”.

    """

    kind: TableKind
    line: int
    header: Sequence[str]
    columns: Columns
    cells: list[tuple[int, list[str]]] = field(default_factory=list)
    comma: bool = False
    made: set[str] = field(default_factory=set)

    def left_out(self) -> Iterator[str]:
        """A sentence for each column that nothing is known about."""
        for (column, _), title in zip(self.columns, self.header, strict=True):
            if column is None and title.strip():
                yield f"Column “{shown(title.strip())}” of the {self.kind}s left out: its title is not known."

    def rows(self, unit: str | None) -> list[Row]:
        """The rows as parts."""
        return [self._part(line, cells, number, unit) for number, (line, cells) in enumerate(self.cells, start=1)]

    def _part(self, line: int, cells: list[str], number: int, unit: str | None) -> Row:
        if any(cell.strip() for cell in cells[len(self.columns) :]):
            raise ImportFileError(
                f"Line {line}: there are more cells than titles in the header; where numbers have decimal commas, save "
                "with semicolons between the cells."
            )
        values: dict[str, Any] = {}
        for (column, own), cell in zip(self.columns, cells, strict=False):
            if column is not None:
                where = f"Line {line}, column “{shown(column.title)}”"
                try:
                    self._put(values, column, cell, own or unit)
                except UnitMissingError:
                    raise UnitMissingError(
                        f"{where}: “{shown(cell.strip())}” has no unit; write it into the header, as in "
                        f"“{column.title} [in]”, or say which is meant."
                    ) from None
                except ImportFileError as refused:
                    raise ImportFileError(f"{where}: {refused}") from None
        for column in COLUMNS[self.kind]:
            if column.needed and not values.get(column.field) and values.get(column.field) != 0.0:
                raise ImportFileError(f"Line {line}: “{column.title}” is empty; fill it in.")
        if "id" not in values:
            values["id"] = f"{'n' if self.kind == 'node' else self.kind + '-'}{number}"
            self.made.add(f"{self.kind} {values['id']}")
        return _checked(self.kind, values, line)

    def _put(self, values: dict[str, Any], column: Column, cell: str, unit: str | None) -> None:
        text = cell.strip()
        if not text:
            return
        if column.holds == "length":
            values[column.field] = _length(text, unit, comma=self.comma)
        elif column.holds == "flag":
            values[column.field] = _flag(text)
        elif column.holds == "refs":
            values[column.field] = (*values.get(column.field, ()), *_refs(text))
        elif column.holds == "loops":
            values[column.field] = tuple(loop for part in text.split("/") if (loop := _refs(part)))
        elif column.holds == "id":
            values[column.field] = text
        else:
            values[column.field] = text[1:] if _FORMULA.match(text[1:]) and text[0] == "'" else text


def _tables(text: str, kind: TableKind | None) -> list[_Table]:
    """The tables that stand in a text."""
    if all(sign in _BETWEEN or sign.isspace() for sign in text):
        raise ImportFileError("There is nothing in it; choose a file, or copy a table, with a header and rows.")
    if text.count("\n") + text.count("\r") > MOST_LINES:
        raise _too_many()
    for delimiter in "\t;,":
        rows = _rows(text, delimiter)
        tables = _split(rows)
        if tables:
            break
    else:
        tables = [_without_header(text, kind)]
    if sum(len(table.cells) for table in tables) > MOST_PIECES:
        raise _too_many()
    _find_decimal_sign(tables)
    return tables


def _too_many() -> ImportFileError:
    return ImportFileError(f"There are more than {MOST_PIECES:,} rows; bring in fewer.")


def _rows(text: str, delimiter: str) -> list[tuple[int, list[str]]]:
    """Rows that are not blank, each with its line."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        return [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error:
        raise ImportFileError(f"Line {reader.line_num}: a cell does not end; close its quotation mark.") from None


def _split(rows: list[tuple[int, list[str]]]) -> list[_Table]:
    """The tables, each from its header on; none if the first row is no header."""
    tables: list[_Table] = []
    for line, row in rows:
        first = next(cell.strip().lower() for cell in row if cell.strip())
        if first in TITLES and sum(bool(cell.strip()) for cell in row) == 1:
            continue
        header = _header(line, row)
        if header is not None:
            tables.append(header)
            if len(tables) > MOST_TABLES:
                raise ImportFileError(f"There are more than {MOST_TABLES:,} headers; bring in fewer tables.")
        elif tables:
            tables[-1].cells.append((line, row))
        else:
            break
    return tables


def _header(line: int, row: Sequence[str]) -> _Table | None:
    """The empty table that a header row begins; None = it is no header."""
    found = columns_of(row)
    if found is None:
        return None
    kind, columns = found
    _refuse_same_titles(line, row, columns)
    return _Table(kind, line, row, columns)


def _refuse_same_titles(line: int, row: Sequence[str], columns: Columns) -> None:
    seen: set[str] = set()
    for cell, (column, _) in zip(row, columns, strict=True):
        if column is not None:
            name = cell.strip().lower() if column.holds == "refs" else column.field
            if name in seen:
                raise ImportFileError(f"Line {line}: the column “{column.title}” is there twice; remove one.")
            seen.add(name)


def _without_header(text: str, kind: TableKind | None) -> _Table:
    """The table of a text that has no header, with its columns in their usual order."""
    first = next(line for line in text.splitlines() if line.strip())
    rows = _rows(text, max("\t;,", key=first.count))
    width = max(len(row) for _, row in rows)
    if kind is None:
        if width not in {3, 4} or not all(re.search(r"\d", cell) for _, row in rows for cell in row[-3:]):
            raise ImportFileError(
                f"Line {rows[0][0]}: no table begins here; write a header above it, for example "
                "“node, x [in], y [in], z [in]” or “bar, nodes, od [in], wall [in]”."
            )
        kind = "node"
    columns = COLUMNS[kind]
    if kind == "node" and width == len(columns) - 1:
        columns = columns[1:]
    return _Table(kind, rows[0][0], [""] * len(columns), [(column, "") for column in columns], rows)


def _find_decimal_sign(tables: list[_Table]) -> None:
    """Settle whether commas are decimal commas: they are where one of them can be nothing else."""
    numbers = [
        cell.strip()
        for table in tables
        for _, row in table.cells
        for (column, _), cell in zip(table.columns, row, strict=False)
        if column is not None and column.holds == "length"
    ]
    comma = any(_COMMA.fullmatch(text) and not _TWO_WAYS.fullmatch(text) for text in numbers)
    for table in tables:
        table.comma = comma


def _length(text: str, unit: str | None, *, comma: bool) -> float:
    """A length [mm]; `unit` is that of a plain number."""
    if comma and _TWO_WAYS.fullmatch(text) and "." in text:
        raise ImportFileError(
            f"“{text}” can be read two ways, for other numbers of the table have decimal commas; "
            f"write “{text.replace('.', ',')}” or “{text.replace('.', '')}”."
        )
    if comma and _COMMA.fullmatch(text):
        text = text.replace(",", ".")
    if len(text) <= _LONGEST_NUMBER and _NUMBER.fullmatch(text):
        if unit is None:
            raise UnitMissingError
        return _times(text, UNITS[unit])
    try:
        mm = parse_length(text, LengthUnit.MM)
        if mm == parse_length(text, LengthUnit.INCH):
            return mm  # it bears its own unit
        if unit is None:
            raise UnitMissingError
        if unit in {"mm", "in"}:
            return parse_length(text, LengthUnit.MM if unit == "mm" else LengthUnit.INCH)
        return float(Fraction(mm) * UNITS[unit])
    except LengthError as refused:
        sentence = one_line(str(refused))
        raise ImportFileError(f"{sentence[:1].lower()}{sentence[1:]}") from None


def _times(text: str, size: Fraction) -> float:
    """A plain number times the size of its unit, rounded once."""
    try:
        return float(text) if size == 1 else float(Fraction(text) * size)
    except OverflowError:
        raise ImportFileError(f"“{shown(text)}” is too large; write a smaller number.") from None


def _flag(text: str) -> bool:
    if (word := text.lower()) not in _YES | _NO:
        raise ImportFileError(f"“{shown(text)}” is neither “yes” nor “no”; write one of them.")
    return word in _YES


def _refs(text: str) -> tuple[str, ...]:
    """Node references of a cell; typographic apostrophes are apostrophes."""
    return tuple(word for word in re.split(r"[\s,;|]+", re.sub("[’′´`]", "'", text)) if word)


def _checked(kind: TableKind, values: dict[str, Any], line: int) -> Row:
    """The part that the values of a row make."""
    try:
        if kind == "node":
            return part_from_plain({"id": values["id"], "at": [values[axis] for axis in "xyz"]}, Node)
        plain = _usable_id(values)
        if kind == "bar":
            return part_from_plain(plain, Bar)
        if kind == "panel":
            return part_from_plain(plain, Panel)
        axle = plain.pop("axle_id")
        for end in ("chassis", "axle"):
            plain[end] = [plain.pop(f"{end}_{axis}") for axis in "xyz"]
        return part_from_plain({"axle": axle, "rod": plain}, Link)
    except RigError as refused:
        raise ImportFileError(f"Line {line}: {one_line(refused.problem)}.") from None


def _usable_id(values: dict[str, Any]) -> dict[str, Any]:
    """Values in which “Main hoop” is the name, and “Main-hoop” the id."""
    bare = _NOT_IN_IDS.sub("-", values["id"]).strip("-_.")
    if bare == values["id"] or not bare:
        return dict(values)
    return {"name": values["id"], **values, "id": bare}


def _refuse_twice(kind: TableKind, parts: Iterable[Row]) -> None:
    seen: set[str] = set()
    for part in parts:
        if part.id in seen:
            raise ImportFileError(f"There are two {kind}s “{part.id}”; give one of them another name.")
        seen.add(part.id)


# Writing


def write_table(kind: TableKind, rows: Iterable[Row], unit: str = "mm", *, delimiter: str = "\t") -> str:
    """A table as text, with a header; reading it gives equal rows.

    Parameters
    ----------
    unit : str
        Unit of the lengths, a key of UNITS. Each is written with the fewest digits that read back as the same.
    delimiter : str
        What parts the cells: a tab is what spreadsheets paste.

    """
    columns = COLUMNS[kind]
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter)
    writer.writerow([f"{column.title} [{unit}]" if column.holds == "length" else column.title for column in columns])
    for row in rows:
        values = _values(row)
        writer.writerow([_cell(column, values[column.field], unit) for column in columns])
    return text.getvalue()


def write_tables(rig: Rig, unit: str = "mm") -> bytes:
    """The CSV file of a rig: nodes, bars, panels and links, one table below another.

    It is UTF-8 and begins with the mark by which spreadsheets know that.
    """
    links = [Link(axle=axle.id, rod=rod) for axle in rig.axles for rod in axle.rods]
    tables: Mapping[TableKind, Iterable[Row]] = {
        "node": rig.nodes,
        "bar": rig.bars,
        "panel": rig.panels,
        "link": links,
    }
    return "\r\n".join(write_table(kind, rows, unit, delimiter=",") for kind, rows in tables.items()).encode(
        "utf-8-sig"
    )


def _values(row: Row) -> dict[str, Any]:
    """Fields of a part by the names that columns have for them."""
    part = row.rod if isinstance(row, Link) else row
    values = {name: getattr(part, name) for name in part.__struct_fields__}
    if isinstance(row, Node):
        values |= dict(zip("xyz", row.at, strict=True))
    elif isinstance(row, Link):
        values["axle_id"] = row.axle
        for name, end in (("chassis", row.rod.chassis), ("axle", row.rod.axle)):
            values |= {f"{name}_{axis}": value for axis, value in zip("xyz", end, strict=True)}
    return values


def _cell(column: Column, value: Any, unit: str) -> str:
    if column.holds == "length":
        return _written(value, UNITS[unit])
    if column.holds == "flag":
        return "yes" if value else "no"
    if column.holds == "refs":
        return " ".join(value)
    if column.holds == "loops":
        return " / ".join(" ".join(loop) for loop in value)
    return f"'{value}" if _FORMULA.match(value) else str(value)


def _written(mm: float, size: Fraction) -> str:
    """A length in a unit of that size [mm], with the fewest digits that read back as the same."""
    exact = Fraction(mm) / size
    short = Decimal(repr(float(exact)))
    for digits in range(_FLOAT_DIGITS, _MOST_DIGITS):
        if float(Fraction(short) * size) == mm:
            break
        short = Context(prec=digits).divide(Decimal(exact.numerator), Decimal(exact.denominator))
    plain = format(short.normalize(), "f")
    return plain if len(plain) <= _MOST_DIGITS else str(short)
