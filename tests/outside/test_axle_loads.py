"""Loads on two axles, and the centre of gravity of many parts.

Sources:

- A truck maker's manual, two examples: 100 lb at 133 in with 214 in of wheelbase, rear 62.14 lb; front printed 38.86, a
  misprint of 37.86. 14 500 lb at 156 in: rear 10 570 lb, 4794.5 kg; front 3930 lb, 1782.6 kg. (Its caption has 184.7
  in.)
- The benchmark bicycle in BicycleParameters (BSD licence), four bodies with z downward, for which Σ m z = −80.95 is
  published as a stiffness term; the centre of gravity at 0.342128, −0.861170 m is the project's own.
- Owner's manuals and a truck equipment association: a person counts as 150 lb, 68 kg.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.plan.amount import Amount
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from geometry.stance.axle_loads import axle_loads
from geometry.stance.masses import MassState, rig_masses
from tests.geometry.rig.rigs import plain_axle, small_rig

POUND = 0.45359237


def loads(pounds: float, from_front_in: float) -> tuple[float, float]:
    """Rear and front load on 214 in of wheelbase [kg]."""
    rig = small_rig()
    rig = replace(rig, axles=(rig.axles[0], replace(rig.axles[1], station=214.0 * INCH)))
    x = Amount((214.0 - from_front_in) * INCH)
    rear, front = axle_loads(rig, MassState("loaded", Amount(pounds * POUND), x, Amount(0.0), Amount(900.0)))
    return rear.load.value, front.load.value


def test_100_lb_at_133_in_of_214() -> None:
    rear, front = loads(100.0, 133.0)
    assert rear / POUND == pytest.approx(62.14, abs=0.015)
    assert front / POUND == pytest.approx(37.85, abs=0.005)


def test_14500_lb_at_156_in_of_214() -> None:
    rear, front = loads(14500.0, 156.0)
    assert (rear / POUND, front / POUND) == pytest.approx((10570.0, 3930.0), abs=0.1)
    assert (rear, front) == pytest.approx((4794.5, 1782.6), abs=0.06)


def test_four_bodies_of_the_benchmark_bicycle() -> None:
    bodies = ((85.0, 0.3, -0.9), (4.0, 0.9, -0.7), (3.0, 1.02, -0.35), (2.0, 0.0, -0.3))
    assert sum(mass * z for mass, _, z in bodies) == pytest.approx(-80.95, abs=1e-12)
    parts = [
        {"id": f"body{index}", "mass_kg": mass, "at": [1000.0 * x, 0.0, -1000.0 * z]}
        for index, (mass, x, z) in enumerate(bodies)
    ]
    found = rig_masses(without_chassis(parts)).empty
    assert found.mass.value == pytest.approx(94.0)
    assert found.x.value == pytest.approx(342.128, abs=5e-4)
    assert found.z.value == pytest.approx(861.170, abs=5e-4)


def test_a_person_adds_68_kg_where_they_sit() -> None:
    seat = [600.0, 250.0, 950.0]
    parts = [
        {"id": "rest", "mass_kg": 1000.0, "at": [1300.0, 0.0, 700.0]},
        {"id": "driver", "mass_kg": 150.0 * POUND, "at": seat, "aboard": "loaded"},
    ]
    found = rig_masses(without_chassis(parts))
    assert found.loaded.mass.value - found.empty.mass.value == pytest.approx(68.0, abs=0.05)
    assert found.loaded.z.value == pytest.approx((1000.0 * 700.0 + 68.0389 * 950.0) / 1068.0389, abs=1e-3)


def without_chassis(parts: list[dict[str, object]]) -> Rig:
    axles = [plain_axle("rear", 0.0), plain_axle("front", 2600.0)]
    return small_rig(nodes=[], bars=[], panels=[], axles=axles, masses={"parts": parts})
