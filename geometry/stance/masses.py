"""Mass and centre of gravity, empty and loaded: tubes weighed from the drawing, a list for the rest, scales above both.

A tube's mass per length is ρ π (od − wall) wall. Its length is developed: a bend of centre-line radius r and angle φ
takes r · tan(φ / 2) off the straights on both sides and gives r φ back. Where a tube meets another one nothing is taken
off.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import atan, cos, fsum, pi, sin
from operator import mul, truediv
from typing import Final, Literal

import numpy as np

from geometry.plan.amount import Amount, given, total, worked_out
from geometry.rig.layout import Floats, bend_setbacks, node_points
from geometry.rig.mass import Masses, MassPart, State, Weighing
from geometry.rig.parts import Bar
from geometry.rig.rig import Rig
from geometry.stance.weighing import weighed_centre
from geometry.tolerances import COINCIDENT

STEEL: Final = 7850e-9
"""Density of carbon steel [kg/mm³]: 7850 kg/m³ as in Eurocode 3 and in the tables of tube makers."""

Figure = Literal["mass", "x", "y", "z"]


@dataclass(frozen=True, slots=True)
class TubeMass:
    """Tubes weighed from the drawing: developed length [mm], mass [kg], and centre of gravity [mm]; none = None."""

    length: float
    mass: float
    centre: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class MassState:
    """What the rig weighs, and where its centre of gravity is at ride height.

    Attributes
    ----------
    state : str
        ``empty`` or ``loaded``.
    mass : Amount
        All of it [kg].
    x, y, z : Amount
        Centre of gravity in the rig's frame [mm]; z is its height above the ground.
    measured : tuple of str
        Which of these come off the scales, if not by the list.

    """

    state: State
    mass: Amount
    x: Amount
    y: Amount
    z: Amount
    measured: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True)
class RigMasses:
    """The tubes by themselves, and the rig empty and loaded."""

    tubes: TubeMass
    empty: MassState
    loaded: MassState

    @property
    def states(self) -> tuple[MassState, MassState]:
        """Empty, loaded."""
        return (self.empty, self.loaded)


def mass_per_length(od: float, wall: float) -> float:
    """Mass of a round steel tube [kg/mm]: ρ π (od − wall) wall."""
    return STEEL * pi * (od - wall) * wall


def developed_length(bar: Bar, corners: Floats) -> float:
    """Length of the straight tube that a bar with these corners, shape (k, 3) [mm], is bent from."""
    return fsum(length for length, _ in _stretches(corners, bar.bend_radius))


def tube_mass(rig: Rig) -> TubeMass:
    """Every tube of the chassis; one that is mirrored counts twice."""
    nodes = node_points(rig)
    lengths: list[float] = []
    masses: list[float] = []
    moments: list[Floats] = []
    for bar in rig.bars:
        count = 2.0 if bar.mirrored else 1.0
        per_length = mass_per_length(bar.od, bar.wall)
        twin = np.array([1.0, 0.0, 1.0]) if bar.mirrored else np.ones(3)
        for length, middle in _stretches(np.array([nodes[ref] for ref in bar.nodes]), bar.bend_radius):
            lengths.append(count * length)
            masses.append(count * length * per_length)
            moments.append(masses[-1] * middle * twin)
    mass = fsum(masses)
    if mass <= 0.0:
        return TubeMass(0.0, 0.0, None)
    x, y, z = (fsum(column) / mass for column in np.array(moments).T.tolist())
    return TubeMass(fsum(lengths), mass, (x, y, z))


def rig_masses(rig: Rig) -> RigMasses:
    """What a rig weighs, as far as it is known."""
    tubes = tube_mass(rig)
    masses = rig.masses or Masses()
    base = _list_of(masses, tubes)
    aboard = _aboard(masses)
    if masses.measured is None:
        return RigMasses(tubes, base.told("empty"), base.plus(aboard).told("loaded"))
    state = masses.measured.state
    listed = base if state == "empty" else base.plus(aboard)
    found, measured = _weighed(rig, masses.measured, listed if masses.parts else None)
    other = found.plus(aboard) if state == "empty" else found.plus(aboard, -1.0)
    if state == "empty":
        return RigMasses(tubes, found.told("empty", measured), other.told("loaded"))
    return RigMasses(tubes, other.told("empty"), found.told("loaded", measured))


@dataclass(frozen=True, slots=True)
class _Body:
    """Mass [kg] and its moments about the origin [kg mm]."""

    mass: Amount
    moments: tuple[Amount, Amount, Amount]

    def plus(self, other: _Body, sign: float = 1.0) -> _Body:
        x, y, z = (
            worked_out(lambda a, b: a + sign * b, one, two)
            for one, two in zip(self.moments, other.moments, strict=True)
        )
        return _Body(worked_out(lambda a, b: a + sign * b, self.mass, other.mass), (x, y, z))

    def centre(self) -> tuple[Amount, Amount, Amount]:
        x, y, z = (worked_out(truediv, moment, self.mass) for moment in self.moments)
        return (x, y, z)

    def told(self, state: State, measured: tuple[Figure, ...] = ()) -> MassState:
        return MassState(state, self.mass, *self.centre(), measured)


def _sum(bodies: Iterable[_Body]) -> _Body:
    each = tuple(bodies)
    x, y, z = (total(body.moments[axis] for body in each) for axis in range(3))
    return _Body(total(body.mass for body in each), (x, y, z))


def _unlisted(place: str = "masses/parts") -> _Body:
    """What is on no list, or on none of those that are aboard."""
    nothing = Amount(None, (place,))
    return _Body(nothing, (nothing, nothing, nothing))


def _list_of(masses: Masses, tubes: TubeMass) -> _Body:
    """The tubes and all that is always aboard. Tubes alone are no rig: without a list the sum is unknown."""
    parts = [_body(part) for part in masses.parts if part.aboard == "always"]
    if not parts:
        return _unlisted()
    if tubes.centre is not None:
        x, y, z = (Amount(tubes.mass * at) for at in tubes.centre)
        parts.append(_Body(Amount(tubes.mass), (x, y, z)))
    return _sum(parts)


def _aboard(masses: Masses) -> _Body:
    """People and what they bring. As long as nobody is on the list nobody knows how the rig is loaded."""
    parts = [_body(part) for part in masses.parts if part.aboard == "loaded"]
    return _sum(parts) if parts else _unlisted("masses/aboard" if masses.parts else "masses/parts")


def _body(part: MassPart) -> _Body:
    place = f"masses/parts/{part.id}"
    count = 2.0 if part.mirrored else 1.0
    mass = given(part.mass_kg, f"{place}/mass_kg").turned_into(lambda each: count * each)
    across = 0.0 if part.mirrored else 1.0
    if part.at is None:
        nowhere = Amount(None, (f"{place}/at",))
        return _Body(mass, (nowhere, nowhere, nowhere))
    x, y, z = (worked_out(mul, mass, Amount(at)) for at in (part.at[0], across * part.at[1], part.at[2]))
    return _Body(mass, (x, y, z))


def _weighed(rig: Rig, weighing: Weighing, listed: _Body | None) -> tuple[_Body, tuple[Figure, ...]]:
    """What the scales tell, with the list for what they do not, and what they do tell."""
    rear, front = sorted(rig.axles, key=lambda axle: axle.station)
    scales = weighed_centre(weighing, rear, front)
    measured: list[Figure] = ["mass", "x"]
    places = [scales.x]
    by_list = (scales.x, scales.y, scales.z) if listed is None else listed.centre()
    if scales.y.value is not None:
        measured.append("y")
    places.append(scales.y if scales.y.value is not None else by_list[1])
    # A height that was weighed and makes no sense is not covered up by one of the list.
    if weighing.raised is not None:
        measured.append("z")
    places.append(scales.z if weighing.raised is not None else by_list[2])
    x, y, z = (worked_out(mul, Amount(scales.mass), at) for at in places)
    return _Body(Amount(scales.mass), (x, y, z)), tuple(measured)


def _stretches(corners: Floats, bend_radius: float) -> Iterator[tuple[float, Floats]]:
    """Length [mm] and middle, shape (3,) [mm], of every straight and every bend of a tube.

    The middle of an arc of radius r and angle φ is r · sin(φ / 2) / (φ / 2) from its centre.
    """
    setbacks = bend_setbacks(corners, bend_radius) if len(corners) > 2 and bend_radius > 0.0 else np.zeros(len(corners))
    for index, (start, end) in enumerate(pairwise(corners)):
        leg = end - start
        whole = float(np.linalg.norm(leg))
        straight = whole - float(setbacks[index] + setbacks[index + 1])
        if straight > COINCIDENT:
            along = leg / whole
            yield straight, start + along * (float(setbacks[index]) + straight / 2.0)
        if setbacks[index + 1] > COINCIDENT:
            yield _bend(corners[index : index + 3], float(setbacks[index + 1]), bend_radius)


def _bend(corners: Floats, setback: float, radius: float) -> tuple[float, Floats]:
    """Length and middle of the bend at the second of three corners."""
    half = atan(setback / radius)
    before, after = (leg / np.linalg.norm(leg) for leg in np.diff(corners, axis=0))
    inward = (after - before) / np.linalg.norm(after - before)
    from_corner = radius / cos(half) - radius * sin(half) / half
    return 2.0 * radius * half, corners[1] + inward * from_corner
