from __future__ import annotations

from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from geometry.errors import RigError
from geometry.rig.build import Build, BuildSide
from geometry.rig.check import check_rig
from geometry.rig.rig import Rig
from geometry.rig.structure import plain_from_rig, rig_from_plain
from geometry.rig.unconfirmed import carried, check_places
from tests.geometry.rig.rigs import plain_rig, small_rig, with_value

PERCH = {"id": "spring", "at": 480.0, "width": 63.5, "mirrored": True}
RECORD = {"date": "2026-05-31", "stage": "welded", "width": 1601.5}


def rig_with(build: dict[str, Any] | None = None, as_built: dict[str, Any] | None = None) -> Rig:
    plain = with_value(plain_rig(), "axles[0].build", build)
    return rig_from_plain(with_value(plain, "axles[0].as_built", as_built))


def test_a_rig_without_a_build_knows_nothing_of_it() -> None:
    assert small_rig().axles[0].build is None
    assert small_rig().axles[0].as_built is None


def test_an_empty_build_has_no_length_and_no_angle() -> None:
    for record in (Build(), BuildSide()):
        numbers = [value for value in msgspec.structs.asdict(record).values() if isinstance(value, float)]
        assert numbers == []


def test_build_and_record_survive_as_plain_values() -> None:
    side = {"end_addition": 101.6, "shaft": {"engagement": 38.0, "stock": [800.0, 850.0]}}
    rig = rig_with({"left": side, "perches": [PERCH], "rounding": "1/16 in"}, RECORD)
    check_rig(rig)
    assert rig_from_plain(plain_from_rig(rig)) == rig
    assert hash(rig.axles[0]) == hash(rig_from_plain(plain_from_rig(rig)).axles[0])


@pytest.mark.parametrize("day", ["2026-02-30", "2026-13-01", "0000-01-01"])
def test_a_day_that_no_calendar_has_is_refused(day: str) -> None:
    with pytest.raises(RigError, match="there is no day") as refused:
        check_rig(rig_with(as_built=RECORD | {"date": day}))
    assert refused.value.place == "axles[0].as_built.date"


@pytest.mark.parametrize("day", ["31.5.2026", "20260531", "2026-05-31\n", ""])
def test_a_date_in_another_form_is_refused_with_the_form(day: str) -> None:
    with pytest.raises(RigError, match="year, month and day, as in 2026-05-31"):
        rig_with(as_built=RECORD | {"date": day})


def test_two_perches_of_one_name_are_refused() -> None:
    with pytest.raises(RigError, match="spring") as refused:
        check_rig(rig_with({"perches": [PERCH, PERCH]}))
    assert refused.value.place.startswith("axles[0].build.perches")


@pytest.mark.parametrize(
    ("build", "place", "words"),
    [
        ({"left": {"end_addition": -1.0}}, "axles[0].build.left.end_addition", "at least 0 mm"),
        ({"perches": [PERCH | {"width": 0.0}]}, "axles[0].build.perches[0].width", "more than 0 mm"),
        ({"rounding": "1/8 in"}, "axles[0].build.rounding", "1/16 in"),
        ({"datum": "wheel"}, "axles[0].build.datum", "centre-face"),
        ({"separation": 16.0}, "axles[0].build.separation", "did you mean “separation_deg”"),
        ({"left": {"shaft": {"splines": 30}}}, "axles[0].build.left.shaft.splines", "is not a field"),
    ],
)
def test_a_value_that_cannot_be_meant_is_told_with_its_place(build: dict[str, Any], place: str, words: str) -> None:
    with pytest.raises(RigError) as refused:
        rig_with(build)
    assert refused.value.place == place
    assert words in str(refused.value)


def test_marks_of_unconfirmed_values_reach_into_the_build() -> None:
    marked = ("axles/rear/build/left/end_addition", "axles/rear/build/perches/spring/at", "axles/rear/build/kerf")
    rig = replace(rig_with({"perches": [PERCH], "kerf": 3.0, "left": {"end_addition": 100.0}}), unconfirmed=marked)
    check_places(rig)
    build = rig.axles[0].build
    assert build is not None
    changed = replace(rig.axles[0], build=replace(build, kerf=2.0))
    assert carried(rig, replace(rig, axles=(changed, *rig.axles[1:]))).unconfirmed == marked[:2]
