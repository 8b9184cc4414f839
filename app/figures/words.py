"""Figures as text, the same in the panel, copied, and on the command line; signs are plain, `app.typeset` sets them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from math import degrees
from typing import Final

from app.figures.figure import Figure, Group, Kind
from app.figures.places import axle_words, place_words
from app.mass_units import format_mass
from app.units import LengthUnit, fine_unit, format_angle, format_clearance, format_length, in_unit
from app.wording import rests_words
from geometry.rig.rig import Rig

UNKNOWN: Final = "unknown"

POUND: Final = 0.45359237
"""A pound [kg], exact."""

KMH: Final = 1e6 / 3600.0
MPH: Final = KMH * 1.609344
"""A kilometre and a mile an hour [mm/s], exact."""

MARK_STEP: Final = 1 / 32
"""Marks are told to this fraction of an inch [in]: the finest that a tape has and the cuts are rounded to."""


def _offset(value: float, unit: LengthUnit) -> str:
    """A place across the vehicle with its side."""
    words = format_length(abs(value), unit)
    return words if words == format_length(0.0, unit) else f"{words} {'left' if value > 0.0 else 'right'}"


_WORDS: Final[dict[Kind, Callable[[float, LengthUnit], str]]] = {
    "length": format_length,
    "fine": lambda value, unit: format_length(value, fine_unit(unit)),
    "mark": lambda value, unit: format_length(value, unit, step=MARK_STEP),
    "mark in mm": lambda value, _unit: format_length(value, LengthUnit.MM),
    "offset": _offset,
    "clearance": format_clearance,
    "angle": lambda value, _unit: format_angle(degrees(value)),
    "slope": lambda value, _unit: f"{value:+z.2f}° per degree",
    "mass": format_mass,
    "factor": lambda value, _unit: f"{value:z.2f}",
    "index": lambda value, _unit: f"{value:z.1f}",
    "share": lambda value, _unit: f"{100.0 * value:z.1f} %",
    "yes or no": lambda value, _unit: "yes" if value else "no",
    "speed": lambda value, unit: f"{value / KMH:z.1f} km/h" if unit is LengthUnit.MM else f"{value / MPH:z.1f} mph",
    "number": lambda value, _unit: f"{value:z.4g}",
}


def value_words(figure: Figure, unit: LengthUnit) -> str:
    """The number with its unit; “unknown” when something is missing, or that there is none."""
    value = figure.amount.value
    if value is None:
        return UNKNOWN if figure.amount.missing else figure.none
    return _WORDS[figure.kind](value, unit)


def other_words(figure: Figure, unit: LengthUnit) -> str:
    """The same number in the unit of the other system; empty where both are the same."""
    value, other = figure.amount.value, LengthUnit.INCH if unit is LengthUnit.MM else LengthUnit.MM
    if figure.kind == "mass" and value is not None:
        return f"{value / POUND:z.0f} lb"
    words = value_words(figure, other)
    return "" if words == value_words(figure, unit) else words


@dataclass(frozen=True, slots=True)
class Row:
    """One line: a label, a cell for each column (or one cell when there are no columns), and what goes with it."""

    label: str
    cells: tuple[str, ...]
    note: str
    warning: str
    figures: tuple[Figure, ...]

    @property
    def is_single(self) -> bool:
        """Whether it has one number that stands under no heading."""
        return not self.figures[0].column


def rows(group: Group, unit: LengthUnit) -> tuple[Row, ...]:
    """A group line by line."""
    return tuple(_row(group, figures, unit) for figures in group.rows())


def _row(group: Group, figures: tuple[Figure, ...], unit: LengthUnit) -> Row:
    first = figures[0]
    if first.column:
        by_column = {figure.column: value_words(figure, unit) for figure in figures}
        cells = tuple(by_column.get(column, "") for column in group.columns)
    else:
        cells = (value_words(first, unit),)
    notes = dict.fromkeys(in_unit(figure.note, unit) for figure in figures if figure.note)
    warnings = dict.fromkeys(_warning(figure, unit) for figure in figures if figure.warning)
    return Row(in_unit(first.label, unit), cells, "; ".join(notes), "; ".join(warnings), figures)


def _warning(figure: Figure, unit: LengthUnit) -> str:
    return f"{figure.column}: " * bool(figure.column) + in_unit(figure.warning, unit)


def row_text(row: Row) -> str:
    """One line for a table of another program: cells apart by tabs."""
    return "\t".join((row.label, *row.cells, *([_more(row)] if _more(row) else [])))


def group_lines(rig: Rig, group: Group, unit: LengthUnit) -> Iterator[str]:
    """A group as plain text: title, remark, refusals, rows with their cells in line, and what is missing."""
    yield group.title
    if group.remark:
        yield in_unit(group.remark, unit)
    yield from (f"Cannot be built: {in_unit(refusal.sentence, unit)}" for refusal in group.refusals)
    yield from _table(group, rows(group, unit))
    if group.missing:
        yield f"Missing: {', '.join(place_words(rig, place, group.axle) for place in group.missing)}."


def _more(row: Row) -> str:
    return "; ".join(words for words in (row.note, row.warning) if words)


def _table(group: Group, lines: tuple[Row, ...]) -> Iterator[str]:
    """Labels to the left, numbers to the right; one that belongs to no column stands across all of them."""
    if not lines:
        return
    heads = tuple(column.capitalize() for column in group.columns)
    room = max(len(row.label) for row in lines)
    count = max(len(heads), 1)
    cells = [*(row.cells for row in lines), heads]
    wide = [max(len(line[column]) for line in cells if column < len(line)) for column in range(count)]
    across = sum(wide) + 2 * (count - 1)
    if any(heads) and any(not row.is_single for row in lines):
        yield "  ".join((" " * (room + 2), *(head.rjust(width) for head, width in zip(heads, wide, strict=True))))
    for row in lines:
        numbers = "  ".join(cell.rjust(width) for cell, width in zip(row.cells, wide, strict=False))
        if row.is_single and count > 1:
            numbers = row.cells[0].center(across)
        more = f"  ({_more(row)})" if _more(row) else ""
        yield f"  {row.label.ljust(room)}  {numbers}{more}".rstrip()


def heading(rig: Rig, axle_id: str, unit: LengthUnit) -> str:
    """Which axle at which width, and whether that rests on values that nobody confirmed."""
    axle = rig.axle(axle_id)
    name = axle_words(rig, axle_id)
    words = f"{name[:1].upper()}{name[1:]}, {format_length(axle.width, unit)} wide."
    return f"{words} {rests_words(rig)}".rstrip()


def text_of(rig: Rig, axle_id: str, groups: Iterable[Group], unit: LengthUnit) -> str:
    """Groups of an axle as plain text, an empty line between them."""
    told = ("\n".join(group_lines(rig, group, unit)) for group in groups)
    return "\n\n".join((heading(rig, axle_id, unit), *told)) + "\n"
