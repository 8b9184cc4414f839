"""The tabs at the right of the window, whose panels the first picture does not show and does not wait for."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QSignalBlocker, Qt, QTimer
from PySide6.QtWidgets import QMainWindow, QTabWidget, QVBoxLayout, QWidget

from app.canvas.drawing.settings import DrawingSettings
from app.canvas.modes import Modes
from app.canvas.rig_view import RigView
from app.document import Document
from app.exporting import Exports
from app.panels.holders import Scrolled, splitter

if TYPE_CHECKING:
    from app.actions import Menus
    from app.panels.details import Details
    from app.panels.draw_panel import DrawPanel
    from app.panels.notes_list import NotesList
    from app.panels.plan_panel import PlanPanel
    from app.panels.plots.panel import PlotsPanel
    from app.panels.rig_list import RigList

NOTES: Final = "&Notes"
RIG, NUMBERS, PLOTS, DRAWING = 1, 2, 3, 4
"""Places of tabs."""
LATE: Final = ("notes", "_rig", "drawing")
"""What is made once the first answer is there, for the first click on its tab to find it there."""


class TabbedWindow(QMainWindow):
    """A window with tabs, each panel made when its tab is first shown, or soon after the first answer."""

    document: Document
    exports: Exports
    menus: Menus
    modes: Modes
    drawing_settings: DrawingSettings
    views: dict[str, RigView]

    def _make_tabs(self, first: QWidget) -> None:
        """Make the tabs, of which only the first has anything in it yet."""
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.setAccessibleName("Touch list, rig, numbers, plots, drawing and notes")
        self.tabs.addTab(first, "Touch &list")
        self._rig_tab, self._numbers_tab, self._plots_tab, self._drawing_tab = (QWidget() for _ in range(4))
        self.tabs.addTab(self._rig_tab, "&Rig")
        self.tabs.addTab(self._numbers_tab, "N&umbers")
        self.tabs.addTab(self._plots_tab, "Pl&ots")
        self.tabs.addTab(self._drawing_tab, "&Draw")
        self.tabs.addTab(QWidget(), NOTES)
        self.tabs.currentChanged.connect(self._fill_tab)
        self.document.study_finished.connect(self._make_late)

    def _fill_tab(self, tab: int) -> None:
        names = {RIG: "_rig", NUMBERS: "numbers", PLOTS: "plots", DRAWING: "drawing", self.tabs.count() - 1: "notes"}
        if tab in names:
            getattr(self, names[tab])

    @property
    def parts(self) -> RigList:
        """The parts of the rig."""
        return self._rig[0]

    @property
    def details(self) -> Details:
        """The numbers of what is chosen."""
        return self._rig[1]

    @cached_property
    def _rig(self) -> tuple[RigList, Details]:
        """What is in the rig's tab; made when it is first shown, or soon after the first answer."""
        from app.panels.details import Details
        from app.panels.rig_list import RigList

        parts, details = RigList(self.document), Details(self.document)
        parts.topic_chosen.connect(details.show_topic)
        details.topic_shown.connect(parts.show_topic)
        details.follow_selection()
        both = splitter(Qt.Orientation.Vertical, parts, details)
        both.setSizes([180, 300])
        _fill(self._rig_tab, both)
        return parts, details

    @cached_property
    def drawing(self) -> DrawPanel:
        """What is drawn with; made as the rig's tab is."""
        from app.panels.draw_panel import DrawPanel

        drawing = DrawPanel(self.document, self.drawing_settings, self.modes)
        drawing.add_tools(self.menus.tools)
        _fill(self._drawing_tab, drawing)
        return drawing

    @cached_property
    def numbers(self) -> PlanPanel:
        """What follows from the width; made when its tab is first shown."""
        from app.panels.plan_panel import PlanPanel

        numbers = PlanPanel(self.document)
        numbers.place_asked.connect(self._go_to_place)
        _fill(self._numbers_tab, Scrolled(numbers, "Numbers"))
        return numbers

    @cached_property
    def plots(self) -> PlotsPanel:
        """What travel and steer change, as curves; made when its tab is first shown."""
        from app.panels.plots.panel import PlotsPanel

        plots = PlotsPanel(self.document)
        plots.place_asked.connect(self._go_to_place)
        plots.export_asked.connect(self.exports.curves)
        _fill(self._plots_tab, Scrolled(plots, "Plots"))
        return plots

    def _go_to_place(self, place: str) -> None:
        """Show the field in which the value at a place of the rig is entered."""
        from app.panels.place_fields import go_to_place

        self.tabs.setCurrentIndex(RIG)
        go_to_place(self.document, self.details, place)

    @cached_property
    def notes(self) -> NotesList:
        """Notes on the model; made when they are first wanted, for nothing may keep the first picture waiting."""
        from app.panels.notes_list import NotesList

        notes = NotesList(self.document)
        at, current = self.tabs.count() - 1, self.tabs.currentIndex()
        with QSignalBlocker(self.tabs):  # turned to, it asks for the notes again
            self.tabs.removeTab(at)
            self.tabs.insertTab(at, notes, NOTES)
            self.tabs.setCurrentIndex(current)
        for view in self.views.values():
            notes.place_chosen.connect(view.frame_place)
        notes.counted.connect(self._count_notes)
        self._count_notes(len(notes.notes))
        return notes

    def _count_notes(self, count: int) -> None:
        self.tabs.setTabText(self.tabs.count() - 1, f"{NOTES} ({count})" if count else NOTES)

    def _make_late(self) -> None:
        """The first answer is there and the builder reads it: time for notes, whose number is told, and the rest."""
        self.document.study_finished.disconnect(self._make_late)
        QTimer.singleShot(0, self, self._make_next)

    def _make_next(self) -> None:
        """Make one of the panels in a turn of the event loop, so that a click comes in between."""
        missing = next((name for name in LATE if name not in self.__dict__), None)
        if missing is not None:
            getattr(self, missing)
            QTimer.singleShot(0, self, self._make_next)


def _fill(tab: QWidget, panel: QWidget) -> None:
    inside = QVBoxLayout(tab)
    inside.setContentsMargins(0, 0, 0, 0)
    inside.addWidget(panel)
    panel.show()  # now, for a field of it may be gone to
