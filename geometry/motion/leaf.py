"""A pair of leaf springs as what locates an axle: the published three-link model, and what the axle makes of two.

One spring, in its own plane
----------------------------
A rod from the fixed eye to a pivot on the seat, the seat, a rod from a second pivot to the shackle's eye, the shackle
(SAE three-link model, M. Blundell and D. Harty, The Multibody Systems Approach to Vehicle Dynamics, figure 6.15; SAE HS
788). Both pivots are hinges with torsion springs of stiffness r² C / l, l the arm's free length, r the leaf factor
and C / l³ the rate of the arm's end, so that each arm is as stiff as its leaf. At a given height ζ of the axle's
centre line the rods leave one freedom, the seat's pitch α, and no torque acts on the seat:

    ∂U/∂α = Σ (mᵢ + kᵢ φᵢ) ∂φᵢ/∂α = 0,        ∂U/∂ζ = load,

φᵢ the turn of rod i on the seat since ride height. mᵢ follow from both equations at ride height, where α = 0, and
C from the load and the sag: C (A + B)² / (B² a³ + A² b³) = load / sag, free arms a and b, A and B with half the clamp.

The axle on both
----------------
Each spring would pitch its seat by its own α(ζ). The axle is rigid, winds one up and the other down, and both are
equally stiff, so that its pitch is the mean: in sines, which differ from angles by nothing that a spring's rate is
known to,

    (R eₓ)·z = ½ (sin α(ζ_left) + sin α(ζ_right)),        ζ of the axle's line above the springs.

The rods of both fixed arms keep their lengths in space and so give fore-and-aft place and steer. Sideways both springs
are equally stiff: the point midway between the seats stays in the centre plane. Each shackle swings square to its
bolts. All of this but the law sin α(ζ) is quadratic in the unknowns; the law is a polynomial through exact solutions.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import radians
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.rig.axle import Axle
from geometry.rig.leaf import leaf_arms

Floats = NDArray[np.float64]
Place = tuple[float, float, float]

_ROUNDS: Final = 40
"""Newton steps for the pitch [-]; ten are usual."""

_STEP: Final = 1e-5
"""Of the difference quotient for the torque's slope [rad]."""

BALANCED: Final = 1e-12
"""Newton step for the pitch under which it counts as found [rad]: rounding leaves less."""


@dataclass(frozen=True)
class Leaves:
    """Two leaf springs, the left one told.

    Attributes
    ----------
    fixed_eye, shackle_eye, shackle_pivot : Place
        Rig's frame at ride height [mm].
    fixed_arm, shackle_arm : Place
        The three-link model's pivots on the axle, axle's frame [mm].
    seat : Place
        Middle of the pack, axle's frame [mm].
    free, clamp, factor, sag : (float, float), float, float, float
        Free lengths of fixed and shackle arm, clamped length [mm], leaf factor [-], load over rate [mm].
    wind_up : float
        Pitch of the axle by torque, forward side up [rad].

    """

    fixed_eye: Place
    shackle_eye: Place
    shackle_pivot: Place
    fixed_arm: Place
    shackle_arm: Place
    seat: Place
    free: tuple[float, float]
    clamp: float
    factor: float
    sag: float
    wind_up: float = 0.0

    @property
    def eyes(self) -> Floats:
        """Shackle eyes at ride height, left and right, shape (2, 3) [mm]."""
        return _both(self.shackle_eye)

    @property
    def pivots(self) -> Floats:
        """Shackles' pivots on the chassis, shape (2, 3) [mm]."""
        return _both(self.shackle_pivot)

    @property
    def arms(self) -> Floats:
        """Pivots of the shackle arms on the axle, axle's frame, shape (2, 3) [mm]."""
        return _both(self.shackle_arm)


@dataclass(frozen=True)
class SideView:
    """One spring in its own plane; coordinates (x, z) [mm].

    Attributes
    ----------
    fixed_eye, shackle_eye, shackle_pivot, centre : (float, float)
        Rig's frame at ride height; `centre` is the axle's.
    fixed_arm, shackle_arm : (float, float)
        Axle's frame.
    stiffness, moments : (float, float)
        Of the hinges at the fixed and at the shackle arm [per rad], and what they hold at ride height, in one unit.

    """

    fixed_eye: tuple[float, float]
    shackle_eye: tuple[float, float]
    shackle_pivot: tuple[float, float]
    centre: tuple[float, float]
    fixed_arm: tuple[float, float]
    shackle_arm: tuple[float, float]
    stiffness: tuple[float, float]
    moments: tuple[float, float] = (0.0, 0.0)

    @cached_property
    def rods(self) -> tuple[Floats, Floats]:
        """Both rods at ride height: from the fixed eye to its pivot, from the other pivot to the shackle's eye."""
        first = np.add(self.centre, self.fixed_arm) - self.fixed_eye
        second = np.subtract(self.shackle_eye, np.add(self.centre, self.shackle_arm))
        return first, second

    def pose(self, travel: Floats, pitch: Floats) -> _Posed:
        """Where everything is at travels and pitches, each of shape (n,); nan where the rods do not reach."""
        cosine, sine = np.cos(pitch), np.sin(pitch)
        up, ahead = np.stack([-sine, cosine], axis=1), np.stack([cosine, sine], axis=1)
        first, second = (arm[0] * ahead + arm[1] * up for arm in (self.fixed_arm, self.shackle_arm))
        first_turn, second_turn = (np.stack([-arm[:, 1], arm[:, 0]], axis=1) for arm in (first, second))
        rod, other = self.rods
        drop = self.centre[1] + travel + first[:, 1] - self.fixed_eye[1]
        with np.errstate(invalid="ignore", divide="ignore"):
            reach = np.sign(rod[0]) * np.sqrt(float(rod @ rod) - drop**2)
            # velocities by height and by pitch: of the first pivot along its circle, of the axle, of the second pivot
            rates = np.stack([np.ones_like(drop), first_turn[:, 1]], axis=1)
            first_rates = rates / reach[:, None]
            along = -drop[:, None] * first_rates
            along[:, 1] -= first_turn[:, 0]
            centre = np.stack([self.fixed_eye[0] + reach - first[:, 0], self.centre[1] + travel], axis=1)
            pivot = centre + second
            moved = np.stack([along, np.broadcast_to([1.0, 0.0], along.shape)], axis=2)
            moved[:, 1] += second_turn
            eye = self._eye(pivot)
            shackle, link = eye - self.shackle_pivot, eye - pivot
            turning = -link[:, 1] * shackle[:, 0] + link[:, 0] * shackle[:, 1]
            second_rates = -(moved @ shackle[:, :, None])[:, :, 0] / turning[:, None]
        first_rates[:, 1] -= 1.0
        second_rates[:, 1] -= 1.0
        turns = np.stack([_turn(rod, np.stack([reach, drop], axis=1)), _turn(other, link)], axis=1) - pitch[:, None]
        return _Posed(centre, eye, turns, np.stack([first_rates, second_rates], axis=2))

    def _eye(self, pivot: Floats) -> Floats:
        """The shackle's eye: where the circles round its pivots meet, on the side where it is at ride height."""
        way = pivot - self.shackle_pivot
        square = (way * way).sum(axis=1)
        shackle, link = np.subtract(self.shackle_eye, self.shackle_pivot), self.rods[1]
        along = (float(shackle @ shackle) - float(link @ link) + square) / (2.0 * square)
        aside = np.sqrt(float(shackle @ shackle) / square - along**2)
        ride = shackle - link
        side = np.sign(ride[0] * shackle[1] - ride[1] * shackle[0])
        found: Floats = self.shackle_pivot + along[:, None] * way
        found += (side * aside)[:, None] * np.stack([-way[:, 1], way[:, 0]], axis=1)
        return found

    def torque(self, travel: Floats, pitch: Floats) -> Floats:
        """∂U/∂α, shape (n,); nan where the rods do not reach."""
        return self.forces(travel, pitch)[:, 1]

    def forces(self, travel: Floats, pitch: Floats) -> Floats:
        """∂U/∂ζ and ∂U/∂α, shape (n, 2)."""
        posed = self.pose(travel, pitch)
        held = np.array(self.moments) + np.array(self.stiffness) * posed.turns
        found: Floats = (posed.rates * held[:, None]).sum(axis=2)
        return found

    def free_pitch(self, travel: Floats) -> Floats:
        """Pitch without a torque on the seat, shape (n,) [rad]; nan where there is none."""
        pitch = np.zeros_like(travel)
        for _ in range(_ROUNDS):
            slope = (self.torque(travel, pitch + _STEP) - self.torque(travel, pitch - _STEP)) / (2.0 * _STEP)
            step = self.torque(travel, pitch) / slope
            pitch = pitch - np.clip(step, -0.1, 0.1)
            if np.all((np.abs(step) < BALANCED) | np.isnan(step)):
                break
        found: Floats = np.where(np.abs(step) < 1e3 * BALANCED, pitch, np.nan)
        return found


@dataclass(frozen=True)
class _Posed:
    """Axle's centre and shackle's eye, shape (n, 2) [mm]; turns of both rods on the seat, shape (n, 2) [rad].

    `rates`: their derivatives by height (row 0) and pitch (row 1), shape (n, 2, 2).
    """

    centre: Floats
    eye: Floats
    turns: Floats
    rates: Floats


def side_view(leaves: Leaves, centre: Place) -> SideView:
    """One spring of a pair, with the hinges' stiffness and moments per unit of load."""
    (a, b), half = leaves.free, leaves.clamp / 2.0
    one, other = a + half, b + half
    constant = (other**2 * a**3 + one**2 * b**3) / ((one + other) ** 2 * leaves.sag)
    stiffness = leaves.factor**2 * constant / a, leaves.factor**2 * constant / b
    bare = SideView(
        fixed_eye=_flat(leaves.fixed_eye),
        shackle_eye=_flat(leaves.shackle_eye),
        shackle_pivot=_flat(leaves.shackle_pivot),
        centre=_flat(centre),
        fixed_arm=_flat(leaves.fixed_arm),
        shackle_arm=_flat(leaves.shackle_arm),
        stiffness=stiffness,
    )
    rates = bare.pose(np.zeros(1), np.zeros(1)).rates[0]
    first, second = np.linalg.solve(rates, [1.0, 0.0]) if np.isfinite(rates).all() else (np.nan, np.nan)
    return replace(bare, moments=(float(first), float(second)))


def most_bend(leaves: Leaves, centre: Place, low: float, high: float) -> tuple[float, float]:
    """Largest angles between both arms' rods and the seat's line over straight travel [rad], looked at, not proved."""
    view = side_view(leaves, centre)
    travel = np.linspace(low, high, 33)
    turns = view.pose(travel, view.free_pitch(travel)).turns
    seat = np.subtract(view.fixed_arm, view.shackle_arm)
    first, second = (
        float(np.abs(turns[:, at] + _turn(seat * sign, rod[None])[0]).max())
        for at, (sign, rod) in enumerate(zip((-1.0, -1.0), view.rods, strict=True))
    )
    return first, second


def leaves_of(axle: Axle) -> Leaves | None:
    """What leaf springs make of an axle; None where rods locate it."""
    springs = axle.leaf_springs
    if springs is None:
        return None
    fixed, shackle = leaf_arms(springs)
    across, (x, z) = springs.seat[1], (axle.station, axle.height)
    return Leaves(
        fixed_eye=springs.fixed_eye,
        shackle_eye=springs.shackle_eye,
        shackle_pivot=springs.shackle_pivot,
        fixed_arm=(fixed.pivot[0] - x, across, fixed.pivot[1] - z),
        shackle_arm=(shackle.pivot[0] - x, across, shackle.pivot[1] - z),
        seat=(springs.seat[0] - x, across, springs.seat[2] - z),
        free=(fixed.free, shackle.free),
        clamp=springs.clamp,
        factor=springs.leaf_factor,
        sag=springs.sag,
        wind_up=radians(springs.wind_up_deg),
    )


def _turn(one: Floats, other: Floats) -> Floats:
    """Angle from a fixed vector to others, shape (n,), forward to up [rad]."""
    turned: Floats = np.arctan2(one[0] * other[:, 1] - one[1] * other[:, 0], other @ one)
    return turned


def _flat(place: Place) -> tuple[float, float]:
    return place[0], place[2]


def _both(place: Place) -> Floats:
    return np.array([place, (place[0], -place[1], place[2])])
