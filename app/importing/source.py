"""What is to come in: a drawing or tables, read once and made into parts again as choices change."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Protocol

from app.files.csv_tables import read_tables
from app.files.drawing import Choices, Drawing, Halves, usual_choices
from app.files.imported import (
    DRAWINGS,
    Imported,
    ImportFileError,
    UnitMissingError,
    about_rig,
    file_bytes,
    joined,
    with_fitting_links,
)
from geometry.rig.rig import Rig


class Source(Protocol):
    """Something to import.

    Attributes
    ----------
    name : str
        What it is called on screen.
    unit : str
        Its unit, a key of UNITS; None = it does not say, and nobody has said.
    asks : bool
        Whether the unit is for people to say.

    """

    name: str
    unit: str | None
    asks: bool

    @property
    def join(self) -> float:
        """Distance up to which its nodes are those that the rig has [mm]."""

    def parts(self) -> Imported:
        """The parts that it gives; raises UnitMissingError or ImportFileError."""


@dataclass(slots=True)
class Tables:
    """Tables of a file or of what was copied."""

    name: str
    data: bytes
    unit: str | None = None
    asks: bool = False
    join: float = 1e-6

    def __post_init__(self) -> None:
        try:
            read_tables(self.data)
        except UnitMissingError:
            self.asks = True

    def parts(self) -> Imported:
        """What the tables hold."""
        return read_tables(self.data, self.unit)


@dataclass(slots=True)
class Drawn:
    """A drawing with what is chosen about it."""

    name: str
    drawing: Drawing
    unit: str | None = None
    asks: bool = False
    choices: Choices = field(init=False)

    def __post_init__(self) -> None:
        self.asks = self.drawing.unit is None
        self.unit = self.drawing.unit
        self.choices = usual_choices(self.drawing, self.unit or "mm")
        if self.asks:
            self.choices = replace(self.choices, tubes={})  # what layers name is in a unit that is still to be said
        if not self.drawing.bars and self._has_pairs():
            self.choices = replace(self.choices, halves=Halves.PAIRS)

    @property
    def join(self) -> float:
        """Distance up to which ends meet, among themselves and with nodes of the rig [mm]."""
        return self.choices.join

    def say_unit(self, unit: str) -> None:
        """Set the unit, and the sizes of tubes that layers name in it."""
        self.unit = unit
        self.choices = replace(self.choices, unit=unit, tubes=usual_choices(self.drawing, unit).tubes)

    def parts(self) -> Imported:
        """What the drawing holds, as chosen."""
        from app.files.from_drawing import imported_from

        if self.unit is None:
            raise UnitMissingError("The drawing does not say its unit; choose it.")
        return imported_from(self.drawing, self.choices)

    def _has_pairs(self) -> bool:
        """Whether some parts are each other's image, so that to take them as mirrored is what is meant."""
        from app.files.from_drawing import imported_from

        try:
            found = imported_from(self.drawing, replace(self.choices, halves=Halves.PAIRS))
        except ImportFileError:
            return False
        return any(bar.mirrored for bar in found.bars) or any(panel.mirrored for panel in found.panels)


def source_of(path: Path) -> Tables | Drawn:
    """What a file holds; raises ImportFileError when it cannot be used at all."""
    data = file_bytes(path)
    if path.suffix.lower() not in DRAWINGS:
        return Tables(path.name, data)
    from app.files.dxf import read_drawing

    return Drawn(path.name, read_drawing(data))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What an import would make of a rig.

    Attributes
    ----------
    rig : Rig
        As it would be, checked.
    imported : Imported
    report : tuple of str
    has_links : bool
        Whether there are links to import, which may have been left out.

    """

    rig: Rig
    imported: Imported
    report: tuple[str, ...]
    has_links: bool


def outcome(rig: Rig, source: Source, *, instead: bool, links: bool | None = None) -> Outcome:
    """What would come of an import; `links` = whether links come in, None = if they fit.

    Raises
    ------
    ImportFileError, LineError, RigError
        With one sentence, when nothing can.

    """
    parts = source.parts()
    found = with_fitting_links(rig, parts, links)
    after = joined(rig, found, instead=instead, join=source.join)
    return Outcome(after, found, (*found.report, *about_rig(rig, found, instead=instead)), bool(parts.links))
