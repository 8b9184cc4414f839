"""What the guarantee promises, held against random poses and random widths, one rig at a time.

Poses are solved by Newton from ride height and distances taken from the placed solids, so that nothing of the search's
tables or bounds takes part.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from math import inf
from pathlib import Path

import numpy as np
from msgspec.structs import replace

from app.files.assets import demo_rigs
from app.files.rig_file import read_rig
from geometry.contact.axle_check import check_axle
from geometry.contact.compiled import ready
from geometry.contact.findings import Approach, Verdict, WidthBound, WidthCurve, WidthSample
from geometry.contact.width import width_curve
from geometry.motion.linkage import AxlePoses, linkage_of, solve
from geometry.rig.axle import Axle
from geometry.rig.check import check_rig, least_width
from geometry.rig.layout import Floats, PartRef
from geometry.rig.rig import Rig
from geometry.tolerances import CLEARANCE, FAR
from tests.laws.exact import Chassis, Placed, from_link, gap, placed, random_travel
from tests.laws.random_rigs import varied_rig

ROUNDING = 1e-4
"""Accuracy of overlaps' depths [mm]; apart, distances are good to a hundredth of it."""

WORTH = 1.0
"""How far over `low` a pose has to be, as far as the ball round the core can tell, not to be measured [mm]."""

AT_ONCE = 8_192
SEARCHES = ("numpy", "compiled")
WIDTHS_EACH = 5
WIDTH_POSES = 2_000

Pair = tuple[PartRef, PartRef]
Poses = tuple[AxlePoses, Floats]
"""Solved poses and their steers, shape (n,) [rad]."""


@dataclass
class Seen:
    """What was seen of one axle in random poses.

    Attributes
    ----------
    over : by search, how far the least clearance of any pair in any pose lay over its `low` [mm]
    off : farthest that the exact clearance in the pose given lay from `high` [mm]

    """

    name: str
    poses: int = 0
    near: int = 0
    beyond: int = 0
    measured: int = 0
    over: dict[str, float] = field(default_factory=dict)
    off: float = 0.0
    unsettled: int = 0


@dataclass
class SeenWidths:
    """What was seen of one axle at random widths.

    Attributes
    ----------
    over, margin : how far clearances in poses lay over `low`, and over the wanted clearance inside windows [mm]
    edges : for each edge of a window with a reason, what the walk to it could not decide [mm]
    missed : widths that a check calls clear, but no window holds
    faults : what must not be, in words

    """

    name: str
    windows: int
    widths: int = 0
    inside: int = 0
    over: float = inf
    margin: float = inf
    edges: list[float] = field(default_factory=list)
    missed: int = 0
    faults: list[str] = field(default_factory=list)


def poses_of(folder: Path, seed: int, count: int) -> list[Seen]:
    """Hold both searches of a random rig to `count` poses of each axle."""
    rig = varied_rig(seed)
    check_rig(rig)
    return [_poses_of_axle(rig, axle, folder, count, np.random.default_rng([seed, 2])) for axle in rig.axles]


def _poses_of_axle(rig: Rig, axle: Axle, folder: Path, count: int, rng: np.random.Generator) -> Seen:
    found = both_searches(rig, axle, folder)
    seen = Seen(f"{rig.name}, {axle.id}, {len(axle.rods)} rods{', steered' if axle.steering else ''}")
    seen.near = sum(not approach.beyond for approach in found["numpy"].values())
    seen.beyond = len(found["numpy"]) - seen.near
    seen.over = dict.fromkeys(SEARCHES, inf)
    for approaches in found.values():
        seen.unsettled += sum(not approach.settled for approach in approaches.values())
        seen.off = max(seen.off, off_high(rig, axle, approaches))
    lows = {pair: max(found[search][pair].low for search in SEARCHES) for pair in found["numpy"]}
    worst = [approach for approach in found["numpy"].values() if not approach.beyond]
    for batch in batches(axle, worst, count, rng):
        seen.poses += len(batch[1])
        least, measured = least_clearances(rig, axle, lows, batch)
        seen.measured += measured
        for search in SEARCHES:
            over = min(clearance - found[search][pair].low for pair, clearance in least.items())
            seen.over[search] = min(seen.over[search], over)
    return seen


def both_searches(rig: Rig, axle: Axle, folder: Path) -> dict[str, dict[Pair, Approach]]:
    """Closest approach of each pair by the plain search and by the compiled one."""
    found = {}
    for search in SEARCHES:
        with running(search, folder):
            found[search] = {(a.moving, a.fixed): a for a in check_axle(rig, axle)}
    return found


@contextmanager
def running(search: str, folder: Path) -> Iterator[None]:
    """That search in use."""
    if search == "compiled":
        assert ready.prepare(folder) == ""
    yield
    ready._prepared.clear()


def batches(axle: Axle, worst: list[Approach], count: int, rng: np.random.Generator) -> Iterator[Poses]:
    """Exact poses: half of them anywhere in the travel, half round the worst ones, AT_ONCE at a time."""
    half = count // 2
    left, right, steer = (
        np.concatenate(both)
        for both in zip(random_travel(axle, rng, count - half), around(axle, worst, rng, half), strict=True)
    )
    for first in range(0, count, AT_ONCE):
        rows = slice(first, first + AT_ONCE)
        poses = solve(linkage_of(axle), left[rows], right[rows])
        assert poses.converged.all()
        yield poses, steer[rows]


def around(axle: Axle, worst: list[Approach], rng: np.random.Generator, count: int) -> tuple[Floats, Floats, Floats]:
    """Travels and steers near the poses of approaches, from a hair's breadth to some millimetres off."""
    if not worst:
        return random_travel(axle, rng, count)
    poses = [worst[each].pose for each in rng.integers(len(worst), size=count)]
    reach = 10.0 ** rng.uniform(-3.0, 1.0, count)
    left = np.array([pose.left for pose in poses]) + reach * rng.normal(size=count)
    right = np.array([pose.right for pose in poses]) + reach * rng.normal(size=count)
    steer = np.array([pose.steer for pose in poses]) + 3e-3 * reach * rng.normal(size=count)
    low, high = (0.0, 0.0)
    if axle.steering is not None:
        low, high = -np.radians(axle.steering.lock_right_deg), np.radians(axle.steering.lock_left_deg)
    travels = (np.clip(each, -axle.droop, axle.bump) for each in (left, right))
    return (*travels, np.clip(steer, low, high))


def least_clearances(rig: Rig, axle: Axle, lows: dict[Pair, float], batch: Poses) -> tuple[dict[Pair, float], int]:
    """Least exact clearance of each pair in a batch, or a lower value of it that lies over `lows` by WORTH.

    Also how many distances were measured.
    """
    poses, steer = batch
    chassis = Chassis(rig)
    parts = {part for pair in lows for part in pair if part.kind not in ("bar", "panel")}
    places = {part: placed(axle, part, poses, steer) for part in parts}
    least, measured = {}, 0
    for (moving, fixed), low in lows.items():
        core = places[moving]
        if fixed.kind == "link":
            least[moving, fixed] = float(from_link(core, places[fixed]).min())
            measured += len(steer)
            continue
        clearance = low + WORTH
        for corners, radius in chassis.of(fixed):
            skins = core.skin + radius
            rows = np.flatnonzero(ball_gap(core, corners) - skins < clearance)
            measured += len(rows)
            if len(rows):
                every = np.broadcast_to(corners, (len(rows), *corners.shape))
                clearance = min(clearance, float((gap(core.rows(rows), every) - skins).min()))
        least[moving, fixed] = clearance
    return least, measured


def ball_gap(core: Placed, corners: Floats) -> Floats:
    """At most the distance of the core from a hull, by the ball round the core and one round a panel, shape (n,)."""
    ball = np.hypot(core.half_length, core.radius)
    if len(corners) > 2:
        middle = corners.mean(axis=0)
        around = np.linalg.norm(corners - middle, axis=1).max()
        return np.linalg.norm(core.centre - middle, axis=1) - around - ball
    along, arm = corners[1] - corners[0], core.centre - corners[0]
    share = np.clip(arm @ along / (along @ along), 0.0, 1.0)
    return np.linalg.norm(arm - share[:, None] * along, axis=1) - ball


def off_high(rig: Rig, axle: Axle, approaches: dict[Pair, Approach]) -> float:
    """Farthest that `high` lies from the exact clearance in the pose it was found in [mm].

    Links of five rods do not count, which are made thicker by what they give.
    """
    off = 0.0
    for pair, approach in approaches.items():
        gives = len(axle.rods) > 4 and "link" in (part.kind for part in pair)
        if not approach.beyond and not gives:
            pose = solve(linkage_of(axle), approach.pose.left, approach.pose.right)
            met, _ = least_clearances(rig, axle, {pair: inf}, (pose, np.array([approach.pose.steer])))
            off = max(off, abs(met[pair] - approach.high))
    return off


def width_case(case: int) -> tuple[Rig, Axle]:
    """One axle of a demo rig, or of a random rig without what its tires cannot miss at any width."""
    drawn = [(rig, axle) for rig in map(read_rig, demo_rigs()) for axle in rig.axles]
    if case < len(drawn):
        return drawn[case]
    rig = varied_rig(case)
    axle = rig.axles[case % 2]
    wide = replace(axle, width=axle.width + 150.0)
    blocked = {a.fixed.id for a in check_axle(rig, wide) if a.low < a.wanted}
    bars = tuple(bar for bar in rig.bars if bar.id not in blocked)
    panels = tuple(panel for panel in rig.panels if panel.id not in blocked)
    return replace(rig, bars=bars, panels=panels), axle


def widths_of(folder: Path, case: int) -> list[SeenWidths]:
    """Hold the width curves of one case to single checks and to poses, at random widths and at the windows' edges."""
    rig, axle = width_case(case)
    low, high = max(axle.width - 200.0, least_width(axle) + 1.0), axle.width + 250.0
    both = []
    for search in SEARCHES:
        with running(search, folder):
            curve = width_curve(rig, axle, low, high)
        assert curve is not None
        seen = SeenWidths(f"{rig.name}, {axle.id}, {search}", len(curve.windows))
        rng = np.random.default_rng([case, 3])
        for width in _some_widths(curve, low, high, rng):
            _see_width(rig, replace(axle, width=width), curve, folder, seen, rng)
        for window in curve.windows:
            for bound in (window.low, window.high):
                _see_edge(rig, axle, bound, folder, seen)
        both.append(seen)
    return both


def _some_widths(curve: WidthCurve, low: float, high: float, rng: np.random.Generator) -> list[float]:
    """One width anywhere, the others inside windows."""
    widths = list(rng.uniform(low, high, WIDTHS_EACH))
    for index in range(1, WIDTHS_EACH):
        if curve.windows:
            window = curve.windows[rng.integers(len(curve.windows))]
            widths[index] = rng.uniform(window.low.width, window.high.width)
    return [float(width) for width in widths]


def _see_width(
    rig: Rig, axle: Axle, curve: WidthCurve, folder: Path, seen: SeenWidths, rng: np.random.Generator
) -> None:
    """Hold the curve to what is found at one width."""
    seen.widths += 1
    inside = any(window.low.width <= axle.width <= window.high.width for window in curve.windows)
    seen.inside += inside
    found = both_searches(rig, axle, folder)
    verdicts = {search: worst_verdict(found[search]) for search in SEARCHES}
    clear = all(verdict is Verdict.CLEAR for verdict in verdicts.values())
    seen.missed += clear and not inside
    if inside and not clear:
        seen.faults.append(f"{seen.name}: {axle.width} mm lies in a window and is {verdicts}")
    low, high = between(curve.samples, axle.width)
    for approaches in found.values():
        lowest, highest = (
            min(FAR, *values) for values in zip(*((a.low, a.high) for a in approaches.values()), strict=True)
        )
        if lowest > high + ROUNDING or highest < low - ROUNDING:
            seen.faults.append(f"{seen.name}: {lowest}..{highest} at {axle.width} mm is off the curve, {low}..{high}")
    lows = {pair: max(found[search][pair].low for search in SEARCHES) for pair in found["numpy"]}
    wanted = {pair: approach.wanted for pair, approach in found["numpy"].items()}
    worst = [approach for approach in found["numpy"].values() if not approach.beyond]
    for batch in batches(axle, worst, WIDTH_POSES, rng):
        least, _ = least_clearances(rig, axle, lows, batch)
        seen.over = min(seen.over, *(clearance - lows[pair] for pair, clearance in least.items()))
        margin = min(clearance - wanted[pair] for pair, clearance in least.items())
        if inside:
            seen.margin = min(seen.margin, margin)
            if margin < -ROUNDING:
                seen.faults.append(f"{seen.name}: {axle.width} mm lies in a window and a pose has {margin} mm to spare")
    if seen.over < -ROUNDING:
        seen.faults.append(f"{seen.name}: a pose at {axle.width} mm lies {seen.over} mm over low")


def between(samples: tuple[WidthSample, ...], width: float) -> tuple[float, float]:
    """What a curve says of a width between its samples: clearance changes by half the width's change at most."""
    low = max(sample.low - abs(sample.width - width) / 2.0 for sample in samples)
    return low, min(sample.high + abs(sample.width - width) / 2.0 for sample in samples)


def _see_edge(rig: Rig, axle: Axle, bound: WidthBound, folder: Path, seen: SeenWidths) -> None:
    """At the edge everything is clear; just beyond, the pair named has less than the wanted clearance and a tolerance.

    A check finds that pair's closest approach to another tolerance.
    """
    at_edge = both_searches(rig, replace(axle, width=bound.width), folder)
    for search, approaches in at_edge.items():
        if worst_verdict(approaches) is not Verdict.CLEAR:
            seen.faults.append(f"{seen.name}: the edge at {bound.width} mm is not clear to {search}")
    if bound.reason is None:
        return
    seen.edges.append(abs(bound.beyond - bound.width))
    pair = bound.reason.moving, bound.reason.fixed
    for search, approaches in both_searches(rig, replace(axle, width=bound.beyond), folder).items():
        approach = approaches[pair]
        if approach.low - approach.wanted > CLEARANCE + ROUNDING or approach.high - approach.wanted > 2.0 * CLEARANCE:
            seen.faults.append(f"{seen.name}: at {bound.beyond} mm, beyond an edge, {search} finds {approach}")


def worst_verdict(approaches: dict[Pair, Approach]) -> Verdict:
    verdicts = {approach.verdict for approach in approaches.values()}
    return next((verdict for verdict in Verdict if verdict in verdicts), Verdict.CLEAR)
