"""One cross joint, and two of them on a shaft: how unevenly they turn.

A single joint at working angle β turns its output by tan φ₂ = tan φ₁ / cos β, so that the ratio of speeds is
cos β / (1 − sin² β cos² φ) and swings between cos β and 1 / cos β twice a turn. A shaft with a joint at each end,
its own yokes in line, drives both from within: over the shaft's turn θ the ratio of output to input is

    R(θ) = [cos β₂ / (1 − sin² β₂ cos² (θ − ψ))] / [cos β₁ / (1 − sin² β₁ cos² θ)]

with ψ the angle between the planes of both joints (shaft and outer axis each). R is a quotient of two functions
a₀ + a · (cos 2θ, sin 2θ), whose extremes are the roots of (a₀ − R b₀)² = |a − R b|². Written out these are x and 1 / x
with x² − 2 (1 + q) x + 1 = 0 and

    q = [(cos β₁ − cos β₂)² + (sin ψ sin β₁ sin β₂)²] / (2 cos β₁ cos β₂),

so that the pair turns like one joint at the angle acos x. In one plane this gives cos β = cos β_max / cos β_min.

Tangent form and ratio: any text on the Hooke joint, e.g. a joint maker's notes on cross joints; "fluctuation" is
their U = 1 / cos β − cos β = tan β sin β.
"""

from __future__ import annotations

from math import asin, atan, cos, pi, sin, sqrt, tan
from typing import Final

RPM: Final = 2.0 * pi / 60.0
"""One revolution per minute [rad/s]."""

_HALVINGS: Final = 50
"""Of the range in which an angle is sought: 2⁻⁵⁰ of a right angle is rounding [-]."""


def compound_angle(plan: float, side: float) -> float:
    """Working angle from those in top and side view, both measured to the same axis: tan² C = tan² T + tan² S [rad]."""
    return atan(sqrt(tan(plan) ** 2 + tan(side) ** 2))


def fluctuation(angle: float) -> float:
    """Swing of the speed ratio of one joint, tan β sin β [-]."""
    return tan(angle) * sin(angle)


def greatest_lead(angle: float) -> float:
    """How far the output gets ahead or behind, tan Δ = (1 − cos β) / 2 √cos β [rad]."""
    return atan((1.0 - cos(angle)) / (2.0 * sqrt(cos(angle))))


def speed_ratio(angle: float, turn: float) -> float:
    """Speed of the output over that of the input, at the input's turn from where it is greatest [-]."""
    return cos(angle) / (1.0 - (sin(angle) * cos(turn)) ** 2)


def peak_acceleration(angle: float, rpm: float) -> float:
    """Greatest angular acceleration of the output at even revolutions of the input [rad/s²].

    The ratio's slope cos β sin² β sin 2φ / (1 − sin² β cos² φ)² is steepest where b c² + a c − 2b = 0 for
    c = cos 2φ, a = 1 − sin² β / 2 and b = sin² β / 2.
    """
    b = 0.5 * sin(angle) ** 2
    if b == 0.0:
        return 0.0
    a = 1.0 - b
    c = (sqrt(a * a + 8.0 * b * b) - a) / (2.0 * b)
    steepest = 2.0 * b * cos(angle) * sqrt(max(1.0 - c * c, 0.0)) / (a - b * c) ** 2
    return (rpm * RPM) ** 2 * steepest


def angle_within(acceleration: float, rpm: float) -> float:
    """Largest working angle whose peak acceleration [rad/s²] stays within the one given, at those revolutions [rad]."""
    low, high = 0.0, pi / 2.0
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if peak_acceleration(middle, rpm) <= acceleration else (low, middle)
    return low


def equivalent_angle(first: float, second: float, planes: float = 0.0) -> float:
    """Angle of the one joint that turns as unevenly as two do, their shaft's yokes in line [rad].

    Parameters
    ----------
    first, second : float
        Working angles [rad].
    planes : float
        Angle between the planes of both joints, about the shaft [rad]; a quarter turn is added when the shaft's yokes
        are crossed.

    """
    apart = (
        2.0 * sin(0.5 * (first + second)) * sin(0.5 * (first - second))
    )  # cos β₂ − cos β₁ without its loss of digits
    across = sin(planes) * sin(first) * sin(second)
    q = (apart * apart + across * across) / (2.0 * cos(first) * cos(second))
    return 2.0 * asin(sqrt(min(0.5 * (sqrt(q * (q + 2.0)) - q), 0.5)))
