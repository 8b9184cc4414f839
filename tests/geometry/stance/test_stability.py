from __future__ import annotations

from math import atan2

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.plan.amount import Amount
from geometry.rig.rig import Rig
from geometry.stance.masses import MassState, rig_masses
from geometry.stance.stability import stability
from tests.geometry.rig.rigs import small_rig
from tests.geometry.stance.stances import weighed_rig

TRACK = 1600.0 + 2 * 38.0


def state(x: float, y: float, z: float) -> MassState:
    return MassState("loaded", Amount(1500.0), Amount(x), Amount(y), Amount(z))


def narrow_front(by: float) -> Rig:
    rig = small_rig()
    return replace(rig, axles=(rig.axles[0], replace(rig.axles[1], width=1600.0 - by)))


def test_each_axle_is_told_by_its_own_track() -> None:
    found = stability(narrow_front(100.0), state(1300.0, 0.0, 800.0))
    assert [axle.track for axle in found.axles] == [TRACK, TRACK - 100.0]
    assert [axle.factor.value for axle in found.axles] == pytest.approx([TRACK / 1600.0, (TRACK - 100.0) / 1600.0])
    assert all(axle.tip_outer.value > axle.tip.value for axle in found.axles)


def test_the_whole_rig_tips_about_the_line_between_its_contact_centres() -> None:
    """The moment of gravity about the line through two feet vanishes at the slope that is told."""
    centre = np.array([800.0, 30.0, 800.0])
    found = stability(narrow_front(200.0), state(*centre))
    rear, front = np.array([0.0, TRACK / 2.0, 0.0]), np.array([2600.0, TRACK / 2.0 - 100.0, 0.0])
    slope = found.tip.value
    assert slope is not None
    gravity = np.array([0.0, np.sin(slope), -np.cos(slope)])
    moment = np.cross(centre - rear, gravity) @ (front - rear)
    assert moment == pytest.approx(0.0, abs=1e-6 * 2600.0 * 800.0)
    assert atan2(found.factor.value, 1.0) == pytest.approx(slope)


def test_what_width_adds_is_the_difference_over_a_small_step() -> None:
    rig, masses = small_rig(), state(1300.0, 0.0, 800.0)
    axle = stability(rig, masses).axles[0]
    wider = replace(rig, axles=(replace(rig.axles[0], width=1600.01), rig.axles[1]))
    after = stability(wider, masses).axles[0]
    assert (after.factor.value - axle.factor.value) / 0.01 == pytest.approx(axle.factor_by_width.value, rel=1e-6)
    assert (after.tip.value - axle.tip.value) / 0.01 == pytest.approx(axle.tip_by_width.value, rel=1e-4)


@pytest.mark.parametrize("x", [-50.0, 2650.0])
def test_a_rig_whose_weight_is_beyond_its_axles_does_not_stand(x: float) -> None:
    assert stability(small_rig(), state(x, 0.0, 800.0)).factor.value == 0.0


def test_without_a_height_nothing_is_told_and_what_is_missing_is() -> None:
    found = stability(small_rig(), rig_masses(small_rig()).empty)
    assert found.factor == Amount(None, ("masses/parts",))
    assert found.tip.value is None
    assert {axle.tip.missing for axle in found.axles} == {("masses/parts",)}
    assert stability(weighed_rig(), rig_masses(weighed_rig()).empty).tip.value is not None
