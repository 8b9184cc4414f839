"""What goes out of the window: report, survey sheet and frame, each to a file that the builder names."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from app import dialogs
from app.document import Document
from app.files.saving import save_bytes
from app.units import in_unit

if TYPE_CHECKING:
    from app.rule_book import RuleBook

REPORT_FILES: Final = "PDF report (*.pdf);;Table of closest approaches (*.csv);;All answers (*.json)"
CUT_FILES: Final = "PDF cut sheet (*.pdf);;Table of all numbers (*.csv);;All numbers (*.json)"
SURVEY_FILES: Final = "PDF survey sheet (*.pdf)"
CURVE_FILES: Final = "Table of curves (*.csv)"
TRIAL_FILES: Final = "Table of widths on trial (*.csv)"
FRAME_FILES: Final = {".csv": "Tables (*.csv)", ".dxf": "Drawing in three dimensions (*.dxf)"}


class Exports:
    """Asks for a file and writes it; what cannot be written is said, and what stood there is as it was.

    Parameters
    ----------
    folder : callable
        Where files of the open rig go.

    """

    def __init__(self, parent: QWidget, document: Document, folder: Callable[[], Path]) -> None:
        self._parent = parent
        self._document = document
        self._folder = folder

    def report(self) -> None:
        """Write the clearance report in the form that its file's ending names."""
        document = self._document
        study = document.study
        if study is None or study.in_short:
            why = "Export again once the verdict stands above the views."
            dialogs.say(self._parent, "The check is not done yet.", why)
            return
        curves = [document.width_curve(axle.id) for axle in study.rig.axles]
        known = tuple(curve for curve in curves if curve is not None)

        def write(path: Path) -> None:
            from app.export import write_report

            write_report(path, study, known, document.unit, rig_file=self._rig_file())

        self._ask_and_write("Export clearance report", "clearance.pdf", REPORT_FILES, write)

    def survey(self) -> None:
        """Write the survey sheet."""

        def write(path: Path) -> None:
            from app.export import write_survey

            write_survey(path, self._document.rig, self._document.unit, rig_file=self._rig_file())

        self._ask_and_write("Export survey sheet", "survey.pdf", SURVEY_FILES, write)

    def cut_sheet(self, paper: str = "") -> None:
        """Write the cut sheet of the axle that is looked at; what it lacks is told before it is asked where to.

        Parameters
        ----------
        paper : str
            ``a4`` or ``letter``; if left out, A4 goes with mm and Letter with inches.

        """
        from app.figures.figure import told
        from app.figures.places import axle_words
        from app.report.cut_sheet import RefusedError, cut_sheet
        from app.report.cut_sheet_words import places_of

        document = self._document
        rig, axle = document.rig, document.active_axle
        name = axle_words(rig, axle)
        try:
            sheet = cut_sheet(rig, axle)
        except RefusedError as refused:
            reasons = " ".join(told(in_unit(each.problem, document.unit)) for each in refused.reasons)
            dialogs.say(self._parent, f"The {name} cannot be built like this.", reasons)
            return
        if not sheet.complete:
            what = f"The cut sheet of the {name} will be incomplete: nothing can be cut by it."
            dialogs.say(self._parent, what, f"It needs {places_of(rig, axle, sheet.needs)}.")

        def write(path: Path) -> None:
            from app.export import write_cut_sheets

            known = document.study if document.study is not None and not document.study.in_short else None
            write_cut_sheets(path, rig, [axle], document.unit, paper=paper, rig_file=self._rig_file(), study=known)

        self._ask_and_write(
            f"Export cut sheet of the {name}", f"{dialogs.file_words(name)} cut sheet.pdf", CUT_FILES, write
        )

    def trials(self, book: RuleBook) -> None:
        """Write the trial lists of all axles as one table."""
        lists = [(axle.id, each) for axle in self._document.rig.axles for each in book.trials(axle.id)]
        if not lists or any(each.answer is None for _, each in lists):
            what = "The trial list is not checked yet." if lists else "There are no widths on the trial list."
            why = "Export again once its columns are filled." if lists else "Add some beside the width field first."
            dialogs.say(self._parent, what, why)
            return

        def write(path: Path) -> None:
            from app.trials import trials_to_csv

            save_bytes(path, trials_to_csv(self._document.rig, lists))

        self._ask_and_write("Export trial list", "trials.csv", TRIAL_FILES, write)

    def curves(self, against: str) -> None:
        """Write all curves of the axle that is looked at over straight travel, crossed travel or steer."""
        from app.figures.places import axle_words

        rig, axle = self._document.rig, self._document.rig.axle(self._document.active_axle)

        def write(path: Path) -> None:
            from app.curve_tables import write_curves

            write_curves(path, rig, axle, against)

        name = f"{dialogs.file_words(axle_words(rig, axle.id))} {against} curves.csv"
        self._ask_and_write(f"Export curves of the {axle_words(rig, axle.id)}", name, CURVE_FILES, write)

    def frame(self, ending: str) -> None:
        """Write nodes, bars, panels and links as a table or a drawing."""

        def write(path: Path) -> None:
            from app.conversion import write_frame

            write_frame(path, self._document.rig)

        self._ask_and_write("Export frame", f"frame{ending}", FRAME_FILES[ending], write)

    def _ask_and_write(self, title: str, name: str, kinds: str, write: Callable[[Path], None]) -> None:
        start = self._folder() / f"{dialogs.file_words(self._document.rig.name)} {name}"
        path = dialogs.ask_save(self._parent, title, start, kinds)
        if path is None:
            return
        QGuiApplication.setOverrideCursor(Qt.CursorShape.WaitCursor)
        try:
            write(path)
        except (OSError, ValueError) as refused:
            QGuiApplication.restoreOverrideCursor()
            dialogs.say(self._parent, f"{path.name} cannot be written.", dialogs.reason(refused))
        else:
            QGuiApplication.restoreOverrideCursor()

    def _rig_file(self) -> str:
        if self._document.path is None:
            return ""
        return f"{self._document.path.name}{', with unsaved changes' if self._document.is_modified else ''}"
