"""What stands in each table: its columns, and where in the rig the value of a cell is."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import count
from typing import Any, Final, Literal

from msgspec import NODEFAULT, Struct
from msgspec.structs import replace

from app.files.columns import TableKind
from app.panels.tables.cells import (
    ANGLE,
    FACETS,
    FACING,
    FINE,
    LENGTH,
    NODES,
    OPEN_LENGTH,
    TEXT,
    YES_NO,
    Cell,
)
from app.units import LengthUnit
from geometry.rig.layout import PartRef
from geometry.rig.naming import housing_part, link_part, node_part
from geometry.rig.parts import Bar, Node, Panel
from geometry.rig.rig import Rig
from geometry.sketch.names import free_id

Path = tuple[str | int, ...]
"""Way from the rig to one of its values: field names and positions."""

ID: Final = "id"
"""Field whose change is a change of name, which everything that refers to it follows."""

STEMS: Final = {"node": "n", "bar": "bar-", "panel": "panel-"}
"""What the ids of new parts begin with."""

KEPT: Final = frozenset({"od", "wall", "thickness", "mirrored"})
"""Fields in which a new part is as the one before it."""

SIDES: Final = {"offset": "backspacing", "backspacing": "offset"}
"""Of these only one may be given; giving one takes the other away."""

_UNIT_BEHIND: Final = re.compile(r"(?P<title>.*?)\s*[(\[](?P<sign>mm|in|°)[)\]]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Field:
    """One value of a part: its title, its way from the part, its kind of cell; `needed` by a new part."""

    title: str
    path: Path
    cell: Cell
    needed: bool = True

    def heading(self, unit: LengthUnit) -> str:
        """Title with the unit of what stands below it."""
        sign = self.cell.sign(unit)
        return f"{self.title} [{sign}]" if sign else self.title


class Sheet(ABC):
    """One table over a rig. Rows and columns are counted from 0, in the order of the rig.

    Attributes
    ----------
    name : str
        What its tab says.
    kind : str
        What it calls one of its parts.
    keys : tuple of int
        Columns that tell which row of a pasted table is meant.
    across : bool
        Each column is a part, and its rows are the values; else the other way round.

    """

    name: str
    kind: TableKind | Literal["axle"]
    keys: tuple[int, ...] = (0,)
    across = False

    @abstractmethod
    def source(self, rig: Rig) -> object:
        """All of the rig that the table shows."""

    @abstractmethod
    def headings(self, rig: Rig, unit: LengthUnit) -> tuple[str, ...]:
        """Titles of the columns with their units."""

    @abstractmethod
    def rows(self, rig: Rig) -> int:
        """How many rows there are."""

    @abstractmethod
    def field(self, rig: Rig, row: int, column: int) -> Field | None:
        """What a cell holds; None when it is not to be changed."""

    @abstractmethod
    def path(self, rig: Rig, row: int, column: int) -> Path:
        """Where in the rig the value of a cell stands."""

    @abstractmethod
    def part(self, rig: Rig, row: int, column: int) -> PartRef | None:
        """The part that a cell is about."""

    @abstractmethod
    def row_words(self, rig: Rig, row: int) -> str:
        """The row inside a sentence."""

    @abstractmethod
    def named(self, rig: Rig) -> dict[str, object]:
        """The parts by what a sentence calls them."""

    def label(self, rig: Rig, row: int, column: int, unit: LengthUnit) -> str:  # noqa: ARG002
        """Text of a cell that cannot be changed."""
        return ""

    def columns(self, rig: Rig) -> int:
        """How many columns there are."""
        return len(self.headings(rig, LengthUnit.MM))

    def text(self, rig: Rig, row: int, column: int, unit: LengthUnit) -> str:
        """Text of a cell that reads back to the very same value."""
        field = self.field(rig, row, column)
        if field is None:
            return self.label(rig, row, column, unit)
        return field.cell.exact(self.value(rig, row, column), unit)

    def value(self, rig: Rig, row: int, column: int) -> Any:
        """Value of a cell that can be changed."""
        return value_at(rig, self.path(rig, row, column))

    def key(self, rig: Rig, row: int) -> tuple[str, ...]:
        """What tells this row from all others."""
        return self.key_of([self.text(rig, row, column, LengthUnit.MM) for column in self.keys])

    def key_of(self, texts: Sequence[str]) -> tuple[str, ...]:
        """What texts in the columns of the keys tell."""
        return tuple(text.strip() for text in texts)


class PartSheet(Sheet):
    """Parts of one kind of the chassis, a row each; new ones can be added."""

    kind: Literal["node", "bar", "panel"]

    def __init__(self, kind: Literal["node", "bar", "panel"], made: type[Struct], fields: Sequence[Field]) -> None:
        self.kind = kind
        self.made = made
        self.group = f"{kind}s"
        self.name = self.group.capitalize()
        self.fields = tuple(fields)

    @property
    def needed(self) -> set[int]:
        """Columns without which there is no new part."""
        return {column for column, field in enumerate(self.fields) if field.needed}

    def source(self, rig: Rig) -> object:
        return self.parts(rig)

    def parts(self, rig: Rig) -> tuple[Any, ...]:
        """The parts in their order."""
        parts: tuple[Any, ...] = getattr(rig, self.group)
        return parts

    def headings(self, rig: Rig, unit: LengthUnit) -> tuple[str, ...]:  # noqa: ARG002
        return tuple(field.heading(unit) for field in self.fields)

    def rows(self, rig: Rig) -> int:
        return len(self.parts(rig))

    def field(self, rig: Rig, row: int, column: int) -> Field | None:  # noqa: ARG002
        return self.fields[column]

    def path(self, rig: Rig, row: int, column: int) -> Path:  # noqa: ARG002
        return (self.group, row, *self.fields[column].path)

    def part(self, rig: Rig, row: int, column: int) -> PartRef | None:  # noqa: ARG002
        part = self.parts(rig)[row]
        return node_part(part) if self.kind == "node" else PartRef(self.kind, part.id, "", part.name or part.id)

    def row_words(self, rig: Rig, row: int) -> str:
        return f"{self.kind} {self.parts(rig)[row].id}"

    def named(self, rig: Rig) -> dict[str, object]:
        return {part.id: part for part in self.parts(rig)}

    def habits(self, parts: Sequence[Any]) -> dict[int, Any]:
        """What a part that follows `parts` has where nothing is entered, by column: mostly what the last one has."""
        own = _defaults(self.made)
        found: dict[int, Any] = {}
        for column, field in enumerate(self.fields):
            name = field.path[0]
            if field.needed or name == ID:
                continue
            if name in KEPT and parts:
                found[column] = getattr(parts[-1], str(name))
            elif name in own:
                found[column] = own[name]
        return found

    def free_id(self, parts: Iterable[Any]) -> str:
        """An id that none of these parts has."""
        return next(self.free_ids(part.id for part in parts))

    def free_ids(self, taken: Iterable[str]) -> Iterator[str]:
        """Ids that are not taken, one after the other."""
        stem = STEMS[self.kind]
        first = free_id(set(taken), stem)
        return (f"{stem}{number}" for number in count(int(first[len(stem) :])))

    def made_of(self, values: dict[int, Any]) -> Any:
        """A new part of the values of its columns."""
        given: dict[str, Any] = {}
        for column, value in values.items():
            name, *inner = self.fields[column].path
            if inner:
                given[str(name)] = (*given.get(str(name), ()), value)
            else:
                given[str(name)] = value
        return self.made(**given)

    def with_parts(self, rig: Rig, parts: Sequence[Any]) -> Rig:
        """The rig with these parts of this kind, and no others."""
        return replace(rig, **{self.group: tuple(parts)})


class LinkSheet(Sheet):
    """Links of all axles, a row each, with both joints in the rig's frame."""

    name = "Links"
    kind = "link"
    keys = (0, 2)
    fields = (
        Field("link", (ID,), TEXT),
        Field("name", ("name",), TEXT),
        Field("of axle", (), TEXT),
        *(Field(f"chassis {axis}", ("chassis", k), LENGTH) for k, axis in enumerate("xyz")),
        *(Field(f"axle {axis}", ("axle", k), LENGTH) for k, axis in enumerate("xyz")),
        Field("od", ("od",), LENGTH),
        Field("joint room", ("joint_room",), LENGTH),
    )

    def source(self, rig: Rig) -> object:
        return tuple((axle.id, axle.name, axle.rods) for axle in rig.axles)

    def headings(self, rig: Rig, unit: LengthUnit) -> tuple[str, ...]:  # noqa: ARG002
        return tuple(field.heading(unit) for field in self.fields)

    def rows(self, rig: Rig) -> int:
        return sum(len(axle.rods) for axle in rig.axles)

    def field(self, rig: Rig, row: int, column: int) -> Field | None:  # noqa: ARG002
        return self.fields[column] if self.fields[column].path else None

    def path(self, rig: Rig, row: int, column: int) -> Path:
        axle, rod = self._place(rig, row)
        return ("axles", axle, "rods", rod, *self.fields[column].path)

    def part(self, rig: Rig, row: int, column: int) -> PartRef | None:  # noqa: ARG002
        axle, rod = self._place(rig, row)
        return link_part(rig.axles[axle], rig.axles[axle].rods[rod])

    def row_words(self, rig: Rig, row: int) -> str:
        axle, rod = self._place(rig, row)
        return f"{rig.axles[axle].id} {rig.axles[axle].rods[rod].id}"

    def named(self, rig: Rig) -> dict[str, object]:
        return {f"{axle.id} {rod.id}": rod for axle in rig.axles for rod in axle.rods}

    def label(self, rig: Rig, row: int, column: int, unit: LengthUnit) -> str:  # noqa: ARG002
        return rig.axles[self._place(rig, row)[0]].id

    @staticmethod
    def _place(rig: Rig, row: int) -> tuple[int, int]:
        for number, axle in enumerate(rig.axles):
            if row < len(axle.rods):
                return number, row
            row -= len(axle.rods)
        raise IndexError(row)


class AxleSheet(Sheet):
    """Axles side by side: a column each, a row for each number."""

    name = "Axles"
    kind = "axle"
    across = True
    fields = (
        Field("id", (ID,), TEXT),
        Field("name", ("name",), TEXT),
        Field("station, x", ("station",), LENGTH),
        Field("height, z", ("height",), LENGTH),
        Field("wheel-mount width", ("width",), LENGTH),
        Field("bump", ("bump",), LENGTH),
        Field("droop", ("droop",), LENGTH),
        Field("stop station", ("stop_station",), LENGTH),
        Field("tire size", ("tire", "size"), TEXT),
        Field("tire diameter", ("tire", "diameter"), OPEN_LENGTH),
        Field("tire section width", ("tire", "section_width"), OPEN_LENGTH),
        Field("tire rim diameter", ("tire", "rim_diameter"), OPEN_LENGTH),
        Field("tire loaded radius", ("tire", "loaded_radius"), OPEN_LENGTH),
        Field("tire shoulder radius", ("tire", "shoulder_radius"), OPEN_LENGTH),
        Field("rim width", ("wheel", "rim_width"), LENGTH),
        Field("wheel offset", ("wheel", "offset"), OPEN_LENGTH),
        Field("wheel backspacing", ("wheel", "backspacing"), OPEN_LENGTH),
        Field("rim flange", ("wheel", "flange"), FINE),
        Field("axle tube od", ("housing", "tube_od"), LENGTH),
        Field("tube end inset", ("housing", "end_inset"), LENGTH),
        Field("centre section radius", ("housing", "centre_radius"), LENGTH),
        Field("pinion offset", ("housing", "pinion_offset"), LENGTH),
        Field("pinion length", ("housing", "pinion_length"), LENGTH),
        Field("pinion radius", ("housing", "pinion_radius"), LENGTH),
        Field("pinion angle", ("housing", "pinion_angle_deg"), ANGLE),
        Field("pinion faces", ("housing", "pinion_faces"), FACING),
        Field("kingpin inclination", ("steering", "inclination_deg"), ANGLE),
        Field("caster", ("steering", "caster_deg"), ANGLE),
        *(Field(f"kingpin {axis}", ("steering", "kingpin", k), LENGTH) for k, axis in enumerate("xyz")),
        Field("lock, left turn", ("steering", "lock_left_deg"), ANGLE),
        Field("lock, right turn", ("steering", "lock_right_deg"), ANGLE),
    )

    def source(self, rig: Rig) -> object:
        return rig.axles

    def headings(self, rig: Rig, unit: LengthUnit) -> tuple[str, ...]:  # noqa: ARG002
        return ("axle", *(axle.name or axle.id for axle in rig.axles))

    def rows(self, rig: Rig) -> int:  # noqa: ARG002
        return len(self.fields)

    def field(self, rig: Rig, row: int, column: int) -> Field | None:
        field = self.fields[row]
        there = column > 0 and (field.path[0] != "steering" or rig.axles[column - 1].steering is not None)
        return field if there else None

    def path(self, rig: Rig, row: int, column: int) -> Path:  # noqa: ARG002
        return ("axles", column - 1, *self.fields[row].path)

    def part(self, rig: Rig, row: int, column: int) -> PartRef | None:  # noqa: ARG002
        return housing_part(rig.axles[column - 1]) if column > 0 else None

    def row_words(self, rig: Rig, row: int) -> str:  # noqa: ARG002
        return self.fields[row].title

    def named(self, rig: Rig) -> dict[str, object]:
        return {axle.id: axle for axle in rig.axles}

    def key_of(self, texts: Sequence[str]) -> tuple[str, ...]:
        return tuple(plain_title(text)[0] for text in texts)

    def label(self, rig: Rig, row: int, column: int, unit: LengthUnit) -> str:  # noqa: ARG002
        return "" if column else self.fields[row].heading(unit)


def sheets() -> tuple[Sheet, ...]:
    """All tables, in the order of their tabs."""
    ids = {kind: Field(kind, (ID,), TEXT, needed=False) for kind in ("node", "bar", "panel")}
    name = Field("name", ("name",), TEXT, needed=False)
    mirrored = Field("mirrored", ("mirrored",), YES_NO, needed=False)
    nodes = (ids["node"], *(Field(axis, ("at", k), LENGTH) for k, axis in enumerate("xyz")))
    bars = (
        ids["bar"],
        name,
        Field("nodes", ("nodes",), NODES),
        Field("od", ("od",), LENGTH, needed=False),
        Field("wall", ("wall",), FINE, needed=False),
        Field("bend radius", ("bend_radius",), LENGTH, needed=False),
        mirrored,
    )
    panels = (
        ids["panel"],
        name,
        Field("corners", ("facets",), FACETS),
        Field("thickness", ("thickness",), FINE, needed=False),
        Field("fitted", ("fitted",), YES_NO, needed=False),
        mirrored,
    )
    chassis = (PartSheet("node", Node, nodes), PartSheet("bar", Bar, bars), PartSheet("panel", Panel, panels))
    return (*chassis, LinkSheet(), AxleSheet())


# Values by their way from the rig


def value_at(thing: Any, path: Path) -> Any:
    """The value at the end of a way."""
    for step in path:
        thing = thing[step] if isinstance(step, int) else getattr(thing, step)
    return thing


def with_value(thing: Any, path: Path, value: Any) -> Any:
    """The thing with another value at the end of a way."""
    if not path:
        return value
    step, *rest = path
    inner = with_value(value_at(thing, (step,)), tuple(rest), value)
    if isinstance(step, int):
        return (*thing[:step], inner, *thing[step + 1 :])
    others = {SIDES[step]: None} if step in SIDES and inner is not None else {}
    return replace(thing, **{step: inner, **others})


@lru_cache(maxsize=8)
def _defaults(made: type[Struct]) -> dict[str | int, Any]:
    """Defaults of the fields that have one."""
    names, values = made.__struct_fields__, made.__struct_defaults__
    last = zip(names[len(names) - len(values) :], values, strict=True)
    return {name: value for name, value in last if value is not NODEFAULT}


def plain_title(text: str) -> tuple[str, LengthUnit | None]:
    """A heading without its unit and in small letters, and the unit if it names one: “x [in]”."""
    found = _UNIT_BEHIND.fullmatch(text.strip())
    if found is None:
        return text.strip().casefold(), None
    unit = LengthUnit.MM if found["sign"].lower() == "mm" else LengthUnit.INCH
    return found["title"].casefold(), None if found["sign"] == "°" else unit
