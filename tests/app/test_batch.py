from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections import Counter
from itertools import pairwise
from pathlib import Path
from time import monotonic, sleep
from typing import Any

import msgspec
import pytest

from app import study
from app.batch import BatchError, Request, Stretch, Tally, rig_files, run_study, samples_in_order, steps
from app.files.results import ResultsFile, StudyRecord, key_of
from app.files.rig_file import rig_to_bytes, write_rig
from geometry.rig.rig import Rig
from tests.geometry.rig.rigs import plain_rig, small_rig

ROOT = Path(__file__).parents[2]
OPEN = small_rig(bars=plain_rig()["bars"][:1])
"""Without bars in the middle, so that the front axle has widths that clear and others."""

WIDTHS = steps(1500.0, 1900.0, 50.0)


class Quiet:
    """Progress that nobody looks at."""

    def __init__(self) -> None:
        self.shares: list[float] = []

    def __call__(self, share: float) -> None:
        self.shares.append(share)

    def tick(self) -> bool:
        return False


def records_in(path: Path) -> list[StudyRecord]:
    """All records of a file that must be whole."""
    data = path.read_bytes()
    assert data == b"" or data.endswith(b"\n")
    return [msgspec.json.decode(line, type=StudyRecord) for line in data.splitlines()]


def go(request: Request, out: Path, jobs: int = 1) -> Tally:
    progress = Quiet()
    with ResultsFile(out, 0.25) as results:
        tally = run_study(request, results, jobs, progress, pytest.fail)
    assert all(0.0 < share <= 1.0 for share in progress.shares)
    return tally


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    """Two rigs and a broken one, in folders."""
    folder = tmp_path / "fleet"
    (folder / "old").mkdir(parents=True)
    write_rig(folder / "b.rig.json", OPEN)
    write_rig(folder / "old" / "a.rig.json", small_rig(panels=[]))
    (folder / "c.rig.json").write_text('{"name": "x"}', encoding="utf-8")
    return folder


# Widths


@pytest.mark.parametrize(
    ("low", "high", "step", "count", "last"),
    [
        (1500.0, 1600.0, 50.0, 3, 1600.0),
        (1500.0, 1599.0, 50.0, 2, 1550.0),
        (0.1, 0.7, 0.1, 7, 0.7),  # a step of a tenth misses the end by a rounding
        (58 * 25.4, 70 * 25.4, 25.4 / 16, 193, 70 * 25.4),
        (1500.0, 1500.3, 0.3, 2, 1500.3),
    ],
)
def test_steps_hold_both_ends_where_a_step_ends_there(
    low: float, high: float, step: float, count: int, last: float
) -> None:
    widths = steps(low, high, step)
    assert (len(widths), widths[0]) == (count, low)
    assert widths[-1] == pytest.approx(last, abs=1e-9)
    assert widths[-1] <= high
    assert all(abs(b - a - step) < 1e-9 for a, b in pairwise(widths))


@pytest.mark.parametrize(("step", "words"), [(100.5, "no more than from"), (1e-4, "take a larger one")])
def test_steps_that_nobody_can_want_are_refused(step: float, words: str) -> None:
    with pytest.raises(BatchError, match=words):
        steps(1500.0, 1600.0, step)


@pytest.mark.parametrize("jobs", [1, 2, 7])
@pytest.mark.parametrize("count", [1, 4, 9, 200])
def test_widths_are_shared_out_whole_and_in_order(count: int, jobs: int) -> None:
    widths = tuple(1500.0 + number for number in range(count))
    pieces = list(Stretch(small_rig(), "rear", widths).shared_out(jobs))
    assert tuple(width for piece in pieces for width in piece.widths) == widths
    assert all(len(piece.widths) <= 8 for piece in pieces)
    assert len(pieces) >= min(jobs, count // 4)
    shares = [piece.share for piece in pieces]
    assert shares == sorted(set(shares))
    assert shares[-1] == 1.0


@pytest.mark.parametrize("jobs", [1, 2])
def test_samples_come_in_order_and_are_those_of_single_widths(jobs: int) -> None:
    rig = OPEN
    found = list(samples_in_order(rig, ["front", "rear"], WIDTHS, jobs, lambda: False))
    assert found == [(axle, study.width_sample(rig, axle, width)) for axle in ("front", "rear") for width in WIDTHS]


def test_windows_hold_every_width_that_clears_with_room_to_spare() -> None:
    rig = OPEN
    samples = [study.width_sample(rig, "front", width) for width in WIDTHS]
    windows = study.width_windows(rig, "front", samples)
    assert windows
    assert samples[0].margin_low < 0.0
    for sample in samples:
        inside = any(window.low.width <= sample.width <= window.high.width for window in windows)
        assert inside or sample.margin_low < 0.25
        assert not inside or sample.margin_low >= 0.0
    whole = study.width_curve(rig, "front", WIDTHS[0], WIDTHS[-1]).windows
    for found, proved in zip(windows, whole, strict=True):
        assert found.low.width == pytest.approx(proved.low.width, abs=0.5)
        assert found.high.width == pytest.approx(proved.high.width, abs=0.5)


def test_a_width_that_cannot_be_answered_ends_the_search_in_words() -> None:
    with pytest.raises(
        BatchError, match=r"^axle rear, widths 900\.0 to 1500\.0 mm: axles\[0\]\.stop_station \(rear\): .*[^.]\.$"
    ):
        list(samples_in_order(small_rig(), ["rear"], (900.0, 1500.0), 1, lambda: False))


# Studies


def test_rig_files_are_found_in_folders_each_once(fleet: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(fleet)
    (fleet / "notes.json").write_text("{}", encoding="utf-8")
    found = rig_files([Path("old/a.rig.json"), Path(), fleet])
    assert [str(path) for path in found] == ["old/a.rig.json", "b.rig.json", "c.rig.json"]
    (fleet / "empty").mkdir()
    for missing in ("none.rig.json", "empty"):
        with pytest.raises(BatchError, match=f"^{missing} is neither a rig file nor a folder"):
            rig_files([fleet, Path(missing)])


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_study_says_of_every_axle_and_width_what_a_check_says(fleet: Path, tmp_path: Path, jobs: int) -> None:
    widths = (1600.0, 1850.0)
    tally = go(Request(rig_files([fleet]), widths), tmp_path / "all.jsonl", jobs)
    records = {(record.file, record.axle, record.width_mm): record for record in records_in(tmp_path / "all.jsonl")}
    assert len(records) == tally.verdicts.total() == 9
    for name, rig in (("b.rig.json", OPEN), ("old/a.rig.json", small_rig(panels=[]))):
        for axle in ("rear", "front"):
            for width in widths:
                record = records[str(fleet / name), axle, width]
                found = study.check(study.with_width(rig, axle, width), only=axle)
                assert record.verdict == found.verdict.value
                assert record.margin_mm == found.approaches[0].margin
                assert record.low_mm == min(pair.low for pair in found.approaches)
                assert record.seconds > 0.0
    broken = records[str(fleet / "c.rig.json"), None, None]
    assert (broken.verdict, broken.problem) == ("unknown", "c.rig.json: axles: “axles” is missing; add it.")


def test_without_widths_the_drawn_ones_are_looked_at(fleet: Path, tmp_path: Path) -> None:
    go(Request((fleet / "b.rig.json",), axle="front"), tmp_path / "all.jsonl")
    assert [(record.axle, record.width_mm) for record in records_in(tmp_path / "all.jsonl")] == [("front", 1600.0)]


def test_what_a_rig_cannot_answer_is_a_record_with_the_reason(fleet: Path, tmp_path: Path) -> None:
    paths = (fleet / "b.rig.json", fleet / "gone.rig.json")
    go(Request(paths, (900.0, 1600.0), "front"), tmp_path / "a.jsonl")
    gone, narrow, drawn = records_in(tmp_path / "a.jsonl")
    assert narrow.problem is not None
    assert narrow.problem.startswith("axles[1].stop_station (front): the stop station, 500.0 mm")
    assert (narrow.verdict, narrow.axle, narrow.width_mm) == ("unknown", "front", 900.0)
    assert (drawn.width_mm, drawn.problem) == (1600.0, None)
    assert (gone.sha256, gone.problem) == (
        None,
        "gone.rig.json: there is no such file; check its name and folder.",
    )
    go(Request(paths[:1], (), "middle"), tmp_path / "b.jsonl")
    (missing,) = records_in(tmp_path / "b.jsonl")
    assert (missing.axle, missing.width_mm) == ("middle", None)
    assert missing.problem == "There is no axle “middle” in this rig; it has rear, front."


@pytest.mark.parametrize("name", ["all.jsonl", "all.csv"])
def test_nothing_is_worked_out_twice_but_what_has_changed(
    fleet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    asked: list[float] = []
    check = study.check

    def counting(rig: Rig, *, only: str = "", **options: Any) -> study.Study:
        asked.append(rig.axle(only).width)
        return check(rig, only=only, **options)

    monkeypatch.setattr(study, "check", counting)
    shutil.copy(fleet / "b.rig.json", fleet / "d.rig.json")
    out = tmp_path / name
    first = go(Request(rig_files([fleet]), (1600.0,)), out)
    assert len(asked) == 6  # a copy has results of its own
    asked.clear()
    again = go(Request(rig_files([fleet]), (1600.0, 1700.0), "rear"), out)
    assert asked == [1700.0] * 3
    assert (first.before, again.before) == (0, 4)
    assert again.verdicts.total() == 7
    asked.clear()
    before = out.read_bytes()
    (fleet / "d.rig.json").rename(fleet / "e.rig.json")
    write_rig(fleet / "b.rig.json", small_rig(bars=small_rig().bars[1:], name="Changed"))
    go(Request(rig_files([fleet]), (1600.0,)), out)
    assert asked == [1600.0, 1600.0]
    assert out.read_bytes().startswith(before)


# The program


def start(*arguments: str) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-W", "error", "-m", "app", "study", *arguments]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def wait_for_lines(path: Path, count: int) -> None:
    end = monotonic() + 20.0
    while not path.exists() or path.read_bytes().count(b"\n") < count:
        assert monotonic() < end
        sleep(0.01)


def assert_each_once(path: Path, count: int) -> None:
    keys = Counter(key_of(record) for record in records_in(path))
    assert len(keys) == count
    assert set(keys.values()) == {1}


@pytest.fixture
def many(tmp_path: Path) -> tuple[list[str], Path]:
    """A study that takes some seconds, and where its results go."""
    write_rig(tmp_path / "my.rig.json", small_rig())
    out = tmp_path / "all.jsonl"
    given = ["--from", "1500", "--to", "1620", "--step", "3", "--units", "mm", "--axle", "rear", "--jobs", "2"]
    return [str(tmp_path / "my.rig.json"), *given, "--out", str(out)], out


@pytest.mark.skipif(os.name == "nt", reason="Ctrl+C is sent another way there")
def test_ctrl_c_leaves_whole_lines_and_the_next_run_does_the_rest(many: tuple[list[str], Path]) -> None:
    arguments, out = many
    with start(*arguments) as running:
        wait_for_lines(out, 8)
        running.send_signal(signal.SIGINT)
        said, complaint = running.communicate(timeout=20)
    assert (running.returncode, said, complaint) == (130, b"", b"")
    done = len(records_in(out))
    assert 8 <= done < 41
    out.write_bytes(out.read_bytes()[:-9])  # as after a loss of power
    with start(*arguments) as running:
        said, complaint = running.communicate(timeout=30)
    assert complaint == b""
    assert f"41 results in all.jsonl, {done - 1} from before: ".encode() in said
    assert_each_once(out, 41)


@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="finds processes the way Linux shows them")
def test_a_killed_worker_costs_nothing(many: tuple[list[str], Path]) -> None:
    arguments, out = many
    with start(*arguments) as running:
        wait_for_lines(out, 8)
        os.kill(workers_of(running.pid)[0], signal.SIGKILL)
        said, complaint = running.communicate(timeout=30)
    assert complaint == b""
    assert said.startswith(b"41 results in all.jsonl: ")
    assert running.returncode == 1
    assert_each_once(out, 41)


def workers_of(process: int) -> list[int]:
    children = Path(f"/proc/{process}/task/{process}/children").read_text(encoding="ascii").split()
    return [int(child) for child in children if b"spawn_main" in Path(f"/proc/{child}/cmdline").read_bytes()]


def test_a_thousand_rigs_are_read_only_as_they_are_worked_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[Path] = []

    def reading(path: Path) -> bytes:
        read.append(path)
        return rig_to_bytes(small_rig())

    monkeypatch.setattr("app.batch.read_rig_bytes", reading)
    paths = tuple(tmp_path / f"{number}.rig.json" for number in range(1000))

    class EnoughError(Exception):
        pass

    class Few:
        taken = 0

        def claim(self, _: object) -> None:
            return None

        def write(self, _: StudyRecord) -> None:
            self.taken += 1
            assert len(read) <= self.taken + 4
            if self.taken == 10:
                raise EnoughError

    with pytest.raises(EnoughError):
        run_study(Request(paths), Few(), 2, Quiet(), pytest.fail)
