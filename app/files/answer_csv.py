"""The table of pairs as CSV, in full precision; what is not known is an empty cell."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from math import degrees
from typing import Final

from app.files.answer import known
from app.study import Study
from app.wording import WAYS, bump_left
from geometry.contact.findings import Verdict

_COLUMNS: Final = (
    "axle",
    "kind",
    "moving",
    "moving_side",
    "fixed",
    "fixed_side",
    "verdict",
    "wanted_mm",
    "low_mm",
    "high_mm",
    "beyond",
    "settled",
    "left_mm",
    "right_mm",
    "steer_deg",
    *(f"bump_left_{way}_{end}_mm" for way in ("straight", "crossed") for end in ("low", "high")),
    "problem",
)


def answer_to_csv(study: Study) -> bytes:
    """One line per pair, worst first, then a line for each axle that cannot follow its travel; RFC 4180, UTF-8."""
    text = io.StringIO(newline="")
    rows = csv.writer(text)
    rows.writerow(_COLUMNS)
    rows.writerows([as_cell(row.get(name)) for name in _COLUMNS] for row in _rows(study))
    return text.getvalue().encode()


def _rows(study: Study) -> Iterator[dict[str, object]]:
    for found in study.approaches:
        row: dict[str, object] = {
            "axle": found.axle,
            "kind": found.kind,
            "moving": found.moving.label,
            "moving_side": found.moving.side,
            "fixed": found.fixed.label,
            "fixed_side": found.fixed.side,
            "verdict": found.verdict.value,
            "wanted_mm": found.wanted,
            "low_mm": known(found.low),
            "high_mm": known(found.high),
            "beyond": found.beyond,
            "settled": found.settled,
        }
        if not found.beyond:
            row |= {
                "left_mm": found.pose.left,
                "right_mm": found.pose.right,
                "steer_deg": degrees(found.pose.steer),
            }
        for way, start in zip(WAYS, (found.start_straight, found.start_crossed), strict=True):
            if start is not None:
                left = bump_left(start, study.rig.axle(found.axle), way)
                row |= {f"bump_left_{way}_low_mm": left.low, f"bump_left_{way}_high_mm": left.high}
        yield row
    for answer in study.axles:
        if answer.problem:
            yield {"axle": answer.axle, "verdict": Verdict.UNKNOWN.value, "problem": answer.problem}


def as_cell(value: object) -> object:
    """A value as a spreadsheet should take it: a text that looks like a formula is marked as a text."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and value[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        return f"'{value}"
    return value
