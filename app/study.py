"""Answers once: one rig in, one frozen result out, read by window, command line and report alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from geometry.contact.findings import Approach, TravelMap, Verdict, WidthCurve
from geometry.rig.rig import Rig

Progress = Callable[[float], None]
"""Called with the share of the work done, 0 to 1."""
Cancelled = Callable[[], bool]
"""Asked now and then; True ends the work with StudyCancelledError."""


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

    """

    axle: str
    width: float
    track: float
    outer_width: float
    approaches: tuple[Approach, ...]
    closure: float
    pose_error: float
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Study:
    """The answer for one revision of a rig."""

    revision: int
    rig: Rig
    tolerance: float
    axles: tuple[AxleAnswer, ...]

    @property
    def approaches(self) -> tuple[Approach, ...]:
        """All pairs of all axles, worst margin first."""
        return tuple(sorted((a for axle in self.axles for a in axle.approaches), key=lambda a: a.margin))

    @property
    def verdict(self) -> Verdict:
        """The worst that any pair or axle shows."""
        verdicts = {a.verdict for axle in self.axles for a in axle.approaches}
        verdicts |= {Verdict.UNKNOWN for axle in self.axles if axle.problem}
        return next((v for v in Verdict if v in verdicts), Verdict.CLEAR)
