"""The window's menus: every command with its words, key and place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Final, TypeVar

from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu

from app import dialogs, drawing_commands
from app.edits import confirm_all, confirm_parts
from app.keeping.rig_files import on_show
from app.panels.pose_cycle import NamedPose
from app.theme import ThemeChoice
from app.translating import tr
from app.units import LengthUnit
from geometry.rig.unconfirmed import unconfirmed_of

if TYPE_CHECKING:
    from app.window import MainWindow

Choice = TypeVar("Choice")
Keys = QKeySequence.StandardKey | str | None

POSES: Final = {
    NamedPose.RIDE_HEIGHT: ("&Ride height", "Ctrl+1"),
    NamedPose.FULL_STUFF: ("Full &stuff", "Ctrl+2"),
    NamedPose.FULL_DROOP: ("Full &droop", "Ctrl+3"),
    NamedPose.CROSSED_LEFT: ("Crossed, &left up", "Ctrl+4"),
    NamedPose.CROSSED_RIGHT: ("Crossed, right &up", "Ctrl+5"),
}
"""Words and key of each named pose in the menu."""


LOOKS: Final = {
    ThemeChoice.SYSTEM: "&As the system",
    ThemeChoice.LIGHT: "&Light",
    ThemeChoice.DARK: "&Dark",
    ThemeChoice.CONTRAST: "&High contrast",
    ThemeChoice.BRIGHT: "&Bright shop",
}
"""Words of each look in the menu."""


@dataclass(slots=True)
class Menus:
    """What the window needs to reach again.

    Attributes
    ----------
    recent, demos : QMenu
        Filled by the window each time they open.
    save, undo, redo, top_view, play, large : QAction
    units, themes : dict
        The checkable choices.
    tools : tuple of QAction
        Of drawing.

    """

    recent: QMenu
    demos: QMenu
    save: QAction
    undo: QAction
    redo: QAction
    top_view: QAction
    play: QAction
    large: QAction
    units: dict[LengthUnit, QAction]
    themes: dict[ThemeChoice, QAction]
    tools: tuple[QAction, ...]


def build_menus(window: MainWindow) -> Menus:
    """Make the menu bar of a window."""
    bar = window.menuBar()
    file, edit, view = bar.addMenu(tr("&File")), bar.addMenu(tr("&Edit")), bar.addMenu(tr("&View"))
    draw = bar.addMenu(tr("&Draw"))
    travel, help_menu = bar.addMenu(tr("&Travel")), bar.addMenu(tr("&Help"))
    demos, recent, save = _fill_file(file, window)
    undo, redo = _fill_edit(edit, window)
    drawing_commands.fill_edit(edit, window)
    tools = drawing_commands.fill_draw(draw, window)
    _fill_confirm(edit, window)
    top_view = _add(view, "&Top view", window.show_top_view, "T", checkable=True)
    units, themes, large = _fill_view(view, window)
    play = _fill_travel(travel, window)
    _fill_help(help_menu, window)
    return Menus(recent, demos, save, undo, redo, top_view, play, large, units, themes, tools)


def _fill_file(menu: QMenu, window: MainWindow) -> tuple[QMenu, QMenu, QAction]:
    keys = QKeySequence.StandardKey
    _add(menu, "&New…", window.files.new_rig, keys.New)
    demos = on_show(menu.addMenu(tr("New from &demo")), window.files.fill_demos)
    _add(menu, "&Open…", window.files.choose_and_open, keys.Open)
    recent = on_show(menu.addMenu(tr("Open &recent")), window.files.fill_recent)
    menu.addSeparator()
    save = _add(menu, "&Save", window.files.save, keys.Save)
    _add(menu, "Save &as…", window.files.save_as, keys.SaveAs, "Ctrl+Shift+S")
    menu.addSeparator()
    _add(menu, "&Import…", window.import_file, "Ctrl+I")
    out = menu.addMenu(tr("&Export"))
    _add(out, "&Clearance report…", window.exports.report, "Ctrl+E")
    _add(out, "&Survey sheet…", window.exports.survey)
    _add(out, "C&ut sheet, A4…", partial(window.exports.cut_sheet, "a4"))
    _add(out, "Cut sheet, &Letter…", partial(window.exports.cut_sheet, "letter"))
    _add(out, "T&rial list (CSV)…", lambda: window.exports.trials(window.rules))
    _add(out, "Cur&ves (CSV)…", window.export_curves)
    _add(out, "&Tables (CSV)…", partial(window.exports.frame, ".csv"))
    _add(out, "&Drawing (DXF)…", partial(window.exports.frame, ".dxf"))
    menu.addSeparator()
    _add(menu, "&Quit", window.close, keys.Quit, "Ctrl+Q")
    return demos, recent, save


def _fill_edit(menu: QMenu, window: MainWindow) -> tuple[QAction, QAction]:
    undo = window.document.undo_stack.createUndoAction(window, tr("&Undo"))
    redo = window.document.undo_stack.createRedoAction(window, tr("&Redo"))
    undo.setShortcuts(QKeySequence.StandardKey.Undo)
    redo.setShortcuts(QKeySequence.StandardKey.Redo)
    menu.addActions([undo, redo])
    menu.addSeparator()
    _add(menu, "&Paste table…", window.paste_table, "Ctrl+Shift+V")
    menu.addSeparator()
    return undo, redo


def _fill_confirm(menu: QMenu, window: MainWindow) -> None:
    """What takes values that nobody entered as the builder's own; greyed where there are none."""
    document = window.document
    menu.addSeparator()
    chosen = _add(menu, "Confirm c&hosen parts", lambda: confirm_parts(document, document.chosen))
    everything = _add(menu, "Confirm all &values", partial(confirm_all, document))

    def look() -> None:
        chosen.setEnabled(bool(unconfirmed_of(document.rig, document.chosen)))
        everything.setEnabled(bool(document.rig.unconfirmed))

    menu.aboutToShow.connect(look)


def _fill_view(
    menu: QMenu, window: MainWindow
) -> tuple[dict[LengthUnit, QAction], dict[ThemeChoice, QAction], QAction]:
    _add(menu, "&Fit everything", window.fit_views, "F", "Ctrl+0")
    menu.addSeparator()
    units = _add_choices(
        menu.addMenu(tr("&Units")), {unit: unit.words.capitalize() for unit in LengthUnit}, window.document.set_unit
    )
    themes = _add_choices(menu.addMenu(tr("&Look")), LOOKS, window.choose_theme)
    large = _add(menu, "Lar&ge controls", window.show_large_controls, checkable=True)
    menu.addSeparator()
    _add(menu, "Ta&bles", window.show_tables, "Ctrl+T")
    _add(menu, "P&ictures behind the views…", window.show_underlays)
    _fill_panels(menu.addMenu(tr("&Panels")), window)
    _add(menu, "&Reset layout", window.reset_layout)
    return units, themes, large


def _fill_panels(menu: QMenu, window: MainWindow) -> None:
    """Shows and hides the docks; it asks them when it opens, for they also vanish with a minimised window."""
    shown = {dock: menu.addAction(tr(dock.windowTitle())) for dock in window.docks}
    for dock, action in shown.items():
        action.setCheckable(True)
        action.triggered.connect(lambda shown, dock=dock: dock.setVisible(shown))

    def look() -> None:
        for dock, action in shown.items():
            action.setChecked(not dock.isHidden())

    menu.aboutToShow.connect(look)


def _fill_travel(menu: QMenu, window: MainWindow) -> QAction:
    for name, (words, key) in POSES.items():
        _add(menu, words, partial(window.pad.show_named, name), key)
    menu.addSeparator()
    play = _add(menu, "&Play the whole cycle", window.pad.play.setChecked, "F5", checkable=True)
    window.pad.playing_changed.connect(play.setChecked)
    return play


def _fill_help(menu: QMenu, window: MainWindow) -> None:
    _add(menu, "&Find a command…", window.find_command, "Ctrl+Shift+P")
    menu.addSeparator()
    _add(menu, "Help on this &panel", window.show_help_here, QKeySequence.StandardKey.HelpContents)
    _add(menu, "Wheelroom &help", window.show_help)
    _add(menu, "&Keyboard", partial(window.show_help, "keyboard.md"))
    menu.addSeparator()
    _add(menu, "Open the folder with the &log", partial(dialogs.open_log_folder, window))
    _add(menu, "&About Wheelroom", partial(dialogs.show_about, window))


def _add(menu: QMenu, text: str, run: Callable[..., object], *keys: Keys, checkable: bool = False) -> QAction:
    """One command; only checkable ones are told whether they are checked."""
    action = QAction(tr(text), menu)
    shortcuts: list[QKeySequence] = []
    for key in keys:
        if isinstance(key, str):
            shortcuts.append(QKeySequence(key))
        elif key is not None:
            shortcuts += QKeySequence.keyBindings(key)
    action.setShortcuts(list(dict.fromkeys(shortcuts)))
    if checkable:
        action.setCheckable(True)
        action.toggled.connect(run)
    else:
        action.triggered.connect(lambda _checked: run())
    menu.addAction(action)
    return action


def _add_choices(menu: QMenu, words: dict[Choice, str], choose: Callable[[Choice], object]) -> dict[Choice, QAction]:
    group = QActionGroup(menu)
    made = {}
    for value, text in words.items():
        action = QAction(tr(text), group)
        action.setCheckable(True)
        action.triggered.connect(lambda _checked, value=value: choose(value))
        menu.addAction(action)
        made[value] = action
    return made
