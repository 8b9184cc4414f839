"""Lists go out to a spreadsheet and come back as they were; what cannot be used is told by its row."""

from __future__ import annotations

import re

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from app.document import Document
from app.edits import with_axle
from app.panels.records.adding import AddBox
from app.panels.records.listing import ListError, list_text, with_list
from app.panels.records.topics import Topic
from app.panels.tables.changes import TableError
from app.units import LengthUnit
from geometry.rig.build import Build, Perch
from geometry.rig.driveline import PinionChoice
from geometry.rig.mass import Masses, MassPart
from geometry.rig.rig import Rig
from geometry.rig.rules import Rules, WidthLimit
from geometry.rig.stroke import Shock
from tests.geometry.rig.rigs import small_rig

MASSES, RULES, PERCHES = Topic("masses"), Topic("rules"), Topic("perches", "rear")
MM = LengthUnit.MM


@pytest.fixture
def rig() -> Rig:
    """A record of every list, with numbers that no short text says."""
    parts = (
        MassPart(id="engine", name="Engine", mass_kg=220.0 + 1e-9, at=(1500.0 / 7.0, 0.0, 700.0)),
        MassPart(id="seat", aboard="loaded", mirrored=True),
    )
    rules = Rules(widths=(WidthLimit(id="gate", name="Gate", measure="rim", most=2209.8),))
    perches = (Perch(id="p", at=-482.6, width=76.2, angle_deg=-8.0),)
    whole = replace(small_rig(), masses=Masses(parts=parts), rules=rules)
    return with_axle(whole, "rear", build=Build(perches=perches))


def test_shocks_pinions_and_joints_come_back_as_they_went_out(rig: Rig) -> None:
    ends = {"chassis": (30.0 / 7.0, 400.0, 850.0), "axle": (30.0, 420.0, 450.0)}
    shocks = (Shock(id="s", collapsed=300.0, extended=500.0, body_at="axle", spring_od=120.0, mirrored=True, **ends),)
    pinions = (PinionChoice(id="p", pinion_rise=-30.0),)
    first, *others = rig.axle("rear").rods
    rods = (replace(first, axle_bolt=(0.1, 1.0, 0.0), chassis_limit_deg=25.0), *others)
    with_all = with_axle(rig, "rear", shocks=shocks, pinion_choices=pinions, rods=rods)
    for kind in ("shocks", "pinions", "joints"):
        topic = Topic(kind, "rear")
        assert with_list(with_all, topic, list_text(with_all, topic, MM), MM).rig == with_all
    without = with_axle(rig, "rear", shocks=())
    assert with_list(without, Topic("shocks", "rear"), list_text(with_all, Topic("shocks", "rear"), MM), MM).added == 1
    text = "id\tcollapsed length\textended length\ns\t310\t510\n"
    (changed,) = with_list(with_all, Topic("shocks", "rear"), text, MM).rig.axle("rear").shocks
    assert (changed.collapsed, changed.spring_od) == (310.0, 120.0)
    with pytest.raises(ListError, match="Row 2: there is no link “new”"):
        with_list(with_all, Topic("joints", "rear"), "id\tchassis end leans at most\nnew\t20", MM)


@pytest.mark.parametrize("topic", [MASSES, RULES, PERCHES], ids=lambda topic: topic.kind)
@pytest.mark.parametrize("unit", LengthUnit)
def test_a_list_comes_back_as_it_went_out(rig: Rig, topic: Topic, unit: LengthUnit) -> None:
    pasted = with_list(rig, topic, list_text(rig, topic, unit), unit)
    assert pasted.rig == rig
    assert (pasted.added, pasted.changed) == (0, 0)
    empty = replace(with_axle(rig, "rear", build=Build()), masses=None, rules=None)
    assert (
        with_list(empty, topic, list_text(rig, topic, unit), LengthUnit.MM).added
        == len(list_text(rig, topic, unit).splitlines()) - 1
    )


def test_headings_tell_what_a_column_is_and_in_which_unit(rig: Rig) -> None:
    text = "Name\tMass [kg]\tx [in]\ty [mm]\tz\n Winch \t90 lb\t100\t0\t20 in\n"
    pasted = with_list(rig, MASSES, text, MM)
    assert pasted.rig.masses is not None
    assert pasted.rig.masses.parts[2:] == (
        MassPart(id="part-1", name="Winch", mass_kg=pytest.approx(40.8233133), at=(2540.0, 0.0, 508.0)),
    )


def test_an_id_that_is_known_changes_its_record_and_leaves_what_no_column_is_about(rig: Rig) -> None:
    pasted = with_list(rig, MASSES, "id\tmass\nengine\t\nnew one\t\n".replace("new one", "spare"), MM)
    assert (pasted.added, pasted.changed) == (1, 1)
    assert pasted.rig.masses is not None
    engine, _, spare = pasted.rig.masses.parts
    assert (engine.mass_kg, engine.name) == (None, "Engine")
    assert spare == MassPart(id="spare")


@pytest.mark.parametrize(
    ("topic", "text", "said"),
    [
        (MASSES, "name\tweight\nx\t1", "The first row must be headings, and “weight” is none of: id, name, mass"),
        (MASSES, "name\tmass\na\t5\nb\theavy", "Row 3: mass: "),
        (MASSES, "name\tx\ty\tz\na\t1\t\t3", "Row 2: the place has x, y and z; give all three of them, or none"),
        (MASSES, "name\tmass\na\t-5", "Row 2: mass is −5 kg and must be more than 0 kg"),
        (MASSES, "id\tname\na\tx\na\ty", "Row 3: the id “a” is there twice; remove one"),
        (MASSES, "name\taboard\na\tseldom", "Row 2: aboard: “seldom” is none of always, loaded"),
        (MASSES, "name\tmirrored\na\tmaybe", "Row 2: mirrored: “maybe” is neither yes nor no; write one of these two"),
        (MASSES, "name\na\tb", "Row 2: there are more cells than headings"),
        (PERCHES, "name\twidth\na\t60", "Row 2: middle is missing; a new one needs it"),
        (RULES, "name\nclub", "Row 2: largest width and measured at are missing; a new one needs it"),
        (MASSES, "", "Nothing was copied; copy cells of a spreadsheet first"),
    ],
)
def test_what_cannot_be_used_is_told_by_its_row(rig: Rig, topic: Topic, text: str, said: str) -> None:
    with pytest.raises((ListError, TableError), match=re.escape(said)):
        with_list(rig, topic, text, MM)


def test_pasting_is_one_step_and_a_refusal_none(qtbot: QtBot, document: Document, rig: Rig) -> None:
    document.replace_rig(rig)
    box = AddBox(document, MASSES)
    qtbot.addWidget(box)
    box.show()
    qtbot.mouseClick(box.copy_button, Qt.MouseButton.LeftButton)
    assert QGuiApplication.clipboard().text().startswith("id\tname\tmass [kg]\taboard\tmirrored\tx [in]")
    QGuiApplication.clipboard().setText("name\tmass\nWinch\t41\nJack\t12")
    qtbot.mouseClick(box.paste_button, Qt.MouseButton.LeftButton)
    assert box.said.text() == "2 added, 0 changed."
    assert document.undo_stack.count() == 1
    QGuiApplication.clipboard().setText("name\tmass\nWinch\tmuch")
    qtbot.mouseClick(box.paste_button, Qt.MouseButton.LeftButton)
    assert box.said.text().startswith("Row 2: mass: ")
    assert box.said.text().endswith("Nothing was pasted.")
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.rig == rig
