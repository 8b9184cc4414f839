"""Static stability factor, tip angle, and the track that a factor takes.

Sources:

- NHTSA, the rollover chapter of its consumer rating rule: SSF = half the track over the height of the centre of
  gravity.
- A worked example in a public repository: track 72 in, height 80 in, 0.45 g. 24.23° is the project's own arc tangent of
  it.
- The project's sheet of checks, section 3: SSF and tip angle side by side; 63.0 in of track for SSF 1.05 at 30 in.
- Althoff and Würsching, 2020, Table 6, and US DOT data as the package commonroad-vehicle-models has them: front and
  rear track and height of the centre of gravity of a small hatchback and of a compact sedan. The factors, with the mean
  of both tracks as NHTSA takes it, are the project's own, 1.2609 and 1.1963, and 51.58° and 50.11°.
"""

from __future__ import annotations

from math import atan, degrees

import pytest
from msgspec.structs import replace

from geometry.plan.amount import Amount
from geometry.rig.rig import Rig
from geometry.rig.rules import Rules
from geometry.rig.wheel import INCH, Wheel
from geometry.stance.masses import MassState, RigMasses, TubeMass
from geometry.stance.rules import width_rules
from geometry.stance.stability import stability, stability_factor
from tests.geometry.rig.rigs import small_rig


def rig_of_tracks(rear: float, front: float) -> Rig:
    """A rig whose wheels have no offset, so that its widths are its tracks [mm]."""
    rig = small_rig()
    wheel = Wheel(rim_width=200.0, offset=0.0)
    axles = (replace(axle, width=width, wheel=wheel) for axle, width in zip(rig.axles, (rear, front), strict=True))
    return replace(rig, axles=tuple(axles))


def at_height(height: float) -> MassState:
    """A rig that weighs something midway between its axles."""
    return MassState("loaded", Amount(1500.0), Amount(1300.0), Amount(0.0), Amount(height))


def test_the_worked_example_of_72_in_of_track_and_80_in_of_height() -> None:
    found = stability(rig_of_tracks(72.0 * INCH, 72.0 * INCH), at_height(80.0 * INCH))
    for each in (*found.axles, found):
        assert each.factor.value == pytest.approx(0.45, abs=1e-12)
        assert degrees(each.tip.value) == pytest.approx(24.23, abs=0.005)


@pytest.mark.parametrize(
    ("factor", "tip_deg"), [(1.00, 45.00), (1.05, 46.40), (1.13, 48.49), (1.20, 50.19), (1.41, 54.65)]
)
def test_tip_angles_of_published_factors(factor: float, tip_deg: float) -> None:
    found = stability(rig_of_tracks(1600.0, 1600.0), at_height(800.0 / factor))
    assert degrees(found.axles[0].tip.value) == pytest.approx(tip_deg, abs=0.005)


def test_a_factor_of_1_05_at_30_in_takes_63_in_of_track() -> None:
    rig = replace(rig_of_tracks(1600.0, 1600.0), rules=Rules(least_factor=1.05))
    state = at_height(30.0 * INCH)
    for rule in width_rules(rig, rig.axles[0], RigMasses(TubeMass(0.0, 0.0, None), state, state)):
        assert rule.low is not None
        assert rule.low.value / INCH == pytest.approx(63.0, abs=1e-9)


@pytest.mark.parametrize(
    ("front", "rear", "height", "factor", "tip_deg"),
    [
        (1389.888, 1423.416, 557.784, 1.2609, 51.58),
        (1386.840, 1363.980, 574.869, 1.1963, 50.11),
    ],
)
def test_vehicles_with_two_tracks_by_the_mean_of_both(
    front: float, rear: float, height: float, factor: float, tip_deg: float
) -> None:
    found = stability(rig_of_tracks(rear, front), at_height(height))
    assert found.factor.value == pytest.approx(factor, abs=5e-5)
    assert degrees(found.tip.value) == pytest.approx(tip_deg, abs=0.005)
    mean = stability_factor((front + rear) / 2.0, height)
    assert (found.factor.value, found.tip.value) == pytest.approx((mean, atan(mean)), abs=1e-12)
