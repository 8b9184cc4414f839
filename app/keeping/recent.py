"""The list of files opened lately."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QSettings

LIMIT: Final = 10
"""Files kept: as many as a menu shows with a digit each."""

_KEY: Final = "recent_files"


class RecentFiles:
    """Absolute paths of the rig files opened or saved lately, newest first, kept in the settings."""

    def __init__(self, settings: QSettings) -> None:
        self._settings = settings

    def paths(self) -> tuple[Path, ...]:
        """The files, newest first; those that are gone stay, so that the menu can say so."""
        kept = self._settings.value(_KEY, [], type=list)
        return tuple(Path(text) for text in kept if isinstance(text, str)) if isinstance(kept, list) else ()

    def add(self, path: Path) -> None:
        """Put a file at the top."""
        at_top = path.absolute()
        self._write([at_top, *(other for other in self.paths() if other != at_top)][:LIMIT])

    def remove(self, path: Path) -> None:
        """Forget one file."""
        self._write([other for other in self.paths() if other != path.absolute()])

    def clear(self) -> None:
        """Forget all files."""
        self._write([])

    def _write(self, paths: list[Path]) -> None:
        self._settings.setValue(_KEY, [str(path) for path in paths])
