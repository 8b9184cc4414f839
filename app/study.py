"""Answers once: one rig in, one frozen result out, read by window, command line and report alike.

The search is imported by the first question, for the window shows itself before it asks one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import takewhile
from math import isfinite, nan
from typing import TYPE_CHECKING, Final

import msgspec
import numpy as np
from numpy.typing import NDArray

from geometry.contact.findings import Approach, PairName, TravelMap, Verdict, WidthCurve, WidthSample, WidthWindow
from geometry.errors import LinkageError
from geometry.motion.linkage import Linkage, linkage_of, solve
from geometry.motion.pose_map import pose_map
from geometry.rig.axle import Axle
from geometry.rig.check import check_rig
from geometry.rig.rig import Rig
from geometry.rig.wheel import outer_width, tire_dimensions, track_width
from geometry.tolerances import CLEARANCE, FAR

if TYPE_CHECKING:
    from geometry.contact.free_lock import FreeLock
    from geometry.plan.as_built import AsBuiltReport, Difference, Measured
    from geometry.stance.rules import WidthRule

Floats = NDArray[np.float64]
Progress = Callable[[float], None]
"""Called with the share of the work done, 0 to 1."""
Cancelled = Callable[[], bool]
"""Asked now and then; True ends the work with StudyCancelledError."""

GUESS: Final = 2.0
"""By how much the least margin may have grown from one step of a drag to the next [mm]: a slow hand's step."""


class StudyCancelledError(Exception):
    """The work was ended before it was done."""


@dataclass(frozen=True, slots=True)
class AxleAnswer:
    """What was established for one axle.

    Attributes
    ----------
    axle : str
    width, track, outer_width : float
        Wheel-mount width, tire centre to tire centre, outside to outside of the tires [mm].
    approaches : tuple of Approach
        Every pair of this axle's moving parts, worst margin first.
    closure : float
        Largest residual of a rod's length over the travel [mm].
    pose_error : float
        Bound on the error of a tabulated axle pose at the tires [mm]; it is already taken off every `low`.
    problem : str
        Why the axle cannot follow its travel, one sentence; empty = it can. With a problem there are no approaches.
    in_short : bool
        Only the pairs that do not clear and what was asked for are in it; with none, the nearest.

    """

    axle: str
    width: float
    track: float
    outer_width: float
    approaches: tuple[Approach, ...]
    closure: float
    pose_error: float
    problem: str = ""
    in_short: bool = False


@dataclass(frozen=True, slots=True)
class Cause:
    """One measured number that brings a pair closer than the plan does.

    Attributes
    ----------
    axle : str
    name : Measured
    by : float
        Measured less planned [mm], of angles [rad].
    closer : float
        By how much it alone brings the pair closer in its worst pose [mm].

    """

    axle: str
    name: Measured
    by: float
    closer: float


@dataclass(frozen=True)
class BuiltCheck:
    """The same check with what was measured in place of what was planned (see app.as_built).

    Attributes
    ----------
    study : Study or None
        Its rig is the one as built; None = no rig can be made of what was measured.
    problem : str
        Why there is none, one sentence.
    causes : tuple of Cause
        What brings the worst pair closer than planned, the most important first; empty = it clears, or is no closer
        than planned.
    broken : tuple of WidthRule
        Rules beside clearance that the measured axles break.
    reports : tuple of AsBuiltReport
        What was measured beside the plan, by axle.
    plan_problem : str
        Why some axle has no report, a sentence each; empty = all that were measured have.

    """

    study: Study | None
    problem: str = ""
    causes: tuple[Cause, ...] = ()
    broken: tuple[WidthRule, ...] = ()
    reports: tuple[AsBuiltReport, ...] = ()
    plan_problem: str = ""

    @property
    def verdict(self) -> Verdict:
        """Its verdict; not established where there is no study."""
        return Verdict.UNKNOWN if self.study is None else self.study.verdict

    @property
    def outside(self) -> tuple[tuple[str, Difference], ...]:
        """Measured numbers out of tolerance with their axles, by axle and the worst first."""
        return tuple((report.axle, each) for report in self.reports for each in report.outside)

    @property
    def sign(self) -> Verdict:
        """What stands beside it: the verdict, but tight where all clears and something is out of tolerance."""
        return Verdict.TIGHT if self.verdict is Verdict.CLEAR and self.outside else self.verdict

    @property
    def worst(self) -> Approach | None:
        """The pair that the verdict is about; None = no single one."""
        return None if self.study is None else self.study.worst


@dataclass(frozen=True)
class Study:
    """The answer for one revision of a rig.

    Attributes
    ----------
    as_built : BuiltCheck or None
        None = nothing was measured, or it was not asked for.

    """

    revision: int
    rig: Rig
    tolerance: float
    axles: tuple[AxleAnswer, ...]
    as_built: BuiltCheck | None = None

    @property
    def in_short(self) -> bool:
        """Whether pairs that clear are left out, see `check`."""
        return any(axle.in_short for axle in self.axles)

    @cached_property
    def approaches(self) -> tuple[Approach, ...]:
        """All pairs of all axles, worst margin first."""
        return tuple(sorted((a for axle in self.axles for a in axle.approaches), key=lambda a: a.margin))

    @cached_property
    def short(self) -> tuple[Approach, ...]:
        """All pairs that are not clear, worst margin first."""
        return tuple(takewhile(lambda a: a.margin < 0.0, self.approaches))

    @cached_property
    def verdict(self) -> Verdict:
        """The worst that any pair or axle shows, as planned."""
        verdicts = {a.verdict for a in self.short}
        verdicts |= {Verdict.UNKNOWN for axle in self.axles if axle.problem}
        return next((v for v in Verdict if v in verdicts), Verdict.CLEAR)

    @property
    def worst(self) -> Approach | None:
        """The pair with the least margin of those that show the verdict; None = none does, or all is clear."""
        return next((found for found in self.short if found.verdict is self.verdict), None)

    @property
    def overall(self) -> Verdict:
        """The worse of the verdicts as planned and as built, tight where a measured number is out of tolerance."""
        verdicts = {self.verdict} | ({self.as_built.sign} if self.as_built is not None else set())
        return next(v for v in Verdict if v in verdicts)


def check(
    rig: Rig,
    *,
    only: str = "",
    revision: int = 0,
    tolerance: float = CLEARANCE,
    previous: Study | None = None,
    in_short: Collection[PairName] | None = None,
    trusted: bool = False,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Study:
    """Whole-travel check of every axle.

    Parameters
    ----------
    only : str
        Id of the one axle to check; empty = all.
    previous : Study or None
        An earlier answer; what it says of an axle is kept when neither that axle nor the chassis has changed.
    in_short : collection of PairName or None
        Leave out the pairs of changed axles that clear, but for these and, when all of them do, the nearest: quick
        enough for each picture of a drag. Nothing is left out where the search is not compiled.
    trusted : bool
        The rig has passed `check_rig`, as all have that a document shows, and is not looked at again.

    Raises
    ------
    RigError
        When the rig as described cannot be used.
    StudyCancelledError
        When `cancelled` said so.

    """
    if not trusted:
        check_rig(rig)
    answers = []
    axles = [rig.axle(only)] if only else rig.axles
    for index, axle in enumerate(axles):
        if progress is not None:
            progress(index / len(axles))
        known = _known(previous, rig, axle, tolerance)
        if known is not None and known.in_short and in_short is None:
            known = None
        if known is None:
            short = _Short(in_short, _least_margin(previous, axle.id)) if in_short is not None else None
            known = _answer(rig, axle, tolerance, short, cancelled)
        answers.append(known)
    if progress is not None:
        progress(1.0)
    return Study(revision, rig, tolerance, tuple(answers))


def width_curve(
    rig: Rig,
    axle_id: str,
    low: float,
    high: float,
    *,
    partial: Callable[[WidthCurve], None] | None = None,
    cancelled: Cancelled | None = None,
) -> WidthCurve:
    """Closest approach of one axle against its width, and the width windows between `low` and `high` [mm].

    Raises
    ------
    RigError, StudyCancelledError
        As for `check`.
    LinkageError
        When the axle cannot follow its travel.

    """
    from geometry.contact import width

    check_rig(rig)
    curve = width.width_curve(rig, rig.axle(axle_id), low, high, partial=partial, give_up=cancelled)
    if curve is None:
        raise StudyCancelledError
    return curve


def width_sample(rig: Rig, axle_id: str, width: float) -> WidthSample:
    """Closest approach of one axle at one width [mm].

    Raises
    ------
    RigError, LinkageError
        As for `width_curve`.

    """
    from geometry.contact.width import width_sample

    at_width = with_width(rig, axle_id, width)
    check_rig(at_width)
    return width_sample(at_width, at_width.axle(axle_id))


def width_windows(
    rig: Rig, axle_id: str, samples: Sequence[WidthSample], *, cancelled: Cancelled | None = None
) -> tuple[WidthWindow, ...]:
    """The width windows of one axle that hold one of the samples, between the first and the last of them.

    Raises
    ------
    RigError, LinkageError, StudyCancelledError
        As for `width_curve`.

    """
    from geometry.contact import width

    check_rig(rig)
    found = width.width_windows(rig, rig.axle(axle_id), samples, give_up=cancelled)
    if found is None:
        raise StudyCancelledError
    return found


def with_width(rig: Rig, axle_id: str, width: float) -> Rig:
    """The rig with another wheel-mount width [mm] of one axle."""
    axles = tuple(msgspec.structs.replace(axle, width=width) if axle.id == axle_id else axle for axle in rig.axles)
    return msgspec.structs.replace(rig, axles=axles)


def travel_map(rig: Rig, axle_id: str, count: int = 41, *, cancelled: Cancelled | None = None) -> TravelMap:
    """Clearance of one axle over a count × count grid of travels, for the picture on the travel pad.

    Raises
    ------
    RigError, LinkageError, StudyCancelledError
        As for `width_curve`.

    """
    from geometry.contact import travel_map

    check_rig(rig)
    found = travel_map.travel_map(rig, rig.axle(axle_id), count, give_up=cancelled)
    if found is None:
        raise StudyCancelledError
    return found


def free_lock(rig: Rig, axle_id: str, *, cancelled: Cancelled | None = None) -> FreeLock | None:
    """Free lock of one axle over its travel; None = it does not steer.

    Raises
    ------
    LinkageError
        When the axle cannot follow its travel.
    StudyCancelledError
        When `cancelled` said so.

    """
    from geometry.contact import free_lock as free

    found = free.free_lock(rig, rig.axle(axle_id), give_up=cancelled)
    if cancelled is not None and cancelled():
        raise StudyCancelledError
    return found


def _known(previous: Study | None, rig: Rig, axle: Axle, tolerance: float) -> AxleAnswer | None:
    """What an earlier study says of an axle, if it still holds."""
    if previous is None or previous.tolerance != tolerance:
        return None
    before = previous.rig
    if (before.nodes, before.bars, before.panels, before.wanted) != (rig.nodes, rig.bars, rig.panels, rig.wanted):
        return None
    if bare(axle) not in map(bare, before.axles):
        return None
    return next((answer for answer in previous.axles if answer.axle == axle.id), None)


def bare(axle: Axle) -> Axle:
    """The axle without what no search asks: how it is built, what was measured on it, and widths on trial."""
    return msgspec.structs.replace(axle, build=None, as_built=None, trial_widths=())


@dataclass(frozen=True, slots=True)
class _Short:
    """What is asked for besides pairs that do not clear, and a guess of the least margin [mm]."""

    asked_for: Collection[PairName]
    spare: float


def _least_margin(previous: Study | None, axle_id: str) -> float:
    """The least margin that an earlier study found, and a bit more, for it will have changed since [mm]."""
    answers = () if previous is None else previous.axles
    least = min((a.margin for answer in answers if answer.axle == axle_id for a in answer.approaches), default=0.0)
    return least + GUESS if 0.0 < least < FAR else 0.0


def _answer(rig: Rig, axle: Axle, tolerance: float, short: _Short | None, cancelled: Cancelled | None) -> AxleAnswer:
    tire = tire_dimensions(axle.tire)
    track = track_width(axle.width, axle.wheel)
    outer = outer_width(axle.width, axle.wheel, tire)
    try:
        linkage = linkage_of(axle)
        table = pose_map(linkage)
    except LinkageError as error:
        return AxleAnswer(axle.id, axle.width, track, outer, (), nan, nan, str(error))
    pose_error = table.position_error + outer / 2.0 * table.rotation_error
    residual = _closure(linkage)
    if not isfinite(pose_error):
        problem = f"The travel of the {axle.id} axle could not be established; its linkage is close to binding."
        return AxleAnswer(axle.id, axle.width, track, outer, (), residual, nan, problem)
    approaches, in_short = _searched(rig, axle, tolerance, short, cancelled)
    if cancelled is not None and cancelled():
        raise StudyCancelledError
    return AxleAnswer(axle.id, axle.width, track, outer, approaches, residual, pose_error, in_short=in_short)


def _searched(
    rig: Rig, axle: Axle, tolerance: float, short: _Short | None, cancelled: Cancelled | None
) -> tuple[tuple[Approach, ...], bool]:
    """The closest approaches of one axle, and whether they are in short."""
    from geometry.contact import axle_check
    from geometry.contact.compiled import ready

    if short is None or not ready.is_ready():
        return axle_check.check_axle(rig, axle, tolerance=tolerance, give_up=cancelled), False
    found = axle_check.check_axle_in_short(
        rig, axle, short.asked_for, spare=short.spare, tolerance=tolerance, give_up=cancelled
    )
    return found, True


@lru_cache(maxsize=64)
def _closure(linkage: Linkage) -> float:
    """Largest residual of a rod's length at ride height and at the corners of the travel [mm]."""
    low, high = -linkage.droop, linkage.bump
    left, right = np.array([0.0, low, low, high, high]), np.array([0.0, low, high, low, high])
    return float(solve(linkage, left, right).residual.max())
