"""Drawings as other programs write them, made with the library's writer, and damage done to files."""

from __future__ import annotations

import io
import random
from typing import Any

from ezdxf.document import Drawing
from ezdxf.filemanagement import new

from app.files.drawing import Choices
from app.files.dxf import read_drawing
from app.files.from_drawing import imported_from
from app.files.imported import Imported


def empty(release: str = "R2010", units: int = 4) -> Drawing:
    return new(release, units=units)


def written(document: Drawing) -> bytes:
    text = io.StringIO()
    document.write(text)
    return document.encode(text.getvalue())


def brought_in(document: Drawing, unit: str | None = None, **choices: Any) -> Imported:
    drawing = read_drawing(written(document))
    return imported_from(drawing, Choices(unit or drawing.unit or "mm", **choices))


def damaged(data: bytes, seed: int) -> bytes:
    """A file with some bytes changed, cut, doubled, or put elsewhere."""
    chance = random.Random(seed)  # noqa: S311
    for _ in range(chance.randint(1, 6)):
        at, length = chance.randrange(len(data) + 1), chance.randint(1, 12)
        other = chance.randrange(len(data) + 1)
        pieces = [b"", chance.randbytes(length), data[other : other + 400], b'"', b"\0", b"1e9", b"-", b"\n", b"9" * 30]
        data = data[:at] + chance.choice(pieces) + data[at + chance.choice([0, length]) :]
    return data[: chance.randrange(len(data))] if chance.random() < 0.1 else data
