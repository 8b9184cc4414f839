from __future__ import annotations

import re
from typing import Any

import pytest
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.axle import Axle
from geometry.rig.steer_check import check_steering
from geometry.rig.steer_gear import Ackermann, DragLink, Ram, TieRod
from tests.geometry.motion.axles import STEERING, axle

LINK = DragLink(
    pitman=(2350.0, -420.0, 600.0),
    shaft=(2530.0, -420.0, 600.0),
    shaft_end=(2530.0, -420.0, 900.0),
    knuckle="left",
    arm=(-150.0, -120.0, 60.0),
)
RAM = Ram(forward=-180.0, up=40.0, stroke=200.0, length=300.0, eyes=900.0, arm=(-170.0, -130.0, 40.0))


def at_shaft(x: float, y: float) -> DragLink:
    return replace(LINK, shaft=(x, y, 600.0), shaft_end=(x, y, 900.0))


def steered(**fields: Any) -> Axle:
    return axle(steering=replace(STEERING, **fields))


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"tie_rod": TieRod(arm=(-150.0, -150.0, 10.0))},
        {"ackermann": Ackermann(share_factor=1.0, turn_length=2500.0)},
        {"drag_link": LINK},
        {"ram": RAM, "joint_limit_deg": 30.0},
    ],
)
def test_sound_steering_passes(fields: dict[str, Any]) -> None:
    check_steering(steered(**fields), "axles[0]")


@pytest.mark.parametrize(
    ("fields", "place", "words"),
    [
        ({"inclination_deg": 50.0}, "inclination_deg", "between -45 and 45"),
        ({"tie_rod": TieRod(arm=(0.0, -100.0, 150.0))}, "tie_rod.arm", "no steering arm is shorter than 40 mm"),
        ({"tie_rod": TieRod(arm=(-100.0, -900.0, 0.0))}, "tie_rod.arm", r"can be -\d+\.\d mm at least"),
        ({"tie_rod": TieRod(arm=(-150.0, -150.0, 0.0), od=2.0)}, "tie_rod.od", "no rod"),
        (
            {"tie_rod": TieRod(arm=(150.0, -180.0, 10.0)), "lock_left_deg": 70.0, "lock_right_deg": 20.0},
            "lock_left_deg",
            r"dead centre at a turn of .* the largest lock that works is \d+\.\d degrees",
        ),
        (
            {"tie_rod": TieRod(arm=(-150.0, -150.0, 0.0)), "ackermann": Ackermann(share_factor=1.0, turn_length=9.0)},
            "ackermann",
            "remove one of the two",
        ),
        ({"ackermann": Ackermann(share_factor=1.0, turn_length=0.0)}, "ackermann.turn_length", "enter the wheelbase"),
        (
            {
                "ackermann": Ackermann(share_factor=2.0, turn_length=2000.0),
                "lock_left_deg": 20.0,
                "lock_right_deg": 75.0,
            },
            "lock_right_deg",
            "largest lock that works",
        ),
        ({"drag_link": replace(LINK, shaft_end=LINK.shaft)}, "drag_link.shaft_end", "same"),
        ({"drag_link": replace(LINK, pitman=LINK.shaft)}, "drag_link.pitman", "no pitman arm is shorter"),
        ({"drag_link": replace(LINK, arm=STEERING.kingpin)}, "drag_link.arm", "no steering arm"),
        ({"drag_link": at_shaft(2350.0, -620.0)}, "drag_link.pitman", "along the pitman arm"),
        ({"drag_link": replace(LINK, arm=(-28.0, -280.0, 60.0))}, "drag_link.arm", "along the steering arm"),
        ({"drag_link": at_shaft(2425.0, -420.0)}, "lock_left_deg", "pitman arm to its dead centre"),
        ({"ram": replace(RAM, eyes=400.0)}, "ram.eyes", "the least is 500 mm"),
        ({"ram": replace(RAM, eyes=1320.0, forward=-170.0)}, "ram.eyes", "1240 mm apart at most"),
    ],
)
def test_what_cannot_be_is_refused_with_what_works(fields: dict[str, Any], place: str, words: str) -> None:
    with pytest.raises(RigError) as refused:
        check_steering(steered(**fields), "axles[0]")
    assert refused.value.place == f"axles[0].steering.{place}"
    assert re.search(words, refused.value.problem)


@pytest.mark.parametrize(
    "tied", [{"tie_rod": TieRod(arm=(150.0, -180.0, 10.0))}, {"drag_link": at_shaft(2425.0, -420.0)}]
)
def test_the_lock_that_is_named_works(tied: dict[str, Any]) -> None:
    with pytest.raises(RigError) as refused:
        check_steering(steered(**tied, lock_left_deg=70.0, lock_right_deg=20.0), "axles[0]")
    named = re.search(r"works is (\d+\.\d) degrees", refused.value.problem)
    assert named is not None
    check_steering(steered(**tied, lock_left_deg=float(named[1]), lock_right_deg=20.0), "axles[0]")
