"""Quantities over cells of poses: value and slope in the middle, and a bound of all that is left.

In a cell |uⱼ| ≤ dⱼ round its middle a form stands for every x with |x − (value + Σ slopeⱼ uⱼ)| ≤ rest. Sums are exact,
and whatever is not linear adds a bound of its second order to the rest:

* a product, (x₀ + ξ)(y₀ + η): |ξ| |η|,
* a function g of one variable: ½ max |g″| |ξ|²,
* a length |v|: with n along v₀, n·v from below, and n·v + |v⊥|² / 2 n·v from above,

with |ξ| ≤ Σ |slopeⱼ| dⱼ + rest. So a form tends to the quantity with the square of the cell (a Taylor model of first
order: K. Makino and M. Berz, International Journal of Pure and Applied Mathematics 4, 2003). Rounding is not enclosed.

Where there is no bound the rest is infinite, or, after an infinite one has met a zero, not a number: both mean that
nothing is known. Callers let numpy pass over it in silence (`np.errstate`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_TINY: Final = 1e-60
"""In place of a length that is zero where one is divided by; the direction is zero then, too."""


@dataclass(frozen=True, eq=False)
class Form:
    """One quantity in n cells; arrays of components, as of a vector, have their axes behind the first.

    Attributes
    ----------
    value, rest : array, shape (n, ...)
    slope : array, shape (n, ..., k)
        Derivatives by the k freedoms.
    size : array, shape (n, k)
        Half the cells' extents dⱼ.

    """

    value: Floats
    slope: Floats
    rest: Floats
    size: Floats
    __array_ufunc__: ClassVar[None] = None  # arrays before an operator leave it to the form

    @property
    def swing(self) -> Floats:
        """Bound of how far the quantity gets from `value` within the cell, shape (n, ...)."""
        return self.linear_swing + self.rest

    @property
    def linear_swing(self) -> Floats:
        """The part of it that the slopes alone make."""
        size = self.size.reshape(len(self.size), *(1,) * (self.value.ndim - 1), -1)
        return np.asarray((np.abs(self.slope) * size).sum(axis=-1))

    @property
    def low(self) -> Floats:
        """No pose of the cell has a smaller value."""
        return np.asarray(self.value - self.swing)

    @property
    def high(self) -> Floats:
        """No pose of the cell has a larger value."""
        return np.asarray(self.value + self.swing)

    def __add__(self, other: Form | Floats | float) -> Form:
        if not isinstance(other, Form):
            return Form(self.value + other, self.slope, self.rest, self.size)
        return Form(self.value + other.value, self.slope + other.slope, self.rest + other.rest, self.size)

    def __neg__(self) -> Form:
        return Form(-self.value, -self.slope, self.rest, self.size)

    def __sub__(self, other: Form | Floats | float) -> Form:
        return self + -other

    def __rsub__(self, other: Floats | float) -> Form:
        return -self + other

    def __mul__(self, other: Form | Floats | float) -> Form:
        if not isinstance(other, Form):
            factor = np.asarray(other, dtype=np.float64)
            return Form(self.value * factor, self.slope * factor[..., None], self.rest * np.abs(factor), self.size)
        value = self.value * other.value
        slope = self.value[..., None] * other.slope + other.value[..., None] * self.slope
        rest = np.abs(self.value) * other.rest + np.abs(other.value) * self.rest + self.swing * other.swing
        return Form(value, slope, rest, self.size)

    def part(self, index: int) -> Form:
        """One component of a vector."""
        return Form(self.value[..., index], self.slope[..., index, :], self.rest[..., index], self.size)


def constant(values: Floats, like: Form) -> Form:
    """What does not change with the pose, spread over the cells of another form; values of shape (...)."""
    value = np.broadcast_to(values, (len(like.size), *np.shape(values)))
    return Form(value, np.zeros((*value.shape, like.size.shape[1])), np.zeros(value.shape), like.size)


def dot(one: Form, other: Form | Floats) -> Form:
    """Scalar product of two vectors, of the same cells or one of them fixed."""
    product = one * other
    return Form(product.value.sum(axis=-1), product.slope.sum(axis=-2), product.rest.sum(axis=-1), one.size)


def cross(one: Form, other: Form) -> Form:
    """Vector product."""
    parts = [one.part(i) * other.part(j) - one.part(j) * other.part(i) for i, j in ((1, 2), (2, 0), (0, 1))]
    return Form(
        np.stack([part.value for part in parts], axis=-1),
        np.stack([part.slope for part in parts], axis=-2),
        np.stack([part.rest for part in parts], axis=-1),
        one.size,
    )


def length(vector: Form) -> Form:
    """Length of a vector; where it vanishes the form is only of first order."""
    value = np.linalg.norm(vector.value, axis=-1)
    along = vector.value / np.maximum(value, _TINY)[..., None]
    straight = dot(vector, along)
    across = vector - Form(
        straight.value[..., None] * along,
        straight.slope[..., None, :] * along[..., None],
        np.zeros_like(vector.rest),
        vector.size,
    )
    change = np.linalg.norm(vector.swing, axis=-1)
    shortest = value - straight.swing
    bend = np.square(np.linalg.norm(across.swing, axis=-1)) / (2.0 * np.maximum(shortest, _TINY))
    rest = straight.rest + np.where(shortest > 0.0, np.minimum(bend, 2.0 * change), 2.0 * change)
    return Form(value, straight.slope, rest, vector.size)


def inverse(form: Form) -> Form:
    """1 / x; without bound where x may vanish."""
    least = np.abs(form.value) - form.swing
    bend = np.where(least > 0.0, form.swing**2 / np.maximum(least, _TINY) ** 3, np.inf)
    value = 1.0 / np.where(np.abs(form.value) < _TINY, _TINY, form.value)
    square = value * value
    return Form(value, -square[..., None] * form.slope, square * form.rest + bend, form.size)


def unit(vector: Form) -> Form:
    """Unit vector along a vector."""
    factor = inverse(length(vector))
    spread = Form(factor.value[..., None], factor.slope[..., None, :], factor.rest[..., None], factor.size)
    return vector * spread


def angle(one: Form, other: Form) -> Form:
    """Angle between two directions, 0 to π [rad], from |u − v| = 2 sin(θ / 2) and |u + v| = 2 cos(θ / 2).

    Unlike the arc cosine of the product it does not lose digits where both are nearly parallel.
    """
    u, v = unit(one), unit(other)
    half_way = np.linalg.norm(u.value - v.value, axis=-1) > np.linalg.norm(u.value + v.value, axis=-1)
    sign = np.where(half_way, -1.0, 1.0)
    chord = length(u - v * np.broadcast_to(sign[..., None], v.value.shape))
    arc = _double_arc(chord)
    value = np.where(half_way, np.pi - arc.value, arc.value)
    return Form(value, arc.slope * sign[..., None], np.minimum(arc.rest, np.pi), arc.size)


def _double_arc(chord: Form) -> Form:
    """2 asin(x / 2): slope 1 / √(1 − x²/4), second derivative x / 4 (1 − x²/4)^1.5, which rises with x."""
    root = np.sqrt(np.maximum(1.0 - chord.value**2 / 4.0, _TINY))
    most = np.minimum(chord.high, 2.0)
    steepest = np.maximum(1.0 - most**2 / 4.0, 0.0)
    bend = np.where(steepest > 0.0, most / (8.0 * np.maximum(steepest, _TINY) ** 1.5), np.inf)
    rest = chord.rest / root + bend * chord.swing**2
    return Form(2.0 * np.arcsin(np.minimum(chord.value / 2.0, 1.0)), chord.slope / root[..., None], rest, chord.size)


def bearing(up: Form, along: Form) -> Form:
    """atan2(up, along), within π of its value in the middle [rad]; its Hessian's norm is 1 / r²."""
    square = up.value**2 + along.value**2
    radius = np.sqrt(square)
    change = np.hypot(up.swing, along.swing)
    least = radius - change
    safe = np.maximum(square, _TINY)
    bend = np.where(least > 0.0, 0.5 * change**2 / np.maximum(least, _TINY) ** 2, np.inf)
    rest = (np.abs(along.value) * up.rest + np.abs(up.value) * along.rest) / safe + bend
    slope = (along.value[..., None] * up.slope - up.value[..., None] * along.slope) / safe[..., None]
    return Form(np.arctan2(up.value, along.value), slope, np.minimum(rest, 2.0 * np.pi), up.size)


def arc_sine(form: Form) -> Form:
    """asin x, x within ±1 [rad]: slope 1 / √(1 − x²), second derivative x / (1 − x²)^1.5."""
    root = np.sqrt(np.maximum(1.0 - form.value**2, _TINY))
    most = np.minimum(np.abs(form.value) + form.swing, 1.0)
    steepest = np.maximum(1.0 - most**2, 0.0)
    bend = np.where(steepest > 0.0, most / (2.0 * np.maximum(steepest, _TINY) ** 1.5), np.inf)
    rest = np.minimum(form.rest / root + bend * form.swing**2, np.pi)
    return Form(np.arcsin(np.clip(form.value, -1.0, 1.0)), form.slope / root[..., None], rest, form.size)


def root(form: Form) -> Form:
    """√x: slope 1 / 2√x, second derivative −1 / 4 x^1.5; without bound where x may be zero."""
    least = form.value - form.swing
    bend = np.where(least > 0.0, form.swing**2 / (8.0 * np.maximum(least, _TINY) ** 1.5), np.inf)
    value = np.sqrt(np.maximum(form.value, _TINY))
    return Form(value, form.slope / (2.0 * value[..., None]), form.rest / (2.0 * value) + bend, form.size)


def sine(form: Form) -> Form:
    """sin x: its second derivative is within ±1."""
    value, slope = np.sin(form.value), np.cos(form.value)
    rest = np.abs(slope) * form.rest + 0.5 * form.swing**2
    return Form(value, slope[..., None] * form.slope, rest, form.size)


def cosine(form: Form) -> Form:
    """cos x."""
    return sine(form + np.pi / 2.0)
