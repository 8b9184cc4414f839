"""Whether a linkage can follow its travel: binding, letting go, a second assembly within reach.

The travel square is walked from ride height along straight ways to the points of a lattice that holds its corners.
Where a way ends, bisection finds the travel to TRAVEL_FOUND. Between the ways the proof of the pose map
(`geometry.motion.enclosure`) stands: a linkage that passes here and binds in between has no proved pose map.
"""

from __future__ import annotations

from dataclasses import astuple
from functools import lru_cache
from typing import Final, NoReturn

import numpy as np

from geometry.errors import LinkageError
from geometry.motion.linkage import (
    AxlePoses,
    Flags,
    Floats,
    Linkage,
    displaced,
    jacobian,
    joint_places,
    ride_height,
    solve,
)
from geometry.tolerances import CLOSURE, GIVE, PLAY, SAME_ASSEMBLY, SECOND_ASSEMBLY, TRAVEL_FOUND

_LATTICE: Final = 7
"""Points of the lattice along each travel."""

_SHACKLES: Final = "limit the travel, or make the shackles longer or move their pivots"

_PROBE: Final = 10.0
"""How far beyond its end a way is tried, to tell a linkage that lets go from one that binds [mm]."""


@lru_cache(maxsize=64)
def check_travel(linkage: Linkage) -> None:
    """Make sure that a linkage follows its travel; kept, for map and pictures ask alike.

    Raises
    ------
    LinkageError
        With the travel where the linkage binds (1 mm of the axle needs less than PLAY in the rods), lets go (no
        pose closes), needs more than GIVE of its bushings (five rods), or could snap over into a second assembly
        whose joints lie within SECOND_ASSEMBLY. The second assembly is searched for from displaced poses, not
        excluded by proof.

    """
    if not _firm(linkage, ride_height(linkage))[0]:
        remedy = "set the rods at a wider angle to each other or add a lateral bar"
        holds = "rods do"
        if linkage.leaves is not None:
            holds, remedy = "leaf springs do", "turn the shackles away from the line of the springs"
        raise LinkageError(
            linkage.axle,
            f"axle {linkage.axle}: its {holds} not hold it at ride height, it can move with hardly any play; {remedy}",
            0.0,
            0.0,
        )
    travel = np.linspace(-linkage.droop, linkage.bump, _LATTICE)
    left, right = (each.ravel() for each in np.meshgrid(travel, travel, indexing="ij"))
    poses = solve(linkage, left, right)
    ends = ~_sound(linkage, poses)
    if ends.any():
        _refuse_at_end(linkage, np.stack([left, right], axis=1)[ends])
    _refuse_second_assembly(linkage, np.stack([left, right], axis=1), poses)


def _firm(linkage: Linkage, poses: AxlePoses) -> Flags:
    firm: Flags = np.linalg.svd(jacobian(linkage, poses), compute_uv=False)[:, -1] > PLAY
    return firm


def _sound(linkage: Linkage, poses: AxlePoses) -> Flags:
    sound: Flags = poses.converged & (np.abs(poses.give) <= GIVE) & _firm(linkage, poses)
    return sound


def _refuse_at_end(linkage: Linkage, targets: Floats) -> NoReturn:
    """Raise for the way that ends at the least travel: that is how far the stops may let the axle go."""
    good, bad = np.zeros(len(targets)), np.ones(len(targets))
    longest = np.abs(targets).max(axis=1)
    while ((bad - good) * longest).max() > TRAVEL_FOUND:
        middle = 0.5 * (good + bad)
        sound = _sound(linkage, solve(linkage, *(targets * middle[:, None]).T))
        good, bad = np.where(sound, middle, good), np.where(sound, bad, middle)
    nearest = int(np.argmin(bad * longest))
    end = targets[nearest] * bad[nearest]
    beyond = end * (1.0 + _PROBE / np.abs(end).max())
    left, right = (float(each) for each in end)
    where = f"axle {linkage.axle}, {_words(left, right)}"
    remedy = "limit the travel or move the rods' joints"
    if linkage.leaves is not None:
        problem, remedy = f"{where}: the leaf springs bind, {_shackle_words(linkage, left, right)}", _SHACKLES
    elif solve(linkage, *beyond).residual[0] > CLOSURE:
        problem = f"{where}: the linkage lets go, its rods reach no further"
    elif abs(solve(linkage, left, right).give[0]) > GIVE:
        problem = f"{where}: the linkage binds, its five rods need more than {GIVE:g} mm of give in the bushings"
    else:
        problem = f"{where}: the linkage binds, its rods come into line"
    raise LinkageError(linkage.axle, f"{problem}; {remedy}", left, right)


def _shackle_words(linkage: Linkage, left: float, right: float) -> str:
    """Which side's shackle comes into line with its spring."""
    poses = solve(linkage, left, right)
    rows = np.abs(np.linalg.svd(jacobian(linkage, poses))[2][0, -1, 6:])
    return f"the {'left' if rows[:2].max() >= rows[2:].max() else 'right'} shackle comes into line with its spring"


def _refuse_second_assembly(linkage: Linkage, travels: Floats, poses: AxlePoses) -> None:
    """Raise when Newton, started beside the poses, finds others that close at the same travels.

    Near a singular pose the other assembly lies in the direction in which the axle is held least, so that is where
    to start: the two least singular directions, both ways, half and all of SECOND_ASSEMBLY away.
    """
    weakest = np.linalg.svd(jacobian(linkage, poses))[2][:, -2:, :]
    reaches = SECOND_ASSEMBLY * np.array([-1.0, -0.5, 0.5, 1.0])
    steps = (weakest[:, :, None, :] * reaches[:, None]).reshape(-1, weakest.shape[-1])
    starts = steps.shape[0] // len(travels)
    origin = AxlePoses(*(np.repeat(each, starts, axis=0) for each in astuple(poses)))
    ways = np.repeat(travels, starts, axis=0)
    found = solve(linkage, ways[:, 0], ways[:, 1], displaced(linkage, origin, steps))
    apart = np.linalg.norm(joint_places(linkage, found) - joint_places(linkage, origin), axis=2).max(axis=1)
    if linkage.leaves is not None:
        eyes = np.linalg.norm((found.eyes - origin.eyes).reshape(-1, 2, 2), axis=2)
        apart = np.maximum(apart, eyes.max(axis=1))
    near = found.converged & (apart > SAME_ASSEMBLY) & (apart < SECOND_ASSEMBLY)
    if near.any():
        worst = int(np.argmin(np.where(near, apart, np.inf)))
        left, right = (float(each) for each in ways[worst])
        fit, remedy = "rods fit", "set the rods at a wider angle to each other"
        if linkage.leaves is not None:
            fit, remedy = "leaf springs fit", "turn the shackles away from the line of the springs"
        raise LinkageError(
            linkage.axle,
            f"axle {linkage.axle}, {_words(left, right)}: the {fit} a second time with their joints only "
            f"{apart[worst]:.0f} mm away, so the axle could snap over; {remedy}",
            left,
            right,
        )


def _words(left: float, right: float) -> str:
    return f"{_way(left)} left and {_way(right)} right"


def _way(travel: float) -> str:
    return f"{abs(travel):.0f} mm {'bump' if travel >= 0.0 else 'droop'}"
