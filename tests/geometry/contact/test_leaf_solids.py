"""Leaf springs in the check: solids that cover them in every pose, and closest approaches that no pose goes under."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from geometry.contact import search as plain
from geometry.contact.axle_check import Problem, axle_problems, travel_box
from geometry.contact.distance import separation
from geometry.contact.leaf_solids import leaf_solids
from geometry.contact.movers import Movers
from geometry.motion.linkage import Floats, linkage_of
from geometry.motion.placement import place
from geometry.motion.pose_map import pose_map
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle
from geometry.rig.parts import Bar, Node
from geometry.rig.rig import Rig
from tests.geometry.motion.leaves import leaf_axle, random_springs, travels
from tests.geometry.rig.rigs import small_rig

POSES = 2_000


def rig_with_bars(axle: Axle) -> Rig:
    """A cross of bars over and beside the springs, near enough to be measured."""
    at = {
        "p": (700.0, 430.0, 600.0), "q": (-800.0, 430.0, 690.0),
        "r": (-560.0, 300.0, 660.0), "s": (-560.0, 700.0, 680.0),
        "t": (300.0, 300.0, 690.0), "u": (300.0, 640.0, 700.0),
    }  # fmt: skip
    nodes = tuple(Node(id=name, at=place) for name, place in at.items())
    bars = tuple(Bar(id=a + b, nodes=(a, b), od=40.0, wall=3.0, mirrored=True) for a, b in ("pq", "rs", "tu"))
    return replace(small_rig(panels=()), nodes=nodes, bars=bars, axles=(axle,))


def distance(points: Floats, ends: Floats) -> Floats:
    """Of points from straights, shape (points, straights)."""
    start, leg = ends[:, 0], ends[:, 1] - ends[:, 0]
    way = points[:, None] - start
    share = np.clip((way * leg).sum(axis=2) / (leg * leg).sum(axis=1), 0.0, 1.0)
    found: Floats = np.linalg.norm(way - share[..., None] * leg, axis=2)
    return found


@pytest.mark.parametrize("seed", range(3))
def test_the_solids_cover_the_rods_of_the_model_with_width_and_thickness(seed: int) -> None:
    axle = leaf_axle(**random_springs(seed), eye_room=0.0, shackle_room=0.0)
    assert axle.leaf_springs is not None
    solids = tuple(leaf_solids(axle))
    movers = Movers(solids, pose_map(linkage_of(axle)))
    half = np.array([0.0, axle.leaf_springs.width / 2.0, axle.leaf_springs.thickness / 2.0])
    for left, right in travels(axle, seed, 3).T:
        at = movers.at(np.arange(len(solids)), np.tile([left, right, 0.0, 0.0], (len(solids), 1)))
        reach = movers.half_length[:, None] * at.axis
        ends = np.stack([at.centre - reach, at.centre + reach], axis=1)
        placed = place(axle, TravelPose(left, right))
        for leaf in placed.leaves:
            own = [row for row, solid in enumerate(solids) if solid.part.side == leaf.side]
            along = np.linspace(0.0, 1.0, 9)[:, None]
            for start, end in zip(leaf.spring[:-1], leaf.spring[1:], strict=True):
                line = start + along * (end - start)
                for corner in ((1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)):
                    rim = line + placed.rotation @ (half * [0.0, *corner])
                    gap = distance(rim, ends[own]) - movers.skin[own]
                    assert gap.min(axis=1).max() < 2.0  # arms twist along their length, and their corners with them
            shackle = leaf.shackle[0] + along * (leaf.shackle[1] - leaf.shackle[0])
            assert (distance(shackle, ends[own]) - movers.skin[own]).min(axis=1).max() < 0.0


def least(problem: Problem, group: int, q: Floats) -> float:
    """Smallest clearance of a group in poses."""
    rows = np.flatnonzero(problem.pairs.group == group)
    mover, piece = np.repeat(problem.pairs.mover[rows], len(q)), np.repeat(problem.pairs.piece[rows], len(q))
    view = problem.scene.view(mover, piece, np.tile(q, (len(rows), 1)))
    apart = separation(view.axis, view.half_length, view.radius, view.corners)
    return float((apart.gap - np.repeat(problem.pairs.shrink[rows], len(q))).min())


@pytest.mark.parametrize("seed", range(2))
def test_no_random_pose_comes_nearer_than_the_search_says(seed: int) -> None:
    axle = leaf_axle(**random_springs(seed))
    rig, box = rig_with_bars(axle), travel_box(axle)
    q = np.zeros((POSES, 4))
    q[:, :2] = travels(axle, seed, POSES).T
    q[:, 3] = box.middle[3]
    seen = 0
    for problem in axle_problems(rig, axle):
        found = plain.closest_approaches(problem.scene, problem.pairs, len(problem.names), box)
        for group, name in enumerate(problem.names):
            if not {name.moving.kind, name.fixed.kind} & {"leaf spring", "shackle"}:
                continue
            met = least(problem, group, q)
            assert met >= found.low[group] - 1e-9
            if not found.beyond[group]:
                seen += 1
                assert found.settled[group]
                assert met <= found.high[group] + 5.0
    assert seen >= 6


def test_slopes_and_bounds_of_what_hangs_on_shackles_hold() -> None:
    axle = leaf_axle()
    solids = tuple(leaf_solids(axle))
    movers = Movers(solids, pose_map(linkage_of(axle)))
    which = np.arange(len(solids))
    rng = np.random.default_rng(5)
    step = 0.5
    for _ in range(4):
        q = np.zeros((len(solids), 4))
        q[:, :2] = rng.uniform(-90.0, 80.0, (len(solids), 2))
        for freedom in (0, 1):
            by = np.zeros(4)
            by[freedom] = step
            here, ahead, back = (movers.at(which, q + way) for way in (0.0 * by, by, -by))
            assert (ahead.centre - back.centre) / (2.0 * step) == pytest.approx(
                here.centre_slope[:, :, freedom], abs=1e-4
            )
            assert (ahead.axis - back.axis) / (2.0 * step) == pytest.approx(here.axis_slope[:, :, freedom], abs=1e-5)
            bend = np.abs(ahead.centre - 2.0 * here.centre + back.centre) / step**2
            assert (bend <= movers.centre_curvature[:, :, freedom, freedom] * (1.0 + 1e-6) + 1e-8).all()
            lean = np.abs(ahead.axis - 2.0 * here.axis + back.axis) / step**2
            assert (lean <= movers.axis_curvature[:, :, freedom, freedom] * (1.0 + 1e-6) + 1e-10).all()
