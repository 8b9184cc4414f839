"""Where the pinion lies, and that a driveshaft which is none is refused with a value that works."""

from __future__ import annotations

import re
from math import cos, radians, sin
from typing import Any

import numpy as np
import pytest

from geometry.errors import RigError
from geometry.rig.axle import Axle, Housing
from geometry.rig.check import check_rig
from geometry.rig.driveline import Driveshaft, PinionChoice
from geometry.rig.pinion import output_direction, pinion_base, pinion_direction, pinion_joint, with_pinion
from geometry.rig.rig import Rig
from geometry.rig.structure import rig_from_plain
from tests.geometry.rig.rigs import plain_rig

OUTPUT = [1000.0, 80.0, 600.0]


def rig(output: list[float] | None = OUTPUT, choices: tuple[dict[str, Any], ...] = (), **shaft: Any) -> Rig:
    plain = plain_rig()
    plain["axles"][0] |= {
        "driveshaft": shaft,
        "pinion_choices": list(choices),
        "build": {"transfer_output": output},
        "housing": {"pinion_angle_deg": 10.0, "pinion_length": 250.0},
    }
    return rig_from_plain(plain)


def rear(made: Rig) -> Axle:
    return made.axle("rear")


def test_a_raised_pinion_lies_square_above_its_low_place_whichever_way_it_faces() -> None:
    for faces, way in (("forward", 1.0), ("rearward", -1.0)):
        low = Housing(pinion_angle_deg=12.0, pinion_offset=40.0, pinion_faces=faces)
        high = Housing(pinion_angle_deg=12.0, pinion_offset=40.0, pinion_faces=faces, pinion_rise=60.0)
        along = pinion_direction(low)
        assert along == pytest.approx((way * cos(radians(12.0)), 0.0, sin(radians(12.0))))
        moved = pinion_base(high) - pinion_base(low)
        assert float(moved @ along) == pytest.approx(0.0, abs=1e-12)
        assert float(np.linalg.norm(moved)) == pytest.approx(60.0)
        assert moved[2] > 0.0
        assert pinion_base(low) == pytest.approx((0.0, 40.0, 0.0))


def test_the_yoke_lengthens_the_pinion_to_the_joint() -> None:
    long, short = (pinion_joint(rear(rig(yoke_length=length))) for length in (90.0, 0.0))
    assert float(np.linalg.norm(long - short)) == pytest.approx(90.0)


def test_an_output_points_to_the_axle() -> None:
    shaft = Driveshaft(output_angle_deg=-4.0, output_plan_deg=3.0)
    ahead = output_direction(Housing(), shaft)
    assert ahead is not None
    assert ahead[0] < 0.0 < ahead[1]
    assert ahead[2] == pytest.approx(-sin(radians(4.0)))
    assert output_direction(Housing(), Driveshaft()) is None


def test_a_choice_changes_only_what_it_says() -> None:
    axle = rear(rig())
    other = with_pinion(axle, PinionChoice(id="high", pinion_rise=50.0, pinion_length=200.0))
    assert other.housing == Housing(pinion_angle_deg=10.0, pinion_length=200.0, pinion_rise=50.0)
    assert other.rods == axle.rods
    assert with_pinion(axle, PinionChoice(id="same")) == axle


def test_a_sound_driveshaft_passes_and_so_does_one_of_which_nothing_is_known() -> None:
    check_rig(rig(output_angle_deg=-5.0, slip_in=120.0, slip_out=100.0, choices=({"id": "high", "pinion_rise": 70.0},)))
    check_rig(rig(output=None, slip_in=5000.0))


@pytest.mark.parametrize(
    ("made", "place", "words"),
    [
        (rig(slip_in=400.0, slip_out=100.0), "axles[0].driveshaft.slip_in", r"make slip_in less than 332\.\d mm"),
        (rig(slip_out=900.0), "axles[0].driveshaft.slip_in", r"slip_in 0 mm and slip_out less than 765\.\d mm"),
        (rig(joint_room=400.0), "axles[0].driveshaft.joint_room", r"make it less than 382\.\d mm"),
        (rig([-900.0, 0.0, 500.0]), "axles[0].build.transfer_output", "leave the pinion backwards, 170 degrees"),
        (rig(output_angle_deg=-5.0, output_plan_deg=90.0), "axles[0].driveshaft.output_angle_deg", "output backwards"),
        (
            rig([246.201938253052, 0.0, 493.41204441673265]),
            "axles[0].build.transfer_output",
            "has no length, both its joints lie at the same point",
        ),
        (
            rig(rules={"least_deg": 4.0}),
            "axles[0].driveshaft.rules.least_deg",
            "set the least to 3 degrees or under",
        ),
        (
            rig(slip_in=300.0, choices=({"id": "long", "pinion_length": 500.0},)),
            "axles[0].pinion_choices[0]",
            r"mm long pushed together, .* make slip_in less than",
        ),
        (rig(choices=({"id": "a"}, {"id": "a"})), "axles[0].pinion_choices[1].id", "is taken by"),
    ],
)
def test_what_no_shaft_can_be_is_refused_in_one_sentence(made: Rig, place: str, words: str) -> None:
    with pytest.raises(RigError) as refused:
        check_rig(made)
    assert refused.value.place == place
    assert re.search(words, refused.value.problem)


def test_the_slip_that_is_named_works() -> None:
    with pytest.raises(RigError) as refused:
        check_rig(rig(slip_in=400.0, slip_out=100.0))
    named = re.search(r"slip_in less than ([\d.]+) mm", refused.value.problem)
    assert named
    check_rig(rig(slip_in=float(named[1]) - 0.1, slip_out=100.0))


@pytest.mark.parametrize("end", ["chassis_bolt", "axle_bolt"])
@pytest.mark.parametrize(("bolt", "words"), [([0.0, 0.0, 0.0], "needs a direction"), (None, "points along rod")])
def test_a_bolt_without_a_direction_of_its_own_is_refused(end: str, bolt: list[float] | None, words: str) -> None:
    plain = plain_rig()
    rod = plain["axles"][0]["rods"][1]
    rod[end] = bolt if bolt is not None else np.subtract(rod["axle"], rod["chassis"]).tolist()
    with pytest.raises(RigError, match=words) as refused:
        check_rig(rig_from_plain(plain))
    assert refused.value.place == f"axles[0].rods[1].{end}"
