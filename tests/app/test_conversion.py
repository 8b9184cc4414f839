from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from app.__main__ import main
from app.files.rig_file import read_rig, write_rig
from tests.app.files.drawings import empty, written
from tests.geometry.rig.rigs import small_rig


@pytest.fixture
def rig_path(tmp_path: Path) -> Path:
    path = tmp_path / "my.rig.json"
    write_rig(path, small_rig())
    return path


@pytest.mark.parametrize("name", ["frame.csv", "frame.dxf"])
def test_a_frame_written_and_taken_in_again_gives_the_same_file(
    rig_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    frame, bare = rig_path.with_name(name), rig_path.with_name("bare.rig.json")
    assert main(["convert", str(rig_path), "--out", str(frame)]) == 0
    write_rig(bare, replace(small_rig(), nodes=(), bars=(), panels=()))
    assert main(["convert", str(frame), "--into", str(bare)]) == 0
    assert bare.read_bytes() == rig_path.read_bytes()
    said = capsys.readouterr()
    assert "Came in: 7 nodes, 3 bars, 1 panel, 8 links." in said.out
    assert said.out.endswith("Written: bare.rig.json.\n")
    assert said.err == ""


def test_a_drawing_comes_in_as_the_options_say(rig_path: Path) -> None:
    document = empty("R12")
    document.modelspace().add_line((0, 0, 20), (0, 50, 20), {"layer": "rails"})
    document.modelspace().add_line((0, 10, 0), (10, 10, 0), {"layer": "other"})
    source, out = rig_path.with_name("frame.dxf"), rig_path.with_name("out.rig.json")
    source.write_bytes(written(document))
    given = ["--unit", "in", "--forward", "y", "--layers", "rails", "--tube", "40x2mm", "--sides", "one", "--instead"]
    assert main(["convert", str(source), "--into", str(rig_path), "--out", str(out), *given]) == 0
    rig = read_rig(out)
    assert [node.at for node in rig.nodes] == [(0.0, 0.0, 508.0), (1270.0, 0.0, 508.0)]
    assert [(bar.od, bar.wall, bar.mirrored) for bar in rig.bars] == [(40.0, 2.0, False)]
    assert read_rig(rig_path) == small_rig()


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ("my.rig.json", "convert needs --out FILE"),
        ("my.rig.json --out frame.step", "a frame is written as .csv or .dxf"),
        ("my.rig.json --out new.dxf --unit in", "drawings are written in mm"),
        ("my.rig.json --into my.rig.json", "my.rig.json: tables end in .csv"),
        ("frame.dxf --into my.rig.json --out frame.csv", "a rig file ends in .json"),
        ("frame.dxf --into my.rig.json", "frame.dxf: the drawing does not say its unit"),
        ("table.csv --into my.rig.json", "table.csv: line 2, column “x”: “1” has no unit"),
        ("gone.csv --into my.rig.json", "gone.csv: there is no such file"),
        ("frame.dxf --into my.rig.json --unit mm --layers rail", "frame.dxf: there is no layer"),
        ("frame.dxf --into my.rig.json --unit mm --tube big", "--tube: “big” is no size"),
        ("frame.dxf --into my.rig.json --unit mm --join 0", "--join must be more than nothing"),
        ("bars.csv --into my.rig.json", "bars.csv: line 2, bar b: there is no node “nowhere”"),
    ],
)
def test_what_cannot_be_converted_is_told_and_nothing_is_written(
    rig_path: Path, given: str, sentence: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(rig_path.parent)
    document = empty("R12")
    document.modelspace().add_line((0, 0), (1, 1), {"layer": "rails"})
    Path("frame.dxf").write_bytes(written(document))
    Path("table.csv").write_text("node,x,y,z\nn,1,2,3\n", encoding="utf-8")
    Path("bars.csv").write_text("bar,nodes,od [mm],wall [mm]\nb,a nowhere,40,2\n", encoding="utf-8")
    before = {path: path.read_bytes() for path in Path().iterdir()}
    assert main(["convert", *given.split()]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"wheelroom: {sentence}")
    assert said.err.count("\n") == 1
    assert {path: path.read_bytes() for path in Path().iterdir()} == before


@pytest.mark.parametrize("name", ["frame.csv", "frame.dxf"])
def test_links_of_another_rig_do_not_hold_its_frame_up(
    rig_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    frame, other = rig_path.with_name(name), rig_path.with_name("other.rig.json")
    rig = small_rig()
    axles = [replace(axle, rods=tuple(replace(rod, id=f"o-{rod.id}") for rod in axle.rods)) for axle in rig.axles]
    write_rig(other, replace(rig, axles=tuple(axles)))
    assert main(["convert", str(rig_path), "--out", str(frame)]) == 0
    assert main(["convert", str(frame), "--into", str(other), "--instead"]) == 0
    said = capsys.readouterr().out
    assert "Came in: 7 nodes, 3 bars, 1 panel.\n" in said
    assert "Left out: 8 links, for they do not fit the axles of the rig: " in said
    assert read_rig(other).axles == tuple(axles)
    assert main(["convert", str(frame), "--into", str(other), "--instead", "--links", "yes"]) == 2
