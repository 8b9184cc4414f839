"""What can be done to a rig in a table: cells changed, rows added and deleted, a block pasted. Rig in, rig out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from app.files.imported import count_words
from app.panels.tables.sheets import ID, PartSheet, Sheet, plain_title, value_at, with_value
from app.units import LengthUnit
from geometry.rig.rig import Rig
from geometry.sketch.names import renamed
from geometry.sketch.removal import without

MOST_NAMED: Final = 6
"""Most parts that a message names one by one: more do not fit into two lines."""


class TableError(ValueError):
    """A table cannot take what was entered; the text is one sentence that says where."""


@dataclass(frozen=True, slots=True)
class Typed:
    """What was entered for one cell, and the unit in which a plain number is meant."""

    text: str
    unit: LengthUnit


def with_text(rig: Rig, sheet: Sheet, row: int, column: int, typed: Typed) -> Rig:
    """The rig with one cell read from a text; a new id is followed by all that refers to it.

    Raises
    ------
    ValueError
        When the text says no value of this kind, RigError when the id is no free one.

    """
    if says_the_same(rig, sheet, row, column, typed):
        return rig
    field, path, part = sheet.field(rig, row, column), sheet.path(rig, row, column), sheet.part(rig, row, column)
    if field is None or part is None:
        raise TableError("there is nothing to enter here")
    value = field.cell.read(typed.text, typed.unit)
    if value == value_at(rig, path):
        return rig
    if path[-1] == ID:
        return renamed(rig, part, value)
    changed: Rig = with_value(rig, path, value)
    return changed


def says_the_same(rig: Rig, sheet: Sheet, row: int, column: int, typed: Typed) -> bool:
    """Whether a text is what the cell holds already; raises TableError when it is another and cannot be changed."""
    if sheet.field(rig, row, column) is not None:
        return typed.text.strip() == sheet.text(rig, row, column, typed.unit)
    label = sheet.label(rig, row, column, typed.unit)
    if plain_title(typed.text)[0] != plain_title(label)[0]:
        raise TableError(f"“{label}” cannot be changed here" if label else "there is nothing to enter here")
    return True


def with_new(rig: Rig, sheet: PartSheet, typed: Mapping[int, Typed]) -> Rig:
    """The rig with a new part of these texts by column; what is not given is as habit has it.

    Raises
    ------
    ValueError
        When a text cannot be read, or one that is needed is missing.

    """
    parts = sheet.parts(rig)
    return sheet.with_parts(rig, (*parts, new_part(sheet, parts, typed, sheet.free_id(parts))))


def without_rows(rig: Rig, sheet: PartSheet, rows: Sequence[int]) -> Rig:
    """The rig without the parts of these rows; raises RigError where they cannot be spared."""
    parts = (sheet.part(rig, row, 0) for row in rows)
    return without(rig, [part for part in parts if part is not None], nodes_too=False)


def new_part(sheet: PartSheet, parts: Sequence[Any], typed: Mapping[int, Typed], free_id: str) -> Any:
    """A new part that follows `parts`; raises ValueError as `with_new`."""
    values = {0: free_id, **sheet.habits(parts)}
    for column, one in enumerate(sheet.fields):
        if column in typed and typed[column].text.strip():
            try:
                values[column] = one.cell.read(typed[column].text, typed[column].unit)
            except ValueError as refused:
                raise TableError(f"{one.title}: {refused}") from None
    missing = [one.title for column, one in enumerate(sheet.fields) if column not in values]
    if missing:
        *most, last = missing
        words = f"{', '.join(most)} and {last} are" if most else f"{last} is"
        raise TableError(f"{words} missing; enter what the new {sheet.kind} has there")
    return sheet.made_of(values)


def told(sheet: Sheet, before: Rig, after: Rig) -> str:
    """What became of a table's parts: “2 nodes added; 1 node changed: q8”."""
    old, new = sheet.named(before), sheet.named(after)
    added = [name for name in new if name not in old]
    changed = [name for name in new if name in old and new[name] != old[name]]
    words = []
    if added:
        single = sum(not getattr(new[name], "mirrored", True) for name in added)
        which = "" if not single else ", on one side only" if single == len(added) else f", {single} on one side only"
        words.append(f"{count_words(len(added), sheet.kind)} added{which}")
    if changed:
        more = f" and {len(changed) - MOST_NAMED} more" if len(changed) > MOST_NAMED else ""
        listed = f"{', '.join(changed[:MOST_NAMED])}{more}"
        words.append(f"{count_words(len(changed), sheet.kind)} changed: {listed}")
    return "; ".join(words) or "nothing is other than before"
