"""The printed cut sheet: its text read back is what the JSON form says, and it can be read at arm's length."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from math import fsum
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
import shapely
from msgspec.structs import replace

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.report.axle_drawing import CUT_LETTERS, NARROW, POINT
from app.report.cut_sheet import cut_sheets, cut_sheets_to_json
from app.report.cut_sheet_pdf import write_cut_sheets
from app.report.cut_sheet_words import CAUTIONS
from app.units import LengthUnit, parse_length
from geometry.rig.build import Perch
from geometry.rig.layout import Floats
from geometry.rig.rig import Rig

pytestmark = pytest.mark.usefixtures("qapp")

WHEN = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
PRINTED_MM = 0.05
"""Half the last digit of what is printed [mm]."""
SHEETS = [("a4", LengthUnit.MM), ("letter", LengthUnit.FRACTION), ("letter", LengthUnit.INCH)]

PATH = 2
"""What the reader calls a drawn line."""
DOTS = 4
"""Dots in a point of a page made a picture."""


@pytest.fixture(scope="module")
def demo() -> Rig:
    return read_rig(demo_rigs()[1])


def printed(folder: Path, rig: Rig, unit: LengthUnit = LengthUnit.MM, paper: str = "a4") -> pypdfium2.PdfDocument:
    sheets = cut_sheets(rig, [axle.id for axle in rig.axles])
    write_cut_sheets(folder / "sheet.pdf", rig, sheets, unit, paper=paper, rig_file="a.rig.json", when=WHEN)
    return pypdfium2.PdfDocument(folder / "sheet.pdf")


def text_of(page: Any) -> str:
    text = page.get_textpage().get_text_bounded()
    return str(text).replace("−", "-").replace("\N{NO-BREAK SPACE}", " ").replace("\r\n", "\n")


def boxes(page: Any) -> Floats:
    """Boxes round all letters on a page, shape (n, 4): left, bottom, right, top [points]."""
    text = page.get_textpage()
    return np.array([text.get_rect(index) for index in range(text.count_rects())])


def sheets_of(rig: Rig) -> list[dict[str, Any]]:
    told: list[dict[str, Any]] = json.loads(cut_sheets_to_json(cut_sheets(rig, [a.id for a in rig.axles])))["sheets"]
    return told


@pytest.mark.parametrize(("paper", "unit"), SHEETS)
def test_marks_and_proof_read_back_as_the_json_form_has_them(
    tmp_path: Path, demo: Rig, paper: str, unit: LengthUnit
) -> None:
    pages = printed(tmp_path, demo, unit, paper)
    assert len(pages) == 2
    for page, sheet in zip(pages, sheets_of(demo), strict=True):
        text = text_of(page)
        sides = (sheet["left"], sheet["right"])
        for label, pick in (
            ("CUT to tube's end", lambda side: side["cut"]["rounded"]["mm"]),
            ("TUBE, whole length", lambda side: side["tube_cut"]["mm"]),
            ("Wheel mounting face", lambda side: side["marks"][-1]["rounded"]["mm"]),
        ):
            assert read_row(text, label, unit) == pytest.approx(
                [mm for side in sides for mm in [pick(side)] * 2], abs=PRINTED_MM
            )
        proof = [line.split() for line in text.splitlines() if re.search(r"(-?\d+\.\d{2,3} ?){4}$", line)]
        numbers = [[float(cell) for cell in line[-4:]] for line in proof]
        for column, form in ((1, "exact"), (3, "rounded")):
            terms = [row[column] for row in numbers[:-3]]
            assert terms == pytest.approx([term[form]["mm"] for term in sheet["proof"]], abs=0.0051)
            assert fsum(terms) == pytest.approx(numbers[-3][column], abs=0.005 * len(terms))
        assert numbers[-2] == pytest.approx([sheet["width_mm"] / 25.4, sheet["width_mm"]] * 2, abs=0.0051)
        assert numbers[-1][3] == pytest.approx(sheet["rounding_error"]["mm"], abs=0.0051)


def read_row(text: str, label: str, unit: LengthUnit) -> list[float]:
    """The four lengths of a row of marks [mm]."""
    line = next(line for line in text.splitlines() if line.startswith(label))
    found = re.findall(r"≈? ?-?[\d.]+(?: \d+/\d+)? (?:mm|in)|≈? ?-?\d+/\d+ in", line.removeprefix(label))
    return [parse_length(each.strip(" ≈"), unit) for each in found]


@pytest.mark.parametrize(
    ("paper", "unit", "build"),
    [
        (*SHEETS[0], {}),
        (*SHEETS[1], {"datum": "centre-face", "rounding": "none"}),
        (*SHEETS[2], {"datum": "tube-end", "rounding": "0.5 mm"}),
    ],
)
def test_no_words_cover_others_or_leave_the_paper(
    tmp_path: Path, demo: Rig, paper: str, unit: LengthUnit, build: dict[str, Any]
) -> None:
    trials = (1700.0, 1750.0, 1800.0, 1850.0)
    axles = tuple(replace(axle, build=replace(axle.build, **build), trial_widths=trials) for axle in demo.axles)
    for page in printed(tmp_path, replace(demo, axles=axles), unit, paper):
        width, height = page.get_size()
        found = boxes(page)
        assert (found[:, :2] > 20.0).all()
        assert (np.array([width, height]) - found[:, 2:] > 20.0).all()
        drawn = shapely.box(*found.T)
        one, other = shapely.STRtree(drawn).query(drawn)
        shared = np.minimum(found[one, 2:], found[other, 2:]) - np.maximum(found[one, :2], found[other, :2])
        # more than a letter is moved under the one before it
        covers = (one < other) & (shared[:, 0] > 1.5) & (shared[:, 1] > 0.5)
        assert [page.get_textpage().get_text_bounded(*found[index]) for index in one[covers]] == []


@pytest.mark.parametrize(("paper", "unit"), SHEETS)
def test_what_is_cut_by_is_lettered_as_large_as_arms_length_asks(
    tmp_path: Path, demo: Rig, paper: str, unit: LengthUnit
) -> None:
    for page in printed(tmp_path, demo, unit, paper):
        text = page.get_textpage()
        cut = read_words(text_of(page), "CUT to tube's end")
        large = [height for height in digit_heights(text, cut) if height >= CUT_LETTERS - 0.02]
        assert len(large) >= 2  # in the drawing and in the table
        assert min(boxes_heights(page)) > 1.6


def read_words(text: str, label: str) -> str:
    """The first length of a row as it is printed."""
    line = next(line for line in text.splitlines() if line.startswith(label))
    return next(iter(re.findall(r"[\d.]+(?: \d+/\d+)? (?:mm|in)", line.removeprefix(label))))


def digit_heights(text: Any, words: str) -> Iterator[float]:
    """Heights of the ink of the first digits of some words, wherever they stand in large letters [mm]."""
    for spelt in {words, words.replace(" ", "\N{NO-BREAK SPACE}")}:
        search = text.search(spelt, match_case=True)
        while (found := search.get_next()) is not None:
            _, bottom, _, top = text.get_charbox(found[0])
            yield (top - bottom) * POINT


def boxes_heights(page: Any) -> Iterator[float]:
    """Heights of the ink of all capitals and digits [mm]."""
    text = page.get_textpage()
    for index in range(text.count_chars()):
        if re.fullmatch(r"[A-Z0-9]", text.get_text_range(index, 1)):
            _, bottom, _, top = text.get_charbox(index)
            yield (top - bottom) * POINT


def test_the_page_has_the_title_block_the_cautions_and_the_boxes(tmp_path: Path, demo: Rig) -> None:
    for page, sheet in zip(printed(tmp_path, demo), sheets_of(demo), strict=True):
        text = re.sub(r"\s+", " ", text_of(page))
        fields = (
            "Legal owner",
            "Identification number",
            "Date of issue",
            "Sheet",
            "Title",
            "Approved by",
            "Created by",
        )
        assert [name for name in (*fields, "Document type") if name not in text] == []
        assert sheet["identification"] in text
        assert "2026-03-14" in text
        assert [words for words in CAUTIONS if words not in text] == []
        assert [
            words
            for words in ("tacked", "welded", "initials, date", "Measure me: 100 mm and 4 in")
            if words not in text
        ] == []
        assert "INCOMPLETE" not in text
        assert "NOT CONFIRMED" not in text


def test_the_bar_is_100_mm_and_4_in_long(tmp_path: Path, demo: Rig) -> None:
    page = printed(tmp_path, demo)[0]
    bounds = [thing.get_bounds() for thing in page.get_objects([PATH])]
    wide = 4.0 * 72.0 + 2.0 * NARROW
    (bar,) = [box for box in bounds if box[2] - box[0] == pytest.approx(wide, abs=0.1) and box[1] < 150.0]
    dark = page.render(scale=DOTS).to_numpy().min(axis=2) < 128
    bottom_up = dark[::-1]
    for y, step, number in ((bar[3] - 2.0, 10.0 / POINT, 11), (bar[1] + 2.0, 72.0, 5)):
        row = bottom_up[round(y * DOTS), round((bar[0] - 2.0) * DOTS) : round((bar[2] + 2.0) * DOTS)]
        starts = np.flatnonzero(np.diff(row.astype(int)) == 1) / DOTS
        assert np.diff(starts) == pytest.approx([step] * (number - 1), abs=2.0 / DOTS)


def test_a_sheet_that_lacks_something_says_so_and_asks_for_nothing_built(tmp_path: Path) -> None:
    short = read_rig(demo_rigs()[0])
    text = text_of(printed(tmp_path, short)[0])
    assert "INCOMPLETE: DO NOT CUT BY THIS SHEET" in text
    assert "left end addition" in text
    assert "unknown: needs" in text
    assert "initials" not in text


def test_values_that_nobody_confirmed_stand_at_the_head(tmp_path: Path, demo: Rig) -> None:
    marked = replace(demo, unconfirmed=("axles/rear/build/kerf",))
    first, second = (text_of(page) for page in printed(tmp_path, marked))
    assert "NOT CONFIRMED: MEASURE BEFORE YOU CUT" in first
    assert "NOT CONFIRMED" not in second


def test_what_finds_no_room_goes_on_behind_and_nothing_is_lost(tmp_path: Path, demo: Rig) -> None:
    rear = demo.axle("rear")
    assert rear.build is not None
    perches = tuple(Perch(id=f"p{n}", at=200.0 + 9.0 * n, width=5.0, weld_leg=1.0) for n in range(64))
    widths = tuple(1600.0 + 10.0 * n for n in range(32))
    crowded = replace(rear, build=replace(rear.build, perches=perches), trial_widths=widths)
    pages = printed(tmp_path, replace(demo, axles=(crowded,)))
    text = "\n".join(map(text_of, pages))
    assert len(pages) > 1
    assert [perch.id for perch in perches if not re.search(rf"left {perch.id}\b", text)] == []
    assert [width for width in widths if f"{width:.1f} mm" not in text] == []
    assert all(f"{number} of {len(pages)}" in text_of(page) for number, page in enumerate(pages, start=1))


def test_equal_sheets_give_equal_files(tmp_path: Path, demo: Rig) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    for folder in (one, other):
        folder.mkdir()
        printed(folder, demo)
    assert (one / "sheet.pdf").read_bytes() == (other / "sheet.pdf").read_bytes()
