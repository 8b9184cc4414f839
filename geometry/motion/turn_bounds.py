"""How fast the outer wheel's turn changes at most, over every steer and width: proved, for the search rests on it.

Steer and width are cut into cells. In each the derivatives of f (see `geometry.rig.turn_law`) are taken in interval
arithmetic, so that what comes out holds in all of the cell. The share's are explicit. The tie rod's follow from
F = C − A cos θ − B sin θ = 0,

    θᵢ = −Fᵢ / F_θ,    θᵢⱼ = −(Fᵢⱼ + F_θᵢ θⱼ + F_θⱼ θᵢ + F_θθ θᵢ θⱼ) / F_θ,

once θ itself is enclosed: if within a way δ of its value in the cell's middle its slopes cannot carry it over the cell
by more than δ, it stays within δ, for it is continuous. Rounding is not enclosed; it is about 1e-15.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.rig.turn_law import TurnLaw

Floats = NDArray[np.float64]

STEERS: Final = 160
"""Cells along the steer [-]: bounds are then a few per cent over the largest value."""

WIDTHS: Final = 8
"""Cells along the width [-]."""

_TRIES: Final = 4
"""How often the way within which the turn is looked for is widened [-]."""


@dataclass(frozen=True)
class TurnBounds:
    """Bounds on the slopes of both wheels' turns by steer s and width w, everywhere.

    Attributes
    ----------
    by_steer : float
        |θₛ| [-].
    by_steer_twice : float
        |θₛₛ| [1/rad].
    by_width, by_both, by_width_twice : float
        |θ_w| [rad/mm], |θₛ_w| [1/mm], |θ_w_w| [rad/mm²].

    """

    by_steer: float = 1.0
    by_steer_twice: float = 0.0
    by_width: float = 0.0
    by_both: float = 0.0
    by_width_twice: float = 0.0


@lru_cache(maxsize=64)
def turn_bounds(law: TurnLaw | None, most: float, reach: float) -> TurnBounds | None:
    """Bounds over steers of at most `most` [rad] and changes of width within ± reach [mm]; None = cannot be proved.

    The inner wheel turns as it is steered; over s = 0, where the law passes from one wheel to the other, slopes have no
    jump, so that bounds on the second ones hold across it.
    """
    if law is None:
        return TurnBounds()
    if most <= 0.0:
        return TurnBounds()
    count = WIDTHS if reach > 0.0 else 1
    half_s, half_w = most / STEERS / 2.0, reach / count
    middle_s, middle_w = np.meshgrid(
        half_s * (2.0 * np.arange(STEERS) + 1.0), half_w * (2.0 * np.arange(count) + 1.0) - reach, indexing="ij"
    )
    s, w = _Range.round(middle_s.ravel(), half_s), _Range.round(law.spread + middle_w.ravel(), half_w)
    with np.errstate(over="ignore", invalid="ignore"):  # beside a dead centre slopes are without bounds
        slopes = _rod_slopes(law, s, w) if law.kind == "tie_rod" else _share_slopes(law, s, w)
    if slopes is None:
        return None
    sizes = [float(np.maximum(np.abs(each.low), np.abs(each.high)).max()) for each in slopes]
    if not all(size < inf for size in sizes):
        return None
    return TurnBounds(max(1.0, sizes[0]), *sizes[1:])


@dataclass(frozen=True)
class _Range:
    """Intervals, shape (n,), with the arithmetic of Moore's."""

    low: Floats
    high: Floats

    @staticmethod
    def round(middle: Floats, half: float | Floats) -> _Range:
        return _Range(middle - half, middle + half)

    def __add__(self, other: _Range | float) -> _Range:
        if isinstance(other, _Range):
            return _Range(self.low + other.low, self.high + other.high)
        return _Range(self.low + other, self.high + other)

    def __neg__(self) -> _Range:
        return _Range(-self.high, -self.low)

    def __sub__(self, other: _Range | float) -> _Range:
        return self + (-other)

    def __mul__(self, other: _Range | float) -> _Range:
        if isinstance(other, _Range):
            ends = np.stack(
                [self.low * other.low, self.low * other.high, self.high * other.low, self.high * other.high]
            )
            return _Range(ends.min(axis=0), ends.max(axis=0))
        low, high = self.low * other, self.high * other
        return _Range(np.minimum(low, high), np.maximum(low, high))

    def over(self, other: _Range) -> _Range:
        """Quotient; infinite where the divisor may be zero."""
        through = (other.low <= 0.0) & (other.high >= 0.0)
        with np.errstate(divide="ignore"):
            inverse = _Range(
                np.where(through, -inf, 1.0 / np.where(through, 1.0, other.high)),
                np.where(through, inf, 1.0 / np.where(through, 1.0, other.low)),
            )
        with np.errstate(invalid="ignore"):
            found = self * inverse
        return _Range(np.nan_to_num(found.low, nan=-inf), np.nan_to_num(found.high, nan=inf))

    def cos(self) -> _Range:
        """Cosine: of both ends, and of the multiples of π between them."""
        at_low, at_high = np.cos(self.low), np.cos(self.high)
        full = np.floor(self.high / (2.0 * np.pi)) >= np.ceil(self.low / (2.0 * np.pi))
        half = np.floor((self.high - np.pi) / (2.0 * np.pi)) >= np.ceil((self.low - np.pi) / (2.0 * np.pi))
        return _Range(
            np.where(half, -1.0, np.minimum(at_low, at_high)), np.where(full, 1.0, np.maximum(at_low, at_high))
        )

    def sin(self) -> _Range:
        """Sine."""
        return _Range(self.low - np.pi / 2.0, self.high - np.pi / 2.0).cos()

    def size(self) -> Floats:
        """Largest absolute value."""
        return np.maximum(np.abs(self.low), np.abs(self.high))


_Slopes = tuple[_Range, _Range, _Range, _Range, _Range]


def _share_slopes(law: TurnLaw, s: _Range, spread: _Range) -> _Slopes:
    """fₛ, fₛₛ, f_w, fₛ_w, f_w_w of s − q (s − φ), with m = K / L and φₛ = 1 / N, φₘ = −sin² s / N."""
    share, per = law.first, 1.0 / law.second
    sin, cos, slope = s.sin(), s.cos(), spread * per
    along = cos + slope * sin
    square = sin * sin + along * along
    by_steer = (sin * cos + along * (slope * cos - sin)) * 2.0
    by_slope = along * sin * 2.0
    one = _Range(np.ones_like(s.low), np.ones_like(s.low))
    rate, twice, area = one.over(square), one.over(square * square), sin * sin
    return (
        (rate * share) + (1.0 - share),
        by_steer * twice * -share,
        area * rate * (-share * per),
        by_slope * twice * (-share * per),
        area * by_slope * twice * (share * per * per),
    )


def _rod_slopes(law: TurnLaw, s: _Range, spread: _Range) -> _Slopes | None:
    """The same of the tie rod's law; None where the turn cannot be enclosed."""
    middle_s, middle_w = (s.low + s.high) / 2.0, (spread.low + spread.high) / 2.0 - law.spread
    half_s, half_w = (s.high - s.low) / 2.0, (spread.high - spread.low) / 2.0
    turn, by_steer, by_width = law.outer(middle_s, middle_w)
    if not (np.isfinite(turn).all() and np.isfinite(by_steer).all()):
        return None
    way = np.abs(by_steer) * half_s + np.abs(by_width) * half_w
    for _ in range(_TRIES):
        room = 1.5 * way + 1e-12
        first = _first_slopes(law, s, spread, _Range.round(turn, room))
        way = first[0].size() * half_s + first[1].size() * half_w
        if bool(np.all(way <= room)):
            return _second_slopes(law, s, spread, _Range.round(turn, way))
        if not np.isfinite(way).all():
            return None
    return None


def _first_slopes(law: TurnLaw, s: _Range, spread: _Range, turn: _Range) -> tuple[_Range, _Range, _Range]:
    """θₛ and θ_w, and F_θ."""
    b, c, r2 = law.first, law.second, law.third**2
    one, other, both = r2 - 2.0 * b * b, r2 - 2.0 * c * c, 2.0 * b * c
    cos, sin, over, across = s.cos(), s.sin(), turn.cos(), turn.sin()
    by_turn = -(_second_arm(law, s, spread) * over - _first_arm(law, s, spread) * across)
    by_steer = spread * (cos * c - sin * b) + (sin * one + cos * both) * over + (sin * both + cos * other) * across
    by_width = cos * b + sin * c + over * b - across * c - 2.0 * b
    return -by_steer.over(by_turn), -by_width.over(by_turn), by_turn


def _first_arm(law: TurnLaw, s: _Range, spread: _Range) -> _Range:
    b, c, r2 = law.first, law.second, law.third**2
    return spread * -b + s.cos() * (r2 - 2.0 * b * b) - s.sin() * (2.0 * b * c)


def _second_arm(law: TurnLaw, s: _Range, spread: _Range) -> _Range:
    b, c, r2 = law.first, law.second, law.third**2
    return spread * c + s.cos() * (2.0 * b * c) - s.sin() * (r2 - 2.0 * c * c)


def _second_slopes(law: TurnLaw, s: _Range, spread: _Range, turn: _Range) -> _Slopes:
    b, c, r2 = law.first, law.second, law.third**2
    one, other, both = r2 - 2.0 * b * b, r2 - 2.0 * c * c, 2.0 * b * c
    cos, sin, over, across = s.cos(), s.sin(), turn.cos(), turn.sin()
    steer, width, by_turn = _first_slopes(law, s, spread, turn)
    by_turn_twice = _first_arm(law, s, spread) * over + _second_arm(law, s, spread) * across
    first, second = sin * -one - cos * both, cos * other + sin * both  # Aₛ and −Bₛ
    turn_steer = first * across + second * over
    turn_width = across * -b - over * c
    steer_steer = spread * -(cos * b + sin * c) + (cos * one - sin * both) * over + (cos * both - sin * other) * across
    steer_width = cos * c - sin * b
    return (
        steer,
        -(steer_steer + turn_steer * steer * 2.0 + by_turn_twice * steer * steer).over(by_turn),
        width,
        -(steer_width + turn_steer * width + turn_width * steer + by_turn_twice * steer * width).over(by_turn),
        -(turn_width * width * 2.0 + by_turn_twice * width * width).over(by_turn),
    )
