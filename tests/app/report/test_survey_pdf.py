"""The survey sheet asks for everything that the rig is made of, and says how it is measured."""

from __future__ import annotations

import re
import shutil
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPointF, QRectF

from app.canvas.scene import drawing_of
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.report.drawings import drawing_place
from app.report.survey import MARK_WORDS, PREPARE, SHOCK_PLACES, axle_rows, joint_rows, node_rows, tube_rows
from app.report.survey_pdf import write_survey
from app.units import LengthUnit, format_length
from geometry.outline.view import VIEWS
from geometry.rig.rig import Rig

pytestmark = [
    pytest.mark.usefixtures("qapp"),
    pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils are not installed"),
]

WHEN = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)


@pytest.fixture(scope="module")
def rig() -> Rig:
    return read_rig(demo_rigs()[1])


def text_of(path: Path) -> str:
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True)  # noqa: S607
    return done.stdout.decode().replace("−", "-").replace("\N{NO-BREAK SPACE}", " ")


def survey(folder: Path, rig: Rig, unit: LengthUnit) -> str:
    write_survey(folder / "survey.pdf", rig, unit, rig_file="a.rig.json", when=WHEN)
    return text_of(folder / "survey.pdf")


@pytest.mark.parametrize("unit", [LengthUnit.FRACTION, LengthUnit.MM])
def test_every_point_has_its_row_with_the_planned_place(tmp_path: Path, rig: Rig, unit: LengthUnit) -> None:
    lines = [re.sub(r"\s+", " ", line).strip() for line in survey(tmp_path, rig, unit).splitlines()]
    for node in rig.nodes:
        place = " ".join(format_length(value, unit) for value in node.at)
        row = rf"\d+ {re.escape(node.id)}(?:, bend)? {re.escape(place)}"
        assert any(re.fullmatch(row, line) for line in lines), node.id
    assert [row.number for row in (*node_rows(rig), *joint_rows(rig))] == list(
        range(1, len(rig.nodes) + 2 * sum(len(axle.rods) for axle in rig.axles) + 1)
    )


def test_axles_tires_shocks_and_set_up_are_on_it(tmp_path: Path, rig: Rig) -> None:
    text = re.sub(r"\s+", " ", survey(tmp_path, rig, LengthUnit.MM))
    assert [sentence for sentence in PREPARE if sentence not in text] == []
    assert [place for place in SHOCK_PLACES if place not in text] == []
    rows = axle_rows(rig, LengthUnit.MM)
    assert {row[0] for row in rows} == {axle.id for axle in rig.axles}
    for axle, what, _, planned in rows:
        assert re.search(rf"{axle} {what} .*?{re.escape(planned.replace('−', '-'))}", text), (axle, what)


def test_an_unsteered_axle_is_not_asked_for_caster(rig: Rig) -> None:
    asked = {axle.id: {row[1] for row in axle_rows(rig, LengthUnit.MM) if row[0] == axle.id} for axle in rig.axles}
    assert {axle.id for axle in rig.axles if "caster" in asked[axle.id]} == {a.id for a in rig.axles if a.steering}


def test_equal_rigs_give_equal_sheets(tmp_path: Path, rig: Rig) -> None:
    assert survey(tmp_path, rig, LengthUnit.INCH) == survey(tmp_path, rig, LengthUnit.INCH)


@pytest.mark.parametrize("view", VIEWS, ids=lambda view: view.key)
def test_numbers_stand_where_the_drawing_has_its_points(rig: Rig, view: object) -> None:
    drawing = drawing_of(rig, {}, approaches=(), active_axle="rear", unit=LengthUnit.MM)
    area = QRectF(40.0, 60.0, 500.0, 300.0)
    place = drawing_place(view, drawing, area)  # type: ignore[arg-type]
    for row in node_rows(rig):
        u, v = view.project(row.at)  # type: ignore[attr-defined]
        assert area.contains(place.map(QPointF(u, v)))


def test_bends_are_called_bends_and_tubes_go_along_points_by_number(rig: Rig) -> None:
    bent = next(bar for bar in rig.bars if bar.bend_radius and len(bar.nodes) > 2)
    names = {row.name.removesuffix(", bend"): row for row in node_rows(rig)}
    assert names[bent.nodes[1].removesuffix("'")].name.endswith(", bend")
    ends = {ref.removesuffix("'") for bar in rig.bars for ref in (bar.nodes[0], bar.nodes[-1])}
    inner = {ref.removesuffix("'") for bar in rig.bars if bar.bend_radius for ref in bar.nodes[1:-1]}
    assert not any(names[ref].name.endswith(", bend") for ref in ends - inner)
    row = next(row for row in tube_rows(rig, LengthUnit.MM) if row[0] == (bent.name or bent.id))
    numbers = [names[ref.removesuffix("'")].number for ref in bent.nodes]
    assert [int(word.rstrip("'")) for word in row[1].split(",")[0].split(" – ")] == numbers
    assert row[4] == format_length(bent.bend_radius, LengthUnit.MM)


def test_what_nobody_confirmed_carries_a_mark(tmp_path: Path, rig: Rig) -> None:
    places = (f"nodes/{rig.nodes[0].id}/at", "axles/rear/bump")
    marked = replace(rig, unconfirmed=places)
    assert all(cell.endswith(" ?") for cell in node_rows(marked)[0].cells(LengthUnit.MM)[2:])
    assert not node_rows(marked)[1].cells(LengthUnit.MM)[2].endswith("?")
    bump = next(row for row in axle_rows(marked, LengthUnit.MM) if row[:2] == ("rear", "bump"))
    assert bump[3].endswith(" ?")
    assert MARK_WORDS in re.sub(r"\s+", " ", survey(tmp_path, marked, LengthUnit.MM))
