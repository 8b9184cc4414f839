"""One page of a PDF as pixels, drawn by a process of its own.

A page can hold drawing that takes hours and gigabytes, and the library that draws it cannot be interrupted. So it runs
where it can be ended, and gets no more memory than a page needs. It runs no scripts and opens no other files.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import msgspec

import app
from app.files.pictures import PictureError

LONGEST: Final = 5.0
"""Time that a page may take [s]: sheets that people print take a tenth of it."""

MEMORY: Final = 2_000_000_000
"""Memory that the process may ask for [bytes], where systems can limit that; libraries count for a part of it."""


class Page(msgspec.Struct, frozen=True):
    """The first line that the process writes; pixels follow.

    Attributes
    ----------
    width, height : float
        Size at full scale [pixels].
    columns, rows, channels : int
        Shape of what follows; channels are blue, green, red, or grey.
    pages : int
        How many pages there are; nothing follows when there is no such page.

    """

    pages: int
    width: float = 0.0
    height: float = 0.0
    columns: int = 0
    rows: int = 0
    channels: int = 0


@dataclass(frozen=True, slots=True)
class Drawn:
    """A page and its pixels, row by row."""

    page: Page
    pixels: bytes


def drawn_page(data: bytes, name: str, page: int, *, most: int, dpi: int) -> Drawn:
    """Draw a page of a PDF, its longer side at most `most` pixels.

    Raises
    ------
    PictureError
        When it is damaged, takes too much time or memory, or has no such page.

    """
    command = [sys.executable, "-m", __name__, str(page), str(most), str(dpi)]
    own = {"PYTHONPATH": str(Path(app.__file__).parents[1])}
    hidden = getattr(subprocess, "CREATE_NO_WINDOW", 0)
    try:
        done = subprocess.run(  # noqa: S603  (our own module)
            command, input=data, env=os.environ | own, capture_output=True, timeout=LONGEST, check=False,
            creationflags=hidden,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        raise PictureError(
            f"page {page} of {name} takes more than {LONGEST:g} seconds to draw; save it as PNG"
        ) from None
    head, _, pixels = done.stdout.partition(b"\n")
    try:
        found = msgspec.json.decode(head, type=Page)
    except msgspec.MsgspecError:
        raise PictureError(f"{name} cannot be read as PDF; save it again, or the page as PNG") from None
    if found.rows == 0:
        raise PictureError(f"{name} has {found.pages} pages and no page {page}; choose another one")
    if len(pixels) != found.rows * found.columns * found.channels:
        raise PictureError(f"{name} cannot be read as PDF; save it again, or the page as PNG")
    return Drawn(found, pixels)


def main(page: int, most: int, dpi: int) -> int:
    """Draw a page of the PDF that comes in, and write it out."""
    _limit()
    import pypdfium2

    document: Any = pypdfium2.PdfDocument(sys.stdin.buffer.read())
    count, out = len(document), sys.stdout.buffer
    if page > count:
        out.write(msgspec.json.encode(Page(count)) + b"\n")
        return 0
    sheet = document[page - 1]
    width, height = (side * dpi / 72.0 for side in sheet.get_size())
    bitmap = sheet.render(scale=min(1.0, most / max(width, height, 1.0)) * dpi / 72.0)
    row, stride, pixels = bitmap.width * bitmap.n_channels, bitmap.stride, bytes(bitmap.buffer)
    out.write(msgspec.json.encode(Page(count, width, height, bitmap.width, bitmap.height, bitmap.n_channels)) + b"\n")
    out.write(b"".join(pixels[at : at + row] for at in range(0, bitmap.height * stride, stride)))
    return 0


def _limit() -> None:
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (int(2 * LONGEST), int(2 * LONGEST)))


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:4])))
