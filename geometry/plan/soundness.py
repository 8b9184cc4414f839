"""Whether the plan of an axle can be built: everything that refuses it, so that no part of it passes for good."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from geometry.errors import PlanError
from geometry.plan.caster import clocking_of
from geometry.plan.cuts import cut_plan
from geometry.plan.perch import check_perches
from geometry.plan.shafts import shaft_plan
from geometry.rig.axle import Axle

_CHECKS: Final[tuple[Callable[[Axle], object], ...]] = (cut_plan, check_perches, shaft_plan, clocking_of)


def refusals(axle: Axle) -> tuple[PlanError, ...]:
    """Everything that refuses the plan of an axle at its own width, each once; empty = nothing known does."""
    found: dict[str, PlanError] = {}
    for check in _CHECKS:
        try:
            check(axle)
        except PlanError as refused:
            found.setdefault(str(refused), refused)
    return tuple(found.values())
