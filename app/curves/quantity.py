"""Quantities, what they go over, and their values with everything that must stand beside them."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal, get_args

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

Against = Literal["straight", "crossed", "steer"]
"""What quantities go over: both wheels rising together; one rising while the other one droops, at full travel as far
as both go; steer at ride height."""

WAYS: Final[tuple[Against, ...]] = get_args(Against)

Unit = Literal["mm", "rad", "-", "%"]

TRAVEL: Final[tuple[Against, ...]] = ("straight", "crossed")
STEER: Final[tuple[Against, ...]] = ("steer",)


@dataclass(frozen=True, slots=True)
class Quantity:
    """One quantity of an axle.

    Attributes
    ----------
    key : str
        Family and name, as in ``shaft/pinion``; unique on its axle.
    label : str
        What it is called by itself.
    unit : str
        ``mm``, ``rad``, ``-`` for plain ratios, ``%``.
    group : str
        Heading that it stands under.
    definition : str
        One sentence: what is measured, and what is positive.
    line : str
        What it is called beside others of its group; a word or three.
    against : tuple of str
        What it can be told over; over the others it does not change.

    """

    key: str
    label: str
    unit: Unit
    group: str
    definition: str
    line: str
    against: tuple[Against, ...] = TRAVEL


@dataclass(frozen=True, slots=True)
class Limit:
    """A value that a quantity must not pass, in its unit, and what it is."""

    value: float
    words: str


@dataclass(frozen=True, eq=False)
class Found:
    """A quantity in n poses.

    Attributes
    ----------
    quantity : Quantity
    values : array, shape (n,)
        NaN where the axle cannot go, or where there is no value.
    limits : tuple of Limit
    missing : tuple of str
        Places of what nobody gave and without which nothing is known of it.
    problem : str
        Why there are no values though everything is given, one sentence; empty = there are.

    """

    quantity: Quantity
    values: Floats
    limits: tuple[Limit, ...] = ()
    missing: tuple[str, ...] = ()
    problem: str = ""


@dataclass(frozen=True, eq=False)
class Curve:
    """A quantity along a way.

    Attributes
    ----------
    against : str
    at : array, shape (n,)
        Travel of both wheels or of the left one [mm], or steer [rad], rising.
    found : Found

    """

    against: Against
    at: Floats
    found: Found

    @property
    def quantity(self) -> Quantity:
        """What it is about."""
        return self.found.quantity

    @property
    def values(self) -> Floats:
        """In the unit of the quantity; NaN where the axle cannot go."""
        return self.found.values


@dataclass(frozen=True, eq=False)
class Curves:
    """Several quantities of one axle along a way.

    Attributes
    ----------
    axle : str
    against : str
    at : array, shape (n,)
        As in Curve.
    left, right, steer : array, shape (n,)
        The poses [mm, rad].
    reached : array of bool, shape (n,)
        To which of them the axle goes.
    found : tuple of Found
    problem : str
        Why the axle cannot follow all of its travel; empty = it can, but for shocks, stops and straps.

    """

    axle: str
    against: Against
    at: Floats
    left: Floats
    right: Floats
    steer: Floats
    reached: Flags
    found: tuple[Found, ...]
    problem: str = ""
    by_key: dict[str, Found] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "by_key", {each.quantity.key: each for each in self.found})

    def nearest(self, at: float) -> float:
        """The place nearest to one on the way to which the axle goes."""
        places = self.at[self.reached]
        if not len(places):
            return at
        behind = int(np.clip(np.searchsorted(self.at, at), 0, len(self.at) - 1))
        if self.reached[behind] and self.reached[max(behind - 1, 0)]:
            return min(max(at, float(places[0])), float(places[-1]))
        return float(places[np.argmin(np.abs(places - at))])

    def curve(self, key: str) -> Curve:
        """One of them; KeyError when it is not among them."""
        return Curve(self.against, self.at, self.by_key[key])
