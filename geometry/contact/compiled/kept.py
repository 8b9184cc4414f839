"""Where compiled kernels are kept, and whether they are there; nothing here loads the compiler."""

from __future__ import annotations

import platform
from hashlib import sha256
from pathlib import Path
from typing import Final

_MARK: Final = "complete"
"""File that says by what, for what and where all kernels were compiled."""


def place_in(folder: Path) -> Path:
    """Where below a folder kernels from these sources belong.

    The compiler looks at a kernel's own file to see whether it has changed, not at those it was inlined from. So the
    place is named after all of them.
    """
    digest = sha256()
    for source in sorted(Path(__file__).parent.parent.rglob("*.py")):
        digest.update(source.read_bytes())
    return folder / f"kernels-{digest.hexdigest()[:16]}"


def mark(folder: Path) -> None:
    """Say that all kernels are there."""
    place = place_in(folder)
    if place.is_dir():
        (place / _MARK).write_text(_made_by(), encoding="utf-8")


def is_kept(folder: Path) -> bool:
    """Whether this program on this machine can load all kernels without compiling any."""
    try:
        return (place_in(folder) / _MARK).read_text(encoding="utf-8") == _made_by()
    except (OSError, UnicodeError):
        return False


def _made_by() -> str:
    """Compiler, Python and machine; kernels of others do not run here."""
    from importlib.metadata import PackageNotFoundError, version  # loads slowly, and only those who compile ask

    try:
        compiler = version("numba")
    except PackageNotFoundError:
        compiler = ""
    return f"{compiler} {platform.python_version()} {platform.machine()} {platform.node()}"
