"""Keeps the answers up with the rig: searches off the interface thread, newest first, the rest when idle.

One search runs at a time on an immutable rig, on a thread of its own. Only while a gesture is under way, and a search
takes less than a picture, it is done on the interface thread just before painting: handing it over would cost as much
as the search, and the picture would be painted twice. The check of what is shown now goes first; width curve and
travel map of the axle that is looked at follow once nothing has changed for a moment. What comes back is handed to
the document, which drops what is stale.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Event
from time import perf_counter, thread_time
from typing import Final, Literal

from PySide6.QtCore import QObject, QThread, QTimer, Signal

from app import as_built, study
from app.document import Document
from app.reach import usual_widths
from app.study import Study, StudyCancelledError
from geometry.contact.findings import PairName, WidthCurve
from geometry.errors import GeometryError
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

log = logging.getLogger(__name__)

IDLE_MS: Final = 300
"""Quiet time before curve and map are searched [ms]: longer than the pause between two steps of a drag."""

REST_MS: Final = 40
"""A gesture that has not moved for this rests, and what its quick answers leave out is searched [ms]: two pictures."""

HERE_MS: Final = 12.0
"""A search that takes more on the interface thread leaves too little of a picture for the painting [ms of its time]:
on a busy machine the other thread would be no quicker."""

LATEST_MS: Final = 50.0
"""A search on the interface thread is given up after this, and done on the other one [ms]."""

ELSEWHERE_S: Final = 0.5
"""So long all searches are done on the other thread after one that took too long [s]: a slow rig, or a busy machine,
costs a picture twice a second at most."""


STOPPED: Final = "stopped before the whole travel was searched."


@dataclass(frozen=True, slots=True)
class Job:
    """One search on a snapshot."""

    kind: Literal["check", "curve", "map", "trial", "lock", "prepare"]
    rig: Rig
    revision: int
    previous: Study | None = None
    in_short: tuple[PairName, ...] | None = None
    axle: str = ""
    low: float = 0.0
    high: float = 0.0
    width: float = 0.0
    folder: Path = Path()
    cancel: Event = field(default_factory=Event, compare=False)


class Searcher(QObject):
    """Runs `app.as_built` and `app.study` for a document.

    Attributes
    ----------
    idle_ms : int
        Quiet time before curve and map are searched [ms].

    Signals
    -------
    busy_changed(bool)
        A search has begun, or none runs any more.
    progressed(float)
        Share of the running check that is done, 0 to 1.
    check_failed(int, str), curve_failed(str, str)
        A search of a revision, or of an axle's curve, ended without an answer; one sentence says why.

    """

    busy_changed = Signal(bool)
    progressed = Signal(float)
    check_failed = Signal(int, str)
    curve_failed = Signal(str, str)
    _job_given = Signal(object)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._running: Job | None = None
        self._waiting: Job | None = None
        self._failed: list[Job] = []
        self._kernels: Path | None = None
        self._stopped = False
        self._elsewhere_until = 0.0
        self._soon = QTimer(self, singleShot=True, interval=0)
        self._soon.timeout.connect(self._search_here)
        self._whole = QTimer(self, singleShot=True, interval=REST_MS)
        self._whole.timeout.connect(self._search_whole)
        self._idle = QTimer(self)
        self._idle.setSingleShot(True)
        self._idle.setInterval(IDLE_MS)
        self._idle.timeout.connect(self._start_next)
        self._thread = QThread(self)
        self._worker = _Worker()
        self._worker.moveToThread(self._thread)
        self._job_given.connect(self._worker.run)
        self._worker.ended.connect(self._take)
        self._worker.partial_found.connect(self._take_partial)
        self._worker.progressed.connect(self.progressed)
        document.rig_changed.connect(self.check)
        document.active_axle_changed.connect(self._idle.start)
        document.free_lock_asked.connect(self._hurry)
        document.undo_stack.indexChanged.connect(self._wait)

    @property
    def idle_ms(self) -> int:
        """Quiet time before curve and map are searched [ms]."""
        return self._idle.interval()

    @idle_ms.setter
    def idle_ms(self, value: int) -> None:
        self._idle.setInterval(value)

    def _hurry(self) -> None:
        """Somebody waits for the free lock: what nobody waits for so much begins again after it."""
        if self._running is not None and self._running.kind in {"curve", "map", "trial"}:
            self._running.cancel.set()
        self._idle.start()

    def _wait(self, _index: int) -> None:
        """Let the quiet time begin again; the number of the undo step is no time."""
        self._idle.start()

    def check(self) -> None:
        """Search what is shown now."""
        rig, revision = self._document.shown_rig, self._document.revision
        chosen = self._document.selection
        asked_for = (chosen,) if isinstance(chosen, PairName) else ()
        in_short = asked_for if self._document.is_previewing else None
        self._waiting = Job("check", rig, revision, previous=self._document.last_study, in_short=in_short)
        self._whole.stop()
        # A drag would never see an answer if each of its steps ended the search of the last one.
        if self._running is not None and not (self._running.kind == "check" and self._document.is_previewing):
            self._running.cancel.set()
        self._idle.start()
        if self._document.is_previewing and _is_quick() and perf_counter() > self._elsewhere_until:
            self._soon.start()
            return
        self._soon.stop()
        self._start_next()

    def answer_now(self) -> None:
        """Search on this thread what is shown now, if a gesture waits for it; to be called before painting."""
        if self._soon.isActive():
            self._soon.stop()
            self._search_here()

    def _search_here(self) -> None:
        job, self._waiting = self._waiting, None
        if job is None:
            return
        began, spent = perf_counter(), thread_time()
        answer, problem = _answer(
            job,
            lambda: as_built.check(
                job.rig,
                revision=job.revision,
                previous=self._document.last_study,
                trusted=True,
                in_short=job.in_short,
                cancelled=lambda: perf_counter() - began > LATEST_MS / 1000.0,
            ),
        )
        if job.cancel.is_set() or thread_time() - spent > HERE_MS / 1000.0:
            self._elsewhere_until = perf_counter() + ELSEWHERE_S
        if job.cancel.is_set():
            self._waiting = replace(job, cancel=Event())
        elif problem:
            self._note_failure(job, problem)
        elif isinstance(answer, Study):
            self._take_study(answer)
        self._start_next()

    def _take_study(self, answer: Study) -> bool:
        if answer.in_short:
            self._whole.start()
        return self._document.take_study(answer)

    def _search_whole(self) -> None:
        """Find what the answer in short has left out, once the gesture rests or has ended."""
        document = self._document
        if document.study is not None and document.study.in_short and self._waiting is None:
            self._waiting = Job("check", document.shown_rig, document.revision, previous=document.last_study)
            if self._running is not None and self._running.kind in {"curve", "map", "trial", "lock"}:
                self._running.cancel.set()
            self._start_next()

    @property
    def is_checking(self) -> bool:
        """Whether a check is under way or waits for its turn."""
        return self._waiting is not None or (self._running is not None and self._running.kind == "check")

    def stop_check(self) -> None:
        """Give up the check of what is shown; it is not established then, and not checked again unasked."""
        if not self.is_checking or self._document.study is not None:
            return
        self._waiting = None
        if self._running is not None:
            self._running.cancel.set()
        self.check_failed.emit(self._document.revision, STOPPED)

    def prepare(self, kernels: Path) -> None:
        """Load compiled kernels when nothing else is to do; from then on searches run compiled."""
        self._kernels = kernels
        self._start_next()

    def stop(self) -> None:
        """End the running search and the thread; the searcher cannot be used any more."""
        self._waiting = None
        self._stopped = True
        self._idle.stop()
        self._soon.stop()
        self._whole.stop()
        if self._running is not None:
            self._running.cancel.set()
        self._thread.quit()
        self._thread.wait()

    def _start_next(self) -> None:
        if self._running is not None or self._stopped or self._soon.isActive():
            return
        job, self._waiting = self._waiting or self._idle_job(), None
        if job is None:
            self.busy_changed.emit(False)
            return
        self._running = job
        self._thread.start()
        self.busy_changed.emit(True)
        self._job_given.emit(job)

    def _idle_job(self) -> Job | None:
        """What is missing when we rest: kernels; curve, map and trials of the axle that is looked at; others."""
        document = self._document
        if self._idle.isActive() or document.study is None or document.study.in_short:
            return None
        if self._kernels is not None:
            return Job("prepare", document.shown_rig, document.revision, folder=self._kernels)
        bound = {answer.axle for answer in document.study.axles if answer.problem}
        others = [axle.id for axle in document.shown_rig.axles if axle.id != document.active_axle]
        wanted = [self._lock_job(document.active_axle), self._curve_job(document.active_axle)]
        wanted += [self._map_job(document.active_axle)]
        wanted += [self._trial_job(document.active_axle), *map(self._curve_job, others), *map(self._trial_job, others)]
        return next((job for job in wanted if job and job.axle not in bound and job not in self._failed), None)

    def _curve_job(self, axle: str) -> Job | None:
        document, rig = self._document, self._document.shown_rig
        curve, described = document.width_curve(axle), rig.axle(axle)
        if curve is not None and curve.complete and reaches(curve, described.width):
            return None
        low, high = curve_range(curve, described)
        return Job("curve", rig, document.revision, axle=axle, low=low, high=high)

    def _map_job(self, axle: str) -> Job | None:
        document = self._document
        if document.travel_map(axle) is not None:
            return None
        return Job("map", document.shown_rig, document.revision, axle=axle)

    def _lock_job(self, axle: str) -> Job | None:
        document = self._document
        if not document.wants_free_lock(axle) or document.shown_rig.axle(axle).steering is None:
            return None
        return Job("lock", document.shown_rig, document.revision, axle=axle)

    def _trial_job(self, axle: str) -> Job | None:
        document, rig = self._document, self._document.shown_rig
        known = document.trials(axle)
        width = next((width for width in rig.axle(axle).trial_widths if width not in known), None)
        return None if width is None else Job("trial", rig, document.revision, axle=axle, width=width)

    def _take(self, job: Job, answer: object, problem: str) -> None:
        self._running = None
        if problem:
            self._note_failure(job, problem)
        elif answer is not None:
            self._deliver(job, answer)
        elif job.kind == "lock" and not job.cancel.is_set():
            self._failed = [*self._failed[-8:], job]  # there is none
        self._start_next()

    def _deliver(self, job: Job, answer: object) -> None:
        document = self._document
        if isinstance(answer, WidthCurve) and not answer.complete:
            self._failed = [*self._failed[-8:], job]  # it will not get any better
        take: dict[str, Callable[[], bool]] = {
            "check": lambda: self._take_study(answer),  # type: ignore[arg-type]
            "curve": lambda: document.take_curve(job.rig, answer),  # type: ignore[arg-type]
            "map": lambda: document.take_travel_map(job.revision, answer),  # type: ignore[arg-type]
            "trial": lambda: document.take_trial(job.rig, job.axle, job.width, answer),  # type: ignore[arg-type]
            "lock": lambda: document.take_free_lock(job.revision, answer),  # type: ignore[arg-type]
            "prepare": lambda: self._note_prepared(answer),
        }
        take[job.kind]()

    def _note_prepared(self, problem: object) -> bool:
        self._kernels = None
        if problem:
            log.warning("The search stays as it is: %s", problem)
        return not problem

    def _note_failure(self, job: Job, problem: str) -> None:
        if job.kind == "check":
            self.check_failed.emit(job.revision, problem)
            return
        if job.kind == "trial":
            self._document.take_trial(job.rig, job.axle, job.width, problem)
            return
        self._failed = [*self._failed[-8:], job]
        if job.kind == "curve":
            self.curve_failed.emit(job.axle, problem)

    def _take_partial(self, job: Job, curve: WidthCurve) -> None:
        if not job.cancel.is_set():
            self._document.take_curve(job.rig, curve)


def _is_quick() -> bool:
    """Whether searches run compiled."""
    from geometry.contact.compiled import ready

    return ready.is_ready()


def curve_range(curve: WidthCurve | None, axle: Axle) -> tuple[float, float]:
    """Range of widths to search [mm]: that of the curve there is while the width lies in it, else around the width."""
    if curve is not None and reaches(curve, axle.width):
        return curve.samples[0].width, curve.samples[-1].width
    return usual_widths(axle)


def reaches(curve: WidthCurve, width: float) -> bool:
    """Whether a curve says anything about a width."""
    return bool(curve.samples) and curve.samples[0].width <= width <= curve.samples[-1].width


def _answer(job: Job, search: Callable[[], object]) -> tuple[object, str]:
    """What a search finds, or why it finds nothing; a search that gave up has its job cancelled."""
    try:
        return search(), ""
    except GeometryError as refused:
        return None, str(refused)
    except StudyCancelledError:
        job.cancel.set()
        return None, ""
    except Exception:
        log.exception("The %s of revision %d failed", job.kind, job.revision)
        return None, "The search ended unexpectedly; the log has the details."


class _Worker(QObject):
    """Lives on the search thread; touches neither document nor widgets."""

    ended = Signal(object, object, str)
    partial_found = Signal(object, object)
    progressed = Signal(float)

    def run(self, job: Job) -> None:
        """Do one job and report its end in every case."""
        answer, problem = (None, "") if job.cancel.is_set() else _answer(job, lambda: self._search(job))
        self.ended.emit(job, None if job.cancel.is_set() else answer, problem)

    def _search(self, job: Job) -> object:
        cancelled = job.cancel.is_set
        if job.kind == "check":
            return as_built.check(
                job.rig,
                revision=job.revision,
                previous=job.previous,
                in_short=job.in_short,
                trusted=True,
                progress=self.progressed.emit,
                cancelled=cancelled,
            )
        if job.kind == "prepare":
            from geometry.contact.compiled import ready

            return ready.prepare(job.folder)
        if job.kind == "trial":
            at_width = study.with_width(job.rig, job.axle, job.width)
            return study.check(at_width, only=job.axle, cancelled=cancelled).axles[0]
        if job.kind == "map":
            return study.travel_map(job.rig, job.axle, cancelled=cancelled)
        if job.kind == "lock":
            return study.free_lock(job.rig, job.axle, cancelled=cancelled)

        def pass_on(curve: WidthCurve) -> None:
            self.partial_found.emit(job, curve)

        return study.width_curve(job.rig, job.axle, job.low, job.high, partial=pass_on, cancelled=cancelled)
