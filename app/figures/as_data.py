"""Figures as plain data for JSON: lengths in mm, angles in degrees, masses in kg."""

from __future__ import annotations

from collections.abc import Iterable
from math import degrees
from typing import Final

from app.figures.figure import Figure, Group, Kind

UNITS: Final[dict[Kind, str]] = {
    "length": "mm",
    "fine": "mm",
    "mark": "mm",
    "mark in mm": "mm",
    "offset": "mm",
    "clearance": "mm",
    "angle": "deg",
    "slope": "deg/deg",
    "mass": "kg",
    "factor": "",
    "index": "",
    "share": "",
    "yes or no": "",
    "speed": "mm/s",
    "number": "",
}
"""Unit of the value in the data; empty = a plain number, of yes or no 1 or 0."""


def groups_as_data(groups: Iterable[Group]) -> list[dict[str, object]]:
    """Groups with their figures."""
    return [
        {
            "key": group.key,
            "title": group.title,
            "remark": group.remark,
            "refusals": [{"sentence": refusal.sentence, "place": refusal.place} for refusal in group.refusals],
            "figures": [_figure(figure) for figure in group.figures],
        }
        for group in groups
    ]


def _figure(figure: Figure) -> dict[str, object]:
    value = figure.amount.value
    return {
        "key": figure.key,
        "column": figure.column,
        "label": figure.label,
        "value": degrees(value) if value is not None and figure.kind == "angle" else value,
        "unit": UNITS[figure.kind],
        "missing": list(figure.amount.missing),
        "definition": figure.definition,
        "note": figure.note,
        "warning": figure.warning,
    }
