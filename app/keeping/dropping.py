"""What may be dropped onto the window: one file that can be opened or imported, and nothing else."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QMimeData

RIG_ENDINGS: Final = {".json"}
IMPORTED: Final = {".csv", ".tsv", ".txt", ".dxf"}
"""Endings of rigs, and of tables and drawings."""


def dropped_file(data: QMimeData) -> Path | None:
    """The one file that is dragged; None when it is another kind, a folder, on another machine, or not one alone."""
    urls = data.urls()
    if len(urls) != 1 or not urls[0].isLocalFile():
        return None
    path = Path(urls[0].toLocalFile())
    return path if path.suffix.lower() in RIG_ENDINGS | IMPORTED and path.is_file() else None
