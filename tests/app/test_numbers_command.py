"""`wheelroom numbers`: the same numbers as the panel, as text and as JSON."""

from __future__ import annotations

import json
from math import degrees
from pathlib import Path

import pytest
from msgspec.structs import replace
from pytestqt.qtbot import QtBot

from app.commands import run
from app.document import Document
from app.figures.groups import group, groups
from app.files.rig_file import write_rig
from app.panels.plan_panel import PlanPanel
from app.report.cut_sheet import cut_sheet
from app.units import LengthUnit
from geometry.rig.rig import Rig
from tests.app.figures.plans import PERCH, planned_rig


def numbers(capsys: pytest.CaptureFixture[str], folder: Path, rig: Rig, *options: str) -> tuple[int, str]:
    """Exit status and what was printed for a rig."""
    path = folder / "my.rig.json"
    write_rig(path, rig)
    status = run(["numbers", str(path), *options], lambda *_: 0)
    return status, capsys.readouterr().out


@pytest.mark.parametrize("unit", LengthUnit)
def test_it_prints_what_the_panel_copies(
    qtbot: QtBot, capsys: pytest.CaptureFixture[str], tmp_path: Path, unit: LengthUnit
) -> None:
    rig = planned_rig(steered=True)
    panel = PlanPanel(Document(rig, unit=unit))
    qtbot.addWidget(panel)
    status, printed = numbers(capsys, tmp_path, rig, "--axle", "rear", "--units", str(unit))
    assert status == 0
    assert printed == panel.text()


def test_each_axle_stands_under_its_name(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    _, printed = numbers(capsys, tmp_path, planned_rig())
    heads = [line for line in printed.splitlines() if " wide." in line]
    assert [head.split()[0] for head in heads] == ["Rear", "Front"]


def test_the_data_are_the_figures_in_full_precision(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    rig = planned_rig(steered=True, kerf=None)
    _, printed = numbers(capsys, tmp_path, rig, "--axle", "rear", "--outer", "2100 mm", "--json")
    (axle,) = json.loads(printed)["axles"]
    told = {(g["key"], f["key"], f["column"]): f for g in axle["groups"] for f in g["figures"]}
    figures = [(each, figure) for each in groups(rig, "rear", 2100.0) for figure in each.figures]
    assert len(told) == len(figures)
    for each, figure in figures:
        data = told[each.key, figure.key, figure.column]
        value = figure.amount.value
        assert data["value"] == (degrees(value) if value is not None and data["unit"] == "deg" else value)
        assert tuple(data["missing"]) == figure.amount.missing
    assert told["cuts", "kerf", ""]["value"] is None


def test_another_width_than_the_drawn_one_can_be_asked_for(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    _, printed = numbers(capsys, tmp_path, planned_rig(), "--axle", "rear", "--width", "rear=1700 mm", "--json")
    (axle,) = json.loads(printed)["axles"]
    wider = planned_rig()
    wider = replace(wider, axles=(replace(wider.axles[0], width=1700.0), *wider.axles[1:]))
    cut = next(f for f in axle["groups"][0]["figures"] if (f["key"], f["column"]) == ("cut", "left"))
    assert cut["value"] == group(wider, "rear", "cuts").figure("cut", "left").amount.value


def test_a_plan_that_cannot_be_built_is_bad_input(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    status, printed = numbers(capsys, tmp_path, planned_rig(perches=(replace(PERCH, at=200.0),)), "--axle", "rear")
    assert status == 2
    assert "Cannot be built: Perch" in printed


@pytest.mark.parametrize("options", [("--axle", "middle"), ("--outer", "abc"), ("--outer", "0")])
def test_what_cannot_be_used_is_refused_in_one_sentence(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, options: tuple[str, str]
) -> None:
    path = tmp_path / "my.rig.json"
    write_rig(path, planned_rig())
    assert run(["numbers", str(path), *options], lambda *_: 0) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.startswith("wheelroom: ")
    assert shown.err.count("\n") == 1


def test_the_cut_sheet_has_the_same_numbers() -> None:
    rig = planned_rig(steered=True)
    sheet, cuts, proof = cut_sheet(rig, "rear"), group(rig, "rear", "cuts"), group(rig, "rear", "proof")
    for side in (sheet.left, sheet.right):
        on_sheet = {
            "cut": side.cut.rounded, "cut_exact": side.cut.exact, "tube_cut": side.tube_cut, "tube": side.tube,
            "half": side.half, "showing": side.showing,
        }  # fmt: skip
        on_sheet |= {f"mark/{mark.name}": mark.rounded for mark in side.marks if mark.exact.mm}
        for key, length in on_sheet.items():
            assert cuts.figure(key, side.side).amount.value == length.mm, key
    for key in ("between_ends", "width_given", "rounding_error", "kerf", "stock_needed"):
        assert cuts.figure(key).amount.value == getattr(sheet, key).mm, key
    assert proof.figure("width").amount.value == sheet.proof_sum.mm
