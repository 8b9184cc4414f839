"""Whether the plan of an axle can be built: everything that refuses it, so that no part of it passes for good."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from msgspec.structs import replace

from geometry.errors import PlanError
from geometry.plan.caster import clocking_of
from geometry.plan.cuts import cut_plan
from geometry.plan.perch import check_perches
from geometry.plan.shafts import shaft_plan
from geometry.rig.axle import Axle

_CHECKS: Final[tuple[Callable[[Axle], object], ...]] = (cut_plan, check_perches, shaft_plan, clocking_of)


MOST_STEPS: Final = 3
"""Widths one after the other at which the next refusal is looked for [-]."""


def refusals(axle: Axle) -> tuple[PlanError, ...]:
    """Everything that refuses the plan of an axle at its own width, each once; empty = nothing known does.

    What would refuse it next, at a width that a refusal asks for, is told at once.
    """
    found = {str(refused): refused for refused in _refusals(axle)}
    wanted, known = axle.width, {refused.place for refused in found.values()}
    for _ in range(MOST_STEPS):
        widths = [value for each in found.values() for place, value in each.nearest if place.endswith("/width")]
        if not widths or max(widths) <= wanted:
            break
        wanted = max(widths)
        for refused in _refusals(replace(axle, width=wanted)):
            if refused.place not in known:
                problem = f"at the width of {wanted:.1f} mm, too: {refused.problem}"
                found[problem] = PlanError(refused.place, problem, by=refused.by, nearest=refused.nearest)
                known.add(refused.place)
    return tuple(found.values())


def _refusals(axle: Axle) -> tuple[PlanError, ...]:
    found: dict[str, PlanError] = {}
    for check in _CHECKS:
        try:
            check(axle)
        except PlanError as refused:
            found.setdefault(str(refused), refused)
    return tuple(found.values())
