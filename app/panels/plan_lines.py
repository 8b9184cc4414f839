"""Groups of numbers as the lines that the panel shows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from app.figures.figure import Figure, Group
from app.figures.places import place_words
from app.figures.words import Row, other_words, row_text, rows
from app.typeset import typeset
from app.units import LengthUnit, in_unit
from geometry.rig.rig import Rig

LineKind = Literal["head", "remark", "refusal", "row", "missing", "place"]

WORKING = "Working it out…"
STALE = "These follow when the rig rests."

FEW = 3
"""Missing values that the line below the list names; the rest it counts."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line, set for the screen.

    Attributes
    ----------
    cells : tuple of str
        Numbers, the last at the right edge; of a head, its headings.
    more, warning : str
        Lines below the label: what belongs to the number, and what is wrong with it.
    place : str
        Where in the rig a click leads; empty = nowhere.
    copied : str
        The same for the clipboard.
    faded : bool
        It is about the rig as it was.
    spans : bool
        Its one number belongs to none of the columns and stands across them.

    """

    kind: LineKind
    label: str
    cells: tuple[str, ...] = ()
    more: str = ""
    warning: str = ""
    place: str = ""
    copied: str = ""
    faded: bool = False
    spans: bool = False
    row: Row | None = None

    @property
    def spoken(self) -> str:
        """All of it in one sentence, for whoever hears it."""
        figures = () if self.row is None else self.row.figures
        named = [f"{figure.column} {cell}".strip() for figure, cell in zip(figures, self.cells, strict=False)]
        told = f"{self.label}: {', '.join(named)}" if named else self.label
        return "; ".join(words for words in (told, self.more, self.warning) if words)


@dataclass(frozen=True, slots=True)
class Lines:
    """A group's head, its lines, and the places of what is missing, which fold away."""

    head: Line
    lines: tuple[Line, ...]
    missing: tuple[Line, ...]


def waiting(title: str) -> Lines:
    """A group that is not worked out yet."""
    return Lines(Line("head", title, copied=title), (Line("remark", WORKING, copied=WORKING),), ())


def lines_of(rig: Rig, group: Group, unit: LengthUnit, *, stale: bool = False) -> Lines:
    """A group as lines; `stale` = it is about the rig as it was."""
    heads = tuple(column.capitalize() for column in group.columns)
    shown = heads if any(figure.column for figure in group.figures) else ()
    head = Line("head", group.title, shown, copied="\t".join((group.title, *shown)))
    missing = tuple(_place(rig, place, group.axle) for place in group.missing)
    return Lines(head, tuple(_lines(group, unit, stale=stale)), missing)


def _lines(group: Group, unit: LengthUnit, *, stale: bool) -> Iterator[Line]:
    for refusal in group.refusals:
        sentence = in_unit(refusal.sentence, unit)
        yield Line("refusal", typeset(f"Cannot be built: {sentence}"), place=refusal.place, copied=sentence)
    remark = " ".join(words for words in (in_unit(group.remark, unit), STALE if stale else "") if words)
    if remark:
        yield Line("remark", typeset(remark), copied=remark)
    for row in rows(group, unit):
        yield Line(
            "row",
            typeset(row.label),
            tuple(map(typeset, row.cells)),
            typeset(row.note),
            typeset(row.warning),
            place=next((place for figure in row.figures for place in figure.amount.missing), ""),
            copied=row_text(row),
            faded=stale,
            spans=row.is_single and any(figure.column for figure in group.figures),
            row=row,
        )


def _place(rig: Rig, place: str, axle_id: str) -> Line:
    words = place_words(rig, place, axle_id)
    return Line("place", f"{words[:1].upper()}{words[1:]}", place=place, copied=words)


def missing_head(count: int) -> Line:
    """The line that the missing values fold under."""
    words = f"{count} {'value is' if count == 1 else 'values are'} missing"
    return Line("missing", words, copied=words)


def definition(row: Row) -> str:
    """What the numbers of a row are: one sentence, or one for each column that has another."""
    return " ".join(dict.fromkeys(figure.definition for figure in row.figures))


def in_other_unit(row: Row, unit: LengthUnit) -> str:
    """The numbers of a row in the other unit; empty = they have none."""
    told = [_with_column(figure, other_words(figure, unit)) for figure in row.figures]
    return ", ".join(words for words in told if words)


def _with_column(figure: Figure, words: str) -> str:
    return f"{figure.column} {words}".strip() if words else ""
