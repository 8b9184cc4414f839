"""Writing a file so that it appears whole or not at all, and is on the disk when it is said to be."""

from __future__ import annotations

import errno
import os
import shutil
import time
from contextlib import suppress
from pathlib import Path
from secrets import token_hex
from typing import Final

STRAY: Final = ".wheelroom-{}.tmp"
"""What a file is called while it is being written, beside the one that it will replace."""

OLD: Final = 7 * 24 * 3600.0
"""Age from which such a file counts as left by a program that died [s]: long after anybody was told of it."""

_REASONS: Final = {
    errno.EACCES: "there is no permission to write there; choose another folder",
    errno.EPERM: "there is no permission to write there; choose another folder",
    errno.EROFS: "the disk is read-only; choose another one",
    errno.ENOSPC: "the disk is full; make room or choose another one",
    errno.EDQUOT: "the space allotted to you is used up; make room or choose another disk",
    errno.EFBIG: "the disk takes no file of this size; choose another one",
    errno.EIO: "the disk reports a fault; choose another one",
    errno.ENOENT: "the folder does not exist; make it or choose another one",
    errno.ENOTDIR: "the folder does not exist; make it or choose another one",
    errno.EISDIR: "a folder of that name is there; choose another name",
    errno.ENAMETOOLONG: "the name is too long; choose a shorter one",
    errno.EINVAL: "the disk takes no such name; choose another one",
    errno.ESTALE: "the network folder has gone; choose another one",
    errno.ETIMEDOUT: "the network folder does not answer; choose another one",
}
_NO_FOLDER_SYNC: Final = (errno.EINVAL, errno.ENOTSUP, errno.EACCES, errno.EBADF, errno.ENOSYS, errno.EISDIR)
"""What systems say that cannot sync a folder at all; any other error is one of the disk."""


class FileSaveError(OSError):
    """A file could not be written; the text is one sentence with the remedy.

    What stood there is as it was, unless `replaced` says that the new one is there whole, though perhaps not for good.

    Attributes
    ----------
    kept : Path or None
        Where what should be saved was left, whole, because it could not be put in place.

    """

    def __init__(self, text: str, *, kept: Path | None = None, replaced: bool = False) -> None:
        super().__init__(text)
        self.kept, self.replaced = kept, replaced


def save_bytes(path: Path, data: bytes, *, keep_previous: bool = False) -> None:
    """Write `data` to `path`, in place of what stood there.

    It is first written beside it, put on the disk and read back, then renamed, so that no moment shows half of it. A
    link stays and its target is replaced; the rights of the old file are kept. A second name of the same file (a hard
    link) keeps the old content.

    Parameters
    ----------
    keep_previous : bool
        Keep what stood there, if it differs, as `previous_of` it.

    Raises
    ------
    FileSaveError
        When it cannot be written.

    """
    try:
        _replace(Path(os.path.realpath(path)), data, keep_previous=keep_previous)
    except FileSaveError:
        raise
    except (OSError, ValueError) as error:
        raise FileSaveError(f"{path.name} cannot be written: {_reason(error)}.") from error


def previous_of(path: Path) -> Path:
    """Where the version before the last one of a file is kept: beside it, so that it opens like any other."""
    return path.with_name(f"{path.stem}.previous{path.suffix}")


def _reason(error: OSError | ValueError) -> str:
    number = (error.errno if isinstance(error, OSError) else None) or 0
    strerror = error.strerror if isinstance(error, OSError) else None
    return _REASONS.get(number, strerror or str(error))


def _replace(target: Path, data: bytes, *, keep_previous: bool) -> None:
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    draft = _beside(target)
    try:
        _write(draft, data, target)
        if keep_previous and target.exists() and target.read_bytes() != data:
            _keep(target)
    except BaseException:
        _drop(draft)
        raise
    try:
        os.replace(draft, target)  # noqa: PTH105  (one spelling of each system call, so that faults can be put in its way)
    except OSError as error:
        text = f"{target.name} cannot be replaced: {_reason(error)}. What should be saved is in {draft.name} beside it."
        raise FileSaveError(text, kept=draft) from error
    except BaseException:
        _drop(draft)
        raise
    _sync_folder(target)
    _clear_strays(target.parent)


def _beside(target: Path) -> Path:
    return target.with_name(STRAY.format(token_hex(8)))


def _write(draft: Path, data: bytes, target: Path) -> None:
    """Put the data on the disk with the rights of the target, and make sure of it."""
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    try:
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]
        if target.exists():
            draft.chmod(target.stat().st_mode)
        os.fsync(handle)
    finally:
        os.close(handle)
    if draft.read_bytes() != data:
        raise OSError(errno.EIO, os.strerror(errno.EIO))


def _keep(target: Path) -> None:
    """Give the old file a second name, or copy it where there are no second names."""
    aside = _beside(target)
    try:
        try:
            os.link(target, aside)
        except OSError:
            shutil.copy2(target, aside)
        os.replace(aside, previous_of(target))  # noqa: PTH105  (see above)
    except BaseException:
        _drop(aside)
        raise


def _drop(draft: Path) -> None:
    with suppress(OSError):
        draft.unlink()


def _sync_folder(target: Path) -> None:
    """Put the renaming on the disk, where folders can be opened for that."""
    try:
        handle = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        if error.errno in _NO_FOLDER_SYNC:
            return
        text = f"{target.name} is written, but perhaps not for good: {_reason(error)}."
        raise FileSaveError(text, replaced=True) from error


def _clear_strays(folder: Path) -> None:
    """Remove what programs left that died while they wrote."""
    before = time.time() - OLD
    with suppress(OSError):
        for stray in folder.glob(STRAY.format("*")):
            if stray.stat().st_mtime < before:
                stray.unlink()
