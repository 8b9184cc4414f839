"""Pictures read for the screen: photos, vector drawings and pages of PDF files."""

from __future__ import annotations

from dataclasses import dataclass
from time import process_time
from typing import Final

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QImage, QImageIOHandler, QImageReader, QPainter

from app.files.pictures import PictureError

MOST_PIXELS: Final = 2400
"""Longest side of a picture in memory [pixels]: finer than a view shows it, and under 25 MB."""

LARGEST_SIDE: Final = 30_000
"""Longest side of a picture that is read [pixels]."""

PAGE_DPI: Final = 200
"""Pixels that count as an inch of a PDF page: the scale of a picture is given by pixel."""

MOST_MEMORY: Final = 210_000_000
"""Memory that a photo may take while it is read [bytes]: 52 million pixels, as the largest of usual cameras have."""

FIRST_SIDE: Final = 150
SLOW: Final = 0.25
"""A drawing is first drawn with a longer side of so many pixels, and not finer once that takes so much time [s]: each
step finer takes four times as long."""


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
    reader, buffer = _reader(data)
    size, _ = _checked(reader, name)
    is_jpeg = bytes(reader.format().data()) == b"jpeg"
    # A camera may have stored the picture on its side; its size is that of the upright one.
    on_its_side = reader.transformation().value & QImageIOHandler.Transformation.TransformationRotate90.value
    if is_jpeg:
        reader.setScaledSize(_fitted(QSizeF(size)))  # read coarser, which takes little memory
        image = reader.read()
    else:
        image = reader.read()
        alpha = image.hasAlphaChannel()
        # In place, where making it smaller would make a copy first.
        image.convertTo(QImage.Format.Format_ARGB32_Premultiplied if alpha else QImage.Format.Format_RGB32)
        if not image.isNull():
            image = image.scaled(_fitted(QSizeF(image.size())), mode=Qt.TransformationMode.SmoothTransformation)
    buffer.close()
    return Picture(image, QSizeF(size.transposed() if on_its_side else size))


def _reader(data: bytes) -> tuple[QImageReader, QBuffer]:
    """What reads a photo, and the buffer that it reads, which must live as long."""
    buffer = QBuffer()
    buffer.setData(QByteArray(data))
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    return reader, buffer


def _checked(reader: QImageReader, name: str) -> tuple[QSize, int]:
    """The size of a photo [pixels], and the memory that it takes to read it [bytes]."""
    if bytes(reader.format().data()) not in {b"png", b"jpeg"}:
        raise PictureError(f"{name} is neither PNG nor JPEG inside; save it again as one of these")
    size = reader.size()
    if not size.isValid() or max(size.width(), size.height()) > LARGEST_SIDE:
        raise PictureError(f"{name} is damaged or wider than {LARGEST_SIDE} pixels; save it again, smaller")
    deep = max(QImage.toPixelFormat(reader.imageFormat()).bitsPerPixel(), 32)
    needed = size.width() * size.height() * deep // 8
    if needed > MOST_MEMORY:
        most = MOST_MEMORY * 8 // deep // 1_000_000
        raise PictureError(f"{name} has more than {most} million pixels; save it again, smaller")
    return size, needed


def _vector(data: bytes, name: str, _page: int) -> Picture:
    from PySide6.QtSvg import QSvgRenderer

    from app.canvas.vector_check import check_vector

    def memory(photo: bytes) -> int:
        reader, _buffer = _reader(photo)
        return _checked(reader, f"a photo in {name}")[1]

    check_vector(data, name, memory)
    renderer = QSvgRenderer(QByteArray(data))
    size = renderer.viewBoxF().size() if renderer.isValid() else QSizeF()
    if size.isEmpty() or not max(size.width(), size.height()) < LARGEST_SIDE * min(size.width(), size.height()):
        raise PictureError(f"{name} cannot be read as SVG; save it again, or as PNG")
    side, image = FIRST_SIDE, QImage()
    while True:
        began = process_time()
        image = QImage(_with_side(size, side), QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(Qt.GlobalColor.transparent)
        painter = QPainter(image)
        renderer.render(painter, QRectF(image.rect()))
        painter.end()
        if side == MOST_PIXELS or process_time() - began > SLOW:
            return Picture(image, size)
        side = min(2 * side, MOST_PIXELS)


def _page(data: bytes, name: str, page: int) -> Picture:
    from app.files.pdf_page import drawn_page

    drawn = drawn_page(data, name, page, most=MOST_PIXELS, dpi=PAGE_DPI)
    formats = {3: QImage.Format.Format_BGR888, 4: QImage.Format.Format_RGB32, 1: QImage.Format.Format_Grayscale8}
    shape = drawn.page
    row = shape.columns * shape.channels
    image = QImage(drawn.pixels, shape.columns, shape.rows, row, formats[shape.channels]).copy()
    return Picture(image, QSizeF(shape.width, shape.height))


def _with_side(size: QSizeF, side: int) -> QSize:
    """A size of the same shape whose longer side is that long."""
    return (size * (side / max(size.width(), size.height()))).toSize().expandedTo(QSize(1, 1))


def _fitted(size: QSizeF) -> QSize:
    """A size of the same shape whose longer side is no longer than MOST_PIXELS."""
    return _with_side(size, round(min(max(size.width(), size.height()), MOST_PIXELS)))
