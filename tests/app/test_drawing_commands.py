"""The menu “Draw”, its panel, and what “Edit” does to the chosen parts: by keys, one undo step each."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QEvent, QPoint, QSettings, Qt
from PySide6.QtGui import QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QToolButton
from pytestqt.qtbot import QtBot

from app import dialogs
from app.canvas.drawing.bar import BarMode
from app.document import Document
from app.edits import ReplaceRig
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.panels.lengths_dialog import LengthsDialog, read_count
from app.units import LengthUnit
from app.window import MainWindow
from geometry.rig.layout import PartRef
from geometry.rig.naming import node_part
from geometry.rig.parts import Bar, Node, Panel
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from geometry.sketch.lookup import item, part_of
from tests.app.sketching import LEFT, NONE, draw, press, type_into

Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def rig() -> Rig:
    places = {"a": (500.0, 300.0, 600.0), "b": (1000.0, 300.0, 600.0), "c": (1500.0, 300.0, 600.0)}
    places |= {"d": (1500.0, 300.0, 1000.0), "e": (1000.0, 300.0, 1000.0)}
    bars = [("one", "ab"), ("two", "bc"), ("up", "cd")]
    return replace(
        read_rig(demo_rigs()[0]),
        nodes=tuple(Node(id=name, at=at) for name, at in places.items()),
        bars=tuple(Bar(id=name, nodes=tuple(ends), od=40.0, wall=3.0) for name, ends in bars),
        panels=(Panel(id="skin", facets=(("b", "c", "d", "e"),)),),
    )


@pytest.fixture
def said(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    texts: list[str] = []
    monkeypatch.setattr(dialogs, "say", lambda _parent, what, why: texts.append(f"{what} {why}"))
    return texts


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, rig: Rig, said: list[str]) -> Iterator[MainWindow]:
    del said
    settings = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    palette = QApplication.palette()
    window = MainWindow(Document(rig, unit=LengthUnit.MM), settings)
    qtbot.addWidget(window, before_close_func=lambda each: each.document.undo_stack.setClean())
    with qtbot.waitActive(window):
        window.show()
    window.searcher.stop()
    window.views["side"].setFocus()
    yield window
    QApplication.setPalette(palette)


def bar(window: MainWindow, name: str) -> PartRef:
    rig = window.document.rig
    return part_of(rig, item(rig.bars, name, "bars"))


def command(window: MainWindow, words: str) -> QAction:
    return next(action for action in window.findChildren(QAction) if action.text().replace("&", "") == words)


def dialog(window: MainWindow) -> LengthsDialog:
    return window.findChildren(LengthsDialog)[-1]


def steps(window: MainWindow) -> list[str]:
    stack = window.document.undo_stack
    return [stack.text(index) for index in range(stack.count())]


# The tools


@pytest.mark.parametrize(
    ("key", "name"), [(Key.Key_B, "Bar"), (Key.Key_P, "Panel"), (Key.Key_M, "Measure"), (Key.Key_S, "Split"),
                      (Key.Key_E, "Extend")]
)  # fmt: skip
def test_a_letter_in_a_view_starts_a_tool_and_escape_leaves_it(window: MainWindow, key: Key, name: str) -> None:
    side = window.views["side"]
    press(side, key)
    assert window.modes.mode is not None
    assert window.modes.mode.name == name
    assert window.drawing.isVisible()
    assert side.hasFocus()
    assert [action.text().replace("&", "") for action in _tools(window) if action.isChecked()] == [name]
    assert window.drawing.words.text().startswith(f"{name}: ")
    press(side, Key.Key_Escape)
    assert window.modes.mode is None
    assert not any(action.isChecked() for action in _tools(window))


def _tools(window: MainWindow) -> list[QAction]:
    return [button.defaultAction() for button in window.drawing.findChildren(QToolButton) if button.defaultAction()]


def test_letters_typed_into_a_field_start_nothing(window: MainWindow) -> None:
    field = window.strip.field.line
    field.setFocus()
    QTest.keyClicks(field, "bpmsejw")
    press(field, Key.Key_Delete)
    assert window.modes.mode is None
    assert not window.document.is_modified


def test_every_button_says_its_key_and_is_large_enough(window: MainWindow) -> None:
    window.show_drawing()
    QApplication.processEvents()
    for button in window.drawing.findChildren(QToolButton):
        assert min(button.width(), button.height()) >= 24
        assert button.text()
        action = button.defaultAction()
        if action is not None and not action.shortcut().isEmpty():
            assert f"({action.shortcut().toString()})" in button.toolTip()


def test_the_button_of_a_tool_starts_it_and_goes_to_a_view(window: MainWindow) -> None:
    window.show_drawing()
    window.strip.plot.setFocus()
    button = next(each for each in window.drawing.findChildren(QToolButton) if each.text().replace("&", "") == "Bar")
    QTest.mouseClick(button, LEFT, NONE, QPoint(10, 10))
    assert isinstance(window.modes.mode, BarMode)
    assert window.views["side"].hasFocus()


def test_the_panel_holds_what_is_drawn_with_and_the_unit_reaches_it(window: MainWindow) -> None:
    drawing, settings = window.drawing, window.drawing_settings
    window.show_drawing()
    type_into(drawing.od.line, "1 1/2 in")
    type_into(drawing.bend.line, "150")
    QTest.mouseClick(drawing.mirrored, LEFT, NONE, QPoint(8, drawing.mirrored.height() // 2))
    drawing.grid.setFocus()
    press(drawing.grid, Key.Key_End)
    assert (settings.od, settings.bend_radius, settings.mirrored, settings.grid) == (38.1, 150.0, False, None)
    type_into(drawing.wall.line, "30")
    assert drawing.wall.error.text()
    press(drawing.grid, Key.Key_Home)
    window.document.set_unit(LengthUnit.FRACTION)
    assert (drawing.od.line.text(), drawing.grid.currentText()) == ("1 1/2 in", "1/16 in")


def test_the_work_planes_go_through_the_chosen_node(window: MainWindow) -> None:
    assert not window.drawing.take.isEnabled()
    window.document.select(node_part(window.document.rig.nodes[3], image=True))
    assert window.drawing.take.isEnabled()
    press(window.views["side"], Key.Key_W)
    assert dict(window.drawing_settings.planes) == {"side": -300.0, "front": 1500.0, "top": 1000.0}


def test_the_first_bar_in_the_top_view_lies_at_the_height_of_the_hubs_and_not_on_the_ground(
    window: MainWindow, rig: Rig
) -> None:
    document, top = window.document, window.views["top"]
    document.undo_stack.push(ReplaceRig(document, rig, replace(rig, nodes=(), bars=(), panels=()), "Empty"))
    hub = tire_dimensions(rig.axles[0].tire).loaded_radius
    planes = window.drawing_settings.planes
    assert planes["top"] == pytest.approx(hub, abs=5.0)
    press(window.views["side"], Key.Key_T)
    QApplication.processEvents()
    top.setFocus()
    press(top, Key.Key_B)
    draw(top, [(800.0, 400.0, 0.0), (1800.0, 400.0, 0.0)])
    assert {node.at[2] for node in document.rig.nodes} == {planes["top"]}


def test_work_planes_follow_the_rig_until_they_are_typed(window: MainWindow, rig: Rig) -> None:
    settings, side = window.drawing_settings, window.views["side"]
    window.show_drawing()
    stations = [axle.station for axle in rig.axles]
    assert settings.planes["front"] == pytest.approx(sum(stations) / len(stations), abs=5.0)
    assert (settings.planes["side"], settings.planes["top"]) == (0.0, 600.0)
    for node in "abc":
        window.document.toggle(node_part(item(rig.nodes, node, "nodes")))
    side.setFocus()
    press(side, Key.Key_Down)
    assert settings.planes["top"] == 599.0
    assert window.drawing.planes["top"].line.text() == "599.0 mm"
    type_into(window.drawing.planes["top"].line, "700")
    press(side, Key.Key_Down)
    assert min(node.at[2] for node in window.document.rig.nodes) == 598.0
    assert settings.planes["top"] == 700.0


# What is chosen


def test_select_all_and_delete_empty_the_chassis_in_one_step(window: MainWindow, rig: Rig) -> None:
    side = window.views["side"]
    QTest.keyClick(side, Key.Key_A, CONTROL)
    assert len(window.document.chosen) == 9
    press(side, Key.Key_Delete)
    emptied = window.document.rig
    assert (emptied.nodes, emptied.bars, emptied.panels, emptied.axles) == ((), (), (), rig.axles)
    assert steps(window) == ["Delete 9 parts"]
    assert window.document.selection is None


def test_two_bars_are_joined_by_a_letter(window: MainWindow, said: list[str]) -> None:
    window.document.choose([bar(window, "one"), bar(window, "two")])
    press(window.views["side"], Key.Key_J)
    assert item(window.document.rig.bars, "one", "bars").nodes == ("a", "b", "c")
    assert steps(window) == ["Join bars one and two"]
    window.document.choose([bar(window, "one"), node_part(window.document.rig.nodes[0])])
    press(window.views["side"], Key.Key_J)
    assert len(steps(window)) == 1
    assert len(said) == 1
    assert said[0].startswith("That cannot be done. Bar “one” cannot be joined with itself")


def test_mirror_marks_the_chosen_bars_or_makes_parts_of_their_own(window: MainWindow) -> None:
    window.document.choose([bar(window, "one"), bar(window, "two")])
    command(window, "Mirror").trigger()
    assert [each.mirrored for each in window.document.rig.bars] == [True, True, False]
    command(window, "Mirror to parts of their own").trigger()
    assert len(window.document.rig.bars) == 5
    assert steps(window) == ["Mirror 2 parts", "Mirror 2 parts"]


def fill(window: MainWindow, *texts: str) -> LengthsDialog:
    """Type into the fields of the question from the first on, Tab between them, and Enter."""
    asked = dialog(window)
    for _ in range(1000):  # the focus comes with the next events
        if asked.isAncestorOf(QApplication.focusWidget() or window):
            break
        QTest.qWait(5)
    for text in texts:
        QTest.keyClicks(QApplication.focusWidget(), text)
        if text is not texts[-1]:
            press(QApplication.focusWidget(), Key.Key_Tab)
    press(QApplication.focusWidget(), Key.Key_Return)
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    return asked


def test_a_typed_offset_moves_what_is_chosen(window: MainWindow) -> None:
    window.document.select(node_part(window.document.rig.nodes[0]))
    QTest.keyClick(window.views["side"], Key.Key_M, CONTROL)
    fill(window, "1 in", "-10", "0")
    assert window.document.rig.nodes[0].at == (525.4, 290.0, 600.0)
    assert steps(window) == ["Move node a"]
    assert not window.findChildren(LengthsDialog)


def test_copies_go_on_by_the_offset_and_are_chosen(window: MainWindow) -> None:
    window.document.select(bar(window, "up"))
    QTest.keyClick(window.views["side"], Key.Key_D, CONTROL)
    fill(window, "0", "-100", "0", "2")
    assert [each.id for each in window.document.rig.bars] == ["one", "two", "up", "up-2", "up-3"]
    assert [part.id for part in window.document.chosen] == ["up-2", "up-3"]
    assert [node.at[1] for node in window.document.rig.nodes[-2:]] == [100.0, 100.0]
    assert len(steps(window)) == 1


def test_what_cannot_be_is_said_in_the_question_which_stays_with_all_that_was_typed(window: MainWindow) -> None:
    window.document.select(bar(window, "up"))
    command(window, "Copy by offset…").trigger()
    asked = fill(window, "0", "0", "0", "1")
    assert asked.isVisible()
    assert "would lie exactly on" in asked.error.text()
    asked.fields[0].line.setFocus()
    QTest.keyClicks(asked.fields[0].line, "1 in + ")
    press(asked.fields[0].line, Key.Key_Return)
    assert asked.isVisible()
    assert asked.fields[0].error.text()
    assert asked.fields[0].line.text() == "1 in + "
    assert not window.document.is_modified
    press(asked, Key.Key_Escape, Key.Key_Escape)


@pytest.mark.parametrize("text", ["0", "2.5", "101", "many"])
def test_a_number_of_copies_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="whole number"):
        read_count(text)


def test_a_bar_is_extended_at_the_end_that_is_chosen(window: MainWindow) -> None:
    window.document.select(bar(window, "one"))
    command(window, "Extend by…").trigger()
    choice = dialog(window).choice
    press(choice, Key.Key_Down)
    assert choice.currentText() == "End at a"
    fill(window, "100")
    assert window.document.rig.nodes[0].at == (400.0, 300.0, 600.0)
    assert steps(window) == ["Extend bar one"]


def test_a_bend_radius_is_asked_for_and_refused_where_it_does_not_fit(window: MainWindow) -> None:
    window.document.choose([bar(window, "two"), bar(window, "up")])
    press(window.views["side"], Key.Key_J)
    command(window, "Bend radius…").trigger()
    asked = fill(window, "900")
    assert asked.isVisible()
    assert "bend" in asked.error.text().lower()
    asked.fields[0].line.selectAll()
    fill(window, "150")
    assert item(window.document.rig.bars, "two", "bars").bend_radius == 150.0
    assert steps(window)[-1] == "Bend bar two"


def test_a_bar_is_split_in_the_middle_without_a_click(window: MainWindow) -> None:
    window.document.select(bar(window, "up"))
    command(window, "Split in the middle").trigger()
    assert window.document.rig.nodes[-1].at == (1500.0, 300.0, 800.0)
    assert [each.id for each in window.document.rig.bars] == ["one", "two", "up", "up-2"]
    assert steps(window) == ["Split bar up"]


def test_two_chosen_points_are_measured_without_a_click(window: MainWindow) -> None:
    rig = window.document.rig
    window.document.choose([node_part(rig.nodes[0]), node_part(rig.nodes[3])])
    press(window.views["side"], Key.Key_M)
    assert window.drawing.words.text().replace("\N{NO-BREAK SPACE}", " ").startswith("Measure: 1077.0 mm apart")
    window.document.select(node_part(rig.nodes[0]))
    press(window.views["side"], Key.Key_M)
    assert window.drawing.words.text() == "Measure: click one point"


def test_panels_are_taken_off_and_fitted(window: MainWindow) -> None:
    panel = part_of(window.document.rig, window.document.rig.panels[0])
    window.document.select(panel)
    toggle = command(window, "Fit or take off panels")
    toggle.trigger()
    assert not window.document.rig.panels[0].fitted
    toggle.trigger()
    assert window.document.rig.panels[0].fitted
    assert len(steps(window)) == 2


@pytest.mark.parametrize(
    "words",
    [
        "Delete",
        "Mirror",
        "Join bars",
        "Split in the middle",
        "Move by…",
        "Copy by offset…",
        "Extend by…",
        "Bend radius…",
        "Fit or take off panels",
    ],
)
def test_with_nothing_chosen_a_sentence_says_what_to_do(window: MainWindow, said: list[str], words: str) -> None:
    command(window, words).trigger()
    assert len(said) == 1
    assert "hoose" in said[0] or "Click" in said[0]
    assert not window.findChildren(LengthsDialog)
    assert not window.document.is_modified
