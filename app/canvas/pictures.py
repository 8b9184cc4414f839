"""Pictures read for the screen: photos, vector drawings and pages of PDF files."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Final

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QImage, QImageIOHandler, QImageReader, QPainter

from app.files.pictures import PictureError

MOST_PIXELS: Final = 2400
"""Longest side of a picture in memory [pixels]: finer than a view shows it, and under 25 MB."""

LARGEST_SIDE: Final = 30_000
"""Longest side of a picture that is read [pixels]."""

PAGE_DPI: Final = 200
"""Pixels that count as an inch of a PDF page: the scale of a picture is given by pixel."""

_OUTSIDE: Final = re.compile(
    rb"<!ENTITY|<!DOCTYPE[^>]*\[|(?:href|src)\s*=\s*[\"'](?!#|data:)|url\(\s*[\"']?(?!#|data:)", re.IGNORECASE
)
"""What lets a vector drawing ask for other files, or grow without end."""


_NO_PDF: Final = "cannot be read as PDF; save it again, or the page as PNG"


@dataclass(frozen=True, eq=False, slots=True)
class Picture:
    """A picture in memory, perhaps coarser than its file, and its full size in pixels of the file."""

    image: QImage
    size: QSizeF


def picture_of(data: bytes, name: str, page: int = 1) -> Picture:
    """Read a picture from the content of its file.

    Raises
    ------
    PictureError
        When it is damaged, too large, asks for other files, or has no such page.

    """
    ending = name.lower().rpartition(".")[2]
    made = {"svg": _vector, "pdf": _page}.get(ending, _photo)(data, name, page)
    if made.image.isNull() or made.size.isEmpty():
        raise PictureError(f"{name} cannot be read as a picture; save it again in another program")
    return made


def _photo(data: bytes, name: str, _page: int) -> Picture:
    buffer = QBuffer()
    buffer.setData(QByteArray(data))
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    if bytes(reader.format().data()) not in {b"png", b"jpeg"}:
        raise PictureError(f"{name} is neither PNG nor JPEG inside; save it again as one of these")
    size = reader.size()
    if not size.isValid() or max(size.width(), size.height()) > LARGEST_SIDE:
        raise PictureError(f"{name} is damaged or wider than {LARGEST_SIDE} pixels; save it again, smaller")
    # A camera may have stored the picture on its side; its size is that of the upright one.
    on_its_side = reader.transformation().value & QImageIOHandler.Transformation.TransformationRotate90.value
    reader.setScaledSize(_fitted(QSizeF(size)))
    return Picture(reader.read(), QSizeF(size.transposed() if on_its_side else size))


def _vector(data: bytes, name: str, _page: int) -> Picture:
    from PySide6.QtSvg import QSvgRenderer

    if _OUTSIDE.search(data):
        raise PictureError(f"{name} asks for other files or defines entities; save it as plain SVG, or as PNG")
    renderer = QSvgRenderer(QByteArray(data))
    size = renderer.viewBoxF().size() if renderer.isValid() else QSizeF()
    if size.isEmpty():
        raise PictureError(f"{name} cannot be read as SVG; save it again, or as PNG")
    scale = MOST_PIXELS / max(size.width(), size.height())
    image = QImage((size * scale).toSize().expandedTo(QSize(1, 1)), QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    renderer.render(painter, QRectF(image.rect()))
    painter.end()
    return Picture(image, size)


def _page(data: bytes, name: str, page: int) -> Picture:
    import pypdfium2

    count = 0
    try:
        document: Any = pypdfium2.PdfDocument(data)
        count = len(document)
        sheet = document[page - 1]
        width, height = (side * PAGE_DPI / 72.0 for side in sheet.get_size())
        scale = min(1.0, MOST_PIXELS / max(width, height, 1.0)) * PAGE_DPI / 72.0
        pixels = sheet.render(scale=scale).to_numpy()
    except Exception as error:  # the library has no class of its own for all that it raises on damaged files
        why = f"has {count} pages and no page {page}; choose another one" if 0 < count < page else _NO_PDF
        raise PictureError(f"{name} {why}") from error
    rows, columns, channels = pixels.shape
    formats = {3: QImage.Format.Format_BGR888, 4: QImage.Format.Format_RGB32, 1: QImage.Format.Format_Grayscale8}
    image = QImage(pixels.tobytes(), columns, rows, columns * channels, formats[channels]).copy()
    return Picture(image, QSizeF(width, height))


def _fitted(size: QSizeF) -> QSize:
    """A size of the same shape whose longer side is no longer than MOST_PIXELS."""
    longest = max(size.width(), size.height())
    return (size * min(1.0, MOST_PIXELS / longest)).toSize().expandedTo(QSize(1, 1))
