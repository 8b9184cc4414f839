"""What a form is made of: values with their words, kind and how each is measured, in groups."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal, Protocol

from msgspec import Struct

from app.panels.records.places import Place, value_at, with_value
from geometry.rig.parts import Point
from geometry.rig.rig import Rig

Kind = Literal[
    "tape", "fine", "angle", "mass", "number", "text", "note", "day", "lengths", "numbers", "texts", "choice", "tick",
]  # fmt: skip
"""``tape``: a length to a 32nd; ``fine``: one of a few millimetres, as a saw cut."""

TYPED: Final = frozenset({"tape", "fine", "angle", "mass", "number"})
"""Kinds of one typed number."""

MOST_TOLD: Final = 3
"""Missing values that are named; of more only the count is told."""


@dataclass(frozen=True, slots=True)
class Item:
    """One value.

    Attributes
    ----------
    words : str
        Its label.
    path : Place
        From the record that the form is about.
    tip : str
        How to measure it, one sentence.
    empty : str
        What an empty field says; of a `needed` value, which cannot be left out, nothing.
    choices : dict
        What can be chosen, and how it is called.
    plain : object
        Value that nobody needs to have entered; of a number, what it is taken for as long as its field is empty.

    """

    words: str
    path: Place
    kind: Kind
    tip: str
    empty: str = "unknown"
    needed: bool = False
    choices: Mapping[Any, str] = field(default_factory=dict)
    plain: Any = None

    @property
    def taken_for(self) -> float | None:
        """The number that counts where none is entered."""
        return self.plain if self.kind in TYPED else None

    def shown(self, value: Any) -> Any:
        """What its field shows of a value: nothing of one that nobody needs to have entered."""
        return None if value is not None and value == self.taken_for else value


class Whole(Protocol):
    """Values of a group that count only together, as the three coordinates of a point."""

    def values(self, rig: Rig, base: Place) -> tuple[Any, ...]:
        """What the rig has of each item."""

    def put(self, rig: Rig, base: Place, values: Sequence[Any]) -> Rig:
        """The rig with what these values, of which some may be unknown, make together."""

    def lacks(self, values: Sequence[Any]) -> str:
        """What is missing before they count, one sentence; empty = nothing."""


@dataclass(frozen=True, slots=True)
class Group:
    """Items under one title.

    Attributes
    ----------
    copied : tuple of two places, or None
        A button copies the record at the first to the second: of the left side to the right one.
    whole : Whole or None
        The items count only together.
    note : str
        Said below the title.

    """

    title: str
    items: tuple[Item, ...]
    copied: tuple[Place, Place] | None = None
    whole: Whole | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class WholePoint:
    """Three coordinates, which are a point once all of them are known; a `needed` one stays till then."""

    path: Place
    needed: bool = False

    def values(self, rig: Rig, base: Place) -> tuple[Any, ...]:
        """The coordinates [mm], or three times None."""
        point: Point | None = value_at(rig, (*base, *self.path))
        return point if point is not None else (None, None, None)

    def put(self, rig: Rig, base: Place, values: Sequence[Any]) -> Rig:
        """The rig with the point, or without it as long as a coordinate is unknown."""
        if self.needed and None in values:
            return rig
        changed: Rig = with_value(rig, (*base, *self.path), None if None in values else tuple(values))
        return changed

    def lacks(self, values: Sequence[Any]) -> str:
        """Which coordinates are missing."""
        missing = [axis for axis, value in zip("xyz", values, strict=True) if value is None]
        if not missing or (len(missing) == len("xyz") and not self.needed):
            return ""
        till = "until then it stays where it was" if self.needed else "the place counts once x, y and z are known"
        return f"Enter {_listed(missing)}, too: {till}."


@dataclass(frozen=True, slots=True)
class WholeRecord:
    """A record that is there once all that it cannot be without is known.

    Attributes
    ----------
    make : callable
        Makes it from its fields.
    items : tuple of Item
        With paths from the record.
    words : str
        What it is called inside a sentence.

    """

    path: Place
    make: Callable[..., Struct]
    items: tuple[Item, ...]
    words: str

    def values(self, rig: Rig, base: Place) -> tuple[Any, ...]:
        """What the rig has of each item; None where there is no record."""
        record = value_at(rig, (*base, *self.path))
        return tuple(None if record is None else _of_record(record, item.path) for item in self.items)

    def put(self, rig: Rig, base: Place, values: Sequence[Any]) -> Rig:
        """The rig with the record, or without it as long as something that it needs is unknown."""
        given: dict[str, Any] = {}
        for item, value in zip(self.items, values, strict=True):
            if value is None:
                continue
            if len(item.path) > 1:
                given[item.path[0]] = (*given.get(item.path[0], ()), value)
            else:
                given[item.path[0]] = value
        record = None if self._missing(values) else self.make(**given)
        changed: Rig = with_value(rig, (*base, *self.path), record)
        return changed

    def lacks(self, values: Sequence[Any]) -> str:
        """What is missing, as soon as anything of it is entered."""
        missing = self._missing(values)
        begun = any(item.shown(value) is not None for item, value in zip(self.items, values, strict=True))
        if not missing or not begun:
            return ""
        told = [f"{words[:1].lower()}{words[1:]}" for words in missing[:MOST_TOLD]]
        more = [f"{len(missing) - MOST_TOLD} more"] if len(missing) > MOST_TOLD else []
        return f"Enter {_listed([*told, *more])}, too: the {self.words} counts once all of it is known."

    def _missing(self, values: Sequence[Any]) -> list[str]:
        return [item.words for item, value in zip(self.items, values, strict=True) if item.needed and value is None]


def point_group(
    title: str,
    path: Place,
    tip: str,
    *,
    kind: Literal["tape", "number"] = "tape",
    needed: bool = False,
    empty: str = "unknown",
) -> Group:
    """A point, or a direction: forward, left, up."""
    ways = (("x, forward", "x"), ("y, left", "y"), ("z, up", "z"))
    items = tuple(Item(words, (*path, axis), kind, tip, empty, needed) for words, axis in ways)
    return Group(title, items, whole=WholePoint(path, needed))


def record_group(
    title: str, path: Place, make: Callable[..., Struct], items: tuple[Item, ...], note: str = ""
) -> Group:
    """A record of its own, whose items have paths from it."""
    placed = tuple(replace(item, path=(*path, *item.path)) for item in items)
    return Group(title, placed, whole=WholeRecord(path, make, items, title.partition(",")[0].lower()), note=note)


def _of_record(record: Struct, path: Place) -> Any:
    value = getattr(record, path[0])
    return value["xyz".index(path[1])] if len(path) > 1 else value


def _listed(words: Sequence[str]) -> str:
    return " and ".join(words) if len(words) < len("xyz") else f"{', '.join(words[:-1])} and {words[-1]}"


def is_known(rig: Rig, base: Place, groups: Sequence[Group]) -> bool:
    """Whether anything of some groups is entered."""
    return any(
        value not in {None, ""} and value != item.plain
        for group in groups
        for item, value in zip(group.items, values_of(rig, base, group), strict=True)
    )


def values_of(rig: Rig, base: Place, group: Group) -> tuple[Any, ...]:
    """What the rig has of each item of a group."""
    if group.whole is not None:
        return group.whole.values(rig, base)
    return tuple(value_at(rig, (*base, *item.path)) for item in group.items)
