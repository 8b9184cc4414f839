"""Rigs of which everything is known that a number needs."""

from __future__ import annotations

from typing import Any

from msgspec.structs import replace

from geometry.rig.build import Build, BuildSide, Perch
from geometry.rig.rig import Rig
from geometry.rig.wheel import INCH
from tests.geometry.motion.axles import STEERING
from tests.geometry.plan.builds import mockup, shaft, side
from tests.geometry.stance.stances import weighed_rig

PERCH = Perch(id="spring", name="spring perch", at=500.0, width=76.2, weld_leg=6.0, angle_deg=2.0, mirrored=True)


def build(**fields: Any) -> Build:
    """A build in which every value is given, stock shafts included."""
    whole: BuildSide = replace(side(shrink=0.0625), shaft=replace(shaft(), stock=(30.0 * INCH, 700.0)))
    given = {
        "left": whole, "right": whole, "kerf": 3.0, "rounding": "1/16 in", "perches": (PERCH,),
        "transfer_output": (1300.0, -50.0, 650.0), "rim_inside_radius": 200.0, "brake_radius": 190.0,
        "knuckle_inset": 130.0, "mockup": mockup(),
    }  # fmt: skip
    return Build(**(given | fields))


def planned_rig(*, steered: bool = False, offset: float = 30.0, **fields: Any) -> Rig:
    """The weighed small rig, its rear axle with a build; fields of the build can be others."""
    rig = weighed_rig()
    rear = rig.axles[0]
    made = replace(
        rear,
        width=1643.0,
        trial_widths=(1643.0, 1600.0, 2400.0),
        housing=replace(rear.housing, pinion_offset=offset, pinion_faces="rearward" if steered else "forward"),
        steering=STEERING if steered else rear.steering,
        build=build(**fields),
    )
    return replace(rig, axles=(made, *rig.axles[1:]))
