from __future__ import annotations

from math import degrees, radians

import numpy as np
import pytest

from geometry.driveline.joints import fluctuation
from geometry.driveline.shaft import missing_of_shaft, shaft_at, shaft_line, shaft_travel
from geometry.errors import LinkageError
from geometry.motion.extremes import Extreme
from geometry.motion.placement import place
from geometry.motion.travel import RIDE_HEIGHT, TravelBox, TravelPose
from geometry.plan.driveshaft import driveshaft
from geometry.rig.driveline import ShaftJoint
from geometry.tolerances import ANGLE_FOUND, LENGTH_FOUND
from tests.geometry.driveline.shafted import OUTPUT, shafted

CROSSED = TravelPose(150.0, -120.0)


def test_the_shaft_ends_at_the_drawn_pinion_and_its_angles_are_those_in_space() -> None:
    axle = shafted(housing={"pinion_rise": 45.0})
    found = shaft_at(axle, (CROSSED,))
    placed = place(axle, CROSSED)
    assert found is not None
    assert found[0].length == pytest.approx(float(np.linalg.norm(placed.pinion_tip - OUTPUT)), abs=1e-9)
    way = np.array(OUTPUT) - placed.pinion_tip
    along = placed.rotation @ (-np.cos(radians(6.0)), 0.0, np.sin(radians(6.0)))
    assert np.cos(found[0].pinion) == pytest.approx(float(way @ along / np.linalg.norm(way)), abs=1e-12)
    output = np.array([np.cos(radians(3.0)), 0.0, -np.sin(radians(3.0))])
    assert np.cos(found[0].case or 0.0) == pytest.approx(float(-way @ output / np.linalg.norm(way)), abs=1e-12)


def test_at_ride_height_it_is_the_shaft_of_the_plan() -> None:
    axle = shafted()
    found = shaft_at(axle, (RIDE_HEIGHT,))
    planned = driveshaft(axle)
    assert found is not None
    assert found[0].length == pytest.approx(planned.length.value)
    assert found[0].pinion == pytest.approx(planned.joint.value)
    assert found[0].slip == 0.0


def test_extremes_hold_in_their_poses_and_the_slip_follows_from_them() -> None:
    axle = shafted()
    found = shaft_travel(axle)
    assert found is not None
    assert found.case is not None

    def met(extreme: Extreme, name: str) -> float:
        there = shaft_at(axle, (extreme.pose,))
        assert there is not None
        return float(getattr(there[0], name))

    for extremes, name, tolerance in (
        (found.length, "length", LENGTH_FOUND),
        (found.pinion, "pinion", ANGLE_FOUND),
        (found.case, "case", ANGLE_FOUND),
    ):
        for each in (extremes.least, extremes.most):
            assert each.settled
            assert met(each, name) == pytest.approx(0.5 * (each.low + each.high), abs=tolerance)
    assert found.slip_in == pytest.approx(found.ride.length - met(found.length.least, "length"), abs=LENGTH_FOUND)
    assert found.slip_out == pytest.approx(met(found.length.most, "length") - found.ride.length, abs=LENGTH_FOUND)


def test_what_the_shaft_has_is_judged_against_what_the_travel_asks() -> None:
    bare = shaft_travel(shafted())
    assert bare is not None
    assert [each.verdict for each in bare.asked] == ["unknown"] * 4
    most = degrees(bare.pinion.most.high)
    axle = shafted(
        slip_in=bare.slip_in + 1.0,
        slip_out=bare.slip_out - 1.0,
        pinion_joint=ShaftJoint(limit_deg=most + 0.1),
        case_joint=ShaftJoint(limit_deg=1.0),
    )
    found = shaft_travel(axle)
    assert found is not None
    verdicts = {each.place.removeprefix("axles/front/driveshaft/"): each.verdict for each in found.asked}
    assert verdicts == {
        "slip_in": "holds",
        "slip_out": "fails",
        "pinion_joint/limit_deg": "holds",
        "case_joint/limit_deg": "fails",
    }
    assert found.asked[0].spare == pytest.approx(1.0)
    assert found.asked[1].spare == pytest.approx(-1.0)


def test_less_travel_asks_for_less() -> None:
    whole, less = shaft_travel(shafted()), shaft_travel(shafted(), (TravelBox((-50.0, 50.0), (-50.0, 50.0)),))
    assert whole is not None
    assert less is not None
    assert less.slip_in < whole.slip_in
    assert less.slip_out < whole.slip_out
    assert less.pinion.most.low < whole.pinion.most.high


def test_what_was_not_measured_stays_unknown() -> None:
    axle = shafted(output=None)
    assert shaft_line(axle) is shaft_at(axle, (RIDE_HEIGHT,)) is shaft_travel(axle) is None
    assert missing_of_shaft(axle) == ("axles/front/build/transfer_output",)
    axle = shafted(output_angle_deg=None)
    assert missing_of_shaft(axle) == ("axles/front/driveshaft/output_angle_deg",)
    found = shaft_travel(axle)
    assert found is not None
    assert found.case is found.ride.case is found.ride.residual is None
    assert [each.place.rpartition("/driveshaft/")[2] for each in found.asked] == [
        "slip_in", "slip_out", "pinion_joint/limit_deg"
    ]  # fmt: skip


def test_a_double_joint_leaves_the_swing_of_the_other_one() -> None:
    both = shaft_at(shafted(), (CROSSED,))
    one = shaft_at(shafted(case_joint=ShaftJoint(kind="double")), (CROSSED,))
    none = shaft_at(shafted(case_joint=ShaftJoint(kind="double"), pinion_joint=ShaftJoint(kind="double")), (CROSSED,))
    assert both is not None
    assert one is not None
    assert none is not None
    assert one[0].residual == pytest.approx(fluctuation(one[0].pinion))
    assert none[0].residual == 0.0
    assert both[0].residual not in {one[0].residual, 0.0}


def test_a_pose_out_of_reach_is_refused() -> None:
    with pytest.raises(LinkageError, match="cannot reach"):
        shaft_at(shafted(), (TravelPose(3000.0, 3000.0),))
