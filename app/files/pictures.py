"""Pictures kept with a rig: named by their path from its folder, known by the digest of their content."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path, PurePosixPath
from typing import Final

from app.files.saving import save_bytes
from geometry.errors import RigError
from geometry.rig.underlay import Underlay, check_file

LARGEST: Final = 50_000_000
"""Largest picture that is read [bytes]."""

KINDS: Final = (".png", ".jpg", ".jpeg", ".svg", ".pdf")
"""Endings of pictures that can be placed."""


class PictureError(ValueError):
    """A picture cannot be used; the text is one sentence with the remedy."""


def read_picture(rig_file: Path, underlay: Underlay) -> tuple[bytes, bool]:
    """The content of a placed picture, and whether it is the one that was placed.

    Raises
    ------
    PictureError
        When it is missing, lies outside the folder of the rig file, is too large or cannot be read.

    """
    try:
        check_file(underlay.file, "file")
    except RigError as refused:
        raise PictureError(refused.problem) from None
    folder = rig_file.parent.resolve()
    path = folder / PurePosixPath(underlay.file)
    if not path.exists():
        raise PictureError(f"the picture {underlay.file} is missing from the folder of the rig; put it back there")
    real = path.resolve()
    if not real.is_relative_to(folder):
        raise PictureError(f"the picture {underlay.file} leads out of the folder of the rig; put a copy into it")
    data = picture_bytes(real)  # and not what a link may lead to by now
    return data, hashlib.sha256(data).hexdigest() == underlay.sha256


def picture_bytes(path: Path) -> bytes:
    """The content of a picture file; raises PictureError when it is of another kind, too large or cannot be read."""
    if path.suffix.lower() not in KINDS:
        raise PictureError(f"{path.name} is none of {', '.join(KINDS)}; save the picture as one of these")
    if path.exists() and not path.is_file():  # a pipe would never end
        raise PictureError(f"{path.name} is no file; choose a picture")
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except OSError as error:
        raise PictureError(f"{path.name} cannot be read: {error.strerror or error}") from None
    if len(data) > LARGEST:
        raise PictureError(f"{path.name} is larger than {LARGEST // 1_000_000} MB; make it smaller")
    if not data:
        raise PictureError(f"{path.name} is empty; save the picture again")
    return data


def taken_in(rig_file: Path, source: Path) -> tuple[str, str]:
    """Path from the rig's folder, and digest, of a picture; one from elsewhere is first copied beside the rig file.

    Raises
    ------
    PictureError
        When it cannot be read.
    FileSaveError
        When the copy cannot be written.

    """
    data = picture_bytes(source)
    folder, digest = rig_file.parent.resolve(), hashlib.sha256(data).hexdigest()
    inside = source.resolve()
    if not inside.is_relative_to(folder):
        inside = _free_name(folder, source.name, data)
        if not inside.exists():
            save_bytes(inside, data)
    return inside.relative_to(folder).as_posix(), digest


def _free_name(folder: Path, name: str, data: bytes) -> Path:
    """A name beside the rig file that no other file has, or that of a file with the same content."""
    stem, suffix = Path(name).stem, Path(name).suffix
    for number in range(1, 10_000):
        path = folder / (name if number == 1 else f"{stem} {number}{suffix}")
        if not path.exists() or (path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data):
            return path
    raise PictureError(f"there are too many files called {name} beside the rig; rename the picture")


def carry(old: Path | None, new: Path, underlays: Iterable[Underlay]) -> None:
    """Copy placed pictures along to the folder of another rig file, where they are not there yet.

    What is missing stays missing, nothing that stands there is written over, and no link leads the copy elsewhere.

    Raises
    ------
    FileSaveError
        When a copy cannot be written.

    """
    if old is None or old.parent.resolve() == new.parent.resolve():
        return
    for underlay in underlays:
        folder = new.parent.resolve()
        target = (folder / PurePosixPath(underlay.file)).resolve()
        try:
            data, _ = read_picture(old, underlay)
        except PictureError:
            continue
        if not target.exists() and target.is_relative_to(folder):
            target.parent.mkdir(parents=True, exist_ok=True)
            save_bytes(target, data)
