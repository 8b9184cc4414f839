"""The plots show what the curves say, mark the pose, and pose the rig when they are clicked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import radians

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app import study
from app.curves.catalogue import values_at
from app.document import Document
from app.edits import Gesture
from app.panels.plots.panel import PlotsPanel
from app.panels.plots.picture import PlotPicture
from app.panels.plots.scale import value_words
from app.searcher import Searcher
from app.study import with_width
from app.units import LengthUnit
from geometry.contact.free_lock import FreeLock, free_lock
from geometry.motion.travel import TravelPose
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from tests.app.curves.moving import moving_rig
from tests.geometry.rig.rigs import small_rig

RIG = moving_rig()


@pytest.fixture
def panel(qtbot: QtBot) -> Iterator[PlotsPanel]:
    """The panel beside a rig on which everything moves, its curves worked out."""
    made = PlotsPanel(Document(RIG, unit=LengthUnit.FRACTION))
    made.resize(480, 460)
    made._rest.setInterval(0)
    qtbot.addWidget(made)
    made.show()
    settle(qtbot, made)
    yield made
    made._pool.waitForDone()


def settle(qtbot: QtBot, panel: PlotsPanel) -> None:
    qtbot.waitUntil(lambda: panel._basis == panel._wanted())


def document(panel: PlotsPanel) -> Document:
    return panel._document


def picture(panel: PlotsPanel) -> PlotPicture:
    found = panel.plot.picture()
    assert found is not None
    return found


def pose(panel: PlotsPanel) -> TravelPose:
    return document(panel).pose(document(panel).active_axle)


def at(panel: PlotsPanel, place: float) -> QPoint:
    drawn = picture(panel)
    return QPoint(round(drawn.across.place(place)), round(drawn.plot.center().y()))


def test_a_click_poses_the_rig_a_drag_takes_it_along_and_arrows_step(panel: PlotsPanel) -> None:
    QTest.mouseClick(panel.plot, Qt.MouseButton.LeftButton, pos=at(panel, 60.0))
    assert pose(panel).left == pose(panel).right == pytest.approx(60.0, abs=1.0)
    QTest.mousePress(panel.plot, Qt.MouseButton.LeftButton, pos=at(panel, 0.0))
    QTest.mouseMove(panel.plot, at(panel, -40.0))
    QTest.mouseRelease(panel.plot, Qt.MouseButton.LeftButton, pos=at(panel, -40.0))
    assert pose(panel).left == pytest.approx(-40.0, abs=1.0)
    before = pose(panel).left
    QTest.keyClick(panel.plot, Qt.Key.Key_Right)
    assert pose(panel).left == pytest.approx(before + INCH / 8.0)
    QTest.keyClick(panel.plot, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert pose(panel).left == pytest.approx(before - 9.0 * INCH / 8.0)
    QTest.keyClick(panel.plot, Qt.Key.Key_End)
    reached = picture(panel).scene.curves.at[picture(panel).scene.curves.reached]
    assert pose(panel).left == pose(panel).right == pytest.approx(reached[-1], abs=3.0)


def test_crossed_and_steer_pose_along_their_own_way(qtbot: QtBot, panel: PlotsPanel) -> None:
    panel.show_over("crossed")
    settle(qtbot, panel)
    QTest.keyClick(panel.plot, Qt.Key.Key_End)
    assert pose(panel).left > 80.0
    assert pose(panel).right == pytest.approx(-pose(panel).left * 150.0 / 120.0)
    document(panel).set_active_axle("front")
    panel.show_over("steer")
    settle(qtbot, panel)
    panel.chooser.choose(["wheel/steer/left", "wheel/steer/right"])
    QTest.mouseClick(panel.plot, Qt.MouseButton.LeftButton, pos=at(panel, radians(20.0)))
    assert pose(panel).steer == pytest.approx(radians(20.0), abs=0.01)


def test_the_pose_is_read_from_geometry_on_the_way_and_beside_it(panel: PlotsPanel) -> None:
    panel.chooser.choose(["shaft/case", "shaft/pinion"])
    shown = document(panel)
    for there in (TravelPose(33.0, 33.0), TravelPose(40.0, -20.0)):
        shown.set_pose("rear", there)
        told = values_at(RIG, RIG.axles[0], "straight", there, families=("shaft",))
        expected = {each.quantity.key: float(each.values[0]) for each in told}
        assert panel.plot._values == pytest.approx(
            (expected["shaft/case"], expected["shaft/pinion"]), abs=radians(0.01)
        )
        words = [value_words(expected[key], "rad", shown.unit) for key in ("shaft/case", "shaft/pinion")]
        assert all(word in panel.plot.accessibleDescription() for word in words)
    assert panel.plot.accessibleDescription().startswith("this pose")


def test_a_change_of_the_pose_paints_the_mark_alone(panel: PlotsPanel) -> None:
    panel.grab()
    ground = panel.plot._ground_kept
    assert ground is not None
    document(panel).set_pose("rear", TravelPose(50.0, 50.0))
    panel.grab()
    assert panel.plot._ground_kept is ground
    document(panel).set_unit(LengthUnit.MM)
    panel.grab()
    assert panel.plot._ground_kept is not ground


def test_the_pointer_reads_value_and_unit(panel: PlotsPanel) -> None:
    panel.chooser.choose(["shaft/case"])
    QTest.mouseMove(panel.plot, at(panel, 30.0))
    assert panel.plot._hover == pytest.approx(30.0, abs=1.0)
    panel.grab()
    panel.plot.leaveEvent(None)  # type: ignore[arg-type]
    assert panel.plot._hover is None


def test_the_values_of_two_lines_stand_whole_in_two_rows(panel: PlotsPanel) -> None:
    panel.resize(400, 460)
    quantities = [each for each in panel._curves.by_key if each.startswith("stroke/")] if panel._curves else []
    panel.chooser.choose(quantities[:2])
    words = panel.plot.accessibleDescription()
    drawn = picture(panel)
    assert drawn.metrics.horizontalAdvance(words) > drawn.area.width()
    rows = drawn.reading_rows(words)
    assert len(rows) == 2
    assert " ".join(rows) == words


def test_lines_of_another_unit_take_the_place_of_those_that_are_shown(panel: PlotsPanel) -> None:
    tree = panel.chooser
    assert panel.chosen == ("stroke/main/left/length", "stroke/main/right/length")
    tree._items["stroke/limit/length"].setCheckState(0, Qt.CheckState.Checked)
    assert len(panel.chosen) == 3
    tree._items["shaft/case"].setCheckState(0, Qt.CheckState.Checked)
    assert panel.chosen == ("shaft/case",)
    tree.setCurrentItem(tree._items["shaft/pinion"])
    QTest.keyClick(tree, Qt.Key.Key_Space)
    assert panel.chosen == ("shaft/case", "shaft/pinion")
    QTest.keyClick(tree, Qt.Key.Key_Return)
    assert panel.chosen == ("shaft/pinion",)
    row = tree.visualItemRect(tree._items["shaft/length"])
    QTest.mouseClick(tree.viewport(), Qt.MouseButton.LeftButton, pos=row.center())
    assert panel.chosen == ("shaft/length",)


def test_where_the_axle_cannot_go_there_is_no_line_and_a_note_says_why(panel: PlotsPanel) -> None:
    found = picture(panel).scene.curves
    assert not found.reached.all()
    assert all(np.isnan(each.values[~found.reached]).all() for each in found.found)
    assert "end the travel before" in panel.note.text()
    limits = {limit.words for limit in picture(panel).limits}
    assert limits == {"shock main collapsed", "shock main extended"}


def test_what_is_unknown_says_so_and_leads_to_its_value(qtbot: QtBot, panel: PlotsPanel) -> None:
    document(panel).set_active_axle("front")
    settle(qtbot, panel)
    panel.chooser.choose(["shaft/case"])
    assert "Unknown without" in panel.note.text()
    assert panel.chooser._items["shaft/case"].text(0).endswith(": unknown")
    with qtbot.waitSignal(panel.place_asked) as asked:
        panel.note.linkActivated.emit("axles/front/build/transfer_output")
    assert asked.args == ["axles/front/build/transfer_output"]
    assert "case unknown" in panel.text()


def test_curves_are_faded_while_the_rig_moves_and_follow_when_it_rests(qtbot: QtBot, panel: PlotsPanel) -> None:
    shown = document(panel)
    gesture = Gesture(shown, "Drag")
    gesture.preview(with_width(shown.rig, "rear", 1700.0))
    assert picture(panel).scene.faded
    gesture.cancel()
    settle(qtbot, panel)
    assert not picture(panel).scene.faded


def test_the_free_lock_is_searched_for_when_it_is_to_be_plotted(qtbot: QtBot, panel: PlotsPanel) -> None:
    shown = document(panel)
    shown.set_active_axle("front")
    settle(qtbot, panel)
    with qtbot.waitSignal(shown.free_lock_asked):
        panel.chooser.choose(["lock/left"])
    assert "Searching" in panel.note.text()
    found = free_lock(RIG, RIG.axle("front"), 9)
    assert found is not None
    assert not shown.take_free_lock(shown.revision - 1, found)
    assert shown.wants_free_lock("front")
    shown.take_free_lock(shown.revision, found)
    assert not shown.wants_free_lock("front")
    assert np.nanmin(picture(panel).scene.lines[0].values) == pytest.approx(
        min(row[at] for at, row in enumerate(found.left))
    )


def test_the_searcher_finds_what_was_asked_for(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    rig = small_rig(bars=[], panels=[])

    def coarse(rig: Rig, axle: str, *, cancelled: Callable[[], bool]) -> FreeLock | None:
        return free_lock(rig, rig.axle(axle), 3, give_up=cancelled)

    monkeypatch.setattr(study, "free_lock", coarse)
    shown = Document(rig, unit=LengthUnit.MM)
    searcher = Searcher(shown, shown)
    searcher.idle_ms = 0
    shown.set_active_axle("front")
    shown.ask_free_lock("front")
    searcher.check()
    qtbot.waitUntil(lambda: shown.free_lock("front") is not None, timeout=20_000)
    searcher.stop()


def test_the_button_asks_for_a_file_of_what_is_plotted_over(qtbot: QtBot, panel: PlotsPanel) -> None:
    panel.show_over("crossed")
    with qtbot.waitSignal(panel.export_asked) as asked:
        panel.save.click()
    assert asked.args == ["crossed"]
