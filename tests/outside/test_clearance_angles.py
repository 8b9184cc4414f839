"""Approach and ramp (breakover) angle by their published definitions.

Sources:

- 40 CFR 86.084-2: approach, the smallest angle in side view between the ground and the line tangent to the front tire's
  static loaded radius arc that touches the underside ahead of it; breakover, the supplement of the largest angle formed
  by two lines tangent to the front and rear arcs which meet on the underside. 87/403/EEC has the ramp angle with
  planes.
- A page on the breakover angle, point contact, 2 · atan(2 · clearance / wheelbase): 15 in, 120 in: 28.07°. Its other
  example, 12 in and 100 in, is printed 27.04° and is 26.99°.
- A club's page and a dealer's: breakover 25.2° and 20.8° of one 4x4 with two and with four doors, the four-door
  wheelbase 116 in, the other 20.6 in shorter; both have one underbody, and so must their belly heights be.
- The project's sheet of checks, section 8: 30 in ahead, 22 in high, radius 18.5: 44.4258°, with point contact 36.25°;
  12 in in the middle of 100 in, radius 16: 28.0548°, point contact 26.9915°; nothing is published with every dimension.
"""

from __future__ import annotations

from math import atan, degrees

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from geometry.rig.wheel import INCH
from geometry.stance.clearance_angles import clearance_angles
from geometry.stance.tangents import crest_angle, tangent_angle
from tests.geometry.rig.rigs import plain_axle, small_rig

THIN = 0.001
"""Outside diameter of a tube that stands for a point [mm]; it moves an angle by a few millionths of a degree."""


def approach(ahead: float, height: float, tire: float) -> float:
    return degrees(tangent_angle(np.array([ahead]), np.array([height]), tire)[0])


def ramp(height: float, base: float, tire: float) -> float:
    return degrees(crest_angle(np.array([[base / 2.0, height]]), base, tire, tire)[0])


def whole_rig(tire: float, base: float, *points: tuple[float, float, float]) -> dict[str, float]:
    """The angles of a rig whose chassis is a thread [deg]; lengths in inches."""
    axles = []
    for name, station in (("rear", 0.0), ("front", base * INCH)):
        axles.append(plain_axle(name, station) | {"height": tire * INCH, "rods": lifted(name, station)})
    nodes = [{"id": f"n{i}", "at": [value * INCH for value in point]} for i, point in enumerate(points)]
    thread = {"id": "thread", "nodes": [node["id"] for node in nodes], "od": THIN, "wall": THIN / 2.0}
    found = clearance_angles(small_rig(nodes=nodes, bars=[thread], panels=[], axles=axles))
    assert found.ramp.part is not None
    return {name: degrees(getattr(found, name).value.value) for name in ("approach", "departure", "ramp")}


def lifted(name: str, station: float) -> list[dict[str, object]]:
    """Links that hang out of the way."""
    rods = plain_axle(name, station)["rods"]
    return [rod | {end: [*rod[end][:2], rod[end][2] + 2000.0] for end in ("chassis", "axle")} for rod in rods]


def test_a_point_30_in_ahead_and_22_in_high_of_a_tire_of_18_5() -> None:
    assert approach(30.0, 22.0, 18.5) == pytest.approx(44.4258, abs=5e-5)
    assert approach(30.0, 22.0, 0.0) == pytest.approx(36.25, abs=0.005)


def test_12_in_in_the_middle_of_100_in_over_tires_of_16() -> None:
    assert ramp(12.0, 100.0, 16.0) == pytest.approx(28.0548, abs=5e-5)
    assert ramp(12.0, 100.0, 1e-9) == pytest.approx(26.9915, abs=5e-5)


def test_the_breakover_page_with_point_contact() -> None:
    assert ramp(15.0, 120.0, 1e-9) == pytest.approx(28.07, abs=0.005)
    assert abs(ramp(12.0, 100.0, 1e-9) - 27.04) > 0.04  # the page's misprint


def test_two_published_vehicles_share_their_belly_height() -> None:
    heights = [
        brentq(lambda height, base=base, angle=angle: ramp(height, base, 1e-9) - angle, 1.0, 40.0)
        for base, angle in ((116.0 - 20.6, 25.2), (116.0, 20.8))
    ]
    assert heights == pytest.approx([10.662, 10.645], abs=5e-4)
    assert abs(heights[0] - heights[1]) < 0.02


@pytest.mark.parametrize(("ahead", "tire"), [(10.0, 18.5), (30.0, 16.0), (50.0, 20.0)])
def test_a_point_on_the_ground_leaves_no_angle(ahead: float, tire: float) -> None:
    assert approach(ahead, 0.0, tire) == pytest.approx(0.0, abs=1e-9)


def test_whole_rigs_have_the_angles_of_their_points() -> None:
    found = whole_rig(18.5, 100.0, (-30.0, 20.0, 22.0), (130.0, 20.0, 22.0))
    assert found["approach"] == pytest.approx(44.4258, abs=1e-4)
    assert found["departure"] == pytest.approx(44.4258, abs=1e-4)
    assert whole_rig(16.0, 100.0, (50.0, 10.0, 12.0), (50.0, -10.0, 40.0))["ramp"] == pytest.approx(28.0548, abs=1e-4)


def test_the_largest_angle_between_tangents_by_an_independent_search() -> None:
    """The definition taken at its word: lines rotated until they touch, and the crest moved along a sloping belly."""
    tire, base = 16.0, 100.0
    start, end = np.array([30.0, 14.0]), np.array([75.0, 11.0])

    def touching(x: float, z: float) -> float:
        return brentq(lambda a: tire - (x * np.sin(a) - (z - tire) * np.cos(a)), 0.0, atan(z / x) + 0.7)

    def angle(share: float) -> float:
        x, z = start + share * (end - start)
        return touching(x, z) + touching(base - x, z)

    found = minimize_scalar(angle, bounds=(0.0, 1.0), method="bounded", options={"xatol": 1e-10})
    ends = [(float(x), 0.0, float(z)) for x, z in (start, end)]
    assert whole_rig(tire, base, *ends)["ramp"] == pytest.approx(degrees(found.fun), abs=1e-4)
