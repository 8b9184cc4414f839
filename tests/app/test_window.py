"""The window as a builder uses it: real events, the real search, no dialog that is not asked for."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from time import monotonic

import pytest
from PySide6.QtCore import QByteArray, QMimeData, QPoint, QPointF, QSettings, Qt, QUrl
from PySide6.QtGui import QAccessible, QDragEnterEvent, QDropEvent, QKeySequence, QPalette
from PySide6.QtWidgets import QAbstractItemView, QApplication, QLabel, QLineEdit, QMessageBox, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app import dialogs, drawing_commands
from app.__main__ import main
from app.controls import LARGE
from app.dialogs import Answer
from app.document import Document, within_travel
from app.edits import change_rig, set_width, with_axle
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig, write_rig
from app.panels.command_list import commands_of
from app.panels.help_window import PAGES as HELP
from app.panels.help_window import HelpWindow, page_of
from app.panels.lengths_dialog import LengthsDialog
from app.panels.tables.view import SheetView
from app.panels.touch_list import COLUMNS
from app.study import check
from app.theme import DARK, LIGHT, ThemeChoice, colours
from app.typeset import typeset
from app.units import LengthUnit
from app.window import HELP_PAGES, MainWindow
from app.wording import verdict_sentence
from geometry.contact.findings import Verdict
from geometry.sketch.lookup import part_of

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(autouse=True)
def said(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """No test opens a dialog: what would be said is kept, what would be asked fails."""
    texts: list[str] = []
    monkeypatch.setattr(dialogs, "say", lambda _parent, what, why: texts.append(f"{what} {why}"))
    for name in ("ask_to_save", "ask_open", "ask_save"):
        monkeypatch.setattr(dialogs, name, _not_expected)
    return texts


def _not_expected(*_anything: object) -> None:
    pytest.fail("a question was asked that nobody expected")


@pytest.fixture
def settings(tmp_path: Path) -> QSettings:
    return QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)


@pytest.fixture
def make(qtbot: QtBot, settings: QSettings) -> Iterator[Callable[[], MainWindow]]:
    """Makes windows on the first demo rig, and ends their searches."""
    made: list[MainWindow] = []
    palette = QApplication.palette()

    def one() -> MainWindow:
        window = MainWindow(Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION), settings)
        made.append(window)
        qtbot.addWidget(window, before_close_func=lambda each: each.document.undo_stack.setClean())
        with qtbot.waitActive(window):
            window.show()
        return window

    yield one
    for window in made:
        window.searcher.stop()
    QApplication.setPalette(palette)


@pytest.fixture
def window(make: Callable[[], MainWindow]) -> MainWindow:
    return make()


def answered(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.waitUntil(lambda: window.document.study is not None, timeout=20_000)


def texts(root: QWidget) -> list[str]:
    """All text that is visible in a window's labels and fields."""
    labels = [label.text() for label in root.findChildren(QLabel) if label.isVisible()]
    return labels + [line.text() for line in root.findChildren(QLineEdit) if line.isVisible()]


# The answer


def test_the_first_screen_answers_without_a_click(qtbot: QtBot, window: MainWindow) -> None:
    answered(qtbot, window)
    study = check(window.document.rig)
    assert window.verdict.sentence.text() == typeset(verdict_sentence(study, LengthUnit.FRACTION))
    assert window.touches.model.rowCount() > 0
    qtbot.waitUntil(lambda: window.strip._window_words.text().startswith("Clears from 68"), timeout=20_000)


def test_dragging_through_the_range_ends_with_the_verdict_of_the_command_line(
    qtbot: QtBot, window: MainWindow, capfd: pytest.CaptureFixture[str]
) -> None:
    answered(qtbot, window)
    plot = window.strip.plot
    qtbot.mousePress(plot, LEFT, pos=plot.handle_place().toPoint())
    height = round(plot.handle_place().y())
    for k in range(200):
        place = QPoint(round(plot.axis.place((58.0 + 14.0 * k / 199.0) * 25.4)), height)
        qtbot.mouseMove(plot, place)
        QApplication.processEvents()
    qtbot.mouseRelease(plot, LEFT, pos=place)
    answered(qtbot, window)
    rig = window.document.rig
    assert rig.axle("rear").width == pytest.approx(72.0 * 25.4, abs=1.6)
    assert window.document.undo_stack.count() == 1
    assert not [line for line in capfd.readouterr().err.splitlines() if "This plugin does not support" not in line]
    status = main(["check", str(demo_rigs()[0]), "--width", f"rear={rig.axle('rear').width!r} mm"])
    assert typeset(capfd.readouterr().out.splitlines()[0]) == window.verdict.sentence.text()
    assert status == (0 if check(rig).verdict is Verdict.CLEAR else 1)


@pytest.mark.usefixtures("window")
def test_the_interface_stays_alive_while_it_searches(qtbot: QtBot) -> None:
    longest = 0.0
    last = monotonic()
    end = last + 1.5
    while monotonic() < end:
        QApplication.processEvents()
        longest, last = max(longest, monotonic() - last), monotonic()
        qtbot.wait(1)
    assert longest < 0.5


def test_typing_dragging_and_fields_are_the_same_width(qtbot: QtBot, window: MainWindow) -> None:
    line = window.strip.field.line
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, "70 1/4")
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert window.details.axle.mount_width.line.text() == "70 1/4 in"
    assert window.strip.plot.width_now == 70.25 * 25.4


def test_choosing_a_row_poses_the_rig_in_every_view(qtbot: QtBot, window: MainWindow) -> None:
    answered(qtbot, window)
    table = window.touches.table
    place = table.visualRect(window.touches.model.index(0, COLUMNS.index("Pair"))).center()
    qtbot.mouseClick(table.viewport(), LEFT, pos=place)
    found = window.touches.model.rows[0]
    assert window.document.pose(found.axle) == within_travel(found.pose, window.document.rig.axle(found.axle))
    assert window.document.undo_stack.count() == 0


# Keys and menus


def test_undo_and_redo_by_key_from_the_slider_and_from_a_field(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.keyClick(window.strip.plot, Qt.Key.Key_Right)
    assert window.document.undo_stack.count() == 1
    qtbot.keyClick(window.strip.plot, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert not window.document.undo_stack.canUndo()
    window.strip.field.line.setFocus()
    qtbot.keyClick(window.strip.field.line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier | _SHIFT)
    assert window.document.undo_stack.canUndo()
    assert window.menus.undo.text() == "&Undo Change rear axle width"


_SHIFT = Qt.KeyboardModifier.ShiftModifier


def test_t_shows_and_hides_the_top_view_but_not_from_a_field(qtbot: QtBot, window: MainWindow) -> None:
    assert not window.views["top"].isVisible()
    qtbot.keyClick(window.strip.plot, Qt.Key.Key_T)
    assert window.views["top"].isVisible()
    window.strip.field.line.setFocus()
    qtbot.keyClick(window.strip.field.line, Qt.Key.Key_T)
    assert window.views["top"].isVisible()


def test_pose_keys_pose_and_play_plays(qtbot: QtBot, window: MainWindow) -> None:
    qtbot.keyClick(window.strip.plot, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    axle = window.document.rig.axle("rear")
    assert window.document.pose("rear").left == axle.bump
    qtbot.keyClick(window.strip.plot, Qt.Key.Key_F5)
    assert window.menus.play.isChecked()
    qtbot.keyClick(window.strip.plot, Qt.Key.Key_F5)
    assert not window.pad.play.isChecked()


def test_the_panels_menu_hides_and_shows_panels(window: MainWindow) -> None:
    travel = next(each for each in commands_of(window.menuBar()) if each.place == "View, Panels")
    for hidden in (True, False):
        travel.action.trigger()
        assert window.docks[0].isHidden() is hidden


def test_a_run_of_keys_on_an_axle_that_gets_another_id_meanwhile_ends_in_peace(
    qtbot: QtBot, window: MainWindow
) -> None:
    qtbot.keyPress(window.strip.plot, Qt.Key.Key_Right)
    rig = with_axle(window.document.rig, "rear", id="back")
    change_rig(window.document, rig, "Change id")
    assert "back" in {axle.id for axle in window.document.rig.axles}
    qtbot.keyPress(window.strip.plot, Qt.Key.Key_Right)
    qtbot.keyRelease(window.strip.plot, Qt.Key.Key_Right)
    assert window.document.rig == rig


def test_enter_goes_back_to_a_cell_that_was_left_open(qtbot: QtBot, window: MainWindow) -> None:
    window.show_tables()
    view = window.tables.currentWidget().findChild(SheetView)
    view.setCurrentIndex(view.order.index(0, 1))
    view.edit(view.currentIndex())
    view.setState(QAbstractItemView.State.NoState)
    qtbot.keyClick(view, Qt.Key.Key_Return)
    assert view.indexWidget(view.currentIndex()) is not None


def test_no_two_commands_share_a_key(window: MainWindow) -> None:
    keys = [
        key.toString(QKeySequence.SequenceFormat.PortableText)
        for menu in window.menuBar().actions()
        for action in _leaves(menu)
        for key in action.shortcuts()
    ]
    assert len(keys) == len(set(keys))


def _leaves(action: object) -> list[object]:
    menu = action.menu()  # type: ignore[attr-defined]
    return [leaf for each in menu.actions() for leaf in _leaves(each)] if menu is not None else [action]


def test_access_keys_are_not_given_twice_in_a_menu(window: MainWindow) -> None:
    for bar in window.menuBar().actions():
        marks = [text[text.index("&") + 1].lower() for a in bar.menu().actions() if "&" in (text := a.text())]
        assert len(marks) == len(set(marks)), bar.text()


def test_the_unit_reaches_all_visible_text(qtbot: QtBot, window: MainWindow) -> None:
    answered(qtbot, window)
    qtbot.waitUntil(lambda: "Clears" in window.strip._window_words.text(), timeout=20_000)
    before = window.document.rig
    window.menus.units[LengthUnit.MM].trigger()
    window.tabs.setCurrentIndex(1)
    assert not [text for text in texts(window) if re.search(r"\d in\b", text)]
    assert window.strip.field.line.text() == "1676.4 mm"
    assert "mm" in window.verdict.sentence.text()
    assert window.document.rig is before
    assert not window.isWindowModified()


# Files


def test_the_title_names_the_design_and_marks_changes(window: MainWindow, tmp_path: Path) -> None:
    assert window.document.rig.name in window.windowTitle()
    set_width(window.document, "rear", 1750.0)
    assert window.isWindowModified()
    window.document.save(tmp_path / "own.rig.json")
    assert not window.isWindowModified()
    assert window.windowTitle().startswith("own.rig.json")


def test_saving_asks_for_a_file_once(window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "own.rig.json"
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: target)
    set_width(window.document, "rear", 1750.0)
    assert window.files.save()
    monkeypatch.setattr(dialogs, "ask_save", _not_expected)
    set_width(window.document, "rear", 1760.0)
    assert window.files.save()
    assert read_rig(target) == window.document.rig
    assert window.files.recent.paths() == (target,)


@pytest.mark.parametrize(
    ("answer", "closes", "saved"),
    [(Answer.SAVE, True, True), (Answer.DISCARD, True, False), (Answer.CANCEL, False, False)],
)
def test_closing_with_changes_asks_and_does_as_told(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: Answer, closes: bool, saved: bool
) -> None:
    target = tmp_path / "own.rig.json"
    window.document.save(target)
    set_width(window.document, "rear", 1750.0)
    monkeypatch.setattr(dialogs, "ask_to_save", lambda *_: answer)
    assert window.close() is closes
    assert (read_rig(target).axle("rear").width == 1750.0) is saved


def test_a_save_that_fails_keeps_the_window_open(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: list[str]
) -> None:
    set_width(window.document, "rear", 1750.0)
    monkeypatch.setattr(dialogs, "ask_to_save", lambda *_: Answer.SAVE)
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: tmp_path / "nowhere" / "own.rig.json")
    monkeypatch.setattr(dialogs, "offer_elsewhere", lambda _parent, name, why: said.append(f"{name} {why}") is not None)
    assert not window.close()
    assert window.isWindowModified()
    assert len(said) == 1
    assert "folder" in said[0]


def test_closing_without_changes_asks_nothing(window: MainWindow) -> None:
    assert window.close()
    assert not window.searcher._thread.isRunning()


def test_a_broken_file_is_refused_in_a_sentence_and_the_open_rig_stays(
    window: MainWindow, tmp_path: Path, said: list[str]
) -> None:
    before = window.document.rig
    broken = tmp_path / "broken.rig.json"
    broken.write_text('{"format": "wheelroom-rig", "version": 1, "name": "x", "axles": []}')
    window.files.open_path(broken)
    window.files.open_path(tmp_path / "gone.rig.json")
    assert len(said) == 2
    assert said[0].startswith("broken.rig.json cannot be opened.")
    assert not any("Traceback" in text or "Error" in text for text in said)
    assert window.document.rig is before
    assert window.files.recent.paths() == ()


def test_opening_another_rig_starts_over(qtbot: QtBot, window: MainWindow, tmp_path: Path) -> None:
    answered(qtbot, window)
    path = tmp_path / "long.rig.json"
    write_rig(path, read_rig(demo_rigs()[1]))
    window.files.open_path(path)
    assert "Checking" in window.verdict.sentence.text()
    assert window.strip.field.line.text() == "72 in"
    answered(qtbot, window)
    assert "Clear" in window.verdict.sentence.text()
    assert window.files.recent.paths() == (path,)


def test_demos_open_as_designs_without_a_file(window: MainWindow) -> None:
    window.menus.demos.aboutToShow.emit()
    actions = window.menus.demos.actions()
    assert len(actions) == len(demo_rigs())
    actions[1].trigger()
    assert window.document.rig == read_rig(demo_rigs()[1])
    assert window.document.path is None


def test_recent_files_are_listed_and_missing_ones_greyed(window: MainWindow, tmp_path: Path) -> None:
    for name in ("one", "two"):
        path = tmp_path / f"{name}.rig.json"
        write_rig(path, window.document.rig)
        window.files.open_path(path)
    (tmp_path / "one.rig.json").unlink()
    window.menus.recent.aboutToShow.emit()
    first, second = window.menus.recent.actions()[:2]
    assert ("two.rig.json" in first.text(), first.isEnabled()) == (True, True)
    assert ("one.rig.json" in second.text(), second.isEnabled()) == (True, False)


def test_a_dropped_rig_opens_and_a_dropped_table_is_imported(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    imported: list[Path] = []
    monkeypatch.setattr("app.importing.run.import_path", lambda _parent, _document, path: imported.append(path))
    path, table = tmp_path / "dröpped rig.rig.json", tmp_path / "frame.CSV"
    write_rig(path, read_rig(demo_rigs()[1]))
    table.touch()
    assert _drop(window, path)
    assert window.document.path == path
    assert _drop(window, table)
    assert imported == [table]


def test_what_cannot_be_used_is_not_taken_when_it_is_dropped(window: MainWindow, tmp_path: Path) -> None:
    before = window.document.rig
    good, photo, folder = tmp_path / "good.rig.json", tmp_path / "photo.png", tmp_path / "folder.json"
    write_rig(good, read_rig(demo_rigs()[1]))
    photo.touch()
    folder.mkdir()
    assert not _drop(window, photo)
    assert not _drop(window, folder)
    assert not _drop(window, tmp_path / "gone.rig.json")
    assert not _drop(window, good, photo)
    assert not _drop(window)
    assert window.document.rig is before


def test_a_file_dropped_over_a_field_goes_to_the_window_and_not_into_the_text(window: MainWindow) -> None:
    assert [line for line in window.findChildren(QLineEdit) if line.acceptDrops()] == []


def _drop(window: MainWindow, *paths: Path) -> bool:
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    enter = QDragEnterEvent(QPoint(5, 5), Qt.DropAction.CopyAction, data, LEFT, Qt.KeyboardModifier.NoModifier)
    enter.ignore()
    window.dragEnterEvent(enter)
    if enter.isAccepted():
        place, none = QPointF(5.0, 5.0), Qt.KeyboardModifier.NoModifier
        window.dropEvent(QDropEvent(place, Qt.DropAction.CopyAction, data, LEFT, none))
    return enter.isAccepted()


@pytest.mark.parametrize("ending", ["csv", "json", "pdf"])
def test_a_report_is_written_in_the_form_of_its_ending(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str
) -> None:
    answered(qtbot, window)
    target = tmp_path / f"report.{ending}"
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: target)
    window.exports.report()
    head = target.read_bytes()[:5]
    assert head == b"%PDF-" if ending == "pdf" else head


def test_a_report_with_another_ending_or_without_an_answer_is_refused(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: list[str]
) -> None:
    set_width(window.document, "rear", 1750.0)
    window.exports.report()
    assert "check is not done" in said.pop()
    answered(qtbot, window)
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: tmp_path / "report.doc")
    window.exports.report()
    assert ".pdf" in said.pop()


# Look and memory


@pytest.mark.parametrize("size", [(1440, 900), (1024, 768)])
def test_nothing_is_pushed_out_of_the_window(qtbot: QtBot, window: MainWindow, size: tuple[int, int]) -> None:
    window.resize(*size)
    window.reset_layout()
    qtbot.wait(20)
    assert (window.width(), window.height()) == size
    for widget in (
        window.verdict,
        window.strip.plot,
        window.pad.map,
        window.touches.table,
        *list(window.views.values())[:2],
    ):
        corner = widget.mapTo(window, QPoint(0, 0))
        assert corner.x() >= 0
        assert corner.x() + widget.width() <= size[0]
        assert corner.y() + widget.height() <= size[1]
        assert widget.height() >= widget.minimumSizeHint().height()


def test_the_look_changes_at_once(qtbot: QtBot, window: MainWindow) -> None:
    window.menus.themes[ThemeChoice.DARK].trigger()
    qtbot.waitUntil(lambda: colours(window.palette()) is DARK)
    window.menus.themes[ThemeChoice.LIGHT].trigger()
    qtbot.waitUntil(lambda: colours(window.palette()) is LIGHT)
    assert window.palette().color(QPalette.ColorRole.WindowText) == LIGHT.ink


def test_large_controls_count_at_once_and_are_remembered(qtbot: QtBot, make: Callable[[], MainWindow]) -> None:
    window = make()
    buttons = [button for button in window.findChildren(QPushButton) if button.isVisible()]
    assert buttons
    window.menus.large.trigger()
    qtbot.waitUntil(lambda: all(button.height() >= LARGE for button in buttons))
    assert window.close()
    again = make()
    assert again.menus.large.isChecked()
    again.menus.large.trigger()
    again.show()
    qtbot.waitUntil(lambda: again.strip.field.line.height() < LARGE)


def test_f1_opens_the_page_of_the_panel_that_has_the_focus(qtbot: QtBot, window: MainWindow) -> None:
    pages = {
        "widths.md": window.strip.field.line,
        "window.md": window.views["side"],
        "build.md": window.details.axle.mount_width.line,
        "verdict.md": window.touches.table,
    }
    assert {page_of(widget): widget for widget in pages.values()} == pages
    assert page_of(QWidget()) == "index.md"
    assert all((HELP / page).is_file() for page in HELP_PAGES.values())
    window.views["side"].setFocus()
    qtbot.keyClick(window.views["side"], Qt.Key.Key_F1)
    qtbot.waitUntil(lambda: shown_page(window) == "window.md")


def shown_page(window: MainWindow) -> str:
    return window._help.pages.source().fileName() if isinstance(window._help, HelpWindow) else ""


def test_a_question_for_lengths_has_its_own_help_page(qtbot: QtBot, window: MainWindow) -> None:
    window.document.select(window.document.rig.bars and part_of(window.document.rig, window.document.rig.bars[0]))
    drawing_commands.ask_move(window)
    (question,) = window.findChildren(LengthsDialog)
    qtbot.waitUntil(question.isActiveWindow)
    qtbot.keyClick(question.fields[0].line, Qt.Key.Key_F1)
    (shown,) = question.findChildren(HelpWindow)
    assert shown.pages.source().fileName() == "draw.md"
    question.reject()


def test_the_window_comes_back_as_it_was_left(make: Callable[[], MainWindow]) -> None:
    one = make()
    one.menus.units[LengthUnit.MM].trigger()
    one.menus.themes[ThemeChoice.DARK].trigger()
    one.menus.top_view.trigger()
    one.docks[0].hide()
    one.resize(790, 700)
    assert one.close()
    two = make()
    assert two.document.unit is LengthUnit.MM
    assert colours(two.palette()) is DARK
    assert two.views["top"].isVisible()
    assert two.docks[0].isHidden()
    assert two.width() == 790


@pytest.mark.parametrize("rubbish", ["nonsense", QByteArray(b"\x00\x01\xff" * 40), 7, ["a", "b"]], ids=type)
def test_a_spoilt_memory_does_not_stop_the_start(
    settings: QSettings, make: Callable[[], MainWindow], rubbish: object
) -> None:
    for key in ("window/geometry", "window/state", "unit", "theme", "top_view", "large_controls", "rules", "recent"):
        settings.setValue(key, rubbish)
    window = make()
    assert window.document.unit is LengthUnit.FRACTION
    assert not window.docks[0].isHidden()


def test_a_file_of_settings_that_is_none_does_not_stop_the_start(
    settings: QSettings, make: Callable[[], MainWindow]
) -> None:
    Path(settings.fileName()).write_bytes(bytes(range(256)) * 20)
    settings.sync()
    assert not make().docks[0].isHidden()


def test_a_window_that_was_left_on_a_lost_screen_comes_back_into_sight(make: Callable[[], MainWindow]) -> None:
    one = make()
    one.move(5000, 4000)
    assert one.close()
    two = make()
    assert two.screen().availableGeometry().intersects(two.frameGeometry())
    assert two.screen().availableGeometry().contains(two.frameGeometry().topLeft())


def test_every_control_has_a_name_to_be_read_out(window: MainWindow) -> None:
    nameless = [
        widget
        for widget in window.findChildren(QWidget)
        if widget.isVisible()
        and widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not QAccessible.queryAccessibleInterface(widget).text(QAccessible.Text.Name)
    ]
    assert not [(type(widget).__name__, widget.objectName()) for widget in nameless]


def test_help_opens_offline_and_its_links_work(qtbot: QtBot, window: MainWindow) -> None:
    window.show_help()
    help_window = window._help
    assert help_window is not None
    qtbot.waitUntil(help_window.isVisible)
    assert "Wheelroom help" in help_window.pages.toPlainText()  # type: ignore[attr-defined]
    help_window.pages.anchorClicked.emit(QUrl("widths.md"))  # type: ignore[attr-defined]
    assert help_window.pages.source().fileName() == "widths.md"  # type: ignore[attr-defined]


def test_the_question_about_changes_has_a_safe_way_out(qtbot: QtBot, window: MainWindow) -> None:
    box = dialogs.save_question(window, "own.rig.json")
    qtbot.addWidget(box)
    buttons = QMessageBox.StandardButton
    assert box.escapeButton() is box.button(buttons.Cancel)
    assert box.defaultButton() is box.button(buttons.Save)
    assert box.button(buttons.Discard).text() == "&Don't Save"


def test_reasons_are_one_sentence_without_names_of_classes(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="gone") as gone:
        (tmp_path / "gone").read_bytes()
    assert dialogs.reason(gone.value) == "No such file or directory."
    assert dialogs.reason(ValueError("the size is wrong.")) == "The size is wrong."
    assert dialogs.file_words("Slate / Wren: a “rig”") == "Slate  Wren a rig"
    assert dialogs.file_words("//") == "rig"


def test_warnings_go_to_a_file_that_is_kept() -> None:
    root = logging.getLogger()
    before = root.handlers[:]
    for handler in before:
        root.removeHandler(handler)
    try:
        path = dialogs.keep_log()
        logging.getLogger("app.test").warning("the belt is loose")
        assert "the belt is loose" in path.read_text(encoding="utf-8")
    finally:
        for handler in root.handlers[:]:
            root.removeHandler(handler)
            handler.close()
        for handler in before:
            root.addHandler(handler)


def test_the_survey_sheet_is_written_where_the_builder_says(
    window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.dialogs.ask_save", lambda _parent, _title, start, _kinds: tmp_path / start.name)
    window.exports.survey()
    (written,) = tmp_path.glob("*survey.pdf")
    assert written.read_bytes().startswith(b"%PDF")
