"""Writing a file so that it appears whole or not at all."""

from __future__ import annotations

import errno
import os
from contextlib import suppress
from pathlib import Path
from secrets import token_hex
from typing import Final

_REASONS: Final = {
    errno.EACCES: "there is no permission to write there; choose another folder",
    errno.EPERM: "there is no permission to write there; choose another folder",
    errno.EROFS: "the disk is read-only; choose another one",
    errno.ENOSPC: "the disk is full; make room or choose another one",
    errno.EDQUOT: "the space allotted to you is used up; make room or choose another disk",
    errno.ENOENT: "the folder does not exist; make it or choose another one",
    errno.ENOTDIR: "the folder does not exist; make it or choose another one",
    errno.EISDIR: "a folder of that name is there; choose another name",
    errno.ENAMETOOLONG: "the name is too long; choose a shorter one",
}


class FileSaveError(OSError):
    """A file could not be written; the text is one sentence with the remedy, and an older file is untouched."""


def save_bytes(path: Path, data: bytes) -> None:
    """Write `data` to `path`, in place of what stood there.

    It is first written beside it and on the disk, then renamed, so that no moment shows half of it.

    Raises
    ------
    FileSaveError
        When it cannot be written; what stood there is as it was.

    """
    try:
        _replace(Path(os.path.realpath(path)), data)
    except OSError as error:
        reason = _REASONS.get(error.errno or 0, error.strerror or str(error))
        raise FileSaveError(f"{path.name} cannot be written: {reason}.") from error


def _replace(target: Path, data: bytes) -> None:
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    draft = target.with_name(f".wheelroom-{token_hex(8)}.tmp")
    try:
        with draft.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            draft.chmod(target.stat().st_mode)
        draft.replace(target)
    except BaseException:
        with suppress(OSError):
            draft.unlink()
        raise
    _sync_folder(target.parent)


def _sync_folder(folder: Path) -> None:
    """Put the renaming on the disk, where folders can be opened for that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
