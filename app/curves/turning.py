"""What steering does, and what travel does to it: wheels in a turn, bump steer, the ram's way, the free lock."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians
from typing import Final

import numpy as np

from app.curves.quantity import STEER, Floats, Found, Limit, Quantity
from app.curves.way import Poses
from geometry.contact.free_lock import FreeLock
from geometry.errors import LinkageError
from geometry.motion.steer_lock import ram_travel, shaft_joint_angles
from geometry.rig.axle import Axle
from geometry.rig.layout import Side
from geometry.rig.rig import Rig
from geometry.steering.drag_link import bump_steer, pitman_turn
from geometry.steering.in_turn import wheel_in_turn
from geometry.steering.turning import agreement, turn_length

GROUP: Final = "Steering"
SIDES: Final[tuple[Side, Side]] = ("left", "right")

WHEEL: Final = (
    ("steer", "Wheel angle", "rad", "Of the wheel's plane seen from above, left positive."),
    ("camber", "Camber in the turn", "rad", "Top outboard positive."),
    ("caster", "Caster in the turn", "rad", "Kingpin against the wheel's heading, top rearward positive."),
    ("scrub", "Scrub radius in the turn", "mm", "Positive where the kingpin meets the ground inboard of the contact."),
    ("trail", "Trail in the turn", "mm", "Positive where the kingpin meets the ground ahead of the contact."),
    ("rise", "Rise of the contact", "mm", "Against straight ahead; it lifts the rig when negative."),
)


def wheels(_rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """How both wheels stand in a turn, at ride height."""
    if axle.steering is None:
        return
    for side in SIDES:
        told = [wheel_in_turn(axle, side, steer) for steer in poses.steer[poses.reached].tolist()]
        for name, label, unit, words in WHEEL:
            quantity = Quantity(
                f"wheel/{name}/{side}", f"{label}, {side}", unit, GROUP, words, f"{name} {side}", STEER  # type: ignore[arg-type]
            )  # fmt: skip
            yield Found(quantity, poses.spread([getattr(each, name) for each in told]))
    angles = np.array([shaft_joint_angles(axle, steer) for steer in poses.steer[poses.reached].tolist()]).reshape(-1, 2)
    limit = axle.steering.joint_limit_deg
    limits = () if limit is None else (Limit(radians(limit), "shaft joint binds"),)
    for at, side in enumerate(SIDES):
        words = "Working angle of the axle shaft's joint."
        quantity = Quantity(
            f"wheel/joint/{side}", f"Axle shaft joint, {side}", "rad", GROUP, words, f"joint {side}", STEER
        )
        yield Found(quantity, poses.spread(angles[:, at]), limits)


def agreeing(rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """Ackermann: how well both wheels agree on the centre of the turn."""
    if axle.steering is None:
        return
    length = turn_length(rig, axle)
    missing = ("steering/fixed",) if length is None else ()
    told = [None if length is None else agreement(axle, steer, length) for steer in poses.steer[poses.reached].tolist()]
    for name, label, unit, words, line in (
        ("error", "Ackermann error", "rad", "How far the outer wheel turns beyond what is correct.", "error"),
        (
            *("percent", "Ackermann", "%"),
            "Inner less outer turn, over what it should be for the outer wheel; none straight ahead.",
            "Ackermann",
        ),
    ):
        quantity = Quantity(f"agree/{name}", label, unit, GROUP, words, line, STEER)  # type: ignore[arg-type]
        values = [None if each is None else getattr(each, name) for each in told]
        yield Found(quantity, poses.spread(values), (Limit(100.0, "correct"),) if unit == "%" else (), missing)


def gear(_rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """The pitman arm's turn and the ram's way, at ride height."""
    if axle.steering is None:
        return
    steer, reached = poses.steer, poses.reached
    if axle.steering.drag_link is not None:
        words = (
            "About its shaft, towards the second point of it as a right-handed screw; none = the link does not reach."
        )
        quantity = Quantity("gear/pitman", "Turn of the pitman arm", "rad", GROUP, words, "pitman arm", STEER)
        values, problem = poses.nothing, ""
        try:
            values = np.where(reached, pitman_turn(axle, steer), np.nan)
        except LinkageError as error:
            problem = str(error)
        yield Found(quantity, values, problem=problem)
    ram = axle.steering.ram
    if ram is not None:
        limits = (Limit(ram.stroke / 2.0, "stroke ends"), Limit(-ram.stroke / 2.0, "stroke ends"))
        for side in SIDES:
            words = "Way of its rod from the middle, left positive, as the knuckle of that side moves it."
            quantity = Quantity(f"gear/ram/{side}", f"Ram travel, {side}", "mm", GROUP, words, f"ram {side}", STEER)
            yield Found(quantity, np.where(reached, ram_travel(axle, steer, side), np.nan), limits)


def bumped(_rig: Rig, axle: Axle, poses: Poses) -> Iterator[Found]:
    """Bump steer, and roll steer of the wheels, while the pitman arm stands still straight ahead."""
    if axle.steering is None or (axle.steering.ram is not None and axle.steering.drag_link is None):
        return
    missing = () if axle.steering.drag_link is not None else (f"axles/{axle.id}/steering/drag_link",)
    told, problem = None, ""
    try:
        if not missing and poses.reached.any():
            told = bump_steer(axle, poses.left[poses.reached], poses.right[poses.reached])
    except LinkageError as error:
        problem = str(error)
    for name, label, line in (
        ("left_wheel", "Bump steer, left wheel", "left wheel"),
        ("right_wheel", "Bump steer, right wheel", "right wheel"),
        ("turn", "Bump steer, turn of the knuckle", "knuckle"),
    ):
        words = "While the pitman arm stands straight ahead, left positive; none = the drag link does not reach."
        quantity = Quantity(f"bump/{name}", label, "rad", GROUP, words, line)
        values = poses.nothing if told is None else poses.spread(getattr(told, name))
        yield Found(quantity, values, (), missing, problem)


def free(axle: Axle, poses: Poses, lock: FreeLock | None, problem: str = "") -> Iterator[Found]:
    """The free lock each way, of the cell of travel that a pose lies in."""
    if axle.steering is None:
        return
    for side in SIDES:
        words = "Steer up to which all that steers keeps its wanted clearance, proved over the cell of travel."
        quantity = Quantity(f"lock/{side}", f"Free lock, {side}", "rad", GROUP, words, f"to the {side}")
        values = poses.nothing
        limits: tuple[Limit, ...] = ()
        if lock is not None:
            values = np.where(poses.reached, _looked_up(lock, side, poses), np.nan)
            limits = (Limit(getattr(lock, f"lock_{side}"), f"full lock {side}"),)
        yield Found(quantity, values, limits, problem=problem)


def _looked_up(lock: FreeLock, side: Side, poses: Poses) -> Floats:
    """The value of the cell; on an edge the less of both."""
    table, edges = np.array(getattr(lock, side)), np.array(lock.edges)
    count = len(edges) - 1
    step = (edges[-1] - edges[0]) / count
    found = np.full(len(poses.left), np.inf)
    for hair in (-1e-9, 1e-9):
        column, row = (
            np.clip(np.floor((travel - edges[0]) / step + hair).astype(np.intp), 0, count - 1)
            for travel in (poses.left, poses.right)
        )
        values: Floats = table[row, column]
        found = np.fmin(found, values)
    return np.where(np.isfinite(found), found, np.nan)
