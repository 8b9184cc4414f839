"""The command for cut sheets: what it writes, what it ends with, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from msgspec.structs import replace

from app.__main__ import main
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.report.cut_sheet import cut_sheets, cut_sheets_to_json
from app.report.cut_sheet_csv import cut_sheets_to_csv
from app.study import check
from geometry.rig.wheel import INCH
from tests.test_house import WITHOUT_QT, run_python

SHORT, LONG = (str(path) for path in demo_rigs()[:2])


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("name", ["rear.pdf", "rear.csv", "rear.json"])
def test_a_sheet_that_can_be_cut_by_ends_with_0(tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    assert main(["cut-sheet", LONG, "--axle", "rear", "--out", str(tmp_path / name), "--paper", "a4"]) == 0
    assert capsys.readouterr().err == ""
    assert (tmp_path / name).stat().st_size > 1000


def test_it_has_the_numbers_of_the_sheet_at_the_width_that_is_asked_for(tmp_path: Path) -> None:
    assert main(["cut-sheet", LONG, "--width", "rear=70", "--out", str(tmp_path / "all.json")]) == 1
    assert main(["cut-sheet", LONG, "--width", "rear=70", "--out", str(tmp_path / "all.csv")]) == 1
    rig = read_rig(Path(LONG))
    axles = (replace(rig.axle("rear"), width=70.0 * INCH), rig.axle("front"))
    narrower = replace(rig, axles=axles)
    sheets = cut_sheets(narrower, ["rear", "front"], check(narrower))
    assert (tmp_path / "all.json").read_bytes() == cut_sheets_to_json(sheets)
    assert (tmp_path / "all.csv").read_bytes() == cut_sheets_to_csv(sheets)


def test_an_incomplete_sheet_is_written_and_ends_with_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cut-sheet", SHORT, "--axle", "rear", "--out", str(tmp_path / "rear.json")]) == 2
    said = capsys.readouterr().err
    assert "rear axle: incomplete: do not cut by this sheet" in said
    assert "left end addition" in said
    (sheet,) = json.loads((tmp_path / "rear.json").read_bytes())["sheets"]
    assert sheet["needs"]
    assert sheet["left"]["cut"]["rounded"]["mm"] is None


def test_a_plan_that_cannot_be_built_writes_nothing_and_tells_what_would_do(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "rear.pdf"
    out.write_bytes(b"an older sheet")
    assert main(["cut-sheet", LONG, "--axle", "rear", "--width", "45", "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert "it cannot be built: perch “lower link bracket” of the rear axle: " in said
    assert "of tube; put its middle 16.748 in from the centre plane, or make the width at least 49.500 in" in said
    assert out.read_bytes() == b"an older sheet"
    assert main(["cut-sheet", LONG, "--axle", "rear", "--width", "49 1/2", "--out", str(tmp_path / "r.csv")]) == 1


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--axle", "middle", "--out", "x.pdf"], "there is no axle “middle” in this rig; it has rear, front"),
        (["--out", "x.txt"], "a cut sheet ends in .pdf, .csv or .json"),
        (["--out", "my.rig.json"], "is the name of a rig file"),
    ],
)
def test_bad_input_is_one_sentence(
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    words: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["cut-sheet", LONG, *arguments]) == 2
    said = capsys.readouterr()
    assert words in said.err
    assert said.err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_tables_are_written_without_qt_and_the_pdf_says_what_it_needs(tmp_path: Path) -> None:
    code = "from app.__main__ import main; sys.exit(max(main([*sys.argv[1:], name]) for name in ('x.csv', 'x.json')))"
    code = f"import os; os.chdir({str(tmp_path)!r}); {code}"
    done = run_python("-c", WITHOUT_QT + code, "cut-sheet", LONG, "--out")
    assert (done.returncode, done.stderr) == (0, "")
    assert {path.name for path in tmp_path.iterdir()} == {"x.csv", "x.json"}
    done = run_python("-c", WITHOUT_QT + code.replace("'x.csv', 'x.json'", "'x.pdf',"), "cut-sheet", LONG, "--out")
    assert done.returncode == 2
    assert "install wheelroom[window], or write .csv or .json" in done.stderr
