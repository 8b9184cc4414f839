"""How long the answers take, in numpy and compiled; what they are compared with is in test_grids."""

from __future__ import annotations

import statistics
from functools import partial
from pathlib import Path

import pytest

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.study import check, travel_map, width_curve
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from tests.benchmarks.clock import Times, milliseconds, say
from tests.benchmarks.page import write_table
from tests.benchmarks.pictures import rounded
from tests.benchmarks.works import stepping

SLIDER_STEP_MS = 150.0
"""One step of the slider on the long rig must stay under this in numpy on two cores [ms]."""


@pytest.mark.parametrize("path", demo_rigs(), ids=lambda path: path.stem)
def test_whole_travel_search_slider_step_curve_and_map(path: Path, request: pytest.FixtureRequest) -> None:
    rig = read_rig(path)
    pairs = check(rig).approaches
    near = sum(not approach.beyond for approach in pairs)
    print(f"\n{rig.name}, {len(rig.bars)} drawn bars: {len(pairs)} pairs, {near} nearer than FAR; without compiler")
    plain = answers(rig)
    request.getfixturevalue("compiled")
    print(f"{rig.name}, compiled")
    compiled = answers(rig)
    if "long" in path.stem:
        assert all(statistics.median(plain[what]) < SLIDER_STEP_MS for what in plain if "slider" in what)
        if request.config.getoption("--write-help"):
            medians = [(what, statistics.median(plain[what]), statistics.median(compiled[what])) for what in plain]
            rows = [[what, rounded(one), rounded(two)] for what, one, two in medians]
            write_table([["what", "without compiler, ms", "compiled, ms"], *rows])


def answers(rig: Rig) -> dict[str, Times]:
    """Times of every kind of answer, printed."""
    times = {"check of the whole rig": milliseconds(lambda: check(rig))}
    for axle in rig.axles:
        name, low, high = axle.id, axle.width - 254.0, axle.width + 254.0
        times[f"one step of the width slider, {name} axle"] = milliseconds(stepping(rig, axle), 4)
        times[f"width curve and window over 20 in, {name} axle"] = milliseconds(
            partial(width_curve, rig, name, low, high), 2
        )
        times[f"travel map 41 × 41, {name} axle"] = milliseconds(partial(travel_map, rig, name), 2)
    times["an axle's poses over its travel, from nothing"] = milliseconds(partial(fresh_pose_map, rig.axles[0]))
    for what, each in times.items():
        say(what, each)
    return times


def fresh_pose_map(axle: Axle) -> None:
    pose_map.cache_clear()
    pose_map(linkage_of(axle))
