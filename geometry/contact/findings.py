"""What a search found, as frozen records that window, command line and report all read."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from geometry.motion.travel import TravelPose
from geometry.rig.layout import PartRef

PairKind = Literal[
    "tire_bar",
    "tire_panel",
    "tire_link",
    "tire_shock",
    "axle_bar",
    "axle_panel",
    "link_bar",
    "link_panel",
    "shock_bar",
    "shock_panel",
    "shaft_bar",
    "shaft_panel",
    "tire_tie_rod",
    "link_own",
    "shock_own",
    "shaft_own",
    "tie_rod_own",
]
Place = tuple[float, float, float]


class Verdict(StrEnum):
    """Outcome of a check, worst first."""

    CONTACT = "contact"
    UNKNOWN = "unknown"
    TIGHT = "tight"
    CLEAR = "clear"


@dataclass(frozen=True, slots=True)
class Band:
    """Travel upward from ride height at which contact starts lies between `low` and `high` [mm].

    Up to `low` the pair is proved apart; at `high` a pose in contact was found.
    """

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Approach:
    """Closest approach of one pair over the whole travel.

    Attributes
    ----------
    axle : str
        Id of the axle that moves.
    kind : PairKind
    moving, fixed : PartRef
    wanted : float
        Clearance asked for [mm].
    low, high : float
        No pose comes below `low`; the pose `pose` has clearance `high` [mm]. Negative = overlap.
    beyond : bool
        Proved farther than `low` and not looked into further: `high` is infinite, `pose` ride height.
    settled : bool
        False when the search ended before the interval was narrow enough.
    pose : TravelPose
        Where `high` was found.
    on_moving, on_fixed : tuple or None
        The two closest points in that pose, rig's frame [mm]; None for a pair that is beyond.
    start_straight, start_crossed : Band or None
        Own wheel's bump at which contact starts, both wheels rising together, or the other one drooping; None =
        no contact on that way up.

    """

    axle: str
    kind: PairKind
    moving: PartRef
    fixed: PartRef
    wanted: float
    low: float
    high: float
    beyond: bool
    settled: bool
    pose: TravelPose
    on_moving: Place | None
    on_fixed: Place | None
    start_straight: Band | None = None
    start_crossed: Band | None = None

    @property
    def margin(self) -> float:
        """Proved clearance over what is wanted [mm]."""
        return self.low - self.wanted

    @property
    def verdict(self) -> Verdict:
        """Contact, tight or clear by `low`; unknown when `low` is not settled and a wider search could clear it."""
        if self.low >= self.wanted:
            return Verdict.CLEAR
        if self.high < 0.0:
            return Verdict.CONTACT
        if not self.settled:
            return Verdict.UNKNOWN
        return Verdict.CONTACT if self.low < 0.0 else Verdict.TIGHT


@dataclass(frozen=True, slots=True)
class PairName:
    """Names a pair where only its identity matters."""

    kind: PairKind
    moving: PartRef
    fixed: PartRef


@dataclass(frozen=True, slots=True)
class WidthSample:
    """Everything at one width.

    Attributes
    ----------
    width : float
        Wheel-mount width [mm].
    low, high : float
        Closest approach of all pairs together lies in this interval [mm]; at most FAR is looked for.
    margin_low, margin_high : float
        The same for clearance less wanted clearance; at or above zero every pair is clear [mm].
    nearest, tightest : PairName or None
        Pair with the closest approach, pair with the least margin; None = nothing within FAR.

    """

    width: float
    low: float
    high: float
    margin_low: float
    margin_high: float
    nearest: PairName | None
    tightest: PairName | None


@dataclass(frozen=True, slots=True)
class WidthBound:
    """One edge of a width window.

    Attributes
    ----------
    width : float
        Outermost width up to which every width is proved clear [mm].
    beyond : float
        Nearest width outside at which a pose was met that has less than the wanted clearance and the tolerance;
        equal to `width` at the end of the range [mm].
    reason : PairName or None
        The pair of that pose; None = the end of the range that was looked at.

    """

    width: float
    beyond: float
    reason: PairName | None


@dataclass(frozen=True, slots=True)
class WidthWindow:
    """Widths from `low.width` to `high.width` at which every pair is clear, all of them proved."""

    low: WidthBound
    high: WidthBound


@dataclass(frozen=True, slots=True)
class WidthCurve:
    """Closest approach against width for one axle, the others as drawn.

    Attributes
    ----------
    samples : tuple of WidthSample, by rising width
    windows : tuple of WidthWindow, by rising width; empty = no width in the range is clear
    complete : bool
        False while it is still being refined.

    """

    axle: str
    samples: tuple[WidthSample, ...]
    windows: tuple[WidthWindow, ...]
    complete: bool


@dataclass(frozen=True, slots=True)
class TravelMap:
    """Clearance over the travel square, for the picture only: sampled, not proved.

    Attributes
    ----------
    left, right : tuple of float
        Travels of the columns and rows [mm].
    margin : tuple of rows of float
        Least clearance less wanted clearance of all pairs at the worst steer, margin[row of right][column of left],
        at most FAR [mm]; NaN where shocks, bump stops or straps do not let the axle go.

    """

    axle: str
    left: tuple[float, ...]
    right: tuple[float, ...]
    margin: tuple[tuple[float, ...], ...]
