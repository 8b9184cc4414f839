"""The command line: one command a function, results on standard output, messages on standard error.

Nothing heavy is imported before a command needs it, and Qt by none but the window and the PDF.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from contextlib import closing
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING, Final

from app.command_options import parser
from app.console import Progress, SampleLines, check_lines, curve_lines, print_lines, window_lines, write_bytes
from app.conversion import convert
from app.curve_tables import write_curves
from app.cutting import cut_sheet_lines
from app.desktop import install_lines
from app.interrupt import leaving_at_once
from app.numbers import can_be_built, number_lines, numbers_of, numbers_to_json
from app.units import LengthError, LengthUnit, format_length, parse_length

if TYPE_CHECKING:
    from app.study import Study
    from geometry.contact.findings import WidthCurve
    from geometry.errors import RigError
    from geometry.rig.axle import Axle
    from geometry.rig.rig import Rig

CLEAR, TOUCHES, UNUSABLE = 0, 1, 2
"""Exit statuses: everything clear; touches, tight, out of tolerance or against a rule; bad input or not established."""


class CommandError(Exception):
    """A command cannot be carried out; the text is one sentence for the builder."""


def run(arguments: Sequence[str], open_window: Callable[[Path | None], int]) -> int:
    """Carry out a command line; returns the exit status.

    Parameters
    ----------
    open_window : callable
        Opens the window with a rig file, or with a demo rig, and returns the exit status.

    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # no console must choke on a sign that it cannot show
    given = list(arguments)
    try:
        if not given or not (given[0] in {*COMMANDS, "open"} or given[0].startswith("-")):
            _refuse_unknown(given)
            given.insert(0, "open")
        options = parser().parse_args(given)
        if options.command == "open":
            return open_window(_existing(options.rig))
        with leaving_at_once():
            import app.files.answer
            import app.study  # noqa: F401  (all that takes time to load)
        return COMMANDS[options.command](options)
    except (CommandError, ValueError, OSError) as refused:
        if isinstance(refused, BrokenPipeError):
            raise
        _complain(str(refused))
        return UNUSABLE


def _complain(sentence: str) -> None:
    sys.stderr.write(f"wheelroom: {sentence.rstrip('.')}.\n")


# Commands


def check_instead_of_window(path: Path | None, reason: str) -> int:
    """Where there can be no window: the check of the rig, or of the first demo rig, and why."""
    from app import as_built
    from app.files.assets import demo_rigs
    from app.files.rig_file import read_rig

    shown = path or demo_rigs()[0]
    rig = read_rig(shown)
    with Progress("Checking") as progress:
        found = as_built.check(rig, progress=progress, cancelled=progress.tick)
    print_lines(check_lines(found, LengthUnit.FRACTION, everything=False))
    _complain(f"there is no window because {reason}; this is the check of {shown.name} instead.")
    return CLEAR


def _check(options: argparse.Namespace) -> int:
    from app import as_built, study
    from app.files.answer import answer_to_json

    rig = _rig(options)
    check = study.check if options.width else as_built.check  # another width than the drawn one is not the welded one
    with Progress("Checking") as progress:
        found = check(rig, progress=progress, cancelled=progress.tick)
    if options.json:
        write_bytes(answer_to_json(found, unit=options.units))
    else:
        print_lines(check_lines(found, options.units, everything=options.all))
    return _status(found)


def _status(found: Study) -> int:
    """Clear, unless something is in the way, out of tolerance, or against the builder's own rules."""
    from app.width_rules import KnownRules

    known = {"clear": CLEAR, "tight": TOUCHES, "contact": TOUCHES, "unknown": UNUSABLE}[found.overall.value]
    built = () if found.as_built is None else found.as_built.broken
    broken = known == CLEAR and (built or any(KnownRules().broken(found.rig).values()))
    return TOUCHES if broken else known


def _widths(options: argparse.Namespace) -> int:
    from app.files.answer import widths_to_json

    rig = _rig(options)
    low, high = _range(options)
    axles = [_axle(rig, options.axle)] if options.axle else list(rig.axles)
    if options.step:
        curves = _stepped_curves(rig, axles, _steps(low, high, options), options)
    else:
        for axle in axles:
            _check_range(rig, axle, options)
        curves = [_curve(rig, axle, low, high) for axle in axles]
    if options.json:
        write_bytes(widths_to_json(rig, curves))
    elif not options.step:
        for curve in curves:
            print_lines(curve_lines(rig, curve, options.units))
    if not all(curve.complete for curve in curves):
        return UNUSABLE
    return CLEAR if all(curve.windows for curve in curves) else TOUCHES


def _stepped_curves(
    rig: Rig, axles: Sequence[Axle], widths: tuple[float, ...], options: argparse.Namespace
) -> list[WidthCurve]:
    """Curves of exactly these widths; unless JSON is wanted, each line is printed as soon as it is known."""
    from app import study
    from app.batch import samples_in_order
    from geometry.contact.findings import WidthCurve

    for axle in axles:
        _check_range(rig, axle, options)
    curves: list[WidthCurve] = []
    ids = [axle.id for axle in axles]
    with (
        Progress("Searching widths") as progress,
        closing(samples_in_order(rig, ids, widths, options.jobs, progress.tick)) as found,
    ):
        for axle, of_axle in groupby(found, key=itemgetter(0)):
            printed = SampleLines(options.units)
            samples = []
            for _, sample in of_axle:
                if not options.json:
                    progress.clear()
                    print_lines(printed.lines(sample))
                    sys.stdout.flush()
                samples.append(sample)
                progress((len(curves) + len(samples) / len(widths)) / len(axles))
            windows = study.width_windows(rig, axle, samples, cancelled=progress.tick)
            curves.append(WidthCurve(axle, tuple(samples), windows, complete=True))
            if not options.json:
                progress.clear()
                print_lines(["", *window_lines(rig, curves[-1], options.units), ""])
    return curves


def _curve(rig: Rig, axle: Axle, low: float, high: float) -> WidthCurve:
    from app import study

    with Progress(f"Searching widths of the axle {axle.id}") as progress:
        return study.width_curve(rig, axle.id, low, high, cancelled=progress.tick)


def _check_range(rig: Rig, axle: Axle, options: argparse.Namespace) -> None:
    from app.study import with_width

    for name, text in (("--from", options.low), ("--to", options.high)):
        width = _length(text, options.units, name)
        _check_given(with_width(rig, axle.id, width), f"{name} {text}", width, options.units)


def _check_given(rig: Rig, given: str, length: float, unit: LengthUnit) -> None:
    """Check a rig with a length that was given on the command line; says how that was read when it cannot be used."""
    from geometry.errors import RigError
    from geometry.rig.check import check_rig

    try:
        check_rig(rig)
    except RigError as refused:
        read = format_length(length, unit) + ("" if unit is LengthUnit.MM else f" ({length:.1f} mm)")
        raise CommandError(f"{given}, read as {read}, cannot be used: {_told(rig, refused, unit)}") from None


def _told(rig: Rig, refused: RigError, unit: LengthUnit) -> str:
    """What is wrong with a rig, in words and in the unit that is asked for: no file has what was given."""
    from app.figures.places import axle_words
    from app.units import in_unit

    of_axle = next((f"{axle_words(rig, axle.id)}: " for axle in rig.axles if axle.id in refused.ids[:1]), "")
    return f"{of_axle}{in_unit(refused.problem, unit)}"


def _study(options: argparse.Namespace) -> int:
    from app.batch import Printed, Request, rig_files, run_study
    from app.files.results import ResultsFile
    from geometry.tolerances import CLEARANCE

    out: Path | None = options.out
    if out is not None and out.suffix.lower() not in {".jsonl", ".csv"}:
        raise CommandError(f"results end in .jsonl or .csv, and {out.name} in none of them; choose one of these.")
    request = Request(rig_files(options.rigs), _study_widths(options), options.axle)
    with Progress("Studying") as progress, ResultsFile(out, CLEARANCE) if out else Printed() as store:

        def complain(sentence: str) -> None:
            progress.clear()
            _complain(sentence)

        tally = run_study(request, store, options.jobs, progress, complain)
    if out is not None:
        print_lines([tally.sentence(out.name)])
    if tally.lost or tally.verdicts["unknown"]:
        return UNUSABLE
    return TOUCHES if tally.verdicts["contact"] or tally.verdicts["tight"] else CLEAR


def _study_widths(options: argparse.Namespace) -> tuple[float, ...]:
    """Widths that are asked for [mm]; empty = as drawn."""
    ends = (options.low, options.high, options.step)
    if any(ends) and (options.widths or not all(ends)):
        raise CommandError("--from, --to and --step belong together, without --widths.")
    if any(ends):
        return _steps(*_range(options), options)
    return tuple(dict.fromkeys(_length(text, options.units, "--widths") for text in options.widths or ()))


def _report(options: argparse.Namespace) -> int:
    from app import as_built, study
    from app.export import write_report
    from app.reach import usual_widths

    out: Path = options.out
    rig = _rig(options)
    _refuse_rig_file(out, options.rig)
    if out.suffix.lower() not in {".pdf", ".csv", ".json"}:
        raise CommandError(
            f"a report ends in .pdf, .csv or .json, and {out.name} in none of them; choose one of these."
        )
    check = study.check if options.width else as_built.check
    with Progress("Checking") as progress:
        found = check(rig, progress=progress, cancelled=progress.tick)
    curves = []
    if out.suffix.lower() != ".csv":
        for answer in found.axles:
            if not answer.problem:
                axle = rig.axle(answer.axle)
                curves.append(_curve(rig, axle, *usual_widths(axle)))
    try:
        write_report(out, found, tuple(curves), options.units, rig_file=Path(options.rig).name)
    except ImportError as missing:
        raise CommandError(f"{_no_pdf(missing)}, or write .csv or .json.") from None
    return _status(found)


def _survey(options: argparse.Namespace) -> int:
    from app.export import write_survey

    out: Path = options.out
    rig = _rig(options)
    if out.suffix.lower() != ".pdf":
        raise CommandError(f"a survey sheet ends in .pdf, and {out.name} does not; choose such a name.")
    try:
        write_survey(out, rig, options.units, rig_file=Path(options.rig).name)
    except ImportError as missing:
        raise CommandError(f"{_no_pdf(missing)}.") from None
    return CLEAR


def _cut_sheet(options: argparse.Namespace) -> int:
    rig = _rig(options)
    _refuse_rig_file(options.out, options.rig)
    axles = [_axle(rig, options.axle).id] if options.axle else [axle.id for axle in rig.axles]
    name = Path(options.rig).name
    try:
        warnings = list(cut_sheet_lines(rig, axles, options.out, options.units, options.paper, name))
    except ImportError as missing:
        raise CommandError(f"{_no_pdf(missing)}, or write .csv or .json.") from None
    for _, sentence in warnings:
        _complain(sentence)
    return max((status for status, _ in warnings), default=CLEAR)


def _no_pdf(missing: ImportError) -> str:
    return f"the PDF needs the window's libraries, and they cannot be loaded ({missing}); install wheelroom[window]"


def _refuse_rig_file(out: Path, rig: str) -> None:
    """Refuse to write a report over a rig file."""
    from app.files.assets import RIG_SUFFIX

    if out.name.lower().endswith(RIG_SUFFIX) or (out.exists() and rig != "-" and out.samefile(rig)):
        raise CommandError(
            f"{out.name} is the name of a rig file, which a report must not replace; choose another name."
        )


def _numbers(options: argparse.Namespace) -> int:
    rig = _rig(options)
    axles = [_axle(rig, options.axle)] if options.axle else list(rig.axles)
    outer = _length(options.outer, options.units, "--outer") if options.outer else None
    found = numbers_of(rig, axles, outer)
    if options.json:
        write_bytes(numbers_to_json(rig, axles, found))
    else:
        print_lines(number_lines(rig, axles, found, options.units))
    return CLEAR if can_be_built(found) else UNUSABLE


def _curves(options: argparse.Namespace) -> int:
    rig = _rig(options)
    _refuse_rig_file(options.out, options.rig)
    count = write_curves(options.out, rig, _axle(rig, options.axle), options.against)
    print_lines([f"{count} quantities of the axle {options.axle} are in {options.out.name}."])
    return CLEAR


def _convert(options: argparse.Namespace) -> int:
    print_lines(convert(options))
    return CLEAR


def _install_desktop(options: argparse.Namespace) -> int:
    print_lines(install_lines(options))
    return CLEAR


def _schema(options: argparse.Namespace) -> int:
    from app.files.answer import answer_schema_bytes, widths_schema_bytes
    from app.files.results import study_schema_bytes
    from app.files.rig_file import schema_bytes

    if options.answer:
        write_bytes(answer_schema_bytes())
    elif options.widths:
        write_bytes(widths_schema_bytes())
    elif options.cut_sheet:
        from app.report.cut_sheet import cut_sheet_schema_bytes

        write_bytes(cut_sheet_schema_bytes())
    else:
        write_bytes(study_schema_bytes() if options.study else schema_bytes())
    return CLEAR


COMMANDS: Final[dict[str, Callable[[argparse.Namespace], int]]] = {
    "check": _check,
    "widths": _widths,
    "study": _study,
    "report": _report,
    "survey": _survey,
    "numbers": _numbers,
    "cut-sheet": _cut_sheet,
    "curves": _curves,
    "schema": _schema,
    "convert": _convert,
    "install-desktop": _install_desktop,
}


# Input


def _refuse_unknown(given: list[str]) -> None:
    """What stands first and is neither a command nor a file that could be opened."""
    from geometry.rig.structure import did_you_mean

    word = next(iter(given), "")
    if not word or Path(word).exists():
        return
    commands = ["open", *COMMANDS]
    listed = f"the commands are {', '.join(commands)}"
    if Path(word).suffix or Path(word).name != word:
        raise CommandError(f"{word} is neither a rig file that exists nor a command; {listed}")
    raise CommandError(f"there is no command {word}{did_you_mean(word, commands)}; {listed}")


def _existing(path: Path | None) -> Path | None:
    if path is not None and not path.exists():
        raise CommandError(f"{path}: there is no such file; check its name and folder.")
    return path


def _rig(options: argparse.Namespace) -> Rig:
    """The rig that the options name, at the widths that they name."""
    from app.files.rig_file import LARGEST, read_rig, rig_from_bytes
    from app.study import with_width

    if options.rig == "-":
        rig = rig_from_bytes(sys.stdin.buffer.read(LARGEST + 1), "standard input")
    else:
        rig = read_rig(Path(options.rig))
    for text in options.width:
        name, _, length = text.rpartition("=")
        width = _length(length, options.units, "--width")
        for axle in [_axle(rig, name)] if name else rig.axles:
            rig = with_width(rig, axle.id, width)
        _check_given(rig, f"--width {text}", width, options.units)
    return rig


def _axle(rig: Rig, axle_id: str) -> Axle:
    try:
        return rig.axle(axle_id)
    except KeyError:
        known = ", ".join(axle.id for axle in rig.axles)
        raise CommandError(f"there is no axle “{axle_id}” in this rig; it has {known}.") from None


def _length(text: str, unit: LengthUnit, option: str) -> float:
    try:
        length = parse_length(text, unit)
    except LengthError as refused:
        raise CommandError(f"{option}: {refused}") from None
    if length <= 0.0:
        raise CommandError(f"{option} must be more than nothing.")
    return length


def _range(options: argparse.Namespace) -> tuple[float, float]:
    low, high = (_length(text, options.units, name) for text, name in ((options.low, "--from"), (options.high, "--to")))
    if not low < high:
        raise CommandError("--from must be less than --to.")
    return low, high


def _steps(low: float, high: float, options: argparse.Namespace) -> tuple[float, ...]:
    from app.batch import steps

    return steps(low, high, _length(options.step, options.units, "--step"))
