from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QSettings

from app.keeping.recent import LIMIT, RecentFiles


@pytest.fixture
def ini(tmp_path: Path) -> Path:
    return tmp_path / "settings.ini"


def opened(ini: Path) -> RecentFiles:
    return RecentFiles(QSettings(str(ini), QSettings.Format.IniFormat))


def test_there_are_none_at_first(ini: Path) -> None:
    assert opened(ini).paths() == ()


@pytest.mark.parametrize("number", [1, 2, LIMIT])
def test_they_survive_a_restart_newest_first(ini: Path, tmp_path: Path, number: int) -> None:
    recent = opened(ini)
    paths = [tmp_path / f"rig {index}.rig.json" for index in range(number)]
    for path in paths:
        recent.add(path)
    recent._settings.sync()
    assert opened(ini).paths() == tuple(reversed(paths))


def test_a_file_opened_again_moves_to_the_top(ini: Path, tmp_path: Path) -> None:
    recent = opened(ini)
    for name in ("a", "b", "a"):
        recent.add(tmp_path / name)
    assert recent.paths() == (tmp_path / "a", tmp_path / "b")


def test_only_so_many_are_kept(ini: Path, tmp_path: Path) -> None:
    recent = opened(ini)
    for index in range(LIMIT + 3):
        recent.add(tmp_path / str(index))
    assert len(recent.paths()) == LIMIT
    assert recent.paths()[0] == tmp_path / str(LIMIT + 2)


def test_relative_paths_are_kept_absolute(ini: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    recent = opened(ini)
    recent.add(Path("mine.rig.json"))
    assert recent.paths() == (tmp_path / "mine.rig.json",)


def test_one_or_all_can_be_forgotten(ini: Path, tmp_path: Path) -> None:
    recent = opened(ini)
    for name in ("a", "b"):
        recent.add(tmp_path / name)
    recent.remove(tmp_path / "a")
    assert recent.paths() == (tmp_path / "b",)
    recent.clear()
    assert recent.paths() == ()
