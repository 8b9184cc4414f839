"""Times of several works taken in turns, so that whatever else the machine does falls on all of them alike."""

from __future__ import annotations

import datetime as dt
import os
import platform
import re
import statistics
import time
from collections.abc import Callable, Mapping
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

Times = list[float]
"""Of one work [ms]."""

LIBRARIES = ("numpy", "numba", "coal", "python-fcl")


SHORT = 200.0
"""A work that takes less runs AGAIN times in a round: alone it easily falls into another program's turn [ms]."""

AGAIN = 5


def in_turns(works: Mapping[str, Callable[[], object]], rounds: int) -> dict[str, Times]:
    """Times of every work; each has its turn in each round. A round before that is not counted."""
    again = {name: AGAIN if timed(work) < SHORT else 1 for name, work in works.items()}
    times: dict[str, Times] = {name: [] for name in works}
    for _ in range(rounds):
        for name, work in works.items():
            times[name] += [timed(work) for _ in range(again[name])]
    return times


def timed(work: Callable[[], object]) -> float:
    """Time of one run [ms]."""
    start = time.perf_counter()
    work()
    return (time.perf_counter() - start) * 1e3


def milliseconds(work: Callable[[], object], rounds: int = 2) -> Times:
    return in_turns({"": work}, rounds)[""]


def say(what: str, times: Times, more: str = "") -> None:
    median, best, worst = statistics.median(times), min(times), max(times)
    print(f"  {what:<50} median {median:9.2f} ms   best {best:9.2f}   worst {worst:9.2f}{more}")


def machine() -> str:
    """The machine, what runs on it, and the day."""
    installed = []
    for library in LIBRARIES:
        try:
            installed.append(f"{library} {version(library)}")
        except PackageNotFoundError:
            installed.append(f"no {library}")
    parts = [processor(), f"{os.cpu_count()} cores", f"Python {platform.python_version()}", *installed]
    return ", ".join([*parts, f"{dt.datetime.now(tz=dt.UTC):%Y-%m-%d}"])


def processor() -> str:
    """Name of the processor, as far as the system gives one."""
    cpus = Path("/proc/cpuinfo")
    names = re.findall(r"model name\s*:\s*(.+)", cpus.read_text(encoding="utf-8")) if cpus.exists() else []
    return f"{names[0]} ({platform.machine()})" if names else platform.processor() or platform.machine()
