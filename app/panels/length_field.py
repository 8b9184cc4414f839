"""A field for a length in whatever unit the builder likes to write."""

from __future__ import annotations

from collections.abc import Callable

from app.panels.entry_field import EntryField
from app.typeset import minus
from app.units import LengthUnit, echo_length, format_length, parse_length


class LengthField(EntryField[float]):
    """One length [mm], shown in the unit of the program and read in any; `write` says how it is rounded."""

    def __init__(
        self,
        name: str,
        unit: LengthUnit,
        commit: Callable[[float], None],
        *,
        write: Callable[[float, LengthUnit], str] = format_length,
        beside: bool = False,
    ) -> None:
        super().__init__(
            name,
            lambda text: parse_length(text, self._unit),
            lambda value: minus(write(value, self._unit)),
            commit,
            unit=unit,
            beside=beside,
            echo=lambda text: echo_length(text, self._unit),
        )


class MeasuredField(EntryField[float | None]):
    """A length [mm] that may be left open; what counts then stands in grey. `write` says how it is rounded."""

    def __init__(
        self,
        name: str,
        unit: LengthUnit,
        commit: Callable[[float | None], None],
        *,
        write: Callable[[float, LengthUnit], str] = format_length,
    ) -> None:
        self._write_known = write
        super().__init__(
            name,
            self._read_length,
            self._write_length,
            commit,
            unit=unit,
            echo=lambda text: echo_length(text, self._unit),
        )

    def show_habit(self, value: float | None) -> None:
        """Show what counts as long as the field is empty [mm]."""
        self.line.setPlaceholderText("" if value is None else f"{minus(format_length(value, self._unit))} by size")

    def _read_length(self, text: str) -> float | None:
        return parse_length(text, self._unit) if text.strip() else None

    def _write_length(self, value: float | None) -> str:
        return "" if value is None else minus(self._write_known(value, self._unit))
