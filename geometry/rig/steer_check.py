"""Whether the steering's parts can be what they are together: arms, tie rod, drag link, ram and locks."""

from __future__ import annotations

from math import floor, hypot, sqrt
from typing import Final

import numpy as np

from geometry.errors import RigError
from geometry.rig.axle import Axle, Steering
from geometry.rig.limits import LEAST_TUBE, check_least
from geometry.rig.steer_gear import DragLink, OnKnuckle, Ram
from geometry.rig.turn_law import STEP_DEG, Floats, TurnLaw, kingpin_up, meeting_turn, turn_law
from geometry.tolerances import COINCIDENT

STEEPEST_KINGPIN_DEG: Final = 45.0
"""Largest inclination or caster of a kingpin [degrees]: three times any known axle's; a larger one is a slip."""

LEAST_ARM: Final = 40.0
"""Shortest steering or pitman arm [mm]: its two eyes need as much. Common practice, no source."""

LEAST_LEVER: Final = 0.1
"""Least sine of the angle between an arm and the rod that turns it [-]: below it a rod pulls along its arm. Common
practice, no source."""

LEAST_LINK: Final = 50.0
"""Shortest rod between two joints [mm]: they need as much. Common practice, no source."""


def check_steering(axle: Axle, place: str) -> None:
    """Raise what is wrong with an axle's steering, if anything.

    Raises
    ------
    RigError
        With the place of the first fault, and the nearest value that works.

    """
    steering = axle.steering
    if steering is None:
        return
    place = f"{place}.steering"
    for field in ("inclination_deg", "caster_deg"):
        angle = float(getattr(steering, field))
        if abs(angle) > STEEPEST_KINGPIN_DEG:
            raise RigError(
                f"{place}.{field}",
                f"{field.removesuffix('_deg')} is {angle:g} degrees and must lie between -{STEEPEST_KINGPIN_DEG:g} and "
                f"{STEEPEST_KINGPIN_DEG:g}",
            )
    if steering.tie_rod is not None:
        check_least(steering.tie_rod.od, LEAST_TUBE, f"{place}.tie_rod.od", "od", "rod")
        _check_tie_rod(axle, steering, steering.tie_rod.arm, f"{place}.tie_rod.arm")
    _check_share(steering, place)
    law = turn_law(axle)
    if law is not None:
        _check_end(law, steering, place)
    if steering.drag_link is not None:
        _check_drag_link(steering.drag_link, axle, steering, f"{place}.drag_link")
    if steering.ram is not None:
        _check_ram(steering.ram, axle, steering, f"{place}.ram")


def _check_tie_rod(axle: Axle, steering: Steering, arm: OnKnuckle, place: str) -> None:
    _check_arm(steering, arm, place)
    length = axle.width + 2.0 * arm[1]
    if length < LEAST_LINK:
        raise RigError(
            place,
            f"the tie rod would be {length:.1f} mm long, the least is {LEAST_LINK:g} mm; its second number counts from "
            f"the face to the left and can be {(LEAST_LINK - axle.width) / 2.0:.1f} mm at least",
        )


def _check_arm(steering: Steering, arm: OnKnuckle, place: str) -> None:
    up = kingpin_up(steering)
    offset = np.subtract(arm, steering.kingpin)
    reach = float(np.linalg.norm(offset - float(offset @ up) * up))
    if reach < LEAST_ARM:
        raise RigError(
            place,
            f"the ball joint lies {reach:.1f} mm from the kingpin axis and no steering arm is shorter than "
            f"{LEAST_ARM:g} mm; move it out",
        )


def _check_share(steering: Steering, place: str) -> None:
    if steering.ackermann is None:
        return
    if steering.tie_rod is not None:
        raise RigError(
            f"{place}.ackermann", "the tie rod makes the turn of the outer wheel already; remove one of the two"
        )
    if abs(steering.ackermann.turn_length) < LEAST_LINK:
        raise RigError(
            f"{place}.ackermann.turn_length",
            f"the axle cannot turn about a line {abs(steering.ackermann.turn_length):g} mm away from itself; enter the "
            "wheelbase",
        )


def _check_end(law: TurnLaw, steering: Steering, place: str) -> None:
    end = law.end()
    for way in ("left", "right"):
        lock = float(getattr(steering, f"lock_{way}_deg"))
        if lock > end:
            cause = (
                "the tie rod's arm reaches its dead centre"
                if law.kind == "tie_rod"
                else "with that share the outer wheel does not follow"
            )
            raise RigError(
                f"{place}.lock_{way}_deg",
                f"{cause} at a turn of {end + STEP_DEG:.1f} degrees and the lock is {lock:g} degrees; the largest lock "
                f"that works is {end:.1f} degrees",
            )


def _check_drag_link(link: DragLink, axle: Axle, steering: Steering, place: str) -> None:
    check_least(link.od, LEAST_TUBE, f"{place}.od", "od", "rod")
    _check_arm(steering, link.arm, f"{place}.arm")
    along = np.subtract(link.shaft_end, link.shaft)
    size = float(np.linalg.norm(along))
    if size <= COINCIDENT:
        raise RigError(f"{place}.shaft_end", "both points of the pitman shaft are the same; move one along the shaft")
    offset = np.subtract(link.pitman, link.shaft)
    reach = float(np.linalg.norm(np.cross(offset, along))) / size
    if reach < LEAST_ARM:
        raise RigError(
            f"{place}.pitman",
            f"the ball joint lies {reach:.1f} mm from the pitman shaft and no pitman arm is shorter than "
            f"{LEAST_ARM:g} mm; move it out",
        )
    length = float(np.linalg.norm(knuckle_straight(link, axle) - link.pitman))
    if length < LEAST_LINK:
        raise RigError(
            f"{place}.pitman",
            f"the drag link would be {length:.1f} mm long, the least is {LEAST_LINK:g} mm; move one of its joints",
        )
    _check_levers(link, axle, steering, place)


def _check_levers(link: DragLink, axle: Axle, steering: Steering, place: str) -> None:
    """Refuse a drag link that pulls along its pitman arm or steering arm at ride height, within the lock."""
    ways = (("left", 1.0, steering.lock_left_deg), ("right", -1.0, steering.lock_right_deg))
    turns = [np.append(np.arange(0.0, lock, STEP_DEG), lock) for _, _, lock in ways]
    # both ways at once, for this is asked at each step of a drag; the first turn is straight ahead
    steers = np.concatenate([sign * steps for (_, sign, _), steps in zip(ways, turns, strict=True)])
    every = drag_levers(link, axle, steering, np.radians(steers))
    straight = every[:, 0]
    for lever, field, arm in zip(straight, ("pitman", "arm"), ("pitman arm", "steering arm"), strict=True):
        if not abs(lever) >= LEAST_LEVER:  # nor where it is not a number
            raise RigError(
                f"{place}.{field}",
                f"straight ahead the drag link pulls along the {arm}, which is then on its dead centre; turn the arm "
                "to stand across the link",
            )
    reached = every * np.sign(straight)[:, None] >= LEAST_LEVER
    sides = np.split(reached, [len(turns[0])], axis=1)
    for (way, _, lock), steps, driven in zip(ways, turns, sides, strict=True):
        if not driven.all():
            first = int(np.argmin(driven.all(axis=0)))
            arm = "pitman arm" if not driven[0, first] else "steering arm"
            raise RigError(
                f"{place.rpartition('.')[0]}.lock_{way}_deg",
                f"at ride height the drag link brings the {arm} to its dead centre at a turn of {steps[first]:.1f} "
                f"degrees and the lock is {lock:g} degrees; the largest that works is {steps[first - 1]:.1f} degrees",
            )


def drag_levers(link: DragLink, axle: Axle, steering: Steering, steer: Floats) -> Floats:
    """Sine of the angle in which the drag link meets pitman arm and steering arm at ride height, shape (2, n) [-].

    steer : array, shape (n,), left positive [rad]. nan where the link does not reach. Both keep their signs unless an
    arm passes its dead centre.
    """
    side = np.array([1.0, 1.0 if link.knuckle == "left" else -1.0, 1.0])
    up = kingpin_up(steering) * side
    face = np.array([0.0, axle.width / 2.0, 0.0])
    kingpin, ball = (face + steering.kingpin) * side, (face + link.arm) * side
    law, turn = turn_law(axle), steer
    if law is not None:
        outer = law.outer(np.abs(steer))[0] * np.sign(steer)
        turn = np.where(side[1] * steer >= 0.0, steer, outer)
    knuckle = np.array([axle.station, 0.0, axle.height]) + kingpin + _rotated(ball - kingpin, up, turn)
    shaft = np.subtract(link.shaft_end, link.shaft)
    shaft /= np.linalg.norm(shaft)
    pitman = np.subtract(link.pitman, link.shaft)
    foot = np.array(link.shaft) + shaft * float(pitman @ shaft)
    length = float(np.linalg.norm(knuckle_straight(link, axle) - link.pitman))
    arm = np.array(link.pitman) - foot
    ahead = np.cross(shaft, arm)
    branch = float((knuckle_straight(link, axle) - foot) @ ahead)
    held = foot + _rotated(arm, shaft, meeting_turn(knuckle - foot, arm, ahead, length, branch))
    rod = (knuckle - held) / length
    turned = _rotated(ball - kingpin, up, turn)
    turned -= (turned @ up)[:, None] * up
    levers = [np.cross(held - foot, rod) @ shaft / np.linalg.norm(arm)]
    levers.append(np.cross(turned, rod) @ up / np.linalg.norm(turned, axis=1))
    return np.array(levers)


def knuckle_straight(link: DragLink, axle: Axle) -> Floats:
    """The drag link's ball on the knuckle at ride height, wheels straight, rig's frame, shape (3,) [mm]."""
    side = 1.0 if link.knuckle == "left" else -1.0
    forward, left, up = link.arm
    return np.array([axle.station + forward, side * (axle.width / 2.0 + left), axle.height + up])


def _rotated(arm: Floats, axis: Floats, angle: Floats) -> Floats:
    """An arm turned about an axis by each angle, shape (n, 3) (Rodrigues)."""
    cos, sin = np.cos(angle)[:, None], np.sin(angle)[:, None]
    turned: Floats = arm * cos + np.cross(axis, arm) * sin + axis * float(axis @ arm) * (1.0 - cos)
    return turned


def _check_ram(ram: Ram, axle: Axle, steering: Steering, place: str) -> None:
    _check_arm(steering, ram.arm, f"{place}.arm")
    if ram.eyes < ram.length + ram.stroke:
        raise RigError(
            f"{place}.eyes",
            f"a rod of {ram.eyes:g} mm between its eyes is too short for a body of {ram.length:g} mm and a stroke of "
            f"{ram.stroke:g} mm, the least is {ram.length + ram.stroke:g} mm",
        )
    ball = axle.width + 2.0 * ram.arm[1]
    link = hypot(ram.arm[0] - ram.forward, ram.arm[2] - ram.up, (ball - ram.eyes) / 2.0)
    if link < LEAST_LINK:
        lateral = hypot(ram.arm[0] - ram.forward, ram.arm[2] - ram.up)
        most = ball - 2.0 * sqrt(max(LEAST_LINK**2 - lateral**2, 0.0))
        raise RigError(
            f"{place}.eyes",
            f"the ram's links would be {link:.1f} mm long, the least is {LEAST_LINK:g} mm; the rod's eyes can be "
            f"{floor(10.0 * most) / 10.0:g} mm apart at most",
        )
