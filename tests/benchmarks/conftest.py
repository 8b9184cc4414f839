"""The machine, said once; the compiled search, made once; and what a run is asked to write."""

from __future__ import annotations

import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from threading import Event

import pytest

from geometry.contact.compiled import ready
from tests.benchmarks.clock import machine

OPTIONS = {
    "--renew-ratios": "keep this run's ratios in ratios.json for later runs to be held to",
    "--write-help": "put this run's tables and pictures into the help page on speed",
}


def pytest_addoption(parser: pytest.Parser) -> None:
    for option, words in OPTIONS.items():
        parser.addoption(option, action="store_true", help=words)


@dataclass(frozen=True)
class Kernels:
    """Where the compiled search is kept, and what a process took to compile it and the next one to load it [s]."""

    folder: Path
    compiling: float
    loading: float


@pytest.fixture(scope="session", autouse=True)
def _machine() -> None:
    print(f"\n{machine()}")


@pytest.fixture(scope="session")
def kernels(tmp_path_factory: pytest.TempPathFactory) -> Kernels:
    """The compiled search, loaded but not in use."""
    pytest.importorskip("numba")
    folder = tmp_path_factory.mktemp("kernels")
    seconds = []
    for _ in ("compiling", "loading"):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", ready.__name__, str(folder)], check=True)
        seconds.append(time.perf_counter() - start)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ready, "_prepared", Event())  # a benchmark says itself which search it measures
        assert ready.prepare(folder) == ""
    return Kernels(folder, *seconds)


@pytest.fixture
def compiled(kernels: Kernels, monkeypatch: pytest.MonkeyPatch) -> Kernels:
    """The compiled search in use, as in the window after a while."""
    in_use = Event()
    in_use.set()
    monkeypatch.setattr(ready, "_prepared", in_use)
    return kernels
