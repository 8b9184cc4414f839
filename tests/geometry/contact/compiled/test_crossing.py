"""Both walks find the same first contact, along travels and along the width."""

from __future__ import annotations

from pathlib import Path

import msgspec
import numpy as np
import pytest

from geometry.contact import axle_check, width
from geometry.contact.axle_check import axle_problems, check_axle
from geometry.contact.compiled import ready
from geometry.contact.crossing import Crossing, first_crossing
from geometry.contact.search import Box
from geometry.contact.width import width_sample, width_windows
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from tests.laws.random_rigs import random_rig
from tests.laws.strokes import limited

pytestmark = pytest.mark.usefixtures("kernels")

ROUNDING = 1e-3
"""Of a place on the way [mm]: that of a distance, over how little it may change on the way."""

DEMO_RIGS = sorted((Path(__file__).parents[4] / "assets").glob("*.rig.json"))


@pytest.fixture
def walks(monkeypatch: pytest.MonkeyPatch) -> list[Crossing]:
    """Has every walk done both ways, compares what they say, and keeps it."""
    found: list[Crossing] = []

    def both(*of: object, **asked: object) -> Crossing:
        assert ready._covers_way(of[3])  # type: ignore[arg-type]
        plain = first_crossing(*of, **asked)  # type: ignore[arg-type]
        compiled = ready.compiled_crossing(*of, **asked)  # type: ignore[arg-type]
        assert_same(plain, compiled)
        found.append(compiled)
        return compiled

    for module in (axle_check, width):
        monkeypatch.setattr(module, "first_crossing", both)
    return found


def assert_same(plain: Crossing, compiled: Crossing) -> None:
    assert compiled.settled.all()
    assert np.all(compiled.low <= compiled.high)
    assert np.all(compiled.low <= plain.high + ROUNDING)
    assert np.all(plain.low <= compiled.high + ROUNDING)


def walk_everything(rig: Rig, axle: Axle, reach: float) -> None:
    """All contact starts of an axle, and the edges of its windows."""
    check_axle(rig, axle)
    widths = np.linspace(axle.width - reach, axle.width + reach, 5)
    samples = [width_sample(rig, msgspec.structs.replace(axle, width=float(each))) for each in widths]
    width_windows(rig, axle, samples)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_random_rigs_meet_at_the_same_place(seed: int, walks: list[Crossing]) -> None:
    rig = random_rig(seed, bars=8, panels=2)
    walk_everything(rig, rig.axles[0], 60.0)
    assert any(np.isfinite(each.high).any() for each in walks)


@pytest.mark.parametrize("path", DEMO_RIGS, ids=lambda path: path.stem)
def test_demo_rigs_meet_at_the_same_place(path: Path, walks: list[Crossing]) -> None:
    rig = msgspec.json.decode(path.read_bytes(), type=Rig)
    walk_everything(rig, rig.axles[0], 250.0)
    assert any(np.isfinite(each.high).any() for each in walks)


@pytest.mark.parametrize("seed", [1, 2])
def test_both_walk_only_where_shocks_stops_and_straps_let_the_axle_go(seed: int, walks: list[Crossing]) -> None:
    rig = random_rig(seed, bars=8, panels=2)
    axle = limited(rig.axles[0], np.random.default_rng(seed))
    walk_everything(rig, axle, 60.0)
    assert any(np.isfinite(each.high).any() for each in walks)


def starts(seed: int) -> tuple[tuple[object, ...], Box]:
    """Everything that the first random problem with contact asks of a walk upward, both wheels rising."""
    rig = random_rig(seed)
    axle = rig.axles[0]
    problem = axle_problems(rig, axle)[0]
    bump = axle.bump / 2.0
    box = Box(np.array([bump, bump, 0.0, 0.0]), np.array([[1.0, 1.0, 0.0, 0.0]]), np.array([bump]))
    return (problem.scene, problem.pairs, len(problem.names)), box


def test_the_pair_given_is_one_of_the_group() -> None:
    (scene, pairs, groups), box = starts(1)
    found = ready.compiled_crossing(scene, pairs, groups, box)  # type: ignore[arg-type]
    met = np.isfinite(found.low)
    assert met.any()
    assert np.array_equal(pairs.group[found.pair[met]], np.flatnonzero(met))  # type: ignore[attr-defined]


def test_told_to_give_up_it_proves_nothing_and_says_so() -> None:
    of, box = starts(1)
    full = ready.compiled_crossing(*of, box)  # type: ignore[arg-type]
    early = ready.compiled_crossing(*of, box, give_up=lambda: True)  # type: ignore[arg-type]
    assert not early.settled.all()
    assert np.all(early.low <= full.high)
    assert np.all(full.low <= early.high)


def test_too_many_cells_leave_bounds_that_hold_and_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    of, box = starts(1)
    full = ready.compiled_crossing(*of, box)  # type: ignore[arg-type]
    monkeypatch.setattr(ready, "MOST_CELLS", 60)
    few = ready.compiled_crossing(*of, box)  # type: ignore[arg-type]
    assert not few.settled.all()
    assert np.all(few.low <= full.high + ROUNDING)
    assert np.all(full.low <= few.high + ROUNDING)


@pytest.mark.parametrize(
    ("ways", "covered"),
    [
        ([[1, 1, 0, 0]], True),
        ([[1, -0.7, 0, 0], [0, 0, 1, 0]], True),
        ([[0, 0, 0, -1], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0]], True),
        ([[0, 0, 1, 0]], False),
        ([[1, 0, 0, 1]], False),
        ([[0, 1, 0, 0], [1, 0, 0, 0]], False),
        ([[0, 0, 0, 1], [1, 1, 0, 0]], False),
    ],
)
def test_it_knows_which_ways_it_can_walk(ways: list[list[float]], covered: bool) -> None:
    assert ready._covers_way(Box(np.zeros(4), np.array(ways, dtype=float), np.ones(len(ways)))) == covered


@pytest.mark.usefixtures("compiled")
def test_once_ready_contact_starts_come_from_the_kernel(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(ready, "compiled_crossing", lambda *_, **__: asked.append("compiled"))
    monkeypatch.setattr(ready.plain_crossing, "first_crossing", lambda *_, **__: asked.append("plain"))
    of, box = starts(1)
    askew = Box(box.middle, np.array([[0.0, 0.0, 1.0, 0.0]]), box.size)
    for each in (box, askew):
        ready.first_crossing(*of, each)  # type: ignore[arg-type]
    assert asked == ["compiled", "plain"]
