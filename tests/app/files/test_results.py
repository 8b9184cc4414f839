from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import jsonschema
import msgspec
import pytest

from app.files.assets import asset_path
from app.files.results import (
    COLUMNS,
    ResultsFile,
    StudyRecord,
    csv_line,
    json_line,
    record_of,
    study_schema_bytes,
)
from app.files.rig_file import rig_to_bytes
from app.files.saving import FileSaveError
from app.study import Study
from geometry.contact.findings import Verdict
from tests.app.studies import CLEAR, CONTACT, FAR_OFF, OPEN, TIGHT, study_of
from tests.geometry.rig.rigs import small_rig

SHA = "0123456789abcdef" * 4
RECORDS = [
    record_of("fleet/a.rig.json", SHA, study_of(*found), 0.125)
    for found in ((CONTACT, TIGHT, CLEAR), (TIGHT, FAR_OFF), (CLEAR,), (OPEN,), (FAR_OFF,), ())
]
BROKEN = StudyRecord(
    file="=b\n.rig.json",
    sha256=None,
    axle=None,
    width_mm=None,
    tolerance_mm=0.25,
    verdict="unknown",
    problem="b.rig.json: is “no”, rig.",
)


def test_the_published_schema_is_that_of_the_records() -> None:
    assert asset_path("study.schema.json").read_bytes() == study_schema_bytes()
    jsonschema.Draft202012Validator.check_schema(json.loads(study_schema_bytes()))


@pytest.mark.parametrize("record", [*RECORDS, BROKEN])
def test_every_line_holds_to_the_schema_and_reads_back(record: StudyRecord) -> None:
    line = json_line(record)
    assert line.count(b"\n") == 1
    jsonschema.Draft202012Validator(json.loads(study_schema_bytes())).validate(json.loads(line))
    assert msgspec.json.decode(line, type=StudyRecord) == record


def test_a_record_says_the_worst_and_which_pairs_are_nearest() -> None:
    worst = RECORDS[0]
    assert (worst.verdict, worst.axle, worst.width_mm, worst.seconds) == ("contact", "rear", 1600.0, 0.125)
    assert (worst.low_mm, worst.high_mm, worst.margin_mm) == (-11.0, -10.8, CONTACT.margin)
    assert worst.nearest is not None
    assert worst.nearest.fixed.label == "rail, left"


def test_what_is_beyond_or_missing_is_no_pair() -> None:
    beyond, nothing = RECORDS[-2:]
    assert (beyond.low_mm, beyond.high_mm, beyond.nearest, beyond.tightest) == (100.0, None, None, None)
    assert (nothing.verdict, nothing.low_mm, nothing.nearest) == ("clear", 100.0, None)


def test_an_axle_that_cannot_follow_its_travel_is_unknown_with_the_reason() -> None:
    whole = study_of(problem="The front axle binds.")
    front = Study(0, whole.rig, whole.tolerance, whole.axles[1:])
    record = record_of("a", SHA, front, 0.0)
    assert (record.verdict, record.problem) == ("unknown", "The front axle binds.")
    assert (record.low_mm, record.high_mm, record.margin_mm) == (None, None, None)


def test_csv_has_a_line_each_with_full_numbers_and_no_formula() -> None:
    lines = [csv_line(record) for record in (RECORDS[0], BROKEN)]
    assert all(line.endswith(b"\r\n") and line.count(b"\n") == 1 for line in lines)
    contact, broken = csv.DictReader(io.StringIO(b"".join(lines).decode()), fieldnames=COLUMNS)
    assert (contact["width_mm"], contact["low_mm"], contact["tightest_fixed"]) == ("1600.0", "-11.0", "rail, left")
    assert (broken["file"], broken["sha256"], broken["width_mm"]) == ("'=b .rig.json", "", "")
    assert broken["problem"] == "b.rig.json: is “no”, rig."


@pytest.mark.parametrize("name", ["all.jsonl", "all.CSV"])
def test_what_is_there_is_known_each_as_often_as_it_is_there(tmp_path: Path, name: str) -> None:
    key = (SHA, "rear", 1600.0)
    with ResultsFile(tmp_path / name, 0.25) as results:
        assert results.claim(key) is None
        for record in (RECORDS[0], RECORDS[1], BROKEN):
            results.write(record)
    with ResultsFile(tmp_path / name, 0.25) as results:
        assert [results.claim(key) for _ in range(3)] == [Verdict.CONTACT, Verdict.TIGHT, None]
        assert results.known == {}
    with ResultsFile(tmp_path / name, 0.5) as results:
        assert results.claim(key) is None


@pytest.mark.parametrize("name", ["all.jsonl", "all.csv"])
def test_a_line_that_is_torn_anywhere_is_taken_off(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    with ResultsFile(path, 0.25) as results:
        results.write(RECORDS[0])
        kept = path.read_bytes()
        results.write(RECORDS[1])
    whole = path.read_bytes()
    for cut in range(len(kept) + 1, len(whole)):
        path.write_bytes(whole[:cut])
        with ResultsFile(path, 0.25) as results:
            assert path.read_bytes() == kept
            assert len(results.known) == 1
    with ResultsFile(path, 0.25) as results:
        results.write(RECORDS[1])
    assert path.read_bytes() == whole


@pytest.mark.parametrize("cut", [0, 1, 20])
@pytest.mark.parametrize("name", ["all.jsonl", "all.csv"])
def test_a_torn_first_line_is_no_other_file(tmp_path: Path, name: str, cut: int) -> None:
    path = tmp_path / name
    with ResultsFile(path, 0.25) as results:
        results.write(RECORDS[0])
    whole = path.read_bytes()
    path.write_bytes(whole[:cut])
    with ResultsFile(path, 0.25) as results:
        results.write(RECORDS[0])
    assert path.read_bytes() == whole


@pytest.mark.parametrize("name", ["all.jsonl", "all.csv"])
@pytest.mark.parametrize(
    "data",
    [
        rig_to_bytes(small_rig()),
        b"axle,kind\r\nrear,tire_bar\r\n",
        b"no line end",
        bytes(range(256)) * 9000,
        b'{"format":"wheelroom-study"}\n',
        b"\xff\xfe\n",
        (",".join(COLUMNS) + "\r\n1,2\r\n").encode(),
    ],
)
def test_a_file_of_another_kind_is_left_alone(tmp_path: Path, name: str, data: bytes) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(FileSaveError, match="is none of a study, and a study is only ever added to"):
        ResultsFile(path, 0.25)
    assert path.read_bytes() == data


def test_what_cannot_be_opened_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(FileSaveError, match=r"^x.csv cannot be written: No such file or directory\.$"):
        ResultsFile(tmp_path / "none" / "x.csv", 0.25)
