"""What can go wrong, in one tree.

GeometryError (also a ValueError)
├── RigError        the description of the rig cannot be used: says where and what to do
├── PlanError       the width cannot be built with these parts: says what conflicts, by how much, and what works
└── LinkageError    the axle cannot reach a pose inside its travel: says at which travel
"""

from __future__ import annotations


class GeometryError(ValueError):
    """Root of all errors that geometry raises for a reason the builder can mend."""


class RigError(GeometryError):
    """The rig as described cannot be used.

    Attributes
    ----------
    place : str
        Where in the rig file, e.g. ``axles[1].rods[2].chassis``.
    problem : str
        What is wrong and what to do, a whole sentence without its capital and full stop. Every length in it stands
        as a number and `` mm``, so that it can be told in another unit.
    in_file : str
        What else to say to whoever wrote the file by hand; empty = nothing.
    ids : tuple of str
        Ids of the parts on the way to `place`, as far as they are known.

    """

    def __init__(self, place: str, problem: str, *, in_file: str = "") -> None:
        super().__init__(place, problem)
        self.place = place
        self.problem = problem
        self.in_file = in_file
        self.ids: tuple[str, ...] = ()

    def __str__(self) -> str:
        return ": ".join(part for part in (self.where, self.remedy) if part) + "."

    @property
    def where(self) -> str:
        """The place with the ids: ``axles[1].rods[2].chassis (front, upper-left)``."""
        return f"{self.place} ({', '.join(self.ids)})" if self.ids else self.place

    @property
    def remedy(self) -> str:
        """The problem and what else there is to say about it in a file."""
        return "; ".join(part for part in (self.problem, self.in_file) if part)


class PlanError(GeometryError):
    """What follows from the width cannot be built.

    Attributes
    ----------
    place : str
        Path of fields and ids to the value at fault, e.g. ``axles/rear/build/left/end_addition``.
    problem : str
        What conflicts with what and what works instead, written as in RigError.
    by : float
        By how much [mm]; [degrees] where the place is an angle.
    nearest : tuple of (place, value)
        Values that work, each by itself with the others as they are, in the unit of their place.

    """

    def __init__(self, place: str, problem: str, *, by: float, nearest: tuple[tuple[str, float], ...] = ()) -> None:
        super().__init__(place, problem)
        self.place = place
        self.problem = problem
        self.by = by
        self.nearest = nearest

    def __str__(self) -> str:
        return f"{self.place}: {self.problem}."


class LinkageError(GeometryError):
    """An axle's linkage cannot follow its travel.

    Attributes
    ----------
    axle : str
        Id of the axle.
    left, right : float
        Travel at the stop stations at which it happens, bump positive [mm].

    """

    def __init__(self, axle: str, problem: str, left: float, right: float) -> None:
        super().__init__(problem)
        self.axle = axle
        self.left = left
        self.right = right
