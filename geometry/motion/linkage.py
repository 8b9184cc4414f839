"""The axle as a rigid body on its rods, or on leaf springs, solved by Newton.

Which sets of rods locate an axle
---------------------------------
A solid axle has six freedoms, two of which (travel left and right) must remain. Four rods take the other four:
triangulated four-link, three links and a lateral bar, two lower links and a wishbone (two rods sharing the joint on
the axle). A parallel four-link with a lateral bar has **five** rods, one more than rigid rods allow: only special
ones (all four links equal and parallel, straight bump) can move at all without something giving. It is treated as
builders know it, with bushings that give.

One rod too many means one state of self-stress: a ratio w of rod forces that is in balance with no load on the
axle. With equally stiff rods the change of the rods' lengths that makes ½ Σ Δlᵢ² least is s · w (stationarity of the
sum under the closure equations). w is taken at ride height and held over the travel, s becomes one more unknown, and
its value is reported as `give`; |w| is at most 1, so no rod changes by more. With four rods it is zero.
Against the true least sum, pose by pose, usual layouts differ by under 0.5 mm at 150 mm crossed travel.

Closure equations, for a rod of length l from chassis p to the joint a on the axle, d = c + R a − p:
    (|d|² − l²) / 2l = s wᵢ        and, at both stop stations,        (c + R (0, ±b, 0))·z = height + travel.

Two leaf springs (`geometry.motion.leaf`) have a rod each, from the fixed eye. A law for the pitch and the centre plane
for what lies midway between the seats make up the four; both shackles' eyes, in planes of their own, are four unknowns
more, with the lengths of shackle arm and shackle as equations.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import ceil
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from geometry.errors import LinkageError
from geometry.motion.leaf import Leaves, leaves_of
from geometry.motion.leaf_law import Law, law_end, pitch_law
from geometry.rig.axle import Axle
from geometry.tolerances import CLOSURE, SHORTEST_TRAVEL, TRAVEL_STEP

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Place = tuple[float, float, float]

_NEWTON_LIMIT: Final = 12
"""Newton doubles its digits each time; a start that has not closed by then is not going to."""

_STRIDE: Final = 0.25
"""Largest Newton step over the linkage's lever [-]: keeps a stray start from spinning the axle around."""

_STOP_SIDES: Final[Floats] = np.array([1.0, -1.0])
_UP: Final[Floats] = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Linkage:
    """What locates an axle and how far it travels; independent of its width.

    Attributes
    ----------
    axle : str
        Id of the axle.
    centre : tuple
        Axle centre at ride height, rig's frame [mm].
    chassis_points, axle_points : tuple of tuples
        The rods' joints on the chassis in the rig's frame, and on the axle in the axle's frame: origin in the
        axle's centre, axes parallel to the rig's at ride height [mm].
    stop_station, bump, droop : float
        As in the rig's Axle [mm].
    leaves : Leaves or None
        Leaf springs in place of rods; the joints are then those of their fixed arms, left and right.

    """

    axle: str
    centre: Place
    chassis_points: tuple[Place, ...]
    axle_points: tuple[Place, ...]
    stop_station: float
    bump: float
    droop: float
    leaves: Leaves | None = None

    @cached_property
    def anchors(self) -> Floats:
        """Joints on the chassis, shape (m, 3) [mm]."""
        return np.array(self.chassis_points, dtype=np.float64)

    @cached_property
    def arms(self) -> Floats:
        """Joints on the axle, then left and right stop station, axle's frame, shape (m + 2, 3) [mm]."""
        stops = [(0.0, self.stop_station, 0.0), (0.0, -self.stop_station, 0.0)]
        return np.array([*self.axle_points, *stops], dtype=np.float64)

    @cached_property
    def rods(self) -> Floats:
        """Each rod at ride height, from chassis to axle, shape (m, 3) [mm]."""
        rods: Floats = np.array(self.centre) + self.arms[:-2] - self.anchors
        return rods

    @cached_property
    def lengths(self) -> Floats:
        """Lengths of the rods, shape (m,) [mm]."""
        lengths: Floats = np.linalg.norm(self.rods, axis=1)
        return lengths

    @cached_property
    def lever(self) -> float:
        """Farthest joint or stop station from the axle's centre: turns rotations into lengths [mm]."""
        arms = self.arms if self.leaves is None else np.vstack([self.arms, self.leaves.arms])
        return float(np.linalg.norm(arms, axis=1).max())

    @property
    def travel_half(self) -> float:
        """Half of the travel that is tabulated [mm]."""
        return max((self.bump + self.droop) / 2.0, SHORTEST_TRAVEL)

    @property
    def gives(self) -> bool:
        """Whether there is a fifth rod, which makes the others give."""
        return len(self.chassis_points) == 5

    @cached_property
    def eyes(self) -> Floats:
        """Leaf springs' shackle eyes at ride height, forward and up, left and right, shape (4,) or (0,) [mm]."""
        eyes: Floats = np.zeros(0) if self.leaves is None else self.leaves.eyes[:, ::2].ravel()
        return eyes

    @cached_property
    def shackle_lengths(self) -> Floats:
        """Of the shackle arms' rods, left and right, then of the shackles, shape (4,) [mm]; without leaf springs (0,).

        In space: what lies across counts, too.
        """
        if self.leaves is None:
            return np.zeros(0)
        lengths: Floats = np.linalg.norm(_leaf_rods(self.leaves, ride_height(self))[0], axis=1)
        return lengths

    @cached_property
    def law(self) -> Law:
        """The pitch of a leaf spring over its travel.

        Raises
        ------
        LinkageError
            Where its arms or its shackle do not reach over all of it.

        """
        return _law(self)

    def pitch(self, left: Floats, right: Floats) -> tuple[Floats, Floats, Floats]:
        """Sine of the pitch that leaf springs give the axle, and its slopes by left and right travel, each (n,)."""
        share, law = self._near_share, self.law
        near, far = (share * one + (1.0 - share) * other for one, other in ((left, right), (right, left)))
        steep, flat = law.slope(near), law.slope(far)
        mean = 0.5 * (law.at(near) + law.at(far))
        return (
            mean,
            0.5 * (share * steep + (1.0 - share) * flat),
            0.5 * ((1.0 - share) * steep + share * flat),
        )

    @property
    def _near_share(self) -> float:
        """What the travel at the left stop counts in that of the axle's line above the left spring [-]."""
        across = 0.0 if self.leaves is None else self.leaves.seat[1]
        return 0.5 + 0.5 * across / self.stop_station

    @cached_property
    def self_stress(self) -> Floats:
        """How the rods share what a fifth one forces on them, shape (m,), largest is 1 [-]; zeros without one."""
        if not self.gives:
            return np.zeros(len(self.chassis_points))
        rows = _rows(self, np.array([self.centre]), np.eye(3)[None])[0]
        free = np.linalg.svd(rows[-2:])[2][2:]
        stress: Floats = np.linalg.svd(rows[:-2] @ free.T)[0][:, -1]
        stress /= stress[np.argmax(np.abs(stress))]
        return stress


@dataclass(frozen=True)
class AxlePoses:
    """A batch of poses.

    Attributes
    ----------
    centre : array, shape (n, 3)
        Axle centre, rig's frame [mm].
    rotation : array, shape (n, 3, 3)
        Axle's frame to rig's frame.
    residual : array, shape (n,)
        Largest error left in a closure equation [mm].
    give : array, shape (n,)
        Stretch of the rod that a fifth rod stretches or shortens most, the s of the closure equations [mm]; zero
        with four rods.
    converged : array of bool, shape (n,)
        Residual under CLOSURE and, where the pose was followed from ride height, no singular pose on the way.
    eyes : array, shape (n, 4) or (n, 0)
        As in Linkage [mm].

    """

    centre: Floats
    rotation: Floats
    residual: Floats
    give: Floats
    converged: Flags
    eyes: Floats


def linkage_of(axle: Axle) -> Linkage:
    """The linkage of an axle of the rig."""
    x, z = axle.station, axle.height
    leaves = leaves_of(axle)
    if leaves is not None:
        return _linkage_on(leaves, axle)
    axle_points = tuple((rod.axle[0] - x, rod.axle[1], rod.axle[2] - z) for rod in axle.rods)
    return Linkage(
        axle=axle.id,
        centre=(x, 0.0, z),
        chassis_points=tuple(rod.chassis for rod in axle.rods),
        axle_points=axle_points,
        stop_station=axle.stop_station,
        bump=axle.bump,
        droop=axle.droop,
    )


def _linkage_on(leaves: Leaves, axle: Axle) -> Linkage:
    (x, y, z), (u, v, w) = leaves.fixed_eye, leaves.fixed_arm
    return Linkage(
        axle=axle.id,
        centre=(axle.station, 0.0, axle.height),
        chassis_points=((x, y, z), (x, -y, z)),
        axle_points=((u, v, w), (u, -v, w)),
        stop_station=axle.stop_station,
        bump=axle.bump,
        droop=axle.droop,
        leaves=leaves,
    )


def _law(linkage: Linkage) -> Law:
    middle, reach = (linkage.bump - linkage.droop) / 2.0, linkage.travel_half
    leaves = linkage.leaves
    if leaves is None:
        raise ValueError("expected leaf springs, got rods")
    reach *= max(1.0, leaves.seat[1] / linkage.stop_station)
    law = pitch_law(leaves, linkage.centre, middle - reach, middle + reach)
    if np.isfinite(law.coefficients).all():
        return law
    way = law_end(leaves, linkage.centre, middle - reach, middle + reach)
    words = f"{abs(way):.0f} mm {'bump' if way >= 0.0 else 'droop'}"
    raise LinkageError(
        linkage.axle,
        f"axle {linkage.axle}, {words}: the leaf springs let go, their arms and shackles reach no further; "
        "limit the travel or move the shackles' pivots",
        way,
        way,
    )


def solve(linkage: Linkage, left: ArrayLike, right: ArrayLike, start: AxlePoses | None = None) -> AxlePoses:
    """Poses of the axle at given travels.

    Parameters
    ----------
    linkage : Linkage
    left, right : array, shape (n,)
        Travel at the stop stations, bump positive [mm].
    start : AxlePoses or None
        Where Newton starts, n poses; None = each pose is followed from ride height in steps of TRAVEL_STEP.

    """
    travels = np.stack(np.broadcast_arrays(np.atleast_1d(left), np.atleast_1d(right)), axis=-1).astype(np.float64)
    if start is not None:
        return _newton(linkage, travels, start)
    poses = ride_height(linkage, len(travels))
    sign = signature(linkage, poses)
    followed = np.ones(len(travels), dtype=np.bool_)
    steps = max(1, ceil(float(np.abs(travels).max(initial=0.0)) / TRAVEL_STEP))
    for step in range(1, steps + 1):
        poses = _newton(linkage, travels * (step / steps), poses)
        followed &= poses.converged & (signature(linkage, poses) == sign)
    return AxlePoses(poses.centre, poses.rotation, poses.residual, poses.give, followed, poses.eyes)


def ride_height(linkage: Linkage, count: int = 1) -> AxlePoses:
    """The pose at ride height as drawn, `count` times; it is closed by definition, but for the wind-up of springs."""
    return AxlePoses(
        centre=np.tile(np.array(linkage.centre), (count, 1)),
        rotation=np.tile(np.eye(3), (count, 1, 1)),
        residual=np.zeros(count),
        give=np.zeros(count),
        converged=np.ones(count, dtype=np.bool_),
        eyes=np.tile(linkage.eyes, (count, 1)),
    )


def jacobian(linkage: Linkage, poses: AxlePoses) -> Floats:
    """Derivatives of the closure equations, shape (n, k, k), k = rods + 2 or, on leaf springs, 10 [-].

    Columns: centre, rotation vector times lever, and with five rods the common give, on leaf springs their shackles'
    eyes. Its smallest singular value is the play that 1 mm of movement of the axle needs in the rods.
    """
    rows = _rows(linkage, poses.centre, poses.rotation)
    if linkage.leaves is not None:
        return _with_leaves(linkage, linkage.leaves, rows, poses)
    if not linkage.gives:
        return rows
    column = np.concatenate([-linkage.self_stress, np.zeros(2)])
    return np.concatenate([rows, np.broadcast_to(column[:, None], (*rows.shape[:2], 1))], axis=2)


def travel_rates(linkage: Linkage, poses: AxlePoses, left: float, right: float) -> Floats:
    """What `jacobian` times the rates of its columns must be for travels that change at these rates, shape (n, k)."""
    rods = len(linkage.chassis_points)
    count = 10 if linkage.leaves is not None else rods + 2
    rates = np.zeros((len(poses.centre), count))
    rates[:, rods], rates[:, rods + 1] = left, right
    if linkage.leaves is not None:
        rise, lean = poses.centre[:, 2] - linkage.centre[2], linkage.stop_station * poses.rotation[:, 2, 1]
        _, by_left, by_right = linkage.pitch(rise + lean, rise - lean)
        rates[:, 4] = linkage.lever * (by_left * left + by_right * right)
    return rates


def signature(linkage: Linkage, poses: AxlePoses) -> Floats:
    """Sign of the Jacobian's determinant, shape (n,): it changes only through a singular pose."""
    sign: Floats = np.linalg.slogdet(jacobian(linkage, poses))[0]
    return sign


def displaced(linkage: Linkage, poses: AxlePoses, steps: Floats) -> AxlePoses:
    """The poses moved by steps of shape (n, k) in the columns of `jacobian`; nothing is solved."""
    return AxlePoses(
        centre=poses.centre + steps[:, :3],
        rotation=_turned(poses.rotation, steps[:, 3:6] / linkage.lever),
        residual=np.full(len(steps), np.inf),
        give=poses.give + (steps[:, 6:].sum(axis=1) if linkage.gives else 0.0),
        converged=np.zeros(len(steps), dtype=np.bool_),
        eyes=poses.eyes + (steps[:, 6:] if linkage.leaves is not None else 0.0),
    )


def joint_places(linkage: Linkage, poses: AxlePoses) -> Floats:
    """Where the rods' joints on the axle lie, rig's frame, shape (n, m, 3) [mm]."""
    places: Floats = poses.centre[:, None] + linkage.arms[:-2] @ poses.rotation.transpose(0, 2, 1)
    return places


def _newton(linkage: Linkage, travels: Floats, start: AxlePoses) -> AxlePoses:
    poses = start
    errors = _errors(linkage, travels, poses)
    for _ in range(_NEWTON_LIMIT):
        steps = -_solved(jacobian(linkage, poses), errors)
        size = np.abs(steps).max(axis=1)
        steps *= np.minimum(1.0, _STRIDE * linkage.lever / np.maximum(size, 1.0))[:, None]
        poses = displaced(linkage, poses, steps)
        errors = _errors(linkage, travels, poses)
        if np.abs(errors).max(initial=0.0) < CLOSURE:
            break
    residual = np.abs(errors).max(axis=1)
    return AxlePoses(poses.centre, poses.rotation, residual, poses.give, residual < CLOSURE, poses.eyes)


def _errors(linkage: Linkage, travels: Floats, poses: AxlePoses) -> Floats:
    """Closure equations, shape (n, k) [mm].

    |d|² − l² is taken as e·(2 d₀ + e) with d₀ the rod at ride height and e the way of its joint on the axle, which
    does not cancel however long the rod is.
    """
    moved = joint_places(linkage, poses) - linkage.arms[:-2] - np.array(linkage.centre)
    rods = (moved * (2.0 * linkage.rods + moved)).sum(axis=2) / (2.0 * linkage.lengths)
    heights = poses.centre[:, 2:] + linkage.stop_station * _STOP_SIDES * poses.rotation[:, 2, 1:2]
    closed = [rods - poses.give[:, None] * linkage.self_stress, heights - linkage.centre[2] - travels]
    if linkage.leaves is not None:
        closed += _leaf_errors(linkage, linkage.leaves, travels, poses)
    return np.concatenate(closed, axis=1)


def _leaf_errors(linkage: Linkage, leaves: Leaves, travels: Floats, poses: AxlePoses) -> list[Floats]:
    """Closure of pitch and side, shape (n, 2), and of shackle arms and shackles, shape (n, 4) [mm]."""
    pitch = linkage.lever * (poses.rotation[:, 2, 0] - linkage.pitch(travels[:, 0], travels[:, 1])[0])
    side = poses.centre[:, 1] + poses.rotation[:, 1, ::2] @ np.array(leaves.seat)[::2]
    rods, ride = _leaf_rods(leaves, poses), _leaf_rods(leaves, ride_height(linkage))
    moved = rods - ride
    lengths = (moved * (2.0 * ride + moved)).sum(axis=2) / (2.0 * linkage.shackle_lengths)
    return [np.stack([pitch, side], axis=1), lengths]


def _leaf_rods(leaves: Leaves, poses: AxlePoses) -> Floats:
    """Shackle arms from axle to eye, left and right, then shackles from pivot to eye, shape (n, 4, 3) [mm]."""
    eyes = np.empty((len(poses.centre), 2, 3))
    eyes[:, :, ::2], eyes[:, :, 1] = poses.eyes.reshape(-1, 2, 2), leaves.eyes[:, 1]
    on_axle = poses.centre[:, None] + leaves.arms @ poses.rotation.transpose(0, 2, 1)
    return np.concatenate([eyes - on_axle, eyes - leaves.pivots], axis=1)


def _with_leaves(linkage: Linkage, leaves: Leaves, rows: Floats, poses: AxlePoses) -> Floats:
    """`jacobian` on leaf springs, whose first rows are `rows`."""
    jacobian = np.zeros((len(rows), 10, 10))
    jacobian[:, :4, :6] = rows
    forward = poses.rotation[:, :, 0]
    # δ(R a) = δω × R a: of the forward axis' rise, and of the seats' middle to the side
    jacobian[:, 4, 3:6] = np.stack([forward[:, 1], -forward[:, 0], np.zeros(len(rows))], axis=1)
    middle = poses.rotation[:, :, ::2] @ np.array(leaves.seat)[::2]
    jacobian[:, 5, 1] = 1.0
    jacobian[:, 5, 3:6] = np.stack([-middle[:, 2], np.zeros(len(rows)), middle[:, 0]], axis=1) / linkage.lever
    rods = _leaf_rods(leaves, poses)
    pulls = rods / linkage.shackle_lengths[:, None]
    arms = leaves.arms @ poses.rotation.transpose(0, 2, 1)
    jacobian[:, 6:8, :3] = -pulls[:, :2]
    jacobian[:, 6:8, 3:6] = -_across(arms, pulls[:, :2]) / linkage.lever
    for side in range(2):
        eye = slice(6 + 2 * side, 8 + 2 * side)
        jacobian[:, 6 + side, eye] = pulls[:, side, ::2]
        jacobian[:, 8 + side, eye] = pulls[:, 2 + side, ::2]
    return jacobian


def _rows(linkage: Linkage, centre: Floats, rotation: Floats) -> Floats:
    """Derivatives by centre and lever · rotation vector: (d / l, R a × d / l), and (z, R b × z) at the stops."""
    arms = linkage.arms @ rotation.transpose(0, 2, 1)
    pulls = np.empty_like(arms)
    pulls[:, :-2] = (centre[:, None] + arms[:, :-2] - linkage.anchors) / linkage.lengths[:, None]
    pulls[:, -2:] = _UP
    return np.concatenate([pulls, _across(arms, pulls) / linkage.lever], axis=2)


def _solved(matrices: Floats, errors: Floats) -> Floats:
    right_hand = errors[..., None].astype(np.float64)
    try:
        steps = np.linalg.solve(matrices, right_hand)[..., 0]
    except np.linalg.LinAlgError:  # one exactly singular pose would take the whole batch with it
        steps = (np.linalg.pinv(matrices) @ right_hand)[..., 0]
    return steps.astype(np.float64)


def _turned(rotation: Floats, by: Floats) -> Floats:
    """exp([by]×) · rotation (Rodrigues), so that rotations stay orthonormal; `by` of shape (n, 3) [rad]."""
    angle = np.linalg.norm(by, axis=1)[:, None, None]
    once = _crossed(by, rotation)
    twice = _crossed(by, once)
    turned: Floats = rotation + np.sinc(angle / np.pi) * once + 0.5 * np.sinc(angle / (2.0 * np.pi)) ** 2 * twice
    return turned


def _crossed(by: Floats, columns: Floats) -> Floats:
    """Cross product `by` × each column, shapes (n, 3) and (n, 3, 3)."""
    return _across(by[:, None], columns.transpose(0, 2, 1)).transpose(0, 2, 1)


def _across(one: Floats, other: Floats) -> Floats:
    """Cross products along the last axis: `numpy.cross` without the time that it takes to look at its arguments."""
    (a, b, c), (x, y, z) = (each.transpose(-1, *range(each.ndim - 1)) for each in (one, other))
    return np.stack([b * z - c * y, c * x - a * z, a * y - b * x], axis=-1)
