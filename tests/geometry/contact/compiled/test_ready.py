"""What happens until the kernels are there, when they never come, and that nothing else loads the compiler."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from geometry.contact.axle_check import axle_problems, travel_box
from geometry.contact.compiled import jit, ready
from geometry.contact.search import Box, closest_approaches
from tests.laws.random_rigs import random_rig

ROOT = Path(__file__).parents[4]


def run(code: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-W", "error", "-c", code, *arguments]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=120)


def test_nothing_loads_the_compiler_before_it_is_asked_for() -> None:
    code = """
import sys, app.study, geometry.contact.axle_check, geometry.contact.width, geometry.contact.compiled.ready
sys.exit("numba" in sys.modules)
"""
    done = run(code)
    assert done.returncode == 0, done.stderr


def test_before_it_is_ready_the_plain_search_answers() -> None:
    assert not ready.is_ready()
    problem, box = tiny_problem()
    found = ready.closest_approaches(problem.scene, problem.pairs, len(problem.names), box)
    plain = closest_approaches(problem.scene, problem.pairs, len(problem.names), box)
    assert np.array_equal(found.low, plain.low)
    assert np.array_equal(found.high, plain.high)


def test_without_a_compiler_it_says_so_and_the_plain_search_stays(tmp_path: Path) -> None:
    code = """
import sys
from pathlib import Path
sys.modules["numba"] = None
from geometry.contact.compiled import ready
print(ready.prepare(Path(sys.argv[1])))
sys.exit(ready.is_ready())
"""
    done = run(code, str(tmp_path))
    assert (done.returncode, done.stdout) == (0, "Numba is not installed.\n"), done.stderr


def test_an_old_compiler_is_not_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(jit, "VERSION", "0.57.1")
    assert ready.prepare(tmp_path) == "Numba 0.57.1 is too old."
    assert not ready.is_ready()


def test_a_compiler_that_fails_is_not_used(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def broken(folder: Path) -> None:
        raise OSError(f"no room in {folder.name}")

    monkeypatch.setattr(jit, "VERSION", "0.61.0")
    monkeypatch.setattr(jit, "keep_in", broken)
    assert ready.prepare(tmp_path / "full") == "Numba failed: OSError: no room in full"
    assert not ready.is_ready()


@pytest.mark.usefixtures("compiled")
def test_once_ready_the_kernels_answer_where_they_can(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(ready, "compiled_approaches", lambda *_, **__: asked.append("compiled"))
    monkeypatch.setattr(ready.plain, "closest_approaches", lambda *_, **__: asked.append("plain"))
    problem, box = tiny_problem()
    askew = Box(box.middle, box.ways[::-1], box.size[::-1])
    for each in (box, askew):
        ready.closest_approaches(problem.scene, problem.pairs, len(problem.names), each)
    assert asked == ["compiled", "plain"]


@pytest.mark.usefixtures("kernels")
def test_kernels_of_other_sources_are_thrown_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import numba

    monkeypatch.setattr(numba.config, "CACHE_DIR", numba.config.CACHE_DIR)
    (tmp_path / "kernels-of-yesterday").mkdir()
    (tmp_path / "other").mkdir()
    jit.keep_in(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["other"]
    assert Path(numba.config.CACHE_DIR).parent == tmp_path


def test_another_process_loads_what_one_has_compiled(kernels: Path) -> None:
    code = """
import sys
from pathlib import Path
from geometry.contact.compiled import ready
assert ready.prepare(Path(sys.argv[1])) == ""
from geometry.contact.compiled import crossing, search
for kernel in (search.first_look, search.search_groups, crossing.walk_group):
    assert list(kernel.stats.cache_hits.values()) == [1], kernel.stats
    assert not kernel.stats.cache_misses, kernel.stats
sys.exit(not ready.is_ready())
"""
    done = run(code, str(kernels))
    assert done.returncode == 0, done.stderr


def tiny_problem():  # noqa: ANN201
    rig = random_rig(0, bars=3, panels=0)
    return axle_problems(rig, rig.axles[0])[0], travel_box(rig.axles[0])
