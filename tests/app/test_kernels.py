"""Long work loads the compiled search that is kept; short work, and work without one, goes on as it is."""

from __future__ import annotations

import importlib.metadata
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QStandardPaths

from app import kernels
from geometry.contact.compiled import kept, ready


@pytest.fixture(autouse=True)
def _not_tried() -> Iterator[None]:
    kernels.load_kept.cache_clear()
    yield
    kernels.load_kept.cache_clear()


@pytest.fixture
def prepared(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Folders from which the search was to be loaded."""
    asked: list[Path] = []
    monkeypatch.setattr(ready, "prepare", lambda folder: asked.append(folder) or "")
    return asked


def keep(folder: Path) -> None:
    kept.place_in(folder).mkdir(parents=True)
    kept.mark(folder)


def test_work_that_lasts_loads_what_is_kept_once(prepared: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    folder = kernels.kernel_folder()
    monkeypatch.setattr(kernels, "is_kept", lambda _: True)
    for seconds, expected in ((kernels.PAYS_AFTER - 0.1, []), (kernels.PAYS_AFTER, [folder]), (9.0, [folder])):
        monkeypatch.setattr(kernels, "process_time", lambda seconds=seconds: seconds)
        kernels.load_when_it_pays()
        assert prepared == expected


def test_nothing_is_compiled_for_a_batch(prepared: list[Path], tmp_path: Path) -> None:
    assert not kernels.load_kept(tmp_path)
    kept.place_in(tmp_path).mkdir()  # another process is at it
    kernels.load_kept.cache_clear()
    assert not kernels.load_kept(tmp_path)
    assert prepared == []


def test_what_another_machine_or_compiler_made_is_not_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keep(tmp_path)
    assert kept.is_kept(tmp_path)
    for name in ("node", "python_version", "machine"):
        with monkeypatch.context() as patch:
            patch.setattr(kept.platform, name, lambda: "another")
            assert not kept.is_kept(tmp_path)
    monkeypatch.setattr(importlib.metadata, "version", lambda _: "0.0")
    assert not kept.is_kept(tmp_path)


def test_other_sources_are_kept_elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source = tmp_path / "contact" / "compiled" / "kept.py"
    source.parent.mkdir(parents=True)
    source.write_text("one")
    monkeypatch.setattr(kept, "__file__", str(source))
    keep(tmp_path)
    assert kept.is_kept(tmp_path)
    source.write_text("another")
    assert not kept.is_kept(tmp_path)


def test_the_folder_is_the_one_that_qt_would_name(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    before = QCoreApplication.applicationName()
    QCoreApplication.setApplicationName("wheelroom")
    named = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.CacheLocation)
    QCoreApplication.setApplicationName(before)
    assert kernels.kernel_folder() == Path(named)


def test_a_check_does_not_know_of_it() -> None:
    code = "import sys, app.commands, app.study; sys.exit('app.kernels' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False, timeout=60).returncode == 0
