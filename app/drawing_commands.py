"""Commands of drawing: the tools of the menu “Draw”, and what “Edit” does to the chosen parts.

Bare letters, Del and Ctrl+A count only while a view has the focus, so that typing never starts anything.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu

from app import dialogs
from app.canvas.moving import move_text, refusal
from app.document import Document
from app.edits import change_rig
from app.translating import tr
from geometry.errors import RigError
from geometry.rig.layout import PartRef
from geometry.rig.naming import node_part
from geometry.rig.parts import Bar
from geometry.rig.rig import Rig
from geometry.sketch.bars import End, extended, joined, split, with_bend
from geometry.sketch.copies import copied, mirrored
from geometry.sketch.finding import middle_of
from geometry.sketch.lookup import item, part_of
from geometry.sketch.moves import moved
from geometry.sketch.panels import with_fitted
from geometry.sketch.removal import without

if TYPE_CHECKING:
    from app.panels.lengths_dialog import Entered
    from app.window import MainWindow

TOOLS: Final = {
    "&Bar": ("B", "bar", "BarMode", "Draw a bar from point to point; Enter ends it"),
    "&Panel": ("P", "panel", "PanelMode", "Draw a panel on nodes; Enter closes it"),
    "&Measure": ("M", "measure", "MeasureMode", "Measure between two points"),
    "&Split": ("S", "cutting", "SplitMode", "Cut a bar in two where it is clicked"),
    "&Extend": ("E", "cutting", "ExtendMode", "Extend the end of a bar to another bar"),
}
"""Words, key, module and class of each mode, and what it does."""

OFFSET: Final = {"Forward": 0.0, "Left": 0.0, "Up": 0.0}
"""Fields of an offset, and what stands in them at first [mm]."""


def fill_draw(menu: QMenu, window: MainWindow) -> tuple[QAction, ...]:
    """Fill the menu “Draw”; returns the tools."""
    tools = []
    for words, (key, module, name, tip) in TOOLS.items():
        tool = _add(menu, window, words, partial(enter, window, module, name), key)
        tool.setToolTip(tr(tip))
        tool.setCheckable(True)
        window.modes.changed.connect(partial(_show_mode, window, tool, words.replace("&", "")))
        tools.append(tool)
    stop = _add(menu, window, "St&op drawing", window.modes.leave)
    menu.addSeparator()
    _add(menu, window, "&Tube, grid and planes", window.show_drawing)
    _add(menu, window, "&Work plane through node", partial(plane_through_node, window), "W")
    tools.append(stop)
    return tuple(tools)


def fill_edit(menu: QMenu, window: MainWindow) -> None:
    """Put into the menu “Edit” what is done to the chosen parts."""
    _add(menu, window, "Select &all", partial(select_all, window.document), "Ctrl+A")
    _add(menu, window, "&Delete", partial(delete, window), "Del")
    menu.addSeparator()
    _add(menu, window, "&Move by…", partial(ask_move, window), "Ctrl+M")
    _add(menu, window, "&Copy by offset…", partial(ask_copy, window), "Ctrl+D")
    _add(menu, window, "M&irror", partial(mirror, window, own=False))
    _add(menu, window, "Mirror to parts of their &own", partial(mirror, window, own=True))
    menu.addSeparator()
    _add(menu, window, "&Join bars", partial(join, window), "J")
    _add(menu, window, "&Split in the middle", partial(halve, window))
    _add(menu, window, "&Extend by…", partial(ask_extend, window))
    _add(menu, window, "&Bend radius…", partial(ask_bend, window))
    _add(menu, window, "&Fit or take off panels", partial(toggle_fitted, window))


def _add(menu: QMenu, window: MainWindow, text: str, run: Callable[[], object], key: str = "") -> QAction:
    """One command; what has no modifier, and what texts use as well, is heard in views only."""
    action = QAction(tr(text), menu)
    action.triggered.connect(lambda _checked: run())
    menu.addAction(action)
    if key:
        action.setShortcut(QKeySequence(key))
        if len(key) == 1 or key in {"Del", "Ctrl+A"}:
            action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
            for view in window.views.values():
                view.addAction(action)
    return action


def _show_mode(window: MainWindow, tool: QAction, name: str) -> None:
    """Check the tool whose mode is on."""
    mode = window.modes.mode
    tool.setChecked(mode is not None and mode.name == name)


# Tools


def enter(window: MainWindow, module: str, name: str) -> None:
    """Turn a mode on and go to a view."""
    mode = getattr(import_module(f"app.canvas.drawing.{module}"), name)
    window.modes.enter(mode(window.document, window.drawing_settings))
    window.show_drawing()
    if not any(view.hasFocus() for view in window.views.values()):
        window.views["side"].setFocus()


# What is done to the chosen parts


def plane_through_node(window: MainWindow) -> None:
    """Put the work planes through the chosen node."""
    window.drawing.take_from_node()


def select_all(document: Document) -> None:
    """Choose all nodes, bars and panels."""
    rig = document.shown_rig
    built = [part_of(rig, panel) for panel in rig.panels] + [part_of(rig, bar) for bar in rig.bars]
    document.choose([*map(node_part, rig.nodes), *built])


def delete(window: MainWindow) -> None:
    """Take the chosen parts out, and what hangs on them."""
    parts = window.document.chosen
    if _change(window, f"Delete {_words(parts)}", lambda rig: without(rig, parts)):
        window.document.select(None)


def mirror(window: MainWindow, *, own: bool) -> None:
    """Put the chosen parts on the other side, too."""
    parts = window.document.chosen
    _change(window, f"Mirror {_words(parts)}", lambda rig: mirrored(rig, parts, own=own)[0])


def join(window: MainWindow) -> None:
    """Make one bar of two that are chosen, or of one and its own image."""
    ids = list(dict.fromkeys(part.id for part in window.document.chosen if part.kind == "bar"))
    if len(ids) not in {1, 2}:
        dialogs.say(window, "Nothing was joined.", "Choose two bars that meet end to end: Ctrl and click the second.")
        return
    if _change(window, f"Join bars {' and '.join(ids)}", lambda rig: joined(rig, ids[0], ids[-1])):
        rig = window.document.rig
        window.document.select(part_of(rig, item(rig.bars, ids[0], "bars")))


def halve(window: MainWindow) -> None:
    """Split the chosen bar in the middle of its length."""
    bar = _bar(window.document)
    if bar is None:
        dialogs.say(window, "Nothing was split.", "Choose a bar first.")
        return
    middle = middle_of(window.document.rig, bar)
    _change(window, f"Split bar {bar.name or bar.id}", lambda rig: split(rig, bar.id, middle)[0])


def toggle_fitted(window: MainWindow) -> None:
    """Fit the chosen panels, or take them off when all are fitted."""
    ids = {part.id for part in window.document.chosen if part.kind == "panel"}
    fitted = not all(panel.fitted for panel in window.document.rig.panels if panel.id in ids)

    def fit(rig: Rig) -> Rig:
        for panel in sorted(ids):
            rig = with_fitted(rig, panel, fitted=fitted)
        return rig

    if not ids:
        dialogs.say(window, "Nothing was changed.", "Choose a panel first.")
        return
    _change(window, f"{'Fit' if fitted else 'Take off'} {_words(window.document.chosen)}", fit)


def ask_move(window: MainWindow) -> None:
    """Ask for an offset and move what is chosen by it."""
    parts = window.document.chosen

    def move(entered: Entered) -> None:
        x, y, z = entered.lengths
        change_rig(window.document, moved(window.document.rig, parts, (x, y, z)), move_text(parts))

    _ask(window, "Move by", OFFSET, move, wanted=bool(parts))


def ask_copy(window: MainWindow) -> None:
    """Ask for an offset and a number, and copy what is chosen."""
    parts = window.document.chosen

    def copy(entered: Entered) -> None:
        x, y, z = entered.lengths
        rig, copies = copied(window.document.rig, parts, (x, y, z), count=entered.count)
        change_rig(window.document, rig, f"Copy {_words(parts)}")
        window.document.choose(copies)

    _ask(window, "Copy by offset", OFFSET, copy, wanted=bool(parts), counted=True)


def ask_extend(window: MainWindow) -> None:
    """Ask for an end and a length, and extend the chosen bar by it."""
    bar = _bar(window.document)
    ends = () if bar is None else tuple(f"End at {ref}" for ref in (bar.nodes[-1], bar.nodes[0]))

    def extend(entered: Entered) -> None:
        end: End = 0 if entered.choice else -1
        if bar is not None:
            rig = extended(window.document.rig, bar.id, end, entered.lengths[0])
            change_rig(window.document, rig, f"Extend bar {bar.name or bar.id}")

    _ask(window, "Extend by", {"By, less than zero = shorter": 0.0}, extend, wanted=bar is not None, choices=ends)


def ask_bend(window: MainWindow) -> None:
    """Ask for a bend radius and bend the chosen bar to it."""
    bar = _bar(window.document)

    def bend(entered: Entered) -> None:
        if bar is not None:
            rig = with_bend(window.document.rig, bar.id, entered.lengths[0])
            change_rig(window.document, rig, f"Bend bar {bar.name or bar.id}")

    now = 0.0 if bar is None else bar.bend_radius
    _ask(window, "Bend radius", {"To the centre line, 0 = mitred": now}, bend, wanted=bar is not None)


def _bar(document: Document) -> Bar | None:
    """The bar that is chosen last, if one is."""
    part = document.selection
    if not isinstance(part, PartRef) or part.kind != "bar":
        return None
    return next((bar for bar in document.rig.bars if bar.id == part.id), None)


def _words(parts: Sequence[PartRef]) -> str:
    """What the menu calls the chosen parts."""
    return parts[0].label if len(parts) == 1 else f"{len(parts)} parts"


def _change(window: MainWindow, text: str, make: Callable[[Rig], Rig]) -> bool:
    """Make one undo step; where that cannot be, say why. False = nothing changed."""
    document = window.document
    if not document.chosen:
        dialogs.say(window, "Nothing is chosen.", "Click a part in a view first.")
        return False
    try:
        change_rig(document, make(document.rig), text)
    except RigError as refused:
        dialogs.say(window, "That cannot be done.", refusal(refused, document.unit))
        return False
    return True


def _ask(
    window: MainWindow,
    title: str,
    names: Mapping[str, float],
    run: Callable[[Entered], None],
    *,
    wanted: bool,
    counted: bool = False,
    choices: Sequence[str] = (),
) -> None:
    if not wanted:
        what = "Click a bar in a view first." if title in {"Extend by", "Bend radius"} else "Click a part first."
        dialogs.say(window, "Nothing is chosen.", what)
        return
    from app.panels.lengths_dialog import LengthsDialog

    unit = window.document.unit
    LengthsDialog(window, title, names, unit, run, counted=counted, choices=choices).open()
