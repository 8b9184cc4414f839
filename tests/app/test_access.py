"""The window for whoever cannot see it, has no pointer, a small screen, poor sight or thick gloves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, QSettings, QSize, Qt
from PySide6.QtGui import QAccessible, QAccessibleInterface, QFont
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QApplication,
    QDialog,
    QLabel,
    QLineEdit,
    QScrollArea,
    QScrollBar,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app import dialogs, drawing_commands
from app.controls import LARGE, USUAL, apply_controls
from app.document import Document, within_travel
from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.importing.preview import ImportPreview
from app.importing.source import Tables
from app.units import LengthUnit
from app.window import MainWindow
from geometry.sketch.lookup import part_of

SMALL = QSize(682, 512)
"""A screen of 1024 x 768 at 150 %, in pixels of the window."""
TABLE = b"node\tx\ty\tz\nM1\t1\t2\t3\nM2\t40\t20\t30\n"


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    document = Document(read_rig(demo_rigs()[0]), unit=LengthUnit.FRACTION)
    window = MainWindow(document, QSettings(str(tmp_path / "own.ini"), QSettings.Format.IniFormat))
    palette = QApplication.palette()
    qtbot.addWidget(window, before_close_func=lambda each: each.document.undo_stack.setClean())
    window.resize(1440, 900)
    with qtbot.waitActive(window):
        window.show()
    qtbot.waitUntil(lambda: document.study is not None, timeout=20_000)
    yield window
    window.searcher.stop()
    application = QApplication.instance()
    assert isinstance(application, QApplication)
    apply_controls(application, large=False)
    QApplication.setPalette(palette)


def settle() -> None:
    """Layouts ask for one another's sizes a few times over."""
    for _ in range(5):
        QApplication.processEvents()


def all_panels(window: MainWindow) -> Iterator[str]:
    """Each tab of the window brought to the front in turn, and each table."""
    for tab in range(window.tabs.count()):
        window.tabs.setCurrentIndex(tab)
        settle()
        yield window.tabs.tabText(tab)
    window.docks[2].show()
    for tab in range(window.tables.count()):
        window.tables.setCurrentIndex(tab)
        settle()
        yield window.tables.tabText(tab)


def all_dialogs(window: MainWindow) -> Iterator[QDialog]:
    """Each window that the program opens of itself, in turn."""
    rig = window.document.rig
    window.document.select(part_of(rig, rig.bars[0]))
    openers: tuple[Callable[[], object], ...] = (
        lambda: drawing_commands.ask_copy(window),
        lambda: drawing_commands.ask_extend(window),
        lambda: dialogs.show_about(window),
        window.find_command,
        window.show_help,
        window.show_underlays,
        window.files.new_rig,
        lambda: dialogs.save_question(window, "own.rig.json").open(),
        lambda: ImportPreview(window.document, Tables("the copied table", TABLE), window).open(),
    )
    for open_it in openers:
        before = {each for each in window.findChildren(QDialog) if each.isVisible()}
        open_it()
        QApplication.processEvents()
        (dialog,) = {each for each in window.findChildren(QDialog) if each.isVisible()} - before
        yield dialog
        dialog.reject()


def in_reach(root: QWidget) -> list[QWidget]:
    """Everything that Tab goes to."""
    return [
        each
        for each in root.findChildren(QWidget)
        if each.isVisible() and each.isEnabled() and each.focusPolicy() & Qt.FocusPolicy.TabFocus
    ]


# Read out


def interface_of(widget: QWidget) -> QAccessibleInterface:
    return QAccessible.queryAccessibleInterface(widget)


def name_of(interface: QAccessibleInterface) -> str:
    return interface.text(QAccessible.Text.Name)


def unspeakable(root: QWidget) -> list[str]:
    """What would be read out as nothing, or as the same as its neighbour."""
    bad = [
        f"{type(each).__name__} in {type(each.parent()).__name__}"
        for each in in_reach(root)
        if not name_of(interface_of(each))
    ]
    bad += [
        f"“{label.text()[:40]}” is read out as “{said}”"
        for label in root.findChildren(QLabel)
        if label.isVisible() and label.text().replace("&", "") not in (said := name_of(interface_of(label)))
    ]
    reachable = set(map(id, in_reach(root)))

    def walk(interface: QAccessibleInterface) -> None:
        inside = [interface.child(k) for k in range(interface.childCount())]
        widgets = [each for each in inside if each is not None and isinstance(each.object(), QWidget)]
        heard = Counter((each.role(), name_of(each)) for each in widgets if id(each.object()) in reachable)
        bad.extend(f"{count} times {role.name} “{name}”" for (role, name), count in heard.items() if count > 1)
        for each in widgets:
            walk(each)

    walk(interface_of(root))
    return bad


def test_everything_that_takes_keys_has_a_name_that_its_neighbour_has_not(window: MainWindow) -> None:
    assert {panel: bad for panel in all_panels(window) if (bad := unspeakable(window))} == {}


def test_so_has_everything_in_every_dialog(window: MainWindow) -> None:
    assert {each.windowTitle(): bad for each in all_dialogs(window) if (bad := unspeakable(each))} == {}


# Seen


def test_the_focus_is_seen_wherever_tab_leads(qtbot: QtBot, window: MainWindow) -> None:
    unseen = []
    for _ in range(len(in_reach(window))):
        widget = QApplication.focusWidget()
        assert widget is not None
        having = widget.grab().toImage()
        qtbot.keyClick(widget, Qt.Key.Key_Tab)
        QApplication.processEvents()
        if not isinstance(widget, QScrollArea) and widget.grab().toImage() == having:  # that shows what is in it
            unseen.append(f"{type(widget).__name__} “{widget.accessibleName()}”")
    assert unseen == []


# Hit


def targets(root: QWidget) -> list[QWidget]:
    """What is hit with the pointer; Qt's own small buttons have an equal elsewhere: arrow keys scroll tabs and rows."""
    return [
        each
        for each in root.findChildren(QWidget)
        if each.isVisible()
        and (isinstance(each, QAbstractButton) or each.focusPolicy() & Qt.FocusPolicy.TabFocus)
        and not isinstance(each, QScrollBar)
        and each.objectName() not in {"ScrollLeftButton", "ScrollRightButton", "qt_toolbar_ext_button"}
        and type(each).__name__ != "QTableCornerButton"
    ]


@pytest.mark.parametrize(("large", "least"), [(False, USUAL), (True, LARGE)])
def test_everything_to_hit_is_large_enough(qtbot: QtBot, window: MainWindow, large: bool, least: int) -> None:
    window.menus.large.setChecked(large)
    qtbot.wait(50)
    small = {}
    for panel in all_panels(window):
        found = [
            (type(t).__name__, t.accessibleName(), t.size().toTuple()) for t in targets(window) if t.height() < least
        ]
        small |= {panel: found} if found else {}
    for dialog in all_dialogs(window):
        found = [
            (type(t).__name__, t.accessibleName(), t.size().toTuple()) for t in targets(dialog) if t.height() < least
        ]
        small |= {dialog.windowTitle(): found} if found else {}
    assert small == {}


# Small screens and large texts


def lost(root: QWidget) -> list[str]:
    """What is cut off and cannot be scrolled to; labels whose text has more lines than there is room for."""
    room = QRect(QPoint(), root.size())
    bad = []
    for widget in (each for each in root.findChildren(QWidget) if each.isVisible()):
        if isinstance(widget, QScrollBar) or is_scrolled(widget, root):
            continue
        place = QRect(widget.mapTo(root, QPoint()), widget.size())
        if not room.contains(place):
            bad.append(f"{type(widget).__name__} “{widget.accessibleName()}” at {place.getRect()}")
    for label in root.findChildren(QLabel):
        wanted = label.heightForWidth(label.width()) if label.wordWrap() else label.sizeHint().height()
        if label.isVisible() and label.text() and label.height() < wanted:
            bad.append(f"“{label.text()[:40]}” has {label.height()} of {wanted} pixels")
    return bad


def is_scrolled(widget: QWidget, root: QWidget) -> bool:
    parent = widget.parentWidget()
    while parent is not None and parent is not root:
        if isinstance(parent, QAbstractScrollArea):
            return True
        parent = parent.parentWidget()
    return False


@pytest.fixture(params=[9, 14, 18])
def points(request: pytest.FixtureRequest, qapp: QApplication) -> Iterator[int]:
    """The system's size of texts, from the start of the program on."""
    before = qapp.font()
    font = QFont(before)
    font.setPointSize(request.param)
    qapp.setFont(font)
    yield request.param
    qapp.setFont(before)


def test_nothing_is_lost_on_a_small_screen_with_large_texts(points: int, qtbot: QtBot, window: MainWindow) -> None:
    assert window.font().pointSize() == points
    window.resize(SMALL)
    window.reset_layout()
    qtbot.wait(50)
    assert window.size() == SMALL
    assert {panel: bad for panel in all_panels(window) if (bad := lost(window))} == {}
    for dialog in all_dialogs(window):
        least = dialog.minimumSizeHint()
        assert least.height() <= SMALL.height(), dialog.windowTitle()
        assert least.width() <= SMALL.width(), dialog.windowTitle()


# Without a pointer


def test_the_whole_main_job_is_done_with_the_keyboard_alone(
    qtbot: QtBot, window: MainWindow, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Open the demo, choose the axle, change the width, read, take a row, pose, write the report."""
    document = window.document

    def press(key: Qt.Key, held: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        qtbot.keyClick(QApplication.focusWidget() or window, key, held)

    def tab_to(widget: QWidget) -> None:
        for _ in range(120):
            if QApplication.focusWidget() is widget:
                return
            press(Qt.Key.Key_Tab)
        pytest.fail(f"Tab does not lead to {widget.accessibleName()}")

    press(Qt.Key.Key_P, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    qtbot.waitUntil(lambda: isinstance(QApplication.focusWidget(), QLineEdit))
    qtbot.keyClicks(QApplication.focusWidget(), "new slate long")
    press(Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: document.rig == read_rig(demo_rigs()[1]))
    with qtbot.waitActive(window):
        window.activateWindow()
    tab_to(window.strip.axles)
    press(Qt.Key.Key_Down)
    assert document.active_axle == document.rig.axles[1].id
    tab_to(window.strip.field.line)
    qtbot.keyClicks(QApplication.focusWidget(), "58")
    press(Qt.Key.Key_Return)
    assert document.rig.axle(document.active_axle).width == pytest.approx(58.0 * 25.4)
    qtbot.waitUntil(lambda: document.study is not None, timeout=20_000)
    spoken = name_of(interface_of(window.verdict.sentence))
    assert spoken == window.verdict.sentence.text()
    assert spoken.startswith("Touches")
    tab_to(window.touches.table)
    press(Qt.Key.Key_Down)
    press(Qt.Key.Key_Home)
    press(Qt.Key.Key_Return)
    found = window.touches.model.rows[window.touches.table.currentIndex().row()]
    assert document.pose(found.axle) == within_travel(found.pose, document.rig.axle(found.axle))
    press(Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    assert document.pose(document.active_axle).left == document.rig.axle(document.active_axle).bump
    monkeypatch.setattr(dialogs, "ask_save", lambda *_: tmp_path / "report.csv")
    press(Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    assert (tmp_path / "report.csv").read_bytes()
    press(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert document.rig == read_rig(demo_rigs()[1])


def test_tab_goes_round_the_window_both_ways_and_changes_nothing(qtbot: QtBot, window: MainWindow) -> None:
    before = window.document.rig
    for key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
        start = QApplication.focusWidget()
        passed = []
        for _ in range(150):
            qtbot.keyClick(QApplication.focusWidget(), key)
            passed.append(QApplication.focusWidget())
            if passed[-1] is start:
                break
        assert passed[-1] is start
        assert {window.strip.field.line, window.views["side"], window.pad.map} <= set(passed)
    assert window.document.rig is before
    assert window.document.undo_stack.count() == 0
