"""The guaranteed search beside grids of poses, in the same run on the same tires and bars.

The grid has `GRID` travels of each side and, on a steered axle, `STEERS` steers. Both are asked for the same: each tire
against each bar, by how much it clears or overlaps, and beyond FAR only that it is beyond. What the grids need
beforehand is not counted for them; what the search needs for a new width is counted for the search.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable
from functools import partial
from itertools import starmap
from pathlib import Path

import msgspec
import numpy as np
import pytest

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from geometry.contact import search as plain
from geometry.contact.compiled import ready
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE, FAR
from tests.benchmarks import grids
from tests.benchmarks.clock import Times, in_turns, say
from tests.benchmarks.grids import GRID, STEERS, Grid
from tests.benchmarks.page import write_table
from tests.benchmarks.pictures import rounded
from tests.benchmarks.works import Asked, closest, everything, tires_and_bars
from tests.laws.random_rigs import random_rig

pytestmark = pytest.mark.usefixtures("kernels")

ROUNDS = 5

STORED = Path(__file__).with_name("ratios.json")
"""Time of each search over that of coal's grid, as it was when the file was last renewed [-]."""

SLOWER = 1.5
"""A search fails when its ratio is more than so many times the stored one [-]."""

QUICKER = 100.0
"""The compiled search must be so many times as quick as coal's grid with every pose measured [-]. A grid without the
poses that cannot matter is much quicker than that, and printed beside it."""

FINE = 0.01
"""Width of the intervals that the grids' errors are measured against [mm]."""

RANDOM = 12
"""Random rigs on which the grids' errors are measured, too [-]."""

THEIR_OWN = 5e-3
"""coal's own error in an overlap, by which a grid may come below a proved value [mm]."""

YARDSTICK = "coal, every pose"
SLOWEST = "FCL, every pose"
"""Runs once, after the others."""

ALL_KINDS = "search of all kinds of pairs"
PLAIN = {"search": "this program's search, without compiler", "search, compiled": "this program's search, compiled"}
"""Words of the help page."""


def test_the_search_beside_grids_of_poses(monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest) -> None:
    rig = next(read_rig(path) for path in demo_rigs() if "long" in path.stem)
    over = [grids.tire_grid(rig, axle) for axle in rig.axles]
    like = [tires_and_bars(rig, axle) for axle in rig.axles]
    whole = [asked for axle in rig.axles for asked in everything(rig, axle)]
    ways = ways_of_grids(over)
    searches = ways_of_search("search", like, monkeypatch) | ways_of_search(ALL_KINDS, whole, monkeypatch)
    times = in_turns({name: work for name, work in {**ways, **searches}.items() if name != SLOWEST}, ROUNDS)
    times |= in_turns({SLOWEST: ways[SLOWEST]}, 1)

    count = sum(grid.distances for grid in over)
    print(f"\n{rig.name}: {GRID} x {GRID} poses (x {STEERS} on a steered axle), {count:,} distances")
    for name, work in ways.items():
        measured = sum(number for _, number in work()) if "matter" in name else count
        say(name, times[name], f"   {measured:>9,} distances")
    for name in searches:
        pairs = sum(len(problem.names) for problem, _ in (whole if ALL_KINDS in name else like))
        say(name, times[name], f"   {pairs:>9,} pairs, each proved to {CLEARANCE} mm or 5 % of its overlap")
    say_ratios(times, list(ways))
    if request.config.getoption("--write-help"):
        write_table(compared(times, list(ways)))
    hold_to_stored(times, list(searches), renew=request.config.getoption("--renew-ratios"))
    assert median_ratio(times, YARDSTICK, "search, compiled") > QUICKER


def ways_of_grids(over: list[Grid]) -> dict[str, Callable[[], list[tuple[grids.Floats, int]]]]:
    """Both axles by each library: every tire against every straight."""
    by_coal, by_fcl = [grids.coal_ready(grid) for grid in over], [grids.fcl_ready(grid) for grid in over]
    both = partial(zip, over, strict=True)
    return {
        YARDSTICK: lambda: list(starmap(grids.every_pose, both(by_coal))),
        "coal, poses that can matter, nearest first": lambda: list(starmap(grids.nearest_first, both(by_coal))),
        SLOWEST: lambda: list(starmap(grids.every_pose, both(by_fcl))),
        "FCL, poses that can matter, nearest first": lambda: list(starmap(grids.nearest_first, both(by_fcl))),
        "numpy, every pose": lambda: list(map(grids.every_pose_by_numpy, over)),
        "numpy, poses that can matter": lambda: list(map(grids.near_by_numpy, over)),
    }


def ways_of_search(name: str, asked: Asked, monkeypatch: pytest.MonkeyPatch) -> dict[str, Callable[[], object]]:
    def on(threads: int) -> None:
        monkeypatch.setattr(ready, "THREADS", threads)
        closest(ready.compiled_approaches, asked)

    return {
        name: lambda: closest(plain.closest_approaches, asked),
        f"{name}, compiled, one thread": lambda: on(1),
        f"{name}, compiled": lambda: on(2),
    }


def say_ratios(times: dict[str, Times], ways: list[str]) -> None:
    searches = ("search", "search, compiled, one thread", "search, compiled")
    print("  So many times as long as a search of the same pairs, medians (best times):")
    print(f"    {'':<50}" + "".join(f"{search:>32}" for search in searches))
    for name in ways:
        ratios = [
            f"{median_ratio(times, name, search):.1f} ({min(times[name]) / min(times[search]):.1f})"
            for search in searches
        ]
        print(f"    {name:<50}" + "".join(f"{ratio:>32}" for ratio in ratios))


def compared(times: dict[str, Times], ways: list[str]) -> list[list[str]]:
    """Rows for the help page."""
    rows = [["way", "time, ms", "times the compiled search"]]
    for name in [*ways, "search", "search, compiled"]:
        ratio = rounded(median_ratio(times, name, "search, compiled"))
        rows.append([PLAIN.get(name, name), rounded(statistics.median(times[name])), ratio])
    return rows


def median_ratio(times: dict[str, Times], slow: str, quick: str) -> float:
    return statistics.median(times[slow]) / statistics.median(times[quick])


def hold_to_stored(times: dict[str, Times], searches: list[str], *, renew: bool) -> None:
    """Ratios of the best times, and of one thread to one thread, which other work on the machine moves least."""
    held = [name for name in searches if "compiled" not in name or "one thread" in name]
    now = {name: min(times[name]) / min(times[YARDSTICK]) for name in held}
    if renew:
        STORED.write_bytes(msgspec.json.format(msgspec.json.encode(now), indent=2) + b"\n")
    stored = msgspec.json.decode(STORED.read_bytes(), type=dict[str, float])
    print(f"  Of the time of the grid '{YARDSTICK}', now and as stored; more than {SLOWER} times that fails:")
    for name, ratio in now.items():
        print(f"    {name:<50}   {ratio:9.5f}   stored {stored[name]:9.5f}   {ratio / stored[name]:5.2f} times")
    slower = [name for name, ratio in now.items() if ratio > SLOWER * stored[name]]
    assert slower == []


def test_the_errors_of_grids_beside_the_guaranteed_tolerance() -> None:
    print(f"\nError of the {GRID} x {GRID} (x {STEERS}) grid on tires and bars that come within {FAR:.0f} mm")
    print("  rig                             axles   pairs      worst   over 1 mm   over 0.25 mm   contacts missed")
    for path in demo_rigs():
        say_errors(read_rig(path).name, [read_rig(path)])
    say_errors(f"{RANDOM} random rigs", [random_rig(seed) for seed in range(RANDOM)])
    print(f"  The search: {CLEARANCE} mm, proved, or 5 % of an overlap's depth; it cannot miss a contact.")


def say_errors(name: str, rigs: list[Rig]) -> None:
    axles = [(rig, axle) for rig in rigs for axle in rig.axles]
    found = [errors(rig, axle) for rig, axle in axles]
    error, missed = np.concatenate([error for error, _ in found]), sum(missed for _, missed in found)
    print(
        f"  {name:<31} {len(axles):5} {len(error):7} {error.max(initial=0.0):7.2f} mm {np.sum(error > 1.0):11}"
        f" {np.sum(error > CLEARANCE):14} {missed:17}"
    )


def errors(rig: Rig, axle: Axle) -> tuple[grids.Floats, int]:
    """By how much the grid is too high where a tire comes near a bar [mm], and how many contacts it misses."""
    asked = tires_and_bars(rig, axle)
    proved = closest(ready.compiled_approaches, [asked])[0]
    fine = closest(partial(ready.compiled_approaches, overlap_share=0.0, tolerance=FINE), [asked])[0]
    met = on_grid(grids.tire_grid(rig, axle))
    assert (met - proved.low).min(initial=0.0) > -THEIR_OWN
    near = (fine.high < FAR) & fine.settled & np.isfinite(met)
    return (met - fine.high)[near], int(np.sum((met > 0.0) & (fine.high < 0.0)))


def on_grid(grid: Grid) -> grids.Floats:
    """Clearance of each pair by coal's grid, in the order of the search's groups; infinite = far [mm]."""
    return grid.by_bar(grids.nearest_first(grid, grids.coal_ready(grid))[0]).ravel()
