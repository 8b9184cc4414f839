from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from time import sleep
from typing import Any

import jsonschema
import pytest

from app import commands, console, study
from app.__main__ import PIPE_CLOSED, main
from app.files.answer import widths_schema_bytes
from app.files.assets import asset_path, demo_rigs
from app.files.rig_file import rig_to_bytes, write_rig
from app.interrupt import INTERRUPTED
from app.study import Study
from geometry.contact.findings import WidthCurve
from geometry.rig.rig import Rig
from geometry.rig.rules import Rules, WidthLimit
from geometry.stroke.ends import travel_ends
from tests.app.studies import CLEAR, CONTACT, CURVE, FAR_OFF, OPEN, TIGHT, study_of
from tests.geometry.rig.rigs import plain_rig, small_rig
from tests.geometry.stroke.stroked import STOP, stroked

OPEN_RIG = small_rig(bars=plain_rig()["bars"][:1])

ROOT = Path(__file__).parents[2]


@pytest.fixture
def rig_path(tmp_path: Path) -> Path:
    path = tmp_path / "my.rig.json"
    write_rig(path, small_rig())
    return path


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[Rig]]:
    """Puts a hand-made study in place of the search; what it was asked about lands in the list."""

    def answer(found: Study, *, complete: bool = True) -> list[Rig]:
        asked: list[Rig] = []

        def check(rig: Rig, **_: Any) -> Study:
            asked.append(rig)
            return found

        def width_curve(rig: Rig, axle_id: str, _low: float, high: float, **_: Any) -> WidthCurve:
            asked.append(rig)
            windows = CURVE.windows if high > 1660.0 else ()
            return replace(CURVE, axle=axle_id, windows=windows, complete=complete)

        monkeypatch.setattr(study, "check", check)
        monkeypatch.setattr(study, "width_curve", width_curve)
        return asked

    return answer


@pytest.mark.parametrize(
    ("found", "status", "opening"),
    [
        (study_of(CLEAR, FAR_OFF), 0, "Clear everywhere: "),
        (study_of(TIGHT), 1, "Tight: "),
        (study_of(CONTACT, TIGHT), 1, "Touches: "),
        (study_of(OPEN), 2, "Not established: "),
        (study_of(CLEAR, problem="The front axle binds."), 2, "Not established: The front axle binds."),
    ],
)
def test_check_says_the_verdict_first_and_again_as_its_status(
    answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str], found: Study, status: int, opening: str
) -> None:
    answers(found)
    assert main(["check", str(rig_path)]) == status
    said = capsys.readouterr()
    assert said.out.startswith(opening)
    assert said.err == ""
    assert "Caution: " in said.out
    assert "\x1b" not in said.out
    assert "\r" not in said.out


def test_check_lists_axles_and_pairs_in_columns(
    answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers(study_of(CLEAR, CONTACT, FAR_OFF))
    main(["check", str(rig_path)])
    lines = capsys.readouterr().out.splitlines()
    assert "Axle   Width  Track  Outer width  Bump      Droop     Lock" in lines
    assert "rear   63 in  66 in  78 1/2 in    4 3/4 in  5 7/8 in  –" in lines
    assert "front  63 in  66 in  78 1/2 in    4 3/4 in  5 7/8 in  35°" in lines
    header = next(line for line in lines if line.startswith("Pair"))
    worst, clear = lines[lines.index(header) + 1 : lines.index(header) + 3]
    for title, text in [
        ("Closest", "-7/16 to -3/8 in"),
        ("Wanted", "3/4 in"),
        ("Verdict", "touches"),
        ("Where", "crossed up, left wheel high"),
        ("Bump left", "1 1/4 in straight, 2 1/2 to 3 1/8 in crossed"),
    ]:
        assert worst[header.index(title) :].startswith(text)
    assert clear[header.index("Verdict") :].startswith("clear")
    assert any("3 pairs checked over the whole travel, 2 shown" in line for line in lines)
    assert not any("side, right" in line for line in lines)


def test_where_the_travel_is_cut_the_axles_and_the_json_have_what_is_left_of_it(
    answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    axle = stroked(bump_stops=(STOP,))
    answers(study_of(CLEAR, axles=(axle, small_rig().axles[1])))
    main(["check", str(rig_path)])
    out = capsys.readouterr().out
    assert "  3 9/16 in of 5 1/2 in  4 3/4 in" in out
    main(["check", str(rig_path), "--json"])
    rear = json.loads(capsys.readouterr().out)["axles"][0]
    assert (rear["bump_mm"], rear["droop_mm"], rear["droop_reached_mm"]) == (140.0, 120.0, 120.0)
    assert rear["bump_reached_mm"] == travel_ends(axle).bump


def test_all_pairs_are_printed_when_asked_for(answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers(study_of(CONTACT, FAR_OFF))
    main(["check", str(rig_path), "--all", "--units", "mm"])
    out = capsys.readouterr().out
    assert "left rear tire to side, right  over 100.0 mm" in out
    assert "1600.0 mm" in out
    assert " in " not in out.splitlines()[3]


def test_check_prints_json_that_holds_to_the_published_schema(
    answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers(study_of(CONTACT))
    assert main(["check", str(rig_path), "--json"]) == 1
    answer = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(json.loads(asset_path("answer.schema.json").read_bytes())).validate(answer)
    assert answer["verdict"] == "contact"


@pytest.mark.parametrize(
    ("given", "rear", "front"),
    [
        (["--width", "62 1/2"], 1587.5, 1587.5),
        (["--width", "rear=62.5in"], 1587.5, 1600.0),
        (["--width", "1700", "--width", "front=65in", "--units", "mm"], 1700.0, 1651.0),
    ],
)
def test_other_widths_can_be_asked_about(
    answers: Any, rig_path: Path, given: list[str], rear: float, front: float
) -> None:
    asked = answers(study_of(CLEAR))
    assert main(["check", str(rig_path), *given]) == 0
    assert [axle.width for axle in asked[0].axles] == [rear, front]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["check", "none.rig.json"], "none.rig.json: there is no such file"),
        (["check", "RIG", "--width", "60-3/16"], "--width: “60-3/16” can be read two ways"),
        (["check", "RIG", "--width", "-60"], "--width must be more than nothing"),
        (["check", "RIG", "--width", "middle=60"], "there is no axle “middle” in this rig; it has rear, front"),
        (
            ["check", "RIG", "--width", "rear=30"],
            "cannot be used: rear axle: the stop station, 19.685 in from the centre plane, lies beyond the wheel-mount",
        ),
        (["widths", "RIG", "--from", "70", "--to", "60"], "--from must be less than --to"),
        (["widths", "RIG", "--from", "60", "--to", "far"], "--to: “far” is out of place"),
        (
            ["widths", "RIG", "--from", "20", "--to", "70"],
            "--from 20, read as 20 in (508.0 mm), cannot be used: rear axle: ",
        ),
        (
            ["widths", "RIG", "--from", "60", "--to", "1500"],
            "--to 1500, read as 1500 in (38100.0 mm), cannot be used: ",
        ),
        (["widths", "RIG", "--from", "20", "--to", "70", "--step", "1"], "--from 20, read as 20 in (508.0 mm), cannot"),
        (["widths", "RIG", "--from", "9", "--to", "1700", "--units", "mm"], "--from 9, read as 9.0 mm, cannot be used"),
        (["check", "RIG", "--width", "1500"], "rear axle: width is 1500.000 in and must be at most 787.402 in"),
        (["widths", "RIG", "--from", "60", "--to", "70", "--axle", "middle"], "there is no axle “middle”"),
        (["widths", "RIG", "--from", "60", "--to", "70", "--step", "11"], "--step must be no more than from --from"),
        (["widths", "RIG", "--from", "60", "--to", "70", "--step", "0"], "--step must be more than nothing"),
        (["widths", "RIG", "--from", "60", "--to", "70", "--step", "0.00001"], "take a larger one"),
        (["study", "none.rig.json"], "none.rig.json is neither a rig file nor a folder"),
        (["study", "RIG", "--from", "60"], "--from, --to and --step belong together"),
        (["study", "RIG", "--from", "60", "--to", "70", "--step", "1", "--widths", "60"], "without --widths"),
        (["study", "RIG", "--widths", "60", "wide"], "--widths: “wide”"),
        (["study", "RIG", "--out", "all.json"], "results end in .jsonl or .csv"),
        (["study", "RIG", "--out", "no/such/folder.csv"], "folder.csv cannot be written: "),
        (["report", "RIG", "--out", "report.txt"], "a report ends in .pdf, .csv or .json"),
        (["report", "RIG", "--out", "other.rig.json"], "is the name of a rig file"),
        (["report", "RIG", "--out", "no/such/folder.csv"], "the folder does not exist"),
        (["report", "none.json", "--out", "a.csv"], "none.json: there is no such file"),
        (["my.rgi.json"], "my.rgi.json is neither a rig file that exists nor a command; the commands are open"),
        (["fleet/my"], "fleet/my is neither a rig file that exists nor a command"),
        (
            ["chekc"],
            "there is no command chekc (did you mean “check”?); the commands are open, check, widths, study, re",
        ),
        (["chekc", "RIG", "--json"], "there is no command chekc (did you mean “check”?); the commands are open"),
        (["frobnicate"], "there is no command frobnicate; the commands are open, check, widths, study, report, survey"),
        (["open", "none.rig.json"], "none.rig.json: there is no such file"),
        (["check", "."], ".: this is a folder; name the rig file in it"),
    ],
)
def test_what_cannot_be_used_is_one_sentence_on_standard_error(
    answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    answers(study_of(CLEAR))
    before = rig_path.read_bytes()
    assert main([str(rig_path) if text == "RIG" else text for text in arguments]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert words in said.err
    assert said.err.startswith("wheelroom: ")
    assert said.err.endswith(".\n")
    assert said.err.count("\n") == 1
    assert "Errno" not in said.err
    assert rig_path.read_bytes() == before


@pytest.mark.parametrize(
    "arguments",
    [
        ["check"],
        ["check", "a", "b"],
        ["--nonsense"],
        ["report", "a"],
        ["check", "--js", "a"],
        ["study"],
        ["study", "a", "--jobs", "0"],
        ["study", "a", "--jobs", "many"],
    ],
)
def test_wrong_usage_ends_with_two(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert "usage: wheelroom" in capsys.readouterr().err


def test_a_broken_rig_on_standard_input_is_named_as_that(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b'{"name": "x"}')))
    assert main(["check", "-"]) == 2
    assert capsys.readouterr().err == "wheelroom: standard input: axles: “axles” is missing; add it.\n"


def test_a_rig_on_standard_input_is_the_same_as_its_file(
    answers: Any, monkeypatch: pytest.MonkeyPatch, rig_path: Path
) -> None:
    asked = answers(study_of(CLEAR))
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(rig_to_bytes(small_rig()))))
    main(["check", "-"])
    main(["check", str(rig_path)])
    assert asked[0] == asked[1]


def test_widths_prints_windows_with_their_reasons_and_the_curve(
    answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers(study_of(CLEAR))
    given = ["widths", str(rig_path), "--from", "1500", "--to", "1700", "--units", "mm", "--axle", "rear"]
    assert main(given) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Rear axle, widths that clear: 1660.0 mm to 1700.0 mm."
    assert "left rear tire to rail, left" in lines[1]
    assert [line.split(" mm")[0] for line in lines if line[:2].isdigit()] == ["1500.0", "1600.0", "1700.0"]


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_a_step_gives_exactly_its_widths_and_then_the_windows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], jobs: str
) -> None:
    path = tmp_path / "my.rig.json"
    write_rig(path, OPEN_RIG)
    given = ["widths", str(path), "--from", "1650", "--to", "1910", "--step", "50", "--units", "mm", "--jobs", jobs]
    assert main(given) == 0
    rear, rear_windows, front, front_windows, end = capsys.readouterr().out.split("\n\n")
    for table in (rear, front):
        assert table.splitlines()[0].split()[:3] == ["Width", "Closest", "Margin"]
        widths = [line.split(" mm")[0] for line in table.splitlines()[1:]]
        assert widths == ["1650.0", "1700.0", "1750.0", "1800.0", "1850.0", "1900.0"]
    assert rear_windows.startswith("Rear axle, widths that clear: 1650.0 mm to 1900.0 mm.")
    assert front_windows.startswith("Front axle, widths that clear: 17")
    assert "any narrower, and" in front_windows
    assert end == ""


def test_a_step_gives_json_of_exactly_its_widths(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_rig(tmp_path / "my.rig.json", OPEN_RIG)
    given = ["widths", str(tmp_path / "my.rig.json"), "--from", "64", "--to", "72", "--step", "4", "--axle", "front"]
    assert main([*given, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    jsonschema.Draft202012Validator(json.loads(widths_schema_bytes())).validate(found)
    (curve,) = found["curves"]
    assert [sample["width_mm"] / 25.4 for sample in curve["samples"]] == pytest.approx([64.0, 68.0, 72.0])
    assert curve["complete"]
    assert curve["windows"]
    assert curve["rules"] == []
    assert curve["all_hold_mm"] == [[curve["windows"][0]["low"]["width_mm"], curve["windows"][0]["high"]["width_mm"]]]


def test_rules_are_said_with_the_widths_that_clear_and_a_broken_one_in_the_headline(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = str(tmp_path / "my.rig.json")
    limits = tuple(
        WidthLimit(id=name, name=name, measure="tread", most=most)
        for name, most in (("gate", 2087.0), ("club", 2097.0))
    )
    write_rig(Path(path), small_rig(bars=plain_rig()["bars"][:1], rules=Rules(widths=limits)))
    given = ["widths", path, "--from", "1650", "--to", "1910", "--step", "130", "--units", "mm", "--axle", "rear"]
    assert main(given) == 0
    said = capsys.readouterr().out
    assert "All rules hold up to 1" in said
    assert main([*given, "--json"]) == 0
    (curve,) = json.loads(capsys.readouterr().out)["curves"]
    assert [rule["key"].rpartition("/")[2] for rule in curve["rules"]] == ["gate", "club"]
    assert curve["all_hold_mm"][0][1] < curve["windows"][0]["high"]["width_mm"]
    assert main(["check", path, "--width", "1900mm"]) == 1
    headline = capsys.readouterr().out.splitlines()[0]
    assert headline.endswith("The rear axle breaks gate and 1 more. The front axle breaks gate and 1 more.")


def test_a_study_prints_a_line_of_json_each_and_its_status_is_the_worst(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write_rig(tmp_path / "my.rig.json", OPEN_RIG)
    given = ["study", str(tmp_path), "--widths", "60", "76 in", "--axle", "front", "--jobs", "1"]
    assert main(given) == 1
    said = capsys.readouterr()
    records = [json.loads(line) for line in said.out.splitlines()]
    assert [(record["width_mm"], record["verdict"]) for record in records] == [(1524.0, "contact"), (1930.4, "clear")]
    validator = jsonschema.Draft202012Validator(json.loads(asset_path("study.schema.json").read_bytes()))
    for record in records:
        validator.validate(record)
    assert said.err == ""
    assert main(["study", str(tmp_path), "--widths", "76", "--axle", "front", "--jobs", "1"]) == 0
    (tmp_path / "broken.rig.json").write_text("{}", encoding="utf-8")
    assert main(given) == 2
    said = capsys.readouterr()
    assert "broken.rig.json: " in said.out
    assert said.err == ""


def test_a_study_into_a_file_says_in_a_line_what_it_found(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write_rig(tmp_path / "my.rig.json", OPEN_RIG)
    ends = ["--from", "60", "--to", "76", "--step", "16"]
    given = ["study", str(tmp_path), *ends, "--axle", "front", "--jobs", "1", "--out", str(tmp_path / "all.csv")]
    for before in ("", ", 2 from before"):
        assert main(given) == 1
        words = f"2 results in all.csv{before}: 1 clear, 0 tight, 1 touching, 0 not established.\n"
        assert capsys.readouterr() == (words, "")


def test_work_of_a_study_that_is_lost_is_said_and_its_status_is_two(
    rig_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: Any, **__: Any) -> Study:
        raise MemoryError

    monkeypatch.setattr(study, "check", fail)
    assert main(["study", str(rig_path), "--axle", "rear", "--jobs", "1"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "axle rear, width 1600.0 mm: an error of the program ended the work (MemoryError" in said.err
    assert said.err.endswith("; run the study again to try once more.\n")


def test_widths_looks_at_every_axle_unless_one_is_named(
    answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers(study_of(CLEAR))
    assert main(["widths", str(rig_path), "--from", "60", "--to", "70", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [curve["axle"] for curve in found["curves"]] == ["rear", "front"]


def test_the_status_of_widths_says_whether_any_width_clears(
    answers: Any, rig_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers(study_of(CLEAR))
    assert main(["widths", str(rig_path), "--from", "60", "--to", "65"]) == 1
    assert "widths that clear: none from" in capsys.readouterr().out
    answers(study_of(CLEAR), complete=False)
    assert main(["widths", str(rig_path), "--from", "60", "--to", "70"]) == 2


@pytest.mark.parametrize(
    ("name", "opening"), [("a.csv", b"axle,kind,"), ("a.JSON", b'{\n  "format": "wheelroom-answer"')]
)
def test_reports_take_the_form_that_the_ending_names(
    answers: Any, rig_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, opening: bytes
) -> None:
    answers(study_of(CONTACT))
    assert main(["report", str(rig_path), "--out", str(tmp_path / name)]) == 1
    assert (tmp_path / name).read_bytes().startswith(opening)
    assert capsys.readouterr().out == ""


def test_a_report_never_replaces_the_rig_that_it_is_about(
    answers: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers(study_of(CLEAR))
    path = tmp_path / "my.json"
    write_rig(path, small_rig())
    (tmp_path / "link.json").symlink_to(path)
    for out in (path, tmp_path / "link.json"):
        assert main(["report", str(path), "--out", str(out)]) == 2
        assert "must not replace" in capsys.readouterr().err
    assert path.read_bytes() == rig_to_bytes(small_rig())


def test_a_pdf_without_its_libraries_is_refused_with_the_remedy(
    answers: Any, rig_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    answers(study_of(CLEAR))
    monkeypatch.setitem(sys.modules, "app.report.pdf", None)
    assert main(["report", str(rig_path), "--out", str(tmp_path / "a.pdf")]) == 2
    assert "install wheelroom[window], or write .csv or .json" in capsys.readouterr().err
    assert not (tmp_path / "a.pdf").exists()


def test_the_schemas_are_printed_as_published(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    assert capsys.readouterr().out.encode() == asset_path("rig.schema.json").read_bytes()
    assert main(["schema", "--answer"]) == 0
    assert capsys.readouterr().out.encode() == asset_path("answer.schema.json").read_bytes()
    assert main(["schema", "--study"]) == 0
    assert capsys.readouterr().out.encode() == asset_path("study.schema.json").read_bytes()
    assert main(["schema", "--cut-sheet"]) == 0
    assert capsys.readouterr().out.encode() == asset_path("cut-sheet.schema.json").read_bytes()
    assert main(["schema", "--widths"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Wheelroom widths"


@pytest.mark.parametrize("arguments", [[], ["open"]])
def test_without_a_command_the_window_opens(arguments: list[str], rig_path: Path) -> None:
    opened: list[Path | None] = []

    def open_window(path: Path | None) -> int:
        opened.append(path)
        return 0

    assert commands.run(arguments, open_window) == 0
    assert commands.run([*arguments, str(rig_path)], open_window) == 0
    assert opened == [None, rig_path]


def test_without_a_display_the_first_demo_rig_is_checked_and_the_reason_given(
    answers: Any, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, rig_path: Path
) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(sys, "platform", "linux")
    asked = answers(study_of(CONTACT))
    assert main([]) == 0
    said = capsys.readouterr()
    assert said.out.startswith("Touches: ")
    assert said.err == (
        "wheelroom: there is no window because this machine has no display; "
        f"this is the check of {demo_rigs()[0].name} instead.\n"
    )
    assert main([str(rig_path)]) == 0
    assert rig_path.name in capsys.readouterr().err
    assert asked[1] == small_rig()


# Terminals


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("environment", "coloured"),
    [({}, True), ({"NO_COLOR": ""}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)],
)
def test_only_a_terminal_gets_colour_and_only_if_nobody_minds(
    answers: Any, rig_path: Path, monkeypatch: pytest.MonkeyPatch, environment: dict[str, str], coloured: bool
) -> None:
    answers(study_of(CONTACT))
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    screen = Terminal()
    monkeypatch.setattr(sys, "stdout", screen)
    main(["check", str(rig_path)])
    assert screen.getvalue().startswith("\x1b[1;31mTouches:\x1b[0m left" if coloured else "Touches: left")


@pytest.mark.parametrize(
    ("seconds", "is_terminal", "shown"), [(0.9, True, False), (1.1, True, True), (1.1, False, False)]
)
def test_progress_shows_on_a_terminal_after_a_second_and_clears_up(
    monkeypatch: pytest.MonkeyPatch, seconds: float, is_terminal: bool, shown: bool
) -> None:
    clock = iter([0.0, seconds, seconds])
    monkeypatch.setattr(console, "monotonic", lambda: next(clock))
    screen = Terminal() if is_terminal else io.StringIO()
    monkeypatch.setattr(sys, "stderr", screen)
    with console.Progress("Checking") as progress:
        progress(0.25)
        assert progress.tick() is False
    text = screen.getvalue()
    assert ("\rChecking: 25%, 1 s" in text) is shown
    assert text == "" or text.endswith("\r" + " " * len("Checking: 25%, 1 s") + "\r")


def run_program(*arguments: str, **options: Any) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-W", "error", "-m", "app", *arguments]
    return subprocess.run(command, cwd=ROOT, capture_output=True, check=False, timeout=60, **options)


def test_a_console_that_lacks_signs_is_no_matter(rig_path: Path) -> None:
    for encoding in ("ascii", "cp1252"):
        done = run_program("check", str(rig_path), env=os.environ | {"PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"})
        assert done.returncode in {0, 1}, done.stderr
        assert done.stderr == b""
        assert done.stdout.decode(encoding)


@pytest.mark.skipif(os.name == "nt", reason="there is no such shell there")
def test_neither_a_terminal_nor_a_display_nor_an_open_input_is_needed(rig_path: Path) -> None:
    own = {name: value for name, value in os.environ.items() if name not in {"DISPLAY", "WAYLAND_DISPLAY"}}
    command = ["sh", "-c", 'exec "$0" -W error -m app check "$1" <&-', sys.executable, str(rig_path)]
    done = subprocess.run(command, cwd=ROOT, env=own, capture_output=True, check=False, timeout=60)
    assert done.returncode in {0, 1}
    assert done.stderr == b""
    assert b"\x1b" not in done.stdout
    assert b"\r" not in done.stdout


def test_a_reader_that_goes_away_is_no_matter() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "wb") as closed:
        command = [sys.executable, "-W", "error", "-m", "app", "schema"]
        done = subprocess.run(command, cwd=ROOT, stdout=closed, stderr=subprocess.PIPE, check=False, timeout=60)
    assert done.returncode == PIPE_CLOSED
    assert done.stderr == b""


def test_an_interrupted_report_leaves_nothing_behind(
    rig_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupt(*_: Any, **__: Any) -> Study:
        raise KeyboardInterrupt

    monkeypatch.setattr(study, "check", interrupt)
    assert main(["report", str(rig_path), "--out", str(rig_path.with_name("a.csv"))]) == INTERRUPTED
    assert capsys.readouterr() == ("", "")
    assert list(rig_path.parent.iterdir()) == [rig_path]


@pytest.mark.skipif(os.name == "nt", reason="Ctrl+C is sent another way there")
@pytest.mark.parametrize("after", [0.0, 0.1, 0.6])
def test_ctrl_c_ends_at_once_without_a_trace(after: float) -> None:
    code = "import sys\nfrom app.__main__ import main\nprint('ready', flush=True)\nsys.exit(main(['check', '-']))"
    # Warnings stay as a user has them: a module whose import is broken off leaves its file to the garbage collector.
    command = [sys.executable, "-c", code]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, cwd=ROOT, stdin=pipe, stdout=pipe, stderr=pipe) as running:
        assert running.stdout is not None
        assert running.stdout.readline() == b"ready\n"
        sleep(0.01 + after)  # the first moments go by while modules load, the last waits for the rig
        running.send_signal(signal.SIGINT)
        said, complaint = running.communicate(timeout=20)
    assert running.returncode == INTERRUPTED
    assert (said, complaint) == (b"", b"")


@pytest.mark.parametrize(
    "arguments", [["--version"], ["-h"], ["check", "-h"], ["widths", "--help"], ["study", "--help"]]
)
def test_help_and_version_load_neither_arrays_nor_a_window(arguments: list[str]) -> None:
    code = (
        "import sys\nfrom app.__main__ import main\ntry:\n    main(sys.argv[1:])\nexcept SystemExit:\n    pass\n"
        "sys.exit(', '.join(sorted({'numpy', 'PySide6', 'app.study'} & set(sys.modules))) or 0)"
    )
    command = [sys.executable, "-W", "error", "-c", code, *arguments]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(("wheelroom ", "usage: wheelroom"))


def test_help_leads_to_examples_and_names_every_exit_status(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["-h"])
    assert ended.value.code == 0
    out = capsys.readouterr().out
    assert "examples:" in out
    assert "0 clear, 1 touches or tight, 2 bad input or not established, 130 interrupted" in out


# The real search


def test_a_demo_rig_is_checked_from_start_to_end_without_qt() -> None:
    code = (
        "import sys\nfrom app.__main__ import main\nstatus = main(sys.argv[1:])\n"
        "loaded = {name.split('.')[0] for name in sys.modules} & {'PySide6', 'shiboken6', 'pyqtgraph'}\n"
        "sys.exit(', '.join(loaded) or status)"
    )
    command = [sys.executable, "-W", "error", "-c", code, "check", str(demo_rigs()[0])]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 1, done.stderr
    assert done.stderr == ""
    assert done.stdout.startswith("Touches: ")
    assert "of bump left" in done.stdout.splitlines()[0]
