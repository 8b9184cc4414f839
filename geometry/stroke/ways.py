"""The straight ways out of ride height: what is met on each, and how far shocks, stops and straps let go."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, isfinite
from typing import Final, Literal

import numpy as np

from geometry.motion.extremes import Cells
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import PoseMap, pose_map
from geometry.rig.axle import Axle
from geometry.stroke.spans import Limit, Span, limits_of, spans_of

WayName = Literal["bump", "droop", "left up", "right up"]

STEP: Final = 0.25
"""Extent of the pieces in which a way is looked at [mm]: what is met is told to about as much."""


@dataclass(frozen=True, slots=True)
class Met:
    """What is met on a way.

    Attributes
    ----------
    limit : Limit
    touch : bool
        A bump stop is touched only, and gives still.
    low, high : float
        Not before `low`, surely at `high`; travel of the wheel that leads [mm].

    """

    limit: Limit
    touch: bool
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Way:
    """One straight way out of ride height.

    Attributes
    ----------
    name : str
        ``bump`` and ``droop`` = both wheels together; ``left up``, ``right up`` = that wheel leads in bump, and the
        other one droops in the proportion of droop to bump.
    by_left, by_right : float
        Travel of each wheel per mm of the one that leads [-].
    wanted : float
        Bump or droop of the rig [mm].
    met : tuple of Met
        In the order in which they surely come.

    """

    name: WayName
    by_left: float
    by_right: float
    wanted: float
    met: tuple[Met, ...]

    @property
    def end(self) -> Met | None:
        """What ends the way; None = it goes as far as bump or droop do."""
        return next((each for each in self.met if not each.touch), None)

    @property
    def given(self) -> float:
        """Travel of the wheel that leads that is left of `wanted`, proved [mm]."""
        return min((each.low for each in self.met if not each.touch), default=self.wanted)


def ways(axle: Axle) -> tuple[Way, ...]:
    """The four ways of an axle; those of no length are left out, and all of them where poses are not established.

    Raises
    ------
    LinkageError
        When the axle cannot follow its travel.

    """
    table, spans = pose_map(linkage_of(axle)), spans_of(axle)
    if not isfinite(table.point_error):
        return ()
    fall = -axle.droop / axle.bump if axle.bump else 0.0
    out: tuple[tuple[WayName, float, float, float], ...] = (
        ("bump", 1.0, 1.0, axle.bump),
        ("droop", -1.0, -1.0, axle.droop),
        ("left up", 1.0, fall, axle.bump),
        ("right up", fall, 1.0, axle.bump),
    )
    return tuple(Way(*way, _met(table, spans, *way[1:])) for way in out if way[3] > 0.0)


def _met(table: PoseMap, spans: tuple[Span, ...], by_left: float, by_right: float, wanted: float) -> tuple[Met, ...]:
    count = ceil(wanted / STEP)
    starts = wanted / count * np.arange(count)
    half = wanted / count / 2.0
    way = np.array([by_left, by_right, 0.0])
    cells = Cells((starts[:, None] + half) * way, np.tile(half * np.abs(way), (count, 1)))
    found = []
    for span in spans:
        form = span.form(table, cells)
        swing = np.abs(form.slope @ way) * half + form.rest
        asked = [(limit, False, limit.value) for limit in limits_of((span,))]
        asked += [(Limit(span, "short"), True, span.touched)] if span.touched else []
        for limit, touch, value in asked:
            over = value - form.value if limit.end == "short" else form.value - value
            maybe, surely = np.flatnonzero(over + swing > 0.0), np.flatnonzero(over - swing > 0.0)
            if len(maybe):
                high = starts[surely[0]] if len(surely) else wanted
                found.append(Met(limit, touch, float(starts[maybe[0]]), float(high)))
    return tuple(sorted(found, key=lambda each: (each.high, each.low)))
