"""The compiled search for work that lasts: where it is kept, and when loading it pays.

Only the window has it compiled (`app/compiling.py`). A batch loads what is there, and compiles nothing.
"""

from __future__ import annotations

import logging
import os
import sys
from functools import lru_cache
from pathlib import Path
from time import process_time
from typing import Final

from geometry.contact.compiled.kept import is_kept

log = logging.getLogger(__name__)

PAYS_AFTER: Final = 1.5
"""Time that a process has worked when it loads the compiled search [s]. Starting takes it half a second, and loading
another one. Who has worked as long as loading takes is likely to go on; who is not wastes no more than that."""


def kernel_folder() -> Path:
    """Folder of this program for what can be made again, as each system has it."""
    home = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / "wheelroom" / "cache"
    if sys.platform == "darwin":
        return home / "Library" / "Caches" / "wheelroom"
    given = os.environ.get("XDG_CACHE_HOME", "")
    return (Path(given) if given.startswith("/") else home / ".cache") / "wheelroom"


def load_when_it_pays() -> None:
    """Load the compiled search, if it is kept and this process has worked long enough; asked before each piece."""
    if process_time() >= PAYS_AFTER:
        load_kept(kernel_folder())


@lru_cache(maxsize=1)
def load_kept(folder: Path) -> bool:
    """Load the compiled search if it need not be compiled; whether it is in use. Tried once in a process."""
    from geometry.contact.compiled import ready

    if not ready.is_ready() and is_kept(folder):
        problem = ready.prepare(folder)
        if problem:
            log.warning("The search stays as it is: %s", problem)
    return ready.is_ready()
