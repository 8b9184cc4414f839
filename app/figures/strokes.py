"""Shocks, bump stops and straps: their lengths over the travel, what is left of them, and the travel they leave."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import Final

import numpy as np

from app.figures.figure import Figure, Group, Refusal, attempt
from app.figures.over_travel import at_pose
from geometry.motion.linkage import linkage_of
from geometry.motion.pose_map import pose_map
from geometry.plan.amount import Amount
from geometry.rig.axle import Axle
from geometry.rig.rig import Rig
from geometry.stroke.ratios import ratio_curve
from geometry.stroke.shocks import SPARE, Lengths, ShockFit, Spare, lengths_of, needed_shock, shock_fits
from geometry.stroke.ways import Way, WayName, ways

SIDES: Final = ("left", "right")

RATIOS: Final = 41
"""Places of straight travel at which the motion ratio is looked at [-]."""

WAYS: Final[dict[WayName, str]] = {
    "bump": "Bump that is left, both wheels",
    "droop": "Droop that is left, both wheels",
    "left up": "Bump that is left, crossed, left wheel up",
    "right up": "Bump that is left, crossed, right wheel up",
}

NOT_ESTABLISHED: Final = "The travel could not be established; the linkage is close to binding."


def strokes(_rig: Rig, axle: Axle) -> Group:
    """Lengths, spare stroke, what comes first, and the shock that the wanted travel asks for; takes time."""
    figures, refused = attempt(lambda: tuple(_figures(axle)))
    if not refused and not figures:
        refused = (Refusal(NOT_ESTABLISHED),)
    remark = "Proved over the travel that shocks, stops and straps leave; the width is not part of it."
    if not (axle.shocks or axle.bump_stops or axle.straps):
        remark = "No shocks, bump stops or straps are entered: bump and droop alone limit the travel."
    return Group("strokes", "Shocks and straps", SIDES, figures, remark, refused)


def _figures(axle: Axle) -> Iterator[Figure]:
    for way in ways(axle):
        yield _way(way)
    fits = {each.lengths.span.part: each for each in shock_fits(axle)}
    for each in lengths_of(axle):
        yield from _lengths(axle, each)
        fit = fits.get(each.span.part)
        if fit is not None:
            yield from _fit(axle, fit)


def _way(way: Way) -> Figure:
    end = way.end
    touched = next((met for met in way.met if met.touch), None)
    notes = [f"of {way.wanted:.1f} mm"]
    notes += [f"ended by {end.limit.span.part.label}" if end is not None else "nothing ends it before"]
    if touched is not None:
        notes.append(f"{touched.limit.span.part.label} touched after {touched.low:.1f} mm")
    words = "Of the wheel that leads, the other one drooping in proportion."
    if way.name in {"bump", "droop"}:
        words = "Straight up or down from ride height."
    return Figure(
        f"way/{way.name.replace(' ', '_')}",
        WAYS[way.name],
        Amount(way.given),
        "clearance",
        words,
        note=", ".join(notes),
    )


def _key(each: Lengths, axle: Axle) -> tuple[str, str, str]:
    """Key, name and column of a shock, stop or strap."""
    part = each.span.part
    key = f"{part.kind.replace(' ', '_')}/{part.id.removeprefix(f'{axle.id}.')}"
    name = part.label.removeprefix(f"{part.side} ") if part.side else part.label
    return key, f"{name[:1].upper()}{name[1:]}", part.side


def _lengths(axle: Axle, each: Lengths) -> Iterator[Figure]:
    key, name, column = _key(each, axle)
    words = "From seat to pad along the axis." if each.span.part.kind == "bump stop" else "From end to end."
    yield Figure(f"{key}/ride", f"{name}: at ride height", Amount(each.at_ride_height), "length", words, column)
    for end, extreme, label in (("least", each.left.least, "shortest"), ("most", each.left.most, "longest")):
        value = extreme.low if end == "least" else extreme.high
        yield Figure(
            f"{key}/{end}", f"{name}: {label}", Amount(value if abs(value) < inf else None), "length",
            f"{words} No pose of the travel that is left has it {'shorter' if end == 'least' else 'longer'}.", column,
            note=at_pose(axle, extreme.pose), none="not established",
        )  # fmt: skip


def _fit(axle: Axle, fit: ShockFit) -> Iterator[Figure]:
    key, name, column = _key(fit.lengths, axle)
    for end, spare, first in (
        ("collapsed", fit.collapsed, "bottoms before a bump stop ends the travel"),
        ("extended", fit.extended, "tops before a strap ends the travel"),
    ):
        yield _spare(axle, f"{key}/spare_{end}", f"{name}: spare, {end}", column, spare, first)
    needed = needed_shock(fit.lengths.wanted)
    span = fit.lengths.span
    words = (
        f"For all of bump and droop, with {SPARE:.1f} mm of its stroke left at either end (common practice, no source)."
    )
    short = "" if span.shortest <= needed.collapsed else "it is longer"
    yield Figure(
        f"{key}/needed_collapsed", f"{name}: wanted travel needs, collapsed, at most",
        Amount(needed.collapsed), "clearance", words, column, warning=short,
    )  # fmt: skip
    long = "" if span.longest >= needed.extended else "it is shorter"
    yield Figure(
        f"{key}/needed_extended", f"{name}: wanted travel needs, extended, at least", Amount(needed.extended), "fine",
        words, column, warning=long,
    )  # fmt: skip
    yield Figure(
        f"{key}/needed_stroke", f"{name}: wanted travel needs, stroke", Amount(needed.stroke), "fine", words, column
    )
    travel = np.append(np.linspace(-axle.droop, axle.bump, RATIOS), 0.0)
    found = ratio_curve(pose_map(linkage_of(axle)), span, 1.0, 1.0, travel)
    words = "By how much it shortens per travel of both wheels; times its square, its spring works at the stop station."
    yield Figure(f"{key}/ratio", f"{name}: motion ratio", Amount(found.ratio[-1]), "factor", words, column)
    words = f"Largest less smallest over straight travel, at {RATIOS} places of it."
    yield Figure(f"{key}/ratio_change", f"{name}: change of the ratio", Amount(found.change), "factor", words, column)


def _spare(axle: Axle, key: str, label: str, column: str, spare: Spare, first: str) -> Figure:
    words = (
        "Stroke that is left when bump stops and straps alone have ended the travel; negative = the shock comes first."
    )
    return Figure(
        key, label, Amount(spare.spare), "clearance", words, column, note=at_pose(axle, spare.pose),
        warning=first if spare.comes_first else "",
    )  # fmt: skip
