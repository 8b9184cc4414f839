"""Random events on the real window: no exception, no warning of Qt, no hang, and nothing that undo leaves behind."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

EVENTS = int(os.environ.get("WHEELROOM_MONKEY", "0"))
"""So many events with each of three seeds; 0 = a few hundred with one of them."""
SHORT = 120
LAST = 60
"""Lines that are told of a run that failed."""


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3] if EVENTS else [4])
def test_random_events_break_nothing_and_can_all_be_undone(tmp_path: Path, seed: int) -> None:
    own = {f"XDG_{name}_HOME": str(tmp_path / name) for name in ("STATE", "CONFIG", "DATA", "CACHE")}
    command = [sys.executable, "-m", "tests.faults.monkey", str(seed), str(EVENTS or SHORT), str(tmp_path / "own.ini")]
    done = subprocess.run(
        command,
        env=os.environ | own | {"QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=False,
        timeout=300 + EVENTS,
    )
    assert done.returncode == 0, "\n".join(done.stdout.splitlines()[-LAST:]) + done.stderr
