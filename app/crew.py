"""Work shared out over processes that start afresh and share nothing, so that one that dies takes little with it."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import closing, contextmanager
from dataclasses import dataclass
from itertools import chain, islice
from multiprocessing import get_context, parent_process
from multiprocessing.synchronize import Event
from threading import Thread
from typing import Final, Generic, TypeVar

from app.study import Cancelled, StudyCancelledError
from geometry.errors import GeometryError

AHEAD: Final = 2
"""Tasks under way per process [-], so that none waits while the next is made ready."""

TICK: Final = 0.2
"""Time between two looks at how far work has come [s]."""

DIED: Final = "the process that worked on it ended, perhaps for want of memory"

Task = TypeVar("Task")
Result = TypeVar("Result")
Work = Callable[[Task, Cancelled], Result]
"""A function of a module, for it is done in another process."""


@dataclass(frozen=True, slots=True)
class Failure:
    """A piece of work came to nothing; the reason is a sentence without its full stop."""

    reason: str


def spread(
    work: Work[Task, Result], tasks: Iterable[Task], jobs: int, ticking: Cancelled
) -> Generator[tuple[int, Task, Result | Failure], None, None]:
    """Do the tasks in so many processes, or in this one; yields number, task and result as they are done.

    Tasks are taken from the iterable only a few ahead. What it yields must be closed, so that an end before its time
    ends the processes, too.

    Parameters
    ----------
    ticking : callable
        Called several times a second while there is nothing to yield.

    """
    numbered = enumerate(tasks)
    first = list(islice(numbered, 2))
    everything = chain(first, numbered)
    if jobs == 1 or len(first) < 2:
        for number, task in everything:
            yield number, task, _result(work, task, ticking)
        return
    with closing(_Crew(work, jobs, ticking)) as crew:
        yield from crew.results(everything)


class _Crew(Generic[Task, Result]):
    """The processes, replaced by new ones when one of them dies."""

    def __init__(self, work: Work[Task, Result], jobs: int, ticking: Cancelled) -> None:
        self._work, self._jobs, self._ticking = work, jobs, ticking
        self._context = get_context("spawn")
        self._stop = self._context.Event()
        self._pool = self._new_pool()

    def results(self, tasks: Iterator[tuple[int, Task]]) -> Iterator[tuple[int, Task, Result | Failure]]:
        running: dict[Future[Result | Failure], tuple[int, Task]] = {}
        while True:
            for number, task in islice(tasks, AHEAD * self._jobs - len(running)):
                running[self._submit(task)] = (number, task)
            if not running:
                return
            done, _ = wait(running, TICK, FIRST_COMPLETED)
            self._ticking()
            if any(isinstance(future.exception(), BrokenProcessPool) for future in done):
                yield from self._one_by_one(running)
                running.clear()
            else:
                for future in done:
                    yield *running.pop(future), future.result()

    def close(self) -> None:
        """End the processes, what they are at included."""
        self._stop.set()
        self._pool.shutdown(cancel_futures=True)

    def _one_by_one(
        self, running: dict[Future[Result | Failure], tuple[int, Task]]
    ) -> Iterator[tuple[int, Task, Result | Failure]]:
        """Do what was under way when a process died again, each task alone, so that it shows which of them kills."""
        self._renew()
        for before, (number, task) in running.items():
            future = before
            if before.exception() is not None:
                future = self._submit(task)
                while not wait([future], TICK).done:
                    self._ticking()
            if isinstance(future.exception(), BrokenProcessPool):
                self._renew()
                yield number, task, Failure(DIED)
            else:
                yield number, task, future.result()

    def _submit(self, task: Task) -> Future[Result | Failure]:
        try:
            with _interrupts_held():
                return self._pool.submit(_carry_out, self._work, task)
        except BrokenProcessPool as broken:
            future: Future[Result | Failure] = Future()
            future.set_exception(broken)
            return future

    def _new_pool(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(self._jobs, self._context, _enter, (self._stop,))

    def _renew(self) -> None:
        self._pool.shutdown()
        self._pool = self._new_pool()


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Ctrl+C comes to this process only, and a moment later: a process takes over what is held when it starts."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


# In the processes


_STOP: Final[list[Event]] = []
"""What says that all is to end; there only in a process of a crew."""


def _enter(stop: Event) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _STOP.append(stop)
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """Leave nothing running when the program itself is killed."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _carry_out(work: Work[Task, Result], task: Task) -> Result | Failure:
    cancelled = _STOP[0].is_set
    if cancelled():
        raise StudyCancelledError
    return _result(work, task, cancelled)


def _result(work: Work[Task, Result], task: Task, cancelled: Cancelled) -> Result | Failure:
    try:
        return work(task, cancelled)
    except StudyCancelledError:
        raise
    except GeometryError as refused:
        return Failure(str(refused).rstrip("."))
    except Exception as error:  # noqa: BLE001 - one rig must not end a night's work on a thousand others
        return Failure(f"an error of the program ended the work ({type(error).__name__}: {error})")
