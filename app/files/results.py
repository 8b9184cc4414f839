"""Results of a study, a line each: JSON Lines with a schema of its own, or CSV.

They are only ever appended, so that a study that was interrupted goes on where it ended.

Lengths are in mm, and every key says so. What is not known is null, or an empty cell.
A key is only ever added under the same version number.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Callable
from math import isfinite
from pathlib import Path
from sys import intern
from types import TracebackType
from typing import Annotated, Any, BinaryIO, Final, Literal, Self

import msgspec
from msgspec import Meta, Struct

from app.files.answer import PairNameAnswer, VerdictName
from app.files.saving import FileSaveError
from app.files.schema import schema_of
from app.study import Study
from geometry.contact.findings import Approach, Verdict
from geometry.tolerances import FAR

Digest = Annotated[str, Meta(description="SHA-256 of the rig file's bytes, hexadecimal.")]
Key = tuple[str, str, float]
"""What a result is about: digest of the rig file, axle, width [mm]."""

LONGEST_LINE: Final = 1_000_000
"""Length over which a line is no result [bytes]; the longest hold three labels and a path."""


class StudyRecord(Struct, frozen=True, kw_only=True):
    """One axle of one rig file at one width. Lengths are in mm.

    Attributes
    ----------
    file : str
        The rig file, as it was named.
    sha256 : str or null
        Null = the file could not be read.
    axle : str or null
        Its id; null = the whole file could not be used.
    width_mm : float or null
        Wheel-mount width [mm]; null as for the axle, or when there is no such axle.
    tolerance_mm : float
        Width that was asked for of the interval from low_mm to high_mm [mm].
    verdict : str
        The worst of all pairs.
    low_mm, high_mm : float or null
        The closest approach of all pairs together lies between these [mm]; high_mm is null when nothing is near.
    margin_mm : float or null
        Least clearance over the wanted one, proved [mm]; from zero up every pair is clear.
    nearest, tightest : PairNameAnswer or null
        Pair with the closest approach, and with the least margin; null = none is near.
    problem : str or null
        Why there is no answer, one sentence; the verdict then is unknown.
    seconds : float
        Time that the answer took [s].

    """

    format: Literal["wheelroom-study"] = "wheelroom-study"
    version: Literal[1] = 1
    file: str
    sha256: Digest | None
    axle: str | None
    width_mm: float | None
    tolerance_mm: float
    verdict: VerdictName
    low_mm: float | None = None
    high_mm: float | None = None
    margin_mm: float | None = None
    nearest: PairNameAnswer | None = None
    tightest: PairNameAnswer | None = None
    problem: str | None = None
    seconds: float = 0.0


def record_of(file: str, sha256: str, found: Study, seconds: float) -> StudyRecord:
    """The record of a study of one axle."""
    answer = found.axles[0]
    near = [pair for pair in found.approaches if not pair.beyond]
    nearest = min(near, key=lambda pair: pair.high, default=None)
    low = min((pair.low for pair in found.approaches), default=FAR)
    margin = min((pair.margin for pair in found.approaches), default=FAR)
    return StudyRecord(
        file=file,
        sha256=sha256,
        axle=answer.axle,
        width_mm=answer.width,
        tolerance_mm=found.tolerance,
        verdict=found.verdict.value,
        low_mm=None if answer.problem or not isfinite(low) else min(low, FAR),
        high_mm=nearest.high if nearest is not None and isfinite(nearest.high) else None,
        margin_mm=None if answer.problem or not isfinite(margin) else margin,
        nearest=_pair_name(nearest),
        tightest=_pair_name(near[0] if near else None),
        problem=answer.problem or None,
        seconds=round(seconds, 4),
    )


def study_schema_bytes() -> bytes:
    """The JSON Schema (draft 2020-12) of a line, the text of ``assets/study.schema.json``."""
    return schema_of(StudyRecord, "Wheelroom study record")


def _pair_name(pair: Approach | None) -> PairNameAnswer | None:
    return None if pair is None else msgspec.convert(pair, PairNameAnswer, from_attributes=True)


# Lines


_PAIR: Final = ("kind", "moving", "moving_side", "fixed", "fixed_side")
_PLAIN: Final = ("file", "sha256", "axle", "width_mm", "tolerance_mm", "verdict", "low_mm", "high_mm", "margin_mm")
COLUMNS: Final = (
    *_PLAIN,
    *(f"{which}_{part}" for which in ("nearest", "tightest") for part in _PAIR),
    "problem",
    "seconds",
)
"""Columns of the CSV form."""


def json_line(record: StudyRecord) -> bytes:
    """The record as a line of JSON Lines, UTF-8."""
    return msgspec.json.encode(record) + b"\n"


def csv_line(record: StudyRecord) -> bytes:
    """The record as a line of CSV (RFC 4180), UTF-8; no cell holds a line break."""
    row: dict[str, object] = {name: getattr(record, name) for name in (*_PLAIN, "problem", "seconds")}
    for which, pair in (("nearest", record.nearest), ("tightest", record.tightest)):
        if pair is not None:
            values = (pair.kind, pair.moving.label, pair.moving.side, pair.fixed.label, pair.fixed.side)
            row |= {f"{which}_{part}": value for part, value in zip(_PAIR, values, strict=True)}
    return _csv([_cell(row.get(name)) for name in COLUMNS])


def _csv(cells: list[object]) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text).writerow(cells)
    return text.getvalue().encode(errors="replace")


def _cell(value: object) -> object:
    """A value as a spreadsheet should take it: on one line, and a text that looks like a formula marked as a text."""
    if not isinstance(value, str):
        return value
    line = "".join(sign if sign.isprintable() else " " for sign in value)
    return f"'{line}" if line[:1] in {"=", "+", "-", "@"} else line


class _Known(Struct, frozen=True):
    """What must be known of a line to leave its work out."""

    format: Literal["wheelroom-study"]
    sha256: str | None
    axle: str | None
    width_mm: float | None
    tolerance_mm: float
    verdict: VerdictName


def _known_from_csv(line: bytes) -> _Known:
    row: dict[str, Any] = dict(zip(COLUMNS, next(csv.reader([line.decode()])), strict=True))
    known = {name: row[name] or None for name in _Known.__struct_fields__ if name != "format"}
    return msgspec.convert({"format": "wheelroom-study", **known}, _Known, strict=False)


# Files


class ResultsFile:
    """A file of results, open to append to.

    Attributes
    ----------
    known : dict
        Verdicts of what is there already, by what they are about; several where a rig file was there several times.

    """

    def __init__(self, path: Path, tolerance: float) -> None:
        """Open a file, or make it; a last line that is torn is taken off.

        Raises
        ------
        FileSaveError
            When the file is none of results, or cannot be written.

        """
        self.known: dict[Key, tuple[Verdict, ...]] = {}
        self._path = path
        self._header = _csv(list(COLUMNS)) if path.suffix.lower() == ".csv" else b""
        self._line: Callable[[StudyRecord], bytes] = csv_line if self._header else json_line
        try:
            self._file: BinaryIO = path.open("a+b")
        except OSError as error:
            raise self._refused(error) from error
        try:
            self._repair(self._read(tolerance))
        except OSError as error:
            self._file.close()
            raise error if isinstance(error, FileSaveError) else self._refused(error) from error

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None) -> None:
        self._file.close()  # writes what an interrupt may have left over of a line

    def write(self, record: StudyRecord) -> None:
        """Append a record, whole; a reader sees it at once.

        Raises
        ------
        FileSaveError
            When it cannot be written.

        """
        self._append(self._line(record))

    def claim(self, key: Key) -> Verdict | None:
        """The verdict of a result that is there already, each to be had once; None = there is none."""
        verdicts = self.known.pop(key, ())
        if len(verdicts) > 1:
            self.known[key] = verdicts[1:]
        return verdicts[0] if verdicts else None

    def _read(self, tolerance: float) -> int:
        """Take in all whole lines; returns where they end [bytes]."""
        self._file.seek(0)
        end = 0
        for number, line in enumerate(iter(lambda: self._file.readline(LONGEST_LINE), b""), start=1):
            start = self._header or b'{"format":"wheelroom-study",'
            if not line.endswith(b"\n"):
                if not (start.startswith(line[: len(start)]) or (self._header and number > 1)):
                    raise self._foreign(number)
                break
            end += len(line)
            if number == 1 and self._header:
                if line != self._header:
                    raise self._foreign(number)
                continue
            self._learn(line, number, tolerance)
        return end

    def _learn(self, line: bytes, number: int, tolerance: float) -> None:
        try:
            there = _known_from_csv(line) if self._header else msgspec.json.decode(line, type=_Known)
        except (ValueError, csv.Error):  # also of msgspec
            raise self._foreign(number) from None
        if there.sha256 is not None and there.tolerance_mm == tolerance:
            key = key_of(there)
            self.known[key] = (*self.known.get(key, ()), Verdict(there.verdict))

    def _repair(self, end: int) -> None:
        self._file.truncate(end)
        self._file.seek(0, os.SEEK_END)
        if end == 0:
            self._append(self._header)

    def _append(self, line: bytes) -> None:
        try:
            self._file.write(line)
            self._file.flush()
        except OSError as error:
            raise self._refused(error) from error

    def _refused(self, error: OSError) -> FileSaveError:
        return FileSaveError(f"{self._path.name} cannot be written: {error.strerror or error}.")

    def _foreign(self, number: int) -> FileSaveError:
        return FileSaveError(
            f"{self._path.name}: line {number} is none of a study, and a study is only ever added to; "
            "choose another name."
        )


def key_of(record: _Known | StudyRecord) -> Key:
    """What a record is about; where it is about no axle or width, an empty text and zero stand for them."""
    return intern(record.sha256 or ""), intern(record.axle or ""), record.width_mm or 0.0
