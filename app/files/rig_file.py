"""The rig file: JSON in UTF-8, strict, versioned, laid out so that a change of one part is a change of one line.

Every field is written but those that are None or an empty text, so that a file keeps its meaning should a default
ever change. Numbers are written with the fewest digits that read back as the same.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Final

import msgspec
import numpy as np

from app.files.saving import save_bytes
from app.files.schema import schema_of
from app.files.syntax import syntax_words
from geometry.errors import RigError
from geometry.rig.axle import Rod
from geometry.rig.check import check_rig
from geometry.rig.mass import MassPart
from geometry.rig.parts import Bar, Node, Panel
from geometry.rig.rig import VERSION, Rig
from geometry.rig.rules import WidthLimit
from geometry.rig.stroke import BumpStop, Shock, Strap
from geometry.rig.structure import plain_from_rig, rig_from_plain
from geometry.rig.unconfirmed import check_places
from geometry.rig.wheel import Tire, Wheel

LARGEST: Final = 10_000_000
"""Size over which a file is not read [bytes]; a rig of 10,000 bars takes less than a tenth of it."""

DEEPEST: Final = 20
"""Nesting beyond which a file is not read; a rig needs six levels, and a parser may run out of stack at a thousand."""

LONGEST_WORDS: Final = 300
"""Length at which names and values from the file are cut off in a sentence about it [characters]."""

Migration = Callable[[dict[str, Any]], dict[str, Any]]
MIGRATIONS: Final[Mapping[int, Migration]] = {}
"""By version: what turns the plain values of a file of that version into those of the next."""

_ONE_LINE = (Node, Bar, Panel, Rod, Tire, Wheel, MassPart, WidthLimit, Shock, BumpStop, Strap)
_UNLESS_EMPTY: Final = (
    "underlays",
    "unconfirmed",
    "trial_widths",
    "shocks",
    "bump_stops",
    "straps",
    "pinion_choices",
    "pinion_rise",
)
"""Fields that a file shows only where they hold something."""


class RigFileError(ValueError):
    """A rig file cannot be used; the text is one sentence for the builder.

    Attributes
    ----------
    name : str
        Name of the file.
    place : str
        Where in the file, as in ``axles[1].rods[2].chassis (front, upper-left)`` or ``line 3, column 5``; empty = the
        file as a whole.
    problem : str
        What is wrong and what to do, no final full stop.

    """

    def __init__(self, name: str, place: str, problem: str) -> None:
        self.name, self.place, self.problem = (_one_line(text) for text in (name, place, problem))
        super().__init__(": ".join(part for part in (self.name, self.sentence) if part))

    @property
    def sentence(self) -> str:
        """Place and problem, for where the file's name has been said."""
        return ": ".join(part for part in (self.place, self.problem) if part) + "."


def read_rig(path: Path) -> Rig:
    """Read and check a rig file.

    Raises
    ------
    RigFileError
        When there is no such file, or it holds no rig that can be used.

    """
    return rig_from_bytes(read_rig_bytes(path), _name(path))


def read_rig_bytes(path: Path) -> bytes:
    """The bytes of a rig file, at most one more than one may have.

    Raises
    ------
    RigFileError
        When it cannot be read.

    """
    name = _name(path)
    try:
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except FileNotFoundError:
        raise RigFileError(name, "", "there is no such file; check its name and folder") from None
    except IsADirectoryError:
        raise RigFileError(name, "", "this is a folder; name the rig file in it") from None
    except PermissionError:
        raise RigFileError(name, "", "there is no permission to read it; ask its owner") from None
    except (OSError, ValueError) as error:
        problem = f"the file cannot be read: {getattr(error, 'strerror', None) or error}"
        raise RigFileError(name, "", problem) from None


def rig_from_bytes(data: bytes, name: str) -> Rig:
    """The checked rig that the text of a rig file holds; `name` is what errors call the file.

    Raises
    ------
    RigFileError
        When it holds no rig that can be used.

    """
    plain = _migrated(_parsed(data, name), name)
    try:
        rig = rig_from_plain(plain)
        check_rig(rig)
        check_places(rig)
    except RigError as error:
        raise RigFileError(name, error.where, error.remedy) from None
    return rig


def write_rig(path: Path, rig: Rig, *, keep_previous: bool = False) -> None:
    """Write a rig file, whole or not at all; what stood there can be kept as its previous version.

    Raises
    ------
    FileSaveError
        When it cannot be written; what stood there is as it was.
    RigError
        When a value of the rig is out of its range, so that the file could not be read again.

    """
    save_bytes(path, rig_to_bytes(rig), keep_previous=keep_previous)


def rig_to_bytes(rig: Rig) -> bytes:
    """The text of the rig file, UTF-8."""
    whole = rig_from_plain(plain_from_rig(rig))  # whole numbers become floats, and no file is made that cannot be read
    return (_laid_out(whole, "") + "\n").encode()


def schema_bytes() -> bytes:
    """The JSON Schema (draft 2020-12) of the rig file, the text of ``assets/rig.schema.json``."""
    return schema_of(Rig, "Wheelroom rig file")


def _name(path: Path) -> str:
    """What a file is called; “.” and “/” have no name but themselves."""
    return path.name or str(path)


def _one_line(text: str) -> str:
    """What a file or its name can put into a sentence, fit for a terminal: one line and no longer than a few."""
    line = "".join(sign if sign.isprintable() else " " for sign in text)
    return line if len(line) <= LONGEST_WORDS else f"{line[:LONGEST_WORDS]}…"


# Reading


def _parsed(data: bytes, name: str) -> object:
    if len(data) > LARGEST:
        raise RigFileError(name, "", f"the file is larger than {LARGEST // 1_000_000} MB and cannot be a rig file")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise RigFileError(name, f"line {line}", "this is not UTF-8 text; save the file as UTF-8") from None
    if _depth(data) > DEEPEST:
        raise RigFileError(name, "", f"the file is nested more than {DEEPEST} levels deep and cannot be a rig file")
    twice: list[_Twice] = []
    try:
        plain = json.loads(text, object_pairs_hook=lambda pairs: _fields(pairs, twice), parse_constant=_not_a_number)
        msgspec.json.encode(plain)  # a lone half of a surrogate pair cannot be written again
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise RigFileError(name, place, f"this is not JSON: {syntax_words(text, error)}") from None
    except UnicodeEncodeError:
        raise RigFileError(
            name, "", "the file holds half a character in a \\u escape; write the character itself"
        ) from None
    except ValueError:
        raise RigFileError(name, "", "the file holds a number of thousands of digits; write a shorter one") from None
    if twice:
        raise RigFileError(name, _find_twice(plain, ""), "the field stands there twice; remove one")
    return plain


def _depth(data: bytes) -> int:
    """How deep brackets and braces are nested outside of texts."""
    signs = np.frombuffer(data.replace(b"\\\\", b"").replace(b'\\"', b""), dtype=np.uint8)
    outside = np.cumsum(signs == ord('"'), dtype=np.int32) % 2 == 0
    opening, closing = ((signs == ord(a)) | (signs == ord(b)) for a, b in ("[{", "]}"))
    steps = (opening.astype(np.int8) - closing.astype(np.int8)) * outside
    return int(np.cumsum(steps, dtype=np.int32).max(initial=0))


class _Twice(dict[str, Any]):
    """An object of the file in which one field stands twice."""

    field = ""


def _fields(pairs: list[tuple[str, Any]], twice: list[_Twice]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) == len(pairs):
        return fields
    counts = Counter(name for name, _ in pairs)
    marked = _Twice(fields)
    marked.field = counts.most_common(1)[0][0]
    twice.append(marked)
    return marked


def _find_twice(plain: object, place: str) -> str:
    """Place of the first field that stands twice; empty = none does."""
    if isinstance(plain, _Twice):
        return f"{place}.{plain.field}".removeprefix(".")
    if isinstance(plain, dict):
        inside = ((f"{place}.{name}".removeprefix("."), value) for name, value in plain.items())
    elif isinstance(plain, list):
        inside = ((f"{place}[{index}]", value) for index, value in enumerate(plain))
    else:
        return ""
    return next((found for where, value in inside if (found := _find_twice(value, where))), "")


def _not_a_number(word: str) -> float:
    """What the parser takes for a number though JSON has none of it; the ranges of the fields refuse it."""
    return float(word)


def _migrated(plain: object, name: str) -> object:
    """The plain values brought to the present version; anything else is left for the types to refuse."""
    while isinstance(plain, dict) and (step := MIGRATIONS.get(_version(plain))) is not None:
        plain = step(plain)
    if (
        isinstance(plain, dict)
        and plain.get("format", "wheelroom-rig") == "wheelroom-rig"
        and _version(plain) > VERSION
    ):
        raise RigFileError(
            name,
            "version",
            f"the version is {plain['version']}, newer than the {VERSION} this program reads; use a newer program",
        )
    return plain


def _version(plain: Mapping[str, Any]) -> int:
    version = plain.get("version", VERSION)
    return version if type(version) is int else VERSION


# Writing


def _laid_out(value: object, indent: str) -> str:
    deeper = indent + "  "
    if isinstance(value, msgspec.Struct) and not isinstance(value, _ONE_LINE):
        lines = [f"{_compact(name)}: {_laid_out(field, deeper)}" for name, field in _written(value).items()]
        return _spread("{", lines, "}", indent)
    if isinstance(value, tuple) and value and isinstance(value[0], msgspec.Struct | str):
        return _spread("[", [_laid_out(item, deeper) for item in value], "]", indent)
    return _compact(_written(value) if isinstance(value, msgspec.Struct) else value)


def _spread(opening: str, lines: list[str], closing: str, indent: str) -> str:
    return f"{opening}\n{indent}  " + f",\n{indent}  ".join(lines) + f"\n{indent}{closing}"


def _written(struct: msgspec.Struct) -> dict[str, Any]:
    """The fields of a record that a file shows, in their order."""
    fields = ((field, getattr(struct, field.name)) for field in msgspec.structs.fields(struct))
    shown = ((field, value) for field, value in fields if value or field.name not in _UNLESS_EMPTY)
    return {field.name: value for field, value in shown if value not in (None, "") or value != field.default}


def _compact(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
