"""One number with everything that must stand beside it, and groups of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from geometry.errors import GeometryError, PlanError
from geometry.plan.amount import Amount, missing_of
from geometry.plan.half import build_of
from geometry.rig.axle import Axle

Kind = Literal[
    "length", "fine", "mark", "mark in mm", "offset", "clearance", "angle", "slope", "mass", "factor", "index", "share",
    "yes or no", "speed", "number",
]  # fmt: skip
"""What a number is: lengths [mm], ``fine`` ones below a sixteenth of an inch, ``mark`` as a tape shows it, ``offset``
left positive, ``clearance`` rounded down; ``angle`` [rad]; ``slope`` degrees per degree [-]; ``mass`` [kg]; ``factor``,
``index`` and ``share`` [-]; ``yes or no``, 1 or 0; ``speed`` [mm/s]; ``number`` to four digits, in the unit of its
definition."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One number.

    Attributes
    ----------
    key : str
        Its row; with `column`, unique in its group.
    amount : Amount
        In the unit that `kind` says. A value of None with nothing missing = there is none, and `none` says so.
    definition : str
        One sentence: what is measured from where to where, and its source.
    column : str
        Heading that it stands under; empty = it is the only one of its row.
    note : str
        What belongs to the number, as the pose at which it is so.
    warning : str
        What is wrong with it; empty = nothing.

    Lengths in label, note and warning stand in mm, written as in RigError.

    """

    key: str
    label: str
    amount: Amount
    kind: Kind
    definition: str
    column: str = ""
    note: str = ""
    warning: str = ""
    none: str = "none"


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why numbers of a group cannot be: a sentence with its lengths in mm, and the value at fault; empty = no value."""

    sentence: str
    place: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Numbers that belong together.

    Attributes
    ----------
    columns : tuple of str
        Headings of rows that have several numbers.
    axle : str
        Id of the axle that it was made for; empty = not said.
    remark : str
        What holds for all of them, a sentence with its lengths in mm.

    """

    key: str
    title: str
    columns: tuple[str, ...]
    figures: tuple[Figure, ...]
    remark: str = ""
    refusals: tuple[Refusal, ...] = ()
    axle: str = ""

    @property
    def missing(self) -> tuple[str, ...]:
        """Places of all values that some number lacks, each once."""
        return missing_of(figure.amount for figure in self.figures)

    def figure(self, key: str, column: str = "") -> Figure:
        """The number of a row and a column; KeyError when there is none."""
        for figure in self.figures:
            if (figure.key, figure.column) == (key, column):
                return figure
        raise KeyError(f"{self.key}: {key} {column}")

    def rows(self) -> tuple[tuple[Figure, ...], ...]:
        """The figures row by row, in the order in which each row comes first."""
        found: dict[str, list[Figure]] = {}
        for figure in self.figures:
            found.setdefault(figure.key, []).append(figure)
        return tuple(map(tuple, found.values()))


def perch_words(axle: Axle, perch_id: str) -> str:
    """A perch by the name that the builder gave it, or else by its id: “spring perch”."""
    names = {perch.id: perch.name for perch in build_of(axle).perches}
    return f"“{names.get(perch_id) or perch_id}”"


def told(problem: str) -> str:
    """A problem as a sentence."""
    return f"{problem[:1].upper()}{problem[1:].rstrip('.')}."


def refusal_of(refused: GeometryError) -> Refusal:
    """What an error says, and where."""
    if isinstance(refused, PlanError):
        return Refusal(told(refused.problem), refused.place)
    return Refusal(told(str(refused)))


def attempt(make: Callable[[], tuple[Figure, ...]]) -> tuple[tuple[Figure, ...], tuple[Refusal, ...]]:
    """Figures, or why there are none."""
    try:
        return make(), ()
    except GeometryError as refused:
        return (), (refusal_of(refused),)
