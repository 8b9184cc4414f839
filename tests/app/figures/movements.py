"""What geometry says of everything that turns and strokes, row by row as the groups of numbers tell it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import radians

import numpy as np

from geometry.contact.free_lock import FreeLock, free_lock
from geometry.driveline.choice import compare_pinions
from geometry.driveline.gearing import gear_table
from geometry.driveline.layout import layout_at_ride_height
from geometry.driveline.shaft import shaft_travel
from geometry.links.misalignment import rod_joints
from geometry.links.motion import link_poses, link_travel
from geometry.links.squat import antis
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.motion.steer_lock import steer_lock
from geometry.motion.travel import RIDE_HEIGHT, TravelBox, TravelPose
from geometry.plan.amount import Amount
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.rig.wheel import tire_dimensions
from geometry.stance.masses import rig_masses
from geometry.stance.pitch import assumed_masses
from geometry.steering.drag_link import bump_steer
from geometry.steering.in_turn import wheel_in_turn
from geometry.steering.turning import agreement, turn_length, turning_circle
from geometry.stroke.ratios import ratio_curve
from geometry.stroke.shocks import lengths_of, needed_shock, shock_fits
from geometry.stroke.spans import spans_of
from geometry.stroke.travel_set import travel_set
from geometry.stroke.ways import ways

Amounts = dict[tuple[str, str], Amount]
CELLS = 5
"""Cells of the free lock along either travel."""

Rows = Iterator[tuple[str, str, float]]


def amounts(rows: Rows) -> Amounts:
    return {(key, column): Amount(value) for key, column, value in rows}


def boxes(axle: Axle) -> tuple[TravelBox, ...]:
    return travel_set(linkage_of(axle), spans_of(axle)).boxes()


def of_strokes(rig: Rig) -> Amounts:
    return amounts(_strokes(rig.axles[0]))


def _strokes(axle: Axle) -> Rows:
    for way in ways(axle):
        yield f"way/{way.name.replace(' ', '_')}", "", way.given
    for each in lengths_of(axle):
        part = each.span.part
        key = f"{part.kind.replace(' ', '_')}/{part.id.partition('.')[2]}"
        yield f"{key}/ride", part.side, each.at_ride_height
        yield f"{key}/least", part.side, each.left.least.low
        yield f"{key}/most", part.side, each.left.most.high
    travel = np.linspace(-axle.droop, axle.bump, 41)
    for fit in shock_fits(axle):
        needed, side = needed_shock(fit.lengths.wanted), fit.lengths.span.part.side
        yield "shock/main/spare_collapsed", side, fit.collapsed.spare
        yield "shock/main/spare_extended", side, fit.extended.spare
        yield "shock/main/needed_collapsed", side, needed.collapsed
        yield "shock/main/needed_extended", side, needed.extended
        yield "shock/main/needed_stroke", side, needed.stroke
        table, span = pose_map(linkage_of(axle)), fit.lengths.span
        yield "shock/main/ratio", side, ratio_curve(table, span, 1.0, 1.0, np.zeros(1)).ratio[0]
        yield "shock/main/ratio_change", side, ratio_curve(table, span, 1.0, 1.0, np.append(travel, 0.0)).change


def of_steering(rig: Rig) -> Amounts:
    return amounts(_steering(rig, rig.axles[0]))


def _steering(rig: Rig, axle: Axle) -> Rows:
    length = turn_length(rig, axle)
    assert length is not None
    for way, other, sign in (("left", "right", 1.0), ("right", "left", -1.0)):
        lock = steer_lock(axle, way)  # type: ignore[arg-type]
        assert lock is not None
        yield "lock", way, lock.steer
        circle, both = turning_circle(rig, axle, sign * lock.steer), agreement(axle, sign * lock.steer, length)
        assert circle is not None
        assert both is not None
        for name in ("kerb", "wall", "by_rule"):
            yield name, way, 2.0 * getattr(circle, name)
        for name in ("outer", "correct_outer", "error"):
            yield name, way, getattr(both, name)
        yield "percent", way, both.percent / 100.0
        for where, side, steer in (("straight", way, 0.0), ("same", way, sign), ("other", other, sign)):
            wheel = wheel_in_turn(axle, side, steer * lock.steer)  # type: ignore[arg-type]
            for name in ("scrub", "trail", "camber", "caster"):
                yield f"{name}/{where}", way, getattr(wheel, name)
        yield "link_range", way, lock.steer
    up, down = axle.bump, -axle.droop
    for key, left, right in (("bump", up, up), ("droop", down, down), ("left_up", up, down), ("right_up", down, up)):
        found = bump_steer(axle, left, right)
        assert found is not None
        yield f"steer/{key}", "left", float(found.left_wheel[0])
        yield f"steer/{key}", "right", float(found.right_wheel[0])


@lru_cache(maxsize=8)
def coarse_lock(rig: Rig, axle: Axle) -> FreeLock | None:
    """The free lock over few cells: what it takes to find them all is tested where it is found."""
    return free_lock(rig, axle, CELLS)


def of_free_lock(rig: Rig) -> Amounts:
    found = coarse_lock(rig, rig.axles[0])
    assert found is not None
    return {
        ("stop", "left"): Amount(found.stop_left), ("stop", "right"): Amount(found.stop_right),
        ("bump", ""): Amount(found.bump_for_full_lock()), ("droop", ""): Amount(found.droop_for_full_lock()),
    }  # fmt: skip


def of_driveline(rig: Rig) -> Amounts:
    return amounts(_driveline(rig.axles[0]))


def _driveline(axle: Axle) -> Rows:
    found, layout = shaft_travel(axle, boxes(axle)), layout_at_ride_height(axle)
    assert found is not None
    for end in ("case", "pinion", "length"):
        yield f"{end}/ride", "", getattr(found.ride, end)
        yield f"{end}/most", "", getattr(found, end).most.high
        yield f"{end}/least", "", getattr(found, end).least.low
    yield "slip_in", "", found.slip_in
    yield "slip_out", "", found.slip_out
    yield "apart", "", layout.axes_apart or 0.0
    for rule in layout.rules:
        value = rule.value or 0.0
        yield f"rule/{rule.rule}" + f"/{rule.end}" * bool(rule.end), "", radians(value) if "deg" in rule.rule else value


def of_pinions(rig: Rig) -> Amounts:
    return amounts(_pinions(rig.axles[0]))


def _pinions(axle: Axle) -> Rows:
    for key, found in zip(("drawn", "choice/raised"), compare_pinions(axle, boxes(axle)), strict=True):
        assert found.full_droop is not None
        assert found.travel is not None
        yield f"{key}/droop_case", "", found.full_droop.case or 0.0
        yield f"{key}/droop_pinion", "", found.full_droop.pinion
        yield f"{key}/slip", "", found.travel.length.most.high - found.travel.length.least.low
        yield f"{key}/ground", "", found.ground_clearance


def of_gears(rig: Rig) -> Amounts:
    assert rig.gears is not None
    return amounts(_gears(rig))


def _gears(rig: Rig) -> Rows:
    assert rig.gears is not None
    found = gear_table(rig.gears, rig.axles[0].tire)
    yield "rolling", "", found.rolling_radius
    yield "crawl", "", found.crawl_ratio or 0.0
    for row in found.rows:
        yield f"ratio/{row.range}/{row.gear}", "", row.ratio
        yield f"speed/{row.range}/{row.gear}/2000", "", row.speeds[0]
    for tire in found.tires:
        yield f"tire/{tire.size}/speed", "", tire.speed_share
        yield f"tire/{tire.size}/axle", "", tire.equal_axle or 0.0
        yield f"tire/{tire.size}/height", "", tire.axle_height


def of_rods(rig: Rig) -> Amounts:
    return amounts(_rods(rig, rig.axles[0]))


def _rods(rig: Rig, axle: Axle) -> Rows:
    for joints in rod_joints(axle, boxes(axle)):
        assert joints.twist is not None
        for end in ("chassis", "axle", "twist"):
            yield f"{joints.rod}/{end}", "", getattr(joints, end).high
    over = link_travel(axle, boxes(axle))
    for name in ("side_shift", "forward_shift", "steer", "pinion_angle"):
        yield f"{name}/least", "", getattr(over, name).least.low
        yield f"{name}/most", "", getattr(over, name).most.high
    ride: TravelPose = RIDE_HEIGHT
    (found,) = link_poses(axle, (ride,))
    yield "roll_centre", "", found.roll_centre
    yield "roll_axis", "", found.roll_axis
    yield "understeer", "", -found.roll_steer
    assert found.instant_centre is not None
    yield "instant_x", "", found.instant_centre[0]
    yield "instant_z", "", found.instant_centre[1]
    radius = tire_dimensions(axle.tire).loaded_radius
    for state in rig_masses(rig).states:
        share = antis(found, assumed_masses(rig, axle, state), front=False, loaded_radius=radius).drive
        yield f"anti/{state.state}", "", share or 0.0
