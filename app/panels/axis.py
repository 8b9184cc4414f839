"""A scale between lengths and pixels, with ticks at round numbers of the unit shown."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import Final

from app.typeset import minus
from app.units import LengthUnit, format_length
from geometry.rig.wheel import INCH

INCH_STEPS: Final = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 10.0, 20.0, 50.0)
"""Tick steps on inch scales [in]: what a tape shows, then round numbers."""

MM_STEPS: Final = (1.0, 2.0, 5.0, 10.0, 25.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
"""Tick steps on metric scales [mm]."""


@dataclass(frozen=True, slots=True)
class Axis:
    """Lengths `low` to `high` [mm] drawn from pixel `start` to pixel `end`."""

    low: float
    high: float
    start: float
    end: float

    def place(self, length: float) -> float:
        """Pixel of a length [mm]."""
        return self.start + (length - self.low) * (self.end - self.start) / (self.high - self.low)

    def length(self, place: float) -> float:
        """Length [mm] at a pixel."""
        return self.low + (place - self.start) * (self.high - self.low) / (self.end - self.start)

    def step(self, unit: LengthUnit, room: float) -> float:
        """Smallest round step [mm] whose ticks stand at least `room` pixels apart."""
        each_mm = abs(self.end - self.start) / (self.high - self.low)
        steps = MM_STEPS if unit is LengthUnit.MM else tuple(step * INCH for step in INCH_STEPS)
        return next((step for step in steps if step * each_mm >= room), steps[-1])

    def ticks(self, step: float) -> tuple[float, ...]:
        """Multiples of `step` on the axis [mm]."""
        return tuple(k * step for k in range(ceil(self.low / step - 1e-9), floor(self.high / step + 1e-9) + 1))


def tick_text(length: float, unit: LengthUnit) -> str:
    """A round length as a scale shows it: without unit, which stands in the scale's title."""
    text = format_length(length, unit).removesuffix(unit.sign).strip()
    return minus(text.rstrip("0").rstrip(".") if "." in text else text)
