"""Drawings as other programs write them, made with the library's writer, and damage done to files."""

from __future__ import annotations

import io
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
