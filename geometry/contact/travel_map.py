"""Clearance over the travel square, sampled for the eye: the picture on the travel pad, never a verdict."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.contact.axle_check import GiveUp, Problem, axle_problems, travel_box
from geometry.contact.findings import TravelMap
from geometry.contact.search import Box, closest_approaches, measure
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.tolerances import FAR

Floats = NDArray[np.float64]

COARSE_TOLERANCE: Final = 25.0
"""Tolerance at which pairs are sorted into near and far before the map is drawn [mm]."""

STEERS: Final = 5
"""Steers looked at in each pose, from lock to lock [-]."""


def travel_map(rig: Rig, axle: Axle, count: int, *, give_up: GiveUp | None = None) -> TravelMap | None:
    """Least margin of all pairs over a count × count grid of travels, at the worst steer looked at.

    Returns None when told to give up.
    """
    box = travel_box(axle)
    travels = np.linspace(-axle.droop, axle.bump, count)
    right, left = (each.ravel() for each in np.meshgrid(travels, travels, indexing="ij"))
    margin = np.full(count * count, FAR)
    for problem in axle_problems(rig, axle):
        margins = problem.as_margin()
        rough = closest_approaches(
            margins.scene, margins.pairs, len(margins.names), box, tolerance=COARSE_TOLERANCE, overlap_share=1.0
        )
        near = margins.of_groups(~rough.beyond)
        for pair in range(len(near.pairs.mover)):
            if give_up is not None and give_up():
                return None
            np.minimum(margin, _pair_margin(near, pair, box, left, right), out=margin)
    rows = tuple(tuple(float(value) for value in row) for row in margin.reshape(count, count))
    places = tuple(float(value) for value in travels)
    return TravelMap(axle.id, places, places, rows)


def _pair_margin(problem: Problem, pair: int, box: Box, left: Floats, right: Floats) -> Floats:
    """Margin of one pair in every pose of the grid, least over the steers."""
    steers = [0.0]
    if len(box.size) > 2 and problem.scene.movers.steered[problem.pairs.mover[pair]]:
        steers = list(np.linspace(-1.0, 1.0, STEERS) * box.size[2])
    which = np.full(len(left), pair, dtype=np.intp)
    u = np.zeros((len(left), len(box.size)))
    u[:, 0], u[:, 1] = left - box.middle[0], right - box.middle[1]
    least = np.full(len(left), np.inf)
    for steer in steers:
        if len(box.size) > 2:
            u[:, 2] = steer
        least = np.minimum(least, measure(problem.scene, problem.pairs, which, box, u)[0])
    return least
