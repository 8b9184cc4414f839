from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from multiprocessing import active_children
from pathlib import Path
from time import monotonic, sleep

import pytest

from app.crew import AHEAD, DIED, Failure, spread
from tests.app.chores import endless, fragile, loaded, square

ROOT = Path(__file__).parents[2]
posix = pytest.mark.skipif(os.name == "nt", reason="signals are another thing there")


def no_tick() -> bool:
    return False


@pytest.mark.parametrize("jobs", [1, 2])
def test_every_task_is_done_once_and_by_no_more_processes_than_asked_for(jobs: int) -> None:
    found = list(spread(square, range(20), jobs, no_tick))
    assert sorted((number, task, result[0]) for number, task, result in found if not isinstance(result, Failure)) == [
        (n, n, n * n) for n in range(20)
    ]
    workers = {result[1] for _, _, result in found if not isinstance(result, Failure)}
    assert len(workers) <= jobs
    assert (os.getpid() in workers) is (jobs == 1)
    assert active_children() == []


def test_a_single_task_starts_no_process() -> None:
    assert list(spread(square, [4], 2, no_tick)) == [(0, 4, (16, os.getpid()))]
    assert list(spread(square, [], 2, no_tick)) == []


def test_tasks_are_taken_only_a_few_ahead() -> None:
    taken = 0

    def tasks() -> Iterator[int]:
        nonlocal taken
        for number in range(1000):
            taken = number + 1
            yield number

    with closing(spread(square, tasks(), 2, no_tick)) as found:
        for done, _ in enumerate(found, start=1):
            assert taken <= done + 2 * AHEAD
            if done == 30:
                break


@posix
def test_a_process_that_dies_costs_only_what_killed_it() -> None:
    found = {task: result for _, task, result in spread(fragile, range(12), 2, no_tick)}
    assert found.pop(3) == Failure(DIED)
    assert found.pop(5) == Failure("an error of the program ended the work (ZeroDivisionError: five)")
    assert found.pop(7) == Failure("axles[0]: is no axle")
    assert found == {number: number for number in (0, 1, 2, 4, 6, 8, 9, 10, 11)}


def test_an_end_before_its_time_ends_the_processes() -> None:
    ticks = iter(range(3))

    def interrupt() -> bool:
        if next(ticks) == 2:
            raise KeyboardInterrupt
        return False

    with pytest.raises(KeyboardInterrupt), closing(spread(endless, range(50), 2, interrupt)) as found:
        next(found)
    assert active_children() == []


def test_the_processes_load_no_qt() -> None:
    for _, _, modules in spread(loaded, range(2), 2, no_tick):
        assert not isinstance(modules, Failure)
        assert "numpy" in modules
        assert modules & {"PySide6", "shiboken6", "pyqtgraph"} == set()


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks at processes the way Linux shows them")
def test_the_processes_end_when_the_program_is_killed() -> None:
    code = (
        "from app.crew import spread\nfrom tests.app.chores import square, endless\n"
        "def main():\n"
        "    for _, _, (_, worker) in spread(square, range(2), 2, lambda: False):\n        print(worker, flush=True)\n"
        "        import time; time.sleep(60)\n"
        "main()"
    )
    with subprocess.Popen([sys.executable, "-c", code], cwd=ROOT, stdout=subprocess.PIPE) as program:
        assert program.stdout is not None
        worker = int(program.stdout.readline())
        assert Path(f"/proc/{worker}").exists()
        program.kill()
    end = monotonic() + 10.0
    while _is_running(worker):
        assert monotonic() < end
        sleep(0.05)


def _is_running(process: int) -> bool:
    try:
        return (
            Path(f"/proc/{process}/stat").read_text(encoding="ascii", errors="replace").split(")")[-1].split()[0] != "Z"
        )
    except OSError:
        return False
