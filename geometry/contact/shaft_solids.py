"""The driveshaft as solids: two halves that slide into each other, from the transfer case's joint to the pinion's."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite, sqrt

import numpy as np

from geometry.contact.movers import Solid, squared
from geometry.driveline.shaft import shaft_line
from geometry.motion.linkage import Floats, linkage_of
from geometry.motion.pose_map import PoseMap, pose_map
from geometry.rig.axle import Axle
from geometry.rig.naming import driveshaft_part


def driveshaft_solids(axle: Axle) -> Iterator[Solid]:
    """The shaft less the room of its joints; nothing where shaft or transfer case's joint is not told.

    Either half reaches from its joint to the middle of the longest shaft that the travel can ask for, so that together
    they cover the shaft in every pose; when it is shorter they lie in each other, and stay within it as long as no
    travel halves it.
    """
    shaft, line = axle.driveshaft, shaft_line(axle)
    if shaft is None or line is None:
        return
    output, joint = np.array(line.output), np.array(line.joint)
    drawn = float(np.linalg.norm(np.array([axle.station, 0.0, axle.height]) + joint - output))
    reach = max(_longest(pose_map(linkage_of(axle)), output, joint) / 2.0, shaft.joint_room)
    axis = np.vstack([-output / drawn, joint / drawn, np.zeros((2, 3))])
    for half in range(2):
        place = np.zeros((5, 3))
        place[half] = joint if half else output
        yield Solid(
            part=driveshaft_part(axle),
            half_length=(reach - shaft.joint_room) / 2.0,
            core_radius=0.0,
            skin=shaft.diameter / 2.0,
            place=place,
            place_scale=float(half),
            axis=axis,
            axis_scale=1.0 / drawn,
            along=(reach + shaft.joint_room) / 2.0 * (-1.0 if half else 1.0),
        )


def _longest(table: PoseMap, output: Floats, joint: Floats) -> float:
    """Bound of the way from joint to joint over the travel [mm]: no Chebyshev sum exceeds its coefficients' sizes."""
    coefficients = table.coefficients
    way = coefficients[:, :, :3] + coefficients[:, :, 3:].reshape(*coefficients.shape[:2], 3, 3) @ joint
    way[0, 0] -= output
    error = table.position_error + float(np.linalg.norm(joint)) * table.rotation_error
    return sqrt(float(np.abs(squared(way)).sum())) + (error if isfinite(error) else 0.0)
