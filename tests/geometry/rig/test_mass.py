from __future__ import annotations

from typing import Any

import pytest

from geometry.errors import RigError
from geometry.rig.check import check_rig
from geometry.rig.structure import rig_from_plain
from tests.geometry.rig.rigs import plain_rig, small_rig

SCALES = {"state": "empty", "rear_kg": 800.0, "front_kg": 900.0}
RAISED = {"raised": "front", "lift": 500.0, "resting_kg": 850.0}


def weighed(**readings: Any) -> dict[str, Any]:
    return {"measured": SCALES | readings}


@pytest.mark.parametrize(
    ("masses", "reported", "words"),
    [
        ({"parts": [{"id": "tub"}, {"id": "tub"}]}, "masses.parts[1].id", "“tub” is taken"),
        (weighed(rear_left_kg=801.0), "masses.measured.rear_left_kg", "801 kg and its axle only 800 kg"),
        (weighed(raised="front", lift=500.0), "masses.measured.resting_kg", "give all three or none"),
        (weighed(resting_kg=850.0), "masses.measured.raised", "give all three or none"),
        (weighed(**RAISED | {"lift": 20.0}), "masses.measured.lift", "the least is 50 mm"),
        (weighed(**RAISED | {"resting_kg": 1701.0}), "masses.measured.resting_kg", "more than the 1700 kg of both"),
    ],
)
def test_readings_that_no_scales_give_are_refused_with_their_place(
    masses: dict[str, Any], reported: str, words: str
) -> None:
    with pytest.raises(RigError, match=words) as refused:
        check_rig(small_rig(masses=masses))
    assert refused.value.place == reported


def test_axle_loads_of_a_rig_with_one_axle_are_refused() -> None:
    plain = plain_rig() | {"masses": weighed()}
    plain["axles"] = plain["axles"][:1]
    with pytest.raises(RigError, match="from two axles only, and this rig has 1"):
        check_rig(rig_from_plain(plain))


def test_two_limits_of_one_id_are_refused() -> None:
    limits = [{"id": "trail", "measure": "outer", "most": 2000.0}] * 2
    with pytest.raises(RigError, match=r"rules\.widths\[1\]\.id"):
        check_rig(small_rig(rules={"widths": limits}))
