from __future__ import annotations

import pytest

from app.files.drawing import Choices
from app.files.dxf import read_drawing
from app.files.dxf_mending import mended
from app.files.from_drawing import imported_from
from app.files.imported import Imported, ImportFileError
from tests.app.files.drawings import empty, written


def two_lines_and_a_polyline() -> bytes:
    document = empty("R2000")
    space = document.modelspace()
    space.add_line((0, 0, 7.25), (400, 0, 20), {"layer": "rails"})
    space.add_line((0, 50, 20), (400, 50, 20))
    space.add_polyline3d([(0, 90, 20), (300, 90, 20), (300, 95.5, 80)])
    return written(document)


def taken(data: bytes) -> Imported:
    return imported_from(read_drawing(data), Choices("mm"))


def test_a_whole_drawing_is_left_as_it_is() -> None:
    data = two_lines_and_a_polyline()
    assert mended(data).data is data
    assert not mended(data).is_cut


@pytest.mark.parametrize("damage", [b"30\n7.2x%5", b"30\nnan", b"3q\n7.25", b"7.25"])
def test_one_line_that_cannot_be_read_is_left_out_and_the_rest_comes_in(damage: bytes) -> None:
    data = two_lines_and_a_polyline().replace(b"\r\n", b"\n")
    assert data.count(b"30\n7.25\n") == 1
    found = taken(data.replace(b"30\n7.25\n", damage + b"\n"))
    assert len(found.bars) == 2
    assert "Left out: 1 LINE on layer “rails”, damaged in the file." in found.report


def test_a_polyline_with_a_damaged_corner_goes_whole_and_not_without_that_corner() -> None:
    data = two_lines_and_a_polyline()
    assert data.count(b"95.5") == 1
    found = taken(data.replace(b"95.5", b"9?.5"))
    assert sorted(len(bar.nodes) for bar in found.bars) == [2, 2]
    assert "Left out: 1 POLYLINE on layer “0”, damaged in the file." in found.report


def test_a_polyline_that_the_file_breaks_off_in_goes_whole() -> None:
    data = two_lines_and_a_polyline()
    found = taken(data[: data.index(b"95.5")])
    assert sorted(len(bar.nodes) for bar in found.bars) == [2, 2]
    assert "Left out: 1 POLYLINE on layer “0”, damaged in the file." in found.report
    assert any(sentence.startswith("The file ends early") for sentence in found.report)


def test_where_nothing_is_whole_the_damage_is_told_and_not_that_there_are_no_bars() -> None:
    data = two_lines_and_a_polyline()
    with pytest.raises(ImportFileError, match=r"^The file is damaged or cut off, and no bar or panel in it is whole"):
        taken(data[: data.index(b"7.25")])


def test_a_damaged_header_variable_takes_nothing_else_along() -> None:
    data = two_lines_and_a_polyline()
    start = data.index(b"$EXTMIN")
    drawing = read_drawing(data[:start] + data[start:].replace(b"1e+20", b"1e+?0", 1))
    assert (drawing.unit, drawing.repairs, len(drawing.strokes)) == ("mm", 1, 3)
