"""Where the files that come with the program lie: beside the package in the source tree, inside it once installed."""

from __future__ import annotations

from pathlib import Path
from typing import Final

RIG_SUFFIX: Final = ".rig.json"
"""How the name of a rig file ends."""

_PACKAGE: Final = Path(__file__).resolve().parents[1]
_PLACES: Final = (_PACKAGE / "assets", _PACKAGE.parent / "assets")


def asset_path(name: str = "") -> Path:
    """Path of an asset, such as ``rig.schema.json`` or ``icons/wheelroom.svg``; without a name, of their folder.

    Raises
    ------
    FileNotFoundError
        When the program was not installed whole.

    """
    for folder in _PLACES:
        if (folder / name).exists():
            return folder / name
    raise FileNotFoundError(f"{name or 'assets'} is missing from the installation; install Wheelroom again")


def demo_rigs() -> list[Path]:
    """The demo rigs, the one to start with first."""
    return sorted(asset_path().glob(f"*{RIG_SUFFIX}"))
