"""The command `cut-sheet`: what the saw and the welder go by, for one axle or for all of a rig."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final

from app.units import LengthUnit, in_unit

if TYPE_CHECKING:
    from geometry.rig.rig import Rig

PAPERS: Final = ("a4", "letter")


def add_cut_sheet_options(command: argparse.ArgumentParser) -> None:
    """The options of the command beside those that name a rig."""
    command.add_argument("--axle", metavar="ID", help="this axle only; otherwise a page for each")
    command.add_argument("--out", required=True, type=Path, metavar="FILE", help="file ending in .pdf, .csv or .json")
    command.add_argument("--paper", choices=PAPERS, default="", help="of the PDF (default: a4 with mm, else letter)")


def cut_sheet_lines(
    rig: Rig, axles: list[str], out: Path, unit: LengthUnit, paper: str, rig_file: str
) -> Iterator[tuple[int, str]]:
    """Write the cut sheets of some axles; their warnings, an exit status and a sentence each, none if all is well.

    Raises
    ------
    ValueError
        With one sentence, when a plan cannot be built or the file's ending says nothing; nothing is written then.
    ImportError
        When the PDF's libraries are not there.

    """
    from app.export import write_cut_sheets
    from app.figures.places import axle_words, place_words
    from app.report.cut_sheet import RefusedError
    from app.report.cut_sheet_words import Wording

    try:
        sheets = write_cut_sheets(out, rig, axles, unit, paper=paper, rig_file=rig_file)
    except RefusedError as refused:
        reasons = "; ".join(f"{place_words(rig, each.place)}: {each.problem}" for each in refused.reasons)
        raise ValueError(f"{out.name} is not written, for it cannot be built: {in_unit(reasons, unit)}.") from None
    for sheet in sheets.sheets:
        for banner in Wording(rig, sheet, unit).banners():
            yield banner.status, f"{axle_words(rig, sheet.axle)}: {banner.title.lower()}: {banner.words}"
