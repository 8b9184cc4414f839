"""A whole list of records as a block of cells: out to a spreadsheet exactly, and back in, new ones and changed ones."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from msgspec.structs import replace

from app.mass_units import mass_sign, parse_mass, parse_number
from app.panels.entry_field import refusal_words
from app.panels.records.items import Group, Item, WholePoint
from app.panels.records.kinds import ASKED
from app.panels.records.places import Place, value_at, with_value
from app.panels.records.topics import FIXED, ITEMS, LISTS, WORDS, Topic, TopicKind
from app.panels.tables.cells import NO, YES
from app.panels.tables.paste import read_block, written_block
from app.panels.tables.sheets import plain_title
from app.units import LengthUnit, exact_length, parse_angle, parse_length
from geometry.errors import RigError
from geometry.rig.check import check_rig
from geometry.rig.rig import Rig
from geometry.sketch.names import free_id

ID: Final = "id"
"""Title of the column by which a record that is there already is found again."""

LENGTHS: Final = frozenset({"tape", "fine"})


class ListError(ValueError):
    """A block of cells cannot be taken in; the text is one sentence that says where."""


@dataclass(frozen=True, slots=True)
class Pasted:
    """A rig with a block of cells taken in, and how many records of it are new, and changed."""

    rig: Rig
    added: int
    changed: int


def list_text(rig: Rig, topic: Topic, unit: LengthUnit) -> str:
    """The list of a topic with headings, tab-separated, every number as it is."""
    kind = ITEMS[topic.kind]
    columns = _columns(kind)
    rows = [[ID, *(_heading(title, item, unit) for title, (item, _) in columns.items())]]
    for record in _records(rig, topic):
        values = (_value(record, item, group) for item, group in columns.values())
        texts = (_text(item, value, unit) for (item, _), value in zip(columns.values(), values, strict=True))
        rows.append([record.id, *texts])
    return written_block(rows)


def with_list(rig: Rig, topic: Topic, text: str, unit: LengthUnit) -> Pasted:
    """The rig with a block of cells below headings taken in: a known id changes its record, everything else is new.

    Raises
    ------
    ValueError
        With the row that cannot be used; then nothing of it is taken.

    """
    kind = ITEMS[topic.kind]
    block = [row for row in read_block(text) if any(cell.strip() for cell in row)]
    places = _places(kind, block[0], unit)
    records = {record.id: record for record in _records(rig, topic)}
    before, numbers = dict(records), {}
    for number, row in enumerate(block[1:], start=2):
        try:
            known, values = _read(kind, places, row)
            new = known or free_id(list(records), f"{WORDS[kind].rpartition(' ')[2]}-")
            if new in numbers:
                raise ListError(f"the id “{new}” is there twice; remove one")
            records[new] = replace(records[new], **values) if new in records else _made(kind, new, values)
        except ValueError as refused:
            raise ListError(f"Row {number}: {_lowered(refusal_words(refused, unit))}") from None
        numbers[new] = number
    place = (*topic.base, *LISTS[kind])
    after: Rig = with_value(rig, place, tuple(records.values()))
    _check(after, numbers, list(records), unit)
    changed = sum(records[one] != record for one, record in before.items())
    return Pasted(after, len(records) - len(before), changed)


def _check(rig: Rig, numbers: Mapping[str, int], order: Sequence[str], unit: LengthUnit) -> None:
    """Refuse a rig that cannot be, with the row that makes it so where one does."""
    try:
        check_rig(rig)
    except RigError as refused:
        index = refused.place.rpartition("[")[2].partition("]")[0]
        one = order[int(index)] if index.isdecimal() and int(index) < len(order) else ""
        at = f"Row {numbers[one]}: " if one in numbers else ""
        words = refusal_words(refused, unit)
        raise ListError(f"{at}{_lowered(words) if at else words}") from None


def _records(rig: Rig, topic: Topic) -> tuple[Any, ...]:
    records: tuple[Any, ...] = value_at(rig, (*topic.base, *LISTS[ITEMS[topic.kind]]))
    return records


def _columns(kind: TopicKind) -> dict[str, tuple[Item, Group]]:
    """Items by their titles in small letters; coordinates along with their point where there are several."""
    groups = ASKED[kind][1]
    several = sum(isinstance(group.whole, WholePoint) for group in groups) > 1
    return {
        f"{group.title.lower()} {_title(item)}" if several and isinstance(group.whole, WholePoint) else _title(item): (
            item,
            group,
        )
        for group in groups
        for item in group.items
    }


def _title(item: Item) -> str:
    return item.words.partition(":")[0].partition(",")[0].lower()


def _heading(title: str, item: Item, unit: LengthUnit) -> str:
    sign = unit.sign if item.kind in LENGTHS else {"mass": mass_sign(LengthUnit.MM), "angle": "°"}.get(item.kind, "")
    return f"{title} [{sign}]" if sign else title


def _value(record: Any, item: Item, group: Group) -> Any:
    if not isinstance(group.whole, WholePoint):
        return getattr(record, item.path[0])
    point = getattr(record, group.whole.path[0])
    return None if point is None else point["xyz".index(item.path[-1])]


def _text(item: Item, value: Any, unit: LengthUnit) -> str:
    if value is None:
        return ""
    if item.kind in LENGTHS:
        return exact_length(value, unit)
    if item.kind == "tick":
        return "yes" if value else "no"
    return f"{value:.15g}" if isinstance(value, float) else str(value)


def _places(kind: TopicKind, titles: Sequence[str], unit: LengthUnit) -> list[tuple[str, LengthUnit]]:
    """Which column goes where, and in which unit its plain lengths are meant."""
    known = {ID, *_columns(kind)}
    found = []
    for title in titles:
        words, named = plain_title(title.partition("[kg]")[0])
        if words not in known:
            told = ", ".join([ID, *_columns(kind)])
            raise ListError(f"The first row must be headings, and “{title.strip()}” is none of: {told}.")
        found.append((words, named or unit))
    return found


def _read(kind: TopicKind, places: Sequence[tuple[str, LengthUnit]], row: Sequence[str]) -> tuple[str, dict[str, Any]]:
    """The id that a row names, and the values of its record by field."""
    columns, given, known = _columns(kind), {}, ""
    if any(cell.strip() for cell in row[len(places) :]):
        raise ListError("there are more cells than headings")
    point: dict[Place, dict[str, Any]] = {}
    for cell, (title, unit) in zip(row, places, strict=False):
        if title == ID:
            known = cell.strip()
            continue
        item, group = columns[title]
        try:
            value = _value_of(item, cell.strip(), unit)
        except ValueError as refused:
            raise ListError(f"{title}: {refused}") from None
        if isinstance(group.whole, WholePoint):
            point.setdefault(group.whole.path, {})[item.path[-1]] = value
        elif value is not None or not item.needed:
            given[item.path[0]] = item.taken_for if value is None else value
    for path, axes in point.items():
        if (None in axes.values() and any(value is not None for value in axes.values())) or len(axes) < len("xyz"):
            raise ListError("the place has x, y and z; give all three of them, or none")
        given[path[0]] = None if None in axes.values() else (axes["x"], axes["y"], axes["z"])
    return known, {name: value for name, value in given.items() if value is not ...}


def _value_of(item: Item, text: str, unit: LengthUnit) -> Any:
    if item.kind == "text":
        return text
    if item.kind == "tick":
        return _yes(text)
    if item.kind == "choice":
        return _choice(item, text)
    if not text:
        return None
    if item.kind in LENGTHS:
        return parse_length(text, unit)
    return {"mass": _kilograms, "number": parse_number}.get(item.kind, parse_angle)(text)


def _kilograms(text: str) -> float:
    """A mass of a table, whose heading says kg whatever lengths are shown in."""
    return parse_mass(text, LengthUnit.MM)


def _yes(text: str) -> bool:
    if text.lower() not in YES | NO:
        raise ListError(f"“{text}” is neither yes nor no; write one of these two")
    return text.lower() in YES


def _choice(item: Item, text: str) -> Any:
    if not text:
        return ...  # as it is, or as a new one has it
    for value, words in item.choices.items():
        if text.lower() in {str(value).lower(), words.lower()}:
            return value
    raise ListError(f"“{text}” is none of {', '.join(map(str, item.choices))}")


def _made(kind: TopicKind, new: str, values: Mapping[str, Any]) -> Any:
    if kind in FIXED:
        raise ListError(f"there is no {WORDS[kind]} “{new}”; draw it first, or correct its id")
    missing = [title for title, (item, _) in _columns(kind).items() if item.needed and values.get(item.path[0]) is None]
    if kind == "limit" and "measure" not in values:
        missing.append("measured at")
    if missing:
        raise ListError(f"{' and '.join(missing)} {'are' if len(missing) > 1 else 'is'} missing; a new one needs it")
    return ASKED[kind][0](id=new, **values)


def _lowered(words: str) -> str:
    return f"{words[:1].lower()}{words[1:]}" if words[:2] != words[:2].upper() else words
