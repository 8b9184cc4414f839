from __future__ import annotations

from msgspec.structs import replace

from geometry.plan.soundness import refusals
from geometry.rig.build import Perch
from tests.geometry.motion.axles import axle
from tests.geometry.plan.builds import built, shaft, side


def test_a_sound_plan_and_one_of_which_nothing_is_known_are_not_refused() -> None:
    assert refusals(built()) == ()
    assert refusals(axle()) == ()


def test_each_refusal_is_told_once_and_none_hides_another() -> None:
    deep = replace(side(), shaft=shaft(engagement=3.5))
    perch = Perch(id="spring", at=100.0, width=60.0, weld_leg=6.0)
    made = built(left=deep, right=deep, perches=(perch,), separation_deg=30.0)
    assert [refused.place.rpartition("/")[2] for refused in refusals(made)] == [
        "spring",
        "engagement",
        "separation_deg",
    ]
    assert len(refusals(built(20.0))) == 1
