from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from app.files import saving
from app.files.saving import STRAY, FileSaveError, previous_of, save_bytes


def test_what_is_saved_is_there_and_nothing_else(tmp_path: Path) -> None:
    save_bytes(tmp_path / "a.txt", b"first")
    save_bytes(tmp_path / "a.txt", b"second")
    assert (tmp_path / "a.txt").read_bytes() == b"second"
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]


def test_a_failure_leaves_the_old_file_and_no_stray(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes(b"old")

    def fail(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(FileSaveError, match=r"a\.txt cannot be written: the disk is full; make room"):
        save_bytes(path, b"new")
    assert path.read_bytes() == b"old"
    assert [found.name for found in tmp_path.iterdir()] == ["a.txt"]


def test_an_interruption_leaves_the_old_file_and_no_stray(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes(b"old")

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        save_bytes(path, b"new")
    assert path.read_bytes() == b"old"
    assert [found.name for found in tmp_path.iterdir()] == ["a.txt"]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("none/a.txt", "the folder does not exist"),
        ("folder", "a folder of that name is there"),
        ("x" * 300, "too long"),
    ],
)
def test_places_that_cannot_be_written_are_named_in_words(tmp_path: Path, name: str, words: str) -> None:
    (tmp_path / "folder").mkdir()
    with pytest.raises(FileSaveError, match=words) as refused:
        save_bytes(tmp_path / name, b"x")
    assert "Errno" not in str(refused.value)
    assert str(refused.value).endswith(".")


def test_a_file_that_is_read_only_stays(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes(b"old")
    path.chmod(0o444)
    monkeypatch.setattr(saving.os, "access", lambda *_: False)  # whoever is root may write everything
    with pytest.raises(FileSaveError, match="no permission"):
        save_bytes(path, b"new")
    assert path.read_bytes() == b"old"


def test_the_rights_of_the_old_file_are_kept_and_new_ones_follow_the_umask(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    before = os.umask(0o027)
    try:
        save_bytes(path, b"x")
        assert stat.S_IMODE(path.stat().st_mode) == 0o640
        path.chmod(0o604)
        save_bytes(path, b"y")
        assert stat.S_IMODE(path.stat().st_mode) == 0o604
    finally:
        os.umask(before)


def test_a_link_stays_a_link_to_the_new_content(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_bytes(b"old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    save_bytes(tmp_path / "link.txt", b"new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_bytes() == b"new"
    save_bytes(tmp_path / "link.txt", b"newer", keep_previous=True)
    assert (tmp_path / "real.previous.txt").read_bytes() == b"new"


def test_the_version_before_is_kept_beside_it_and_not_lost_by_saving_the_same_again(tmp_path: Path) -> None:
    path = tmp_path / "own.rig.json"
    previous = previous_of(path)
    assert previous.name == "own.rig.previous.json"
    for text in (b"first", b"second", b"third", b"third"):
        save_bytes(path, text, keep_previous=True)
    assert (path.read_bytes(), previous.read_bytes()) == (b"third", b"second")
    assert {found.name for found in tmp_path.iterdir()} == {path.name, previous.name}


def test_a_disk_without_second_names_gets_a_copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.txt"
    save_bytes(path, b"old")

    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    save_bytes(path, b"new", keep_previous=True)
    assert (path.read_bytes(), previous_of(path).read_bytes()) == (b"new", b"old")


def test_a_folder_that_refuses_a_renaming_keeps_what_was_written_and_says_where(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.txt"
    save_bytes(path, b"old")

    def refuse(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(FileSaveError, match=r"What should be saved is in \.wheelroom-\w+\.tmp beside it") as refused:
        save_bytes(path, b"new")
    assert refused.value.kept is not None
    assert (path.read_bytes(), refused.value.kept.read_bytes()) == (b"old", b"new")


def test_old_strays_are_cleared_by_the_next_save_and_young_ones_stay(tmp_path: Path) -> None:
    old, young = (tmp_path / STRAY.format(name) for name in ("old", "young"))
    for stray in (old, young):
        stray.write_bytes(b"x")
    os.utime(old, (0.0, 0.0))
    save_bytes(tmp_path / "a.txt", b"new")
    assert not old.exists()
    assert young.exists()
