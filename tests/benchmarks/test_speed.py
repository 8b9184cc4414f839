"""How long the answers take, printed; run with ``python -m pytest tests/benchmarks -s``.

Absolute times depend on the machine, so each search is also given as a ratio to a grid of poses that coal measures
one by one in the same run. The grid gives no proof; it is there as a measure of the machine.
"""

from __future__ import annotations

import os
import platform
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import coal
import numpy as np
import pytest
from msgspec.structs import replace

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from app.study import check, travel_map, width_curve
from geometry.contact.solids import bar_pieces
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.motion.steering import at_steer, wheel_turn
from geometry.rig.axle import Axle
from geometry.rig.layout import Floats
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions

SLIDER_STEP_MS = 150.0
"""One step of the slider on the long rig must stay under this on two cores [ms]."""

GRID = 21
STEERS = 17
REPEATS = 7

FIRST_FRAME = """
import sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
import app.window as window
shown = window.MainWindow.show
def show(self):
    shown(self)
    QTimer.singleShot(0, lambda: (QApplication.processEvents(), print("painted", flush=True), QApplication.exit(0)))
window.MainWindow.show = show
sys.exit(window.run(None))
"""


def milliseconds(work: Callable[[], object], repeats: int = REPEATS) -> list[float]:
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append((time.perf_counter() - start) * 1e3)
    return times


def say(what: str, times: list[float], per: float | None = None) -> None:
    ratio = f"   grid takes {per / statistics.median(times):6.1f} times as long" if per else ""
    print(f"  {what:<46} median {statistics.median(times):8.1f} ms   worst {max(times):8.1f} ms{ratio}")


@pytest.fixture(scope="module", autouse=True)
def machine() -> None:
    print(f"\n{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}, numpy {np.__version__}")


@pytest.mark.parametrize("path", demo_rigs(), ids=lambda path: path.stem)
def test_whole_travel_search_and_slider_step(path: Path) -> None:
    rig = read_rig(path)
    answer = check(rig)
    print(
        f"\n{rig.name}: {len(answer.approaches)} pairs, {sum(not a.beyond for a in answer.approaches)} nearer than FAR"
    )
    grid = sum(coal_grid(rig, axle) for axle in rig.axles)
    print(f"  coal, tires against bars on {GRID} x {GRID} (x {STEERS}) poses    {grid:8.1f} ms, no proof")
    say("whole-travel search, both axles, contact starts", milliseconds(lambda: check(rig)), grid)
    for axle in rig.axles:
        steps = slider_steps(rig, axle)
        say(f"slider step, {axle.id} axle", steps)
        if "long" in path.stem:
            assert statistics.median(steps) < SLIDER_STEP_MS
        low, high = axle.width - 254.0, axle.width + 254.0
        say(f"width curve and window over 20 in, {axle.id}", milliseconds(lambda: curve(rig, axle, low, high), 2))  # noqa: B023
        say(f"travel map 41 x 41, {axle.id}", milliseconds(lambda: travel_map(rig, axle.id), 2))  # noqa: B023
    say("pose map of one axle from nothing", milliseconds(lambda: fresh_pose_map(rig.axles[0])))


def test_start_to_first_painted_frame() -> None:
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}

    def start() -> None:
        with subprocess.Popen(
            [sys.executable, "-c", FIRST_FRAME], env=environment, stdout=subprocess.PIPE, text=True
        ) as program:
            assert program.stdout is not None
            assert program.stdout.readline().strip() == "painted"
            times.append((time.perf_counter() - began) * 1e3)

    times: list[float] = []
    for _ in range(4):
        began = time.perf_counter()
        start()
    print()
    say("start of the process to the first painted frame", times[1:])


def slider_steps(rig: Rig, axle: Axle) -> list[float]:
    """Times of checks at widths 5 mm apart, each with the answer before it at hand [ms]."""
    before = check(rig)
    times = []
    for step in range(1, 21):
        width = axle.width - 50.0 + 5.0 * step
        axles = tuple(replace(a, width=width) if a.id == axle.id else a for a in rig.axles)
        moved = replace(rig, axles=axles)
        start = time.perf_counter()
        before = check(moved, previous=before)
        times.append((time.perf_counter() - start) * 1e3)
    return times


def curve(rig: Rig, axle: Axle, low: float, high: float) -> None:
    width_curve(rig, axle.id, low, high)


def fresh_pose_map(axle: Axle) -> None:
    pose_map.cache_clear()
    pose_map(linkage_of(axle))


def coal_grid(rig: Rig, axle: Axle) -> float:
    """Time of coal over a grid of poses, both tires against every straight [ms]; poses are made beforehand."""
    tire = tire_dimensions(axle.tire)
    shoulder = tire.shoulder_radius
    core = coal.Cylinder(tire.radius - shoulder, tire.section_width - 2.0 * shoulder)
    pieces = bar_pieces(rig)
    lines = []
    for (start, end), radius in zip(pieces.corners, pieces.radius, strict=True):
        along = (end - start) / np.linalg.norm(end - start)
        place = coal.Transform3s(turn_to(along), (start + end) / 2.0)
        lines.append((coal.Capsule(float(radius), float(np.linalg.norm(end - start))), place))
    places = [coal.Transform3s(turn_to(axis), centre) for centre, axis in tire_poses(axle)]
    request, result = coal.DistanceRequest(), coal.DistanceResult()
    start_time = time.perf_counter()
    for place in places:
        for line, at in lines:
            result.clear()
            coal.distance(core, place, line, at, request, result)
    return (time.perf_counter() - start_time) * 1e3


def tire_poses(axle: Axle) -> list[tuple[Floats, Floats]]:
    travels = np.linspace(-axle.droop, axle.bump, GRID)
    left, right = (each.ravel() for each in np.meshgrid(travels, travels))
    poses = pose_map(linkage_of(axle)).start(left, right)
    steers = [0.0]
    if axle.steering is not None:
        steers = list(np.radians(np.linspace(-axle.steering.lock_right_deg, axle.steering.lock_left_deg, STEERS)))
    made = []
    for side in ("left", "right"):
        turn = wheel_turn(axle, side)
        for steer in steers:
            centre, axis = at_steer(turn.centre, steer), at_steer(turn.axis, steer)
            made += list(zip(poses.centre + poses.rotation @ centre, poses.rotation @ axis, strict=True))
    return made


def turn_to(axis: Floats) -> Floats:
    """A rotation that takes z to the axis."""
    helper = np.eye(3)[np.argmin(np.abs(axis))]
    x = np.cross(helper, axis)
    x /= np.linalg.norm(x)
    return np.stack([x, np.cross(axis, x), axis], axis=1)
