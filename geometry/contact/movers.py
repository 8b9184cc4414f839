"""The parts that an axle moves, as one table of solids whose place is known for every pose, with bounds.

A solid is a core swept by a ball: the core a flat-ended cylinder (tire), a line (link, housing tube) or a point
(centre section). With the pose map's centre c(t) and rotation R(t) over travel t = (left, right), steer δ and
change of width w, each solid's centre p and axis a are

    p = P⁰ + μ c + R (P + Pᶜ cos δ + Pˢ sin δ + w Pʷ)
    v = A⁰ + ν c + R (A + Aᶜ cos δ + Aˢ sin δ),        a = v / |v|

where δ is the turn of that wheel about its kingpin, the steer itself or what the tie rod makes of it and of the width
(`geometry.motion.steering.turns`); which is exact for tires (they turn about the kingpin and move outward by half the
change of width), for the housing, and for links, whose v reaches from joint to joint in lengths of the drawn rod. |v|
is 1 up to the table's error, only links of five rods, which give, change it for good. So slopes and bounds of links are
those of v / |v|: with ρ = |v|, differentiating v = ρ a by two freedoms i and j gives

    ρ aᵢ = vᵢ − ρᵢ a,        ρ aᵢⱼ = vᵢⱼ − ρᵢⱼ a − ρᵢ aⱼ − ρⱼ aᵢ,

where ρ and its derivatives follow from ρ² = |v|², which is a polynomial like v. Halves of a shock keep their length and
lie on the line from eye to eye, so that s a is added to p, s being a fixed way from the eye; likewise to its slopes.

A tie rod hangs on both knuckles, which turn by δ and ε: to P and A come Pᶜ′ cos ε + Pˢ′ sin ε and so on, and its v, in
lengths of the rod at the width of the table, is also longer by w / ℓ. With ρ = 1 + w / ℓ = |v| then

    aᵢⱼ = vᵢⱼ / ρ,    aᵢ_w = vᵢ_w / ρ − vᵢ / ℓρ²,    a_w_w = v_w_w / ρ − 2 v_w / ℓρ² + 2 v / ℓ²ρ³.

A leaf spring's shackle arm reaches from the axle to the shackle's eye e(t), and its shackle from there to the chassis:
to their p comes κ e and to their v ω e, e without its place across, which P⁰ and A⁰ hold.

Bounds on second derivatives come from sums of absolute Chebyshev coefficients, since |Tₙ| ≤ 1 on the whole
domain: they hold everywhere, not only where somebody looked. For the steered part |A cos δ + B sin δ| ≤ hypot(A, B),
and with bounds on the slopes of δ by steer and width (`geometry.motion.turn_bounds`) the chain rule does the rest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from geometry.motion.enclosure import chebyshev_coefficients, chebyshev_points
from geometry.motion.pose_map import PoseMap
from geometry.motion.steering import turns
from geometry.motion.turn_bounds import TurnBounds, turn_bounds
from geometry.rig.layout import PartRef
from geometry.rig.turn_law import TurnLaw

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

LEFT, RIGHT, STEER, WIDTH = range(4)
"""The freedoms, in this order everywhere: travel left, travel right [mm], steer [rad], change of width [mm]."""

POSE_LEVER: Final = 10_000.0
"""Lever on which an error of the tabulated rotation is charged to a clearance [mm]; longer than any sum of
levers that enters a bound (solid's reach, ten radii, distance to the far end of a bar)."""


SHORTEST: Final = 1e-12
"""Least square of a link's length over the drawn one that is reckoned with [-]. A link that may give more than its own
length gets bounds so large by it that no search proves anything about it."""


NONE: Final[Indices] = np.zeros(0, dtype=np.intp)

UNPROVED: Final = TurnBounds(1e3, 1e3, 1e3, 1e3, 1e3)
"""What is reckoned with where a turn has no proved bounds: so much that no search proves anything about it."""


@dataclass(frozen=True)
class Solid:
    """One moving solid, see the module's formulas.

    Attributes
    ----------
    part : PartRef
    half_length, core_radius, skin : float
        Core's half length along its axis, core's radius, radius of the ball that sweeps it [mm].
    place : array, shape (5, 3)
        P⁰, P, Pᶜ, Pˢ, Pʷ.
    place_scale : float
        μ.
    axis : array, shape (4, 3)
        A⁰, A, Aᶜ, Aˢ.
    axis_scale : float
        ν.
    half_by_width : float
        What the half length gains per mm of width [-].
    wheel : float
        +1 = turns as the left wheel, −1 = as the right one, 0 = by the steer itself.
    across : array, shape (4, 3), or None
        Of a tie rod, whose `wheel` is +1: Pᶜ′, Pˢ′, Aᶜ′, Aˢ′, by the right wheel's turn.
    length : float
        Of a tie rod, joint to joint, at the width of the table [mm]; 0 = anything else.
    along : float
        s: the centre lies so far from p along the axis [mm]; only with ν, and so for what reaches from joint to joint.
    eye : int
        Of which shackle the eye e is: 0 = left, 1 = right, -1 = of none.
    place_eye, axis_eye : float
        κ and ω.

    """

    part: PartRef
    half_length: float
    core_radius: float
    skin: float
    place: Floats
    place_scale: float
    axis: Floats
    axis_scale: float
    half_by_width: float = 0.0
    wheel: float = 0.0
    across: Floats | None = None
    length: float = 0.0
    along: float = 0.0
    eye: int = -1
    place_eye: float = 0.0
    axis_eye: float = 0.0


@dataclass(frozen=True)
class Placement:
    """Where n solids are, each in its own pose.

    Attributes
    ----------
    centre, axis : array, shape (n, 3) [mm], [-]
    centre_slope, axis_slope : array, shape (n, 3, 4)
        Derivatives by left, right, steer and width.

    """

    centre: Floats
    axis: Floats
    centre_slope: Floats
    axis_slope: Floats


class Movers:
    """All moving solids of one axle in arrays, on one pose map.

    Attributes
    ----------
    half_length, half_by_width, core_radius, skin : array, shape (m,)
    along : array, shape (m,)
    eye : array of int, shape (m,)
    eye_scale : array, shape (m, 2)
        κ and ω.
    centre_curvature, axis_curvature : array, shape (m, 3, 4, 4)
        Bound on every second derivative of each component over the whole domain.
    half_most : array, shape (m,)
        Half length at the largest width [mm].
    centre_reach, axis_reach, end_reach : array, shape (m, 4, 4)
        The same for the length of the centre's, the axis's and a core end's second derivative; of the end as it is at
        one width.
    curving : array, shape (m, 4)
        Root of how strongly the solid's farthest point curves along each freedom alone.
    margin : float
        What an error of the tabulated pose can take off any clearance [mm].
    steered, widened, carried : array of bool, shape (m,)
        What moves with the steer, with the width, and with the axle as a whole.
    law : TurnLaw or None
        Of the wheels, at the width of the table; it holds for steers up to `most` [rad].
    wheel : array, shape (m,)
    bounds : TurnBounds
        On the slopes of the wheels' turns.

    """

    def __init__(
        self,
        solids: Sequence[Solid],
        pose_map: PoseMap,
        width_reach: float = 0.0,
        law: TurnLaw | None = None,
        most: float = 0.0,
    ) -> None:
        self.solids = tuple(solids)
        self.law, self.bounds = law, turn_bounds(law, most, width_reach) or UNPROVED
        self.wheel = np.array([s.wheel for s in solids])
        self._reach = width_reach
        self.across = np.array([np.zeros((4, 3)) if s.across is None else s.across for s in solids])
        self.per_length = np.array([1.0 / s.length if s.length else 0.0 for s in solids])
        self._ties = bool(self.per_length.any())
        self.pose_map = pose_map
        self.half_length = np.array([s.half_length for s in solids])
        self.core_radius = np.array([s.core_radius for s in solids])
        self.skin = np.array([s.skin for s in solids])
        self.half_by_width = np.array([s.half_by_width for s in solids])
        self._place = np.array([s.place for s in solids])
        self._place_scale = np.array([s.place_scale for s in solids])
        self._axis = np.array([s.axis for s in solids])
        self._axis_scale = np.array([s.axis_scale for s in solids])
        self.along = np.array([s.along for s in solids])
        self.steered = np.any(self._place[:, 2:4] != 0.0, axis=(1, 2)) | np.any(self._axis[:, 2:] != 0.0, axis=(1, 2))
        self.widened = np.any(self._place[:, 4] != 0.0, axis=1) | (self.half_by_width != 0.0) | (self.per_length != 0.0)
        self.widened |= self.steered & (law is not None)
        free = np.any(self._place[:, 0] != 0.0, axis=1) | (self._place_scale != 1.0) | (self._axis_scale != 0.0)
        self.carried = ~(free | np.any(self._axis[:, 0] != 0.0, axis=1))
        self.eye = np.array([s.eye for s in solids], dtype=np.intp)
        self.eye_scale = np.array([(s.place_eye, s.axis_eye) for s in solids])
        self._eyed = bool((self.eye >= 0).any())
        self.margin = pose_map.position_error + POSE_LEVER * pose_map.rotation_error
        if self._eyed:
            self.margin += pose_map.eye_error * float((np.abs(self.eye_scale) @ [1.0, POSE_LEVER]).max())
        nothing = np.zeros(3)
        bounds = [
            (
                self._curvature(s.place_scale, s.place[1:], width_reach),
                self._turning(s) if s.axis_scale else self._curvature(0.0, np.vstack([s.axis[1:], nothing]), 0.0),
            )
            for s in solids
        ]
        for row in np.flatnonzero(self.per_length).tolist():
            bounds[row] = self._tied(self.solids[row])
        for row in np.flatnonzero(self.eye >= 0).tolist():
            bounds[row] = self._hung(self.solids[row])
        self.axis_curvature = np.array([b[1] for b in bounds])
        self.centre_curvature = np.array([b[0] for b in bounds])
        self.centre_curvature += np.abs(self.along)[:, None, None, None] * self.axis_curvature
        self.centre_reach = np.sqrt((self.centre_curvature**2).sum(axis=1))
        self.axis_reach = np.sqrt((self.axis_curvature**2).sum(axis=1))
        self.half_most = self.half_length + self.half_by_width * width_reach
        self.end_reach = self.centre_reach + self.half_most[:, None, None] * self.axis_reach
        levers = np.hypot(self.half_length, self.core_radius)[:, None]
        own = np.arange(4), np.arange(4)
        self.curving = np.sqrt(self.centre_reach[:, *own] + levers * self.axis_reach[:, *own])
        # Width alone moves every solid straight; what curves is width and travel together.
        self.curving[:, WIDTH] = self.curving[:, [LEFT, RIGHT]].max(axis=1) / 2.0

    def half_at(self, which: Indices, width: Floats) -> Floats:
        """Half lengths of solids `which` at those changes of width, shape (n,) [mm]."""
        return np.asarray(self.half_length[which] + self.half_by_width[which] * width)

    def at(self, which: Indices, q: Floats) -> Placement:
        """Place solids `which`, shape (n,), in poses `q`, shape (n, 4): left, right, steer, change of width."""
        values, by_left, by_right = self.pose_map.evaluate(q[:, LEFT], q[:, RIGHT])
        turn, rate, by_width = turns(self.law, self.wheel[which], q[:, STEER], q[:, WIDTH])
        cos, sin = np.cos(turn)[:, None], np.sin(turn)[:, None]
        place, axis = self._place[which], self._axis[which]
        arms = np.empty((len(which), 3, 5))
        arms[:, :, 0] = place[:, 1] + cos * place[:, 2] + sin * place[:, 3] + q[:, WIDTH, None] * place[:, 4]
        arms[:, :, 1] = cos * place[:, 3] - sin * place[:, 2]
        arms[:, :, 2] = place[:, 4]
        arms[:, :, 3] = axis[:, 1] + cos * axis[:, 2] + sin * axis[:, 3]
        arms[:, :, 4] = cos * axis[:, 3] - sin * axis[:, 2]
        rods = np.flatnonzero(self.per_length[which]) if self._ties else NONE
        if len(rods):
            more = self._other_arms(which[rods], q[rods])
            arms[rods, :, 0] += more[:, :, 0]
            arms[rods, :, 3] += more[:, :, 3]
        turned = values[:, 3:].reshape(-1, 3, 3) @ arms
        turned_left = by_left[:, 3:].reshape(-1, 3, 3) @ arms[:, :, 0:4:3]
        turned_right = by_right[:, 3:].reshape(-1, 3, 3) @ arms[:, :, 0:4:3]
        mu, nu = self._place_scale[which][:, None], self._axis_scale[which][:, None]
        centre_slope = np.empty((len(which), 3, 4))
        centre_slope[:, :, LEFT] = mu * by_left[:, :3] + turned_left[:, :, 0]
        centre_slope[:, :, RIGHT] = mu * by_right[:, :3] + turned_right[:, :, 0]
        centre_slope[:, :, STEER] = turned[:, :, 1] * rate[:, None]
        centre_slope[:, :, WIDTH] = turned[:, :, 2] + turned[:, :, 1] * by_width[:, None]
        axis_slope = np.empty((len(which), 3, 4))
        axis_slope[:, :, LEFT] = nu * by_left[:, :3] + turned_left[:, :, 1]
        axis_slope[:, :, RIGHT] = nu * by_right[:, :3] + turned_right[:, :, 1]
        axis_slope[:, :, STEER] = turned[:, :, 4] * rate[:, None]
        axis_slope[:, :, WIDTH] = turned[:, :, 4] * by_width[:, None]
        if len(rods):
            slopes = values[rods, 3:].reshape(-1, 3, 3) @ more
            centre_slope[rods, :, STEER:] += slopes[:, :, 1:3]
            axis_slope[rods, :, STEER:] += slopes[:, :, 4:]
        direction = axis[:, 0] + nu * values[:, :3] + turned[:, :, 3]
        centre = place[:, 0] + mu * values[:, :3] + turned[:, :, 0]
        if self._eyed:
            self._add_eyes(which, q, (centre, direction), (centre_slope, axis_slope))
        # An axis short by 1e-9 would move a rim by 4e-5 of its radius: normalise after every interpolation.
        length = np.sqrt(np.einsum("ni,ni->n", direction, direction))[:, None]
        direction /= length
        links = np.flatnonzero(nu[:, 0] + self.per_length[which]) if self._ties else np.flatnonzero(nu)
        stretch = np.einsum("ni,nij->nj", direction[links], axis_slope[links])
        axis_slope[links] -= direction[links, :, None] * stretch[:, None]
        axis_slope[links] /= length[links, :, None]
        shifted = np.flatnonzero(self.along[which])
        along = self.along[which[shifted], None]
        centre[shifted] += along * direction[shifted]
        centre_slope[shifted] += along[:, :, None] * axis_slope[shifted]
        return Placement(centre, direction, centre_slope, axis_slope)

    def _other_arms(self, which: Indices, q: Floats) -> Floats:
        """What the right wheel's turn and the width add to tie rods, axle's frame, shape (n, 3, 6).

        Place, its slopes by steer and width, direction in lengths of the rod, and its slopes by steer and width.
        """
        turn, rate, by_width = (each[:, None] for each in turns(self.law, -1.0, q[:, STEER], q[:, WIDTH]))
        cos, sin, across = np.cos(turn), np.sin(turn), self.across[which]
        wider = self.per_length[which][:, None] * np.array([0.0, 1.0, 0.0])
        place, place_by = cos * across[:, 0] + sin * across[:, 1], cos * across[:, 1] - sin * across[:, 0]
        axis, axis_by = cos * across[:, 2] + sin * across[:, 3], cos * across[:, 3] - sin * across[:, 2]
        columns = [place, place_by * rate, place_by * by_width]
        columns += [axis + q[:, WIDTH, None] * wider, axis_by * rate, axis_by * by_width + wider]
        return np.stack(columns, axis=2)

    def _add_eyes(self, which: Indices, q: Floats, ways: tuple[Floats, Floats], slopes: tuple[Floats, Floats]) -> None:
        """Add what shackles' eyes make of centre and direction, and of their slopes."""
        rows = np.flatnonzero(self.eye[which] >= 0)
        if len(rows) == 0:
            return
        found = self.pose_map.evaluate_eyes(q[rows, LEFT], q[rows, RIGHT])
        side = np.arange(len(rows)), self.eye[which[rows]]
        eye, by_left, by_right = (each[side] for each in found)
        for column, (way, slope) in enumerate(zip(ways, slopes, strict=True)):
            scale = self.eye_scale[which[rows], column, None]
            way[rows] += scale * eye
            slope[rows, :, LEFT] += scale * by_left
            slope[rows, :, RIGHT] += scale * by_right

    def _hung(self, solid: Solid) -> tuple[Floats, Floats]:
        """Bounds on second derivatives of the centre and axis of what hangs on a shackle's eye."""
        way = self._way(solid.place_scale, solid.place[1], solid.eye, solid.place_eye)
        bound = np.zeros((3, 4, 4))
        for row, column, orders in ((LEFT, LEFT, (2, 0)), (LEFT, RIGHT, (1, 1)), (RIGHT, RIGHT, (0, 2))):
            bound[:, row, column] = bound[:, column, row] = _sup(way, orders, self.pose_map.half)
        return bound, self._turning(solid)

    def _way(self, scale: float, arm: Floats, eye: int, share: float) -> Floats:
        """Coefficients of scale · c + R arm + share · e, shape (n + 1, n + 1, 3)."""
        table = self.pose_map.coefficients
        way: Floats = scale * table[:, :, :3] + table[:, :, 3:].reshape(*table.shape[:2], 3, 3) @ arm
        if eye >= 0:
            way[:, :, ::2] += share * self.pose_map.eyes[:, :, 2 * eye : 2 * eye + 2]
        return way

    def _tied(self, rod: Solid) -> tuple[Floats, Floats]:
        """Bounds on second derivatives of a tie rod's centre and of its axis v / |v|, see the module's formulas."""
        reach, per, nothing = self._reach, 1.0 / rod.length, np.zeros(3)
        other = np.zeros((4, 3)) if rod.across is None else rod.across
        own, others = np.vstack([rod.axis[1:], [0.0, per, 0.0]]), np.array([nothing, *other[2:], nothing])
        centre = self._curvature(rod.place_scale, rod.place[1:], reach)
        centre = centre + self._curvature(0.0, np.array([nothing, *other[:2], nothing]), reach)
        second = self._curvature(0.0, own, reach) + self._curvature(0.0, others, reach)
        first = self._speed(own) + self._speed(others)
        least, most = max(1.0 - reach * per, SHORTEST), 1.0 + reach * per
        bound = np.asarray(second / least)
        bound[:, WIDTH, :3] = bound[:, :3, WIDTH] = bound[:, :3, WIDTH] + first[:, :3] * per / least**2
        bound[:, WIDTH, WIDTH] += 2.0 * first[:, WIDTH] * per / least**2 + 2.0 * most * per**2 / least**3
        return centre, bound

    def _speed(self, arms: Floats) -> Floats:
        """Bound on first derivatives of R (arm₀ + arm₁ cos δ + arm₂ sin δ + w arm₃) by each freedom, shape (3, 4)."""
        coefficients = self.pose_map.coefficients
        rotation = coefficients[:, :, 3:].reshape(*coefficients.shape[:2], 3, 3)
        plain, cosine, sine, width = (rotation @ arm for arm in arms)
        half, turn = self.pose_map.half, self.bounds
        bound = np.zeros((3, 4))
        for row, orders in ((LEFT, (1, 0)), (RIGHT, (0, 1))):
            bound[:, row] = (
                _sup(plain, orders, half)
                + np.hypot(_sup(cosine, orders, half), _sup(sine, orders, half))
                + self._reach * _sup(width, orders, half)
            )
        turning = np.hypot(_sup(cosine, (0, 0), half), _sup(sine, (0, 0), half))
        bound[:, STEER] = turning * turn.by_steer
        bound[:, WIDTH] = _sup(width, (0, 0), half) + turning * turn.by_width
        return bound

    def _turning(self, link: Solid) -> Floats:
        """Bound on second derivatives of a link's axis v / |v|, see the module's formulas."""
        along = self._way(link.axis_scale, link.axis[1], link.eye, link.axis_eye)
        along[0, 0] += link.axis[0]
        square = squared(along)
        # |v|² lies round its mean coefficient, by no more than the others together
        shortest = sqrt(max(2.0 * float(square[0, 0, 0]) - float(np.abs(square).sum()), SHORTEST))
        half = self.pose_map.half
        orders = ((1, 0), (0, 1))
        speed = [float(np.linalg.norm(_sup(along, order, half))) / shortest for order in orders]
        stretch = [float(_sup(square, order, half)[0]) / (2.0 * shortest) for order in orders]
        bound = np.zeros((3, 4, 4))
        for row, column, order in ((LEFT, LEFT, (2, 0)), (LEFT, RIGHT, (1, 1)), (RIGHT, RIGHT, (0, 2))):
            bend = (float(_sup(square, order, half)[0]) / 2.0 + stretch[row] * stretch[column]) / shortest
            lengthwise = bend + stretch[row] * speed[column] + stretch[column] * speed[row]
            bound[:, row, column] = bound[:, column, row] = (_sup(along, order, half) + lengthwise) / shortest
        return bound

    @property
    def tabled(self) -> Floats:
        """Coefficients of the poses and of the shackles' eyes that something hangs on, (n + 1, n + 1, 12 or 16)."""
        table, eyes = self.pose_map.coefficients, self.pose_map.eyes
        return np.concatenate([table, eyes], axis=2) if self._eyed else table

    def eyes(self, left: Floats, right: Floats) -> Floats | None:
        """Shackles' eyes at travels, shape (n, 2, 3) [mm]; None where nothing hangs on one."""
        return self.pose_map.evaluate_eyes(left, right)[0] if self._eyed else None

    def on(
        self, values: Floats, which: int, steer: float, width: float, eyes: Floats | None = None
    ) -> tuple[Floats, Floats]:
        """Centre and axis, shape (n, 3), of one solid on poses `values` of the map, shape (n, 12), at one steer.

        `eyes` : of the same poses.
        """
        place, axis = self._place[which], self._axis[which]
        angle = float(turns(self.law, self.wheel[which], steer, width)[0])
        turn = np.array([1.0, np.cos(angle), np.sin(angle)])
        rotation = values[:, 3:].reshape(-1, 3, 3)
        more = np.zeros((3, 6))
        if self.per_length[which]:
            more = self._other_arms(np.array([which]), np.array([[0.0, 0.0, steer, width]]))[0]
        arm, lean = turn @ place[1:4] + width * place[4] + more[:, 0], turn @ axis[1:4] + more[:, 3]
        centre = place[0] + self._place_scale[which] * values[:, :3] + rotation @ arm
        along = axis[0] + self._axis_scale[which] * values[:, :3] + rotation @ lean
        if eyes is not None and self.eye[which] >= 0:
            eye = eyes[:, self.eye[which]]
            centre, along = centre + self.eye_scale[which, 0] * eye, along + self.eye_scale[which, 1] * eye
        along /= np.sqrt(np.einsum("ni,ni->n", along, along))[:, None]
        return centre + self.along[which] * along, along

    def _curvature(self, scale: float, arms: Floats, width_reach: float) -> Floats:
        """Bound on second derivatives of scale · c + R (arm₀ + arm₁ cos δ + arm₂ sin δ + w arm₃)."""
        coefficients = self.pose_map.coefficients
        rotation = coefficients[:, :, 3:].reshape(*coefficients.shape[:2], 3, 3)
        plain, cosine, sine, width = (rotation @ arm for arm in arms)
        plain = plain + scale * coefficients[:, :, :3]
        half, turn = self.pose_map.half, self.bounds
        bound = np.zeros((3, 4, 4))
        for row, column, orders in ((LEFT, LEFT, (2, 0)), (LEFT, RIGHT, (1, 1)), (RIGHT, RIGHT, (0, 2))):
            bound[:, row, column] = (
                _sup(plain, orders, half)
                + np.hypot(_sup(cosine, orders, half), _sup(sine, orders, half))
                + width_reach * _sup(width, orders, half)
            )
        for row, orders in ((LEFT, (1, 0)), (RIGHT, (0, 1))):
            turning = np.hypot(_sup(cosine, orders, half), _sup(sine, orders, half))
            bound[:, row, STEER] = turning * turn.by_steer
            bound[:, row, WIDTH] = _sup(width, orders, half) + turning * turn.by_width
        turning = np.hypot(_sup(cosine, (0, 0), half), _sup(sine, (0, 0), half))
        bound[:, STEER, STEER] = turning * (turn.by_steer**2 + turn.by_steer_twice)
        bound[:, STEER, WIDTH] = turning * (turn.by_steer * turn.by_width + turn.by_both)
        bound[:, WIDTH, WIDTH] = turning * (turn.by_width**2 + turn.by_width_twice)
        upper = np.triu(np.ones((4, 4)), 1)
        return np.asarray(bound + np.swapaxes(bound * upper, 1, 2))


def squared(way: Floats) -> Floats:
    """Coefficients of |way|², shape (2n + 1, 2n + 1, 1), from those of the way, shape (n + 1, n + 1, 3)."""
    points = chebyshev_points(2 * len(way) - 1)
    values = chebyshev.chebgrid2d(points, points, way)
    return chebyshev_coefficients((values**2).sum(axis=0))[:, :, None]


def _sup(coefficients: Floats, orders: tuple[int, int], half: float) -> Floats:
    """Bound on |derivative| of a tensor Chebyshev sum over its domain, per component: sum of absolute coefficients.

    coefficients : array, shape (n + 1, n + 1, 3); orders : how often by left and by right; half : mm per unit.
    """
    derived: Floats = coefficients
    for along, order in enumerate(orders):
        if order:
            derived = np.asarray(chebyshev.chebder(derived, m=order, scl=1.0 / half, axis=along), dtype=np.float64)
    return np.asarray(np.abs(derived).sum(axis=(0, 1)))
