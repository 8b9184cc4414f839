"""Whether a vector drawing can be read without harm: what it is made of, and what it asks for."""

from __future__ import annotations

import re
from base64 import b64decode
from collections.abc import Callable
from math import inf
from typing import Final

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QXmlStreamReader

from app.files.pictures import PictureError

MOST_TOKENS: Final = 100_000
"""Elements and texts of a drawing beyond which it is not read: drawings of people have some ten thousand."""

MOST_PHOTOS: Final = 200_000_000
"""Memory that all photos in a drawing may take together [bytes]."""

MOST_DRAWN: Final = 500_000
"""Elements that are drawn, with those that are drawn again for each use of them, beyond which it is not read."""

_LINK: Final = re.compile(r"(?:href|src)", re.IGNORECASE)
_EMBEDDED: Final = re.compile(r"data:image/(?:png|jpe?g);base64,([A-Za-z0-9+/=\s]*)")
_OUTSIDE: Final = re.compile(r"url\(\s*[\"']?(?![#\s\"'])|@import", re.IGNORECASE)
"""What a style may ask for that is not in the drawing."""
_INSIDE: Final = re.compile(r"url\(\s*[\"']?#([^\"')]*)")


class _Elements:
    """The elements of a drawing as they come, and how often each is drawn."""

    def __init__(self) -> None:
        self._inside: list[list[int]] = []
        self._uses: list[list[str]] = []
        self._ids: dict[str, int] = {}
        self._open: list[int] = []

    def begin(self) -> None:
        """An element begins."""
        number = len(self._inside)
        if self._open:
            self._inside[self._open[-1]].append(number)
        self._inside.append([])
        self._uses.append([])
        self._open.append(number)

    def take(self, name: str, value: str) -> None:
        """The open element has an attribute."""
        if name == "id":
            self._ids.setdefault(value, self._open[-1])
        elif _LINK.fullmatch(name):
            self._uses[self._open[-1]].append(value[1:])
        else:
            self._uses[self._open[-1]] += _INSIDE.findall(value)

    def end(self) -> None:
        """The open element ends."""
        self._open.pop()

    def drawn(self) -> float:
        """How many elements are drawn; infinite when some use themselves."""
        known: dict[int, float] = {}
        waiting = [0] if self._inside else []
        while waiting:
            number = waiting[-1]
            needs = [*self._inside[number], *(self._ids[name] for name in self._uses[number] if name in self._ids)]
            if number not in known:
                known[number] = inf  # until all that it needs is known
                waiting += [need for need in needs if need not in known]
            else:
                known[waiting.pop()] = 1.0 + sum(known[need] for need in needs)
        return known.get(0, 0.0)


def check_vector(data: bytes, name: str, check_photo: Callable[[bytes], int]) -> None:
    """Refuse a drawing that is packed, too large, defines entities, or asks for other files.

    It is looked at by the reader that the drawing's own is made of, so that no spelling means one thing to us and
    another to it.

    Parameters
    ----------
    check_photo : callable
        Gives the memory that an embedded photo takes [bytes]; raises PictureError when it cannot be used.

    Raises
    ------
    PictureError
        With what to do.

    """
    if not data.lstrip().startswith((b"<", b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        raise PictureError(f"{name} is packed or no SVG; save it as plain SVG, or as PNG")
    buffer = QBuffer()
    buffer.setData(QByteArray(data))
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader, elements, photos, tokens = QXmlStreamReader(buffer), _Elements(), 0, 0
    while not reader.atEnd():
        kind = reader.readNext()
        tokens += 1
        photos += _token(reader, kind, elements, name, check_photo)
        if tokens > MOST_TOKENS:
            raise PictureError(f"{name} holds more than {MOST_TOKENS:,} pieces; save it as PNG")
        if photos > MOST_PHOTOS:
            raise PictureError(f"{name} holds photos that are too large together; save it as PNG")
    if reader.hasError():
        raise PictureError(f"{name} cannot be read as SVG; save it again, or as PNG")
    if elements.drawn() > MOST_DRAWN:
        raise PictureError(f"{name} draws more than {MOST_DRAWN:,} pieces; save it as PNG")


def _token(
    reader: QXmlStreamReader,
    kind: QXmlStreamReader.TokenType,
    elements: _Elements,
    name: str,
    check_photo: Callable[[bytes], int],
) -> int:
    """Memory that the photos of what was just read take [bytes]."""
    if kind is QXmlStreamReader.TokenType.StartElement:
        return _begun(reader, elements, name, check_photo)
    if kind is QXmlStreamReader.TokenType.EndElement:
        elements.end()
    elif kind is QXmlStreamReader.TokenType.Characters:
        _taken(str(reader.text()), name, check_photo, link=False)
    elif _is_foreign(reader, kind):
        raise _asks(name)
    return 0


def _is_foreign(reader: QXmlStreamReader, kind: QXmlStreamReader.TokenType) -> bool:
    """Whether what was read brings in something that stands elsewhere."""
    kinds = QXmlStreamReader.TokenType
    defines = kind is kinds.DTD and bool(reader.entityDeclarations())
    return defines or kind in {kinds.ProcessingInstruction, kinds.EntityReference}


def _begun(reader: QXmlStreamReader, elements: _Elements, name: str, check_photo: Callable[[bytes], int]) -> int:
    """Memory that the photos of an element take that begins [bytes]."""
    elements.begin()
    attributes, photos = reader.attributes(), 0
    for attribute in (attributes.at(number) for number in range(attributes.size())):
        field, value = str(attribute.name()), str(attribute.value())
        photos += _taken(value, name, check_photo, link=_LINK.fullmatch(field) is not None)
        elements.take(field, value)
    return photos


def _taken(value: str, name: str, check_photo: Callable[[bytes], int], *, link: bool) -> int:
    """Memory that what a value asks for takes [bytes]; nothing outside of the drawing is allowed."""
    if link and value and not value.startswith("#"):
        embedded = _EMBEDDED.fullmatch(value)
        if embedded is None:
            raise _asks(name)
        return check_photo(b64decode(embedded[1] + "=="))
    if _OUTSIDE.search(value):
        raise _asks(name)
    return 0


def _asks(name: str) -> PictureError:
    return PictureError(f"{name} asks for other files or defines entities; save it as plain SVG, or as PNG")
