"""Papers to files: clearance report and cut sheets in the form that the file's ending names, the survey sheet."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from app.study import Study
from app.units import LengthUnit
from geometry.contact.findings import WidthCurve
from geometry.rig.rig import Rig

if TYPE_CHECKING:
    from app.report.cut_sheet_records import CutSheets


def write_report(
    path: Path, study: Study, curves: tuple[WidthCurve, ...], unit: LengthUnit, *, rig_file: str = ""
) -> None:
    """Write a report as ``.pdf``, ``.csv`` or ``.json``; the file appears whole or not at all.

    Raises
    ------
    ValueError
        When the ending names none of these.
    FileSaveError
        When the file cannot be written.

    """
    ending = path.suffix.lower()
    if ending == ".pdf":
        from app.report.pdf import write_pdf

        write_pdf(path, study, curves, unit, rig_file=rig_file)
    elif ending in {".csv", ".json"}:
        from app.files.answer import answer_to_json
        from app.files.answer_csv import answer_to_csv
        from app.files.saving import save_bytes

        save_bytes(path, answer_to_csv(study) if ending == ".csv" else answer_to_json(study, curves, unit))
    else:
        raise ValueError(
            f"a report ends in .pdf, .csv or .json, and “{path.name}” in none of them; choose one of these"
        )


def write_survey(path: Path, rig: Rig, unit: LengthUnit, *, rig_file: str = "") -> None:
    """Write the survey sheet as PDF; the file appears whole or not at all.

    Raises
    ------
    FileSaveError
        When the file cannot be written.

    """
    from app.report import survey_pdf

    survey_pdf.write_survey(path, rig, unit, rig_file=rig_file)


def write_cut_sheets(
    path: Path,
    rig: Rig,
    axles: Iterable[str],
    unit: LengthUnit,
    *,
    paper: str = "",
    rig_file: str = "",
    study: Study | None = None,
) -> CutSheets:
    """Write the cut sheets of some axles as ``.pdf``, ``.csv`` or ``.json``; the file appears whole or not at all.

    Parameters
    ----------
    study : Study, optional
        The answer about the rig as planned, with all pairs; it is worked out if it is left out.

    Raises
    ------
    RefusedError
        When the plan of one of them cannot be built; no file is written.
    ValueError
        When the ending names none of these.
    FileSaveError
        When the file cannot be written.

    """
    from app.files.saving import save_bytes
    from app.report.cut_sheet import cut_sheets, cut_sheets_to_json
    from app.study import check

    ending = path.suffix.lower()
    if ending not in {".pdf", ".csv", ".json"}:
        raise ValueError(
            f"a cut sheet ends in .pdf, .csv or .json, and “{path.name}” in none of them; choose one of these"
        )
    sheets = cut_sheets(rig, axles, study or check(rig))
    if ending == ".pdf":
        from app.report import cut_sheet_pdf

        cut_sheet_pdf.write_cut_sheets(path, rig, sheets, unit, paper=paper, rig_file=rig_file)
    elif ending == ".csv":
        from app.report.cut_sheet_csv import cut_sheets_to_csv

        save_bytes(path, cut_sheets_to_csv(sheets))
    else:
        save_bytes(path, cut_sheets_to_json(sheets))
    return sheets
