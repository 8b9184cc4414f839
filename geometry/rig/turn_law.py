"""How the outer wheel's turn follows from the inner one's, in closed form.

Steer s is the turn of the wheel on the side that is steered to, about its kingpin: of the left wheel in a left turn.
With f the law of the other wheel, left and right turn by (s, f(s)) for s ≥ 0 and by (−f(−s), s) for s < 0. Both laws
have f(0) = 0 and f′(0) = 1, so that both turns have slopes without a jump everywhere.

Tie rod. Let the left arm's ball be at a + b cos s + c sin s: a on the kingpin axis, b from there to the ball, c = k × b
with k the unit vector up the axis, all across k. On the right everything is mirrored, so the ball is at
M (a + b cos θ − c sin θ). The rod keeps its length ℓ = K + 2 b_y with K = 2 a_y, the distance of both feet on the
kingpin axes, and with |b| = |c| = r and b · c = 0

    A cos θ + B sin θ = C
    A = −K b_y + (r² − 2 b_y²) cos s − 2 b_y c_y sin s
    B =  K c_y + 2 b_y c_y cos s − (r² − 2 c_y²) sin s
    C = r² − 2 b_y² − 2 K b_y + K (b_y cos s + c_y sin s)

Only four numbers enter, K, b_y, c_y and r, and of these the width changes K alone, one for one.

Ackermann share. Correct steering is cot φ − cot s = K / L, K the distance of the kingpins at their places and L
the length to the line that the rig turns about, so φ = atan2(sin s, cos s + K / L sin s). With a share q of it
f = s − q (s − φ).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import radians, tan
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from geometry.rig.axle import Axle, Steering

Floats = NDArray[np.float64]

SLOWEST: Final = 0.1
"""Least f′ that counts as driven [-]: a wheel that turns a tenth as fast as the other is at its arm's dead centre,
where the rod turns it no more. Common practice, no source."""

STEP_DEG: Final = 0.1
"""Step in which a law is followed to its end [degrees]: no stop is set finer."""

FARTHEST_DEG: Final = 80.0
"""Steer to which it is followed [degrees]: the largest lock that a rig can have."""


@dataclass(frozen=True)
class TurnLaw:
    """A law of the outer wheel; see the module's formulas.

    Attributes
    ----------
    kind : str
    spread : float
        K: feet of both steering arms on the kingpins, or kingpins, apart [mm].
    first, second, third : float
        b_y, c_y and r of a tie rod [mm]; q, L [mm] and nothing of a share.

    """

    kind: Literal["tie_rod", "share"]
    spread: float
    first: float
    second: float
    third: float = 0.0

    def wider(self, change: float) -> TurnLaw:
        """The law at another width of the axle [mm]."""
        return replace(self, spread=self.spread + change)

    def outer(self, inner: ArrayLike, wider: ArrayLike = 0.0) -> tuple[Floats, Floats, Floats]:
        """f, ∂f/∂s and ∂f/∂K [rad], [-], [rad/mm] at inner turns s ≥ 0 and changes of width; nan beyond its end."""
        s, w = np.broadcast_arrays(np.asarray(inner, dtype=np.float64), np.asarray(wider, dtype=np.float64))
        law: Callable[[Floats, Floats], tuple[Floats, Floats, Floats]]
        law = self._by_rod if self.kind == "tie_rod" else self._by_share
        return law(s, self.spread + w)

    def _by_rod(self, s: Floats, spread: Floats) -> tuple[Floats, Floats, Floats]:
        b, c, r2 = self.first, self.second, self.third**2
        cos, sin = np.cos(s), np.sin(s)
        one, other, both = r2 - 2.0 * b * b, r2 - 2.0 * c * c, 2.0 * b * c
        p, q = -spread * b + one * cos - both * sin, spread * c + both * cos - other * sin
        rest = r2 - 2.0 * b * b - 2.0 * spread * b + spread * (b * cos + c * sin)
        # of both solutions the one that is s = 0, θ = 0 straight ahead: the sign of B there tells which
        root = np.copysign(np.sqrt(np.maximum(p * p + q * q - rest * rest, 0.0)), self.branch)
        turn = np.arctan2(q * rest - p * root, p * rest + q * root)
        fast = q * np.cos(turn) - p * np.sin(turn)
        by_inner = spread * (c * cos - b * sin) - (-one * sin - both * cos) * np.cos(turn)
        by_inner = by_inner - (-both * sin - other * cos) * np.sin(turn)
        by_spread = b * (cos + np.cos(turn) - 2.0) + c * (sin - np.sin(turn))
        with np.errstate(divide="ignore", invalid="ignore"):
            there = p * p + q * q >= rest * rest
            return (
                np.where(there, turn, np.nan),
                np.where(there, by_inner / fast, np.nan),
                np.where(there, by_spread / fast, np.nan),
            )

    @property
    def branch(self) -> float:
        """Sign of a tie rod's B cos θ − A sin θ straight ahead, where it is c_y (K + 2 b_y)."""
        return self.second * (self.spread + 2.0 * self.first)

    def _by_share(self, s: Floats, spread: Floats) -> tuple[Floats, Floats, Floats]:
        share, length = self.first, self.second
        sin = np.sin(s)
        along = np.cos(s) + spread / length * sin
        square = sin * sin + along * along
        correct = np.arctan2(sin, along)
        return s - share * (s - correct), 1.0 - share * (1.0 - 1.0 / square), -share * sin * sin / (square * length)

    def end(self) -> float:
        """Inner turn up to which the other wheel is driven, in steps of STEP_DEG, at most FARTHEST_DEG [degrees]."""
        steps = np.arange(1, round(FARTHEST_DEG / STEP_DEG) + 1) * STEP_DEG
        turn, rate, _ = self.outer(np.radians(steps))
        driven = (rate >= SLOWEST) & (rate <= 1.0 / SLOWEST) & (np.abs(turn) < np.pi)
        return float(steps[-1]) if driven.all() else float(steps[np.argmin(driven)] - STEP_DEG)


def meeting_turn(apart: Floats, arm: Floats, ahead: Floats, length: float, branch: float) -> Floats:
    """Turn α at which the end of an arm is a length from points; nan where it reaches none of that.

    The end is at u cos α + v sin α from its axis, so A cos α + B sin α = C with A = d · u, B = d · v and
    C = (d² + r² − ℓ²) / 2. Of both solutions `branch` tells: the sign of B where α is 0.

    Parameters
    ----------
    apart : array, shape (..., 3)
        The points d from the arm's foot on its axis [mm].
    arm, ahead : array, shape (3,)
        u and v, of the same length, across each other and across the axis [mm].
    length : float
        ℓ [mm].

    """
    a, b = apart @ arm, apart @ ahead
    c = ((apart * apart).sum(axis=-1) + float(arm @ arm) - length**2) / 2.0
    with np.errstate(invalid="ignore"):
        root = np.copysign(np.sqrt(a * a + b * b - c * c), branch)
    turn: Floats = np.arctan2(b * c - a * root, a * c + b * root)
    return turn


def kingpin_up(steering: Steering) -> Floats:
    """Unit vector up the left kingpin axis, axle's frame, shape (3,)."""
    lean: Floats = np.array([-tan(radians(steering.caster_deg)), -tan(radians(steering.inclination_deg)), 1.0])
    lean /= np.linalg.norm(lean)
    return lean


def turn_law(axle: Axle) -> TurnLaw | None:
    """The law of an axle at its own width; None = both wheels turn alike."""
    steering = axle.steering
    if steering is None:
        return None
    kingpins = axle.width + 2.0 * steering.kingpin[1]
    if steering.ackermann is not None:
        return TurnLaw("share", kingpins, steering.ackermann.share_factor, steering.ackermann.turn_length)
    if steering.tie_rod is None:
        return None
    up = kingpin_up(steering)
    offset = np.subtract(steering.tie_rod.arm, steering.kingpin)
    along = float(offset @ up)
    arm = offset - along * up
    ahead = np.cross(up, arm)
    spread = kingpins + 2.0 * along * float(up[1])
    return TurnLaw("tie_rod", spread, float(arm[1]), float(ahead[1]), float(np.linalg.norm(arm)))
