from __future__ import annotations

import random
import re
from dataclasses import replace
from typing import Any

import pytest

from app.study import check
from geometry.contact.findings import Verdict
from geometry.errors import RigError
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.rig.check import check_rig
from geometry.rig.unconfirmed import check_places
from geometry.sketch.start import start_rig
from geometry.sketch.start_numbers import Locating, StartNumbers, check_numbers, problems
from geometry.tolerances import GIVE, POSE_AT_MOST

SIZES = ("26x9.00R12", "LT235/75R15", "33x12.50R15", "37x12.50R17", "42x15.00R20", "54x19.50R20")
NUMBERS = ("tire_size", "rim_width", "offset", "front_width", "rear_width", "wheelbase", "belly", "bump", "droop")
FIELD = re.compile(r"^an? [a-z ]+ of [-\d.]+ mm .*; the nearest that works is (-?[\d.]+) mm$")


def drawn(seed: int) -> StartNumbers:
    """Numbers that a builder might have, not all of which go together."""
    draw = random.Random(seed)  # noqa: S311  (a seeded case is what is wanted)
    return StartNumbers(
        wheelbase=draw.uniform(1700.0, 4500.0),
        tire_size=draw.choice(SIZES),
        rim_width=draw.uniform(150.0, 350.0),
        offset=draw.uniform(-120.0, 60.0),
        front_width=draw.uniform(1100.0, 2600.0),
        rear_width=draw.uniform(1100.0, 2600.0),
        belly=draw.uniform(150.0, 900.0),
        bump=draw.uniform(20.0, 300.0),
        droop=draw.uniform(20.0, 300.0),
        front=draw.choice(list(Locating)),
        rear=draw.choice(list(Locating)),
        steered=draw.random() < 0.5,
    )


def mended(numbers: StartNumbers) -> StartNumbers:
    """The numbers after each refusal was followed, as typed from what it says."""
    for _ in range(20):
        refused = refusal(numbers)
        if refused is None:
            return numbers
        told = FIELD.match(refused.problem)
        assert told, refused.problem
        changed = replace(numbers, **{refused.place: float(told[1])})
        assert changed != numbers
        numbers = changed
    pytest.fail(f"{numbers} is never good enough")


def refusal(numbers: StartNumbers) -> RigError | None:
    try:
        check_numbers(numbers)
    except RigError as refused:
        return refused
    return None


@pytest.mark.parametrize("seed", range(32))
def test_any_sensible_numbers_give_a_rig_whose_axles_follow_their_travel(seed: int) -> None:
    rig = start_rig(mended(drawn(seed)))
    check_rig(rig)
    check_places(rig)
    for axle in rig.axles:
        table = pose_map(linkage_of(axle))
        assert table.point_error <= POSE_AT_MOST
        assert table.give <= GIVE / 4.0


@pytest.mark.parametrize("seed", range(100, 106))
def test_any_sensible_numbers_have_a_verdict(seed: int) -> None:
    study = check(start_rig(mended(drawn(seed))), tolerance=2.0)
    assert study.verdict is not Verdict.UNKNOWN
    assert all(answer.approaches for answer in study.axles)


@pytest.mark.parametrize("seed", range(200, 232))
def test_no_number_is_blamed_that_is_right_once_the_ones_before_it_are(seed: int) -> None:
    numbers = replace(drawn(seed), tire_size=random.Random(seed).choice(("none", *SIZES)))  # noqa: S311
    found = problems(numbers)
    right = StartNumbers()
    for field in NUMBERS:
        wrong = {problem.place for problem in found}
        if field not in wrong:
            continue
        others = {each: getattr(numbers if each not in wrong else right, each) for each in NUMBERS}
        sound = replace(numbers, **{**others, field: getattr(numbers, field)})
        assert field in {problem.place for problem in problems(sound)}


@pytest.mark.parametrize("locating", Locating)
def test_the_numbers_that_stand_there_at_first_clear_with_every_locating(locating: Locating) -> None:
    study = check(start_rig(StartNumbers(front=locating, rear=locating)), tolerance=2.0)
    assert study.verdict is Verdict.CLEAR


def test_what_was_entered_is_in_the_rig_and_nothing_else_is_confirmed() -> None:
    numbers = StartNumbers(wheelbase=2700.0, front_width=1700.0, rear_width=1750.0, belly=500.0, bump=100.0)
    rig = start_rig(numbers)
    rear, front = rig.axles
    assert (rear.station, front.station) == (0.0, 2700.0)
    assert (rear.width, front.width) == (1750.0, 1700.0)
    assert {axle.bump for axle in rig.axles} == {100.0}
    lowest = min(node.at[2] for node in rig.nodes)
    assert lowest - rig.bars[0].od / 2.0 == pytest.approx(500.0)
    entered = {"width", "station", "bump", "droop", "size", "rim_width", "offset"}
    assert not entered & {place.rpartition("/")[2] for place in rig.unconfirmed}
    for place in ("axles/rear/height", "axles/front/steering/caster_deg", "bars/rub-rail/od", "nodes/rear-foot/at"):
        assert place in rig.unconfirmed


def test_only_a_steered_front_axle_steers() -> None:
    assert [axle.steering is not None for axle in start_rig(StartNumbers()).axles] == [False, True]
    assert [axle.steering for axle in start_rig(StartNumbers(steered=False)).axles] == [None, None]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            {"wheelbase": 1500.0},
            "a wheelbase of 1500 mm is too short, the tires leave no room for a cabin; the nearest that works is ",
        ),
        (
            {"front_width": 900.0, "bump": 50.8, "droop": 50.8},
            "a front width of 900 mm is too narrow, the tires leave no room for a frame; the nearest that works is ",
        ),
        (
            {"belly": 900.0},
            "a belly height of 900 mm is too high, the links would stand too steep; the nearest that works is ",
        ),
        (
            {"droop": 400.0},
            "a droop of 400 mm is more than links and stops of this layout allow; the nearest that works is ",
        ),
    ],
)
def test_numbers_that_do_not_work_are_refused_with_the_nearest_that_does(change: dict[str, Any], sentence: str) -> None:
    numbers = replace(StartNumbers(), **change)
    with pytest.raises(RigError) as refused:
        start_rig(numbers)
    assert refused.value.place == next(iter(change))
    assert refused.value.problem.startswith(sentence)
    nearest = float(refused.value.problem.removeprefix(sentence).removesuffix(" mm"))
    start_rig(replace(numbers, **{refused.value.place: nearest}))


@pytest.mark.parametrize("size", ["", "7.50-16", "10x3R4", "70x20R30"])
def test_a_tire_that_cannot_be_used_is_refused_at_its_field(size: str) -> None:
    with pytest.raises(RigError) as refused:
        start_rig(StartNumbers(tire_size=size))
    assert refused.value.place == "tire_size"
