from __future__ import annotations

from math import pi
from typing import Any

import numpy as np
import pytest

from geometry.rig.layout import bar_paths
from geometry.rig.parts import Bar
from geometry.rig.rig import Rig
from geometry.stance.masses import MassState, developed_length, mass_per_length, rig_masses, tube_mass
from tests.geometry.rig.rigs import small_rig
from tests.geometry.stance.stances import PARTS, weighed_rig

SCALES = {"rear_kg": 500.0, "front_kg": 700.0}
RAISED = {"raised": "front", "lift": 500.0, "resting_kg": 560.0}


def figures(state: MassState) -> tuple[float | None, ...]:
    return (state.mass.value, state.x.value, state.y.value, state.z.value)


def measured(state: str, **readings: Any) -> Rig:
    return weighed_rig(masses={"parts": PARTS, "measured": {"state": state} | SCALES | readings})


def test_a_bend_gives_back_its_arc_and_takes_its_two_setbacks() -> None:
    corners = np.array([[0.0, 0.0, 0.0], [1000.0, 0.0, 0.0], [1000.0, 600.0, 0.0]])
    bar = Bar(id="b", nodes=("a", "b", "c"), od=40.0, wall=3.0, bend_radius=200.0)
    assert developed_length(bar, corners) == pytest.approx(1600.0 - 400.0 + 100.0 * pi, abs=1e-9)


def test_tubes_weigh_what_their_finely_broken_paths_do() -> None:
    rig = small_rig()
    lengths = {bar.id: mass_per_length(bar.od, bar.wall) for bar in rig.bars}
    mass, moment = 0.0, np.zeros(3)
    for path in bar_paths(rig):
        legs = np.diff(path.points, axis=0)
        masses = np.linalg.norm(legs, axis=1) * lengths[path.part.id]
        mass += masses.sum()
        moment += masses @ (path.points[:-1] + legs / 2.0)
    found = tube_mass(rig)
    assert found.centre is not None
    assert found.mass == pytest.approx(mass, rel=1e-3)  # chords are a little shorter than their arcs
    assert found.centre == pytest.approx(tuple(moment / mass), abs=1.0)
    assert found.centre[1] == pytest.approx(0.0, abs=1e-9)


def test_the_list_and_the_tubes_add_up_and_people_come_on_top() -> None:
    found = rig_masses(weighed_rig())
    assert found.empty.mass.value == pytest.approx(found.tubes.mass + 300.0 + 2 * 60.0, abs=1e-9)
    assert found.loaded.mass.value == pytest.approx(found.tubes.mass + 300.0 + 2 * 60.0 + 80.0, abs=1e-9)
    assert found.empty.y.value == pytest.approx(300.0 * 20.0 / found.empty.mass.value, abs=1e-9)
    assert found.empty.measured == ()


def test_tubes_alone_are_no_rig_and_nothing_is_taken_for_zero() -> None:
    for rig in (small_rig(), small_rig(masses={"parts": []}), small_rig(masses={"parts": PARTS[2:]})):
        found = rig_masses(rig)
        assert found.tubes.mass > 0.0
        assert figures(found.empty) == (None,) * 4
        assert found.empty.mass.missing == ("masses/parts",)


def test_a_rig_that_nobody_is_listed_aboard_is_unknown_when_loaded() -> None:
    found = rig_masses(weighed_rig(masses={"parts": PARTS[:2]}))
    assert None not in figures(found.empty)
    assert figures(found.loaded) == (None,) * 4
    assert found.loaded.mass.missing == ("masses/aboard",)


def test_weighed_loaded_it_is_people_that_the_empty_rig_lacks_not_the_list() -> None:
    scales = {"state": "loaded", "rear_kg": 900.0, "front_kg": 800.0}
    found = rig_masses(weighed_rig(masses={"parts": PARTS[:1], "measured": scales}))
    assert found.loaded.mass.value == 1700.0
    assert found.empty.mass.missing == ("masses/aboard",)
    listed = rig_masses(weighed_rig(masses={"parts": [PARTS[0], PARTS[2]], "measured": scales}))
    assert listed.empty.mass.value == pytest.approx(1700.0 - 80.0)


def test_what_is_missing_is_named_and_only_what_rests_on_it_is_unknown() -> None:
    parts = [PARTS[0] | {"at": None}, PARTS[1], PARTS[2] | {"mass_kg": None}]
    found = rig_masses(weighed_rig(masses={"parts": parts}))
    assert found.empty.mass.value is not None
    assert found.empty.z.missing == ("masses/parts/engine/at",)
    assert found.loaded.mass.missing == ("masses/parts/driver/mass_kg",)
    assert set(found.loaded.z.missing) == {"masses/parts/engine/at", "masses/parts/driver/mass_kg"}


def test_the_scales_count_instead_of_the_list_in_what_they_tell() -> None:
    listed, found = rig_masses(weighed_rig()), rig_masses(measured("empty"))
    assert found.empty.mass.value == 1200.0
    assert found.empty.x.value == pytest.approx(700.0 * 2600.0 / 1200.0)
    assert found.empty.measured == ("mass", "x")
    assert (found.empty.y, found.empty.z) == pytest.approx((listed.empty.y, listed.empty.z))
    assert found.loaded.mass.value == pytest.approx(1280.0)
    assert found.loaded.measured == ()


def test_a_loaded_rig_on_the_scales_tells_the_empty_one() -> None:
    found = rig_masses(measured("loaded", **RAISED))
    assert found.loaded.measured == ("mass", "x", "z")
    assert found.empty.mass.value == pytest.approx(1120.0)
    for axis, seat in (("x", 1200.0), ("z", 900.0)):
        both, less = getattr(found.loaded, axis).value, getattr(found.empty, axis).value
        assert 1200.0 * both == pytest.approx(1120.0 * less + 80.0 * seat)


def test_the_left_tires_on_the_scales_tell_where_it_is_across() -> None:
    found = rig_masses(measured("empty", rear_left_kg=250.0, front_left_kg=385.0)).empty
    track = 1600.0 + 2 * 38.0
    assert found.measured == ("mass", "x", "y")
    assert found.y.value == pytest.approx((385.0 - 315.0) * track / 2.0 / 1200.0)


def test_scales_without_a_list_leave_the_height_unknown_and_name_the_readings() -> None:
    rig = small_rig(masses={"measured": {"state": "empty"} | SCALES})
    found = rig_masses(rig)
    assert found.empty.mass.value == 1200.0
    assert found.empty.z.missing == tuple(f"masses/measured/{name}" for name in ("raised", "lift", "resting_kg"))
    assert found.empty.y.missing == ("masses/measured/rear_left_kg", "masses/measured/front_left_kg")
    assert figures(found.loaded) == (None,) * 4


@pytest.mark.parametrize(
    ("readings", "missing"),
    [(RAISED | {"lift": 2700.0}, "lift"), (RAISED | {"resting_kg": 100.0}, "resting_kg")],
)
def test_a_height_that_makes_no_sense_is_not_covered_up_by_the_list(readings: dict[str, Any], missing: str) -> None:
    found = rig_masses(measured("empty", **readings))
    assert found.empty.z.missing == (f"masses/measured/{missing}",)
