"""Caster and pinion angle: what the welds tie, what turning the housing trades, and what the travel does."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians
from typing import Final

from app.figures.figure import Figure, Group, attempt, perch_words
from app.units import LengthUnit
from app.wording import pose_words
from geometry.motion.leaf_law import shared_wind_up
from geometry.motion.linkage import linkage_of
from geometry.plan.amount import Amount
from geometry.plan.caster import (
    CASTER_HIGH,
    CASTER_LOW,
    CasterTarget,
    Clocking,
    Extremes,
    caster_target,
    clocking_of,
    perch_angles,
    travel_angles,
    turned,
)
from geometry.plan.leaf_perch import LeafPerch, leaf_perch
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

DEGREE: Final = radians(1.0)

AIM: Final = "Caster of 3 to 5 degrees with the pinion up is common practice, no source; makers name 4 to 6."

TIE: Final = "caster and pinion angle together, which only cutting the welds changes"


def angles(_rig: Rig, axle: Axle) -> Group:
    """At ride height."""
    figures, refused = attempt(lambda: tuple(_figures(axle)))
    remark = "" if axle.steering is not None else "This axle is not steered: it has a pinion angle and no caster."
    return Group("angles", "Caster and pinion", (), figures, remark, refused)


def travel(_rig: Rig, axle: Axle) -> Group:
    """Least and greatest over the travel, and the poses; takes time."""
    figures, refused = attempt(lambda: tuple(_travel(axle)))
    remark = "Both wheels through all their travel, steering straight ahead; the width is not part of it."
    return Group("travel", "Caster and pinion over the travel", (), figures, remark, refused)


def _figures(axle: Axle) -> Iterator[Figure]:
    now = clocking_of(axle)
    if now is None:
        pinion = Amount(radians(axle.housing.pinion_angle_deg))
        yield Figure(
            "pinion", "Pinion angle", pinion, "angle", "Pinion axis above the level at ride height, up positive."
        )
    else:
        yield from _clocking(now)
        yield from _trades(now)
        yield from _target(caster_target(now))
    springs = leaf_perch(axle)
    if springs is not None:
        yield from _leaf_perch(springs)
    for each in perch_angles(axle):
        name = f"Perch {perch_words(axle, each.perch)}"
        yield Figure(
            f"perch/{each.perch}/from_pinion", f"{name}: pinion less seat", each.from_pinion, "angle",
            "What an angle gauge shows on the bench between pinion and seat, both with the pinion's end up.",
        )  # fmt: skip
        yield Figure(
            f"perch/{each.perch}/seat", f"{name}: seat", each.seat, "angle",
            "Seat above the level at ride height, forward end up.",
        )  # fmt: skip


def _leaf_perch(perch: LeafPerch) -> Iterator[Figure]:
    """The perches of leaf springs: where they stand on the tube, and at which angles."""
    name = f"Spring perch, {'over' if perch.over else 'under'} the tube"
    yield Figure(
        "leaf/at", f"{name}: from the centre plane", Amount(perch.at), "length",
        "Middle of the pack from the vehicle's centre plane, on either side; never from the pinion.",
    )  # fmt: skip
    yield Figure(
        "leaf/height", f"{name}: height", Amount(perch.height), "fine",
        "From the tube's skin to the pack's face at the centre bolt.",
    )  # fmt: skip
    yield Figure(
        "leaf/from_pinion", f"{name}: pinion less seat", Amount(perch.to_pinion), "angle",
        "What an angle gauge shows on the bench between pinion and seat, both with the pinion's end up.",
    )  # fmt: skip
    yield Figure(
        "leaf/seat", f"{name}: seat", Amount(perch.seat_angle), "angle",
        "Pack at its centre bolt above the level at ride height, forward end up.",
    )  # fmt: skip
    if perch.to_kingpin is not None:
        yield Figure(
            "leaf/kingpin", f"{name}: kingpin", Amount(perch.to_kingpin), "angle",
            "Kingpin's lean rearward from square to the seat; with the seat's angle it makes the caster.",
        )  # fmt: skip


def _clocking(now: Clocking) -> Iterator[Figure]:
    aimed = CASTER_LOW <= now.caster <= CASTER_HIGH
    yield Figure(
        "caster", "Caster", Amount(now.caster), "angle",
        "Kingpin axis in side view, top rearward positive (terms of ISO 8855).",
        warning="" if aimed else "outside of the 3 to 5 degrees that are aimed for",
    )  # fmt: skip
    yield Figure(
        "pinion",
        "Pinion angle",
        Amount(now.pinion),
        "angle",
        "Pinion axis above the level at ride height, up positive.",
    )
    together = "Caster and pinion angle" if now.faces == "rearward" else "Caster less pinion angle"
    yield Figure(
        "separation", f"{together}, held by the welds", Amount(now.separation), "angle",
        f"What turning the housing never changes: {TIE}." if now.faces == "rearward"
        else "What turning the housing never changes; with the pinion forward both rise together.",
    )  # fmt: skip


def _trades(now: Clocking) -> Iterator[Figure]:
    words = (
        "What turning the whole housing by one degree does; exact for caster in side view, whatever the inclination."
    )
    up = turned(now, DEGREE)
    per_pinion = (up.caster - now.caster) / (up.pinion - now.pinion)
    yield Figure("caster_per_pinion", "Caster for a degree of pinion, up", Amount(per_pinion), "slope", words)
    yield Figure("pinion_per_caster", "Pinion for a degree of caster, more", Amount(1.0 / per_pinion), "slope", words)


def _target(target: CasterTarget) -> Iterator[Figure]:
    yield Figure("target_low", "Caster aimed for, least", Amount(CASTER_LOW), "angle", AIM)
    yield Figure("target_high", "Caster aimed for, most", Amount(CASTER_HIGH), "angle", AIM)
    yield Figure(
        "off_by", "Caster off by", Amount(target.off_by), "angle",
        "Above the most or, with a minus sign, below the least that is aimed for; 0 = within.",
    )  # fmt: skip
    yield Figure(
        "turn", "Turn the housing by", Amount(target.turn), "angle",
        "Least turn that brings the caster within, pinion up positive; the pinion pays for it.",
    )  # fmt: skip
    yield Figure(
        "turned_caster", "Caster after that turn", Amount(target.turned.caster), "angle", "The welds as they are."
    )
    yield Figure(
        "turned_pinion", "Pinion after that turn", Amount(target.turned.pinion), "angle", "The welds as they are."
    )
    yield Figure(
        "pinion_low", "Pinion that goes with the aim, from", Amount(target.pinion_low), "angle",
        "Pinion angles at which the caster is within the aim, the welds as they are.",
    )  # fmt: skip
    yield Figure(
        "pinion_high", "Pinion that goes with the aim, to", Amount(target.pinion_high), "angle",
        "Pinion angles at which the caster is within the aim, the welds as they are.",
    )  # fmt: skip
    yield Figure(
        "separation_low", "Welds for the aim, pinion as it is, from", Amount(target.separation_low), "angle",
        f"To be cut and welded again so that caster is within the aim: {TIE}.",
    )  # fmt: skip
    yield Figure(
        "separation_high", "Welds for the aim, pinion as it is, to", Amount(target.separation_high), "angle",
        f"To be cut and welded again so that caster is within the aim: {TIE}.",
    )  # fmt: skip


def _travel(axle: Axle) -> Iterator[Figure]:
    found = travel_angles(axle)
    yield from _shared(axle)
    yield from _extremes(axle, "pinion", "Pinion angle", found.pinion)
    for side in ("left", "right"):
        caster: Extremes | None = getattr(found, f"caster_{side}")
        if caster is not None:
            yield from _extremes(axle, f"caster_{side}", f"Caster, {side}", caster)


def _shared(axle: Axle) -> Iterator[Figure]:
    """What leaf springs force on each other through a rigid axle."""
    linkage = linkage_of(axle)
    if linkage.leaves is None:
        return
    yield Figure(
        "leaf/shared", "Springs wound by each other, at most", Amount(shared_wind_up(linkage.law)), "angle",
        "With one wheel up and one down each spring would turn the axle its own way; being rigid it takes the mean.",
    )  # fmt: skip


def _extremes(axle: Axle, key: str, label: str, found: Extremes) -> Iterator[Figure]:
    words = "Over a grid of 33 by 33 poses of left and right travel, corners included, in the chassis' side view."
    for end, value, pose in (("low", found.low, found.low_at), ("high", found.high, found.high_at)):
        yield Figure(
            f"{key}_{end}", f"{label}, {'least' if end == 'low' else 'greatest'}", Amount(value), "angle", words,
            note=pose_words(pose, axle, LengthUnit.MM),
        )  # fmt: skip
