"""Pictures made to do harm are refused in words, soon, and ask for nothing outside of themselves."""

from __future__ import annotations

import gzip
import os
import struct
import sys
import zlib
from base64 import b64encode
from collections.abc import Callable
from pathlib import Path
from time import process_time

import pytest
from PySide6.QtGui import QColor

from app.canvas.pictures import MOST_PIXELS, picture_of
from app.files import pdf_page
from app.files.pictures import PictureError, carry, picture_bytes, read_picture
from geometry.rig.underlay import Underlay

NAMES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 200 100"'

pytestmark = pytest.mark.usefixtures("qapp")


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(width: int, height: int, depth: int = 8) -> bytes:
    """A black picture, of a few bytes however large it is."""
    row = b"\0" * (1 + (width * depth + 7) // 8)
    packer = zlib.compressobj(9)
    data = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, depth, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def svg(inside: str, before: str = "") -> bytes:
    return f'{before}<svg {NAMES}><rect width="200" height="100" fill="red"/>{inside}</svg>'.encode()


def embedding(photo: bytes, kind: str = "png") -> bytes:
    return svg(f'<image width="200" height="100" xlink:href="data:image/{kind};base64,{b64encode(photo).decode()}"/>')


def laughing(levels: int, times: int) -> bytes:
    groups = "".join(f'<g id="g{n}">{f"""<use xlink:href="#g{n - 1}"/>""" * times}</g>' for n in range(1, levels))
    return svg(f'<defs><g id="g0"><rect width="9" height="9"/></g>{groups}</defs><use xlink:href="#g{levels - 1}"/>')


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (gzip.compress(svg("")), "is packed"),
        (svg("&a;", '<!DOCTYPE svg [<!ENTITY a "aaaa">]>').decode().encode("utf-16"), "entities"),
        (svg('<image xlink:href="/etc/passwd"/>', '<?xml version="1.0" encoding="UTF-16"?>').decode().encode("utf-16"),
         "asks for other files"),
        (svg('<image xlink:href="&#102;ile:///etc/passwd"/>'), "asks for other files"),
        (svg('<image xlink:href=" data:image/svg+xml;base64,PHN2Zy8+"/>'), "asks for other files"),
        (svg("<style>@import 'a.css';</style>"), "asks for other files"),
        (svg("<style>rect{fill:url( 'a.svg#b')}</style>"), "asks for other files"),
        (svg("", '<?xml-stylesheet href="a.css"?>'), "asks for other files"),
        (embedding(b"<svg/>"), "neither PNG nor JPEG inside"),
        (embedding(png(9000, 9000, 1)), "million pixels"),
        (svg("<g/>" * 50_001), "more than 100,000 pieces"),
        (laughing(9, 10), "draws more than 500,000 pieces"),
        (svg('<g id="a"><use xlink:href="#b"/></g><g id="b"><use xlink:href="#a"/></g>'), "draws more than"),
        (svg("<g>" * 10_000 + "</g>" * 10_000), "cannot be read as SVG"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1e-30 1e30"><g/></svg>', "cannot be read as SVG"),
    ],
)  # fmt: skip
def test_vector_drawings_that_would_do_harm_are_refused(data: bytes, words: str) -> None:
    began = process_time()
    with pytest.raises(PictureError, match=words):
        picture_of(data, "plan.svg")
    assert process_time() - began < 2.0


def test_what_a_drawing_uses_of_its_own_is_shown() -> None:
    assert picture_of(laughing(4, 10), "plan.svg").image.pixelColor(60, 60) == QColor("black")


def test_a_photo_within_a_drawing_is_shown() -> None:
    assert picture_of(embedding(png(20, 10)), "plan.svg").image.pixelColor(600, 600) == QColor("black")


def test_a_drawing_that_takes_long_is_drawn_coarser() -> None:
    began = process_time()
    picture = picture_of(svg('<rect width="200" height="100" fill-opacity="0.5"/>' * 20_000), "plan.svg")
    assert process_time() - began < 4.0
    assert picture.image.width() < MOST_PIXELS
    assert picture.size.width() == 200.0


def test_photos_are_limited_by_the_memory_that_they_take_and_not_by_that_of_their_file() -> None:
    bomb = png(30_000, 30_000, 1)
    assert len(bomb) < 200_000
    with pytest.raises(PictureError, match="more than 52 million pixels"):
        picture_of(bomb, "side.png")
    with pytest.raises(PictureError, match="wider than 30000 pixels"):
        picture_of(png(40_000, 1, 1), "side.png")
    assert picture_of(png(5000, 20), "side.png").image.width() == MOST_PIXELS


# PDF


def pdf(content: bytes, *more: bytes, root: bytes = b"", resources: bytes = b"") -> bytes:
    """A file of one page."""
    page = b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 600 400]/Contents 4 0 R/Resources<<%s>>>>" % resources
    objects = [b"<</Type/Catalog/Pages 2 0 R%s>>" % root, b"<</Type/Pages/Kids[3 0 R]/Count 1>>", page, content, *more]
    data, places = b"%PDF-1.7\n", []
    for number, each in enumerate(objects, start=1):
        places.append(len(data))
        data += b"%d 0 obj\n%s\nendobj\n" % (number, each)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    size = len(objects) + 1
    end = b"trailer\n<</Size %d/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF" % (size, len(data))
    return data + b"xref\n0 %d\n0000000000 65535 f \n" % size + table + end


def stream(data: bytes, more: bytes = b"") -> bytes:
    return b"<</Length %d%s>>\nstream\n%s\nendstream" % (len(data), more, data)


def test_a_page_that_would_be_drawn_for_hours_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf_page, "LONGEST", 0.8)
    form = b"/Type/XObject/Subtype/Form/BBox[0 0 600 400]/Resources<</XObject<</F %d 0 R>>>>"
    forms = [stream(b"/F Do " * 10, form % (6 + number)) for number in range(9)]
    data = pdf(stream(b"/F Do"), *forms, stream(b"0 0 9 9 re f"), resources=b"/XObject<</F 5 0 R>>")
    with pytest.raises(PictureError, match=r"page 1 of plan\.pdf takes more than 0\.8 seconds to draw; save it as PNG"):
        picture_of(data, "plan.pdf")


def test_a_page_runs_no_script_and_opens_no_file(tmp_path: Path) -> None:
    run = b"/OpenAction<</S/Launch/F(touch)/P(%s)>>" % str(tmp_path / "made").encode()
    script = b"/AA<</O<</S/JavaScript/JS(this.exportDataObject\\(1\\))>>>>"
    picture = picture_of(pdf(stream(b"1 0 0 rg 0 0 600 400 re f"), root=run + script), "plan.pdf")
    assert picture.image.pixelColor(picture.image.rect().center()) == QColor("red")
    assert list(tmp_path.iterdir()) == []


# Paths


def underlay(file: str) -> Underlay:
    return Underlay(id="a", view="side", file=file, sha256="0" * 64)


@pytest.mark.skipif(sys.platform == "win32", reason="needs pipes with names")
def test_a_pipe_is_no_picture(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.png")
    for read in (
        lambda: picture_bytes(tmp_path / "a.png"),
        lambda: read_picture(tmp_path / "x.json", underlay("a.png")),
    ):
        with pytest.raises(PictureError, match="is no file"):
            read()


@pytest.mark.parametrize("link", [lambda new, out: (new / "sub").symlink_to(out), None])
def test_pictures_that_are_taken_along_never_leave_the_folder(
    tmp_path: Path, link: Callable[[Path, Path], None] | None
) -> None:
    old, new, out = (tmp_path / name for name in ("old", "new", "out"))
    for folder in (old / "sub", new, out):
        folder.mkdir(parents=True)
    (old / "sub" / "a.png").write_bytes(png(2, 2))
    if link is not None:
        link(new, out)
    else:
        (new / "sub").mkdir()
        (new / "sub" / "a.png").symlink_to(out / "a.png")  # to nowhere, so far
    carry(old / "x.json", new / "x.json", [underlay("sub/a.png")])
    assert list(out.iterdir()) == []
