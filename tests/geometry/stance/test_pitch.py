from __future__ import annotations

import pytest
from msgspec.structs import replace

from geometry.links.motion import link_poses
from geometry.links.squat import antis
from geometry.motion.travel import RIDE_HEIGHT
from geometry.rig.wheel import tire_dimensions
from geometry.stance.masses import rig_masses
from geometry.stance.pitch import assumed_masses
from tests.geometry.rig.rigs import small_rig
from tests.geometry.stance.stances import weighed_rig


def test_a_weighed_rig_gives_wheelbase_and_height() -> None:
    rig = weighed_rig()
    masses = rig_masses(rig).loaded
    assumed = assumed_masses(rig, rig.axles[0], masses)
    assert assumed.wheelbase == 2600.0
    assert assumed.gravity_height == masses.z.value
    assert assumed.missing == ()
    found = link_poses(rig.axles[0], (RIDE_HEIGHT,))[0]
    share = antis(found, assumed, front=False, loaded_radius=tire_dimensions(rig.axles[0].tire).loaded_radius)
    assert share.drive == pytest.approx(found.lean * 2600.0 / (masses.z.value or 0.0))
    assert share.brake is None


def test_what_was_not_weighed_stays_unknown_and_says_so() -> None:
    rig = small_rig()
    assumed = assumed_masses(rig, rig.axles[0], rig_masses(rig).empty)
    assert assumed.gravity_height is None
    assert assumed.missing
    found = link_poses(rig.axles[0], (RIDE_HEIGHT,))[0]
    assert antis(found, assumed, front=False, loaded_radius=450.0).drive is None
    alone = replace(rig, axles=rig.axles[:1])
    lone = assumed_masses(alone, alone.axles[0], rig_masses(alone).empty)
    assert lone.wheelbase is None
    assert lone.missing[0] == "axles"
