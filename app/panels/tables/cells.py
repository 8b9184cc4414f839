"""How each kind of value stands in a cell: shown rounded, copied exactly, read as everywhere."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from app.units import LengthUnit, exact_length, fine_unit, format_angle, format_length, parse_angle, parse_length

LOOPS: Final = "/"
"""Between the facets of a panel."""

YES: Final = frozenset({"yes", "y", "true", "1", "x"})
NO: Final = frozenset({"no", "n", "false", "0", ""})
"""What is read as yes and as no, whatever its case."""

_IMAGE_MARKS: Final = str.maketrans(dict.fromkeys("’‘′´`", "'"))
_BETWEEN_NODES: Final = re.compile(r"[\s,]+")


@dataclass(frozen=True, slots=True)
class Cell:
    """One kind of value.

    Attributes
    ----------
    show : callable
        Text on screen, without its unit, which the heading gives or `sign`.
    exact : callable
        Text that reads back to the very same value.
    read : callable
        Value of a text; ValueError with a sentence for the builder when it says none.
    sign : callable
        What stands behind the shown text: “in”; empty for words.

    """

    show: Callable[[Any, LengthUnit], str]
    exact: Callable[[Any, LengthUnit], str]
    read: Callable[[str, LengthUnit], Any]
    sign: Callable[[LengthUnit], str]

    @property
    def is_number(self) -> bool:
        """Whether it is set to the right, and sorted by size."""
        return bool(self.sign(LengthUnit.MM))


def _length(fine: bool) -> Cell:
    def show(mm: float, unit: LengthUnit) -> str:
        unit = fine_unit(unit) if fine else unit
        return format_length(mm, unit).removesuffix(f" {unit.sign}")

    return Cell(show, exact_length, parse_length, lambda unit: unit.sign)


def _open(cell: Cell) -> Cell:
    """The same, but it may be left empty."""
    return Cell(
        lambda value, unit: "" if value is None else cell.show(value, unit),
        lambda value, unit: "" if value is None else cell.exact(value, unit),
        lambda text, unit: cell.read(text, unit) if text.strip() else None,
        cell.sign,
    )


def _words(show: Callable[[Any], str], read: Callable[[str], Any]) -> Cell:
    return Cell(
        lambda value, _unit: show(value), lambda value, _unit: show(value), lambda t, _unit: read(t), lambda _unit: ""
    )


def _read_nodes(text: str) -> tuple[str, ...]:
    """Node references from “a b' c”, with commas or blanks between them and any kind of apostrophe."""
    return tuple(ref for ref in _BETWEEN_NODES.split(text.translate(_IMAGE_MARKS)) if ref)


def _read_loops(text: str) -> tuple[tuple[str, ...], ...]:
    return tuple(loop for loop in map(_read_nodes, text.split(LOOPS)) if loop)


def _read_yes(text: str) -> bool:
    plain = text.strip().lower()
    if plain not in YES | NO:
        raise ValueError(f"“{text.strip()}” is neither yes nor no; write one of these two")
    return plain in YES


def _read_facing(text: str) -> str:
    plain = text.strip().lower()
    if plain not in {"forward", "rearward"}:
        raise ValueError(f"“{text.strip()}” is no direction; write forward or rearward")
    return plain


TEXT: Final = _words(str, str.strip)
NODES: Final = _words(" ".join, _read_nodes)
FACETS: Final = _words(lambda loops: f" {LOOPS} ".join(map(" ".join, loops)), _read_loops)
YES_NO: Final = _words(lambda value: "yes" if value else "no", _read_yes)
FACING: Final = _words(str, _read_facing)
LENGTH: Final = _length(fine=False)
FINE: Final = _length(fine=True)
OPEN_LENGTH: Final = _open(LENGTH)
ANGLE: Final = Cell(
    lambda value, _unit: format_angle(value).removesuffix("°"),
    lambda value, _unit: f"{value:z.15g}" if float(f"{value:.15g}") == value else repr(value),
    lambda text, _unit: parse_angle(text),
    lambda _unit: "°",
)
