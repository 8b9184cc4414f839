"""An axle with a driveshaft, to turn."""

from __future__ import annotations

from typing import Any

from geometry.rig.axle import Axle, Housing
from geometry.rig.build import Build
from geometry.rig.driveline import Driveshaft, PinionChoice
from tests.geometry.motion.axles import axle

OUTPUT = (1400.0, 60.0, 640.0)
"""A transfer case's joint 1100 mm behind the front axle at x = 2500."""


def shafted(
    output: tuple[float, float, float] | None = OUTPUT,
    choices: tuple[PinionChoice, ...] = (),
    housing: dict[str, Any] | None = None,
    **shaft: Any,
) -> Axle:
    """A front axle whose pinion faces rearward; fields of its driveshaft and of its housing can be others."""
    given = {"pinion_offset": 150.0, "pinion_faces": "rearward", "pinion_angle_deg": 6.0} | (housing or {})
    return axle(
        housing=Housing(**given),
        build=Build(transfer_output=output),
        driveshaft=Driveshaft(**({"output_angle_deg": -3.0} | shaft)),
        pinion_choices=choices,
    )
