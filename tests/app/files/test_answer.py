from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from math import radians

import jsonschema
import pytest

from app.files.answer import (
    answer_schema_bytes,
    answer_to_json,
    widths_schema_bytes,
    widths_to_json,
)
from app.files.answer_csv import answer_to_csv
from app.files.assets import asset_path
from app.study import Study
from app.units import LengthUnit
from app.wording import verdict_sentence
from geometry.contact.findings import Approach
from geometry.motion.travel import TravelPose
from geometry.rig.layout import PartRef
from tests.app.studies import CLEAR, CONTACT, CURVE, FAR_OFF, OPEN, TIGHT, study_of

STUDIES = {
    "contact": study_of(CONTACT, TIGHT, CLEAR, FAR_OFF),
    "tight": study_of(TIGHT, CLEAR),
    "clear": study_of(CLEAR, FAR_OFF),
    "unknown": study_of(OPEN, TIGHT, problem="The front axle binds."),
    "nothing": study_of(),
}


def validate(data: bytes, schema: bytes) -> dict[str, object]:
    answer: dict[str, object] = json.loads(data)
    jsonschema.Draft202012Validator(json.loads(schema)).validate(answer)
    return answer


@pytest.mark.parametrize("study", STUDIES.values(), ids=STUDIES)
def test_answers_hold_to_the_published_schema(study: Study) -> None:
    answer = validate(answer_to_json(study, [CURVE]), asset_path("answer.schema.json").read_bytes())
    assert answer["verdict"] == study.verdict.value
    assert answer["sentence"] == verdict_sentence(study, LengthUnit.FRACTION)
    assert answer["unconfirmed"] == len(study.rig.unconfirmed)


def test_the_published_schema_is_that_of_the_records() -> None:
    assert asset_path("answer.schema.json").read_bytes() == answer_schema_bytes()
    for schema in (answer_schema_bytes(), widths_schema_bytes()):
        jsonschema.Draft202012Validator.check_schema(json.loads(schema))


def test_every_number_is_there_in_full() -> None:
    found = replace(CONTACT, low=-11.0 - 1e-13, pose=TravelPose(120.0, 0.1 + 0.2, radians(30.0)))
    answer = json.loads(answer_to_json(study_of(found)))
    axle = answer["axles"][0]
    assert (axle["width_mm"], axle["track_mm"], axle["outer_width_mm"]) == (1600.0, 1676.0, 1993.5)
    assert (axle["bump_mm"], axle["droop_mm"]) == (120.0, 150.0)
    (pair,) = axle["pairs"]
    assert (pair["low_mm"], pair["high_mm"], pair["wanted_mm"]) == (found.low, found.high, found.wanted)
    assert pair["pose"] == {"left_mm": 120.0, "right_mm": 0.1 + 0.2, "steer_deg": pytest.approx(30.0)}
    assert pair["on_fixed_mm"] == [2.0, 605.0, 500.0]
    assert pair["contact_start_straight"] == {"low_mm": 88.0, "high_mm": 88.3}
    assert pair["bump_left_straight"] == {"low_mm": 120.0 - 88.3, "high_mm": 32.0}
    assert pair["moving"] == {"kind": "tire", "id": "rear", "side": "left", "label": "left rear tire"}


def test_each_axle_has_its_own_verdict() -> None:
    answer = json.loads(answer_to_json(STUDIES["unknown"]))
    assert [axle["verdict"] for axle in answer["axles"]] == ["unknown", "unknown"]
    answer = json.loads(answer_to_json(study_of(CONTACT)))
    assert [axle["verdict"] for axle in answer["axles"]] == ["contact", "clear"]


def test_what_is_not_known_is_null_and_never_a_number() -> None:
    text = answer_to_json(study_of(problem="The front axle binds."))
    front = json.loads(text)["axles"][1]
    assert front["problem"] == "The front axle binds."
    assert front["closure_mm"] is None
    assert front["pose_error_mm"] is None
    assert b"NaN" not in text


def test_width_curves_hold_to_their_schema_alone_and_with_the_rest() -> None:
    study = STUDIES["contact"]
    alone = validate(widths_to_json(study.rig, [CURVE]), widths_schema_bytes())
    whole = validate(answer_to_json(study, [CURVE]), answer_schema_bytes())
    assert alone["curves"] == whole["curves"]
    (curve,) = json.loads(widths_to_json(study.rig, [CURVE]))["curves"]
    assert [sample["width_mm"] for sample in curve["samples"]] == [1500.0, 1600.0, 1700.0]
    assert curve["windows"][0]["low"]["beyond_mm"] == 1659.7
    assert curve["windows"][0]["high"]["reason"] is None


def rows_of(*approaches: Approach, problem: str = "") -> list[dict[str, str]]:
    text = answer_to_csv(study_of(*approaches, problem=problem)).decode()
    assert text.count("\r\n") == text.count("\n")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_table_has_a_line_for_each_pair_worst_first() -> None:
    rows = rows_of(CLEAR, CONTACT, FAR_OFF)
    assert [row["verdict"] for row in rows] == ["contact", "clear", "clear"]
    worst = rows[0]
    assert float(worst["low_mm"]) == CONTACT.low
    assert float(worst["bump_left_straight_low_mm"]) == 120.0 - 88.3
    assert worst["fixed"] == "rail, left"
    assert (worst["beyond"], worst["settled"]) == ("no", "yes")
    assert rows[1]["bump_left_straight_low_mm"] == ""


def test_an_axle_with_a_problem_has_its_line_in_the_table() -> None:
    row = rows_of(problem="The front axle binds.")[0]
    assert (row["axle"], row["verdict"], row["problem"]) == ("front", "unknown", "The front axle binds.")
    assert row["low_mm"] == ""


@pytest.mark.parametrize("label", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_a_name_is_never_a_formula_to_a_spreadsheet(label: str) -> None:
    (row,) = rows_of(replace(CONTACT, fixed=PartRef("bar", "rail", "", label)))
    assert row["fixed"] == f"'{label}"
    assert row["low_mm"] == "-11.0"


def test_answers_say_on_how_many_unconfirmed_values_they_rest() -> None:
    study = study_of(CLEAR, unconfirmed=("axles/rear/bump", "axles/rear/droop"))
    answer = validate(answer_to_json(study), asset_path("answer.schema.json").read_bytes())
    assert answer["unconfirmed"] == 2
    assert answer["sentence"].endswith("Rests on 2 unconfirmed values.")
