"""What compiling the search takes and gives."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from geometry.contact import search as plain
from geometry.contact.compiled import ready
from tests.benchmarks.clock import in_turns, say
from tests.benchmarks.conftest import Kernels
from tests.benchmarks.works import closest, everything

ROUNDS = 5

GAIN = 5.0
"""The compiled search must be so many times quicker on one thread, by the best times [-]."""


def test_compiling_and_loading_in_a_fresh_process(kernels: Kernels) -> None:
    print(f"\n  compile the kernels {kernels.compiling:.2f} s, load them in the next process {kernels.loading:.2f} s")


@pytest.mark.usefixtures("kernels")
@pytest.mark.parametrize("path", demo_rigs(), ids=lambda path: path.stem)
def test_both_searches_of_every_axle(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rig = read_rig(path)
    print(f"\n{rig.name}")

    def compiled(threads: int) -> None:
        monkeypatch.setattr(ready, "THREADS", threads)
        closest(ready.compiled_approaches, asked)

    for axle in rig.axles:
        asked = everything(rig, axle)
        works = {
            "numpy": lambda: closest(plain.closest_approaches, asked),  # noqa: B023
            "compiled, one thread": lambda: compiled(1),
            "compiled, two threads": lambda: compiled(2),
        }
        times = in_turns(works, ROUNDS)
        for name, each in times.items():
            say(f"{axle.id}, {name}", each)
        assert min(times["numpy"]) > GAIN * min(times["compiled, one thread"])
