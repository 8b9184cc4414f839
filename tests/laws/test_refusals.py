"""What a refusal asks for does work: each number, typed as it is told in any unit, passes what refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from app.units import LengthUnit, in_unit, parse_length
from geometry.errors import PlanError
from geometry.plan.cuts import cut_plan
from geometry.plan.perch import check_perches
from geometry.plan.shafts import shaft_plan
from geometry.plan.soundness import refusals
from geometry.rig.axle import Axle
from geometry.rig.build import Perch
from geometry.rig.wheel import INCH
from tests.geometry.plan.builds import built, shaft, side

Check = Callable[[Axle], object]


def short(rng: np.random.Generator) -> Axle:
    return built(float(rng.uniform(20, 40)), float(rng.uniform(-6, 6)))


def deep(rng: np.random.Generator) -> Axle:
    return built(
        left=side(insertion_end=float(rng.uniform(10.3, 14))), right=side(end_addition=float(rng.uniform(8, 12)))
    )


def rounded(rng: np.random.Generator) -> Axle:
    return built(float(rng.uniform(60, 80)), rounding="1/32 in", rounding_limit=0.1)


def perched(rng: np.random.Generator) -> Axle:
    perches = tuple(
        Perch(id=f"p{each}", at=float(rng.uniform(-700, 700)), width=float(rng.uniform(30, 120)), weld_leg=6.0)
        for each in range(2)
    )
    return built(float(rng.uniform(50, 80)), float(rng.uniform(-9, 9)), perches=perches)


def splined(rng: np.random.Generator) -> Axle:
    made = shaft(engagement=float(rng.uniform(1, 5)), spline_length=float(rng.uniform(1, 3)))
    return built(left=replace(side(), shaft=made))


CASES: tuple[tuple[Callable[[np.random.Generator], Axle], Check], ...] = (
    (short, cut_plan), (deep, cut_plan), (rounded, cut_plan), (perched, check_perches), (splined, shaft_plan),
)  # fmt: skip


def put(axle: Axle, place: str, value: float) -> Axle:
    """The axle with another value at a place of a refusal."""
    return _put(axle, place.removeprefix(f"axles/{axle.id}/").split("/"), value)


def _put(record: Any, path: list[str], value: Any) -> Any:
    if isinstance(record, tuple):
        return tuple(_put(each, path[1:], value) if each.id == path[0] else each for each in record)
    return replace(record, **{path[0]: value if len(path) == 1 else _put(getattr(record, path[0]), path[1:], value)})


def refused(axle: Axle, check: Check) -> PlanError | None:
    try:
        check(axle)
    except PlanError as error:
        return error
    return None


def told(rng: np.random.Generator, make: Callable[[np.random.Generator], Axle], check: Check) -> Iterator[Any]:
    for _ in range(60):
        made = make(rng)
        error = refused(made, check)
        if error is not None:
            yield from ((made, error, place, value) for place, value in error.nearest)


@pytest.mark.parametrize("unit", LengthUnit)
@pytest.mark.parametrize(("make", "check"), CASES)
def test_a_number_that_a_refusal_tells_passes_it_as_typed(
    make: Callable[[np.random.Generator], Axle], check: Check, unit: LengthUnit
) -> None:
    cases = list(told(np.random.default_rng(9), make, check))
    assert len(cases) > 10
    for made, error, place, value in cases:
        typed = parse_length(in_unit(f"{value:.10g} mm", unit), unit)
        again = refused(put(made, place, typed), check)
        if place.endswith("/at"):  # another perch may still stand in another's way
            assert again is None or again.place != error.place, (error, typed)
        else:
            assert again is None, (error, typed, again)


def test_a_width_that_is_asked_for_is_told_with_what_would_refuse_it_next() -> None:
    wide = Perch(id="spring", at=30.0 * INCH, width=3.0 * INCH, weld_leg=6.0, mirrored=True)
    made = built(32.0, perches=(wide,))
    first, then = refusals(made)
    assert dict(first.nearest)["axles/front/width"] < 40.0 * INCH
    assert then.problem.startswith("at the width of ")
    assert refusals(replace(made, width=dict(then.nearest)["axles/front/width"])) == ()
