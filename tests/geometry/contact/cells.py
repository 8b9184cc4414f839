"""Cells whose motion is known exactly: polynomials for places, rotations for directions, honest remainders for both.

And single poses in cells with the least remainders that are honest for just that pose, so that nothing is to spare.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from geometry.contact.bounds import Local
from geometry.contact.distance import Separation, separation
from geometry.rig.layout import Floats


@dataclass(frozen=True)
class Turning:
    """n unit vectors d(u) = R₁(α·u) R₂(β·u) d₀ about fixed axes.

    Attributes
    ----------
    start, first, second : array, shape (n, 3)
        d₀ and both axes, unit vectors.
    alpha, beta : array, shape (n, k)
        Turn about each axis per unit of u [rad].

    """

    start: Floats
    first: Floats
    second: Floats
    alpha: Floats
    beta: Floats

    def at(self, u: Floats) -> Floats:
        inner = turned(self.start, self.second, (self.beta * u).sum(axis=1))
        return turned(inner, self.first, (self.alpha * u).sum(axis=1))

    def repeated(self, count: int) -> Turning:
        return Turning(*(_first(part, count) for part in (self.start, self.first, self.second, self.alpha, self.beta)))

    @property
    def slope(self) -> Floats:
        by_first, by_second = np.cross(self.first, self.start), np.cross(self.second, self.start)
        return by_first[:, :, None] * self.alpha[:, None] + by_second[:, :, None] * self.beta[:, None]

    def rest(self, size: Floats) -> Floats:
        """|d − d₀ − slope u| ≤ ½ (Σ (|α| + |β|) size)², for a unit vector changes no faster than it is turned."""
        turn = ((np.abs(self.alpha) + np.abs(self.beta)) * size).sum(axis=1)
        return np.repeat(0.5 * turn[:, None] ** 2, 3, axis=1)


@dataclass(frozen=True)
class Moving:
    """n points p(u) = p₀ + S u + ½ Σ C uᵢ uⱼ: start (n, 3), slope (n, 3, k), curve (n, 3, k, k)."""

    start: Floats
    slope: Floats
    curve: Floats

    def at(self, u: Floats) -> Floats:
        straight = np.einsum("nck,nk->nc", self.slope, u)
        return self.start + straight + 0.5 * np.einsum("ncij,ni,nj->nc", self.curve, u, u)

    def rest(self, size: Floats) -> Floats:
        return 0.5 * np.einsum("ncij,ni,nj->nc", np.abs(self.curve), size, size)


@dataclass(frozen=True)
class Motion:
    """n cores at the origin and hulls that move past them.

    Attributes
    ----------
    axis : Turning
    middle : Moving
    shape : array, shape (n, v, 3)
        Corners from the middle of hulls that only shift.
    straight : tuple of Turning and half lengths of shape (n,), or None
        Hulls that are straights and turn as well; `shape` then counts for nothing.

    """

    axis: Turning
    middle: Moving
    shape: Floats
    half_length: Floats
    radius: Floats
    straight: tuple[Turning, Floats] | None = None

    def corners(self, u: Floats) -> Floats:
        middle = self.middle.at(u)[:, None]
        if self.straight is None:
            return middle + self.shape
        reach = self.straight[1][:, None] * self.straight[0].at(u)
        return middle + np.stack([-reach, reach], axis=1)

    def repeated(self, count: int) -> Motion:
        """The first pair, count times."""
        axis, middle = self.axis, self.middle
        straight = self.straight
        return Motion(
            axis.repeated(count),
            Moving(*(_first(part, count) for part in (middle.start, middle.slope, middle.curve))),
            *(_first(part, count) for part in (self.shape, self.half_length, self.radius)),
            straight and (straight[0].repeated(count), _first(straight[1], count)),
        )

    def separation(self, u: Floats) -> Separation:
        return separation(self.axis.at(u), self.half_length, self.radius, self.corners(u))

    def local(self, size: Floats) -> Local:
        """What a search would know of cells of that size round u = 0."""
        nothing = np.zeros_like(size)
        slope, rest = self.middle.slope[:, None], self.middle.rest(size)[:, None]
        edge = None
        if self.straight is not None:
            direction, half = self.straight
            reach = half[:, None, None] * direction.slope
            slope = np.stack([self.middle.slope - reach, self.middle.slope + reach], axis=1)
            edge_rest = direction.rest(size)
            rest = rest + (half[:, None] * edge_rest)[:, None]
            edge = (direction.slope, edge_rest)
        return Local(
            corners=self.corners(nothing),
            corner_slope=slope,
            corner_rest=rest,
            axis=self.axis.at(nothing),
            axis_slope=self.axis.slope,
            axis_rest=self.axis.rest(size),
            size=size,
            half_length=self.half_length,
            radius=self.radius,
            edge_motion=edge,
        )


def turned(vector: Floats, about: Floats, angle: Floats) -> Floats:
    """Rodrigues' formula, row by row."""
    along = (vector * about).sum(axis=1, keepdims=True) * about
    cos, sin = np.cos(angle)[:, None], np.sin(angle)[:, None]
    return along + (vector - along) * cos + np.cross(about, vector) * sin


def unit(vectors: Floats) -> Floats:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def random_motion(rng: np.random.Generator, count: int, hull: str, *, freedoms: int = 3) -> Motion:
    """Cores as large as tires or as thin as links against a bar, a panel or a moving link, apart or overlapping.

    u counts in shares of a travel of about 100 mm and 15 degrees; some pairs do not turn, some do not move.
    """

    def turning() -> Turning:
        alpha, beta = rng.uniform(-0.25, 0.25, (2, count, freedoms))
        alpha[::4], beta[::3] = 0.0, 0.0
        return Turning(*unit(rng.normal(size=(3, count, 3))), alpha, beta)

    half, radius = rng.uniform(0.0, 150.0, count), rng.uniform(100.0, 450.0, count)
    half[::6], radius[::5] = 0.0, 0.0
    reach = rng.uniform(0.0, 2.0, (count, 1)) * (np.hypot(half, radius)[:, None] + 50.0)
    slope = rng.uniform(-100.0, 100.0, (count, 3, freedoms))
    slope[::7] = 0.0
    bent = rng.uniform(-30.0, 30.0, (count, 3, freedoms, freedoms))
    middle = Moving(unit(rng.normal(size=(count, 3))) * reach, slope, bent + np.swapaxes(bent, 2, 3))
    along = unit(rng.normal(size=(count, 1, 3)))
    size = rng.uniform(30.0, 600.0, (count, 1, 1))
    if hull == "moving straight":
        shape = np.zeros((count, 2, 3))
        return Motion(turning(), middle, shape, half, radius, (turning(), size[:, 0, 0]))
    if hull == "straight":
        return Motion(turning(), middle, size * along * np.array([[1.0], [-1.0]]), half, radius)
    aside = unit(np.cross(along, rng.normal(size=(count, 1, 3))))
    corners = rng.uniform(0.3, 1.0, (count, 4, 1))
    shape = size * corners * np.stack([along, aside, -along, -aside], axis=1)[:, :, 0]
    return Motion(turning(), middle, shape, half, radius)


@dataclass(frozen=True)
class Pose:
    """n poses, each at a corner of its own cell: axis and edge's direction (n, 3), corners (n, v, 3)."""

    axis: Floats
    corners: Floats
    edge: Floats


def tightest(rng: np.random.Generator, count: int, hull: str) -> tuple[Local, Pose]:
    """Random poses, and cells whose remainders are what those poses need and no more.

    Slopes tell the whole change, a share of it, or nothing.
    """
    motion = random_motion(rng, count, hull)
    u = rng.choice([-1.0, 1.0], (count, 3)) * rng.uniform(0.0, 1.0, (count, 1)) ** 2
    told = rng.choice([0.0, 0.5, 1.0, 1.5], (count, 1, 1))
    exact = motion.local(np.abs(u))

    def split(before: Floats, after: Floats, slope: Floats) -> tuple[Floats, Floats]:
        return slope, np.abs(after - before - np.einsum("n...k,nk->n...", slope, u))

    axis, corners, edge, edge_motion = motion.axis.at(u), motion.corners(u), motion.separation(u).edge, None
    if motion.straight is not None:
        direction = motion.straight[0]
        edge = direction.at(u)
        edge_motion = split(direction.start, edge, told * direction.slope)
    axis_slope, axis_rest = split(exact.axis, axis, told * exact.axis_slope)
    every = np.broadcast_to(told[..., None] * exact.corner_slope, (*corners.shape, 3))
    corner_slope, corner_rest = split(exact.corners, corners, every)
    cells = replace(
        exact,
        corner_slope=corner_slope,
        corner_rest=corner_rest,
        axis_slope=axis_slope,
        axis_rest=axis_rest,
        edge_motion=edge_motion,
    )
    return cells, Pose(axis, corners, edge)


def one_motion(
    corners: object,
    *,
    half: float = 100.0,
    radius: float = 400.0,
    shift: object = ((0.0, 0.0, 0.0),),
    turn: object = (0.0, 0.0, 0.0),
    hull_turn: object | None = None,
) -> Motion:
    """A core with its axis along y past one hull.

    shift : shape (k, 3), way of the hull per unit of each freedom; turn, hull_turn : rotation vectors per unit of the
    last freedom, of core and, if given, of a hull that is a straight.
    """
    points = np.array([corners], dtype=np.float64)
    slope = np.array(shift, dtype=np.float64).T[None]
    count = slope.shape[2]
    middle = Moving(points.mean(axis=1), slope, np.zeros((1, 3, count, count)))
    shape = points - points.mean(axis=1, keepdims=True)
    straight = None
    if hull_turn is not None:
        half_hull = np.linalg.norm(shape[:, 1], axis=1)
        straight = (_turning(shape[:, 1] / half_hull[:, None], hull_turn, count), half_hull)
    axis = _turning(np.array([[0.0, 1.0, 0.0]]), turn, count)
    return Motion(axis, middle, shape, np.array([half]), np.array([radius]), straight)


def _first(values: Floats, count: int) -> Floats:
    return np.repeat(values[:1], count, axis=0)


def _turning(start: Floats, turn: object, count: int) -> Turning:
    vector = np.array([turn], dtype=np.float64)
    speed = float(np.linalg.norm(vector))
    about = vector / speed if speed else np.array([[1.0, 0.0, 0.0]])
    alpha = np.zeros((1, count))
    alpha[0, -1] = speed
    return Turning(start, about, about, alpha, np.zeros_like(alpha))
