"""Numbers that may be unknown, and then say for want of what."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import fsum


@dataclass(frozen=True, slots=True)
class Amount:
    """A number, as a rule a length [mm] or an angle [rad], or what is missing to tell it.

    Attributes
    ----------
    value : float or None
        None = unknown.
    missing : tuple of str
        Places of the values that nobody gave, as in ``axles/rear/build/left/end_addition``; empty = known.

    """

    value: float | None
    missing: tuple[str, ...] = ()

    def __add__(self, other: Amount) -> Amount:
        return total((self, other))

    def __sub__(self, other: Amount) -> Amount:
        return total((self, -other))

    def __neg__(self) -> Amount:
        return self.turned_into(lambda value: -value)

    def turned_into(self, formula: Callable[[float], float]) -> Amount:
        """What a formula makes of the value; unknown stays unknown."""
        return self if self.value is None else Amount(formula(self.value))


def given(value: float | None, place: str) -> Amount:
    """What the builder wrote at a place of the rig, or that it is missing there."""
    return Amount(value) if value is not None else Amount(None, (place,))


def total(amounts: Iterable[Amount]) -> Amount:
    """The sum, unknown if one of the amounts is."""
    parts = tuple(amounts)
    values = [part.value for part in parts if part.value is not None]
    if len(values) == len(parts):
        return Amount(fsum(values))
    return Amount(None, missing_of(parts))


def worked_out(formula: Callable[..., float], *amounts: Amount) -> Amount:
    """What a formula makes of the values of some amounts, unknown if one of them is."""
    values = [amount.value for amount in amounts]
    return Amount(None, missing) if (missing := missing_of(amounts)) else Amount(formula(*values))


def missing_of(amounts: Iterable[Amount]) -> tuple[str, ...]:
    """Everything that is missing to some amounts, each once."""
    return tuple(dict.fromkeys(place for amount in amounts for place in amount.missing))
