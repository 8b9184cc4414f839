"""What was measured on an axle beside its plan, as rows: the same on the command line and on paper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import degrees
from typing import Final

from app.units import LengthUnit, fine_unit, format_angle, format_length
from app.wording import MEASURED_WORDS, difference_words
from geometry.plan.as_built import ANGLES, AsBuiltReport, Difference

TITLES: Final = ("Axle", "Measured", "As built", "Planned", "Off", "Allowed", "In tolerance")

JUDGED: Final = {True: "yes", False: "NO", None: "not judged"}


def measured_rows(reports: Iterable[AsBuiltReport], unit: LengthUnit) -> Iterator[tuple[str, ...]]:
    """A row for each measured number, as `TITLES` heads them; what was not measured has none."""
    for report in reports:
        for each in report.measured:
            yield (report.axle, MEASURED_WORDS[each.name], *_numbers(each, unit), JUDGED[each.within])


def _numbers(found: Difference, unit: LengthUnit) -> tuple[str, ...]:
    measured, planned = (size_words(found.name, value, unit) for value in (found.measured, found.planned.value))
    off = "unknown" if found.off is None else difference_words(found.name, found.off, unit)
    at_least = "at least " if found.by.value is None and found.off is not None else ""
    allowed = "–" if found.tolerance is None else f"±{size_words(found.name, found.tolerance, unit, fine=True)}"
    return measured, planned, f"{at_least}{off}", allowed


def size_words(name: str, value: float | None, unit: LengthUnit, *, fine: bool = False) -> str:
    """A number of the record, a length [mm] or an angle [rad], in words; `fine` = of a tolerance."""
    if value is None:
        return "unknown"
    if name in ANGLES:
        return format_angle(degrees(value))
    return format_length(value, fine_unit(unit)) if fine else format_length(value, unit, step=1 / 32)
