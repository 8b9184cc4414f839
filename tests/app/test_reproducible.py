"""The same rig gives the same bytes, wherever, whenever and in whatever order a machine goes through its sets."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from app.report.sheet import dated
from tests.app.every_export import NAMES

DATE = "1700000000"
"""The date of the papers, by the variable for reproducible files [s]."""


def begun(folder: Path, **own: str) -> subprocess.Popen[bytes]:
    folder.mkdir(parents=True)
    command = [sys.executable, "-m", "tests.app.every_export", str(folder)]
    environment = os.environ | {"SOURCE_DATE_EPOCH": DATE} | own
    return subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)


def test_two_runs_of_every_export_give_equal_bytes(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "somewhere" / "else, später"
    runs = (
        begun(one, TZ="UTC", LC_ALL="C.UTF-8", PYTHONHASHSEED="1"),
        begun(other, TZ="Asia/Tokyo", LC_ALL="de_DE.UTF-8", PYTHONHASHSEED="2"),
    )
    told = [each.communicate(timeout=120)[1].decode() for each in runs]
    assert [each.returncode for each in runs] == [0, 0], told
    for name in NAMES:
        assert (one / name).read_bytes() == (other / name).read_bytes(), name
        assert (one / name).stat().st_size > 500, name


@pytest.mark.parametrize("zone", ["Z", "+09'00'"])
def test_dates_are_replaced_and_the_table_of_places_follows(zone: str) -> None:
    head = f"%PDF-1.6\n1 0 obj\n/CreationDate (D:20261126020344{zone})\n/ModDate (D:20261126020344{zone})\nendobj\n"
    second = "2 0 obj\nendobj\n"
    table = f"xref\n0 3\n0000000000 65535 f \n{9:010d} 00000 n \n{len(head):010d} 00000 n \n"
    pdf = f"{head}{second}{table}trailer\nstartxref\n{len(head) + len(second)}\n%%EOF\n".encode()
    found = dated(pdf, datetime(2023, 11, 14, 22, 13, 20, tzinfo=UTC))
    assert found.count(b"Date (D:20231114221320Z)") == 2
    lines = found.split(b"xref\n0 3\n")[1].splitlines()
    assert found[int(lines[1][:10]) :].startswith(b"1 0 obj")
    assert found[int(lines[2][:10]) :].startswith(b"2 0 obj")
    assert found[int(found.split(b"startxref\n")[1].split(b"\n")[0]) :].startswith(b"xref")
