"""Makes the desktop know the program: its place in the menu, its icon, and the kind of file that it opens; no Qt.

Written for the current user only, where the XDG base directory specification has such things. The files follow the
desktop entry, shared MIME info and icon theme specifications of freedesktop.org.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from app.files.assets import asset_path

RIG_TYPE: Final = "application/vnd.wheelroom.rig+json"
"""MIME type of rig files."""

_REFRESH: Final = (("update-mime-database", "mime"), ("update-desktop-database", "applications"))
"""What tells the desktop about it, and of which folder; where it is missing, the next login does."""


class DesktopError(ValueError):
    """The desktop cannot be told; the text is one sentence for the builder."""


def add_desktop_options(command: argparse.ArgumentParser) -> None:
    """What can be written behind `install-desktop`."""
    command.add_argument("--remove", action="store_true", help="take all of it away again")


def data_home() -> Path:
    """Where the user's desktop keeps such files."""
    named = os.environ.get("XDG_DATA_HOME", "")
    return Path(named) if Path(named).is_absolute() else Path.home() / ".local" / "share"


def places(home: Path) -> dict[Path, Path]:
    """Each file that is installed, and the asset that it is made of."""
    icons = home / "icons" / "hicolor" / "scalable"
    kind = RIG_TYPE.replace("/", "-")
    return {
        home / "applications" / "wheelroom.desktop": asset_path("wheelroom.desktop"),
        home / "mime" / "packages" / "wheelroom.xml": asset_path("wheelroom.xml"),
        icons / "apps" / "wheelroom.svg": asset_path("icons/wheelroom.svg"),
        icons / "mimetypes" / f"{kind}.svg": asset_path("icons/rig-file.svg"),
    }


def install_lines(options: argparse.Namespace) -> Iterator[str]:
    """Install or remove, and say of each file what was done.

    Raises
    ------
    DesktopError
        Where the system has no such desktop.
    OSError
        When a folder cannot be written to.

    """
    if sys.platform in {"win32", "darwin"}:
        raise DesktopError("this system learns of programs from their installer, not from files like these")
    home = data_home()
    for path, asset in places(home).items():
        if options.remove:
            yield f"removed {path}" if path.exists() else f"was not there: {path}"
            path.unlink(missing_ok=True)
            continue
        content = asset.read_text(encoding="utf-8")
        if path.suffix == ".desktop":
            content = content.replace("Exec=wheelroom ", f"Exec={program()} ")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content, encoding="utf-8")
        yield f"installed {path}"
    for tool, folder in _REFRESH:
        if shutil.which(tool) and (home / folder).is_dir():
            subprocess.run([tool, str(home / folder)], check=False, capture_output=True)  # noqa: S603  (fixed names)


def program() -> str:
    """What starts this installation, as a desktop entry has it."""
    beside = Path(sys.executable).with_name("wheelroom")
    if beside.exists():
        return quoted(str(beside))
    return f"{quoted(sys.executable)} -P -m app"


def quoted(argument: str) -> str:
    """An argument of the key Exec: in double quotes, with what means something there escaped, and then once more."""
    inner = "".join(f"\\{sign}" if sign in '"`$\\' else sign for sign in argument).replace("%", "%%")
    return '"' + inner.replace("\\", "\\\\") + '"'
