"""The pitch of a leaf spring over its travel, as a polynomial with a proved error.

The polynomial goes through exact solutions of the torque's balance T(ζ, α) = 0 (see `geometry.motion.leaf`). That it is
near them everywhere is proved cell by cell: with α the pitch that it says, T(ζ, α − δ) < 0 < T(ζ, α + δ) at every ζ of
a cell, by their forms (`geometry.motion.forms`), and so a balance lies within δ. Where arms or shackle reach no further
a form has no bound, so that they are proved to reach as well. Rounding is not enclosed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.polynomial import chebyshev

from geometry.motion.forms import Form, arc_sine, bearing, cosine, inverse, root, sine
from geometry.motion.leaf import Floats, Leaves, Place, SideView, side_view
from geometry.tolerances import TRAVEL_FOUND

LAW_DEGREES: Final = (16, 24, 32)
"""Degrees of the polynomial sin α(ζ) that are tried [-]."""

LAW: Final = 1e-8
"""Error of that polynomial that is good enough [rad]: with any lever far under POSE."""

_BOUNDS: Final = (1e-8, 1e-7, 1e-6)
"""Errors that are tried to be proved, the least first [rad]."""

_RANGE_POINTS: Final = 16
"""Points over the degree from which the range of a law is taken [-]: half a per cent over it at most."""

_CELLS: Final = (2_000, 8_000, 32_000)
"""Cells of travel in which that is tried [-]: forms are of second order, so that they get better fast."""


@dataclass(frozen=True)
class Law:
    """sin α of one spring over the height of the axle's line above it.

    Attributes
    ----------
    coefficients : array, shape (degree + 1,)
        Of Chebyshev polynomials in (travel − middle) / half.
    middle, half : float
        [mm]
    error : float
        Proved bound of how far it is off [rad], and so of its own error; infinite = not established.

    """

    coefficients: Floats
    middle: float
    half: float
    error: float

    def at(self, travel: Floats) -> Floats:
        """Values at travels of any shape."""
        return np.asarray(chebyshev.chebval((travel - self.middle) / self.half, self.coefficients))

    def slope(self, travel: Floats) -> Floats:
        """Derivatives [1/mm]."""
        steeper = chebyshev.chebder(self.coefficients) / self.half
        return np.asarray(chebyshev.chebval((travel - self.middle) / self.half, steeper))


@lru_cache(maxsize=64)
def pitch_law(leaves: Leaves, centre: Place, low: float, high: float) -> Law:
    """The law over travels of the axle's line above a spring; coefficients are nan where there is no such pitch."""
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    view = side_view(leaves, centre)

    def exact(travel: Floats) -> Floats:
        found: Floats = np.sin(view.free_pitch(travel) + leaves.wind_up)
        return found

    law = Law(np.zeros(1), middle, half, np.inf)
    for degree in LAW_DEGREES:
        points = np.cos((np.arange(degree + 1) + 0.5) * np.pi / (degree + 1))
        coefficients = chebyshev.chebvander(points, degree).T @ exact(middle + half * points) * (2.0 / len(points))
        coefficients[0] /= 2.0
        law = Law(coefficients, middle, half, np.inf)
        if not np.isfinite(coefficients).all():
            break
        law = replace(law, error=_proved(law, view, leaves.wind_up))
        if law.error <= LAW:
            break
    return law


def shared_wind_up(law: Law) -> float:
    """How far the axle, being rigid, winds either spring at the most when its wheels are crossed [rad], proved.

    It is half of what the pitches of both springs differ by, and so of the law's range. The polynomial's range is
    taken from its values on Chebyshev points (H. Ehlich and K. Zeller, Mathematische Zeitschrift 86, 1964).
    """
    degree = max(len(law.coefficients) - 1, 1)
    count = _RANGE_POINTS * degree
    values = np.arcsin(chebyshev.chebval(np.cos((np.arange(count) + 0.5) * np.pi / count), law.coefficients))
    half = 0.5 * (float(values.max()) - float(values.min()))
    # asin is steeper than its argument by 1 / cos of the largest pitch
    slack = (1.0 / np.cos(degree * np.pi / (2 * count)) - 1.0) / np.cos(float(np.abs(values).max()))
    return float(half * (1.0 + slack) + law.error)


def _proved(law: Law, view: SideView, wind_up: float) -> float:
    """The least of the bounds that can be proved [rad]; infinite = none."""
    for bound in _BOUNDS:
        for count in _CELLS:
            middle = law.middle + law.half * ((2.0 * np.arange(count) + 1.0) / count - 1.0)
            size = np.full((count, 1), law.half / count)
            travel = Form(middle, np.ones((count, 1)), np.zeros(count), size)
            pitch = arc_sine(_law_form(law, travel)) - wind_up
            with np.errstate(all="ignore"):
                under, over = (_torque(view, travel, pitch + step) for step in (-bound, bound))
                if bool((np.maximum(under.high, -over.low) < 0.0).all()):
                    return bound
    return np.inf


def _law_form(law: Law, travel: Form) -> Form:
    bend = np.abs(chebyshev.chebder(law.coefficients, m=2, scl=1.0 / law.half)).sum()
    rest = 0.5 * bend * travel.size[:, 0] ** 2
    return Form(law.at(travel.value), law.slope(travel.value)[:, None], rest, travel.size)


def _torque(view: SideView, travel: Form, pitch: Form) -> Form:
    """`SideView.torque` as a form."""
    c, s = cosine(pitch), sine(pitch)
    (x, z), (u, w) = view.fixed_arm, view.shackle_arm
    first, second = (c * x - s * z, s * x + c * z), (c * u - s * w, s * u + c * w)
    rod, other = view.rods
    drop = travel + first[1] + (view.centre[1] - view.fixed_eye[1])
    reach = root(float(rod @ rod) - drop * drop) * float(np.sign(rod[0]))
    rate = first[0] * inverse(reach)
    pivot = (reach - first[0] + second[0] + view.fixed_eye[0], travel + second[1] + view.centre[1])
    moved = (first[1] - drop * rate - second[1], second[0])
    shackle = np.subtract(view.shackle_eye, view.shackle_pivot)
    link, hanging = _eye(view, pivot, float(shackle @ shackle))
    turning = link[0] * hanging[1] - link[1] * hanging[0]
    other_rate = -(moved[0] * hanging[0] + moved[1] * hanging[1]) * inverse(turning)
    turns = (_turned(rod, (reach, drop)) - pitch, _turned(other, link) - pitch)
    held = [turn * k + m for turn, k, m in zip(turns, view.stiffness, view.moments, strict=True)]
    return held[0] * (rate - 1.0) + held[1] * (other_rate - 1.0)


def _eye(view: SideView, pivot: tuple[Form, Form], square: float) -> tuple[tuple[Form, Form], tuple[Form, Form]]:
    """From the shackle arm's pivot and from the shackle's to the eye; `square` of the shackle's length."""
    rod = view.rods[1]
    ride = np.subtract(view.shackle_eye, view.shackle_pivot) - rod
    shackle = np.subtract(view.shackle_eye, view.shackle_pivot)
    side = float(np.sign(ride[0] * shackle[1] - ride[1] * shackle[0]))
    way = (pivot[0] - view.shackle_pivot[0], pivot[1] - view.shackle_pivot[1])
    per = inverse(way[0] * way[0] + way[1] * way[1])
    along = per * ((square - float(rod @ rod)) / 2.0) + 0.5
    aside = root(per * square - along * along) * side
    hanging = (along * way[0] - aside * way[1], along * way[1] + aside * way[0])
    return (hanging[0] - way[0], hanging[1] - way[1]), hanging


def _turned(ride: Floats, now: tuple[Form, Form]) -> Form:
    """Angle from where a rod is at ride height to where it is, forward to up."""
    x, z = float(ride[0]), float(ride[1])
    return bearing(now[1] * x - now[0] * z, now[0] * x + now[1] * z)


def law_end(leaves: Leaves, centre: Place, low: float, high: float) -> float:
    """Travel nearest to ride height, within low and high, at which a spring's rods reach no further [mm]."""
    view, ends = side_view(leaves, centre), [np.inf]
    for far in (low, high):
        good, bad = 0.0, 1.0
        if np.isfinite(view.free_pitch(far * np.linspace(0.0, 1.0, 33))).all():
            continue
        while (bad - good) * abs(far) > TRAVEL_FOUND:
            middle = 0.5 * (good + bad)
            reached = bool(np.isfinite(view.free_pitch(far * middle * np.linspace(0.0, 1.0, 9))).all())
            good, bad = (middle, bad) if reached else (good, middle)
        ends.append(far * bad)
    nearest = min(ends, key=abs)
    return nearest if np.isfinite(nearest) else 0.0
