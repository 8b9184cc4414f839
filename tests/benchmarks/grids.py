"""What people do without a proof: measure the tires in a grid of poses, with coal, with FCL, or with numpy.

Each library is used in the quickest way found that gives right answers: shapes and places made once beforehand and not
counted, straights as capsules, the tire as a cylinder whose shoulder is taken off afterwards, one result object for
all poses of a pair until the pair touches, and coal's function object for the pair of shapes.

Either every pose of every pair is measured, or poses are left out that cannot matter: first those in which a ball round
the tire is farther than FAR from the straight, then those in which it is farther than what was already met. The broad
phases of the libraries are no help: they give one distance for all bars together, and a wrong one once a bar touches.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import repeat
from math import hypot, inf
from typing import Any

import coal
import fcl
import numpy as np
from numpy.typing import NDArray

from geometry.contact.distance import separation
from geometry.contact.solids import Pieces, bar_pieces
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.motion.steering import at_steer, wheel_turn
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from geometry.tolerances import FAR

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

GRID = 21
"""Travels of each side [-]."""

STEERS = 17
"""Steers of a steered axle, from lock to lock [-]."""


@dataclass(frozen=True)
class Grid:
    """Both tires of an axle in every pose of a grid, and the straights they are measured against.

    Attributes
    ----------
    centre, axis : array, shape (2, n, 3)
        Of each tire in each pose [mm].
    half, radius, shoulder : float
        Half the length and the radius of the tire's core, and what rounds it [mm].
    pieces : Pieces
        The bars' straights.

    """

    centre: Floats
    axis: Floats
    half: float
    radius: float
    shoulder: float
    pieces: Pieces

    @property
    def distances(self) -> int:
        """How many there are to measure."""
        return self.centre.shape[0] * self.centre.shape[1] * len(self.pieces.part)

    def by_bar(self, least: Floats) -> Floats:
        """Clearance of each tire to each bar from the cores' distance to each straight, both shape (2, ...)."""
        starts = np.searchsorted(self.pieces.part, np.arange(len(self.pieces.parts)))
        return np.asarray(np.minimum.reduceat(least, starts, axis=1) - self.shoulder)


def tire_grid(rig: Rig, axle: Axle) -> Grid:
    travels = np.linspace(-axle.droop, axle.bump, GRID)
    left, right = (each.ravel() for each in np.meshgrid(travels, travels))
    poses = pose_map(linkage_of(axle)).start(left, right)
    steers = [0.0]
    if axle.steering is not None:
        steers = list(np.radians(np.linspace(-axle.steering.lock_right_deg, axle.steering.lock_left_deg, STEERS)))
    centres, axes = [], []
    for side in ("left", "right"):
        turn = wheel_turn(axle, side)
        centres.append(np.vstack([poses.centre + poses.rotation @ at_steer(turn.centre, steer) for steer in steers]))
        axes.append(np.vstack([poses.rotation @ at_steer(turn.axis, steer) for steer in steers]))
    tire = tire_dimensions(axle.tire)
    shoulder = tire.shoulder_radius
    half, radius = tire.section_width / 2.0 - shoulder, tire.radius - shoulder
    return Grid(np.array(centres), np.array(axes), half, radius, shoulder, bar_pieces(rig))


@dataclass(frozen=True)
class Ready:
    """A library's objects for a grid.

    Attributes
    ----------
    places : per tire, one for each pose
    every : callable(straight, places)
        Least distance of the core over the places, those where it overlaps included [mm].
    one : callable(straight, place)
        Distance of the core in one place [mm].

    """

    places: Sequence[Sequence[Any]]
    every: Callable[[int, Sequence[Any]], float]
    one: Callable[[int, Any], float]


def coal_ready(grid: Grid) -> Ready:
    core = coal.Cylinder(grid.radius, 2.0 * grid.half)
    core.computeLocalAABB()
    request, result = coal.DistanceRequest(), coal.DistanceResult()
    request.gjk_initial_guess = coal.GJKInitialGuess.BoundingVolumeGuess
    measures, straights = [], []
    for middle, turned, length, radius in lines(grid):
        capsule = coal.Capsule(radius, length)
        capsule.computeLocalAABB()
        measures.append(coal.ComputeDistance(core, capsule))
        straights.append((coal.Transform3s(turned, middle), core, capsule))  # coal does not keep the shapes alive

    def one(row: int, place: Any) -> float:
        result.clear()
        return float(measures[row](place, straights[row][0], request, result))

    def every(row: int, places: Sequence[Any]) -> float:
        # A result that is not cleared ends at the first contact, and saves time up to there.
        at, kept = straights[row][0], coal.DistanceResult()
        least = min(map(measures[row], places, repeat(at), repeat(request), repeat(kept)))
        return float(least) if least > 0.0 else min(one(row, place) for place in places)

    return Ready([[coal.Transform3s(turned, centre) for centre, turned in tire] for tire in places(grid)], every, one)


def fcl_ready(grid: Grid) -> Ready:
    core = fcl.Cylinder(grid.radius, 2.0 * grid.half)
    request = fcl.DistanceRequest(enable_signed_distance=True)
    straights = [
        fcl.CollisionObject(fcl.Capsule(radius, length), fcl.Transform(turned, middle))
        for middle, turned, length, radius in lines(grid)
    ]

    def one(row: int, place: Any) -> float:
        return float(fcl.distance(place, straights[row], request))

    def every(row: int, places: Sequence[Any]) -> float:
        kept = fcl.DistanceResult()
        least = min(map(fcl.distance, places, repeat(straights[row]), repeat(request), repeat(kept)))
        return float(least) if least > 0.0 else min(one(row, place) for place in places)

    made = [[fcl.CollisionObject(core, fcl.Transform(turned, centre)) for centre, turned in t] for t in places(grid)]
    return Ready(made, every, one)


def every_pose(grid: Grid, ready: Ready) -> tuple[Floats, int]:
    """Least distance of the cores for each tire and straight [mm], shape (2, p), and how many were measured."""
    rows = range(len(grid.pieces.part))
    return np.array([[ready.every(row, places) for row in rows] for places in ready.places]), grid.distances


def nearest_first(grid: Grid, ready: Ready) -> tuple[Floats, int]:
    """The same where it is less than FAR, infinite elsewhere, from those poses only that can matter."""
    least = np.full((2, len(grid.pieces.part)), inf)
    count = 0
    for tire, row, order, bound in nearby(grid):
        best, measure, places = inf, partial(ready.one, row), ready.places[tire]
        for pose, at_least in zip(order.tolist(), bound.tolist(), strict=True):
            if at_least >= best:
                break
            count += 1
            best = min(best, measure(places[pose]))
        least[tire, row] = best
    return least, count


def every_pose_by_numpy(grid: Grid) -> tuple[Floats, int]:
    """`every_pose` by this program's own distances, a straight at a time."""
    rows = range(len(grid.pieces.part))
    everything = np.arange(grid.centre.shape[1])
    return np.array([[own(grid, tire, row, everything) for row in rows] for tire in (0, 1)]), grid.distances


def near_by_numpy(grid: Grid) -> tuple[Floats, int]:
    """The same where it is less than FAR; all nearby poses of a straight at a time."""
    least = np.full((2, len(grid.pieces.part)), inf)
    count = 0
    for tire, row, order, _ in nearby(grid):
        least[tire, row] = own(grid, tire, row, order)
        count += len(order)
    return least, count


def own(grid: Grid, tire: int, row: int, poses: Indices) -> float:
    centre, axis = grid.centre[tire, poses], grid.axis[tire, poses]
    corners = grid.pieces.corners[row] - centre[:, None]
    gap = separation(axis, np.full(len(poses), grid.half), np.full(len(poses), grid.radius), corners).gap
    return float(gap.min() - grid.pieces.radius[row])


def nearby(grid: Grid) -> Iterator[tuple[int, int, Indices, Floats]]:
    """Tire, straight, the poses in which the ball round the core is within FAR of it, nearest first, and how near."""
    start, end = grid.pieces.corners[:, 0], grid.pieces.corners[:, 1]
    ball = hypot(grid.half, grid.radius)
    far = FAR + grid.shoulder
    for tire, centre in enumerate(grid.centre):
        # The box round all centres sorts out most straights at once.
        beside = np.maximum(np.minimum(start, end) - centre.max(axis=0), centre.min(axis=0) - np.maximum(start, end))
        apart = np.sqrt((np.maximum(beside, 0.0) ** 2).sum(axis=1)) - ball - grid.pieces.radius
        for row in np.flatnonzero(apart < far):
            along, from_start = end[row] - start[row], centre - start[row]
            share = np.clip(from_start @ along / (along @ along), 0.0, 1.0)
            off = from_start - share[:, None] * along
            bound = np.sqrt(np.einsum("ni,ni->n", off, off)) - ball - grid.pieces.radius[row]
            near = np.flatnonzero(bound < far)
            if len(near):
                order = near[np.argsort(bound[near])]
                yield tire, int(row), order, bound[order]


def lines(grid: Grid) -> Iterator[tuple[Floats, Floats, float, float]]:
    """Middle, rotation, length and radius of each straight."""
    for (start, end), radius in zip(grid.pieces.corners, grid.pieces.radius, strict=True):
        length = float(np.linalg.norm(end - start))
        yield (start + end) / 2.0, turn_to((end - start) / length), length, float(radius)


def places(grid: Grid) -> Iterator[Iterator[tuple[Floats, Floats]]]:
    """Centre and rotation of each tire in each pose."""
    for centres, axes in zip(grid.centre, grid.axis, strict=True):
        yield ((centre, turn_to(axis)) for centre, axis in zip(centres, axes, strict=True))


def turn_to(axis: Floats) -> Floats:
    """A rotation that takes z to the axis."""
    helper = np.eye(3)[np.argmin(np.abs(axis))]
    x = np.cross(helper, axis)
    x /= np.linalg.norm(x)
    return np.stack([x, np.cross(axis, x), axis], axis=1)
