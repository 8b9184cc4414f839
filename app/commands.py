"""The command line: one command a function, results on standard output, messages on standard error.

Nothing heavy is imported before a command needs it, and Qt by none but the window and the PDF.
"""

from __future__ import annotations

import argparse
import os
import sys
import textwrap
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Final, Self, TextIO

from app.units import LengthError, LengthUnit, format_clearance, format_length, parse_length

if TYPE_CHECKING:
    from app.study import Study
    from geometry.contact.findings import Approach, WidthCurve
    from geometry.rig.axle import Axle
    from geometry.rig.rig import Rig

CLEAR, TOUCHES, UNUSABLE = 0, 1, 2
"""Exit statuses: everything clear; contact or tight; bad input or not established."""

SHOWN: Final = 10
"""Pairs that a check prints at least, where there are so many."""

MOST_SHOWN: Final = 40
"""Pairs that a check prints at most, unless all are asked for."""

PATIENCE: Final = 1.0
"""Time after which work shows its progress [s]."""

EXAMPLES: Final = """\
examples:
  wheelroom                                   open the window with a demo rig
  wheelroom my.rig.json                       open the window with a rig
  wheelroom check my.rig.json                 does anything touch anywhere in the travel?
  wheelroom check my.rig.json --width 62.5in  ... and at another width of all axles?
  wheelroom check my.rig.json --width rear="62 1/2" --json
  wheelroom widths my.rig.json --from 58 --to 70 --axle rear
  wheelroom report my.rig.json --out report.pdf
  wheelroom schema > rig.schema.json

exit status: 0 clear, 1 contact or tight, 2 bad input or not established, 130 interrupted
"""


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
    if not given or not (given[0] in {*COMMANDS, "open"} or given[0].startswith("-")):
        given.insert(0, "open")
    options = _parser().parse_args(given)
    try:
        if options.command == "open":
            return open_window(_existing(options.rig))
        return COMMANDS[options.command](options)
    except (CommandError, ValueError, OSError) as refused:
        if isinstance(refused, BrokenPipeError):
            raise
        _complain(str(refused))
        return UNUSABLE


def _complain(sentence: str) -> None:
    sys.stderr.write(f"wheelroom: {sentence.rstrip('.')}.\n")


# What can be written


def _parser() -> argparse.ArgumentParser:
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
    widths.add_argument("--step", metavar="LENGTH", help="print no more than one line in each step of width")
    widths.add_argument("--json", action="store_true", help="print JSON (see: wheelroom schema --widths)")

    report = command("report", "write the clearance report", "wheelroom report my.rig.json --out report.pdf")
    _add_rig(report)
    report.add_argument("--out", required=True, type=Path, metavar="FILE", help="file ending in .pdf, .csv or .json")

    schema = command("schema", "print the JSON Schema of the rig file", "wheelroom schema > rig.schema.json")
    which = schema.add_mutually_exclusive_group()
    which.add_argument("--answer", action="store_true", help="of what `check --json` prints instead")
    which.add_argument("--widths", action="store_true", help="of what `widths --json` prints instead")
    return whole


def _add_rig(command: argparse.ArgumentParser) -> None:
    command.add_argument("rig", metavar="RIG", help="rig file; - reads it from standard input")
    command.add_argument(
        "--width",
        action="append",
        default=[],
        metavar="[AXLE=]LENGTH",
        help="wheel-mount width to take instead of the drawn one, of one axle or of all; can be given repeatedly",
    )
    command.add_argument(
        "--units",
        type=LengthUnit,
        choices=list(LengthUnit),
        default=LengthUnit.FRACTION,
        help="units to print, and of lengths given without one (default: fraction, inches with fractions)",
    )


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
        _print([f"wheelroom {number}"])
        parser.exit()


# Commands


def check_instead_of_window(path: Path | None, reason: str) -> int:
    """Where there can be no window: the check of the rig, or of the first demo rig, and why."""
    from app import study
    from app.files.assets import demo_rigs
    from app.files.rig_file import read_rig

    shown = path or demo_rigs()[0]
    rig = read_rig(shown)
    with _Progress("Checking") as progress:
        found = study.check(rig, progress=progress, cancelled=progress.tick)
    _print(_check_lines(found, LengthUnit.FRACTION, everything=False))
    _complain(f"there is no window because {reason}; this is the check of {shown.name} instead.")
    return CLEAR


def _check(options: argparse.Namespace) -> int:
    from app import study
    from app.files.answer import answer_to_json

    rig = _rig(options)
    with _Progress("Checking") as progress:
        found = study.check(rig, progress=progress, cancelled=progress.tick)
    if options.json:
        _write(answer_to_json(found, unit=options.units))
    else:
        _print(_check_lines(found, options.units, everything=options.all))
    return _status(found)


def _status(found: Study) -> int:
    return {"clear": CLEAR, "tight": TOUCHES, "contact": TOUCHES, "unknown": UNUSABLE}[found.verdict.value]


def _widths(options: argparse.Namespace) -> int:
    from app.files.answer import widths_to_json

    rig = _rig(options)
    low, high = (_length(text, options.units, name) for text, name in ((options.low, "--from"), (options.high, "--to")))
    step = _length(options.step, options.units, "--step") if options.step else 0.0
    if not low < high:
        raise CommandError("--from must be less than --to.")
    axles = [_axle(rig, options.axle)] if options.axle else list(rig.axles)
    curves = [_curve(rig, axle, low, high) for axle in axles]
    if options.json:
        _write(widths_to_json(rig, curves))
    else:
        for curve in curves:
            _print(_curve_lines(rig, curve, options.units, step))
    if not all(curve.complete for curve in curves):
        return UNUSABLE
    return CLEAR if all(curve.windows for curve in curves) else TOUCHES


def _curve(rig: Rig, axle: Axle, low: float, high: float) -> WidthCurve:
    from app import study
    from geometry.rig.check import check_rig

    for width in (low, high):
        check_rig(_with_width(rig, axle.id, width))
    with _Progress(f"Searching widths of the axle {axle.id}") as progress:
        return study.width_curve(rig, axle.id, low, high, cancelled=progress.tick)


def _report(options: argparse.Namespace) -> int:
    from app import study
    from app.export import write_report
    from app.files.assets import RIG_SUFFIX

    out: Path = options.out
    rig = _rig(options)
    if out.name.lower().endswith(RIG_SUFFIX) or (out.exists() and options.rig != "-" and out.samefile(options.rig)):
        raise CommandError(
            f"{out.name} is the name of a rig file, which a report must not replace; choose another name."
        )
    if out.suffix.lower() not in {".pdf", ".csv", ".json"}:
        raise CommandError(
            f"a report ends in .pdf, .csv or .json, and {out.name} in none of them; choose one of these."
        )
    with _Progress("Checking") as progress:
        found = study.check(rig, progress=progress, cancelled=progress.tick)
    curves = []
    if out.suffix.lower() != ".csv":
        for answer in found.axles:
            if not answer.problem:
                axle = rig.axle(answer.axle)
                curves.append(_curve(rig, axle, *study.usual_widths(axle)))
    try:
        write_report(out, found, tuple(curves), options.units, rig_file=Path(options.rig).name)
    except ImportError as missing:
        raise CommandError(
            f"the PDF needs the window's libraries, and they cannot be loaded ({missing}); "
            "install wheelroom[window], or write .csv or .json."
        ) from None
    return _status(found)


def _schema(options: argparse.Namespace) -> int:
    from app.files.answer import answer_schema_bytes, widths_schema_bytes
    from app.files.rig_file import schema_bytes

    _write(answer_schema_bytes() if options.answer else widths_schema_bytes() if options.widths else schema_bytes())
    return CLEAR


COMMANDS: Final[dict[str, Callable[[argparse.Namespace], int]]] = {
    "check": _check,
    "widths": _widths,
    "report": _report,
    "schema": _schema,
}


# Input


def _existing(path: Path | None) -> Path | None:
    if path is not None and not path.exists():
        raise CommandError(f"{path} is neither a rig file that exists nor one of the commands {', '.join(COMMANDS)}.")
    return path


def _rig(options: argparse.Namespace) -> Rig:
    """The rig that the options name, at the widths that they name."""
    from app.files.rig_file import LARGEST, read_rig, rig_from_bytes
    from geometry.rig.check import check_rig

    if options.rig == "-":
        rig = rig_from_bytes(sys.stdin.buffer.read(LARGEST + 1), "standard input")
    else:
        rig = read_rig(Path(options.rig))
    for text in options.width:
        name, _, length = text.rpartition("=")
        width = _length(length, options.units, "--width")
        for axle in [_axle(rig, name)] if name else rig.axles:
            rig = _with_width(rig, axle.id, width)
    if options.width:
        check_rig(rig)
    return rig


def _axle(rig: Rig, axle_id: str) -> Axle:
    try:
        return rig.axle(axle_id)
    except KeyError:
        known = ", ".join(axle.id for axle in rig.axles)
        raise CommandError(f"there is no axle “{axle_id}” in this rig; it has {known}.") from None


def _with_width(rig: Rig, axle_id: str, width: float) -> Rig:
    from msgspec.structs import replace

    axles = tuple(replace(axle, width=width) if axle.id == axle_id else axle for axle in rig.axles)
    return replace(rig, axles=axles)


def _length(text: str, unit: LengthUnit, option: str) -> float:
    try:
        length = parse_length(text, unit)
    except LengthError as refused:
        raise CommandError(f"{option}: {refused}") from None
    if length <= 0.0:
        raise CommandError(f"{option} must be more than nothing.")
    return length


# Output


def _check_lines(found: Study, unit: LengthUnit, *, everything: bool) -> Iterable[str]:
    from app.wording import CAUTION, verdict_sentence

    yield _coloured(verdict_sentence(found, unit), found.verdict.value)
    yield ""
    yield from _table(
        ("Axle", "Width", "Track", "Outer width"),
        [
            (answer.axle, *(format_length(mm, unit) for mm in (answer.width, answer.track, answer.outer_width)))
            for answer in found.axles
        ],
    )
    approaches = found.approaches
    shown = approaches if everything else _worst(approaches)
    if shown:
        yield ""
        yield from _table(
            ("Pair", "Closest", "Wanted", "Verdict", "Where", "Bump left"),
            [_pair_cells(pair, found.rig.axle(pair.axle), unit) for pair in shown],
        )
    yield ""
    yield _count_words(approaches, shown, unit)
    yield from textwrap.wrap(CAUTION, 100)


def _worst(approaches: tuple[Approach, ...]) -> tuple[Approach, ...]:
    """All that is not clear and the nearest that is, as far as there is room."""
    bad = sum(pair.verdict.value != "clear" for pair in approaches)
    near = [pair for pair in approaches if not pair.beyond]
    return tuple(near[: min(max(bad, SHOWN), MOST_SHOWN)])


def _pair_cells(pair: Approach, axle: Axle, unit: LengthUnit) -> tuple[str, ...]:
    from app.wording import NOTHING, bump_left_words, clearance_words, pair_words, pose_words, verdict_words

    return (
        pair_words(pair),
        clearance_words(pair, unit),
        format_length(pair.wanted, unit),
        verdict_words(pair.verdict),
        NOTHING if pair.beyond else pose_words(pair.pose, axle, unit),
        bump_left_words(pair, axle, unit),
    )


def _count_words(approaches: tuple[Approach, ...], shown: tuple[Approach, ...], unit: LengthUnit) -> str:
    beyond = [pair.low for pair in approaches if pair.beyond]
    words = f"{len(approaches)} pairs checked over the whole travel, {len(shown)} shown, least margin first"
    if not beyond:
        return f"{words}."
    return f"{words}; {len(beyond)} are farther apart than {format_clearance(min(beyond), unit)} in every pose."


def _curve_lines(rig: Rig, curve: WidthCurve, unit: LengthUnit, step: float) -> Iterable[str]:
    from app.report.content import axle_name, bound_sentences, window_words
    from app.wording import NOTHING, pair_words

    yield f"{axle_name(rig.axle(curve.axle)).capitalize()}, widths that clear: {window_words(curve, unit)}."
    yield from bound_sentences(curve, unit)
    yield ""
    rows = []
    passed = -1.0
    for sample in curve.samples:
        mark = sample.width // step if step else passed + 1.0
        if mark > passed:
            passed = mark
            closest = format_clearance(sample.low, unit)
            margin = format_clearance(sample.margin_low, unit)
            pairs = [pair_words(pair) if pair else NOTHING for pair in (sample.nearest, sample.tightest)]
            rows.append((format_length(sample.width, unit), closest, margin, *pairs))
    yield from _table(("Width", "Closest", "Margin", "Closest pair", "Pair with the least margin"), rows)
    yield ""


def _table(titles: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterable[str]:
    widths = [max(len(row[column]) for row in (titles, *rows)) for column in range(len(titles))]
    for row in (titles, *rows):
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def _coloured(sentence: str, verdict: str) -> str:
    """The sentence with its opening words in colour, where the terminal shows any and nobody minds."""
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or os.name == "nt":
        return sentence
    colour = {"contact": 31, "unknown": 35, "tight": 33, "clear": 34}[verdict]
    head, colon, rest = sentence.partition(":")
    return f"\x1b[1;{colour}m{head}{colon}\x1b[0m{rest}"


def _print(lines: Iterable[str]) -> None:
    for line in lines:
        sys.stdout.write(f"{line}\n")


def _write(data: bytes) -> None:
    """Bytes to standard output, whatever encoding the console has."""
    sys.stdout.flush()
    sys.stdout.buffer.write(data)


class _Progress:
    """Says on a terminal how far work has come, once it has taken a second; clears up behind itself."""

    def __init__(self, work: str) -> None:
        self._work = work
        self._start = monotonic()
        self._share = ""
        self._shown = ""
        self._stream: TextIO = sys.stderr

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self._shown:
            self._say(" " * len(self._shown) + "\r")

    def __call__(self, share: float) -> None:
        self._share = f"{share:.0%}, "
        self.tick()

    def tick(self) -> bool:
        """Show the progress if it is time; False, for nobody wants to give up."""
        seconds = monotonic() - self._start
        text = f"{self._work}: {self._share}{seconds:.0f} s"
        if seconds > PATIENCE and text != self._shown and self._stream.isatty():
            self._say(text.ljust(len(self._shown)))
            self._shown = text
        return False

    def _say(self, text: str) -> None:
        self._stream.write(f"\r{text}")
        self._stream.flush()
