"""Steering: lock and what ends it, the turning circle, how the wheels agree, bump steer, and the free lock."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import isfinite
from typing import Final

from app.figures.figure import Figure, Group, Kind, attempt
from app.wording import pair_words
from geometry.contact.free_lock import FreeLock, free_lock
from geometry.motion.steer_lock import LockBy, steer_lock
from geometry.plan.amount import Amount
from geometry.rig.axle import Axle, Steering
from geometry.rig.layout import Side
from geometry.rig.rig import Rig
from geometry.steering.drag_link import bump_steer, link_range
from geometry.steering.in_turn import WheelInTurn, wheel_in_turn
from geometry.steering.turning import agreement, turn_length, turning_circle

SIDES: Final[tuple[Side, Side]] = ("left", "right")

ENDS: Final[dict[LockBy, str]] = {
    "stop": "ended by the steering stop",
    "ram": "ended by the ram's stroke",
    "joint": "ended by the shaft's joint",
}

NOT_STEERED: Final = "This axle is not steered."


def steering(rig: Rig, axle: Axle) -> Group:
    """Lock, turn and bump steer; columns are the way that is steered to."""
    figures, refused = attempt(lambda: tuple(_figures(rig, axle)))
    remark = "For a turn to the left and to the right, at ride height." if axle.steering is not None else NOT_STEERED
    return Group("steering", "Steering", SIDES, figures, remark, refused)


def free(rig: Rig, axle: Axle) -> Group:
    """The free lock over the whole travel; takes time."""
    figures, refused = attempt(lambda: _free(free_lock(rig, axle)))
    remark = "Steer at which all that steers keeps its wanted clearance, proved over the travel that is left."
    return Group("free_lock", "Steering: free lock", SIDES, figures, remark if figures else NOT_STEERED, refused)


def _figures(rig: Rig, axle: Axle) -> Iterator[Figure]:
    if axle.steering is None:
        return
    locks = {side: lock.steer for side in SIDES if (lock := steer_lock(axle, side)) is not None}
    for side in SIDES:
        lock = steer_lock(axle, side)
        if lock is not None:
            words = "Turn about its kingpin of the wheel on the side that is steered to."
            yield Figure("lock", "Full lock", Amount(lock.steer), "angle", words, side, note=ENDS[lock.by])
    yield from _circles(rig, axle, locks)
    yield from _agreement(rig, axle, locks)
    yield from _wheels(axle, locks)
    yield from _bump(axle, axle.steering)


def _circles(rig: Rig, axle: Axle, locks: dict[Side, float]) -> Iterator[Figure]:
    for key, label, words in (
        ("kerb", "Turning circle, kerb to kerb", "Diameter at full lock to the outside of the outer tire."),
        (
            "wall",
            "Turning circle, wall to wall",
            "Diameter to the farthest point of tires and chassis seen from above.",
        ),
        (
            *("by_rule", "Turning circle by SAE J695's rule"),
            "Diameter of the outer contact's path, less 100 mm for each degree of steering error (by experience).",
        ),
    ):
        for side, lock in locks.items():
            found = turning_circle(rig, axle, lock if side == "left" else -lock)
            radius = None if found is None else getattr(found, key)
            missing = ("steering/fixed",) if found is None else ()
            amount = Amount(None, missing) if radius is None or not isfinite(radius) else Amount(2.0 * radius)
            yield Figure(key, label, amount, "length", words, side, none="straight ahead")


def _agreement(rig: Rig, axle: Axle, locks: dict[Side, float]) -> Iterator[Figure]:
    length = turn_length(rig, axle)
    rows: tuple[tuple[str, str, Kind, str, float], ...] = (
        ("outer", "Outer wheel at full lock", "angle", "Of the wheel's plane seen from above.", 1.0),
        ("correct_outer", "Outer wheel, correct", "angle", "What it should have for the inner one.", 1.0),
        (
            "error",
            "Ackermann error at full lock",
            "angle",
            "How far the outer wheel turns beyond what is correct.",
            1.0,
        ),
        (
            *("percent", "Ackermann at full lock", "share"),
            "Inner less outer turn, over what it should be for the outer wheel (one of several definitions in use).",
            0.01,
        ),
    )
    for key, label, kind, words, size in rows:
        for side, lock in locks.items():
            found = None if length is None else agreement(axle, lock if side == "left" else -lock, length)
            value = None if found is None else getattr(found, key) * size
            missing = ("steering/fixed",) if found is None else ()
            amount = Amount(None, missing) if value is None or not isfinite(value) else Amount(value)
            yield Figure(key, label, amount, kind, words, side)


def _wheels(axle: Axle, locks: dict[Side, float]) -> Iterator[Figure]:
    rows: tuple[tuple[str, str, Kind, str], ...] = (
        ("scrub", "Scrub radius", "length", "Kingpin inboard of the contact centre on the ground positive."),
        ("trail", "Trail", "length", "Kingpin ahead of the contact centre on the ground positive."),
        ("camber", "Camber", "angle", "Top outboard positive."),
        ("caster", "Caster", "angle", "Against the wheel's heading, top rearward positive."),
    )
    for key, label, kind, words in rows:
        for where, steer, place in (
            ("straight", 0.0, "straight ahead"),
            ("same", 1.0, "full lock, wheel on that side"),
            ("other", -1.0, "full lock, the other wheel"),
        ):
            for side, lock in locks.items():
                wheel = _wheel(axle, side, lock, steer)
                if wheel is not None:
                    amount = Amount(getattr(wheel, key))
                    yield Figure(f"{key}/{where}", f"{label}, {place}", amount, kind, words, side)


def _wheel(axle: Axle, way: Side, lock: float, which: float) -> WheelInTurn | None:
    """The wheel straight ahead on that side, or that one or the other when steered to it."""
    if which == 0.0:
        return wheel_in_turn(axle, way, 0.0)
    other: Side = "right" if way == "left" else "left"
    return wheel_in_turn(axle, way if which > 0.0 else other, lock if way == "left" else -lock)


def _bump(axle: Axle, geared: Steering) -> Iterator[Figure]:
    """Steer of each wheel while the pitman arm stands; columns are the wheels here."""
    if geared.ram is not None and geared.drag_link is None:
        return
    poses = (
        ("bump", "Bump steer, full stuff", axle.bump, axle.bump),
        ("droop", "Bump steer, full droop", -axle.droop, -axle.droop),
        ("left_up", "Roll steer, crossed, left wheel up", axle.bump, -axle.droop),
        ("right_up", "Roll steer, crossed, right wheel up", -axle.droop, axle.bump),
    )
    found = bump_steer(axle, [pose[2] for pose in poses], [pose[3] for pose in poses])
    words = "Of this column's wheel while the pitman arm stands straight ahead, left positive."
    missing = (f"axles/{axle.id}/steering/drag_link",) if geared.drag_link is None else ()
    for at, (key, label, *_) in enumerate(poses):
        for side in SIDES:
            value = float("nan") if found is None else float(getattr(found, f"{side}_wheel")[at])
            amount = Amount(value) if isfinite(value) else Amount(None, missing)
            yield Figure(f"steer/{key}", label, amount, "angle", words, side, none="the drag link does not reach")
    ends = link_range(axle)
    if ends is not None:
        words = "Up to full lock, at every travel looked at: straight and crossed, to the ends of bump and droop."
        for side, end in zip(SIDES, (ends[1], -ends[0]), strict=True):
            yield Figure("link_range", "Steer that the drag link drives", Amount(end), "angle", words, side)


def _free(found: FreeLock | None) -> tuple[Figure, ...]:
    if found is None:
        return ()
    words = "Stop setting at which nothing that steers loses its wanted clearance anywhere in the travel."
    figures = []
    for side in SIDES:
        ends = found.ended_by(side)
        note = "the full lock is free" if ends is None else f"ended by {pair_words(ends)}"
        stop = getattr(found, f"stop_{side}")
        figures.append(
            Figure("stop", "Steering stop that never touches", Amount(stop), "angle", words, side, note=note)
        )
    limits: tuple[tuple[str, str, Callable[[], float | None], str], ...] = (
        ("bump", "Bump that frees the full lock", found.bump_for_full_lock, "droop"),
        ("droop", "Droop that frees the full lock", found.droop_for_full_lock, "bump"),
    )
    for key, label, limit, other in limits:
        words = f"Largest one of both wheels, the {other} as it is, at which the full lock is free both ways."
        amount = Amount(limit())
        figures.append(Figure(key, label, amount, "clearance", words, none="none: it is not free at ride height"))
    if not found.complete:
        figures = [_less(each) for each in figures]
    return tuple(figures)


def _less(figure: Figure) -> Figure:
    """The search grew too large: values are less than they might be."""
    return replace(figure, warning="may be more: the search grew too large")
