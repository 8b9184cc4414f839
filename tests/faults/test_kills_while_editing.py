"""A program killed at any moment of an evening's editing leaves work that opens, with at most ten seconds missing."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from time import monotonic, sleep

import pytest
from PySide6.QtWidgets import QApplication

from app.keeping.recovery import SOON, left_behind
from tests.faults.editing import WIDTH

KILLS = int(os.environ.get("WHEELROOM_KILLS", "0"))
"""So many kills at the program's own pace, twenty at a time; 0 = a few at a quicker one."""
TOGETHER = 20
LOST = 10.0
"""Age that the oldest lost edit may have [s]."""


@pytest.fixture
def named(qapp: QApplication) -> Iterator[None]:
    """The state folder goes by the name of the application."""
    before = qapp.applicationName()
    qapp.setApplicationName("wheelroom")
    yield
    qapp.setApplicationName(before)


def begun(state: Path, pause: int, soon: int) -> subprocess.Popen[str]:
    own = {"XDG_STATE_HOME": str(state), "QT_QPA_PLATFORM": "offscreen"}
    command = [sys.executable, "-m", "tests.faults.editing", str(pause), str(soon)]
    return subprocess.Popen(command, env=os.environ | own, stdout=subprocess.PIPE, text=True)


def killed(process: subprocess.Popen[str]) -> tuple[dict[int, float], float]:
    """When each edit was made, and when the end came [s]."""
    process.send_signal(signal.SIGKILL)
    end = monotonic()
    told, _ = process.communicate()
    whole = told[: told.rfind("\n") + 1]
    return {int(number): float(when) for number, when in map(str.split, whole.splitlines())}, end


def assert_little_is_lost(state: Path, edits: dict[int, float], end: float, allowed: float) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(state))
        found = list(left_behind())
    kept = 0
    if found:
        assert found[0].rig is not None, found[0].problem
        kept = round((found[0].rig.axle("rear").width - WIDTH) * 10.0)
        assert found[0].head is not None
        assert found[0].head.changes == kept
    assert 0 <= kept <= len(edits) + 1  # the last edit may not have been told
    assert found or end - min(edits.values()) <= allowed
    lost = [when for number, when in edits.items() if number > kept]
    assert not lost or end - min(lost) <= allowed


def kill_in_turn(
    processes: list[subprocess.Popen[str]], states: list[Path], moments: list[float], allowed: float
) -> None:
    """Kill each at its moment [s] after all of them edit, and see what is left."""
    for process in processes:
        assert process.stdout is not None
        process.stdout.readline()
    start = monotonic()
    for state, process, moment in zip(states, processes, moments, strict=True):
        sleep(max(start + moment - monotonic(), 0.0))
        edits, end = killed(process)
        assert_little_is_lost(state, {1: start} | edits, end, allowed)


def test_kills_at_random_moments_lose_seconds_and_never_the_work(tmp_path: Path, named: None) -> None:
    assert named is None
    chance = random.Random(7)  # noqa: S311  (moments, no secrets)
    pause, soon, reach, allowed = (50, 0, 3.0 * SOON / 1000.0, LOST) if KILLS else (10, 100, 1.6, LOST / 10.0)
    left = KILLS or 4
    while left > 0:
        number = min(left, TOGETHER)
        states = [tmp_path / f"{left}-{index}" for index in range(number)]
        with ExitStack() as whatever_happens:
            processes = [begun(state, pause, soon) for state in states]
            for process in processes:
                whatever_happens.enter_context(process)
                whatever_happens.callback(process.kill)
            kill_in_turn(processes, states, sorted(chance.uniform(0.0, reach) for _ in states), allowed)
        left -= number
