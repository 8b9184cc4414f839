"""Lengths as screen and paper set them; the command line and copied text keep to plain signs."""

from __future__ import annotations

import re
from typing import Final

_MINUS: Final = re.compile(r"(?<![\w.-])-(?=\.?\d)")
_INSIDE: Final = re.compile(r"(?<=\d) (?=\d+/\d|in\b|mm\b)")


def minus(text: str) -> str:
    """The text with a minus sign before negative numbers, which a hyphen hardly tells from others."""
    return _MINUS.sub("−", text)


def typeset(text: str) -> str:
    """As `minus`, and no line ends within a length: “3 1/4 in” broken in two reads as 3."""
    return _INSIDE.sub("\N{NO-BREAK SPACE}", minus(text))
