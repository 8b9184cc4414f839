"""What a form is made of: values with their words, kind and how each is measured, in groups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol

from app.panels.records.places import Place, value_at, with_value
from geometry.rig.parts import Point
from geometry.rig.rig import Rig

Kind = Literal["tape", "fine", "angle", "mass", "number", "text", "note", "day", "lengths", "choice", "tick"]
"""``tape``: a length to a 32nd; ``fine``: one of a few millimetres, as a saw cut."""


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
        Value that nobody needs to have entered.

    """

    words: str
    path: Place
    kind: Kind
    tip: str
    empty: str = "unknown"
    needed: bool = False
    choices: Mapping[Any, str] = field(default_factory=dict)
    plain: Any = None


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
    """Three coordinates, which are a point once all of them are known."""

    path: Place

    def values(self, rig: Rig, base: Place) -> tuple[Any, ...]:
        """The coordinates [mm], or three times None."""
        point: Point | None = value_at(rig, (*base, *self.path))
        return point if point is not None else (None, None, None)

    def put(self, rig: Rig, base: Place, values: Sequence[Any]) -> Rig:
        """The rig with the point, or without it as long as a coordinate is unknown."""
        changed: Rig = with_value(rig, (*base, *self.path), None if None in values else tuple(values))
        return changed

    def lacks(self, values: Sequence[Any]) -> str:
        """Which coordinates are missing."""
        missing = [axis for axis, value in zip("xyz", values, strict=True) if value is None]
        if len(missing) in {0, 3}:
            return ""
        return f"Enter {' and '.join(missing)}, too: the place counts once x, y and z are known."


def point_group(title: str, path: Place, tip: str) -> Group:
    """A point: forward, left, up."""
    ways = (("x, forward", "x"), ("y, left", "y"), ("z, up", "z"))
    items = tuple(Item(words, (*path, axis), "tape", tip) for words, axis in ways)
    return Group(title, items, whole=WholePoint(path))


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
