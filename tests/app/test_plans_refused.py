"""A plan that cannot be built is said where it is asked for, and stops neither the check nor a panel."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QSettings
from pytestqt.qtbot import QtBot

from app.__main__ import main
from app.document import Document
from app.edits import change_rig
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig, write_rig
from app.units import LengthUnit
from app.width_rules import rules_of
from app.window import MainWindow
from geometry.rig.axle import Axle
from geometry.rig.build import AsBuilt, BuildSide
from geometry.rig.rig import Rig


def too_deep(axle: Axle) -> Axle:
    """A tube that would go in past the pinion."""
    assert axle.build is not None
    left: BuildSide = replace(axle.build.left, insertion_centre=254.0)
    return replace(axle, build=replace(axle.build, left=left))


def measured(axle: Axle) -> Axle:
    return replace(axle, as_built=AsBuilt(date="2026-05-31", stage="welded", half_left=900.0, mark_left=850.0))


def rig_with(change: Callable[[Axle], Axle]) -> Rig:
    rig = read_rig(demo_rigs()[1])
    return replace(rig, axles=tuple(change(axle) if axle.id == "rear" else axle for axle in rig.axles))


def test_room_for_perches_is_unknown_then() -> None:
    rig = rig_with(too_deep)
    rule = rules_of(rig, rig.axle("rear"))[-1]
    assert rule.low is not None
    assert rule.low.missing == ("axles/rear/build/left/insertion_centre",)
    assert rule.at(rig.axle("rear").width).satisfied is None


@pytest.mark.parametrize("change", [too_deep, lambda axle: measured(too_deep(axle))])
@pytest.mark.parametrize(
    "command", [["check"], ["numbers", "--axle", "rear"], ["widths", "--from", "71", "--to", "73"]]
)
def test_commands_answer_in_sentences(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: Callable[[Axle], Axle], command: list[str]
) -> None:
    path = tmp_path / "deep.rig.json"
    write_rig(path, rig_with(change))
    assert main([command[0], str(path), *command[1:]]) in {0, 1, 2}
    told = capsys.readouterr()
    assert "axles/" not in told.out + told.err
    assert "Traceback" not in told.err


@pytest.mark.parametrize("change", [too_deep, lambda axle: measured(too_deep(axle))])
def test_the_window_goes_on_and_every_panel_shows_something(
    qtbot: QtBot, tmp_path: Path, change: Callable[[Axle], Axle]
) -> None:
    document = Document(read_rig(demo_rigs()[1]), unit=LengthUnit.FRACTION)
    window = MainWindow(document, QSettings(str(tmp_path / "s.ini"), QSettings.Format.IniFormat))
    qtbot.addWidget(window, before_close_func=lambda each: each.document.undo_stack.setClean())
    with qtbot.waitActive(window):
        window.show()
    qtbot.waitUntil(lambda: document.study is not None, timeout=20_000)
    rear = document.rig.axle("rear")
    change_rig(document, replace(document.rig, axles=(change(rear), document.rig.axle("front"))), "Change depth")
    for tab in range(window.tabs.count()):
        window.tabs.setCurrentIndex(tab)
        window.grab()
    qtbot.waitUntil(lambda: document.study is not None, timeout=20_000)
    window.grab()
    assert "axles/" not in window.verdict.sentence.text()
    window.searcher.stop()
