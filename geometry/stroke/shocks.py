"""How shocks fit: lengths over the travel, what is left at both ends, and whether stops and straps come first."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import isfinite
from typing import Final

from geometry.motion.extremes import Extremes, extremes
from geometry.motion.linkage import Linkage, linkage_of
from geometry.motion.pose_map import PoseMap, pose_map
from geometry.motion.travel import TravelBox, TravelPose
from geometry.rig.axle import Axle
from geometry.stroke.spans import SPAN_ERROR, Span, spans_of
from geometry.stroke.travel_set import travel_set

SPARE: Final = 12.7
"""Stroke that is to be left at either end when the stop gives no more or the strap is taut [mm]: half an inch to an
inch. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Lengths:
    """Lengths of one shock, strap or bump stop; of a stop the way from seat to pad.

    Attributes
    ----------
    span : Span
    at_ride_height : float
        [mm]
    wanted : Extremes
        Over all of bump and droop, as if nothing else limited them [mm].
    stopped : Extremes
        Over what bump stops and straps alone leave of that [mm].
    left : Extremes
        Over what everything together leaves [mm].

    """

    span: Span
    at_ride_height: float
    wanted: Extremes
    stopped: Extremes
    left: Extremes


@dataclass(frozen=True, slots=True)
class Spare:
    """What is left of a stroke at one end of it when stops and straps have ended the travel.

    Attributes
    ----------
    spare : float
        Proved [mm]; negative = the shock comes first, and takes the load.
    pose : TravelPose
        Where least is left.

    """

    spare: float
    pose: TravelPose

    @property
    def comes_first(self) -> bool:
        """Whether the shock may end the travel before bump stop or strap does."""
        return self.spare < 0.0


@dataclass(frozen=True, slots=True)
class ShockFit:
    """How one shock fits.

    Attributes
    ----------
    lengths : Lengths
    collapsed, extended : Spare
        At both ends of its stroke.

    """

    lengths: Lengths
    collapsed: Spare
    extended: Spare


@dataclass(frozen=True, slots=True)
class NeededShock:
    """Lengths that a shock must have so that it never limits the travel.

    Attributes
    ----------
    collapsed, extended : float
        At most, and at least [mm].

    """

    collapsed: float
    extended: float

    @property
    def stroke(self) -> float:
        """Least stroke [mm]."""
        return self.extended - self.collapsed

    @property
    def dead_length(self) -> float:
        """What a shock with these lengths has beside its stroke, collapsed [mm]; see `lengths_for_stroke`."""
        return 2.0 * self.collapsed - self.extended


def lengths_of(axle: Axle) -> tuple[Lengths, ...]:
    """Lengths of all shocks, bump stops and straps over the travel to SPAN_ERROR; none where poses are not proved.

    Raises
    ------
    LinkageError
        When the axle cannot follow its travel.

    """
    spans = spans_of(axle)
    return _lengths_of(linkage_of(axle), spans) if spans else ()


def shock_fits(axle: Axle) -> tuple[ShockFit, ...]:
    """How the shocks of an axle fit; raises as `lengths_of`."""
    return tuple(_fit(each) for each in lengths_of(axle) if each.span.part.kind == "shock")


def needed_shock(over: Extremes, spare: float = SPARE) -> NeededShock:
    """The shock that lengths over a travel ask for, with `spare` left of its stroke at either end [mm]."""
    return NeededShock(over.least.low - spare, over.most.high + spare)


def lengths_for_stroke(stroke: float, dead_length: float) -> tuple[float, float]:
    """Collapsed and extended length of a shock whose body takes in the whole shaft [mm]: s + d and 2 s + d."""
    return stroke + dead_length, 2.0 * stroke + dead_length


@lru_cache(maxsize=16)
def _lengths_of(linkage: Linkage, spans: tuple[Span, ...]) -> tuple[Lengths, ...]:
    table = pose_map(linkage)
    if not isfinite(table.point_error):
        return ()
    stops = tuple(span for span in spans if span.part.kind != "shock")
    boxes = [_boxes(linkage, some) for some in ((), stops, spans)]
    return tuple(_lengths(span, table, *boxes) for span in spans)


def _boxes(linkage: Linkage, spans: tuple[Span, ...]) -> tuple[TravelBox, ...]:
    left = travel_set(linkage, spans)
    if left.is_whole:
        both = (-linkage.droop, linkage.bump)
        return (TravelBox(both, both),)
    return left.boxes()


def _lengths(
    span: Span,
    table: PoseMap,
    whole: tuple[TravelBox, ...],
    stopped: tuple[TravelBox, ...],
    left: tuple[TravelBox, ...],
) -> Lengths:
    known: dict[tuple[TravelBox, ...], Extremes] = {}
    for boxes in (whole, stopped, left):
        if boxes not in known:
            known[boxes] = extremes(lambda cells: span.form(table, cells), boxes, SPAN_ERROR)
    ride = span.at_ride_height(table.linkage)
    return Lengths(span, ride, known[whole], known[stopped], known[left])


def _fit(lengths: Lengths) -> ShockFit:
    span, over = lengths.span, lengths.stopped
    return ShockFit(
        lengths,
        Spare(over.least.low - span.shortest, over.least.pose),
        Spare(span.longest - over.most.high, over.most.pose),
    )
