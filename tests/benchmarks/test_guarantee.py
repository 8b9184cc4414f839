"""The guarantee at full length; run with ``python -m pytest tests/benchmarks/test_guarantee.py -s``.

A million random poses over thirty random rigs: none may come below the `low` of any pair, of neither search. Half of
the poses lie anywhere in the travel, its edges and corners included, half of them round the poses that the search calls
worst. Two hundred widths are held to the width curves of both in the same way. See `guarantee`; a small part of it
runs with every change, in ``tests/laws``.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from time import perf_counter

import pytest

from geometry.contact.compiled import ready
from tests.benchmarks.guarantee import ROUNDING, SEARCHES, poses_of, widths_of

pytest.importorskip("numba")

RIGS = 30
POSES = 1_000_000
AXLES = 20
WIDTHS = 200
PROCESSES = 2


def test_no_random_pose_comes_below_low(tmp_path: Path) -> None:
    start = perf_counter()
    counts = [POSES * (rig + 1) // (2 * RIGS) - POSES * rig // (2 * RIGS) for rig in range(RIGS)]
    with in_processes(tmp_path) as mapped:
        seen = [each for rig in mapped(poses_of, [tmp_path] * RIGS, range(RIGS), counts) for each in rig]
    print(f"\n  {'axle':<38}{'poses':>7} pairs near, beyond  measured  least over low, numpy and compiled [mm]")
    for each in seen:
        over = "  ".join(f"{each.over[search]:.6f}" for search in SEARCHES)
        print(f"  {each.name:<38}{each.poses:>7} {each.near:>10} {each.beyond:>7} {each.measured:>9}  {over}")
    least = {search: min(each.over[search] for each in seen) for search in SEARCHES}
    poses, measured = sum(each.poses for each in seen), sum(each.measured for each in seen)
    words = ", ".join(f"{search} {value:.6f}" for search, value in least.items())
    print(f"  {poses} poses, {measured} distances; least over low [mm]: {words};")
    print(f"  an exact clearance in the pose given is off `high` by {max(each.off for each in seen):.1e} mm at most;")
    print(f"  {sum(each.unsettled for each in seen)} pairs unsettled; {perf_counter() - start:.0f} s")
    assert poses == POSES
    assert min(least.values()) >= -ROUNDING
    assert max(each.off for each in seen) <= ROUNDING
    assert not any(each.unsettled for each in seen)


def test_every_width_is_what_its_curve_says(tmp_path: Path) -> None:
    start = perf_counter()
    with in_processes(tmp_path) as mapped:
        seen = [each for both in mapped(widths_of, [tmp_path] * AXLES, range(AXLES)) for each in both]
    print(f"\n  {'axle and search':<46}widths, inside windows  least over low, over wanted inside [mm]  edges [mm]")
    for each in seen:
        edges = " ".join(f"{edge:.3f}" for edge in each.edges)
        print(f"  {each.name:<46}{each.widths:>6} {each.inside:>7} {each.windows:>7}", end="")
        print(f"{each.over:>16.6f} {each.margin:>20.3f}             {edges}")
    inside, edges = sum(each.inside for each in seen), [edge for each in seen for edge in each.edges]
    print(
        f"  {sum(each.widths for each in seen)} widths, {inside} inside windows, {len(edges)} edges of them, ", end=""
    )
    print(f"the widest undecided over {max(edges):.3f} mm; {sum(each.missed for each in seen)} widths clear outside;")
    print(
        f"  least over low {min(e.over for e in seen):.6f} mm, over wanted {min(e.margin for e in seen):.6f} mm;",
        end="",
    )
    print(f" {perf_counter() - start:.0f} s")
    assert sum(each.widths for each in seen) == WIDTHS
    assert inside > WIDTHS / 2
    assert [fault for each in seen for fault in each.faults] == []


@contextmanager
def in_processes(folder: Path) -> Iterator[Callable]:
    """A map over processes that find the compiled search in that folder."""
    assert ready.prepare(folder) == ""
    ready._prepared.clear()
    with ProcessPoolExecutor(PROCESSES, mp_context=multiprocessing.get_context("spawn")) as pool:
        yield pool.map
