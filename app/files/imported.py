"""What tables and drawings bring in, in the rig's frame and in mm, and how it joins a rig."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from dataclasses import replace as with_fields
from fractions import Fraction
from pathlib import Path
from typing import Final, Protocol, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from app.files.joining import Places
from geometry.errors import RigError
from geometry.rig.axle import Axle, Rod
from geometry.rig.check import check_rig
from geometry.rig.parts import Bar, Id, Node, Panel
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from geometry.tolerances import COINCIDENT

LARGEST: Final = 50_000_000
"""Size over which no table and no drawing is read [bytes]: some hundred times the drawing of a whole chassis."""

MOST_PIECES: Final = 20_000
"""Rows of a table, or pieces of a drawing with its blocks exploded, beyond which nothing is read."""

LONGEST_SHOWN: Final = 60
"""Length at which what a file holds is cut off in a sentence about it [characters]."""

UNITS: Final[Mapping[str, Fraction]] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(str(INCH)),
    "ft": 12 * Fraction(str(INCH)),
}
"""Units that a table or a drawing can be in, by their sign [mm]."""


class ImportFileError(ValueError):
    """A table or drawing cannot be used; the text is one sentence that says where and what to do."""


class UnitMissingError(ImportFileError):
    """A table or drawing does not say in which unit it is; read it again with the unit that people say it is in."""


class LineError(RigError):
    """A rig cannot take a row of a table; its place is that row: “line 12, bar b7”."""


class _Named(Protocol):
    @property
    def id(self) -> str: ...


Part = TypeVar("Part", bound=_Named)


class Link(Struct, frozen=True, kw_only=True):
    """A rod and the id of the axle that it belongs to."""

    axle: Id
    rod: Rod

    @property
    def id(self) -> str:
        """What names it in the whole rig."""
        return f"{self.axle}.{self.rod.id}"


@dataclass(frozen=True, slots=True)
class Imported:
    """Parts that came in.

    Attributes
    ----------
    nodes, bars, panels, links : tuples of parts
        In the rig's frame [mm].
    made : frozenset of str
        Ids that were made up, as in “node n1” or “bar bar-2”: they give way to those that the rig has. A part with
        any other id is meant to be the rig's of that id.
    report : tuple of str
        What came in, what was joined, what was left out and why, a sentence each.
    lines : mapping of str to int
        Line of the file in which a part stands, as in “bar b7”; empty for drawings.

    """

    nodes: tuple[Node, ...] = ()
    bars: tuple[Bar, ...] = ()
    panels: tuple[Panel, ...] = ()
    links: tuple[Link, ...] = ()
    made: frozenset[str] = frozenset()
    report: tuple[str, ...] = ()
    lines: Mapping[str, int] = field(default_factory=dict, compare=False)


_PART: Final = re.compile(r"(?P<kind>node|bar|panel)s\[(?P<at>\d+)\]")
_JOINTS: Final = ("chassis_bolt", "axle_bolt", "chassis_limit_deg", "axle_limit_deg")
_ROD: Final = re.compile(r"axles\[(?P<axle>\d+)\]\.rods\[(?P<at>\d+)\]")

TABLES: Final = {".csv", ".tsv", ".txt"}
DRAWINGS: Final = {".dxf"}
"""Endings of files that can come in."""


def file_bytes(path: Path) -> bytes:
    """The bytes of a file, at most one more than one may have; ImportFileError when it cannot be read."""
    if path.suffix.lower() not in TABLES | DRAWINGS:
        raise ImportFileError("Tables end in .csv, .tsv or .txt and drawings in .dxf; save it as one of these.")
    try:
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except FileNotFoundError:
        raise ImportFileError("There is no such file; check its name and folder.") from None
    except IsADirectoryError:
        raise ImportFileError("This is a folder; name the file in it.") from None
    except (OSError, ValueError) as error:
        raise ImportFileError(f"It cannot be read: {getattr(error, 'strerror', None) or error}.") from None


def merged(rig: Rig, imported: Imported, *, instead: bool = False, join: float = COINCIDENT) -> Rig:
    """The rig with what came in; not yet checked.

    Parameters
    ----------
    instead : bool
        Whether the nodes, bars and panels of the rig go first. Links stay unless one of the same id comes in.
    join : float
        Distance up to which a node without a name of its own is one that the rig has [mm].

    """
    base = replace(rig, nodes=(), bars=(), panels=()) if instead else rig
    if imported.made:
        imported = _renamed(base, imported, join)
    return replace(
        base,
        nodes=_together(base.nodes, imported.nodes),
        bars=_together(base.bars, imported.bars),
        panels=_together(base.panels, imported.panels),
        axles=tuple(_with_links(axle, imported.links) for axle in base.axles),
    )


def joined(rig: Rig, imported: Imported, *, instead: bool = False, join: float = COINCIDENT) -> Rig:
    """The rig with what came in, checked; parameters as for `merged`.

    Raises
    ------
    LineError
        When a part is at fault that stands in a line of a table; RigError when it is another.

    """
    after = merged(rig, imported, instead=instead, join=join)
    try:
        check_rig(after)
    except RigError as refused:
        part = _part_at(after, refused.place)
        before = () if instead else (("node", rig.nodes), ("bar", rig.bars), ("panel", rig.panels))
        renamed = any(f"{kind} {each.id}" in imported.made for kind, parts in before for each in parts)
        line = None if renamed and part in imported.made else imported.lines.get(part)
        if line is None:
            raise
        raise LineError(f"line {line}, {part}", refused.problem) from None
    return after


def with_fitting_links(rig: Rig, imported: Imported, links: bool | None = None) -> Imported:
    """The import, without its links where they are not to come in or do not fit the axles of the rig; it says so then.

    Parameters
    ----------
    links : bool
        Whether links come in; None = if they fit, all of them or none.

    """
    rest = with_fields(imported, links=())
    if not imported.links or links or not (rest.nodes or rest.bars or rest.panels):
        return imported
    why = "as was chosen"
    if links is None:
        try:
            joined(rig, Imported(links=imported.links, lines=imported.lines))
        except RigError as refused:
            place = refused.place if isinstance(refused, LineError) else ", ".join(refused.ids)
            why = f"for they do not fit the axles of the rig: {': '.join(filter(None, (place, refused.problem)))}"
        else:
            return imported
    before = came_in(imported)
    report = (came_in(rest), *(sentence for sentence in imported.report if sentence != before))
    return with_fields(rest, report=(*report, f"Left out: {count_words(len(imported.links), 'link')}, {why}."))


def _part_at(rig: Rig, place: str) -> str:
    """The part of a rig that a place is about, as in “bar b7”; empty if it is none that can come in."""
    if found := _PART.match(place):
        return f"{found['kind']} {getattr(rig, found['kind'] + 's')[int(found['at'])].id}"
    if found := _ROD.match(place):
        axle = rig.axles[int(found["axle"])]
        return f"link {axle.id}.{axle.rods[int(found['at'])].id}"
    return ""


def about_rig(rig: Rig, imported: Imported, *, instead: bool = False) -> tuple[str, ...]:
    """What an import does to parts that the rig has, and which links find no axle in it, a sentence each."""
    pairs: dict[str, tuple[tuple[_Named, ...], tuple[_Named, ...]]] = {
        "node": (rig.nodes, imported.nodes),
        "bar": (rig.bars, imported.bars),
        "panel": (rig.panels, imported.panels),
    }
    gone = {kind: len(before) for kind, (before, _) in pairs.items()}
    if not instead:
        known = {kind: {part.id for part in before} for kind, (before, _) in pairs.items()}
        for kind, (_, parts) in pairs.items():
            gone[kind] = sum(part.id in known[kind] and f"{kind} {part.id}" not in imported.made for part in parts)
    words = ", ".join(count_words(number, kind) for kind, number in gone.items() if number)
    why = "all that the rig had" if instead else "of the same name that the rig had"
    axles = {axle.id for axle in rig.axles}
    lost = [link for link in imported.links if link.axle not in axles]
    listed = ", ".join(sorted(axles))
    return (
        *([f"Replaced: {words}, {why}."] if words else []),
        *(f"Link {link.rod.id} left out: the rig has no axle “{link.axle}”, only {listed}." for link in lost),
    )


def count_words(number: int, thing: str) -> str:
    """A number of things: “1 bar”, “2 bars”."""
    return f"{number:,} {thing}{'' if number == 1 else 's'}"


def came_in(imported: Imported) -> str:
    """What came in, as a sentence."""
    counts = {"node": imported.nodes, "bar": imported.bars, "panel": imported.panels, "link": imported.links}
    words = [count_words(len(parts), thing) for thing, parts in counts.items() if parts]
    return f"Came in: {', '.join(words)}." if words else "Nothing came in."


def shown(text: str) -> str:
    """What a file holds, fit for a sentence: one line, and not a long one."""
    line = one_line(text[: LONGEST_SHOWN + 1])
    return line if len(line) <= LONGEST_SHOWN else f"{line[:LONGEST_SHOWN]}…"


def one_line(text: str) -> str:
    """A sentence about what a file holds, fit for a terminal."""
    return "".join(sign if sign.isprintable() else " " for sign in text)


def _together(before: tuple[Part, ...], after: tuple[Part, ...]) -> tuple[Part, ...]:
    """Parts that were there, in their order and as they come in now, then the new ones."""
    changed = {part.id: part for part in after}
    kept = {part.id for part in before}
    return (*(changed.get(part.id, part) for part in before), *(part for part in after if part.id not in kept))


def _with_links(axle: Axle, links: Iterable[Link]) -> Axle:
    known = {rod.id: rod for rod in axle.rods}
    rods = tuple(_with_joints(link.rod, known.get(link.rod.id)) for link in links if link.axle == axle.id)
    return replace(axle, rods=_together(axle.rods, rods)) if rods else axle


def _with_joints(rod: Rod, known: Rod | None) -> Rod:
    """A rod with the bolts and limits of its joints, which no table and no drawing tells, as they were."""
    if known is None:
        return rod
    told = {name: getattr(rod, name) or getattr(known, name) for name in _JOINTS}
    return replace(rod, **told)


def _renamed(rig: Rig, imported: Imported, join: float) -> Imported:
    """The import with ids that the rig does not have, and the rig's own nodes where it has some at the same place."""
    places = Places(join)
    known = {places.add(node.at): node.id for node in reversed(rig.nodes)}
    names: dict[str, str] = {}
    new = []
    free = _FreeIds("node", rig.nodes, imported)
    for node in imported.nodes:
        place = places.find(node.at) if f"node {node.id}" in imported.made else None
        names[node.id] = known[place] if place is not None else free.like(node.id)
        if place is None:
            new.append(replace(node, id=names[node.id]))

    def refs(loop: tuple[str, ...]) -> tuple[str, ...]:
        bare = [name.removesuffix("'") for name in loop]
        return tuple(names.get(name, name) + "'" * ref.endswith("'") for name, ref in zip(bare, loop, strict=True))

    bars, panels = _FreeIds("bar", rig.bars, imported), _FreeIds("panel", rig.panels, imported)
    return Imported(
        tuple(new),
        tuple(replace(bar, id=bars.like(bar.id), nodes=refs(bar.nodes)) for bar in imported.bars),
        tuple(
            replace(panel, id=panels.like(panel.id), facets=tuple(refs(loop) for loop in panel.facets))
            for panel in imported.panels
        ),
        imported.links,
        report=imported.report,
    )


class _FreeIds:
    """Gives ids that are not taken yet to parts of a kind whose ids were made up."""

    def __init__(self, kind: str, there: Iterable[_Named], imported: Imported) -> None:
        self._kind = kind
        self._made = imported.made
        self._taken = {part.id for part in there}
        self._last: dict[str, int] = {}

    def like(self, wanted: str) -> str:
        """`wanted`, or what follows it by number and is free; it is taken from then on."""
        if f"{self._kind} {wanted}" not in self._made:
            return wanted
        stem = wanted.rstrip("0123456789")
        name, count = wanted, self._last.get(stem, 0)
        while name in self._taken:
            count += 1
            name = f"{stem}{count}"
        self._last[stem] = count
        self._taken.add(name)
        return name
