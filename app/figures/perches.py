"""Perch room: bare tube, whether perches fit on it, which pinion offsets leave room, and what the driveshaft says."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from app.figures.figure import Figure, Group, Refusal, attempt, perch_words, refusal_of
from geometry.errors import PlanError
from geometry.plan.amount import Amount
from geometry.plan.driveshaft import Driveshaft, driveshaft
from geometry.plan.half import SIDES
from geometry.plan.perch import OffsetRange, PerchFit, PerchPlace, Shortfall, check_perches, perch_fit
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig

ROOM: Final = "Perches stand from the vehicle's centre, with a weld leg on either side; they may not meet anything."


def perches(_rig: Rig, axle: Axle) -> Group:
    """All of it. Where perches do not fit, what would make them fit is still told, under the refusal."""
    figures, refused = attempt(lambda: tuple(_figures(axle, perch_fit(axle))))
    return Group("perches", "Perch room", SIDES, figures, refusals=refused or _unfit(axle))


def _unfit(axle: Axle) -> tuple[Refusal, ...]:
    try:
        check_perches(axle)
    except PlanError as refused:
        return (refusal_of(refused),)
    return ()


def _figures(axle: Axle, fit: PerchFit) -> Iterator[Figure]:
    for side, bare in zip(SIDES, (fit.bare_left, fit.bare_right), strict=True):
        words = "Bare tube between centre section and end: the room that there is."
        yield Figure("bare", "Bare tube", bare, "clearance", words, side)
    yield Figure(
        "offset", "Pinion offset now", Amount(axle.housing.pinion_offset), "offset",
        "Pinion's centreline to the centre plane of the vehicle.",
    )  # fmt: skip
    if fit.places:
        fits = Amount(None, fit.missing) if fit.fits is None else Amount(float(fit.fits))
        yield Figure("fits", "All perches fit", fits, "yes or no", ROOM)
    for place in fit.places:
        yield from _place(axle, place, fit)
    yield from (_shortfall(axle, each) for each in fit.shortfalls)
    yield from _offsets(fit)
    yield from _changes(fit)
    yield from _driveshaft(driveshaft(axle))


def _place(axle: Axle, place: PerchPlace, fit: PerchFit) -> Iterator[Figure]:
    """A perch and its mirror image make one row, unless the pinion stands so that both are on one tube."""
    sides = [other.side for other in fit.places if other.perch == place.perch]
    apart = place.mirror and len(set(sides)) < len(sides)
    name = f"Perch {perch_words(axle, place.perch)}{', mirror image' if apart else ''}"
    key = f"place/{place.perch}{'/mirror' if apart else ''}"
    yield Figure(
        f"{key}/from_pinion", f"{name}: from the pinion", place.from_pinion, "mark",
        "Middle of the perch from the pinion's centreline, outboard, on the finished axle.", place.side,
    )  # fmt: skip
    yield Figure(
        f"{key}/from_wheel_mount", f"{name}: from the wheel mount", place.from_wheel_mount, "mark",
        "Middle of the perch from the wheel mounting face of its side, inboard, on the finished axle.", place.side,
    )  # fmt: skip


def _shortfall(axle: Axle, each: Shortfall) -> Figure:
    other = f"perch {perch_words(axle, each.other)}" if each.meets == "perch" else f"the {each.meets}"
    return Figure(
        f"short/{each.perch}/{each.meets}/{each.other}", f"Perch {perch_words(axle, each.perch)} and {other} overlap",
        Amount(each.by), "length", "Tube that both want.", warning="there is no room for both",
    )  # fmt: skip


def _offsets(fit: PerchFit) -> Iterator[Figure]:
    words = "Pinion offsets at this width that leave room for all perches, ends and the centre section."
    if not fit.offsets:
        yield Figure(
            "offset_low",
            "Pinion offsets that fit",
            Amount(None, fit.missing),
            "offset",
            words,
            none="none at this width",
        )
    for number, span in enumerate(fit.offsets):
        more = f"/{number}" if number else ""
        label = f"Pinion offsets that fit{f', range {number + 1}' if len(fit.offsets) > 1 else ''}"
        yield Figure(f"offset_low{more}", f"{label}, from", Amount(span.low), "offset", words)
        yield Figure(f"offset_high{more}", f"{label}, to", Amount(span.high), "offset", words)
        yield from _spans(span, more)


def _spans(span: OffsetRange, more: str) -> Iterator[Figure]:
    words = "Seen from above, between shaft and pinion axis, with the pinion at that end of the range."
    yield Figure(f"plan_low{more}", "Driveshaft in plan there, from", span.at_low.plan, "angle", words)
    yield Figure(f"plan_high{more}", "Driveshaft in plan there, to", span.at_high.plan, "angle", words)


def _changes(fit: PerchFit) -> Iterator[Figure]:
    if not fit.places:
        return
    missing = fit.missing
    yield Figure(
        "least_width", "Least width, pinion as it is", Amount(fit.least_width, missing), "length",
        "Wheel-mount width from which everything fits without moving the pinion.", none="no width does",
    )  # fmt: skip
    yield Figure(
        "nearest_offset", "Nearest pinion offset, width as it is", Amount(fit.nearest_offset, missing), "offset",
        "Smallest move of the pinion that makes everything fit at this width.", none="no offset does",
    )  # fmt: skip
    width, offset = fit.both or (None, None)
    yield Figure(
        "both_width", "Least width, pinion free", Amount(width, missing), "length",
        "Least wheel-mount width at which some pinion offset leaves room.", none="no width does",
    )  # fmt: skip
    yield Figure(
        "both_offset", "Pinion offset that goes with it", Amount(offset, missing), "offset",
        "The offset at which that least width works.", none="no offset does",
    )  # fmt: skip


def _driveshaft(shaft: Driveshaft) -> Iterator[Figure]:
    yield Figure(
        "plan", "Driveshaft in plan, now", shaft.plan, "angle",
        "Seen from above, between shaft and pinion axis; positive with the transfer case's end to the left.",
    )  # fmt: skip
    yield Figure(
        "side", "Driveshaft in side view", shaft.side, "angle",
        "Between shaft and pinion axis; positive with the transfer case's end above the pinion's axis.",
    )  # fmt: skip
    yield Figure(
        "joint", "Working angle of the pinion's joint", shaft.joint, "angle",
        "Angle between shaft and pinion axis in space, from a driveline maker's rule made exact.",
    )  # fmt: skip
    yield Figure(
        "shaft_length", "Driveshaft length", shaft.length, "length",
        "Pinion's mounting face to the joint at the transfer case, at ride height.",
    )  # fmt: skip
