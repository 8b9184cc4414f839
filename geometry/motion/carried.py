"""What an axle carries, in the axle's frame: origin in its centre, axes parallel to the rig's at ride height."""

from __future__ import annotations

import numpy as np

from geometry.motion.linkage import Floats
from geometry.rig.axle import Axle
from geometry.rig.layout import MIRROR, Side
from geometry.rig.pinion import pinion_base, pinion_direction
from geometry.rig.wheel import wheel_offset


def side_sign(side: Side) -> float:
    """+1 on the left, −1 on the right: the sign of y."""
    return 1.0 if side == "left" else -1.0


def mount_face(axle: Axle, side: Side) -> Floats:
    """Centre of the wheel-mount face with the wheels straight, shape (3,) [mm]."""
    return np.array([0.0, side_sign(side) * axle.width / 2.0, 0.0])


def tire_centre(axle: Axle, side: Side) -> Floats:
    """Centre of the tire with the wheels straight, shape (3,) [mm]; a positive offset draws it inboard."""
    return np.array([0.0, side_sign(side) * (axle.width / 2.0 - wheel_offset(axle.wheel)), 0.0])


def housing_ends(axle: Axle) -> Floats:
    """Outer ends of the housing tubes that take part in the check, left and right, shape (2, 3) [mm]."""
    end = axle.width / 2.0 - axle.housing.end_inset
    return np.array([[0.0, end, 0.0], [0.0, -end, 0.0]])


def centre_section(axle: Axle) -> Floats:
    """Centre of the centre section's ball, on the pinion's centreline, shape (3,) [mm]."""
    return np.array([0.0, axle.housing.pinion_offset, 0.0])


def pinion_tip(axle: Axle) -> Floats:
    """Centre of the pinion's mounting face, shape (3,) [mm]."""
    housing = axle.housing
    return pinion_base(housing) + housing.pinion_length * pinion_direction(housing)


def kingpin_place(axle: Axle, side: Side) -> Floats | None:
    """The point of the kingpin axis that the rig names, shape (3,) [mm]; None on an unsteered axle."""
    if axle.steering is None:
        return None
    place: Floats = mount_face(axle, "left") + np.array(axle.steering.kingpin)
    return place if side == "left" else place * MIRROR
