"""What can go wrong, in one tree.

GeometryError (also a ValueError)
├── RigError        the description of the rig cannot be used: says where and what to do
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
        What is wrong and what to do, one sentence, no final full stop.

    """

    def __init__(self, place: str, problem: str) -> None:
        super().__init__(f"{place}: {problem}." if place else f"{problem}.")
        self.place = place
        self.problem = problem


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
