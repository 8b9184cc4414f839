"""One window a file: who has a rig open claims it, so that no one's save goes over another's."""

from __future__ import annotations

import hashlib
import os
from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QLockFile, QStandardPaths


def state_folder(name: str) -> Path:
    """A folder of ours for what the program remembers, made if need be.

    Raises
    ------
    OSError
        When it cannot be made.

    """
    base = Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.StateLocation))
    folder = base / name
    folder.mkdir(parents=True, exist_ok=True)
    return folder


class Claim:
    """A claim to one file, held as long as this object is, or the process: the claims of the dead count for nothing."""

    def __init__(self, lock: QLockFile | None) -> None:
        self._lock = lock

    def __del__(self) -> None:
        self.release()

    def release(self) -> None:
        """Give the claim up at once, whoever still has this object: the trace of an error may, for a while."""
        with suppress(RuntimeError):
            if self._lock is not None:
                self._lock.unlock()

    @classmethod
    def of(cls, path: Path) -> Claim | None:
        """Claim a file under all its names; None = another window has it."""
        try:
            folder = state_folder("open")
        except OSError:
            return cls(None)  # where nothing can be remembered, nobody can be told
        name = hashlib.sha256(os.path.realpath(path).encode("utf-8", "surrogateescape")).hexdigest()[:32]
        return cls.at(folder / f"{name}.lock")

    @classmethod
    def at(cls, place: Path) -> Claim | None:
        """Claim what a lock file stands for; None = another process, or another window of this one, has it."""
        lock = QLockFile(str(place))
        lock.setStaleLockTime(0)
        if lock.tryLock(0):
            return cls(lock)
        return None if lock.error() is QLockFile.LockError.LockFailedError else cls(None)
