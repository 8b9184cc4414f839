"""Closest approach against width, and the widths between which everything is clear.

The curve is made of whole-travel searches at single widths. The edges of a window are not read off the curve: they
are walked to with the width as one more freedom of the search (`crossing`), so that every width inside a window is
proved clear, not only those that were looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.axle_check import (
    GiveUp,
    Problem,
    at_width,
    axle_problems,
    reference_width,
    steerable_widths,
    travel_box,
)
from geometry.contact.compiled.ready import closest_approaches, first_crossing
from geometry.contact.findings import PairName, WidthBound, WidthCurve, WidthSample, WidthWindow
from geometry.contact.search import Box
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE, FAR

Floats = NDArray[np.float64]

COARSE: Final = 13
"""Widths of the first, even round [-]."""

BEND: Final = 1.0
"""Departure from a straight line between its neighbours at which a curve is refined there [mm]."""

FINEST: Final = 3.0
"""Least distance of two widths on the curve [mm]; an eighth of an inch is what the eye tells apart on the strip."""

MOST_SAMPLES: Final = 80
"""Most widths on a curve [-]."""


@dataclass(frozen=True)
class _Kinds:
    """A problem whose groups are the kinds of pairs, so that one search gives distance and margin at once."""

    problem: Problem
    names: tuple[PairName, ...]
    own_group: NDArray[np.intp]
    wanted: Floats


def width_curve(
    rig: Rig,
    axle: Axle,
    low: float,
    high: float,
    *,
    tolerance: float = CLEARANCE,
    partial: Callable[[WidthCurve], None] | None = None,
    give_up: GiveUp | None = None,
) -> WidthCurve | None:
    """Closest approach over the widths from low to high and every window in that range.

    Parameters
    ----------
    low, high : float
        Range of wheel-mount widths [mm]; cut down to where the tie rod turns the wheels to full lock.
    partial : callable
        Called with what is known so far, whenever that is more.
    give_up : callable
        Asked now and then; True ends the work with None.

    """
    reference = reference_width(axle)
    low, high = steerable_widths(axle, low, high)
    problems = axle_problems(rig, axle, max(abs(low - reference), abs(high - reference)))
    kinds = tuple(_by_kind(problem.by_width[0]) for problem in problems)
    box = travel_box(axle)
    still = _still(problems, box, tolerance)
    samples: dict[float, WidthSample] = {}

    def sample(width: float) -> None:
        samples[width] = _sample(kinds, at_width(box, width - reference), width, tolerance, still)

    def tell(windows: tuple[WidthWindow, ...], *, complete: bool) -> WidthCurve:
        ordered = tuple(samples[width] for width in sorted(samples))
        curve = WidthCurve(axle.id, ordered, windows, complete)
        if partial is not None:
            partial(curve)
        return curve

    wanting = [float(width) for width in np.linspace(low, high, COARSE)]
    windows: tuple[WidthWindow, ...] = ()
    first = True
    while wanting:
        for width in wanting:
            if give_up is not None and give_up():
                return None
            sample(width)
        if first:
            tell((), complete=False)
            found = _windows(problems, box, reference, [samples[w] for w in sorted(samples)], tolerance, give_up)
            if found is None:
                return None
            windows, first = found, False
        tell(windows, complete=False)
        wanting = _bends(samples) if len(samples) < MOST_SAMPLES else []
    return tell(windows, complete=True)


def width_sample(rig: Rig, axle: Axle, *, tolerance: float = CLEARANCE) -> WidthSample:
    """Closest approach and least margin of an axle at its own width."""
    problems, box = axle_problems(rig, axle), travel_box(axle)
    kinds = tuple(_by_kind(problem.by_width[0]) for problem in problems)
    return _sample(kinds, box, axle.width, tolerance, _still(problems, box, tolerance))


def width_windows(
    rig: Rig,
    axle: Axle,
    samples: Sequence[WidthSample],
    *,
    tolerance: float = CLEARANCE,
    give_up: GiveUp | None = None,
) -> tuple[WidthWindow, ...] | None:
    """Every window that holds one of the samples, from the first to the last of them; None when told to give up.

    Parameters
    ----------
    samples : sequence of WidthSample, by rising width

    """
    reference = reference_width(axle)
    low, high = steerable_widths(axle, samples[0].width, samples[-1].width)
    samples = [sample for sample in samples if low <= sample.width <= high]
    if not samples:
        return ()
    problems = axle_problems(rig, axle, max(abs(sample.width - reference) for sample in samples))
    return _windows(problems, travel_box(axle), reference, samples, tolerance, give_up)


def _still(problems: tuple[Problem, ...], box: Box, tolerance: float) -> WidthSample:
    """What the pairs have that the width does not move; its width says nothing."""
    kinds = tuple(_by_kind(problem.by_width[1]) for problem in problems)
    return _sample(kinds, box, 0.0, tolerance, WidthSample(0.0, FAR, FAR, FAR, FAR, None, None))


def _sample(kinds: tuple[_Kinds, ...], box: Box, width: float, tolerance: float, still: WidthSample) -> WidthSample:
    """Closest approach and least margin of everything at one width, `still` being what does not move with it."""
    low, high, margin_low, margin_high = still.low, still.high, still.margin_low, still.margin_high
    nearest, tightest = still.nearest, still.tightest
    for kind in kinds:
        problem, enough = kind.problem, kind.problem.enough
        found = closest_approaches(problem.scene, problem.pairs, len(kind.wanted), box, tolerance=tolerance, far=enough)
        lows = np.minimum(found.low, enough)
        highs = np.where(found.beyond, enough, found.high)
        for group in range(len(lows)):
            name = kind.names[kind.own_group[found.pair[group]]]
            low, margin_low = min(low, lows[group]), min(margin_low, lows[group] - kind.wanted[group])
            if highs[group] < high:
                high, nearest = highs[group], name
            if highs[group] - kind.wanted[group] < margin_high:
                margin_high = highs[group] - kind.wanted[group]
                tightest = name if highs[group] < enough else None
    return WidthSample(width, float(low), float(high), float(margin_low), float(margin_high), nearest, tightest)


def _by_kind(problem: Problem) -> _Kinds:
    kinds = sorted({name.kind for name in problem.names})
    of_group = np.array([kinds.index(name.kind) for name in problem.names], dtype=np.intp)
    wanted = np.array([problem.wanted[np.flatnonzero(of_group == k)[0]] for k in range(len(kinds))])
    own_group = problem.pairs.group
    merged = replace(problem, pairs=replace(problem.pairs, group=of_group[own_group]))
    return _Kinds(merged, problem.names, own_group, wanted)


def _bends(samples: dict[float, WidthSample]) -> list[float]:
    """Widths to look at next: both halves round a sample that is off the line through its neighbours."""
    ordered = sorted(samples)
    wanting: set[float] = set()
    for before, here, after in zip(ordered, ordered[1:], ordered[2:], strict=False):
        share = (here - before) / (after - before)
        line = samples[before].high * (1.0 - share) + samples[after].high * share
        if abs(samples[here].high - line) > BEND:
            wanting |= {(a + b) / 2.0 for a, b in ((before, here), (here, after)) if b - a > 2.0 * FINEST}
    return sorted(wanting)[: MOST_SAMPLES - len(samples)]


def _windows(
    problems: tuple[Problem, ...],
    box: Box,
    reference: float,
    samples: Sequence[WidthSample],
    tolerance: float,
    give_up: GiveUp | None,
) -> tuple[WidthWindow, ...] | None:
    """Windows that hold at least one of the samples; None when it was told to give up.

    What is walked along is the clearance over the wanted one and the tolerance: a check at any width inside, whose
    lower value may be off by the tolerance, then says clear, too.
    """
    # a pair that the width does not move is clear at every width or at none
    margins = tuple(_one_group(problem.by_width[0].as_margin(tolerance)) for problem in problems)
    windows: list[WidthWindow] = []
    clear_from: float | None = None
    for index, here in enumerate(samples):
        if here.margin_low < 0.0 or (clear_from is not None and here.width <= clear_from):
            continue
        if give_up is not None and give_up():
            return None
        lowest = samples[index - 1].width if index else here.width
        lower = _walk(margins, box, reference, here.width, lowest, tolerance, give_up)
        following = next((s.width for s in samples[index + 1 :] if s.margin_high < 0.0), samples[-1].width)
        upper = _walk(margins, box, reference, here.width, following, tolerance, give_up)
        if lower.width < upper.width:
            clear_from = upper.width
            windows.append(WidthWindow(lower, upper))
    if give_up is not None and give_up():
        return None
    return _joined(windows)


def _joined(windows: list[WidthWindow]) -> tuple[WidthWindow, ...]:
    """Windows that meet end to end made one."""
    joined: list[WidthWindow] = windows[:1]
    for _, window in pairwise(windows):
        if window.low.width <= joined[-1].high.width:
            joined[-1] = WidthWindow(joined[-1].low, window.high)
        else:
            joined.append(window)
    return tuple(joined)


def _walk(
    margins: tuple[Problem, ...],
    box: Box,
    reference: float,
    start: float,
    end: float,
    tolerance: float,
    give_up: GiveUp | None,
) -> WidthBound:
    """Walk from a clear width towards another one, to the first width that is not proved clear."""
    if start == end:
        return WidthBound(start, start, None)
    ways = np.zeros((len(box.size) + 1, 4))
    ways[0, 3] = 1.0 if end > start else -1.0
    ways[1:] = box.ways
    middle = box.middle.copy()
    middle[3] = (start + end) / 2.0 - reference
    walk = Box(middle, ways, np.concatenate([[abs(end - start) / 2.0], box.size]), box.reach)
    nearest, beyond = np.inf, np.inf
    reason: PairName | None = None
    for problem in margins:
        found = first_crossing(problem.scene, problem.pairs, 1, walk, tolerance=tolerance, give_up=give_up)
        if found.low[0] < nearest:
            nearest, beyond = float(found.low[0]), float(found.high[0])
            reason = problem.names[int(found.pair[0])]
    if reason is None:
        return WidthBound(end, end, None)
    beyond = min(beyond, abs(end - start))
    sign = 1.0 if end > start else -1.0
    return WidthBound(start + sign * nearest, start + sign * beyond, reason)


def _one_group(problem: Problem) -> Problem:
    """All pairs as one group; names then are per pair."""
    pairs = problem.pairs
    names = tuple(problem.names[group] for group in pairs.group)
    return replace(problem, pairs=replace(pairs, group=np.zeros_like(pairs.group)), names=names)
