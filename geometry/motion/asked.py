"""What is asked of a part over its travel against what it can do: holds, fails, or nobody knows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["holds", "fails", "unknown"]


@dataclass(frozen=True, slots=True)
class Asked:
    """One demand.

    Attributes
    ----------
    place : str
        Where in the rig the limit stands, as in ``axles/rear/driveshaft/slip_in``.
    low, high : float
        Between which the demand lies, in the unit of the geometry [mm] or [rad].
    limit : float or None
        What there is, in the same unit; None = not known.

    """

    place: str
    low: float
    high: float
    limit: float | None

    @property
    def verdict(self) -> Verdict:
        """Unknown without a limit, and where the limit lies within what is not told apart."""
        if self.limit is None:
            return "unknown"
        return "holds" if self.high <= self.limit else "fails" if self.low > self.limit else "unknown"

    @property
    def spare(self) -> float | None:
        """What is left at the least; negative = it is short of that much; None = not known."""
        return None if self.limit is None else self.limit - self.high
