"""A rig on which everything turns and strokes."""

from __future__ import annotations

from msgspec.structs import replace

from geometry.rig.driveline import Driveshaft, Gears, PinionChoice, ShaftJoint
from geometry.rig.rig import Rig
from geometry.rig.steer_gear import Ram
from tests.app.figures.plans import planned_rig
from tests.geometry.steering.test_drag_link import LINK
from tests.geometry.stroke.stroked import SHOCK, STOP, STRAP

SHAFT = Driveshaft(
    output_angle_deg=3.0,
    case_joint=ShaftJoint(limit_deg=25.0),
    pinion_joint=ShaftJoint(limit_deg=20.0),
    slip_in=40.0,
    slip_out=40.0,
)
GEARS = Gears(
    transmission=(6.32, 3.09, 1.69, 1.0), transfer=(1.0, 2.72), axle=4.88, rpm=(2000.0,), tires=("40x13.50R17",)
)
RAISED = PinionChoice(id="raised", pinion_rise=90.0, pinion_angle_deg=12.0)


def moving_rig() -> Rig:
    """A rear axle with shocks, stops, a strap and a driveshaft; a front axle that steers by a drag link."""
    rig = planned_rig()
    rear, front = rig.axles
    shock = replace(SHOCK, id="main", chassis=(0.0, 400.0, 940.0), axle=(0.0, 400.0, 440.0), mirrored=True)
    stop = replace(STOP, id="pad", chassis=(0.0, 500.0, 600.0), axle=(0.0, 500.0, 450.0))
    rods = tuple(replace(rod, chassis_limit_deg=20.0, axle_limit_deg=20.0) for rod in rear.rods)
    rear = replace(
        rear, rods=rods, shocks=(shock,), bump_stops=(stop,), straps=(replace(STRAP, id="limit"),), driveshaft=SHAFT,
        pinion_choices=(RAISED,),
    )  # fmt: skip
    assert front.steering is not None
    link = replace(
        LINK, pitman=(2750.0, -420.0, 620.0), shaft=(2900.0, -400.0, 640.0), shaft_end=(2900.0, -400.0, 900.0)
    )
    front = replace(front, steering=replace(front.steering, drag_link=link, joint_limit_deg=40.0))
    return replace(rig, axles=(rear, front), gears=GEARS)


def whole_rig() -> Rig:
    """The same with everything on the rear axle, which steers by a drag link; the front one does not."""
    rig, rear = planned_rig(steered=True), moving_rig().axles[0]
    steered = rig.axles[0]
    assert steered.steering is not None
    link = replace(LINK, pitman=(150.0, -420.0, 620.0), shaft=(300.0, -400.0, 640.0), shaft_end=(300.0, -400.0, 900.0))
    made = replace(
        rear, housing=steered.housing, steering=replace(steered.steering, drag_link=link), wheel=steered.wheel
    )
    return replace(rig, axles=(made, replace(rig.axles[1], steering=None)), gears=GEARS)


def with_ram(rig: Rig) -> Rig:
    """The rig with a ram instead of the drag link."""
    rear, front = rig.axles
    assert front.steering is not None
    ram = Ram(forward=-150.0, up=20.0, stroke=220.0, length=500.0, eyes=900.0, arm=(-160.0, -110.0, 20.0))
    return replace(rig, axles=(rear, replace(front, steering=replace(front.steering, drag_link=None, ram=ram))))
