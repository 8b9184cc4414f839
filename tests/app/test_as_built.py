from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace as altered
from math import radians
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from app.__main__ import main
from app.as_built import check
from app.document import Document
from app.edits import with_axle
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig, write_rig
from app.study import BuiltCheck, Cause, Study
from app.units import LengthUnit
from app.wording import built_sentence, verdict_sentence
from geometry.contact import axle_check
from geometry.contact.at_pose import clearance_at
from geometry.contact.findings import PairName, Verdict
from geometry.rig.build import AsBuilt, Build
from geometry.rig.rig import Rig
from tests.app.panels.answers import curve_of
from tests.app.studies import CLEAR, CONTACT, PANEL, TIGHT, study_of


def measured(**values: Any) -> AsBuilt:
    return AsBuilt(date="2026-05-31", stage="welded", **values)


@pytest.fixture(scope="module")
def planned() -> Rig:
    """The rear of the long rig without its driveshaft, which clears as planned."""
    rig = read_rig(demo_rigs()[1])
    return replace(rig, axles=(replace(rig.axles[0], driveshaft=None),))


@pytest.fixture(scope="module")
def narrow(planned: Rig) -> Rig:
    """It was welded four inches too narrow, and its pinion is a bit off."""
    width = planned.axles[0].width - 101.6
    return with_axle(
        planned, "rear", as_built=measured(width=width, pinion_offset=planned.axles[0].housing.pinion_offset + 1.0)
    )


@pytest.fixture(scope="module")
def found(narrow: Rig) -> Study:
    return check(narrow)


def built(answer: Study) -> BuiltCheck:
    assert answer.as_built is not None
    return answer.as_built


@pytest.fixture
def searches(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Widths of the axles that are searched while the test runs."""
    widths: list[float] = []
    search: Callable[..., Any] = axle_check.check_axle

    def noted(rig: Rig, axle: Any, **others: Any) -> Any:
        widths.append(axle.width)
        return search(rig, axle, **others)

    monkeypatch.setattr(axle_check, "check_axle", noted)
    return widths


def test_without_a_record_the_answer_is_that_of_the_plan(planned: Rig, searches: list[float]) -> None:
    answer = check(planned)
    assert answer.as_built is None
    assert answer.overall is answer.verdict is Verdict.CLEAR
    assert len(searches) == 1


def test_a_measured_width_that_makes_a_pair_touch_turns_the_verdict_and_is_named(found: Study, narrow: Rig) -> None:
    assert (found.verdict, built(found).verdict, found.overall) == (Verdict.CLEAR, Verdict.CONTACT, Verdict.CONTACT)
    (cause,) = built(found).causes
    assert (cause.axle, cause.name, cause.by) == ("rear", "width", pytest.approx(-101.6))
    as_built = built(found).study
    assert as_built is not None
    worst = as_built.approaches[0]
    pair = PairName(worst.kind, worst.moving, worst.fixed)
    closer = clearance_at(narrow, narrow.axles[0], pair, worst.pose) - worst.high
    assert cause.closer == pytest.approx(closer, abs=1e-6)


def test_the_cause_stands_in_the_sentence_beside_the_answer_as_planned(found: Study) -> None:
    sentence = verdict_sentence(found, LengthUnit.FRACTION)
    assert sentence.startswith("As planned, clear everywhere: ")
    assert " As built (rear axle welded 2026-05-31), touches: " in sentence
    assert " Cause: width 4 in under the plan. Out of tolerance: width, 4 in under the plan" in sentence
    assert sentence.endswith(" As built it breaks stability factor, loaded.")
    assert "The measured width, 4 in under the plan, brings it " in built_sentence(found, LengthUnit.FRACTION)


def test_the_verdict_as_built_survives_save_and_reload(found: Study, narrow: Rig, tmp_path: Path) -> None:
    write_rig(tmp_path / "welded.rig.json", narrow)
    again = check(read_rig(tmp_path / "welded.rig.json"))
    assert again == found


def test_the_command_line_says_both_and_leaves_with_the_worse(
    narrow: Rig, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "welded.rig.json"
    write_rig(path, narrow)
    assert main(["check", str(path)]) == 1
    assert capsys.readouterr().out.startswith("As planned, clear everywhere")
    assert main(["check", str(path), "--width", f"{narrow.axles[0].width} mm"]) == 0
    assert capsys.readouterr().out.startswith("Clear everywhere")


def test_an_axle_as_planned_is_not_searched_twice(planned: Rig, searches: list[float]) -> None:
    axle = planned.axles[0]
    half = axle.width / 2.0 - axle.housing.pinion_offset
    answer = check(with_axle(planned, "rear", as_built=measured(width=axle.width, half_left=half)))
    assert built(answer).verdict is answer.verdict
    assert built(answer).causes == ()
    assert len(searches) == 1


def test_what_was_found_before_is_not_searched_again(found: Study, narrow: Rig, searches: list[float]) -> None:
    noted = replace(narrow, axles=(replace(narrow.axles[0], as_built=replace(narrow.axles[0].as_built, note="cold")),))
    again = check(noted, previous=found)
    assert built(again).verdict is Verdict.CONTACT
    assert searches == []


def test_an_answer_in_short_searches_nothing_as_built_and_keeps_what_still_holds(
    found: Study, narrow: Rig, searches: list[float]
) -> None:
    dragged = with_axle(narrow, "rear", width=narrow.axles[0].width + 10.0)
    kept = built(check(dragged, previous=found, in_short=()))
    assert kept.study is built(found).study
    assert kept.reports[0].differences[0].planned.value == dragged.axles[0].width
    other = with_axle(dragged, "rear", as_built=measured(tire_diameter=1000.0))
    assert check(other, previous=found, in_short=()).as_built is None
    assert all(width == dragged.axles[0].width for width in searches)


def test_measured_numbers_that_fit_no_rig_leave_the_welded_axle_open(planned: Rig) -> None:
    answer = check(with_axle(planned, "rear", as_built=measured(width=400.0)))
    assert (answer.verdict, answer.overall) == (Verdict.CLEAR, Verdict.UNKNOWN)
    assert "not established: What was measured fits no rig" in built_sentence(answer, LengthUnit.MM)


def test_a_half_that_is_short_alone_turns_the_verdict(planned: Rig) -> None:
    axle = planned.axles[0]
    half = axle.width / 2.0 - axle.housing.pinion_offset
    answer = check(with_axle(planned, "rear", as_built=measured(half_left=half - 101.6)))
    as_built = built(answer).study
    assert as_built is not None
    assert as_built.rig.axles[0].width == pytest.approx(axle.width - 101.6)
    assert answer.overall is not Verdict.CLEAR
    assert "Out of tolerance: 1 of 1 measured numbers, left half, 4 in under the plan." in built_sentence(
        answer, LengthUnit.FRACTION
    )


def test_measured_numbers_that_contradict_each_other_establish_nothing(planned: Rig, searches: list[float]) -> None:
    axle = planned.axles[0]
    record = measured(width=axle.width, half_left=axle.width / 2.0 - 101.6, half_right=axle.width / 2.0)
    answer = check(with_axle(planned, "rear", as_built=record))
    assert (answer.verdict, answer.overall) == (Verdict.CLEAR, Verdict.UNKNOWN)
    said = built_sentence(answer, LengthUnit.FRACTION)
    assert "not established: What was measured contradicts itself, rear axle: halves of 32 in and 36 in make" in said
    assert "a width of 68 in, and 72 in was measured, 4 in off; measure again." in said
    assert len(searches) == 1


def test_a_record_without_numbers_is_no_record(planned: Rig) -> None:
    answer = check(with_axle(planned, "rear", as_built=measured(note="cold")))
    assert answer.as_built is None
    assert verdict_sentence(answer, LengthUnit.MM).startswith("Clear everywhere")


def test_what_clears_and_is_out_of_tolerance_is_not_said_to_be_clear(
    planned: Rig, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = with_axle(planned, "rear", as_built=measured(pinion_angle_deg=planned.axles[0].housing.pinion_angle_deg + 3))
    answer = check(rig)
    assert (built(answer).verdict, built(answer).sign, answer.overall) == (Verdict.CLEAR, Verdict.TIGHT, Verdict.TIGHT)
    words = "clear everywhere but out of tolerance: pinion angle, 3° over the plan."
    assert verdict_sentence(answer, LengthUnit.MM).endswith(words)
    path = tmp_path / "welded.rig.json"
    write_rig(path, rig)
    assert main(["check", str(path)]) == 1
    (row,) = (line for line in capsys.readouterr().out.splitlines() if line.startswith("rear  pinion angle"))
    assert row.split()[-4:] == ["the", "plan", "±0.8°", "NO"]
    assert main(["check", str(path), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)["as_built"]
    (number,) = told["measured"]
    assert (told["out_of_tolerance"], number["name"], number["within"]) == (1, "pinion_angle", False)
    assert number["off"] == pytest.approx(3.0)


def test_a_number_in_the_wrong_unit_is_asked_about(planned: Rig) -> None:
    answer = check(with_axle(planned, "rear", as_built=measured(tire_diameter=2.54 * 940.0)))
    said = verdict_sentence(answer, LengthUnit.MM)
    assert "Tire diameter 2387.6 mm is far from the plan of 1016.0 mm: is it in the right unit?" in said


def test_edits_of_what_no_search_asks_search_nothing(found: Study, narrow: Rig, searches: list[float]) -> None:
    answer = check(with_axle(narrow, "rear", build=Build(kerf=2.0)), previous=found)
    assert answer.axles == found.axles
    assert searches == []


def test_angles_and_both_halves_are_named_as_causes() -> None:
    welded = study_of(CONTACT)
    causes = (
        Cause("rear", "halves", -6.0, 3.0),
        Cause("rear", "pinion_angle", radians(2.0), 1.0),
        Cause("rear", "width", 1.0, 0.5),
    )
    answer = Study(7, welded.rig, 0.25, study_of(CLEAR).axles, BuiltCheck(welded, causes=causes))
    sentence = built_sentence(answer, LengthUnit.MM)
    assert "The measured halves together, 6.0 mm under the plan, bring it 3.0 mm closer." in sentence
    assert sentence.endswith("The measured pinion angle, 2° over the plan, brings it 1.0 mm closer.")


def test_a_width_curve_stands_while_only_records_change(planned: Rig) -> None:
    document = Document(planned, unit=LengthUnit.MM)
    assert document.take_curve(planned, curve_of(planned))
    document.put_rig(with_axle(planned, "rear", as_built=measured(width=1700.0)))
    assert document.width_curve("rear") is not None


def test_the_pair_that_is_named_shows_the_verdict_whatever_another_one_lacks() -> None:
    wanting = altered(TIGHT, fixed=PANEL, wanted=250.0)
    welded = study_of(CONTACT, wanting)
    assert welded.approaches[0] is wanting
    answer = Study(7, welded.rig, 0.25, study_of(CLEAR).axles, BuiltCheck(welded))
    assert "touches: left rear tire meets rail, left, by 11.0 mm." in verdict_sentence(answer, LengthUnit.MM)
