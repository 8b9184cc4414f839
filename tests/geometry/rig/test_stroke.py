"""Shocks, bump stops and straps: what is refused, where, and with which nearest value."""

from __future__ import annotations

from typing import Any

import pytest

from geometry.errors import RigError
from geometry.rig.check import check_rig
from geometry.rig.structure import rig_from_plain
from tests.geometry.rig.rigs import plain_rig

SHOCK = {"id": "s", "chassis": [100.0, 400.0, 950.0], "axle": [0.0, 500.0, 450.0], "mirrored": True}
"""Its eyes are 519.6 mm apart at ride height."""
STOP = {"id": "b", "chassis": [0.0, 450.0, 700.0], "axle": [0.0, 450.0, 550.0], "mirrored": True}
STRAP = {"id": "t", "chassis": [0.0, 450.0, 900.0], "axle": [0.0, 450.0, 550.0], "mirrored": True}


def rig_with(kind: str, *parts: dict[str, Any]) -> dict[str, Any]:
    plain = plain_rig()
    plain["axles"][1][kind] = []
    plain["axles"][0][kind] = [dict(part) for part in parts]
    return plain


def refusal(kind: str, *parts: dict[str, Any]) -> RigError:
    with pytest.raises(RigError) as caught:
        check_rig(rig_from_plain(rig_with(kind, *parts)))
    return caught.value


def test_parts_that_fit_pass() -> None:
    plain = rig_with("shocks", SHOCK | {"collapsed": 400.0, "extended": 650.0, "spring_od": 90.0})
    plain["axles"][0] |= {"bump_stops": [STOP | {"height": 80.0, "compressed": 30.0}]}
    plain["axles"][0] |= {"straps": [STRAP | {"length": 480.0}]}
    check_rig(rig_from_plain(plain))


@pytest.mark.parametrize(
    ("kind", "part", "field", "says"),
    [
        ("shocks", {"collapsed": 400.0, "extended": 500.0}, "extended", "must be at least 519.7 mm"),
        ("shocks", {"collapsed": 540.0, "extended": 800.0}, "collapsed", "must be at most 519.6 mm"),
        ("shocks", {"collapsed": 500.0, "extended": 450.0}, "extended", "longer than the 500 mm"),
        ("shocks", {"collapsed": 300.0, "extended": 620.0}, "collapsed", "more than 310.0 mm"),
        ("shocks", {"collapsed": 400.0, "extended": 600.0, "shaft_od": 70.0}, "shaft_od", "thinner than its body"),
        ("shocks", {"collapsed": 400.0, "extended": 600.0, "spring_od": 60.0}, "spring_od", "wider, or left out"),
        ("shocks", {"collapsed": 400.0, "extended": 600.0, "joint_room": 200.0}, "joint_room", "less than 200.0 mm"),
        ("shocks", {"collapsed": 400.0, "extended": 600.0, "axle": SHOCK["chassis"]}, "chassis", "no length"),
        ("bump_stops", {"height": 80.0, "compressed": 80.0}, "compressed", "lower than its height of 80 mm"),
        ("bump_stops", {"height": 200.0, "compressed": 160.0}, "compressed", "at most 150 mm"),
        ("straps", {"length": 349.0}, "length", "at least 350 mm"),
    ],
)
def test_what_fits_no_pose_is_refused_with_the_nearest_value(
    kind: str, part: dict[str, Any], field: str, says: str
) -> None:
    whole = {"shocks": SHOCK, "bump_stops": STOP, "straps": STRAP}[kind] | part
    error = refusal(kind, whole)
    assert error.place == f"axles[0].{kind}[0].{field}"
    assert says in error.problem
    assert error.ids == ("rear", whole["id"])


@pytest.mark.parametrize("tenths", range(10))
def test_the_nearest_value_told_works(tenths: int) -> None:
    strap = STRAP | {"chassis": [0.0, 450.0, 900.0 + tenths / 30.0], "length": 200.0}
    nearest = float(refusal("straps", strap).problem.rpartition("at least ")[2].partition(" mm")[0])
    check_rig(rig_from_plain(rig_with("straps", strap | {"length": nearest})))


def test_a_mirrored_part_on_the_centre_plane_is_refused() -> None:
    strap = STRAP | {"chassis": [0.0, 0.0, 900.0], "axle": [0.0, 0.0, 550.0], "length": 500.0}
    assert refusal("straps", strap).place.endswith("straps[0].mirrored")


def test_an_id_is_taken_once_among_parts_of_a_kind() -> None:
    strap = STRAP | {"length": 500.0}
    assert refusal("straps", strap, strap).place == "axles[0].straps[1].id"
