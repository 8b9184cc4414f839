"""A trial says what the check, the rules and the cut plan say at that width, on screen and as a table."""

from __future__ import annotations

import csv
import io
from math import degrees

import pytest
from msgspec.structs import replace

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.study import AxleAnswer, with_width
from app.trials import Row, Trial, rows_of, trial, trials_to_csv
from app.units import LengthUnit
from app.width_rules import rules_of
from geometry.plan.cuts import CutPlan, cut_plan
from geometry.plan.mock_up import mock_up
from geometry.rig.rig import Rig
from geometry.stance.masses import rig_masses
from geometry.stance.stability import stability
from tests.app.panels.answers import approach

LONG = read_rig(next(path for path in demo_rigs() if "long" in path.stem))
UNIT = LengthUnit.FRACTION


def answer(*clearances: float) -> AxleAnswer:
    return AxleAnswer("rear", 0.0, 0.0, 0.0, tuple(map(approach, clearances)), 0.0, 0.0)


def tried(width: float, said: AxleAnswer | str | None = None, rig: Rig = LONG) -> Trial:
    return trial(rig, "rear", width, said, rig_masses(rig), rules_of(rig, rig.axle("rear")))


def cells(rows: tuple[Row, ...]) -> dict[str, list[str]]:
    return {row.title: [cell.text for cell in row.cells] for row in rows}


def test_a_trial_is_what_each_part_says_by_itself() -> None:
    width = 1935.0
    found, at_width = tried(width, answer(30.0, -5.0)), with_width(LONG, "rear", width)
    axle = at_width.axle("rear")
    assert found.cuts == cut_plan(axle) == cut_plan(LONG.axle("rear"), width)
    assert found.mock_up == mock_up(axle, (width,)).rows[0]
    for stand, state in zip(found.stands, rig_masses(at_width).states, strict=True):
        assert stand == next(each for each in stability(at_width, state).axles if each.axle == "rear")
    assert [rule.key for rule in found.broken] == ["trail limit/club-rims", "rail pocket"]
    assert found.worst == approach(-5.0)
    assert found.verdict == "contact"


def test_the_table_has_every_trial_in_full_precision() -> None:
    trials = [tried(1800.0, answer(30.0)), tried(1935.0, answer(10.0)), tried(10.0, "Too narrow.")]
    read = list(csv.DictReader(io.StringIO(trials_to_csv(LONG, [("rear", each) for each in trials]).decode())))
    assert [row["verdict"] for row in read] == ["clear", "tight", "unknown"]
    assert [row["rules_broken"] for row in read[:1]] == [""]
    assert read[1]["rules_broken"].startswith("club class, outside of the rims; rail pocket at")
    for row, each in zip(read[:2], trials, strict=False):
        assert each.worst is not None
        assert isinstance(each.cuts, CutPlan)
        tip = each.stands[1].tip.value
        assert tip is not None
        assert float(row["width_mm"]) == each.width
        assert float(row["clearance_mm"]) == each.worst.low
        assert float(row["tips_at_loaded_deg"]) == degrees(tip)
        assert float(row["tube_mark_left_mm"]) == each.cuts.left.cut.rounded.value
    assert read[2]["clearance_mm"] == read[2]["tube_mark_left_mm"] == ""
    assert read[2]["problem"].startswith("Too narrow. Centre section and end of the left side")


def test_what_is_unknown_or_still_to_come_is_said() -> None:
    blind = replace(LONG, masses=None, axles=tuple(replace(axle, build=None) for axle in LONG.axles))
    shown = cells(rows_of(blind, "rear", [tried(1800.0, rig=blind)], UNIT))
    assert shown["Clearance"] == ["checking…"]
    assert shown["Stability, empty, loaded"] == ["unknown, unknown"]
    assert shown["Tube mark, left"] == ["unknown"]
    assert "unknown: stability factor, empty" in shown["Rules broken"][0]
    assert "Mock-up mark, left" not in shown
    mark = next(row for row in rows_of(blind, "rear", [tried(1800.0, rig=blind)], UNIT) if row.title.startswith("Tube"))
    assert "left end addition" in mark.cells[0].more


@pytest.mark.parametrize("unit", list(LengthUnit))
def test_what_does_not_fit_says_why(unit: LengthUnit) -> None:
    shown = rows_of(LONG, "rear", [tried(300.0, "Too narrow.")], unit)
    assert cells(shown)["Tube mark, right"] == ["does not fit"]
    assert all(cell.more for row in shown if row.title.startswith("Tube") for cell in row.cells)
    assert cells(shown)["Clearance"] == ["not established"]
