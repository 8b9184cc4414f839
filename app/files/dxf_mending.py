"""What is whole of a damaged drawing in DXF: records that cannot be read go, and do not take the rest along."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from math import isfinite
from typing import Final

DAMAGED: Final = "damaged in the file"
"""Why an entity is left out that cannot be read."""

HIGHEST_CODE: Final = 1071
"""Largest group code (DXF reference)."""

_NUMBERS: Final = frozenset((*range(10, 60), *range(110, 150), *range(210, 240), *range(460, 470), *range(1010, 1060)))
"""Group codes of values that are numbers with decimals (DXF reference)."""

_NAME = re.compile(rb"[A-Z0-9][A-Z0-9_]*")
_FRAME: Final = frozenset({b"SECTION", b"ENDSEC", b"TABLE", b"ENDTAB", b"BLOCK", b"ENDBLK"})
"""Records that hold others and are never dropped."""


@dataclass(slots=True)
class _Record:
    """Lines from one group code 0, or 9 of a header variable, to the next."""

    name: bytes
    start: int
    end: int = 0
    is_whole: bool = True
    layer: str = "0"


@dataclass(slots=True)
class Mended:
    """A drawing without what is damaged in it.

    Attributes
    ----------
    data : bytes
    is_cut : bool
        Whether the file ended before its end.
    dropped : counter of (kind, layer, reason)
        As in `app.files.drawing.Drawing.skipped`.
    repairs : int
        How many header variables and the like were dropped, of which there is no more to say.

    """

    data: bytes
    is_cut: bool = False
    dropped: Counter[tuple[str, str, str]] = field(default_factory=Counter)
    repairs: int = 0


def mended(data: bytes) -> Mended:
    """The file, unchanged if it is whole, else without entities that cannot be read and with an end."""
    lines = data.splitlines()
    records = _records(lines)
    if not records:
        return Mended(data)
    is_cut = records[-1].name != b"EOF"
    if is_cut:
        records[-1].is_whole = records[-1].name == b"ENDSEC"
    elif all(record.is_whole for record in records):
        return Mended(data)
    kept, dropped = _sorted_out(records)
    if dropped.total() > len(kept):  # lines that end in a way of their own, more likely than damage
        return Mended(data)
    text = [line for record in kept for line in lines[record.start : record.end]]
    told = Counter({what: number for what, number in dropped.items() if what[0][:1] != "$"})
    return Mended(b"\n".join([*text, *_ends(kept), b""]), is_cut, told, dropped.total() - told.total())


def _records(lines: list[bytes]) -> list[_Record]:
    """All records, up to that which ends the file."""
    records: list[_Record] = []
    at = 0
    while at + 1 < len(lines):
        code = _code(lines[at])
        if code in {0, 9}:
            if records:
                records[-1].end = at
            records.append(_Record(lines[at + 1].strip(), at))
            if records[-1].name == b"EOF":
                break
        elif code is None or (code in _NUMBERS and not _is_number(lines[at + 1])):
            if records:
                records[-1].is_whole = False
            at = _next_record(lines, at + 1)
            continue
        elif code == 8 and records:
            records[-1].layer = lines[at + 1].strip().decode(errors="replace")
        at += 2
    if records:
        records[-1].end = min(at + 2, len(lines)) if records[-1].name == b"EOF" else len(lines)
    return records


def _code(line: bytes) -> int | None:
    text = line.strip()
    digits = text.removeprefix(b"-")
    code = int(text) if digits.isdigit() and len(digits) <= 4 else HIGHEST_CODE + 1
    return code if code <= HIGHEST_CODE else None


def _is_number(line: bytes) -> bool:
    try:
        return isfinite(float(line))
    except ValueError:
        return False


def _next_record(lines: list[bytes], start: int) -> int:
    """The line from which records can be read again."""
    for at in range(start, len(lines) - 1):
        name = lines[at + 1].strip()
        code = lines[at].strip()
        if (code == b"0" and _NAME.fullmatch(name) and not name.isdigit()) or (code == b"9" and name[:1] == b"$"):
            return at
    return len(lines)


def _sorted_out(records: list[_Record]) -> tuple[list[_Record], Counter[tuple[str, str, str]]]:
    """Records that are kept, and what is dropped; of a polyline with a damaged vertex nothing is kept."""
    kept: list[_Record] = []
    dropped: Counter[tuple[str, str, str]] = Counter()
    for group in _groups(records):
        first = group[0]
        is_loose = first.name not in _FRAME and first.name != b"EOF"
        if is_loose and not all(record.is_whole for record in group):
            dropped[first.name.decode(errors="replace"), first.layer, DAMAGED] += 1
        else:
            kept += group
    return kept, dropped


def _groups(records: list[_Record]) -> list[list[_Record]]:
    """Records that stand or fall together: a polyline with its vertices up to its end."""
    groups: list[list[_Record]] = []
    is_open = False
    for record in records:
        if is_open and record.name in {b"VERTEX", b"SEQEND"}:
            groups[-1].append(record)
            is_open = record.name == b"VERTEX"
        else:
            if is_open:
                groups[-1][0].is_whole = False
            groups.append([record])
            is_open = record.name == b"POLYLINE"
    if is_open:
        groups[-1][0].is_whole = False
    return groups


def _ends(kept: list[_Record]) -> list[bytes]:
    """What a file lacks at its end."""
    names = [record.name for record in kept]
    if names and names[-1] == b"EOF":
        return []
    inside = Counter(names)
    ends = [b"ENDBLK"] if inside[b"BLOCK"] > inside[b"ENDBLK"] else []
    ends += [b"ENDSEC"] if inside[b"SECTION"] > inside[b"ENDSEC"] else []
    return [line for name in (*ends, b"EOF") for line in (b"  0", name)]
