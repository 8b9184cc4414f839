"""The main window: views in the middle, the width below them, pad, touch list and parts at the right."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from PySide6.QtCore import QByteArray, QEvent, QSettings, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QGuiApplication, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QDockWidget,
    QVBoxLayout,
    QWidget,
)

from app.actions import build_menus
from app.canvas.drawing.settings import DrawingSettings
from app.canvas.live import LiveDrawing
from app.canvas.modes import Modes
from app.canvas.rig_view import RigView
from app.controls import apply_controls
from app.document import Document
from app.exporting import Exports
from app.garbage import Garbage
from app.keeping.dropping import RIG_ENDINGS, dropped_file
from app.keeping.recovery import Recovery
from app.keeping.rig_files import RigFiles
from app.panels.holders import Scrolled, splitter
from app.panels.notice_bar import NoticeBar
from app.panels.tables.tables import Tables
from app.panels.touch_list import TouchList
from app.panels.travel_pad import TravelPad
from app.panels.verdict_line import VerdictLine
from app.panels.width_strip import WidthStrip
from app.rule_book import RuleBook
from app.searcher import Searcher
from app.tabbed import DRAWING, TabbedWindow
from app.theme import ThemeChoice, apply_theme
from app.units import LengthUnit
from geometry.contact.findings import Approach

HELP_PAGES: Final = {
    "view_row": "window.md",
    "verdict": "verdict.md",
    "strip": "widths.md",
    "pad": "window.md",
    "touches": "verdict.md",
    "_rig_tab": "build.md",
    "_drawing_tab": "draw.md",
    "tables": "tables.md",
    "tabs": "window.md",
    "_numbers_tab": "numbers.md",
    "_plots_tab": "plots.md",
}
"""What F1 opens where the focus is."""
LAYOUT: Final = 1
"""Number of the dock layout; a state saved under another number is not restored."""
FIRST_SIZE: Final = QSize(1440, 900)
FRAME: Final = QSize(8, 40)
"""Size of the window at its first start, and what the desktop's frame around it may take of the screen [px]."""
TALL: Final = 1080
"""Height from which a window has room for views, width strip and tables together [px]."""


class MainWindow(TabbedWindow):
    """One document with everything around it.

    Attributes
    ----------
    document : Document
    searcher : Searcher
    files : RigFiles
    recovery : Recovery
    notice : NoticeBar
    exports : Exports
    rules : RuleBook
    verdict, strip, pad, touches, parts, details, tables, numbers, plots, drawing, notes : panels
    modes, drawing_settings : what clicks in the views do, and what is drawn with
    views : dict of the views by name
    docks : tuple of dock widgets

    Signals
    -------
    painted
        The first picture is on the screen.

    """

    painted = Signal()

    def __init__(self, document: Document, settings: QSettings) -> None:
        super().__init__()
        self.document = document
        self.setObjectName("main_window")
        self.settings = settings
        self.files = RigFiles(self, document, settings)
        self.recovery = Recovery(document, self)
        self.notice = NoticeBar()
        self.searcher = Searcher(document, self)
        self.exports = Exports(self, document, self.files.folder)
        self._help: QWidget | None = None
        self._pictures: QWidget | None = None
        document.setParent(self)
        self.rules = RuleBook(document, settings)
        self.verdict = VerdictLine(document, self.rules)
        self.strip = WidthStrip(document, self.rules)
        self.pad = TravelPad(document)
        self.touches = TouchList(document)
        self.tables = Tables(document)
        self._live = live = LiveDrawing(document, self)
        self.modes = Modes(document, self)
        self.drawing_settings = DrawingSettings(document, self)
        self.views = {key: RigView(document, key, live, self.modes) for key in ("side", "front", "top")}
        self._lay_out_middle()
        self.docks = self._make_docks()
        self.menus = build_menus(self)
        self._connect()
        self.setAcceptDrops(True)
        for name, page in HELP_PAGES.items():
            getattr(self, name).setProperty("help_page", page)
        self._restore()
        self._show_title()
        self._is_painted = False
        self.painted.connect(Garbage(self).begin)
        self.painted.connect(self.searcher.check)  # before, it would hold up the first picture

    # Layout

    def _lay_out_middle(self) -> None:
        # Third angle: the front view stands to the left of the side view, the top view above it.
        above = splitter(Qt.Orientation.Vertical, self.views["top"], self.views["side"])
        self.view_row = splitter(Qt.Orientation.Horizontal, self.views["front"], above)
        self.view_row.setSizes([420, 580])
        self.views["top"].hide()
        self.middle = splitter(Qt.Orientation.Vertical, self.view_row, self.strip)
        self.middle.setStretchFactor(0, 1)
        self.middle.setStretchFactor(1, 0)
        central = QWidget()
        column = QVBoxLayout(central)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.verdict)
        column.addWidget(self.notice)
        column.addWidget(Scrolled(self.middle, "Views and width"), 1)
        self.setCentralWidget(central)

    def _make_docks(self) -> tuple[QDockWidget, ...]:
        self._make_tabs(self.touches)
        right, below = Qt.DockWidgetArea.RightDockWidgetArea, Qt.DockWidgetArea.BottomDockWidgetArea
        self.setCorner(Qt.Corner.BottomRightCorner, right)
        tables = self._dock("tables_dock", "Tables", self.tables, below)
        tables.hide()
        tables.visibilityChanged.connect(self._make_room)
        return (
            self._dock("travel_dock", "Travel", Scrolled(self.pad, "Travel"), right),
            self._dock("rig_dock", "Touch list and rig", self.tabs, right),
            tables,
        )

    def _dock(self, name: str, title: str, widget: QWidget, area: Qt.DockWidgetArea) -> QDockWidget:
        dock = QDockWidget(title, self)
        dock.setObjectName(name)
        dock.setWidget(widget)
        # Its buttons are too small to hit; the menu shows and hides panels.
        dock.setFeatures(QDockWidget.DockWidgetFeature.DockWidgetMovable)
        self.addDockWidget(area, dock)
        return dock

    def export_curves(self) -> None:
        """Write all curves of the active axle, over what the plots go over."""
        self.exports.curves(self.plots.against if "plots" in self.__dict__ else "straight")

    def reset_layout(self) -> None:
        """Put the docks back where they are at first, sized for the window as it is."""
        self.restoreState(self._first_state, LAYOUT)
        travel, rig, *_ = self.docks
        tall = self.height()
        self.resizeDocks([travel], [484 if self.width() >= 1280 else 350], Qt.Orientation.Horizontal)
        self.resizeDocks([self.docks[2]], [tall * 33 // 100], Qt.Orientation.Vertical)
        self.resizeDocks([travel, rig], [9 * tall // 20, 11 * tall // 20], Qt.Orientation.Vertical)
        self.middle.setSizes([tall, tall * 34 // 100])

    def _restore(self) -> None:
        screen = QGuiApplication.primaryScreen().availableSize()
        self.resize(FIRST_SIZE.boundedTo(screen - FRAME))
        self._first_state = self.saveState(LAYOUT)
        geometry, state = (self.settings.value(f"window/{key}") for key in ("geometry", "state"))
        if isinstance(geometry, QByteArray):
            self.restoreGeometry(geometry)
        self.reset_layout()
        if isinstance(state, QByteArray):
            self.restoreState(state, LAYOUT)
        self.menus.top_view.setChecked(self.settings.value("top_view", defaultValue=False, type=bool) is True)
        unit, theme = (str(self.settings.value(key)) for key in ("unit", "theme"))
        if unit in set(LengthUnit):
            self.document.set_unit(LengthUnit(unit))
        large = self.settings.value("large_controls", defaultValue=False, type=bool) is True
        self.menus.large.setChecked(large)
        self.choose_theme(ThemeChoice(theme) if theme in set(ThemeChoice) else ThemeChoice.SYSTEM)
        self.show_large_controls(large)
        self._show_unit()
        self.strip.plot.setFocus()

    def _connect(self) -> None:
        document, searcher = self.document, self.searcher
        document.undo_stack.cleanChanged.connect(self._show_title)
        document.path_changed.connect(self._show_title)
        document.rig_replaced.connect(self._show_title)
        document.unit_changed.connect(self._show_unit)
        searcher.check_failed.connect(self.verdict.show_problem)
        searcher.progressed.connect(self.verdict.show_progress)
        searcher.curve_failed.connect(self.strip.show_problem)
        self.files.watch.changed.connect(self._say_changed)
        self.recovery.failed.connect(self._say_unprotected)
        self.touches.spot_chosen.connect(self._frame_spot)
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._follow_system)

    # View

    def show_top_view(self, shown: bool) -> None:
        """Show or hide the top view."""
        self.views["top"].setVisible(shown)

    def show_drawing(self) -> None:
        """Bring what is drawn with to the front."""
        self.docks[1].show()
        self.tabs.setCurrentIndex(DRAWING)

    def show_tables(self) -> None:
        """Show the tables and go to them; hide them when one is there already."""
        dock = self.docks[2]
        inside = self.tables.isAncestorOf(QApplication.focusWidget() or self)
        dock.setVisible(not inside)
        if inside:
            self.views["side"].setFocus()
        else:
            self.tables.enter()

    def _make_room(self) -> None:
        """In a low window the tables take the place of the width strip, for the views must stay worth looking at."""
        self.strip.setVisible(self.docks[2].isHidden() or self.height() >= TALL)

    def fit_views(self) -> None:
        """Show the whole rig in every view."""
        for view in self.views.values():
            view.fit()

    def _frame_spot(self, found: Approach) -> None:
        for view in self.views.values():
            view.frame_spot(found)

    def choose_theme(self, choice: ThemeChoice) -> None:
        """One of the looks, or as the system asks."""
        self._theme = choice
        self.menus.themes[choice].setChecked(True)
        self._follow_system()

    def show_large_controls(self, large: bool) -> None:
        """Make everything that is hit with the pointer large, or as usual."""
        app = QApplication.instance()
        if isinstance(app, QApplication):
            apply_controls(app, large=large)

    def _follow_system(self) -> None:
        app = QApplication.instance()
        if isinstance(app, QApplication):
            apply_theme(app, self._theme)

    def _show_unit(self) -> None:
        self.menus.units[self.document.unit].setChecked(True)

    def _show_title(self) -> None:
        path = self.document.path
        self.setWindowTitle(f"{path.name if path is not None else self.document.rig.name}[*] – Wheelroom")
        self.setWindowModified(self.document.is_modified)

    # Files

    def offer_recovery(self) -> None:
        """Offer what a crash has left."""
        from app.keeping.offering import offer_recovery

        offer_recovery(self, self.files, self.recovery)

    def _say_changed(self) -> None:
        """Another program has written the open rig's file."""
        files, path = self.files, self.document.path
        if path is None:
            return
        if files.watch.is_gone:
            self.notice.say(f"{path.name} is not in its folder any more. Save to write it again.", {"Save": files.save})
            return
        choices = {"Reload": files.reload, "Keep mine": lambda: None}
        self.notice.say(f"{path.name} has changed on the disk since you opened it.", choices)

    def _say_unprotected(self, why: str) -> None:
        """There is no recovery file, and what to do about it."""
        text = f"Unsaved work cannot be kept for recovery: {why} Save often."
        self.notice.say(text, {"Save": self.files.save, "Dismiss": lambda: None})

    def import_file(self) -> None:
        """Ask for a table or a drawing and take it in, after a preview."""
        from app.importing.run import import_file

        import_file(self, self.document, self.files.folder())

    def import_path(self, path: Path) -> None:
        """Take a table or a drawing in, after a preview."""
        from app.importing.run import import_path

        import_path(self, self.document, path)

    def paste_table(self) -> None:
        """Take in the table that was copied, after a preview."""
        from app.importing.run import paste_table

        paste_table(self, self.document)

    def show_underlays(self) -> None:
        """Open the window for pictures behind the views."""
        from app.underlays.window import UnderlayDialog

        if self._pictures is None:
            self._pictures = UnderlayDialog(self.document, self._live.underlays, self.modes, self)
        self._pictures.show()
        self._pictures.activateWindow()

    # Help

    def show_help(self, page: str = "index.md") -> None:
        """Open the help at a page."""
        from app.panels.help_window import HelpWindow

        if not isinstance(self._help, HelpWindow):
            self._help = HelpWindow(self)
        self._help.show_page(page)
        self._help.show()
        self._help.activateWindow()

    def show_help_here(self) -> None:
        """Open the help at the page of the panel that has the focus."""
        from app.panels.help_window import page_of

        self.show_help(page_of(QApplication.focusWidget()))

    def find_command(self) -> None:
        """Open the list of all commands."""
        from app.panels.command_list import CommandList

        CommandList(self, self.menuBar()).open()

    # Qt

    def event(self, event: QEvent) -> bool:
        if event.type() is QEvent.Type.WindowActivate:
            self.files.watch.look_again()
        if event.type() is QEvent.Type.UpdateRequest:
            self.searcher.answer_now()
            self.verdict.catch_up()
        elif event.type() is QEvent.Type.Paint and not self._is_painted:
            self._is_painted = True
            QTimer.singleShot(0, self.painted.emit)  # what lies in the window is painted after it
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._make_room()

    def closeEvent(self, event: QCloseEvent) -> None:
        if not self.files.may_discard():
            event.ignore()
            return
        self.recovery.forget()
        self.pad.stop()
        self.searcher.stop()
        self.settings.setValue("window/geometry", self.saveGeometry())
        self.settings.setValue("window/state", self.saveState(LAYOUT))
        self.settings.setValue("top_view", self.menus.top_view.isChecked())
        self.settings.setValue("unit", str(self.document.unit))
        self.settings.setValue("theme", str(self._theme))
        self.settings.setValue("large_controls", self.menus.large.isChecked())
        event.accept()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_file(event.mimeData()) is not None:
            event.acceptProposedAction()
        else:
            event.ignore()

    def dropEvent(self, event: QDropEvent) -> None:
        path = dropped_file(event.mimeData())
        if path is None:
            event.ignore()
        elif path.suffix.lower() in RIG_ENDINGS:
            self.files.open_path(path)
        else:
            self.import_path(path)
