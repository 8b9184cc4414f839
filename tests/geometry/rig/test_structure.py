from __future__ import annotations

import pickle
from math import inf, nan
from typing import Any

import pytest

from geometry.errors import RigError
from geometry.rig.rig import VERSION
from geometry.rig.structure import plain_from_rig, rig_from_plain
from tests.geometry.rig.rigs import REMOVED, plain_rig, small_rig, with_value


def test_a_rig_survives_the_way_to_plain_values_and_back() -> None:
    rig = small_rig()
    assert rig_from_plain(plain_from_rig(rig)) == rig


def test_whole_numbers_become_floats() -> None:
    rig = rig_from_plain(with_value(plain_rig(), "axles[0].width", 1600))
    assert repr(rig.axles[0].width) == "1600.0"


@pytest.mark.parametrize(
    ("place", "value", "reported", "words"),
    [
        ("name", REMOVED, "name", "is missing; add it"),
        ("axles[1].rods[2].chassis", REMOVED, "axles[1].rods[2].chassis", "is missing; add it"),
        ("axles[1].rods[2].diameter", 50.0, "axles[1].rods[2].diameter", "is not a field of the rig file; check"),
        ("axles[1].rods[2].joint_rom", 5.0, "axles[1].rods[2].joint_rom", "(did you mean “joint_room”?); check its"),
        ("axles[1].steering.castor_deg", 5.0, "axles[1].steering.castor_deg", "(did you mean “caster_deg”?)"),
        ("pannels", [], "pannels", "“pannels” is not a field of the rig file (did you mean “panels”?)"),
        ("colour", "red", "colour", "is not a field of the rig file"),
        ("name", 7, "name", "must be a text, not a whole number"),
        ("bars[0].od", "44", "bars[0].od", "must be a number, not a text"),
        ("bars[0].mirrored", 1, "bars[0].mirrored", "must be true or false, not a whole number"),
        ("axles[0].wheel.offset", True, "axles[0].wheel.offset", "must be a number or null, not true or false"),
        ("nodes", {}, "nodes", "must be a list, not a group of fields in braces"),
        ("wanted", None, "wanted", "must be a group of fields in braces, not null"),
        ("axles[0].bump", -5.0, "axles[0].bump", "bump is -5 mm and must be at least 0 mm"),
        ("bars[0].od", 0.0, "bars[0].od", "od is 0 mm and must be more than 0 mm"),
        ("nodes[2].at[1]", 1e9, "nodes[2].at[1]", "number 2 of “at” is 1000000000 mm and must be at most 20000 mm"),
        ("nodes[2].at[1]", nan, "nodes[2].at[1]", "number 2 of “at” is not a finite number"),
        ("axles[0].height", inf, "axles[0].height", "is not a finite number"),
        (
            "axles[1].steering.lock_left_deg",
            95.0,
            "axles[1].steering.lock_left_deg",
            "lock left is 95 degrees and must be at most 80 degrees",
        ),
        (
            "masses",
            {"parts": [{"id": "tub", "mass_kg": 0.0}]},
            "masses.parts[0].mass_kg",
            "mass is 0 kg and must be more",
        ),
        ("rules", {"least_factor": 0.0}, "rules.least_factor", "least factor is 0 and must be more than 0"),
        ("nodes[0].at", [1.0, 2.0], "nodes[0].at", "has 2 entries and must have 3"),
        ("bars[0].nodes", ["a"], "bars[0].nodes", "has 1 entries and must have at least 2"),
        ("axles", [], "axles", "has 0 entries and must have at least 1"),
        ("name", "x" * 121, "name", "is 121 characters long and must be at most 120"),
        ("nodes[0].id", "a b", "nodes[0].id", "“a b” is not a usable name"),
        ("bars[0].nodes[1]", "b''", "bars[0].nodes[1]", "“b''” is not a usable name"),
        ("axles[0].housing", {"pinion_faces": "up"}, "axles[0].housing.pinion_faces", "“forward” or “rearward”"),
        ("format", "other", "format", "is “other” and must be “wheelroom-rig”"),
        ("version", VERSION + 1, "version", f"newer than the {VERSION} this program reads"),
        ("version", 0, "version", f"is 0 and must be {VERSION}"),
    ],
)
def test_what_a_value_is_by_itself_is_refused_with_its_place(
    place: str, value: object, reported: str, words: str
) -> None:
    with pytest.raises(RigError) as refused:
        rig_from_plain(with_value(plain_rig(), place, value))
    assert refused.value.place == reported
    assert words in refused.value.problem
    assert "`" not in str(refused.value)


def test_the_ids_on_the_way_to_a_place_are_told() -> None:
    for place, where in [
        ("bars[1].od", "bars[1].od (cross)"),
        ("axles[1].rods[2].od", "axles[1].rods[2].od (front, rod2)"),
        ("axles[1].rods[2].id", "axles[1].rods[2].id (front)"),
        ("name", "name"),
    ]:
        with pytest.raises(RigError) as refused:
            rig_from_plain(with_value(plain_rig(), place, -1))
        assert refused.value.where == where
        assert str(refused.value).startswith(f"{where}: ")


def test_a_number_in_quotation_marks_is_told_how_to_write_it() -> None:
    with pytest.raises(RigError, match=r"not a text; write the number without quotation marks, unit and fraction\.$"):
        rig_from_plain(with_value(plain_rig(), "bars[0].od", "1 3/4"))


def test_a_refusal_survives_the_way_to_another_process() -> None:
    with pytest.raises(RigError) as refused:
        rig_from_plain(with_value(plain_rig(), "bars[0].od", "1 3/4"))
    assert str(pickle.loads(pickle.dumps(refused.value))) == str(refused.value)  # noqa: S301


@pytest.mark.parametrize("data", [[], "rig", None, 5])
def test_what_is_no_group_of_fields_is_refused(data: Any) -> None:
    with pytest.raises(RigError, match="must be a group of fields in braces"):
        rig_from_plain(data)
