"""How the cost of an answer grows: with bars, with how fine it is asked for, and with the directions of travel."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.study import check
from geometry.contact import search as plain
from geometry.contact.axle_check import travel_box
from geometry.contact.compiled import ready
from geometry.contact.search import Box
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from tests.benchmarks.clock import Times, in_turns, say
from tests.benchmarks.page import write_picture, write_table
from tests.benchmarks.pictures import Curve, Picture, rounded
from tests.benchmarks.scaled import scaled_rig
from tests.benchmarks.works import Asked, Search, closest, everything, stepping

pytestmark = pytest.mark.usefixtures("kernels")

BARS = (30, 120, 480, 1_920)
TOLERANCES = (2.0, 1.0, 0.5, 0.25, 0.1, 0.05)
"""Widths of the intervals that are asked for [mm]."""

MOST_GROWTH = 6.0
"""From 120 to 1,920 bars, sixteen times as many, a step of the slider takes at most so many times as long [-]."""

ROUNDS = 5
ALONG = {
    "bars": "bars in the rig",
    "tolerance, mm": "width of the proved interval, millimetres",
    "free to move": "what is free to move",
}
"""Titles of the pictures' axes, by the first column of the help page's tables."""

HEAD = ("without compiler, ms", "compiled, ms")


@pytest.fixture
def long_rig() -> Rig:
    return next(read_rig(path) for path in demo_rigs() if "long" in path.stem)


def test_growth_with_bars(long_rig: Rig, request: pytest.FixtureRequest) -> None:
    rigs = {bars: scaled_rig(long_rig, bars) for bars in BARS}
    steered = next(axle for axle in long_rig.axles if axle.steering is not None)
    axles = {bars: rig.axle(steered.id) for bars, rig in rigs.items()}
    numpy = in_turns({str(bars): stepping(rig, axles[bars]) for bars, rig in rigs.items()}, ROUNDS)
    request.getfixturevalue("compiled")
    compiled = in_turns({str(bars): stepping(rig, axles[bars]) for bars, rig in rigs.items()}, ROUNDS)
    print(f"\nOne step of the width slider, {steered.id} axle, by the number of bars")
    for bars, rig in rigs.items():
        found = [a for a in check(rig).approaches if a.axle == steered.id]
        near = sum(not approach.beyond for approach in found)
        say(f"{bars} bars, {len(found)} pairs, {near} near, numpy", numpy[str(bars)])
        say(f"{bars} bars, {len(found)} pairs, {near} near, compiled", compiled[str(bars)])
    for name, times in (("numpy", numpy), ("compiled", compiled)):
        print(f"  from 120 to 1,920 bars, {name}: {growth(times):.2f} times")
    keep(request, "bars", [f"{bars:,}".replace(",", " ") for bars in BARS], BARS, numpy, compiled, "speed-bars.png")
    assert growth(compiled) <= MOST_GROWTH


def growth(times: dict[str, Times]) -> float:
    return statistics.median(times["1920"]) / statistics.median(times["120"])


def test_growth_with_fineness(long_rig: Rig, request: pytest.FixtureRequest) -> None:
    asked = [each for axle in long_rig.axles for each in everything(long_rig, axle)]
    numpy, compiled = both({str(tolerance): (asked, tolerance) for tolerance in TOLERANCES})
    print("\nSearch of all pairs of the long rig, by how narrow each interval must be; overlaps to 5 % of their depth")
    for tolerance in map(str, TOLERANCES):
        say(f"{tolerance} mm, numpy", numpy[tolerance])
        say(f"{tolerance} mm, compiled", compiled[tolerance])
    labels = [f"{tolerance:g}" for tolerance in TOLERANCES]
    keep(request, "tolerance, mm", labels, TOLERANCES, numpy, compiled, "speed-tolerance.png")


def test_growth_with_directions(long_rig: Rig, request: pytest.FixtureRequest) -> None:
    steered = next(axle for axle in long_rig.axles if axle.steering is not None)
    ways = {"1": "one wheel", "2": "both wheels", "3": "and steering"}
    boxes = {"1": held(steered, 1), "2": held(steered, 2), "3": travel_box(steered)}
    works = {key: ([(p, box) for p, _ in everything(long_rig, steered)], 0.25) for key, box in boxes.items()}
    numpy, compiled = both(works)
    print(f"\nSearch of all pairs of the long rig's {steered.id} axle, by the directions that it may move in")
    for key, words in ways.items():
        say(f"{key}: {words}, numpy", numpy[key])
        say(f"{key}: {words}, compiled", compiled[key])
    keep(request, "free to move", list(ways.values()), (1, 2, 4), numpy, compiled, "speed-directions.png")


def held(axle: Axle, free: int) -> Box:
    """The axle's poses with all but the first freedoms at ride height and straight ahead."""
    box = travel_box(axle)
    middle, size = box.middle.copy(), box.size.copy()
    middle[free : len(size)], size[free:] = 0.0, 0.0
    assert np.array_equal(box.ways, np.eye(4)[: len(size)])
    return replace(box, middle=middle, size=size)


def both(works: dict[str, tuple[Asked, float]]) -> tuple[dict[str, Times], dict[str, Times]]:
    """Times of the plain and the compiled search, under the works' own names."""

    def timed(search: Search, rounds: int) -> dict[str, Times]:
        return in_turns(
            {
                name: partial(closest, partial(search, tolerance=tolerance), asked)
                for name, (asked, tolerance) in works.items()
            },
            rounds,
        )

    return timed(plain.closest_approaches, ROUNDS), timed(ready.compiled_approaches, ROUNDS)


def keep(
    request: pytest.FixtureRequest,
    what: str,
    labels: Sequence[str],
    places: Sequence[float],
    numpy: dict[str, Times],
    compiled: dict[str, Times],
    picture: str,
) -> None:
    """Put the medians into the help page, when that is asked for."""
    if not request.config.getoption("--write-help"):
        return
    medians = [[statistics.median(times) for times in each.values()] for each in (numpy, compiled)]
    rows = [[label, rounded(one), rounded(two)] for label, one, two in zip(labels, *medians, strict=True)]
    write_table([[what, *HEAD], *rows])
    request.getfixturevalue("qapp")
    curves = [Curve("without compiler", medians[0], strong=False), Curve("compiled", medians[1], strong=True)]
    write_picture(Picture(ALONG[what], places, labels, curves), picture)
