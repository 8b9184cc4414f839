"""Clearance over the travel square, sampled for the eye: the picture on the travel pad, never a verdict.

The exact distance is taken where it can be the least one only. In some poses it is taken for every pair; in the poses
round each of these, the planes across the pair's normal there say what the distance is at least, and that is almost
what it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.axle_check import GiveUp, Problem, axle_problems, travel_box
from geometry.contact.compiled.ready import closest_approaches
from geometry.contact.distance import separation
from geometry.contact.findings import TravelMap
from geometry.contact.movers import STEER, WIDTH
from geometry.contact.search import Box, measure
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.tolerances import FAR

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

COARSE_TOLERANCE: Final = 25.0
"""Tolerance at which pairs are sorted into near and far before the map is drawn [mm]."""

STEERS: Final = 5
"""Steers looked at in each pose, from lock to lock [-]."""

APART: Final = 10
"""Grid lines from one pose in which every pair is measured to the next [-]."""

TURNS: Final = 3
"""Times that the most promising pair of each pose is measured before all that may still be nearer are [-]."""


AT_ONCE: Final = 200
"""Pairs at one steer each that are looked at together [-]: of more the tables would fill the memory."""


@dataclass(frozen=True)
class _Grid:
    """The poses of the map.

    Attributes
    ----------
    box : Box
    u : array, shape (n, 2)
        Travels from the box's middle [mm].
    known : array of int, shape (k,)
        Poses in which every pair is measured.
    nearest : array of int, shape (n,)
        Which of them is nearest.

    """

    box: Box
    u: Floats
    known: Indices
    nearest: Indices

    def points(self, pose: Indices, steer: Floats) -> Floats:
        """Points of the box, one per entry of `pose` and `steer`."""
        return np.column_stack([self.u[pose], steer])[:, : len(self.box.size)]


def travel_map(rig: Rig, axle: Axle, count: int, *, give_up: GiveUp | None = None) -> TravelMap | None:
    """Least margin of all pairs over a count × count grid of travels, at the worst steer looked at.

    Returns None when told to give up.
    """
    box = travel_box(axle)
    travels = np.linspace(-axle.droop, axle.bump, count)
    grid = _grid(box, travels)
    out = ~box.holds(np.column_stack([grid.u + box.middle[:2], np.zeros((len(grid.u), 2))]))
    margin = np.where(out, -np.inf, FAR)  # where nothing is near enough to be measured
    for problem in axle_problems(rig, axle):
        margins = problem.as_margin()
        rough = closest_approaches(
            margins.scene, margins.pairs, len(margins.names), box, tolerance=COARSE_TOLERANCE, overlap_share=1.0
        )
        near = margins.of_groups(~rough.beyond)
        pair, steer = _rows(near, box)
        for first in range(0, len(pair), AT_ONCE):
            if give_up is not None and give_up():
                return None
            some = slice(first, first + AT_ONCE)
            _take_least(near, grid, pair[some], steer[some], margin)
    margin[out] = np.nan
    rows = tuple(tuple(float(value) for value in row) for row in margin.reshape(count, count))
    places = tuple(float(value) for value in travels)
    return TravelMap(axle.id, places, places, rows)


def _grid(box: Box, travels: Floats) -> _Grid:
    count = len(travels)
    right, left = (each.ravel() for each in np.meshgrid(travels, travels, indexing="ij"))
    lines = np.unique(np.append(np.arange(0, count, APART), count - 1))
    line = np.abs(np.arange(count)[:, None] - lines).argmin(axis=1)
    known = (lines[:, None] * count + lines).ravel()
    nearest = (line[:, None] * len(lines) + line).ravel()
    return _Grid(box, np.column_stack([left, right]) - box.middle[:2], known, nearest)


def _rows(problem: Problem, box: Box) -> tuple[Indices, Floats]:
    """Every pair at every steer that makes a difference to it."""
    steers = np.linspace(-1.0, 1.0, STEERS) * box.size[2] if len(box.size) > 2 else np.zeros(1)
    steered = problem.scene.steered(problem.pairs)
    pairs = np.arange(len(steered), dtype=np.intp)
    turning, still = pairs[steered], pairs[~steered]
    pair = np.concatenate([np.repeat(turning, len(steers)), still])
    return pair, np.concatenate([np.tile(steers, len(turning)), np.zeros(len(still))])


def _take_least(problem: Problem, grid: _Grid, pair: Indices, steer: Floats, margin: Floats) -> None:
    """Lower the margins, shape (n,), to those of pairs at a steer each."""
    scene, pairs, box = problem.scene, problem.pairs, grid.box
    row, pose = (each.ravel() for each in np.indices((len(pair), len(grid.known))))
    q = box.poses(pairs.group[pair[row]], grid.points(grid.known[pose], steer[row]))
    view = scene.view(pairs.mover[pair[row]], pairs.piece[pair[row]], q)
    apart = separation(view.axis, view.half_length, view.radius, view.corners)
    gap = (apart.gap - pairs.shrink[pair[row]]).reshape(len(pair), -1)
    margin[grid.known] = np.minimum(margin[grid.known], gap.min(axis=0))
    lower = _planes(problem, grid, pair, steer, apart.normal.reshape(len(pair), -1, 3))
    lower[:, grid.known] = np.inf

    def take(row: Indices, pose: Indices) -> None:
        """Measure rows in poses, if they may be nearer than what is known there."""
        nearer = lower[row, pose] < margin[pose]
        row, pose = row[nearer], pose[nearer]
        if len(row) == 0:
            return
        found = measure(scene, pairs, pair[row], box, grid.points(pose, steer[row]))[0]
        np.minimum.at(margin, pose, found)
        lower[row, pose] = np.inf

    everywhere = np.arange(len(margin), dtype=np.intp)
    for _ in range(TURNS):
        take(lower.argmin(axis=0), everywhere)
    take(*np.nonzero(lower < margin))


def _planes(problem: Problem, grid: _Grid, pair: Indices, steer: Floats, normal: Floats) -> Floats:
    """Least margins by the planes across normals, shape (r, k, 3), of the nearest known pose; shape (r, n)."""
    scene, pairs, box = problem.scene, problem.pairs, grid.box
    movers, width = scene.movers, float(box.middle[WIDTH])
    travel = grid.u + box.middle[:2]
    values = movers.pose_map.evaluate(travel[:, 0], travel[:, 1])[0]
    eyes = movers.eyes(travel[:, 0], travel[:, 1])
    placed: dict[tuple[int, float], tuple[Floats, Floats]] = {}

    def place(which: int, steer: float) -> tuple[Floats, Floats]:
        key = (which, steer if movers.steered[which] else 0.0)
        if key not in placed:
            placed[key] = movers.on(values, which, key[1] + float(box.middle[STEER]), width, eyes)
        return placed[key]

    lower = np.empty((len(pair), len(values)))
    widths = np.full(len(pairs.mover), width)
    half = movers.half_at(pairs.mover, widths)
    others = half if scene.pieces is not None else movers.half_at(pairs.piece, widths)
    for row, (which, turned) in enumerate(zip(pair, steer, strict=True)):
        mover, piece = int(pairs.mover[which]), int(pairs.piece[which])
        across = normal[row][grid.nearest]
        centre, axis = place(mover, float(turned))
        if scene.pieces is not None:
            hull = (normal[row] @ scene.pieces.corners[piece].T).min(axis=1)[grid.nearest]
        else:
            middle, along = place(piece, float(turned))
            hull = _dot(across, middle) - others[which] * np.abs(_dot(across, along))
        rise = _dot(across, axis)
        flat = across - rise[:, None] * axis
        core = half[which] * np.abs(rise) + movers.core_radius[mover] * np.sqrt(_dot(flat, flat))
        lower[row] = hull - _dot(across, centre) - core - pairs.shrink[which]
    # Where two all but touch there may be no normal.
    lower[(_dot(normal, normal) < 0.5)[:, grid.nearest]] = -np.inf
    return lower


def _dot(left: Floats, right: Floats) -> Floats:
    return np.asarray(np.einsum("...i,...i->...", left, right))
