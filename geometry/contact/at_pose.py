"""How far two parts are from each other in one pose: for the reasons of an answer, not for the answer itself."""

from __future__ import annotations

from math import inf

import numpy as np

from geometry.contact.axle_check import axle_problems, travel_box
from geometry.contact.distance import separation
from geometry.contact.findings import PairName
from geometry.motion.travel import TravelPose
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig


def clearance_at(rig: Rig, axle: Axle, pair: PairName, pose: TravelPose) -> float:
    """Clearance of one pair of an axle in one pose, negative = overlap [mm]; infinite where there is no such pair.

    Raises
    ------
    LinkageError
        When the axle cannot follow its travel.

    """
    width = float(travel_box(axle).middle[..., 3].item())
    for problem in axle_problems(rig, axle):
        if pair not in problem.names:
            continue
        rows = problem.pairs.rows(problem.pairs.group == problem.names.index(pair))
        poses = np.tile([pose.left, pose.right, pose.steer, width], (len(rows.group), 1))
        view = problem.scene.view(rows.mover, rows.piece, poses)
        gap = separation(view.axis, view.half_length, view.radius, view.corners).gap
        return float((gap - rows.shrink).min())
    return inf
