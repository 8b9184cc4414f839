"""Values of quantities as people read them: in which unit, at which ticks, in which words."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees
from typing import Final

import numpy as np

from app.curves.quantity import Floats, Unit
from app.panels.axis import Axis, tick_text
from app.typeset import minus
from app.units import LengthUnit, fine_unit, format_angle, format_length

LEAST: Final[dict[Unit, float]] = {"mm": 6.0, "rad": 1.0, "-": 0.06, "%": 6.0}
"""Range that a plot shows at the least, as `shown` has it: less would make hills of what nobody can measure."""

ANGLE_STEPS: Final = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 45.0, 90.0)
"""Tick steps of angles [degrees]."""

NUMBER_STEPS: Final = tuple(size * 10.0**power for power in range(-4, 5) for size in (1.0, 2.0, 5.0))
"""Tick steps of plain numbers and percent."""


@dataclass(frozen=True, slots=True)
class Scale:
    """An axis for one unit; angles lie on it in degrees, all else as it is.

    Attributes
    ----------
    axis : Axis
    unit : str
        Of a quantity.
    length_unit : LengthUnit
        What lengths are read in.

    """

    axis: Axis
    unit: Unit
    length_unit: LengthUnit

    def place(self, value: float) -> float:
        """Pixel of a value in the unit of its quantity."""
        return self.axis.place(degrees(value) if self.unit == "rad" else value)

    def value(self, place: float) -> float:
        """Value at a pixel."""
        value = self.axis.length(place)
        return value * np.pi / 180.0 if self.unit == "rad" else value

    def ticks(self, room: float) -> tuple[tuple[float, str], ...]:
        """Pixels and words of ticks that stand at least `room` pixels apart."""
        step = self._step(room)
        return tuple((self.axis.place(tick), self._text(tick, step)) for tick in self.axis.ticks(step))

    def _step(self, room: float) -> float:
        if self.unit == "mm":
            return self.axis.step(self.length_unit, room)
        each = abs(self.axis.end - self.axis.start) / (self.axis.high - self.axis.low)
        steps = ANGLE_STEPS if self.unit == "rad" else NUMBER_STEPS
        return next((step for step in steps if step * each >= room), steps[-1])

    def _text(self, tick: float, step: float) -> str:
        if self.unit == "mm":
            return tick_text(tick, self.length_unit)
        digits = max(0, -int(np.floor(np.log10(step) + 1e-9)))
        return minus(f"{tick:z.{digits}f}")


def shown(values: Floats, unit: Unit) -> Floats:
    """Values as they lie on a scale."""
    return np.degrees(values) if unit == "rad" else values


def value_words(value: float, unit: Unit, length_unit: LengthUnit) -> str:
    """One value with its unit; “unknown” for NaN."""
    if not np.isfinite(value):
        return "unknown"
    if unit == "mm":
        return minus(format_length(value, fine_unit(length_unit)))
    if unit == "rad":
        return minus(format_angle(degrees(value)))
    return minus(f"{value:z.1f} %" if unit == "%" else f"{value:z.3f}")


def sign_of(unit: Unit, length_unit: LengthUnit) -> str:
    """How a unit is written in the title of an axis; empty for plain numbers."""
    return {"mm": length_unit.sign, "rad": "°", "%": "%", "-": ""}[unit]


def range_of(values: list[Floats], limits: list[float], unit: Unit) -> tuple[float, float]:
    """What a plot shows, on the scale: all values, and limits that do not press them together."""
    known = np.concatenate([each[np.isfinite(each)] for each in values]) if values else np.zeros(0)
    if not len(known):
        return 0.0, LEAST[unit] * 2.0
    low, high = float(known.min()), float(known.max())
    room = max(high - low, LEAST[unit])
    near = [limit for limit in limits if low - PRESSED * room <= limit <= high + PRESSED * room]
    low, high = min([low, *near]), max([high, *near])
    short = max(LEAST[unit] - (high - low), 0.0)
    margin = short / 2.0 + MARGIN * max(high - low, LEAST[unit])
    return low - margin, high + margin


PRESSED: Final = 1.5
"""A limit farther from the values than so many times their range stands at the edge with an arrow [-]."""

MARGIN: Final = 0.07
"""Room over and under what is shown [-]."""
