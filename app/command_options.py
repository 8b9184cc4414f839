"""What can be written on the command line: every command with its options and its help."""

from __future__ import annotations

import argparse
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from app.console import print_lines
from app.conversion import add_convert_options
from app.curve_tables import add_curve_options
from app.cutting import add_cut_sheet_options
from app.desktop import add_desktop_options
from app.numbers import add_numbers_options
from app.units import LengthUnit

MOST_JOBS: Final = 60
"""Processes at most; some systems cannot wait for more."""

EXAMPLES: Final = """\
examples:
  wheelroom                                   open the window with a demo rig
  wheelroom my.rig.json                       open the window with a rig
  wheelroom check my.rig.json                 does anything touch anywhere in the travel?
  wheelroom check my.rig.json --width 62.5in  ... and at another width of all axles?
  wheelroom check my.rig.json --width rear="62 1/2" --json
  wheelroom widths my.rig.json --from 58 --to 70 --axle rear
  wheelroom study fleet/ --from 58 --to 70 --step 1/4 --out results.jsonl
  wheelroom report my.rig.json --out report.pdf
  wheelroom survey my.rig.json --out survey.pdf
  wheelroom numbers my.rig.json --axle rear
  wheelroom cut-sheet my.rig.json --axle rear --out rear.pdf
  wheelroom curves my.rig.json --axle front --against steer --out front.csv
  wheelroom convert my.rig.json --out frame.dxf
  wheelroom convert frame.dxf --into my.rig.json --unit in
  wheelroom schema > rig.schema.json

exit status: 0 clear, 1 touches or tight, 2 bad input or not established, 130 interrupted
"""


def parser() -> argparse.ArgumentParser:
    """What reads a command line."""
    whole = argparse.ArgumentParser(
        prog="wheelroom",
        description="Settle the width of a solid axle: what touches anywhere in the travel, and which widths clear.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    whole.add_argument("--version", action=_Version)
    commands = whole.add_subparsers(dest="command", metavar="COMMAND", required=True)

    def command(name: str, summary: str, example: str) -> argparse.ArgumentParser:
        return commands.add_parser(
            name,
            help=summary,
            description=f"{summary[0].upper()}{summary[1:]}.",
            epilog=f"example: {example}",
            allow_abbrev=False,
        )

    window = command("open", "open the window", "wheelroom open my.rig.json")
    window.add_argument("rig", nargs="?", type=Path, metavar="RIG", help="rig file; without one, a demo rig")

    check = command("check", "check a rig over its whole travel", "wheelroom check my.rig.json --width rear=62.5in")
    _add_rig(check)
    check.add_argument("--json", action="store_true", help="print the answers as JSON (see: wheelroom schema --answer)")
    check.add_argument("--all", action="store_true", help="print all pairs, not only the worst")

    widths = command("widths", "find the widths that clear", "wheelroom widths my.rig.json --from 58 --to 70")
    _add_rig(widths)
    widths.add_argument("--from", dest="low", required=True, metavar="LENGTH", help="narrowest wheel-mount width")
    widths.add_argument("--to", dest="high", required=True, metavar="LENGTH", help="widest wheel-mount width")
    widths.add_argument("--axle", metavar="ID", help="this axle only; otherwise one after the other")
    widths.add_argument("--step", metavar="LENGTH", help="look at exactly the widths that are this far apart")
    _add_jobs(widths)
    widths.add_argument("--json", action="store_true", help="print JSON (see: wheelroom schema --widths)")

    study = command("study", "check many rigs at many widths", "wheelroom study fleet/ --widths 60 62 64 --out all.csv")
    study.add_argument("rigs", nargs="+", type=Path, metavar="RIG", help="rig file, or folder with *.rig.json in it")
    study.add_argument("--from", dest="low", metavar="LENGTH", help="narrowest wheel-mount width, with --to and --step")
    study.add_argument("--to", dest="high", metavar="LENGTH", help="widest wheel-mount width")
    study.add_argument("--step", metavar="LENGTH", help="distance of one width to the next")
    study.add_argument("--widths", nargs="+", metavar="LENGTH", help="these widths; without any, the drawn ones")
    study.add_argument("--axle", metavar="ID", default="", help="this axle only; otherwise one after the other")
    study.add_argument("--out", type=Path, metavar="FILE", help="file ending in .jsonl or .csv; what it holds is kept")
    _add_units(study)
    _add_jobs(study)

    report = command("report", "write the clearance report", "wheelroom report my.rig.json --out report.pdf")
    _add_rig(report)
    report.add_argument("--out", required=True, type=Path, metavar="FILE", help="file ending in .pdf, .csv or .json")

    survey = command("survey", "print what to measure on the rig", "wheelroom survey my.rig.json --out survey.pdf")
    _add_rig(survey)
    survey.add_argument("--out", required=True, type=Path, metavar="FILE", help="file ending in .pdf")

    cut_sheet = command(
        "cut-sheet", "print what to cut and to weld", "wheelroom cut-sheet my.rig.json --axle rear --out rear.pdf"
    )
    _add_rig(cut_sheet)
    add_cut_sheet_options(cut_sheet)

    example = "wheelroom numbers my.rig.json --axle rear"
    add_numbers_options(_add_rig(command("numbers", "print what follows from the widths", example)))

    example = "wheelroom curves my.rig.json --axle rear --out rear.csv"
    add_curve_options(_add_rig(command("curves", "write what travel or steer changes", example)))

    add_convert_options(
        command("convert", "write or take in tables and drawings", "wheelroom convert frame.dxf --into my.rig.json")
    )

    add_desktop_options(
        command("install-desktop", "put the program into your desktop's menu", "wheelroom install-desktop")
    )

    schema = command("schema", "print the JSON Schema of the rig file", "wheelroom schema > rig.schema.json")
    which = schema.add_mutually_exclusive_group()
    which.add_argument("--answer", action="store_true", help="of what `check --json` prints instead")
    which.add_argument("--widths", action="store_true", help="of what `widths --json` prints instead")
    which.add_argument("--study", action="store_true", help="of a line that `study` writes instead")
    which.add_argument("--cut-sheet", action="store_true", help="of what `cut-sheet` writes as .json instead")
    return whole


def _add_rig(command: argparse.ArgumentParser) -> argparse.ArgumentParser:
    command.add_argument("rig", metavar="RIG", help="rig file; - reads it from standard input")
    command.add_argument(
        "--width",
        action="append",
        default=[],
        metavar="[AXLE=]LENGTH",
        help="wheel-mount width to take instead of the drawn one, of one axle or of all; can be given repeatedly",
    )
    _add_units(command)
    return command


def _add_units(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--units",
        type=LengthUnit,
        choices=list(LengthUnit),
        default=LengthUnit.FRACTION,
        help="units to print, and of lengths given without one (default: fraction, inches with fractions)",
    )


def _add_jobs(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--jobs",
        type=_jobs,
        default=min(os.cpu_count() or 1, MOST_JOBS),
        metavar="N",
        help="processes to work with (default: one for each core)",
    )


def _jobs(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= MOST_JOBS:
        raise argparse.ArgumentTypeError(f"a number from 1 to {MOST_JOBS} is wanted, not “{text}”")
    return int(text)


class _Version(argparse.Action):
    """Prints the version, which takes a moment to look up."""

    def __init__(self, option_strings: Sequence[str], dest: str) -> None:
        super().__init__(option_strings, dest, nargs=0, help="print the version")

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib.metadata import PackageNotFoundError, version

        try:
            number = version("wheelroom")
        except PackageNotFoundError:
            number = "(from the source tree)"
        print_lines([f"wheelroom {number}"])
        parser.exit()
