"""Cut sheets as one table: a line for each number, in full precision, the same as in the JSON form."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Final

from app.files.answer_csv import as_cell
from app.report.cut_sheet_records import (
    AngleValue,
    CheckRow,
    CutSheet,
    CutSheets,
    LengthValue,
    MockUpRow,
    PerchRow,
    ShaftRow,
    SideRow,
    WidthCheck,
)

COLUMNS: Final = ("axle", "section", "name", "side", "mm", "rounded_mm", "deg", "word", "needs")
"""Lengths [mm], exact or as it is built, and rounded to the tape; angles [degrees]; what else there is to say; what an
unknown number needs."""

Line = dict[str, object]
LENGTHS: Final = (
    "half", "centre_half", "showing", "end_addition", "insertion_centre", "insertion_end", "shrink", "tube", "tube_cut",
)  # fmt: skip
TOTALS: Final = ("proof_sum", "width_given", "rounding_error", "between_ends", "kerf", "stock_needed")


def cut_sheets_to_csv(sheets: CutSheets) -> bytes:
    """Cut sheets as a table; RFC 4180, UTF-8."""
    text = io.StringIO(newline="")
    rows = csv.DictWriter(text, COLUMNS, restval="")
    rows.writeheader()
    for sheet in sheets.sheets:
        for line in _lines(sheet):
            rows.writerow({name: as_cell(value) for name, value in {"axle": sheet.axle, **line}.items()})
    return text.getvalue().encode()


def _check_of_width(check: WidthCheck | None) -> Iterator[Line]:
    if check is None:
        return
    yield {"section": "width check", "name": "verdict", "word": check.verdict}
    if check.moving:
        pair = f"{check.moving} to {check.fixed}"
        yield {"section": "width check", "name": "closest", "mm": check.closest_mm, "word": pair}
    if check.problem:
        yield {"section": "width check", "name": "problem", "word": check.problem}
    for name, rules in (("broken rule", check.broken), ("rule unknown", check.open)):
        for rule in rules:
            yield {"section": "width check", "name": name, "word": rule}


def _lines(sheet: CutSheet) -> Iterator[Line]:
    yield {"section": "sheet", "name": "identification", "word": sheet.identification}
    yield {"section": "sheet", "name": "complete", "word": sheet.complete, "needs": " ".join(sheet.needs)}
    yield {"section": "sheet", "name": "unconfirmed", "word": " ".join(sheet.unconfirmed)}
    yield from ({"section": "unusual", "name": each.place, "mm": each.mm} for each in sheet.doubts)
    yield from _check_of_width(sheet.check)
    for name, mm in (
        ("width", sheet.width_mm),
        ("pinion_offset", sheet.pinion_offset_mm),
        ("tube_od", sheet.tube_od_mm),
    ):
        yield {"section": "sheet", "name": name, "mm": mm}
    yield {"section": "sheet", "name": "datum", "word": sheet.datum}
    yield {"section": "sheet", "name": "rounding", "word": sheet.rounding, "mm": sheet.step_mm}
    yield from (_length("sheet", name, getattr(sheet, name)) for name in TOTALS)
    for side in sheet.sides:
        yield from _side(side)
    for term in sheet.proof:
        yield _length("proof", term.part, term.exact, term.side) | {"rounded_mm": term.rounded.mm}
    yield from (_angle("angle", name, getattr(sheet, name)) for name in ("caster", "pinion", "separation"))
    for shaft in sheet.shafts:
        yield from _shaft(shaft)
    for perch in sheet.perches:
        yield from _perch(perch)
    if sheet.mock_up is not None:
        yield _length("mock-up", "least_width", sheet.mock_up.least_width)
        yield _length("mock-up", "most_width", sheet.mock_up.most_width)
        for row in sheet.mock_up.rows:
            yield from _mock_up(row)
    for check in sheet.checks:
        yield from _check(check)


def _length(section: str, name: str, value: LengthValue, side: str = "") -> Line:
    return {"section": section, "name": name, "side": side, "mm": value.mm, "needs": " ".join(value.missing)}


def _angle(section: str, name: str, value: AngleValue, side: str = "") -> Line:
    return {"section": section, "name": name, "side": side, "deg": value.deg, "needs": " ".join(value.missing)}


def _side(side: SideRow) -> Iterator[Line]:
    yield {"section": "side", "name": "end", "side": side.side, "word": side.end}
    yield from (_length("side", name, getattr(side, name), side.side) for name in LENGTHS)
    for mark in (side.cut, *side.marks):
        section = "cut" if mark is side.cut else "mark"
        yield _length(section, mark.name, mark.exact, side.side) | {"rounded_mm": mark.rounded.mm}


def _shaft(shaft: ShaftRow) -> Iterator[Line]:
    yield _length("shaft", "length", shaft.length, shaft.side)
    for stock in shaft.stock:
        section = "stock shaft"
        yield {"section": section, "name": "length", "side": shaft.side, "mm": stock.length_mm, "word": stock.engages}
        for name in ("longer_by", "engagement", "width"):
            yield _length(section, name, getattr(stock, name), shaft.side)


def _perch(perch: PerchRow) -> Iterator[Line]:
    name = f"{perch.perch}{' (mirror)' if perch.mirror else ''}"
    yield {"section": "perch", "name": f"{name}: at", "side": perch.side, "mm": perch.at_mm, "word": perch.name}
    yield {"section": "perch", "name": f"{name}: width", "side": perch.side, "mm": perch.width_mm}
    yield _length("perch", f"{name}: from_pinion", perch.from_pinion, perch.side)
    yield _length("perch", f"{name}: from_wheel_mount", perch.from_wheel_mount, perch.side)
    yield _angle("perch", f"{name}: from_pinion_angle", perch.from_pinion_angle, perch.side)


def _mock_up(row: MockUpRow) -> Iterator[Line]:
    yield {"section": "mock-up", "name": "width", "mm": row.width_mm, "word": row.fits}
    for side, slider in (("left", row.left), ("right", row.right)):
        yield _length("mock-up", "overlap", slider.overlap, side)
        yield _length("mock-up", "from_mount", slider.from_mount, side)


def _check(check: CheckRow) -> Iterator[Line]:
    if check.length is not None:
        yield _length("check", check.name, check.length)
    if check.finished is not None:
        yield _length("check once welded", check.name, check.finished)
    if check.angle is not None:
        yield _angle("check", check.name, check.angle)
    yield {
        "section": "check",
        "name": f"{check.name}: tolerance",
        "mm": check.tolerance_mm,
        "deg": check.tolerance_deg,
    }
