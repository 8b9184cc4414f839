from __future__ import annotations

import pytest

from geometry.links.motion import link_poses
from geometry.links.squat import ALL, AssumedMasses, antis
from geometry.motion.travel import RIDE_HEIGHT
from tests.geometry.links.linked import linked, on_rods
from tests.geometry.motion.linkages import TRIANGULATED

ASSUMED = AssumedMasses(wheelbase=2600.0, gravity_height=800.0, drive_share=ALL, brake_share=0.4)
REAR = linked("triangulated")


def test_a_line_to_the_height_of_gravity_over_the_other_axle_resists_all() -> None:
    found = link_poses(REAR, (RIDE_HEIGHT,))[0]
    height = found.lean * 2600.0
    whole = antis(found, AssumedMasses(2600.0, height, ALL, 0.25), front=False, loaded_radius=450.0)
    assert whole.drive == pytest.approx(1.0)
    assert whole.brake == pytest.approx(0.25)


def test_an_axle_turned_round_resists_as_much_in_front() -> None:
    rods = tuple(((-chassis[0], *chassis[1:]), (-joint[0], *joint[1:])) for chassis, joint in TRIANGULATED)
    front = link_poses(on_rods(rods), (RIDE_HEIGHT,))[0]
    rear = link_poses(REAR, (RIDE_HEIGHT,))[0]
    one = antis(rear, ASSUMED, front=False, loaded_radius=450.0)
    other = antis(front, ASSUMED, front=True, loaded_radius=450.0)
    assert other.drive == pytest.approx(one.drive)
    assert other.brake == pytest.approx(one.brake)
    assert one.drive is not None
    assert one.drive > 0.0


def test_the_axles_own_mass_lowers_where_the_line_starts() -> None:
    found = link_poses(REAR, (RIDE_HEIGHT,))[0]
    assert found.instant_centre is not None
    ahead, above = found.instant_centre
    apart = antis(found, AssumedMasses(2600.0, 800.0, ALL, None, unsprung=0.2), front=False, loaded_radius=450.0)
    assert apart.drive == pytest.approx((above + 90.0) / ahead * 2600.0 / 800.0)
    assert apart.brake is None


@pytest.mark.parametrize(
    "unknown", [AssumedMasses(None, 800.0, ALL), AssumedMasses(2600.0, None, ALL, missing=("masses",))]
)
def test_unknown_masses_leave_it_unknown(unknown: AssumedMasses) -> None:
    found = antis(link_poses(REAR, (RIDE_HEIGHT,))[0], unknown, front=False, loaded_radius=450.0)
    assert found.drive is found.brake is None
    assert found.assumed is unknown


def test_links_without_an_instant_centre_resist_by_their_lean_alone() -> None:
    rods = tuple(((900.0, y, z), (0.0, y, z)) for y, z in ((450.0, 420.0), (-450.0, 420.0), (0.0, 640.0)))
    level = link_poses(on_rods((*rods, ((0.0, -450.0, 560.0), (0.0, 450.0, 560.0)))), (RIDE_HEIGHT,))[0]
    heavy = AssumedMasses(2600.0, 800.0, ALL, unsprung=0.3)
    assert antis(level, heavy, front=False, loaded_radius=450.0).drive == pytest.approx(0.0, abs=1e-9)
