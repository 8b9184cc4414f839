"""What the answers and the command line load, seen in fresh processes: no Qt (`test_house` looks at the geometry)."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
QT = {"PySide6", "shiboken6", "pyqtgraph"}


def loaded_by(code: str) -> set[str]:
    """Every module that a program loads, in a process of its own."""
    command = [sys.executable, "-W", "error", "-c", f"{code}\nimport sys\nprint('\\n'.join(sys.modules))"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stderr
    return set(done.stdout.split())


@pytest.mark.parametrize(
    "module",
    ["app.study", "app.commands", "app.units", "app.wording", "app.export", "app.files.rig_file", "app.files.answer"],
)
def test_answers_and_command_line_load_no_qt(module: str) -> None:
    loaded = loaded_by(f"import {module}")
    assert module in loaded
    assert not {name.split(".")[0] for name in loaded} & QT


def test_the_entry_point_loads_nothing_before_it_knows_what_is_asked() -> None:
    assert not {name.split(".")[0] for name in loaded_by("import app.__main__")} & (
        QT | {"numpy", "msgspec", "geometry"}
    )


def test_units_load_no_arrays() -> None:
    assert "numpy" not in loaded_by("import app.units")
