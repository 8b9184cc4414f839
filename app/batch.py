"""Many widths and many rigs over all cores: processes that share nothing, and results as they come.

Work is sent out in stretches, some widths of one axle each, so that a process builds the axle's pose map and tables
once for all of them. No more is under way than keeps everyone busy: a thousand rigs take no more memory than a few.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, field, replace
from hashlib import sha256
from math import floor
from pathlib import Path
from time import perf_counter
from typing import Final, Protocol, Self

from app import study
from app.crew import Failure, spread
from app.files.assets import RIG_SUFFIX
from app.files.results import Key, StudyRecord, json_line, key_of, record_of
from app.files.rig_file import RigFileError, read_rig_bytes, rig_from_bytes
from app.kernels import load_when_it_pays
from app.study import Cancelled, StudyCancelledError, with_width
from geometry.contact.findings import Verdict, WidthSample
from geometry.errors import RigError
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE

FEWEST_TOGETHER: Final = 4
"""Widths of an axle that are worth a stretch of their own [-]: a process starts in the time of about five."""

MOST_TOGETHER: Final = 8
"""Widths of an axle in one stretch at most [-]: what an interrupt costs, and still well shared out."""

STEP_ROUNDING: Final = 1e-6
"""Share of a step by which one that should end at the last width may miss it [-]: rounding, far below any tape."""

MOST_WIDTHS: Final = 100_000
"""Widths of an axle at most [-]: a tenth of a millimetre over thirty feet."""


class BatchError(ValueError):
    """What is asked for cannot be worked out; the text is one sentence."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some widths of one axle.

    Attributes
    ----------
    rig : Rig
    axle : str
        Its id.
    widths : tuple of float
        Wheel-mount widths [mm].
    file, sha256 : str
        Where the rig comes from, and the digest of its bytes.
    share : float
        Of all the work, up to the end of this [-].

    """

    rig: Rig
    axle: str
    widths: tuple[float, ...]
    file: str = ""
    sha256: str = ""
    share: float = 1.0

    def shared_out(self, jobs: int, before: float = 0.0) -> Iterator[Stretch]:
        """Pieces that keep every process busy, none so short that its tables cost more than its widths.

        Parameters
        ----------
        before : float
            Share of all the work that comes before this.

        """
        together = min(MOST_TOGETHER, max(FEWEST_TOGETHER, -(-len(self.widths) // jobs)))
        for first in range(0, len(self.widths), together):
            widths = self.widths[first : first + together]
            done = (first + len(widths)) / len(self.widths)
            yield replace(self, widths=widths, share=before + done * (self.share - before))


def steps(low: float, high: float, step: float) -> tuple[float, ...]:
    """Widths from `low` on, `step` apart, up to `high` where a step ends there [mm]; `step` is positive.

    Raises
    ------
    BatchError
        When that is none but the first, or more than anybody can want.

    """
    last = (high - low) / step + STEP_ROUNDING
    if last < 1.0:
        raise BatchError("--step must be no more than from --from to --to.")
    if last >= MOST_WIDTHS:
        raise BatchError(f"--step makes more than {MOST_WIDTHS:,} widths; take a larger one.")
    return tuple(min(low + step * index, high) for index in range(floor(last) + 1))


# Widths of one rig


def samples_in_order(
    rig: Rig, axles: Sequence[str], widths: tuple[float, ...], jobs: int, ticking: Cancelled
) -> Generator[tuple[str, WidthSample], None, None]:
    """Closest approach of each axle at each width, in their order, each as soon as it and those before are known.

    Raises
    ------
    BatchError
        When a width cannot be answered; the text is one sentence.

    """
    early: dict[int, tuple[str, tuple[WidthSample, ...]]] = {}
    following = 0
    pieces = (piece for axle in axles for piece in Stretch(rig, axle, widths).shared_out(jobs))
    with closing(spread(sample_widths, pieces, jobs, ticking)) as found:
        for number, piece, samples in found:
            if isinstance(samples, Failure):
                raise BatchError(f"axle {piece.axle}, {_range_words(piece.widths)}: {samples.reason}.")
            early[number] = (piece.axle, samples)
            while following in early:
                axle, ready = early.pop(following)
                yield from ((axle, sample) for sample in ready)
                following += 1


def sample_widths(piece: Stretch, cancelled: Cancelled) -> tuple[WidthSample, ...]:
    """Work of a process: a sample at each width."""
    samples = []
    for width in piece.widths:
        if cancelled():
            raise StudyCancelledError
        load_when_it_pays()
        samples.append(study.width_sample(piece.rig, piece.axle, width))
    return tuple(samples)


# Many rigs


@dataclass(frozen=True, slots=True)
class Request:
    """What to find out about every rig.

    Attributes
    ----------
    paths : tuple of Path
        The rig files.
    widths : tuple of float
        Wheel-mount widths [mm]; empty = as drawn.
    axle : str
        Id of the one axle to look at; empty = all, one after the other.

    """

    paths: tuple[Path, ...]
    widths: tuple[float, ...] = ()
    axle: str = ""


class Store(Protocol):
    """Where results go."""

    def claim(self, key: Key) -> Verdict | None:
        """Verdict of a result that is there already, each to be had once; None = there is none."""

    def write(self, record: StudyRecord) -> None:
        """Take a result."""


class Printed:
    """Results on standard output, a line of JSON each."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        return

    def claim(self, _: Key) -> None:
        """Nothing is there already."""
        return

    def write(self, record: StudyRecord) -> None:
        """Print a result at once."""
        sys.stdout.buffer.write(json_line(record))
        sys.stdout.buffer.flush()


class Reporting(Protocol):
    """Shows how far work has come."""

    def __call__(self, share: float) -> None:
        """Take the share that is done."""

    def tick(self) -> bool:
        """Show it if it is time; True = give up."""


@dataclass
class Tally:
    """What a study found.

    Attributes
    ----------
    verdicts : Counter
        Results by verdict, those from before included.
    before : int
        Results that were there already.
    lost : int
        Pieces of work that came to nothing and left no result, so that another run tries them again.

    """

    verdicts: Counter[str] = field(default_factory=Counter)
    before: int = 0
    lost: int = 0

    def sentence(self, name: str) -> str:
        """All this in words; `name` is that of the file."""
        words = {"clear": "clear", "tight": "tight", "contact": "touching", "unknown": "not established"}
        parts = ", ".join(f"{self.verdicts[verdict]} {word}" for verdict, word in words.items())
        before = f", {self.before} from before" if self.before else ""
        return f"{self.verdicts.total()} results in {name}{before}: {parts}."


def rig_files(places: Iterable[Path]) -> tuple[Path, ...]:
    """Files that are named, and rig files in folders that are named, however deep, each once.

    Raises
    ------
    BatchError
        When one of the places is none, or a folder without a rig file.

    """
    found: dict[str, Path] = {}
    for place in places:
        inside = sorted(place.rglob(f"*{RIG_SUFFIX}")) if place.is_dir() else [place] if place.exists() else []
        if not inside:
            raise BatchError(f"{place} is neither a rig file nor a folder with files that end in {RIG_SUFFIX}.")
        for path in inside:
            found.setdefault(os.path.realpath(path), path)
    return tuple(found.values())


def run_study(request: Request, store: Store, jobs: int, progress: Reporting, complain: Callable[[str], None]) -> Tally:
    """Work out everything that was asked for and is not there yet; `complain` takes sentences about what is lost."""
    outcome = _Outcome(store)
    with closing(spread(check_widths, _stretches(request, outcome, jobs), jobs, progress.tick)) as found:
        for _, piece, records in found:
            if isinstance(records, Failure):
                outcome.tally.lost += 1
                words = f"{piece.file}, axle {piece.axle}, {_range_words(piece.widths)}"
                complain(f"{words}: {records.reason}; run the study again to try once more.")
            else:
                for record in records:
                    outcome.take(record)
            progress(piece.share)
    return outcome.tally


class _Outcome:
    """Results on their way into the store, counted."""

    def __init__(self, store: Store) -> None:
        self.tally = Tally()
        self._store = store

    def is_known(self, key: Key) -> bool:
        verdict = self._store.claim(key)
        if verdict is None:
            return False
        self.tally.verdicts[verdict.value] += 1
        self.tally.before += 1
        return True

    def take(self, record: StudyRecord) -> None:
        self._store.write(record)
        self.tally.verdicts[record.verdict] += 1

    def take_unless_known(self, record: StudyRecord) -> None:
        if record.sha256 is None or not self.is_known(key_of(record)):
            self.take(record)


def check_widths(piece: Stretch, cancelled: Cancelled) -> tuple[StudyRecord, ...]:
    """Work of a process: a check at each width."""
    return tuple(_checked(piece, width, cancelled) for width in piece.widths)


def _checked(piece: Stretch, width: float, cancelled: Cancelled) -> StudyRecord:
    load_when_it_pays()
    start = perf_counter()
    try:
        at_width = with_width(piece.rig, piece.axle, width)
        found = study.check(at_width, only=piece.axle, cancelled=cancelled)
    except RigError as refused:
        return _refusal(piece.file, piece.sha256, str(refused), axle=piece.axle, width=width)
    return record_of(piece.file, piece.sha256, found, perf_counter() - start)


def _stretches(request: Request, outcome: _Outcome, jobs: int) -> Iterator[Stretch]:
    """What is to be worked out; what needs no work goes out on the way."""
    for number, path in enumerate(request.paths):
        file = os.fsencode(path).decode(errors="replace")
        digest = None
        try:
            data = read_rig_bytes(path)
            digest = sha256(data).hexdigest()
            rig = rig_from_bytes(data, path.name)
        except RigFileError as broken:
            outcome.take_unless_known(_refusal(file, digest, str(broken)))
            continue
        axles = [axle for axle in rig.axles if request.axle in {"", axle.id}]
        if not axles:
            known = ", ".join(axle.id for axle in rig.axles)
            problem = f"There is no axle “{request.axle}” in this rig; it has {known}."
            outcome.take_unless_known(_refusal(file, digest, problem, axle=request.axle))
        for index, axle in enumerate(axles):
            wanted = request.widths or (axle.width,)
            widths = tuple(width for width in wanted if not outcome.is_known((digest, axle.id, width)))
            before, until = ((number + done / len(axles)) / len(request.paths) for done in (index, index + 1))
            yield from Stretch(rig, axle.id, widths, file, digest, until).shared_out(jobs, before)


def _refusal(
    file: str, digest: str | None, problem: str, *, axle: str | None = None, width: float | None = None
) -> StudyRecord:
    return StudyRecord(
        file=file,
        sha256=digest,
        axle=axle,
        width_mm=width,
        tolerance_mm=CLEARANCE,
        verdict=Verdict.UNKNOWN.value,
        problem=problem,
    )


def _range_words(widths: Sequence[float]) -> str:
    return f"width {widths[0]:.1f} mm" if len(widths) == 1 else f"widths {widths[0]:.1f} to {widths[-1]:.1f} mm"
