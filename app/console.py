"""Answers as lines of text, and progress on a terminal; nothing heavy is imported before it is needed."""

from __future__ import annotations

import os
import sys
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from time import monotonic
from typing import TYPE_CHECKING, Final, Self, TextIO

from app.units import LengthUnit, format_clearance, format_length, format_wanted

if TYPE_CHECKING:
    from app.study import AxleAnswer, Study
    from geometry.contact.findings import Approach, WidthCurve, WidthSample
    from geometry.rig.axle import Axle
    from geometry.rig.rig import Rig

SHOWN: Final = 10
"""Pairs that a check prints at least, where there are so many."""

MOST_SHOWN: Final = 40
"""Pairs that a check prints at most, unless all are asked for."""

SAMPLE_TITLES: Final = ("Width", "Closest", "Margin", "Closest pair", "Pair with the least margin")

NUMBER_ROOM: Final = 12
"""Width of a column of lengths whose longest is not known yet [characters]."""

PATIENCE: Final = 1.0
"""Time after which work shows its progress [s]."""


def check_lines(found: Study, unit: LengthUnit, *, everything: bool) -> Iterable[str]:
    """The verdict, the axles and the worst pairs, or all."""
    from app.wording import CAUTION

    yield from _verdict_lines(found, unit)
    yield ""
    yield from _table(
        ("Axle", "Width", "Track", "Outer width", "Bump", "Droop", "Lock"),
        [_axle_cells(answer, found.rig.axle(answer.axle), unit) for answer in found.axles],
    )
    measured = list(_measured_rows(found, unit))
    if len(measured) > 1:
        yield ""
        yield from _table(measured[0], measured[1:])
    approaches = found.approaches
    shown = approaches if everything else _worst(approaches)
    if shown:
        yield ""
        yield from _table(
            ("Pair", "Closest", "Wanted", "Verdict", "Where", "Bump left"),
            [_pair_cells(pair, found.rig.axle(pair.axle), unit) for pair in shown],
        )
    rules = list(_rule_rows(found, unit))
    if rules:
        yield ""
        yield from _table(("Axle", "Rule", "Value", "Limit", "Holds", "Widths"), rules)
    yield ""
    yield _count_words(approaches, shown, unit)
    yield from textwrap.wrap(CAUTION, 100)


def _verdict_lines(found: Study, unit: LengthUnit) -> Iterable[str]:
    """The verdict, or the two of them where an axle was measured, each in its colour, and the rules that it breaks."""
    from app.width_rules import KnownRules, broken_sentence, headline
    from app.wording import built_sentence, cut_sentences, planned_sentence, rests_words

    rules = KnownRules()
    if found.as_built is None:
        yield _coloured(headline(found, rules, unit), found.verdict.value)
        return
    broken = broken_sentence(found.rig, rules.broken(found.rig))
    parts = (planned_sentence(found, unit), cut_sentences(found, unit), broken, rests_words(found.rig))
    yield _coloured(" ".join(part for part in parts if part), found.verdict.value)
    yield _coloured(built_sentence(found, unit), found.as_built.sign.value)


def _measured_rows(found: Study, unit: LengthUnit) -> Iterator[tuple[str, ...]]:
    """What was measured beside the plan, below its titles; empty = nothing was."""
    from app.measured_table import TITLES, measured_rows

    if found.as_built is not None:
        yield TITLES
        yield from measured_rows(found.as_built.reports, unit)


def _rule_rows(found: Study, unit: LengthUnit) -> Iterator[tuple[str, ...]]:
    """What bounds the width beside clearance, at the widths that were checked."""
    from app.width_rules import KnownRules, rule_state

    known = KnownRules()
    for answer in found.axles:
        for rule in known.of(found.rig, answer.axle):
            state = rule_state(rule, answer.width, found.rig, unit)
            holds = {True: "yes", False: "no", None: "unknown"}[state.satisfied]
            yield answer.axle, state.name, state.value, state.limit, holds, state.note


def _worst(approaches: tuple[Approach, ...]) -> tuple[Approach, ...]:
    """All that is not clear and the nearest that is, as far as there is room."""
    bad = sum(pair.verdict.value != "clear" for pair in approaches)
    near = [pair for pair in approaches if not pair.beyond]
    return tuple(near[: min(max(bad, SHOWN), MOST_SHOWN)])


def _axle_cells(answer: AxleAnswer, axle: Axle, unit: LengthUnit) -> tuple[str, ...]:
    from app.wording import left_of_words, lock_words
    from geometry.stroke.ends import travel_ends

    ends = travel_ends(axle)
    lengths = (format_length(mm, unit) for mm in (answer.width, answer.track, answer.outer_width))
    travels = (left_of_words(ends.bump, axle.bump, unit), left_of_words(ends.droop, axle.droop, unit))
    return (answer.axle, *lengths, *travels, lock_words(axle))


def _pair_cells(pair: Approach, axle: Axle, unit: LengthUnit) -> tuple[str, ...]:
    from app.wording import NOTHING, bump_left_words, clearance_words, pair_words, pose_words, verdict_words

    return (
        pair_words(pair),
        clearance_words(pair, unit),
        format_wanted(pair.wanted, unit),
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


def curve_lines(rig: Rig, curve: WidthCurve, unit: LengthUnit) -> Iterable[str]:
    """Windows of an axle and the table of its curve."""
    yield from window_lines(rig, curve, unit)
    yield ""
    yield from _table(SAMPLE_TITLES, [_sample_cells(sample, unit) for sample in curve.samples])
    yield ""


def window_lines(rig: Rig, curve: WidthCurve, unit: LengthUnit) -> Iterable[str]:
    """The widths of an axle that clear, and what bounds them."""
    from app.report.content import axle_name, bound_sentences, window_words

    yield f"{axle_name(rig.axle(curve.axle)).capitalize()}, widths that clear: {window_words(curve, unit)}."
    yield from bound_sentences(curve, unit)
    yield from _rule_lines(rig, curve, unit)


def _rule_lines(rig: Rig, curve: WidthCurve, unit: LengthUnit) -> Iterator[str]:
    """The widths that clear and satisfy all other rules, and those of each, where there are any."""
    from app.width_rules import KnownRules, common_spans, common_words, curve_states

    states = curve_states(rig, curve, KnownRules(), unit)
    if len(states) == 1 or not curve.complete or not curve.samples:
        return
    span = (curve.samples[0].width, curve.samples[-1].width)
    yield f"{common_words(states, common_spans(states, *span), span, unit, every=True)}, clearance among them."
    yield from (f"{state.name[:1].upper()}{state.name[1:]}: {state.note}." for state in states[1:])


def _sample_cells(sample: WidthSample, unit: LengthUnit) -> tuple[str, ...]:
    from app.wording import NOTHING, pair_words

    pairs = (pair_words(pair) if pair else NOTHING for pair in (sample.nearest, sample.tightest))
    numbers = (format_clearance(sample.low, unit), format_clearance(sample.margin_low, unit))
    return (format_length(sample.width, unit), *numbers, *pairs)


class SampleLines:
    """The table of a curve, printed while it grows; its columns can only widen on the way."""

    def __init__(self, unit: LengthUnit) -> None:
        self._unit = unit
        self._widths = [0] * len(SAMPLE_TITLES)

    def lines(self, sample: WidthSample) -> Iterable[str]:
        """The line of the next sample, after the titles if it is the first."""
        cells = _sample_cells(sample, self._unit)
        first = not any(self._widths)
        least = (NUMBER_ROOM, NUMBER_ROOM, NUMBER_ROOM, 0, 0)
        rows = [SAMPLE_TITLES, cells] if first else [cells]
        self._widths = [
            max(width, room, *(len(row[column]) for row in rows))
            for column, (width, room) in enumerate(zip(self._widths, least, strict=True))
        ]
        return [_line(row, self._widths) for row in rows]


def _table(titles: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterable[str]:
    widths = [max(len(row[column]) for row in (titles, *rows)) for column in range(len(titles))]
    for row in (titles, *rows):
        yield _line(row, widths)


def _line(row: Sequence[str], widths: Sequence[int]) -> str:
    return "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()


def _coloured(sentence: str, verdict: str) -> str:
    """The sentence with its opening words in colour, where the terminal shows any and nobody minds."""
    if not sys.stdout.isatty() or os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or os.name == "nt":
        return sentence
    colour = {"contact": 31, "unknown": 35, "tight": 33, "clear": 34}[verdict]
    head, colon, rest = sentence.partition(":")
    return f"\x1b[1;{colour}m{head}{colon}\x1b[0m{rest}"


def print_lines(lines: Iterable[str]) -> None:
    """Lines to standard output."""
    for line in lines:
        sys.stdout.write(f"{line}\n")


def write_bytes(data: bytes) -> None:
    """Bytes to standard output, whatever encoding the console has."""
    sys.stdout.flush()
    sys.stdout.buffer.write(data)


class Progress:
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
        self.clear()

    def __call__(self, share: float) -> None:
        """Take the share of the work that is done."""
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

    def clear(self) -> None:
        """Take the progress off the terminal, until it is time again, so that something else can be printed."""
        if self._shown:
            self._say(" " * len(self._shown) + "\r")
            self._shown = ""

    def _say(self, text: str) -> None:
        self._stream.write(f"\r{text}")
        self._stream.flush()
