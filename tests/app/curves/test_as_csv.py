from __future__ import annotations

import csv
from math import degrees
from pathlib import Path

import numpy as np
import pytest

from app.commands import run
from app.curves.as_csv import curves_to_csv
from app.curves.catalogue import curves
from app.files.rig_file import write_rig
from tests.app.curves.moving import moving_rig

RIG = moving_rig()


def test_each_line_is_a_pose_each_column_a_quantity_with_its_unit_and_unknown_is_empty() -> None:
    found = curves(RIG, RIG.axles[0], "straight", 9)
    table = curves_to_csv(found)
    lines = list(csv.DictReader(table.decode().splitlines()))
    assert len(lines) == len(found.at)
    assert len(lines[0]) == 4 + len(found.found)
    for index, line in enumerate(lines):
        reached = bool(found.reached[index])
        assert line["reached"] == ("yes" if reached else "no")
        assert float(line["left_mm"]) == pytest.approx(found.left[index], abs=1e-6)
        if reached:
            case = found.by_key["shaft/case"].values[index]
            assert float(line["shaft/case_deg"]) == pytest.approx(degrees(case), abs=1e-6)
            assert float(line["stroke/limit/length_mm"]) > 0.0
        else:
            assert line["shaft/case_deg"] == line["stroke/limit/length_mm"] == ""
    assert "-0.000000" not in table.decode()
    assert np.isfinite(found.by_key["squat/loaded"].values).any()


def test_the_command_writes_the_same_bytes_each_time_and_says_what_cannot_be(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = tmp_path / "my.rig.json"
    write_rig(rig, RIG)
    given = ["curves", str(rig), "--axle", "front", "--against", "steer", "--out"]
    for name in ("one.csv", "two.csv"):
        assert run([*given, str(tmp_path / name)], lambda _: 0) == 0
    assert (tmp_path / "one.csv").read_bytes() == (tmp_path / "two.csv").read_bytes()
    assert run([*given, str(tmp_path / "one.txt")], lambda _: 0) == 2
    rear = ["curves", str(rig), "--axle", "rear", "--against", "steer", "--out", str(tmp_path / "r.csv")]
    assert run(rear, lambda _: 0) == 2
    said = capsys.readouterr()
    assert "quantities of the axle front are in one.csv" in said.out
    assert "curves end in .csv" in said.err
    assert "does not steer" in said.err
    assert not (tmp_path / "r.csv").exists()
