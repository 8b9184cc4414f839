"""One axle against the rig: its pairs, their closest approaches over the whole travel, and where contact starts."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from math import inf
from typing import Final, get_args

import msgspec
import numpy as np
from numpy.typing import NDArray

from geometry.contact.compiled.ready import closest_approaches, first_crossing, short_approaches
from geometry.contact.distance import closest_points, separation
from geometry.contact.findings import Approach, Band, PairKind, PairName, Place
from geometry.contact.leaf_solids import leaf_solids
from geometry.contact.movers import Movers
from geometry.contact.own_pairs import own_kind, own_pairs
from geometry.contact.scene import Pairs, Scene, make_pairs
from geometry.contact.search import Box, Closest, whole_travel
from geometry.contact.shaft_solids import driveshaft_solids
from geometry.contact.solids import (
    bar_pieces,
    housing_solids,
    link_solids,
    panel_pieces,
    shock_solids,
    steering_solids,
    tire_solids,
)
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.motion.steer_lock import steer_range
from geometry.motion.travel import RIDE_HEIGHT, TravelPose
from geometry.motion.turn_bounds import turn_bounds
from geometry.rig.axle import Axle
from geometry.rig.layout import PartRef
from geometry.rig.rig import Rig, WantedClearance
from geometry.rig.turn_law import turn_law
from geometry.stroke.spans import spans_of
from geometry.stroke.travel_set import travel_set
from geometry.tolerances import CLEARANCE, FAR

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]
GiveUp = Callable[[], bool]

WIDTH_STEP: Final = 600.0
"""Widths within this step share one table of moving solids [mm]: a drag over any widths that are worth a look rebuilds
it once at most, and bounds are no looser than with a shorter one."""

REACH_FOUND: Final = 1.0
"""Bracket in which the width is found at which a tie rod turns the wheels no more [mm]: no axle is made finer."""

_GROUPS: Final[dict[str, str]] = {
    "tire": "tire",
    "link": "link",
    "shock": "shock",
    "leaf spring": "link",
    "shackle": "link",
    "driveshaft": "shaft",
}
"""First word of a pair's kind by the moving part's kind; housing, centre section and pinion are the axle."""
_KINDS: Final[dict[str, PairKind]] = {str(kind): kind for kind in get_args(PairKind)}


@dataclass(frozen=True)
class Starts:
    """Where contact starts, both wheels rising together and the other one drooping; None = nowhere on that way."""

    straight: Band | None
    crossed: Band | None


@dataclass(frozen=True)
class Problem:
    """One scene's pairs with their names.

    Attributes
    ----------
    names : tuple of PairName
        One per group.
    wanted : array, shape (groups,)
        Clearance asked for [mm].
    far : tuple of Approach
        What is said of each group when it proves to be beyond `enough`, the same for every width.
    known : dict
        By tolerance, what was found of pairs that no width moves.

    """

    scene: Scene
    pairs: Pairs
    names: tuple[PairName, ...]
    wanted: Floats
    far: tuple[Approach, ...]
    known: dict[float, tuple[Approach, ...]] = field(default_factory=dict, compare=False, repr=False)

    @cached_property
    def by_width(self) -> tuple[Problem, Problem]:
        """The pairs that move with the width, and those that do not: these have one answer for all widths."""
        moved = np.zeros(len(self.names), dtype=np.bool_)
        moved[self.pairs.group[self.scene.widened(self.pairs)]] = True
        return self.of_groups(moved), self.of_groups(~moved)

    @property
    def enough(self) -> float:
        """Clearance that need only be proved [mm]: FAR, but never less than what is wanted."""
        return self.far[0].low if self.far else FAR

    def of_groups(self, keep: NDArray[np.bool_]) -> Problem:
        """Only the groups where `keep` is true, renumbered."""
        rows = keep[self.pairs.group]
        renumbered = (np.cumsum(keep) - 1)[self.pairs.group[rows]]
        kept = np.flatnonzero(keep)
        return Problem(
            self.scene,
            replace(self.pairs.rows(rows), group=renumbered),
            tuple(self.names[group] for group in kept),
            self.wanted[keep],
            tuple(self.far[group] for group in kept),
        )

    def as_margin(self, spare: float = 0.0) -> Problem:
        """The same pairs, their distance being what is left over the wanted clearance and `spare` [mm]."""
        shrink = self.pairs.shrink + self.wanted[self.pairs.group] + spare
        return replace(self, pairs=replace(self.pairs, shrink=shrink))


def axle_problems(rig: Rig, axle: Axle, span: float = 0.0) -> tuple[Problem, ...]:
    """All pairs of an axle: against bars, against panels, against each other as `own_pairs` has them.

    Parameters
    ----------
    span : float
        Largest change of width from the drawn one that will be asked for [mm]; at most what `steerable_widths` leaves.

    """
    chassis = Rig(name="", wanted=rig.wanted, nodes=rig.nodes, bars=rig.bars, panels=rig.panels, axles=())
    at_reference = msgspec.structs.replace(axle, width=reference_width(axle))
    return _problems(chassis, at_reference, _reach(at_reference, axle, span))


@lru_cache(maxsize=16)
def _problems(chassis: Rig, axle: Axle, reach: float) -> tuple[Problem, ...]:
    """The pairs of an axle at its reference width; the same for every width within reach of it."""
    solids = [*tire_solids(axle), *housing_solids(axle), *link_solids(axle), *shock_solids(axle)]
    solids += [*leaf_solids(axle), *steering_solids(axle), *driveshaft_solids(axle)]
    movers = Movers(solids, pose_map(linkage_of(axle)), reach, turn_law(axle), max(map(abs, steer_range(axle))))
    everything = range(len(solids))
    problems = []
    for pieces, last in ((bar_pieces(chassis), "bar"), (panel_pieces(chassis), "panel")):
        if len(pieces.part):
            pairs, groups = make_pairs(movers, everything, pieces)
            named = [_name(solids[m].part, pieces.parts[p], last) for m, p in groups]
            pairs, names = _joined(pairs, named)
            problems.append(_problem(axle.id, Scene(movers, pieces), pairs, names, chassis.wanted))
    mover, piece = own_pairs(axle, solids)
    shrink = movers.skin[mover] + movers.skin[piece] + 2.0 * movers.margin
    pairs = Pairs(mover, piece, np.arange(len(mover), dtype=np.intp), shrink)
    own = [(solids[m].part, solids[p].part) for m, p in zip(mover, piece, strict=True)]
    named = [PairName(own_kind(moving, fixed), moving, fixed) for moving, fixed in own]
    pairs, names = _joined(pairs, named)
    problems.append(_problem(axle.id, Scene(movers, None), pairs, names, chassis.wanted))
    return tuple(problems)


def _joined(pairs: Pairs, named: Sequence[PairName]) -> tuple[Pairs, tuple[PairName, ...]]:
    """Groups of one name made one, as of both halves of a shock."""
    names = tuple(dict.fromkeys(named))
    if len(names) == len(named):
        return pairs, names
    places = {name: place for place, name in enumerate(names)}
    group = np.array([places[name] for name in named], dtype=np.intp)[pairs.group]
    return replace(pairs, group=group), names


def travel_box(axle: Axle) -> Box:
    """Every pose the axle can be in, at its own width.

    Raises
    ------
    LinkageError
        When shocks, bump stops or straps limit its travel and the axle cannot follow it.

    """
    box = whole_travel((-axle.droop, axle.bump), (-axle.droop, axle.bump), steer_range(axle))
    left = travel_set(linkage_of(axle), spans_of(axle))
    return at_width(replace(box, reach=None if left.is_whole else left), axle.width - reference_width(axle))


def at_width(box: Box, change: float) -> Box:
    """The same poses at another width, `change` from the reference width [mm]."""
    middle = box.middle.copy()
    middle[..., 3] = change
    return replace(box, middle=middle)


def reference_width(axle: Axle) -> float:
    """Width at which the axle's table of moving solids is made [mm].

    Its own, where the tie rod would come too near to its dead centre at widths that could share a table.
    """
    common = WIDTH_STEP * max(1.0, round(axle.width / WIDTH_STEP))
    return common if _turns_within(msgspec.structs.replace(axle, width=common), WIDTH_STEP / 2.0) else axle.width


def steerable_widths(axle: Axle, low: float, high: float) -> tuple[float, float]:
    """The part of a range of widths in which the tie rod is proved to turn the wheels to full lock [mm].

    All of it on most axles; it lies as far to either side of the reference width as the nearer end allows.
    """
    at = reference_width(axle)
    if low > high or turn_law(axle) is None:
        return low, high
    reach = _reach(msgspec.structs.replace(axle, width=at), axle, max(abs(low - at), abs(high - at)))
    reach -= 2.0 * REACH_FOUND  # a table for what is left may end that much sooner
    return max(low, min(at - reach, axle.width)), min(high, max(at + reach, axle.width))


def _reach(at_reference: Axle, axle: Axle, span: float) -> float:
    """Change of width that a table covers: half a step and the span, or as much of that as can be proved [mm]."""
    own = at_reference.width == axle.width and not _turns_within(at_reference, WIDTH_STEP / 2.0)
    proved, wanted = (0.0 if own else WIDTH_STEP / 2.0), (0.0 if own else WIDTH_STEP / 2.0) + span
    if _turns_within(at_reference, wanted):
        return wanted
    while wanted - proved > REACH_FOUND:
        middle = (proved + wanted) / 2.0
        proved, wanted = (middle, wanted) if _turns_within(at_reference, middle) else (proved, middle)
    return proved


def _turns_within(axle: Axle, reach: float) -> bool:
    """Whether the turns of the wheels are proved to have bounded slopes at all widths within reach."""
    return turn_bounds(turn_law(axle), max(map(abs, steer_range(axle))), reach) is not None


def check_axle(
    rig: Rig, axle: Axle, *, tolerance: float = CLEARANCE, give_up: GiveUp | None = None
) -> tuple[Approach, ...]:
    """Closest approach of every pair of this axle over its whole travel, worst margin first."""
    box = travel_box(axle)
    found: list[Approach] = []
    for problem in axle_problems(rig, axle):
        moved, still = problem.by_width
        found += [*_all(moved, axle, box, tolerance, give_up), *_still(still, axle, box, tolerance, give_up)]
    return tuple(sorted(found, key=lambda approach: approach.margin))


def _all(problem: Problem, axle: Axle, box: Box, tolerance: float, give_up: GiveUp | None) -> tuple[Approach, ...]:
    """Closest approach of every pair of a problem."""
    closest = closest_approaches(
        problem.scene,
        problem.pairs,
        len(problem.names),
        box,
        tolerance=tolerance,
        far=problem.enough,
        give_up=give_up,
    )
    answers, _ = _answers(problem, closest, axle, box, tolerance, give_up)
    return tuple(answers.get(group, far) for group, far in enumerate(problem.far))


def _still(problem: Problem, axle: Axle, box: Box, tolerance: float, give_up: GiveUp | None) -> tuple[Approach, ...]:
    """The same of pairs that neither width nor steer moves, found once; wheels straight."""
    if tolerance not in problem.known:
        box = replace(box, middle=np.append(box.middle[:2], [0.0, 0.0]), ways=box.ways[:2], size=box.size[:2])
        found = _all(problem, axle, box, tolerance, give_up)
        if give_up is not None and give_up():
            return found
        problem.known[tolerance] = found
    return problem.known[tolerance]


def check_axle_in_short(
    rig: Rig,
    axle: Axle,
    asked_for: Collection[PairName] = (),
    *,
    spare: float = 0.0,
    tolerance: float = CLEARANCE,
    give_up: GiveUp | None = None,
) -> tuple[Approach, ...]:
    """Closest approach of the pairs that do not clear, and of those asked for; with none, of the nearest. Worst first.

    The same search as `check_axle` without what takes no part in a verdict; only where the kernels are ready. `spare`
    is a guess of the least margin [mm]: it changes no answer, and a good one saves time.
    """
    box, problems = travel_box(axle), [problem.by_width for problem in axle_problems(rig, axle)]
    parts = [(each.scene, each.pairs, each.wanted, _among(each.names, asked_for)) for each, _ in problems]
    still = [each for _, problem in problems for each in _still(problem, axle, box, tolerance, give_up)]
    asked = set(asked_for)
    still = [each for each in still if not each.beyond or _pair(each) in asked]
    found: list[Approach] = []
    for (problem, _), closest in zip(
        problems, short_approaches(parts, box, spare=spare, tolerance=tolerance, give_up=give_up), strict=True
    ):
        found += _answers(problem, closest, axle, box, tolerance, give_up)[0].values()
    found = sorted([*found, *still], key=lambda approach: approach.margin)
    nearest = found[:1] if found and found[0].margin >= 0.0 else []
    kept = [each for each in found if each.margin < 0.0 or not each.settled or _pair(each) in asked]
    return (*nearest, *(each for each in kept if each not in nearest))


def _pair(found: Approach) -> PairName:
    return PairName(found.kind, found.moving, found.fixed)


def _among(names: Sequence[PairName], asked_for: Collection[PairName]) -> Flags:
    return np.array([name in asked_for for name in names]) if asked_for else np.zeros(len(names), dtype=bool)


def _answers(
    problem: Problem, closest: Closest, axle: Axle, box: Box, tolerance: float, give_up: GiveUp | None
) -> tuple[dict[int, Approach], Closest]:
    """Answers of the groups that are not beyond, with where they meet and where contact starts."""
    near = np.flatnonzero(~closest.beyond)
    closest, places = _met(problem, closest, near)
    touching = closest.high < 0.0
    starts = iter(_starts(problem.of_groups(touching), axle, box, tolerance, give_up) if touching.any() else ())
    answers = {}
    for group, points in zip(near.tolist(), places, strict=True):
        straight, crossed = next(starts) if touching[group] else (None, None)
        answers[group] = _approach(problem, closest, group, points, Starts(straight, crossed))
    return answers, closest


def _approach(problem: Problem, closest: Closest, group: int, points: tuple[Place, Place], starts: Starts) -> Approach:
    left, right, steer, _ = (float(value) for value in closest.pose[group])
    return replace(
        problem.far[group],
        low=float(closest.low[group]),
        high=float(closest.high[group]),
        beyond=False,
        settled=bool(closest.settled[group]),
        pose=TravelPose(left, right, steer),
        on_moving=points[0],
        on_fixed=points[1],
        start_straight=starts.straight,
        start_crossed=starts.crossed,
    )


def _met(problem: Problem, closest: Closest, near: Indices) -> tuple[Closest, list[tuple[Place, Place]]]:
    """What is met in the worst poses of the groups `near`: upper values, and closest points on the skins, rig's frame.

    An upper value from afar, of the core's centre, may have been close enough to end a search, and so may the distance
    of a piece that is not the closest one of its group in that pose.
    """
    if len(near) == 0:
        return closest, []
    scene, movers = problem.scene, problem.scene.movers
    pairs = problem.pairs.rows(np.isin(problem.pairs.group, near))
    view = scene.view(pairs.mover, pairs.piece, closest.pose[pairs.group])
    apart = separation(view.axis, view.half_length, view.radius, view.corners)
    met = apart.gap - pairs.shrink
    order = np.lexsort((met, pairs.group))
    nearest = order[np.searchsorted(pairs.group[order], near)]
    high = closest.high.copy()
    high[near] = np.maximum(met[nearest], closest.low[near])
    view, pairs, apart = view.rows(nearest), pairs.rows(nearest), apart.rows(nearest)
    on_core, on_hull = closest_points(view.axis, view.half_length, view.radius, view.corners, apart)
    skin = scene.pieces.radius[pairs.piece] if scene.pieces is not None else movers.skin[pairs.piece]
    on_moving = view.centre + on_core + apart.normal * movers.skin[pairs.mover][:, None]
    on_fixed = view.centre + on_hull - apart.normal * skin[:, None]
    points = [(_place(moving), _place(fixed)) for moving, fixed in zip(on_moving, on_fixed, strict=True)]
    return replace(closest, high=high), points


def _starts(
    problem: Problem, axle: Axle, box: Box, tolerance: float, give_up: GiveUp | None
) -> list[tuple[Band | None, Band | None]]:
    """Bands of own wheel's bump at which contact starts: both wheels rising, and the other one drooping in step.

    Parts in the middle have no own wheel: for them the earlier of the two crossed ways counts.
    """
    if not problem.names or axle.bump <= 0.0:
        return [(None, None)] * len(problem.names)
    fall = -axle.droop / axle.bump
    straight = _walk(problem, axle, box, [(1.0, 1.0)] * len(problem.names), tolerance, give_up)
    sides = [name.moving.side for name in problem.names]
    first = [(1.0, fall) if side != "right" else (fall, 1.0) for side in sides]
    second = [(fall, 1.0) if side == "" else way for side, way in zip(sides, first, strict=True)]
    crossed = _walk(problem, axle, box, first, tolerance, give_up)
    if second != first:
        other = _walk(problem, axle, box, second, tolerance, give_up)
        crossed = [_earlier(a, b) for a, b in zip(crossed, other, strict=True)]
    return list(zip(straight, crossed, strict=True))


def _walk(
    problem: Problem,
    axle: Axle,
    box: Box,
    directions: Sequence[tuple[float, float]],
    tolerance: float,
    give_up: GiveUp | None,
) -> list[Band | None]:
    """First contact of each group on its way from ride height to full bump of its own wheel, any steer.

    Where shocks, stops or straps end a way before that, it is walked only so far.
    """
    if box.reach is None:
        return _walk_to(problem, axle.bump, box, directions, tolerance, give_up)
    found: list[Band | None] = [None] * len(directions)
    for way in dict.fromkeys(directions):
        farthest = box.reach.way_out(*way, axle.bump)
        on_it = np.array([each == way for each in directions])
        if farthest > 0.0:
            ways = [way] * int(on_it.sum())
            part, free = problem.of_groups(on_it), replace(box, reach=None)
            bands = _walk_to(part, farthest, free, ways, tolerance, give_up)
            for group, band in zip(np.flatnonzero(on_it), bands, strict=True):
                found[group] = band
    return found


def _walk_to(
    problem: Problem,
    farthest: float,
    box: Box,
    directions: Sequence[tuple[float, float]],
    tolerance: float,
    give_up: GiveUp | None,
) -> list[Band | None]:
    """First contact of each group on its way, within `farthest` of its own wheel's bump."""
    ways = np.zeros((len(directions), len(box.size) - 1, 4))
    ways[:, 0, :2] = directions
    middle = np.tile(box.middle, (len(directions), 1))
    middle[:, :2] = ways[:, 0, :2] * farthest / 2.0
    size = np.array([farthest / 2.0])
    if len(box.size) > 2:
        ways[:, 1, 2] = 1.0
        size = np.append(size, box.size[2])
    crossing = first_crossing(
        problem.scene,
        problem.pairs,
        len(problem.names),
        Box(middle, ways, size),
        tolerance=tolerance,
        give_up=give_up,
    )
    ends = zip(crossing.low, crossing.high, strict=True)
    return [Band(float(low), min(float(high), farthest)) if np.isfinite(low) else None for low, high in ends]


def _earlier(one: Band | None, other: Band | None) -> Band | None:
    if one is None or other is None:
        return one or other
    return Band(min(one.low, other.low), min(one.high, other.high))


def _problem(axle: str, scene: Scene, pairs: Pairs, names: tuple[PairName, ...], wanted: WantedClearance) -> Problem:
    clearances = [float(getattr(wanted, name.kind)) for name in names]
    far = tuple(
        Approach(
            axle=axle,
            kind=name.kind,
            moving=name.moving,
            fixed=name.fixed,
            wanted=clearance,
            low=max(FAR, *clearances),
            high=inf,
            beyond=True,
            settled=True,
            pose=RIDE_HEIGHT,
            on_moving=None,
            on_fixed=None,
        )
        for name, clearance in zip(names, clearances, strict=True)
    )
    return Problem(scene, pairs, names, np.array(clearances), far)


def _name(moving: PartRef, fixed: PartRef, last: str) -> PairName:
    first = _GROUPS.get(moving.kind, "axle")
    return PairName(_KINDS[f"{first}_{last}"], moving, fixed)


def _place(point: Floats) -> Place:
    return (float(point[0]), float(point[1]), float(point[2]))
