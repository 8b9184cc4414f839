"""A save that is killed or refused at any of its calls leaves the old file or the new one, whole, and nothing else."""

from __future__ import annotations

import errno
import os
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from app.files.saving import STRAY, FileSaveError, previous_of, save_bytes

OLDER, OLD, NEW = b"older\n" * 700, b"old\n" * 900, b"new\n" * 1100
SHORT = 1500
"""At most this much is written by one call [bytes], as a disk may do, so that there are several to be struck at."""
CALLS = ("open", "write", "fsync", "close", "link", "replace", "unlink")
Strike = Callable[[int, bool], None]
"""Called before and after each call with its number."""


def struck(monkeypatch: pytest.MonkeyPatch, strike: Strike) -> list[str]:
    """Put `strike` before and after every call of a save; the list of calls as they come."""
    made: list[str] = []

    def wrapped(name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **options: Any) -> Any:
            made.append(name)
            number = len(made)
            strike(number, False)
            if name == "write":
                args = (args[0], bytes(args[1])[:SHORT])
            result = real(*args, **options)
            strike(number, True)
            return result

        return call

    for name in CALLS:
        monkeypatch.setattr(os, name, wrapped(name, getattr(os, name)))
    return made


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A file with a previous version beside it, as saved twice."""
    path = tmp_path / "own.rig.json"
    save_bytes(path, OLDER)
    save_bytes(path, OLD, keep_previous=True)
    return path


def save(path: Path) -> None:
    save_bytes(path, NEW, keep_previous=True)


def assert_whole(path: Path) -> None:
    """Old or new, and the version before it is there as well."""
    found, before = path.read_bytes(), previous_of(path).read_bytes()
    assert (found, before) in {(OLD, OLDER), (OLD, OLD), (NEW, OLD)}


def strays(path: Path) -> list[Path]:
    return list(path.parent.glob(STRAY.format("*")))


def calls_of_a_save(path: Path) -> int:
    with pytest.MonkeyPatch.context() as patch:
        made = struck(patch, lambda *_: None)
        save(path)
    assert {"write", "fsync", "link", "replace"} <= set(made)
    assert made.count("write") > 2
    save_bytes(previous_of(path), OLDER)
    save_bytes(path, OLD)
    return len(made)


def killed_in_a_save(path: Path, number: int, *, after: bool) -> Iterator[int]:
    """Save in a process that is killed at one call; its wait status."""
    child = os.fork()
    if child == 0:  # pragma: no cover  (nothing of this process is measured)
        strike = lambda at, done: os.kill(os.getpid(), signal.SIGKILL) if (at, done) == (number, after) else None  # noqa: E731
        with pytest.MonkeyPatch.context() as patch:
            struck(patch, strike)
            save(path)
        os._exit(0)
    yield os.waitpid(child, 0)[1]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that can be forked")
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_a_kill_at_any_call_tears_and_loses_nothing(file: Path) -> None:
    for number in range(1, calls_of_a_save(file) + 1):
        for after in (False, True):
            for status in killed_in_a_save(file, number, after=after):
                assert os.WTERMSIG(status) == signal.SIGKILL
            assert_whole(file)
            assert len(strays(file)) <= 2
            for stray in strays(file):
                stray.unlink()
            save_bytes(previous_of(file), OLDER)
            save_bytes(file, OLD)


@pytest.mark.parametrize("number_of_error", [errno.EIO, errno.ENOSPC, errno.EROFS, errno.EPERM])
@pytest.mark.parametrize("ever_after", [False, True])
def test_an_error_at_any_call_leaves_old_or_new_and_says_why(
    file: Path, number_of_error: int, ever_after: bool
) -> None:
    total = calls_of_a_save(file)
    for number in range(1, total + 1):

        def strike(at: int, done: bool, number: int = number) -> None:
            if not done and (at == number or (ever_after and at > number)):
                raise OSError(number_of_error, os.strerror(number_of_error))

        refused = None
        with pytest.MonkeyPatch.context() as patch:
            struck(patch, strike)
            try:
                save(file)
            except FileSaveError as error:
                refused = error
        assert_whole(file)
        if refused is None:
            assert file.read_bytes() == NEW
        else:
            assert str(refused).endswith(".")
            assert "Errno" not in str(refused)
            assert (file.read_bytes() == NEW) == refused.replaced
            assert refused.kept is None or refused.kept.read_bytes() == NEW
        for stray in strays(file):
            stray.unlink()
        save_bytes(previous_of(file), OLDER)
        save_bytes(file, OLD)


def test_what_a_disk_gives_back_otherwise_than_it_was_written_is_refused(
    file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: real(handle, bytes(data).replace(b"w", b"v")))
    with pytest.raises(FileSaveError, match="the disk reports a fault"):
        save(file)
    assert_whole(file)
    assert not strays(file)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="needs the right to become another user")
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
def test_a_read_only_folder_refuses_an_ordinary_user_and_keeps_the_file(file: Path) -> None:
    for folder in (file.parent, *file.parent.parents[:-1]):
        folder.chmod(folder.stat().st_mode | 0o055)
    file.chmod(0o666)
    file.parent.chmod(0o555)
    child = os.fork()
    if child == 0:  # pragma: no cover  (nothing of this process is measured)
        os.setgid(65534)
        os.setuid(65534)
        try:
            save(file)
        except FileSaveError as refused:
            os._exit(7 if "there is no permission to write there" in str(refused) else 1)
        os._exit(0)
    status = os.waitpid(child, 0)[1]
    file.parent.chmod(0o755)
    assert os.waitstatus_to_exitcode(status) == 7
    assert file.read_bytes() == OLD
    assert not strays(file)
