from __future__ import annotations

from contextlib import suppress
from math import cos, dist, pi, sin, sqrt
from pathlib import Path

import pytest
from msgspec.structs import replace

from app.files import dxf
from app.files.assets import demo_rigs
from app.files.drawing import Choices, Halves, tube_of_layer
from app.files.dxf import read_drawing
from app.files.dxf_out import drawing_bytes
from app.files.from_drawing import imported_from
from app.files.imported import LARGEST, Imported, ImportFileError, merged
from app.files.rig_file import read_rig
from geometry.rig.layout import bar_paths
from tests.app.files.drawings import brought_in, empty, written
from tests.geometry.rig.rigs import small_rig


def lengths(found: Imported) -> list[float]:
    """Lengths of the bars along their nodes [mm]."""
    at = {node.id: node.at for node in found.nodes}
    return sorted(sum(dist(at[a], at[b]) for a, b in zip(bar.nodes, bar.nodes[1:], strict=False)) for bar in found.bars)


def said(found: Imported) -> str:
    return "\n".join(found.report)


# Round trips


@pytest.mark.parametrize("path", demo_rigs(), ids=lambda path: path.name)
def test_the_import_of_an_export_gives_the_same_chassis_to_the_last_digit(path: Path) -> None:
    rig = read_rig(path)
    bare = replace(rig, nodes=(), bars=(), panels=())
    drawing = read_drawing(drawing_bytes(rig))
    assert drawing.unit == "mm"
    assert drawing.repairs == 0
    assert merged(bare, imported_from(drawing, Choices("mm")), instead=True) == rig


@pytest.mark.parametrize("share", [0.5, 0.75, 0.9])
def test_a_drawing_that_breaks_off_brings_in_what_is_whole_and_says_that_it_was_mended(share: float) -> None:
    data = drawing_bytes(read_rig(demo_rigs()[1]))
    start = data.index(b"  2\nENTITIES")
    cut = data[: start + int((data.index(b"ENDSEC", start) - start) * share)]
    whole, broken = read_drawing(data), read_drawing(cut)
    assert whole.repairs == 0
    assert broken.is_cut > whole.is_cut
    assert "The file ends early" in said(imported_from(broken, Choices("mm")))
    assert broken.nodes == whole.nodes
    assert 0 < len(broken.bars) <= len(whole.bars)
    assert broken.bars == whole.bars[: len(broken.bars)]


def test_no_refusal_of_a_drawing_names_what_a_library_calls_its_errors() -> None:
    data = drawing_bytes(small_rig())
    start = data.index(b"  2\nENTITIES")
    for name in (b" 10\n", b"  0\nLINE", b"  8\n"):
        with suppress(ImportFileError):
            read_drawing(data[:start] + data[start:].replace(name, b"?? \n", 1))
            continue
    with pytest.raises(ImportFileError, match=r"damaged or cut off and cannot be read; .*comes from\.$"):
        read_drawing(b"  0\nSECTION\n  2\nENTITIES\nnonsense\n")


def test_names_of_all_signs_survive_a_drawing() -> None:
    rig = small_rig()
    name = "Ärger \\U+00e4 ^J “x”" + "   " * 20 + "'"
    rig = replace(rig, bars=(replace(rig.bars[0], name=name, od=44.45 + 1e-12), *rig.bars[1:]))
    found = imported_from(read_drawing(drawing_bytes(rig)), Choices("mm"))
    assert merged(rig, found, instead=True) == rig
    assert drawing_bytes(rig) == drawing_bytes(rig)


def test_a_bar_that_was_moved_in_the_drawing_comes_in_as_it_lies() -> None:
    rig = small_rig()
    with_names = read_drawing(drawing_bytes(rig))
    moved = drawing_bytes(rig).replace(b"\n1200.0\n 20\n0.0\n 30\n500.0\n 11", b"\n1210.0\n 20\n0.0\n 30\n500.0\n 11")
    found = imported_from(read_drawing(moved), Choices("mm"))
    assert len(with_names.bars) == 3
    assert [bar.id for bar in found.bars] == ["rail", "cross", "bar-1"]
    assert "Bar post lies elsewhere than its nodes" in said(found)


def test_a_chassis_turned_about_keeps_all_its_tubes_and_no_mirror_that_would_lie_elsewhere() -> None:
    rig = small_rig()
    drawing = read_drawing(drawing_bytes(rig))
    about = imported_from(drawing, Choices("mm", "-x", "z"))
    assert about.nodes[0].at == (-800.0, -600.0, 500.0)
    assert about.bars == rig.bars
    aside = imported_from(drawing, Choices("mm", "-y", "z"))
    assert aside.nodes[0].at == (-600.0, 800.0, 500.0)
    assert not any(bar.mirrored for bar in aside.bars)
    assert len(aside.bars) == len(list(bar_paths(rig)))
    assert [len(panel.facets) for panel in aside.panels] == [1, 1]


# Drawings by others


@pytest.mark.parametrize("release", ["R12", "R2000", "R2010"])
@pytest.mark.parametrize(("units", "size"), [(1, 25.4), (4, 1.0), (0, 10.0)])
def test_lines_and_polylines_of_all_releases_come_in_at_their_length(release: str, units: int, size: float) -> None:
    document = empty(release, units)
    document.header["$INSUNITS"] = units
    space = document.modelspace()
    space.add_line((0, 0, 10), (30, 40, 10), {"layer": "rails"})
    space.add_polyline3d([(0, 0, 20), (10, 0, 20), (10, 20, 20), (10, 20, 50)])
    space.add_polyline2d([(0, 0, 0, 0), (7, 0, 0, 0), (7, 9, 0, 0)], format="xyseb")
    space.add_3dface([(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0)])
    drawing = read_drawing(written(document))
    sign = {1: "in", 4: "mm", 0: "cm"}[units]
    assert drawing.unit == (None if release == "R12" or units == 0 else sign)  # R12 has no word for units
    found = imported_from(drawing, Choices(sign))
    assert lengths(found) == pytest.approx([16 * size, 50 * size, 60 * size], abs=1e-6)
    assert len(found.nodes) == 2 + 4 + 3 + 3
    assert [len(panel.facets) for panel in found.panels] == [1]


def test_soup_of_lines_with_gaps_is_joined_and_runs_on() -> None:
    document = empty()
    space = document.modelspace()
    for index in range(5):  # a straight rail in five pieces with 0.3 mm between them
        space.add_line((100 * index, 0, 0), (100 * index + 99.7, 0, 0))
        space.add_line((100 * index, 0.1, 0.2), (100 * index, 80, 0))
    found = brought_in(document)
    assert sorted(len(bar.nodes) for bar in found.bars) == [2, 2, 2, 2, 2, 6]
    assert len(found.nodes) == 6 + 5
    assert lengths(found)[-1] == pytest.approx(499.7, abs=1e-6)
    assert "Joined: 9 ends, at most 0.37 mm apart." in found.report
    apart = brought_in(document, join=0.1)
    assert len(apart.nodes) == 20
    assert len(brought_in(document, through=False).bars) == 10


def test_what_is_drawn_twice_or_has_no_length_is_left_out_and_said() -> None:
    document = empty()
    space = document.modelspace()
    space.add_line((0, 0, 0), (100, 0, 0))
    space.add_line((100, 0, 0), (0, 0, 0))
    space.add_line((50, 50, 50), (50.2, 50, 50))
    space.add_circle((0, 0), 20, {"layer": "sections"})
    space.add_text("hello")
    found = brought_in(document)
    assert len(found.bars) == 1
    assert "Left out: 1 piece on layer “0”, drawn twice." in found.report
    assert "Left out: 1 piece on layer “0”, shorter than the distance at which ends are joined." in found.report
    assert "Left out: 1 CIRCLE on layer “sections”, a circle, and no tube is closed." in found.report
    assert "Left out: 1 TEXT on layer “0”, no line." in found.report
    assert "Read: layer “0”, 3 LINE." in found.report


@pytest.mark.parametrize("drawn", ["polyline", "polyline backward", "soup"])
def test_arcs_between_straights_become_bends(drawn: str) -> None:
    document = empty()
    space = document.modelspace()
    bulge = sqrt(2.0) - 1.0  # tan of a quarter of 90 degrees
    rows = [(0, 0, bulge * 0), (400, 0, bulge), (500, 100, 0), (500, 600, 0)]
    if drawn == "polyline":
        space.add_lwpolyline(rows, format="xyb")
    elif drawn == "polyline backward":
        back = [(500, 600, 0), (500, 100, -bulge), (400, 0, 0), (0, 0, 0)]
        space.add_lwpolyline(back, format="xyb")
    else:
        space.add_line((500, 600), (500, 100))
        space.add_arc((400, 100), 100, 270, 360)
        space.add_line((0, 0), (400, 0))
    found = brought_in(document)
    (bar,) = found.bars
    assert bar.bend_radius == pytest.approx(100.0, abs=1e-6)
    at = {node.id: node.at for node in found.nodes}
    corners = sorted(at[name] for name in bar.nodes)
    assert corners == [pytest.approx(corner, abs=1e-6) for corner in [(0, 0, 0), (500, 0, 0), (500, 600, 0)]]
    assert len(found.nodes) == 3


def test_other_arcs_become_straights_that_stay_near_them() -> None:
    document = empty()
    document.modelspace().add_arc((0, 0, 5), 300, 0, 120)
    found = brought_in(document)
    (bar,) = found.bars
    at = {node.id: node.at for node in found.nodes}
    assert at[bar.nodes[0]] == pytest.approx((300, 0, 5), abs=1e-6)
    assert at[bar.nodes[-1]] == pytest.approx((300 * cos(2 * pi / 3), 300 * sin(2 * pi / 3), 5), abs=1e-6)
    assert all(dist(point, (0, 0, 5)) == pytest.approx(300, abs=1e-6) for point in at.values())
    assert 300 * 2 * pi / 3 - 2.0 < lengths(found)[0] < 300 * 2 * pi / 3


def test_an_arc_drawn_in_a_turned_plane_lies_where_it_is_drawn() -> None:
    document = empty()
    document.modelspace().add_arc((0, 0, 0), 100, 0, 90, dxfattribs={"extrusion": (0, -1, 0)})
    for choices in (Choices("mm"), Choices("mm", swapped=True)):
        found = imported_from(read_drawing(written(document)), choices)
        assert all(dist(node.at, (0, 0, 0)) == pytest.approx(100, abs=1e-6) for node in found.nodes)
        assert all(abs(node.at[1]) < 1e-6 for node in found.nodes)
        middle = found.nodes[len(found.nodes) // 2].at
        assert min(abs(middle[0]), abs(middle[2])) > 10.0


def test_blocks_are_exploded_where_they_are_inserted() -> None:
    document = empty()
    inner = document.blocks.new("inner")
    inner.add_line((0, 0), (100, 0))
    outer = document.blocks.new("outer")
    outer.add_blockref("inner", (0, 0, 50))
    outer.add_blockref("inner", (0, 0, 0), {"rotation": 90, "xscale": 2, "yscale": 2, "zscale": 2})
    document.modelspace().add_blockref("outer", (1000, 0, 0), {"layer": "frame"})
    document.modelspace().add_blockref("missing", (0, 0, 0))
    found = brought_in(document, tubes={"frame": (40.0, 2.0)})
    assert lengths(found) == pytest.approx([100, 200], abs=1e-6)
    assert {bar.od for bar in found.bars} == {40.0}
    assert {node.at for node in found.nodes} >= {(1000.0, 0.0, 50.0), (1100.0, 0.0, 50.0)}
    assert "INSERT" in said(found)
    assert "1 fault mended on reading" in said(found)


def test_layers_are_chosen_and_their_names_give_tube_sizes() -> None:
    document = empty("R2010", 1)
    space = document.modelspace()
    space.add_line((0, 0), (10, 0), {"layer": "tube 1.75x0.120"})
    space.add_line((0, 5), (10, 5), {"layer": "other"})
    found = brought_in(document, layers=frozenset({"other"}))
    assert len(found.bars) == 1
    assert "Not chosen: layer “tube 1.75x0.120”, 1 LINE." in found.report


@pytest.mark.parametrize(
    ("layer", "size"),
    [
        ("tube 1.75x0.120", (44.45, 3.048)),
        ("1-3/4 x .120", (44.45, 3.048)),
        ("Rohr 40x2,5mm", (40.0, 2.5)),
        ("40 mm × 2.5", (40.0, 2.5)),
        ("frame", None),
        ("x-members 2", None),
        ("1x5", None),
        ("1/0x0.1", None),
    ],
)
def test_the_size_of_a_tube_is_read_from_a_layers_name(layer: str, size: tuple[float, float] | None) -> None:
    found = tube_of_layer(layer, "in")
    assert found == (None if size is None else pytest.approx(size))


def test_faces_that_share_edges_become_one_panel_and_folded_ones_triangles() -> None:
    document = empty()
    space = document.modelspace()
    space.add_3dface([(0, 0, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0)])
    space.add_3dface([(100, 0, 0), (200, 0, 50), (200, 100, 0), (100, 100, 0)])
    space.add_3dface([(0, 0, 500), (100, 0, 500), (0, 100, 500)])
    space.add_3dface([(0, 0, 900), (0, 0, 900), (0, 100, 900)])
    mesh = space.add_polyface()
    mesh.append_face([(0, 0, 700), (50, 0, 700), (0, 50, 700)])
    found = brought_in(document)
    assert sorted(len(panel.facets) for panel in found.panels) == [1, 1, 3]
    assert "a face without area" in said(found)


# Halves


def both_sides(slip: float) -> Imported:
    document = empty()
    space = document.modelspace()
    for side, off in ((1, 0.0), (-1, slip)):
        space.add_line((0, 400 * side, 300 + off), (1000, 400 * side, 300 + off))
        space.add_line((1000, 400 * side, 300 + off), (1000, 0, 900))
        space.add_3dface([(0, 400 * side, 300), (500, 400 * side, 300), (500, 400 * side, 600)])
    space.add_line((0, 400, 300), (0, -400, 300 + slip))
    return brought_in(document, halves=Halves.PAIRS)


def test_parts_that_are_each_others_image_become_mirrored_ones() -> None:
    found = both_sides(0.4)
    assert sorted(bar.mirrored for bar in found.bars) == [False, True, True]
    assert [panel.mirrored for panel in found.panels] == [True]
    assert all(node.at[1] >= 0.0 for node in found.nodes)
    cross = next(bar for bar in found.bars if not bar.mirrored)
    assert sorted(cross.nodes)[1] == f"{min(cross.nodes)}'"
    assert "Mirrored: 3 parts drawn on both sides came in once, and are on both sides." in found.report
    rig = merged(small_rig(), found, instead=True)
    assert len(list(bar_paths(rig))) == 5


def test_half_a_chassis_is_mirrored_when_it_is_said_to_be_one() -> None:
    document = empty()
    space = document.modelspace()
    space.add_line((0, 400, 300), (1000, 0.3, 300))
    space.add_line((1000, 0, 300), (1000, 0, 900))
    found = brought_in(document, halves=Halves.HALF)
    assert sorted(bar.mirrored for bar in found.bars) == [False, True]
    assert {node.at[1] for node in found.nodes} == {0.0, 400.0}
    assert not any(bar.mirrored for bar in brought_in(document).bars)


# Frame


def test_axes_origin_and_sides_are_as_chosen() -> None:
    document = empty()
    document.modelspace().add_line((1, 2, 3), (4, 6, 3))
    shifted = brought_in(document, forward="-y", up="z", shift=(100.0, 0.0, -1.0))
    assert {node.at for node in shifted.nodes} == {(98.0, 1.0, 2.0), (94.0, 4.0, 2.0)}
    swapped = brought_in(document, swapped=True)
    assert {node.at for node in swapped.nodes} == {(1.0, -2.0, 3.0), (4.0, -6.0, 3.0)}
    with pytest.raises(ImportFileError, match="same axis"):
        brought_in(document, forward="z", up="-z")


# Refused


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "There is nothing in the file"),
        (b" \n", "There is nothing in the file"),
        (b"AC1032\0\0\0", "This is a DWG file"),
        (bytes(range(256)) * 9, "This is no DXF file"),
        (b"hello\n" * 99, "There is no section in the file"),
        (b"  0\nSECTION\n  2\nENTITIES\n" + b"  0\nLINE\n" * 100_001, "There are more than 20,000 pieces"),
        (b"  0\nSECTION\n" + b"999\nx\n" * 1_300_000, "There are more than 20,000 pieces"),
        (b"0" * (LARGEST + 1), "The file is larger than 50 MB"),
    ],
)  # fmt: skip
def test_what_is_no_drawing_is_refused_in_a_sentence(data: bytes, sentence: str) -> None:
    with pytest.raises(ImportFileError, match=f"^{sentence}.*; .*\\.$"):
        read_drawing(data)


def test_too_many_pieces_are_refused_however_they_are_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dxf, "MOST_PIECES", 500)
    document = empty()
    for level in range(1, 8):
        block = document.blocks.new(f"b{level}")
        for _ in range(10):
            block.add_line((0, 0), (level, 1)) if level == 1 else block.add_blockref(f"b{level - 1}", (0, 0))
    document.modelspace().add_blockref("b7", (0, 0))
    with pytest.raises(ImportFileError, match="There are more than"):
        brought_in(document)
    rows = empty()
    counts = ("row_count", "column_count", "row_spacing", "column_spacing")
    rows.blocks.new("b").add_line((0, 0), (1, 1))
    rows.modelspace().add_blockref("b", (0, 0), dict.fromkeys(counts, 30000))
    with pytest.raises(ImportFileError, match="There are more than"):
        brought_in(rows)
    ring = empty()
    ring.blocks.new("a").add_blockref("a", (0, 0))
    ring.modelspace().add_blockref("a", (0, 0))
    with pytest.raises(ImportFileError):
        brought_in(ring)


def test_a_drawing_with_nothing_usable_says_what_was_in_it() -> None:
    document = empty()
    document.modelspace().add_circle((0, 0), 5)
    with pytest.raises(ImportFileError, match=r"^There is nothing in it .* 1 CIRCLE"):
        brought_in(document)


def test_coordinates_in_the_wrong_unit_are_told() -> None:
    document = empty()
    document.modelspace().add_line((0, 0), (30000, 0))
    with pytest.raises(ImportFileError, match=r"30.00 m from the origin.*choose another unit"):
        brought_in(document)
