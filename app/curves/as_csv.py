"""Curves as a table: a line for each pose, a column for each quantity; what is not known is an empty cell."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from math import isfinite
from typing import Final

import numpy as np

from app.curves.quantity import Curves, Floats, Unit

DIGITS: Final = 6
"""Digits behind the point: a millionth of a millimetre is far below any meaning, and the same on every machine."""

SUFFIX: Final[dict[Unit, str]] = {"mm": "_mm", "rad": "_deg", "-": "", "%": "_percent"}
"""What tells the unit of a column."""


def curves_to_csv(found: Curves) -> bytes:
    """Poses, whether the axle goes there, and all quantities, angles in degrees; RFC 4180, UTF-8."""
    text = io.StringIO(newline="")
    rows = csv.writer(text)
    columns = dict(_columns(found))
    rows.writerow(columns)
    rows.writerows(zip(*columns.values(), strict=True))
    return text.getvalue().encode()


def _columns(found: Curves) -> Iterator[tuple[str, list[str]]]:
    yield "left_mm", _cells(found.left)
    yield "right_mm", _cells(found.right)
    yield "steer_deg", _cells(np.degrees(found.steer))
    yield "reached", ["yes" if reached else "no" for reached in found.reached.tolist()]
    for each in found.found:
        unit = each.quantity.unit
        yield each.quantity.key + SUFFIX[unit], _cells(np.degrees(each.values) if unit == "rad" else each.values)


def _cells(values: Floats) -> list[str]:
    return [_cell(value) for value in values.tolist()]


def _cell(value: float) -> str:
    """A number without a minus sign before nothing; empty where there is none."""
    return f"{round(value, DIGITS) + 0.0:.{DIGITS}f}" if isfinite(value) else ""
