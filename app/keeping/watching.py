"""Noticing that another program has changed the open rig's file."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from app.document import Document
from app.files.rig_file import RigFileError, read_rig_bytes

SETTLE: Final = 300
"""How long a file must be left alone before it is looked at [ms]: programs write in several steps."""

GONE: Final = b""
"""What stands for the content of a file that cannot be read."""


class FileWatch(QObject):
    """Watches the open rig's file.

    Attributes
    ----------
    changed : Signal()
        The file is not what was last read or saved any more.

    """

    changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._known, self._told = GONE, GONE
        self._paused = False
        self._watcher: QFileSystemWatcher | None = None
        self._timer = QTimer(self, interval=SETTLE, singleShot=True)
        self._timer.timeout.connect(self._look)
        document.path_changed.connect(self.take_note)

    def has_changed(self) -> bool:
        """Whether the file holds something else than what was last read or saved; a file that is gone has not."""
        path = self._document.path
        return path is not None and _print_of(path) not in {self._known, GONE}

    @property
    def is_gone(self) -> bool:
        """Whether the open rig has a file that is not there, or cannot be read."""
        return self._document.path is not None and _print_of(self._document.path) == GONE

    def take_note(self, data: bytes | None = None) -> None:
        """What the file holds now, or `data` that was read from it, is what is open or what the builder keeps."""
        path = self._document.path
        found = GONE if path is None else _print_of(path) if data is None else hashlib.sha256(data).digest()
        self._known = self._told = found
        if self._watcher is not None:
            self._watcher.deleteLater()
            self._watcher = None
        if path is not None:
            self._watcher = QFileSystemWatcher([str(path.parent), str(path)], self)
            self._watcher.fileChanged.connect(self._timer.start)
            self._watcher.directoryChanged.connect(self._timer.start)

    @contextmanager
    def pause(self) -> Iterator[None]:
        """Take what happens to the file meanwhile for our own doing."""
        self._paused = True
        try:
            yield
        finally:
            self._paused = False

    def look_again(self) -> None:
        """Look at the file soon, as when the builder comes back to the window."""
        if self._document.path is not None:
            self._timer.start()

    def _look(self) -> None:
        path = self._document.path
        if path is None or self._paused:
            return
        if self._watcher is not None and str(path) not in self._watcher.files() and path.exists():
            self._watcher.addPath(str(path))  # it was replaced, and the watch went with the old one
        found = _print_of(path)
        if found not in {self._known, self._told}:
            self._told = found
            self.changed.emit()


def _print_of(path: Path) -> bytes:
    try:
        return hashlib.sha256(read_rig_bytes(path)).digest()
    except RigFileError:
        return GONE
