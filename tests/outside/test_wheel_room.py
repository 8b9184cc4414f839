"""Room inside a wheel and on a bare tube.

Sources:

- A wheel maker's page on clearance: at least 0.250 in between a wheel and any brake or suspension part.
- The project's sheet of checks, part 2 section 2, for perches: from the outer edge of the casting to the inner face of
  the knuckle or brake bracket there must be at least the width of the perch and its weld legs on both sides. Nothing is
  published with numbers.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from app.figures.groups import group
from geometry.plan.perch import perch_fit
from geometry.rig.build import Build, Perch
from geometry.rig.wheel import INCH
from tests.geometry.plan.builds import built, side
from tests.geometry.rig.rigs import small_rig

PERCH, LEG = 3.0, 0.25
"""Width of a perch and leg of its welds [in]."""


@pytest.mark.parametrize(("gap_in", "warned"), [(0.249, True), (0.250, False), (0.251, False), (-0.01, True)])
def test_a_rim_wants_a_quarter_inch_to_brake_and_knuckle(gap_in: float, warned: bool) -> None:
    rig = small_rig()
    brake = 150.0
    rear = replace(rig.axles[0], build=Build(rim_inside_radius=brake + gap_in * INCH, brake_radius=brake))
    found = group(replace(rig, axles=(rear, *rig.axles[1:])), "rear", "wheels")
    assert bool(found.figure("brake_clearance").warning) is warned


@pytest.mark.parametrize(("spare_in", "fits"), [(0.01, True), (0.0, True), (-0.01, False)])
def test_bare_tube_takes_a_perch_and_its_welds_and_nothing_less_does(spare_in: float, fits: bool) -> None:
    parts = side(centre_half=6.5, end_addition=10.25)
    bare = PERCH + 2.0 * LEG + spare_in
    at = (6.5 + bare / 2.0) * INCH
    perch = Perch(id="spring", at=at, width=PERCH * INCH, weld_leg=LEG * INCH, mirrored=True)
    fit = perch_fit(built(2.0 * (6.5 + bare + 10.25), left=parts, right=parts, perches=(perch,)))
    assert fit.fits is fits
    assert fit.bare_left.value == pytest.approx(bare * INCH)
