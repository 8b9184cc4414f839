"""The columns of the tables of nodes, bars, panels and links, and how a header row is understood."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from app.files.imported import Link
from geometry.rig.parts import Bar, Node, Panel

TableKind = Literal["node", "bar", "panel", "link"]
Row = Node | Bar | Panel | Link


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its field of the part, its title, other titles that are understood, and what it holds.

    `holds` is ``id``, ``text``, ``refs`` (node references parted by blanks), ``loops`` (such lists parted by
    slashes), ``length`` or ``flag``.
    """

    field: str
    title: str
    others: tuple[str, ...] = ()
    holds: Literal["id", "text", "refs", "loops", "length", "flag"] = "length"
    needed: bool = False


def _point(name: str, title: str) -> tuple[Column, ...]:
    return tuple(Column(f"{name}{axis}", f"{title}{axis}", needed=True) for axis in "xyz")


COLUMNS: Final[Mapping[TableKind, tuple[Column, ...]]] = {
    "node": (
        Column("id", "node", ("id", "name", "point"), "id"),
        *_point("", ""),
    ),
    "bar": (
        Column("id", "bar", ("id", "tube"), "id"),
        Column("name", "name", ("label",), "text"),
        Column("nodes", "nodes", ("node names",), "refs", needed=True),
        Column("od", "od", ("outside diameter", "diameter"), needed=True),
        Column("wall", "wall", ("wall thickness",), needed=True),
        Column("bend_radius", "bend radius", ("radius", "clr")),
        Column("mirrored", "mirrored", ("mirror",), "flag"),
    ),
    "panel": (
        Column("id", "panel", ("id",), "id"),
        Column("name", "name", ("label",), "text"),
        Column("facets", "corners", ("facets",), "loops", needed=True),
        Column("thickness", "thickness"),
        Column("fitted", "fitted", (), "flag"),
        Column("mirrored", "mirrored", ("mirror",), "flag"),
    ),
    "link": (
        Column("id", "link", ("id", "rod"), "id"),
        Column("name", "name", ("label",), "text"),
        Column("axle_id", "of axle", ("axle",), "id", needed=True),
        *_point("chassis_", "chassis "),
        *_point("axle_", "axle "),
        Column("od", "od", ("outside diameter", "diameter")),
        Column("joint_room", "joint room"),
    ),
}
"""The columns of each table in the order in which they are written."""

TITLES: Final = {"nodes", "bars", "panels", "links"}
"""What may stand alone in a row above a table."""

ENDS: Final = (("from", "to"), ("node 1", "node 2"), ("start", "end"), ("a", "b"))
"""Pairs of titles that name the two nodes of a straight bar, in place of the column of nodes."""

_UNIT = re.compile(
    r"(?P<title>.*?)[\s,_]*(?P<open>[\[(]?)\s*(?P<unit>mm|cm|m|in|inch|inches|ft|feet|\")\s*[\])]?", re.DOTALL
)
_UNIT_WORDS: Final = {"inch": "in", "inches": "in", '"': "in", "feet": "ft"}


Columns = list[tuple[Column | None, str]]
"""For each cell of a header its column, None = not known, and the unit it names, empty = none."""


def columns_of(row: Sequence[str]) -> tuple[TableKind, Columns] | None:
    """What table a header row begins, and its columns; None = it is no header."""
    for kind, known in COLUMNS.items():
        columns = titles_of(kind, row)
        if {column.field for column in known if column.needed} <= {column.field for column, _ in columns if column}:
            return kind, columns
    return None


def titles_of(kind: TableKind, row: Sequence[str]) -> Columns:
    """The columns that a header row names, if it is one of a table of this kind."""
    titles = [_title(cell) for cell in row]
    words = [title for title, _ in titles]
    columns = {word: column for column in COLUMNS[kind] for word in (column.title, *column.others)}
    if kind == "bar" and not {"nodes", "node names"} & set(words):
        ends = next((pair for pair in ENDS if set(pair) <= set(words)), ())
        columns |= dict.fromkeys(ends, columns["nodes"])
    found = _with_id(kind, words, [columns.get(word) for word in words])
    return [(column, unit) for column, (_, unit) in zip(found, titles, strict=True)]


def _with_id(kind: TableKind, words: list[str], found: list[Column | None]) -> list[Column | None]:
    """Where no column holds ids, that of the names does."""
    ids = COLUMNS[kind][0]
    if ids in found or "name" not in words:
        return found
    return [ids if word == "name" else column for word, column in zip(words, found, strict=True)]


def _title(cell: str) -> tuple[str, str]:
    """Title and unit of a column."""
    text = " ".join(cell.replace("_", " ").lower().split())
    found = _UNIT.fullmatch(text)
    if found and found["title"] and (found["open"] or text[len(found["title"])] in ' ,"'):
        return found["title"], _UNIT_WORDS.get(found["unit"], found["unit"])
    return text, ""
