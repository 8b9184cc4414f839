from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.plan.amount import Amount
from geometry.stance.axle_loads import axle_loads
from geometry.stance.masses import MassState
from tests.geometry.rig.rigs import small_rig

STATE = MassState("empty", Amount(1300.0), Amount(600.0), Amount(0.0), Amount(800.0))


def test_loads_add_up_and_their_moment_is_that_of_the_mass() -> None:
    rear, front = axle_loads(small_rig(), STATE)
    assert (rear.axle, front.axle) == ("rear", "front")
    assert front.load.value == pytest.approx(300.0)
    assert rear.load.value + front.load.value == pytest.approx(1300.0)
    assert rear.share.value + front.share.value == pytest.approx(1.0)


def test_loads_are_told_in_the_order_of_the_axles() -> None:
    rig = small_rig()
    turned = replace(rig, axles=tuple(reversed(rig.axles)))
    assert axle_loads(turned, STATE) == tuple(reversed(axle_loads(rig, STATE)))


def test_one_axle_carries_all_and_three_are_for_their_springs_to_decide() -> None:
    rig = small_rig()
    assert axle_loads(replace(rig, axles=rig.axles[:1]), STATE)[0].load == STATE.mass
    third = replace(rig.axles[0], id="tag", station=-1000.0)
    assert {load.load for load in axle_loads(replace(rig, axles=(*rig.axles, third)), STATE)} == {
        Amount(None, ("axles",))
    }


def test_an_unknown_mass_leaves_the_share_and_takes_the_load() -> None:
    rear, _ = axle_loads(small_rig(), replace_mass(STATE, Amount(None, ("masses/parts",))))
    assert rear.load.missing == ("masses/parts",)
    assert rear.share.value is not None


def replace_mass(state: MassState, mass: Amount) -> MassState:
    return MassState(state.state, mass, state.x, state.y, state.z)
