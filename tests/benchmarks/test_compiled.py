"""What compiling the search takes and gives; run with ``python -m pytest tests/benchmarks/test_compiled.py -s``.

Both searches run in turns in one process, so that their ratio holds on a busy machine, too. Time of this process alone
is given beside the clock's: with two threads it is more, with others at work it is less.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from threading import Event

import pytest

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from geometry.contact import search as plain
from geometry.contact.axle_check import axle_problems, travel_box
from geometry.contact.compiled import ready

pytest.importorskip("numba")

ROUNDS = 15

GAIN = 5.0
"""The compiled search must be so many times quicker, by the process's own time [-]."""

Search = Callable[..., object]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("kernels")


def test_compiling_and_loading_in_a_fresh_process(folder: Path) -> None:
    for what in ("compile the kernels", "load them in the next process"):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", ready.__name__, str(folder)], check=True)
        print(f"\n  {what:<46} {time.perf_counter() - start:8.2f} s", end="")
    print()


@pytest.mark.parametrize("path", demo_rigs(), ids=lambda path: path.stem)
def test_both_searches_of_every_axle(path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ready, "_prepared", Event())  # other benchmarks measure the plain search
    assert ready.prepare(folder) == ""
    rig = read_rig(path)
    print()
    for axle in rig.axles:
        box = travel_box(axle)

        def all_pairs(search: Search) -> None:
            for problem in axle_problems(rig, axle):  # noqa: B023
                search(problem.scene, problem.pairs, len(problem.names), box, far=problem.enough)  # noqa: B023

        own = {}
        for what, search, threads in (
            ("plain", plain.closest_approaches, 1),
            ("compiled, one thread", ready.compiled_approaches, 1),
            ("compiled, two threads", ready.compiled_approaches, 2),
        ):
            monkeypatch.setattr(ready, "THREADS", threads)
            clock, own[what] = times(lambda: all_pairs(search))  # noqa: B023
            print(f"  {rig.name}, {axle.id}: {what:<24} median {clock:7.2f} ms, own time {own[what]:7.2f} ms")
        assert own["plain"] > GAIN * own["compiled, one thread"]


def times(work: Callable[[], None]) -> tuple[float, float]:
    """Medians by the clock and by the process's own time [ms]."""
    work()
    clock, own = [], []
    for _ in range(ROUNDS):
        start, start_own = time.perf_counter(), time.process_time()
        work()
        clock.append((time.perf_counter() - start) * 1e3)
        own.append((time.process_time() - start_own) * 1e3)
    return statistics.median(clock), statistics.median(own)
